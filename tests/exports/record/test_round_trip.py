"""A practical's document taken out and brought in again: here, twice, and where nobody knows its people."""

from __future__ import annotations

import json
from copy import deepcopy
from decimal import Decimal
from typing import Any

import pytest
from sqlalchemy import select

from app.analysis.views.json import as_plain_data
from app.exports.record import exact_json
from app.exports.record.cells_in import DEEPEST, DocumentProblem
from app.exports.record.reading import read_document
from app.practicals.board.reveal import pause_board
from app.practicals.board.snapshot import class_snapshot
from app.practicals.bring_in.record import BroughtIn, Outcome
from app.practicals.lesson.deletions import delete_practical
from app.practicals.lesson.states import finish_practical
from app.practicals.people.colleagues import switch_colleague
from app.practicals.people.log import log_page
from app.practicals.people.teachers import SignInRefused, sign_in
from app.practicals.runs.history import history
from app.practicals.runs.sending import enter_run
from app.records.choices import HistoryKind, LogKind
from app.records.engine import Database
from app.records.errors import Conflict, Problem
from app.records.models import HeldBoard, LogEntry, Practical, Run, RunVersion, Teacher
from tests.exports.record.bringing import bring, emptied, written
from tests.practicals.a_class import NOW, AClass, a_collecting_class, a_teacher, an_entry, new_key
from tests.practicals.a_full_class import a_full_class
from tests.practicals.seen import count


def a_finished_class(database: Database) -> tuple[AClass, str]:
    one = a_full_class(database)
    finish_practical(database, actor=one.teacher, practical_id=one.practical_id, now=NOW)
    class_snapshot(database, one.practical_id, actor=one.teacher)
    return one, written(database, one.teacher, one.practical_id)


def test_another_installation_says_the_same_of_it_again(database: Database) -> None:
    one, text = a_finished_class(database)
    came_in = [run.versions[0].order for run in read_document(text.encode())[0].runs]
    assert came_in == sorted(came_in)
    before = class_snapshot(database, one.practical_id, actor=one.teacher).result
    head = emptied(database)
    brought = bring(database, head, text)
    assert brought.outcome is Outcome.STORED
    first, again = exact_json.loads(text), exact_json.loads(written(database, head, brought.practical_id))
    differs = {name for name in first if first[name] != again[name]}
    assert differs == {"department", "people", "history"}  # the head who brought it in is named too
    assert again["history"][:-1] == first["history"]
    assert (again["history"][-1]["kind"], again["history"][-1]["detail"]) == ("brought in", first["key"])
    assert all(person in again["people"] for person in first["people"])
    for name in set(first) - differs:  # to the last digit, which numbers that are equal need not have
        assert exact_json.dumps(first[name]) == exact_json.dumps(again[name])
    after = class_snapshot(database, brought.practical_id, actor=head).result
    assert before is not None
    assert after is not None
    assert as_plain_data(after) == as_plain_data(before)


def test_a_practical_is_stored_once_however_often_it_comes(database: Database) -> None:
    one, text = a_finished_class(database)
    assert bring(database, one.teacher, text) == BroughtIn(Outcome.HERE_ALREADY, one.practical_id)
    other = exact_json.loads(text)
    other["practical"]["title"] = "Another class"
    assert bring(database, one.teacher, exact_json.dumps(other)).outcome is Outcome.HERE_OTHERWISE
    other["practical"]["accepted_J_per_kg_K"] = Decimal("128.0")  # as large, and written otherwise
    other["practical"]["title"] = exact_json.loads(text)["practical"]["title"]
    assert bring(database, one.teacher, exact_json.dumps(other)).outcome is Outcome.HERE_OTHERWISE
    assert count(database, Practical) == 1
    head = emptied(database)
    made = bring(database, head, text)
    lines = log_page(database, actor=head, kind=LogKind.IMPORTED).lines
    assert [(line.practical_id, line.actor, line.detail) for line in lines] == [
        (made.practical_id, "Ms-Brandt", "document")
    ]
    assert bring(database, head, text) == BroughtIn(Outcome.HERE_ALREADY, made.practical_id)
    from_there = written(database, head, made.practical_id)
    assert bring(database, head, from_there).outcome is Outcome.HERE_ALREADY
    assert (count(database, Practical), count(database, Run)) == (1, 4)


