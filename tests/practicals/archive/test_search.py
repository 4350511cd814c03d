"""The department's list, filtered and cut into pages by the database."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from app.analysis.figure import Figure
from app.practicals.archive.home import SHOWN, own_practicals
from app.practicals.archive.school_year import set_school_year
from app.practicals.archive.search import A_PAGE, Filters, Word, choices, find
from app.practicals.lesson.plan import change_plan, plan_practical
from app.practicals.lesson.states import open_practical
from app.practicals.people.actors import TeacherIdentity
from app.records.choices import PracticalState
from app.records.engine import Database
from tests.practicals.a_class import NOW, a_plan, a_teacher
from tests.practicals.a_kit import a_kit, bench_kit, held_with_kit
from tests.practicals.archive.stored import stored

TITLES = (
    # title, metal, day, whose
    ("10A, first", "lead", date(2030, 9, 1), 0),
    ("10A, second", "copper", date(2031, 8, 31), 0),
    ("Classe de l'Été", "lead", date(2031, 3, 6), 1),
    ("100 % lead_shot", "tin", date(2031, 3, 7), 1),
)


@pytest.fixture
def teachers(database: Database) -> tuple[TeacherIdentity, TeacherIdentity]:
    """Two of one department with four practicals; another department has one of its own."""
    own = a_teacher(database, "mrs-okafor", is_head=True), a_teacher(database, "ÉLAN")
    for title, metal, day, whose in TITLES:
        plan = a_plan(title=title, material=metal, held_on=day)
        plan_practical(database, actor=own[whose], plan=plan, now=NOW)
    stranger = a_teacher(database, "stranger", department="Chemistry")
    plan_practical(database, actor=stranger, plan=a_plan(title="10A elsewhere"), now=NOW)
    return own


def titles(database: Database, actor: TeacherIdentity, **filters: object) -> list[str]:
    """What a list shows."""
    found = find(database, actor=actor, filters=Filters(**filters))  # type: ignore[arg-type]
    assert found.found == len(found.lines)
    assert found.all_there == len(TITLES)
    return [line.title for line in found.lines]


def test_a_piece_of_the_kit_is_found_in_plans_and_in_runs_that_keep_it(database: Database) -> None:
    head = a_teacher(database, is_head=True)
    kit = a_kit(database, head)
    held = held_with_kit(database, head, kit, seed=1)
    tube = held.plan.kits[0].tube
    assert tube is not None
    change_plan(
        database, actor=head, practical_id=held.practical_id, plan=replace(held.plan, kits=()), now=NOW
    )
    planned = a_plan(title="planned with it", kits=(bench_kit(kit, 4, tube.label),))
    plan_practical(database, actor=head, plan=planned, now=NOW)
    plan_practical(database, actor=head, plan=a_plan(title="another"), now=NOW)
    found = find(database, actor=head, filters=Filters(piece_id=tube.piece_id))
    assert {line.title for line in found.lines} == {"Class 1", "planned with it"}
    labels = [label for _number, label in choices(database, actor=head).pieces]
    assert labels.index("T2") < labels.index("T8")


def test_each_filter_narrows_the_list_and_together_they_narrow_it_further(
    database: Database, teachers: tuple[TeacherIdentity, TeacherIdentity]
) -> None:
    one, two = teachers
    assert titles(database, one) == ["10A, second", "100 % lead_shot", "Classe de l'Été", "10A, first"]
    assert titles(database, one, words=(Word("10a"),)) == ["10A, second", "10A, first"]
    assert titles(database, one, words=(Word("ÉTÉ"),)) == ["Classe de l'Été"]
    assert titles(database, one, words=(Word("élan"),)) == ["100 % lead_shot", "Classe de l'Été"]
    assert titles(database, one, words=(Word("10a"), Word("sec"))) == ["10A, second"]
    assert titles(database, one, words=(Word("blei", frozenset({"lead"})),)) == [
        "Classe de l'Été",
        "10A, first",
    ]
    for sign in ("%", "_"):
        assert titles(database, one, words=(Word(sign),)) == ["100 % lead_shot"], "no wildcard"
    assert titles(database, one, metal="copper") == ["10A, second"]
    assert titles(database, one, teacher_id=two.teacher_id) == ["100 % lead_shot", "Classe de l'Été"]
    assert titles(database, one, first_day=date(2031, 3, 7)) == ["10A, second", "100 % lead_shot"]
    assert titles(database, one, last_day=date(2031, 3, 6)) == ["Classe de l'Été", "10A, first"]
    assert titles(database, one, year=2030, metal="lead") == ["Classe de l'Été", "10A, first"]
    assert titles(database, one, states=frozenset({PracticalState.PAUSED})) == []


def test_a_school_year_follows_the_departments_month(
    database: Database, teachers: tuple[TeacherIdentity, TeacherIdentity]
) -> None:
    head, colleague = teachers
    a_teacher(database, "mr-ito")  # without a practical
    assert len(titles(database, head, year=2030)) == 4, "September to August, both days included"
    assert choices(database, actor=head).years == (2030,)
    set_school_year(database, actor=head, begins_in=1)
    assert titles(database, head, year=2030) == ["10A, first"]
    offered = choices(database, actor=head)
    assert (offered.begins_in, offered.years) == (1, (2031, 2030))
    assert set(offered.teachers) == {(head.teacher_id, "Mrs-Okafor"), (colleague.teacher_id, "Élan")}


def test_a_long_list_comes_page_by_page_with_what_was_kept_last(database: Database) -> None:
    teacher = a_teacher(database)
    for number in range(A_PAGE + 1):
        stored(database, teacher, Figure(150.0 + number, (140.0, 200.0)), title=f"class {number:02d}")
    first = find(database, actor=teacher, filters=Filters())
    assert (len(first.lines), first.number, first.pages, first.found) == (A_PAGE, 1, 2, A_PAGE + 1)
    last = find(database, actor=teacher, filters=Filters(), page=99)
    assert (last.number, [line.title for line in last.lines]) == (2, ["class 00"])
    assert last.lines[0].figures is not None
    assert last.lines[0].figures.class_value == Figure(150.0, (140.0, 200.0))
    assert last.lines[0].figures.percent_error == pytest.approx(100 * (150 / 128 - 1))
    empty = find(database, actor=a_teacher(database, "new", department="New"), filters=Filters())
    assert (empty.lines, empty.number, empty.pages, empty.all_there) == ((), 1, 1, 0)


def test_the_teachers_own_page_shows_the_newest_of_each_kind(database: Database) -> None:
    teacher, colleague = a_teacher(database), a_teacher(database, "ms-lund")
    plan_practical(database, actor=colleague, plan=a_plan(), now=NOW)
    for number in range(SHOWN + 2):
        stored(database, teacher, Figure(150.0), title=f"class {number:02d}")
    made = plan_practical(database, actor=teacher, plan=a_plan(title="now"), now=NOW)
    open_practical(database, actor=teacher, practical_id=made.practical_id, now=NOW)
    groups = {group.name: group for group in own_practicals(database, actor=teacher)}
    assert {name: (len(group.lines), group.in_all) for name, group in groups.items()} == {
        "under-way": (1, 1),
        "finished": (SHOWN, SHOWN + 2),
    }
    assert groups["finished"].lines[0].title == f"class {SHOWN + 1:02d}"
