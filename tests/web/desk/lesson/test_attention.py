"""Who needs the teacher, and why."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from app.practicals.benches.own_bench import ask_for_help
from app.practicals.benches.watch import BenchDetails
from app.practicals.lesson.states import finish_practical
from app.practicals.runs.sending import confirm_readings, enter_run
from app.records.choices import BenchProgress
from app.web.desk.lesson.attention import Need, StillOut, needs_of_benches, still_out
from tests.practicals.a_class import NOW, AClass, an_entry, new_key
from tests.web.desk.conftest import Reader

BENCH = BenchDetails(
    bench_id=1,
    number=3,
    bench_key="ABCD",
    joined_at=NOW,
    safety_acknowledged_at=NOW,
    progress=BenchProgress.SENT,
    counted_so_far=None,
    waiting_to_send=0,
    last_seen_at=NOW,
    asked_for_help_at=None,
    open_to_a_phone=False,
    phones=1,
    runs=1,
    simulated=False,
)


def _needs(
    *benches: BenchDetails, minutes: float = 0, planned: int = 0, collecting: bool = True
) -> list[Need]:
    return list(
        needs_of_benches(
            benches,
            planned=planned,
            open_since=NOW,
            collecting=collecting,
            now=NOW + timedelta(minutes=minutes),
        )
    )


def test_a_bench_that_works_needs_nobody() -> None:
    assert _needs(BENCH, minutes=30) == []
    assert _needs(replace(BENCH, progress=BenchProgress.COUNTING), minutes=2) == []


def test_a_raised_hand_comes_first() -> None:
    hand = replace(BENCH, number=9, asked_for_help_at=NOW)
    stuck = replace(BENCH, number=2, progress=BenchProgress.COUNTING)
    found = _needs(stuck, hand, minutes=4)
    assert [(need.bench, need.hand_up) for need in found] == [(9, True), (2, False)]


def test_unsent_runs_of_a_silent_phone_are_said_with_their_number() -> None:
    holding = replace(BENCH, waiting_to_send=2)
    assert _needs(holding, minutes=0.5) == []
    (need,) = _needs(holding, minutes=1)
    assert "Holds 2 runs that are not sent" in str(need.why)


def test_a_phone_that_vanished_in_the_middle_of_a_run_is_said_with_the_minutes() -> None:
    (need,) = _needs(replace(BENCH, progress=BenchProgress.START_READ), minutes=5)
    assert "not been seen for 5 min" in str(need.why)


def test_a_bench_without_a_run_is_said_after_a_while() -> None:
    idle = replace(BENCH, progress=BenchProgress.JOINED, runs=0)
    assert _needs(idle, minutes=11) == []
    (need,) = _needs(idle, minutes=13)
    assert str(need.why) == "Joined 13 min ago and has sent no run."


@pytest.mark.parametrize(
    ("bench", "minutes", "seconds"),
    [
        (replace(BENCH, waiting_to_send=1), 0, 45),
        (replace(BENCH, progress=BenchProgress.COUNTING), 3, 0),
        (replace(BENCH, progress=BenchProgress.START_READ), 3, 0),
        (replace(BENCH, progress=BenchProgress.END_READ), 3, 0),
        (replace(BENCH, progress=BenchProgress.JOINED, runs=0), 12, 0),
    ],
)
def test_a_bench_needs_the_teacher_from_a_second_after_its_time_on(
    bench: BenchDetails, minutes: int, seconds: int
) -> None:
    """45 s for a run that is not sent, 3 min of silence in a run, 12 min without a run."""
    limit = minutes + seconds / 60
    assert _needs(bench, minutes=limit) == []
    assert len(_needs(bench, minutes=limit + 1 / 60)) == 1


def test_six_minutes_after_the_opening_who_has_not_joined_is_missing() -> None:
    joined = [replace(BENCH, number=number) for number in (1, 3)]
    assert _needs(*joined, minutes=6, planned=3) == []
    (missing,) = _needs(*joined, minutes=6 + 1 / 60, planned=3)
    assert (missing.bench, str(missing.why)) == (2, "Has not joined yet.")
    assert _needs(*joined, minutes=7, planned=4) == [], "half of the class is not most of it"


def test_one_unsent_run_is_said_in_the_singular_and_the_minutes_are_whole_ones() -> None:
    (need,) = _needs(replace(BENCH, waiting_to_send=1), minutes=1)
    assert str(need.why).startswith("Holds a run that is not sent")
    (need,) = _needs(replace(BENCH, progress=BenchProgress.COUNTING), minutes=4.99)
    assert "not been seen for 4 min" in str(need.why)


def test_missing_benches_are_named_once_more_than_half_have_joined() -> None:
    joined = [replace(BENCH, number=number) for number in (1, 2)]
    assert _needs(*joined, minutes=7, planned=4) == []
    assert [need.bench for need in _needs(*joined, minutes=7, planned=3)] == [3]
    later = [replace(BENCH, number=number) for number in (2, 3)]
    assert [need.bench for need in _needs(*later, minutes=7, planned=3)] == [1]
    assert _needs(*joined, minutes=5, planned=3) == []


def test_a_paused_class_only_has_raised_hands() -> None:
    stuck = replace(BENCH, progress=BenchProgress.COUNTING, waiting_to_send=3)
    assert _needs(stuck, minutes=20, collecting=False) == []
    assert len(_needs(replace(stuck, asked_for_help_at=NOW), minutes=20, collecting=False)) == 1


def test_simulated_benches_need_nobody() -> None:
    assert _needs(replace(BENCH, simulated=True, progress=BenchProgress.COUNTING), minutes=60) == []


def test_a_run_that_came_in_unasked_is_said_until_its_bench_has_answered(
    desk: Reader, a_class: AClass
) -> None:
    bench, said = a_class.join(7), "Run 1 was sent before its phone could ask about an unlikely reading."
    sent = enter_run(
        a_class.database, actor=bench, key=new_key(), entry=an_entry("3400"), now=NOW, left_to_ask=True
    )
    enter_run(a_class.database, actor=bench, key=new_key(), entry=an_entry(), now=NOW)
    pages = [f"/desk/{a_class.practical_id}/{page}" for page in ("", "live", "bench/7")]
    for page in pages:
        assert desk.text(page).count(said) == 1, page
    confirm_readings(a_class.database, actor=bench, run_id=sent.run_id)
    for page in pages:
        assert said not in desk.text(page), page


def test_after_the_class_an_unasked_run_needs_nobody(desk: Reader, a_class: AClass) -> None:
    enter_run(
        a_class.database,
        actor=a_class.join(7),
        key=new_key(),
        entry=an_entry("3400"),
        now=NOW,
        left_to_ask=True,
    )
    finish_practical(a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id, now=NOW)
    assert "unlikely reading" not in desk.text(f"/desk/{a_class.practical_id}/live")


def test_the_lesson_warns_of_one_allowance_for_masses_that_differ(desk: Reader, a_class: AClass) -> None:
    address = f"/desk/{a_class.practical_id}"
    warmed = {"240": "20.6", "880": "21.1"}
    for number, mass in enumerate(("240", "880") * 3, start=1):
        bench = a_class.join(number)
        for _ in range(2):
            entry = an_entry(mass_g=mass, end=warmed[mass])
            enter_run(a_class.database, actor=bench, key=new_key(), entry=entry, now=NOW)
    for page in (desk.text(f"{address}/"), desk.text(f"{address}/live")):
        said = page.partition('id="one-allowance">')[2].partition("</p>")[0]
        assert "The benches took the same end allowance (5.0 cm) for 240 to 880 g of shot" in said


def test_what_is_still_out_is_counted_over_the_real_benches() -> None:
    out = still_out(
        [
            replace(BENCH, number=1, waiting_to_send=2),
            replace(BENCH, number=2, waiting_to_send=1, progress=BenchProgress.COUNTING),
            replace(BENCH, number=3, progress=BenchProgress.END_READ, phones=0),
            replace(BENCH, number=4, progress=BenchProgress.COUNTING, waiting_to_send=5, simulated=True),
        ]
    )
    assert out == StillOut(runs=3, holding=(1, 2), in_a_run=(2,), phones=True)
    assert still_out([replace(BENCH, phones=0)]) == StillOut(0, (), (), False)


def test_who_needs_the_teacher_comes_first_on_the_page_and_once_in_what_is_exchanged(
    desk: Reader, a_class: AClass
) -> None:
    """The order of the page is that of the keyboard."""
    bench = a_class.join(4)
    ask_for_help(a_class.database, actor=bench, wanted=True, now=NOW)
    page = desk.text(f"/desk/{a_class.practical_id}/")
    places = [page.index(f'id="{name}"') for name in ("needs-title", "been-4", "way-title", "so-far-title")]
    assert places == sorted(places)
    newer = desk.text(f"/desk/{a_class.practical_id}/live")
    assert newer.count('id="needs"') == page.count('id="needs"') == 1
    assert newer.count('id="been-4"') == page.count('id="been-4"') == 1
