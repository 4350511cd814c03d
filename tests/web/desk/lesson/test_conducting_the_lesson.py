"""The lesson from the desk: code, states, benches, needs, and the part that keeps itself up to date."""

from __future__ import annotations

import re
from decimal import Decimal

from app.practicals.benches.own_bench import ask_for_help, note_progress
from app.practicals.board.snapshot import class_snapshot
from app.practicals.lesson.details import Typed
from app.practicals.lesson.plan import practical_details
from app.practicals.lesson.states import finish_practical
from app.practicals.runs.sending import enter_run
from app.records.choices import HistoryKind
from app.web.audience import now
from app.web.desk.runs.history import KINDS
from tests.practicals.a_class import NOW, AClass, an_entry, new_key
from tests.web.desk.conftest import Reader


def _state(a_class: AClass) -> tuple[str, str | None]:
    found = practical_details(a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id)
    return found.state, found.join_code


def test_opening_shows_code_address_and_a_qr_that_is_a_drawing_of_its_own(
    desk: Reader, planned: AClass
) -> None:
    address = f"/desk/{planned.practical_id}"
    assert desk.get(f"{address}/code.svg").status_code == 404
    assert desk.post(f"{address}/conduct/open").status_code == 302
    _, code = _state(planned)
    assert code
    page = desk.text(f"{address}/")
    assert f"{code[:3]} {code[3:]}" in page
    assert "http://phones.school.example:8480" in page
    drawing = desk.get(f"{address}/code.svg")
    assert drawing.mimetype == "image/svg+xml"
    assert b"<svg" in drawing.data
    assert b"style=" not in drawing.data


def test_the_states_follow_each_other_and_finishing_is_asked_about(desk: Reader, planned: AClass) -> None:
    address = f"/desk/{planned.practical_id}/conduct"
    desk.post(f"{address}/open")
    desk.post(f"{address}/pause")
    assert _state(planned)[0] == "paused"
    desk.post(f"{address}/resume")
    assert "Finish this practical?" in desk.post(f"{address}/finish").get_data(as_text=True)
    assert _state(planned)[0] == "collecting", "asking is not doing"
    desk.post(f"{address}/finish", sure="yes")
    assert _state(planned) == ("finished", None)
    desk.post(f"{address}/reopen")
    assert _state(planned)[0] == "collecting"


def test_a_new_code_is_asked_about_and_then_replaces_the_old_one(desk: Reader, a_class: AClass) -> None:
    address = f"/desk/{a_class.practical_id}/conduct/replace-code"
    assert "Replace the code?" in desk.post(address).get_data(as_text=True)
    assert _state(a_class)[1] == a_class.practical.join_code
    desk.post(address, sure="yes")
    assert _state(a_class)[1] not in (None, a_class.practical.join_code)


def test_a_step_that_does_not_fit_says_so_and_an_unknown_one_does_not_exist(
    desk: Reader, planned: AClass
) -> None:
    address = f"/desk/{planned.practical_id}"
    desk.post(f"{address}/conduct/pause")
    assert "has not been opened yet" in desk.text(f"{address}/")
    assert desk.post(f"{address}/conduct/launch").status_code == 404


def test_the_live_part_answers_not_modified_until_something_changes(desk: Reader, a_class: AClass) -> None:
    address = f"/desk/{a_class.practical_id}/live"
    first = desk.get(address, **{"X-Plumbfall": "script"})
    tag = first.headers["ETag"]
    again = desk.get(address, **{"X-Plumbfall": "script", "If-None-Match": tag})
    if again.status_code == 200:  # the half minute that needs are counted in has just turned
        tag = again.headers["ETag"]
        again = desk.get(address, **{"X-Plumbfall": "script", "If-None-Match": tag})
    assert again.status_code == 304
    assert again.data == b""
    bench = a_class.join(3)
    changed = desk.get(address, **{"X-Plumbfall": "script", "If-None-Match": tag})
    assert changed.status_code == 200
    note_progress(a_class.database, actor=bench, progress="counting", counted_so_far=17, now=now())
    counting = desk.get(address, **{"X-Plumbfall": "script", "If-None-Match": changed.headers["ETag"]})
    assert counting.status_code == 200
    assert "counting" in counting.get_data(as_text=True)
    assert "17" in counting.get_data(as_text=True)


def test_a_raised_hand_stands_first_and_goes_down_when_the_teacher_was_there(
    desk: Reader, a_class: AClass
) -> None:
    ask_for_help(a_class.database, actor=a_class.join(5), wanted=True, now=NOW)
    page = desk.text(f"/desk/{a_class.practical_id}/")
    assert "Asks for help." in page
    desk.post(f"/desk/{a_class.practical_id}/bench/5/been-there")
    assert "Asks for help." not in desk.text(f"/desk/{a_class.practical_id}/")


