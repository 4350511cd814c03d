"""A plan that goes wrong is seen at the desk in the lesson, once, with what to do now."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from app.practicals.lesson.details import BenchPlanLine, Typed
from app.practicals.lesson.plan import change_plan
from app.practicals.runs.sending import enter_run
from tests.practicals.a_class import NOW, AClass, an_entry, new_key
from tests.web.desk.conftest import Reader

HEADING = "Before the next run</h2>"


def _planned_apart(a_class: AClass, measured: bool = True) -> None:
    lines = tuple(
        BenchPlanLine(number, shot_mass_kg=Decimal(mass)) for number, mass in ((1, "0.24"), (2, "0.88"))
    )
    plan = replace(a_class.practical.plan, bore_m=Decimal("0.04"), depth_measured=measured, bench_plans=lines)
    change_plan(
        a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id, plan=plan, now=NOW
    )


def _runs(a_class: AClass, bench: int, *starts: str, depth: str | None = None, mass: str = "340") -> None:
    phone = a_class.join(bench)
    typed = None if depth is None else Typed(f"{depth} cm", Decimal(depth) / 100, "cm")
    caps = None if depth is None else Typed("5", Decimal("0.05") - Decimal(depth) / 100, "cm")
    for start in starts:
        entry = an_entry(mass, start, str(Decimal(start) + 2), settled_depth=typed, caps=caps)
        enter_run(a_class.database, actor=phone, key=new_key(), entry=entry, now=NOW)


def test_a_class_without_runs_hears_only_of_the_room(desk: Reader, a_class: AClass) -> None:
    page = desk.text(f"/desk/{a_class.practical_id}/live")
    assert page.count(HEADING) == 1
    assert "No room temperature" in page
    assert '<li id="next-run-' not in page


def test_masses_starts_depth_and_room_are_said_once_each(desk: Reader, a_class: AClass) -> None:
    _planned_apart(a_class)
    _runs(a_class, 1, "18.0", "19.0", "20.0", depth="1.2")
    _runs(a_class, 2, "18.1", "19.2", depth="1.3")
    for address in (f"/desk/{a_class.practical_id}/", f"/desk/{a_class.practical_id}/live"):
        page = desk.text(address)
        assert page.count(HEADING) == 1
        assert page.count("No room temperature: a leak to the room is not in the result.") == 1
        assert page.count("The benches weighed nearly the same mass (340 g)") == 1
        assert page.count("1: 18.0, 19.0, 20.0\u00a0°C; 2: 18.1, 19.2\u00a0°C.") == 1
        assert page.count("1: 1.2 cm, 4.0 cm; 2: 1.3 cm, 4.0 cm.") == 1


def test_it_goes_away_once_the_benches_have_done_it(desk: Reader, a_class: AClass) -> None:
    _planned_apart(a_class, measured=False)
    address = f"/desk/{a_class.practical_id}"
    desk.post(f"{address}/room", room_temperature="21", seen="")
    _runs(a_class, 1, "18.0", mass="340")
    second = a_class.join(2)
    for mass, said in (("342", True), ("880", False)):
        entry = an_entry(mass, "18.0", "20.0")
        enter_run(a_class.database, actor=second, key=new_key(), entry=entry, now=NOW)
        assert ("next-run-masses" in desk.text(f"{address}/live")) is said
    assert HEADING not in desk.text(f"{address}/live")


def test_a_bench_that_gave_no_depth_is_named_until_it_did(desk: Reader, a_class: AClass) -> None:
    _planned_apart(a_class)
    address = f"/desk/{a_class.practical_id}"
    first = a_class.join(1)
    enter_run(a_class.database, actor=first, key=new_key(), entry=an_entry(), now=NOW)
    _runs(a_class, 2, "18.0", depth="4")
    assert "there is no depth of these benches: 1." in desk.text(f"{address}/live")
    caps, depth = (Typed(cm, Decimal(cm) / 100, "cm") for cm in ("1", "4"))
    entry = an_entry(caps=caps, settled_depth=depth)
    enter_run(a_class.database, actor=first, key=new_key(), entry=entry, now=NOW)
    assert "there is no depth of these benches" not in desk.text(f"{address}/live")


def test_a_finished_practical_has_no_next_run(desk: Reader, a_class: AClass) -> None:
    _planned_apart(a_class)
    _runs(a_class, 1, "18.0")
    _runs(a_class, 2, "18.0")
    address = f"/desk/{a_class.practical_id}"
    assert HEADING in desk.text(f"{address}/")
    desk.post(f"{address}/conduct/finish", sure="yes")
    page = desk.text(f"{address}/")
    assert HEADING not in page
    assert page.count("No room temperature: a leak to the room is not in the result.") == 1