def test_a_wall_that_was_held_before_any_run_shows_none_where_it_is_brought_in(
    sqlite_database: Database,
) -> None:
    one = a_collecting_class(sqlite_database)
    pause_board(sqlite_database, actor=one.teacher, practical_id=one.practical_id, paused=True, now=NOW)
    enter_run(sqlite_database, actor=one.join(1), key=new_key(), entry=an_entry(), now=NOW)
    text = written(sqlite_database, one.teacher, one.practical_id)
    bring(sqlite_database, emptied(sqlite_database), text)
    with sqlite_database.reading() as session:
        held = session.scalars(select(HeldBoard)).one()
    assert (held.bench_id, held.version_id, held.decision_id) == (0, 0, 0), "ids begin with 1"


def test_what_was_deleted_comes_back_to_its_own_teacher(database: Database) -> None:
    one, text = a_finished_class(database)
    delete_practical(database, actor=one.teacher, practical_id=one.practical_id, now=NOW)
    brought = bring(database, one.teacher, text)
    assert brought.outcome is Outcome.STORED
    assert brought.practical_id != one.practical_id
    with database.reading() as session:
        assert session.get_one(Practical, brought.practical_id).teacher_id == one.teacher.teacher_id
        entry = session.scalars(select(LogEntry).where(LogEntry.kind == LogKind.IMPORTED)).one()
        assert (entry.actor_id, entry.practical_id) == (one.teacher.teacher_id, brought.practical_id)
    assert count(database, Teacher) == 1


def test_history_keeps_who_it_was_and_nobody_gets_an_account(database: Database) -> None:
    one, text = a_finished_class(database)
    head = emptied(database)
    brought = bring(database, head, text)
    lines = history(database, actor=head, practical_id=brought.practical_id)
    assert {line.actor for line in lines if line.is_decision} == {one.teacher.name}
    came = next(line for line in lines if line.kind == HistoryKind.BROUGHT_IN)
    assert came.actor == head.name
    with database.reading() as session:
        person = session.scalars(select(Teacher).where(Teacher.brought_in_as.is_not(None))).one()
    assert (person.name, person.is_active) == (one.teacher.name, False)
    with pytest.raises(SignInRefused):
        sign_in(database, login=person.login, password="-", address="here", now=NOW)
    with pytest.raises(Conflict, match="only a name from a file"):
        switch_colleague(database, actor=head, teacher_id=person.id, active=True, now=NOW)


def test_a_run_that_is_here_under_another_practical_keeps_the_whole_file_out(database: Database) -> None:
    one, text = a_finished_class(database)
    other = exact_json.loads(text)
    other["key"] = "00000000-0000-5000-8000-000000000000"
    with pytest.raises(Conflict, match="in another practical"):
        bring(database, one.teacher, exact_json.dumps(other))
    for run in (run for bench in other["benches"] for run in bench["runs"]):
        run["key"] = run["key"][::-1]
    with pytest.raises(Conflict, match="in another practical"):  # by its corrections alone
        bring(database, one.teacher, exact_json.dumps(other))
    other_department = a_teacher(database, "mr-ito", department="Chemistry")
    with pytest.raises(Conflict, match="in another practical"):
        bring(database, other_department, text)
    assert (count(database, Practical), count(database, Teacher)) == (1, 2)


def _changed(found: Any, *path: Any, to: Any) -> Any:
    changed = deepcopy(found)
    at = changed
    for step in path[:-1]:
        at = at[step]
    at[path[-1]] = to
    return changed


def _nested(times: int) -> list[Any]:
    """Boxes in boxes and lists in lists, around a number."""
    return [
        json.loads(opened * times + "1" + closed * times) for opened, closed in (('{"a": ', "}"), ("[", "]"))
    ]