def test_a_teacher_types_a_run_for_a_bench_once(desk: Reader, a_class: AClass) -> None:
    address = f"/desk/{a_class.practical_id}/enter"
    page = desk.text(f"{address}?bench=6")
    key = re.findall(r'name="key" value="([0-9a-f]{32})"', page)[0]
    assert 'value="6"' in page
    run = {
        "bench_number": "6",
        "key": key,
        "shot_mass": "0,34 kg",
        "tube_length": "1 m",
        "end_allowance": "5",
        "inversions": "50",
        "start_temperature": "19.2",
        "end_temperature": "21.4",
    }
    assert desk.post(address, **run).status_code == 302
    assert desk.post(address, **run).status_code == 302, "sent twice is stored once"
    runs = class_snapshot(a_class.database, a_class.practical_id, actor=a_class.teacher).runs
    assert [(one.bench_number, one.entered_by) for one in runs] == [(6, "teacher")]
    assert desk.post(address, **{**run, "key": new_key(), "bench_number": "99"}).status_code == 302
    wrong = desk.post(address, **{**run, "key": new_key(), "bench_number": "0", "shot_mass": "-3"})
    said = wrong.get_data(as_text=True)
    assert wrong.status_code == 422
    assert "A bench number is a whole number" in said
    assert "A mass cannot be negative" in said
    assert "0,34" not in said
    assert 'value="-3"' in said


def test_a_correction_needs_the_benchs_word_and_keeps_the_earlier_readings(
    desk: Reader, class_with_a_slip: AClass
) -> None:
    a_class = class_with_a_slip
    run = next(
        one
        for one in class_snapshot(a_class.database, a_class.practical_id, actor=a_class.teacher).runs
        if one.bench_number == 4
    )
    address = f"/desk/{a_class.practical_id}/run/{run.run_id}/correct"
    page = desk.text(address)
    assert "Ask the bench before you change anything" in page
    form = {
        "key": new_key(),
        "run_revision": str(run.run_revision),
        "shot_mass": "340 g",
        "tube_length": "100 cm",
        "end_allowance": "5 cm",
        "inversions": "50",
        "start_temperature": "19.2",
        "end_temperature": "21.5",
    }
    without = desk.post(address, **form, reason="")
    assert without.status_code == 422
    assert "Give a reason" in without.get_data(as_text=True)
    asked = desk.post(address, **{**form, "end_temperature": "45"}, reason="they swapped the two")
    assert asked.status_code == 200, "possible but unlikely: asked about, nothing wrong"
    assert "they swapped the two" in asked.get_data(as_text=True)
    assert desk.post(address, **form, reason="they swapped the two").status_code == 302
    history = desk.text(f"/desk/{a_class.practical_id}/history")
    assert "The correction is stored; the earlier readings stay in the history." in history
    assert "they swapped the two" in history
    assert "21.5 °C → 19.2 °C" in history, "the earlier readings stay"
    stale = desk.post(address, **{**form, "key": new_key(), "end_temperature": "21.9"}, reason="no, 21.9")
    assert stale.status_code == 409
    assert "changed by someone else" in stale.get_data(as_text=True)
    assert "no, 21.9" in stale.get_data(as_text=True)


def test_a_bench_is_released_and_ending_its_phones_is_asked_about(desk: Reader, a_class: AClass) -> None:
    a_class.join(2)
    address = f"/desk/{a_class.practical_id}/bench/2"
    asked = desk.post(f"{address}/release", phones="end")
    assert "End the phones of bench 2?" in asked.get_data(as_text=True)
    assert (
        class_snapshot(a_class.database, a_class.practical_id, actor=a_class.teacher).benches[0].phones == 1
    )
    desk.post(f"{address}/release", phones="end", sure="yes")
    assert "The next phone that joins as bench 2 needs no bench key." in desk.text(address)
    bench = class_snapshot(a_class.database, a_class.practical_id, actor=a_class.teacher).benches[0]
    assert (bench.phones, bench.open_to_a_phone) == (0, True)


def test_a_wrong_bench_number_is_put_right_with_its_runs(desk: Reader, a_class: AClass) -> None:
    enter_run(a_class.database, actor=a_class.join(2), key=new_key(), entry=an_entry(), now=NOW)
    address = f"/desk/{a_class.practical_id}/bench/2"
    assert 'name="right_number"' in desk.text(address)
    refused = desk.post(f"{address}/renumber", right_number="two")
    assert refused.location == address
    assert "between 1 and 99" in desk.text(address)
    done = desk.post(f"{address}/renumber", right_number="7")
    assert done.location == f"/desk/{a_class.practical_id}/bench/7"
    assert "Bench 2 is bench 7 now" in desk.text(done.location)
    (run,) = class_snapshot(a_class.database, a_class.practical_id, actor=a_class.teacher).runs
    assert run.bench_number == 7
    a_class.join(2)
    swapped = desk.post(f"{address}/renumber", right_number="7")
    assert "Benches 2 and 7 have changed numbers." in desk.text(swapped.location)


def test_nothing_is_typed_for_a_bench_once_the_practical_is_finished(desk: Reader, a_class: AClass) -> None:
    enter_run(a_class.database, actor=a_class.join(1), key=new_key(), entry=an_entry(), now=NOW)
    finish_practical(a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id, now=NOW)
    run = {
        "bench_number": "1",
        "key": new_key(),
        "shot_mass": "340",
        "tube_length": "100",
        "end_allowance": "5",
        "inversions": "50",
        "start_temperature": "19.2",
        "end_temperature": "21.4",
    }
    answer = desk.post(f"/desk/{a_class.practical_id}/enter", **run)
    assert answer.status_code == 422
    assert "This practical is finished" in answer.get_data(as_text=True)


def test_a_practical_is_deleted_only_when_its_title_was_typed(desk: Reader, planned: AClass) -> None:
    address = f"/desk/{planned.practical_id}/delete"
    assert desk.post(address, title="Period").status_code == 422
    assert desk.get(f"/desk/{planned.practical_id}/").status_code == 200
    assert desk.post(address, title="period 4").status_code == 302
    assert desk.get(f"/desk/{planned.practical_id}/").status_code == 404


def test_an_unlikely_reading_of_the_teacher_is_asked_about_once_and_then_kept(
    desk: Reader, a_class: AClass
) -> None:
    address = f"/desk/{a_class.practical_id}/enter"
    run = {
        "bench_number": "1",
        "key": new_key(),
        "shot_mass": "340",
        "tube_length": "100",
        "end_allowance": "5",
        "inversions": "50",
        "start_temperature": "21.4",
        "end_temperature": "19.2",
    }
    asked = desk.post(address, **run).get_data(as_text=True)
    assert "are the two swapped?" in asked
    assert class_snapshot(a_class.database, a_class.practical_id, actor=a_class.teacher).runs == ()
    fingerprint = re.findall(r'name="as_typed" value="([0-9a-f]+)"', asked)[0]
    changed = desk.post(address, **{**run, "end_temperature": "18.2"}, as_typed=fingerprint)
    assert "are the two swapped?" in changed.get_data(as_text=True), "other readings are asked about again"
    assert desk.post(address, **run, as_typed=fingerprint).status_code == 302
    assert len(class_snapshot(a_class.database, a_class.practical_id, actor=a_class.teacher).runs) == 1


def test_copying_and_deleting_are_found_on_the_practicals_own_page(desk: Reader, planned: AClass) -> None:
    address = f"/desk/{planned.practical_id}"
    page = desk.text(f"{address}/")
    assert f'href="{address}/copy"' in page
    assert f'href="{address}/delete"' in page


def test_what_the_bench_worked_out_itself_survives_a_teachers_correction(
    desk: Reader, a_class: AClass
) -> None:
    bench = a_class.join(1)
    own = Typed("190", Decimal(190), "J/(kg·K)")
    entry = an_entry(own_heat_capacity=own)
    saved = enter_run(a_class.database, actor=bench, key=new_key(), entry=entry, now=NOW)
    form = {
        "key": new_key(),
        "run_revision": "1",
        "shot_mass": "340",
        "tube_length": "100",
        "end_allowance": "5",
        "inversions": "50",
        "start_temperature": "19.2",
        "end_temperature": "21.5",
        "reason": "read again",
    }
    desk.post(f"/desk/{a_class.practical_id}/run/{saved.run_id}/correct", **form)
    run = class_snapshot(a_class.database, a_class.practical_id, actor=a_class.teacher).runs[0]
    assert (run.version, run.corrected) == (2, True)
    assert run.entry.own_heat_capacity == own


def test_the_wall_is_taken_forward_and_held_from_the_desk(desk: Reader, a_class: AClass) -> None:
    address = f"/desk/{a_class.practical_id}/wall"
    for what in ("forward", "hold", "phones-show"):
        assert desk.post(address, what=what).status_code == 302
    board = class_snapshot(a_class.database, a_class.practical_id, actor=a_class.teacher).board
    assert (board.step, board.paused, board.bench_results_shown) == ("spread", True, True)
    for what in ("back", "follow", "phones-hide"):
        desk.post(address, what=what)
    board = class_snapshot(a_class.database, a_class.practical_id, actor=a_class.teacher).board
    assert (board.step, board.paused, board.bench_results_shown) == ("reported", False, False)
    assert desk.post(address, what="dance").status_code == 404


def test_the_history_has_words_for_everything_that_a_practical_records() -> None:
    """Every kind that the use cases note stands in the page's list of words."""
    assert set(KINDS) == set(HistoryKind)