VERSION = ("benches", 0, "runs", 0, "versions", 0)
EDITED: list[tuple[tuple[Any, ...], Any, str]] = [
    (("format",), "another-thing", "not the document"),
    (("format_version",), 2, "Bring the program up to date"),
    (("key",), "1", "at key"),
    (("software",), 1, "at software"),
    (("software",), 101 * "1", "at software"),
    (("department",), None, "at department"),
    (("practical", "state"), "over", "practical.state"),
    (("practical", "inversions"), True, "practical.inversions"),
    (("practical", "revision"), 2**31, "practical.revision"),
    (("practical", "gravity_m_per_s2"), Decimal("1e40"), "practical.gravity"),
    (("practical", "created_at"), "yesterday", "practical.created_at"),
    (("practical", "title"), "a\x00b", "practical.title"),
    (("practical", "teacher"), "nobody", "practical.teacher"),
    (("practical", "teacher"), None, "practical.teacher"),
    (("benches", 1, "runs", 0, "decisions", 0, "teacher"), None, "decisions[0].teacher"),
    (("people",), [], ".teacher"),
    (("benches", 0, "order"), 2, "at benches"),
    (("benches", 0, "runs", 0, "latest_version"), 7, "latest_version"),
    ((*VERSION, "readings", "end_temperature", "value"), "12", "end_temperature"),
    ((*VERSION, "readings"), {}, "readings"),
    (("held_wall",), {"benches": 9, "versions": 0, "decisions": 0}, "held_wall"),
    (("history", 0, "detail"), None, "history[0]"),
    (("bench_plans",), {}, "bench_plans"),
    (("results", 0, "class_value_low"), "wide", "results[0]"),
    (("results", 0, "result"), {}, "results[0].result"),
    *((("results", 0, "result", "more"), deep, "results[0].result") for deep in _nested(DEEPEST)),
    (("results", 0, "result", "separated", "interval_95"), [1], "results[0].result"),
    (("results", 0, "result", "separated", "interval_95"), [1, 2, 3], "results[0].result"),
    (("results", 0, "result", "runs", 0, "flags"), [{"rule": None}], "results[0].result"),
]
AS_FAR_AS_IT_GOES: list[tuple[tuple[Any, ...], Any]] = [
    (("software",), 100 * "1"),
    (("practical", "revision"), 2**31 - 1),
    (("results", 0, "result", "separated", "interval_95"), [1, 2]),
    *((("results", 0, "result", "more"), deep) for deep in _nested(DEEPEST - 1)),
]


def test_what_was_edited_is_refused_with_its_place_and_nothing_is_stored(
    sqlite_database: Database,
) -> None:
    one, text = a_finished_class(sqlite_database)
    found = exact_json.loads(text)
    delete_practical(sqlite_database, actor=one.teacher, practical_id=one.practical_id, now=NOW)
    for path, value, told in EDITED:
        with pytest.raises(DocumentProblem) as problem:
            bring(sqlite_database, one.teacher, exact_json.dumps(_changed(found, *path, to=value)))
        assert told in str(problem.value), path
    for path, right in AS_FAR_AS_IT_GOES:
        read_document(exact_json.dumps(_changed(found, *path, to=right)).encode())
    older = deepcopy(found)
    for run in older["benches"][1]["runs"]:
        del run["came_too_fast"]
    read, _ = read_document(exact_json.dumps(older).encode())
    assert [run.columns["came_too_fast"] for run in read.runs] == [False] * 4
    titled = exact_json.dumps(_changed(found, "practical", "title", to="HALF"))
    for half_a_sign in ("\\ud800", "\\udfff"):  # the first and the last of the halves that UTF-16 uses
        with pytest.raises(DocumentProblem, match=r"practical\.title"):
            bring(sqlite_database, one.teacher, titled.replace("HALF", half_a_sign))
    no_metal = _changed(found, "practical", "material", to="cheese")
    no_falls = _changed(found, "practical", "tube_length_m", to=Decimal("0.01"))
    no_reading = _changed(found, *VERSION, "readings", "shot_mass", "value", to=Decimal(-1))
    for edited, told in (
        (no_metal, "cheese"),
        (no_falls, "end_allowance_m"),
        (no_reading, r"Bench 2, run 1: no bench can have made these readings \(shot_mass\)"),
    ):
        with pytest.raises(Problem, match=told):
            bring(sqlite_database, one.teacher, exact_json.dumps(edited))
    assert (count(sqlite_database, Practical), count(sqlite_database, RunVersion)) == (0, 0)


def test_what_is_no_whole_document_is_told_so() -> None:
    for data, told in (
        (b"", "empty"),
        (b"  \n", "empty"),
        (b'{"format": "plumbfall-practical", "key": ', "not whole JSON"),
        (b"\xff\xfe{\x00", "not UTF-8"),
        (b"[" * 100_000, "not whole JSON"),
        (b'{"a": NaN}', "not whole JSON"),
        (b"[]", "not the document"),
        (b'\xef\xbb\xbf{"format": "plumbfall-practical", "format_version": 1}', "published form"),
        (b" " * 8 * 1024**2, "empty"),
        (b" " * (8 * 1024**2 + 1), "larger than 8 MB"),
    ):
        with pytest.raises(DocumentProblem) as problem:
            read_document(data)
        assert told in str(problem.value)
