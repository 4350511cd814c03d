"""Runs are stored exactly once, corrected in the open, and refused in words."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from sqlalchemy import select

from app.practicals.benches.own_bench import at_bench, note_progress, own_practical
from app.practicals.benches.rows import BadBenchNumber
from app.practicals.lesson.details import Typed
from app.practicals.lesson.states import finish_practical, pause_practical, reopen_practical
from app.practicals.runs import storing
from app.practicals.runs.reading import NoSuchRun, one_run
from app.practicals.runs.refusals import (
    LONGEST_REASON,
    BadKey,
    KeyUsedOtherwise,
    PracticalClosed,
    ReasonMissing,
    RunChangedMeanwhile,
    TooManyRuns,
)
from app.practicals.runs.sending import correct_run, enter_run
from app.records.engine import Database
from app.records.models import Practical, Run, RunVersion
from tests.practicals.a_class import NOW, a_collecting_class, a_teacher, an_entry, new_key
from tests.practicals.seen import bench_details, bench_runs, count


def test_a_run_is_kept_as_typed_and_as_an_exact_number(database: Database) -> None:
    one = a_collecting_class(database)
    bench = one.join(3)
    entry = an_entry(shot_mass=Typed("0,3400 kg", Decimal("0.3400"), "kg"))
    saved = enter_run(database, actor=bench, key=new_key(), entry=entry, now=NOW, start_read_at=NOW)
    assert (saved.bench_number, saved.number, saved.version, saved.repeated) == (3, 1, 1, False)
    (kept,) = bench_runs(database, actor=bench)
    assert kept.entry.shot_mass == Typed("0,3400 kg", Decimal("0.3400"), "kg")
    assert (str(kept.entry.shot_mass.value), str(kept.entry.warming_K)) == ("0.3400", "2.2")
    assert kept.entry.room_temperature is None
    assert (kept.left_to_ask, kept.corrected) == (False, False), "the phone could ask"
    assert kept.first_sent_at == NOW == kept.start_read_at
    assert kept.first_sent_at.utcoffset() is not None


def test_a_send_says_how_far_the_bench_is_and_how_many_runs_its_phone_still_holds(
    database: Database,
) -> None:
    one = a_collecting_class(database)
    bench = one.join(3)
    assert at_bench(database, actor=bench).next_run == 1
    note_progress(database, actor=bench, progress="counting", counted_so_far=23, now=NOW)
    for number, (waiting, held) in enumerate([(2, 2), (None, 2), (0, 0)], 1):
        now = NOW + timedelta(minutes=number)
        enter_run(database, actor=bench, key=new_key(), entry=an_entry(), now=now, waiting_to_send=waiting)
        seen = bench_details(database, actor=bench)
        assert (seen.progress, seen.counted_so_far, seen.last_seen_at) == ("sent", None, now)
        assert seen.waiting_to_send == held, "a phone that does not say so holds what it held"
        for found in (at_bench(database, actor=bench), own_practical(database, actor=bench)):
            assert found.last_run is not None
            assert (found.last_run.number, found.next_run) == (number, number + 1)


def test_the_same_run_sent_again_gets_the_same_answer_and_one_row(database: Database) -> None:
    one = a_collecting_class(database)
    bench, key = one.join(3), new_key()
    first = enter_run(database, actor=bench, key=key, entry=an_entry(), now=NOW)
    again = enter_run(database, actor=bench, key=key, entry=an_entry(), now=NOW)
    assert again.repeated
    assert (again.run_id, again.number) == (first.run_id, first.number)
    assert again.revision == first.revision, "a repeated send changes nothing that a page shows"
    assert count(database, Run) == count(database, RunVersion) == 1


def test_the_same_key_with_other_readings_is_refused_and_nothing_changes(database: Database) -> None:
    one = a_collecting_class(database)
    bench, key = one.join(3), new_key()
    enter_run(database, actor=bench, key=key, entry=an_entry(), now=NOW)
    with pytest.raises(KeyUsedOtherwise, match="stored before with other readings"):
        enter_run(database, actor=bench, key=key, entry=an_entry(end="22.4"), now=NOW)
    with pytest.raises(KeyUsedOtherwise):
        enter_run(database, actor=one.join(4), key=key, entry=an_entry(), now=NOW)
    assert count(database, RunVersion) == 1


def test_a_stored_run_still_answers_after_the_class_is_finished(database: Database) -> None:
    one = a_collecting_class(database)
    bench, key = one.join(3), new_key()
    first = enter_run(database, actor=bench, key=key, entry=an_entry(), now=NOW, left_to_ask=True)
    assert [run.number for run in own_practical(database, actor=bench).unanswered] == [1]
    finish_practical(database, actor=one.teacher, practical_id=one.practical_id, now=NOW)
    assert own_practical(database, actor=bench).unanswered == (), "it asks nothing any more"
    assert enter_run(database, actor=bench, key=key, entry=an_entry(), now=NOW).run_id == first.run_id


@pytest.mark.parametrize(("close", "words"), [(finish_practical, "finished"), (pause_practical, "paused")])
def test_a_run_after_closing_is_refused_in_words_and_taken_after_reopening(database, close, words) -> None:
    one = a_collecting_class(database)
    bench, key = one.join(3), new_key()
    close(database, actor=one.teacher, practical_id=one.practical_id, now=NOW)
    with pytest.raises(PracticalClosed, match=words) as refusal:
        enter_run(database, actor=bench, key=key, entry=an_entry(), now=NOW)
    assert refusal.value.state == words
    assert count(database, Run) == 0
    if words == "finished":
        reopen_practical(database, actor=one.teacher, practical_id=one.practical_id, now=NOW)
        assert enter_run(database, actor=bench, key=key, entry=an_entry(), now=NOW).number == 1


def test_a_teacher_enters_for_a_bench_that_has_no_phone(database: Database) -> None:
    one = a_collecting_class(database)
    saved = enter_run(
        database,
        actor=one.teacher,
        practical_id=one.practical_id,
        bench_number=9,
        key=new_key(),
        entry=an_entry(),
        now=NOW,
    )
    assert (saved.bench_number, saved.number) == (9, 1)
    assert one_run(database, actor=one.teacher, run_id=saved.run_id).entered_by == "teacher"
    assert one.join(9).bench_number == 9, "a phone may still join that bench"


def test_a_correction_keeps_the_earlier_version_and_its_reason(database: Database) -> None:
    one = a_collecting_class(database)
    bench = one.join(3)
    run = enter_run(database, actor=bench, key=new_key(), entry=an_entry(end="31.4"), now=NOW)
    key = new_key()
    corrected = correct_run(
        database, actor=bench, run_id=run.run_id, key=key, entry=an_entry(), reason="read 31 for 21", now=NOW
    )
    again = correct_run(
        database, actor=bench, run_id=run.run_id, key=key, entry=an_entry(), reason="read 31 for 21", now=NOW
    )
    assert (corrected.version, again.version, again.repeated) == (2, 2, True)
    with database.reading() as session:
        versions = session.scalars(select(RunVersion).order_by(RunVersion.version)).all()
        assert [str(v.end_temperature_C) for v in versions] == ["31.4", "21.4"]
        assert versions[1].reason == "read 31 for 21"
    (kept,) = bench_runs(database, actor=bench)
    assert (kept.version, kept.corrected, kept.entry.end_temperature.raw) == (2, True, "21.4")


def test_a_correction_keeps_the_moment_at_which_that_runs_start_was_read(database: Database) -> None:
    one = a_collecting_class(database)
    bench, sent = one.join(3), []
    for minutes in (9, 4):
        read = NOW - timedelta(minutes=minutes)
        sent.append(
            enter_run(database, actor=bench, key=new_key(), entry=an_entry(), now=NOW, start_read_at=read)
        )
    for saved in sent:
        corrected = an_entry(end="21.5")
        more: dict[str, Any] = {"key": new_key(), "entry": corrected, "reason": "misread", "now": NOW}
        correct_run(database, actor=bench, run_id=saved.run_id, **more)
    kept = [run.start_read_at for run in bench_runs(database, actor=bench)]
    assert kept == [NOW - timedelta(minutes=9), NOW - timedelta(minutes=4)]


def test_a_bench_cannot_see_or_correct_another_benchs_run(database: Database) -> None:
    one = a_collecting_class(database)
    mine, other = one.join(3), one.join(4)
    run = enter_run(database, actor=mine, key=new_key(), entry=an_entry(), now=NOW)
    with pytest.raises(NoSuchRun):
        one_run(database, actor=other, run_id=run.run_id)
    with pytest.raises(NoSuchRun):
        correct_run(
            database, actor=other, run_id=run.run_id, key=new_key(), entry=an_entry(), reason="", now=NOW
        )
    assert count(database, RunVersion) == 1


def test_a_teacher_of_another_department_sees_no_such_run(database: Database) -> None:
    one = a_collecting_class(database)
    run = enter_run(database, actor=one.join(3), key=new_key(), entry=an_entry(), now=NOW)
    stranger = a_teacher(database, "stranger", "Elsewhere", is_head=True)
    with pytest.raises(NoSuchRun):
        one_run(database, actor=stranger, run_id=run.run_id)


def test_a_bench_corrects_only_while_collecting_and_a_teacher_needs_a_reason(database: Database) -> None:
    one = a_collecting_class(database)
    bench = one.join(3)
    run = enter_run(database, actor=bench, key=new_key(), entry=an_entry(), now=NOW)
    change: dict[str, Any] = {"run_id": run.run_id, "entry": an_entry(end="22.0"), "now": NOW}
    with pytest.raises(ReasonMissing):
        correct_run(database, actor=one.teacher, key=new_key(), reason="  ", **change)
    with pytest.raises(ReasonMissing):
        correct_run(database, actor=one.teacher, key=new_key(), reason="x" * (LONGEST_REASON + 1), **change)
    pause_practical(database, actor=one.teacher, practical_id=one.practical_id, now=NOW)
    with pytest.raises(PracticalClosed):
        correct_run(database, actor=bench, key=new_key(), reason="", **change)
    longest = correct_run(database, actor=one.teacher, key=new_key(), reason="x" * LONGEST_REASON, **change)
    assert longest.version == 2


def test_the_second_to_correct_is_told_that_the_run_changed(database: Database) -> None:
    one = a_collecting_class(database)
    bench = one.join(3)
    run = enter_run(database, actor=bench, key=new_key(), entry=an_entry(), now=NOW)
    seen = one_run(database, actor=bench, run_id=run.run_id).run_revision
    change: dict[str, Any] = {
        "actor": bench,
        "run_id": run.run_id,
        "reason": "",
        "now": NOW,
        "expected_revision": seen,
    }
    correct_run(database, key=new_key(), entry=an_entry(end="22.0"), **change)
    with pytest.raises(RunChangedMeanwhile):
        correct_run(database, key=new_key(), entry=an_entry(end="23.0"), **change)


def test_a_bench_has_up_to_two_hundred_runs_and_is_told_so(
    database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert storing.MOST_RUNS == 200
    monkeypatch.setattr(storing, "MOST_RUNS", 4)
    one = a_collecting_class(database)
    bench = one.join(3)
    for _ in range(7):
        enter_run(database, actor=bench, key=new_key(), entry=an_entry(), now=NOW)
    with pytest.raises(TooManyRuns) as refusal:  # three came in time, four too fast
        enter_run(database, actor=bench, key=new_key(), entry=an_entry(), now=NOW)
    assert "200 runs" in str(refusal.value.message)
    later = NOW + timedelta(hours=1)
    honest = enter_run(database, actor=bench, key=new_key(), entry=an_entry(), now=later)
    assert (honest.number, honest.waits) == (8, False), "a flood keeps no other run out"
    with pytest.raises(TooManyRuns):
        enter_run(database, actor=bench, key=new_key(), entry=an_entry(), now=later)
    assert count(database, Run) == 8
    other = enter_run(database, actor=one.join(4), key=new_key(), entry=an_entry(), now=NOW)
    assert other.number == 1


def test_warming_below_zero_is_odd_and_kept(database: Database) -> None:
    one = a_collecting_class(database)
    bench = one.join(3)
    enter_run(database, actor=bench, key=new_key(), entry=an_entry(start="21.4", end="19.2"), now=NOW)
    assert count(database, Run) == 1


@pytest.mark.parametrize("key", ["", "short", "x" * 65, "spaces are not allowed here", "ключ-из-букв-12345"])
def test_a_run_without_a_usable_key_is_refused(sqlite_database: Database, key: str) -> None:
    one = a_collecting_class(sqlite_database)
    bench = one.join(3)
    with pytest.raises(BadKey):
        enter_run(sqlite_database, actor=bench, key=key, entry=an_entry(), now=NOW)


@pytest.mark.parametrize("key", ["0123456789abcdef", "x" * 64, "-_-_-_-_-_-_-_-_", "AZaz09-_AZaz09-_"])
def test_a_key_of_ours_is_taken_at_either_length_with_every_character(
    sqlite_database: Database, key: str
) -> None:
    one = a_collecting_class(sqlite_database)
    assert enter_run(sqlite_database, actor=one.join(1), key=key, entry=an_entry(), now=NOW).number == 1


@pytest.mark.parametrize("number", [1, 99])
def test_a_teacher_enters_for_the_first_and_for_the_last_bench(
    sqlite_database: Database, number: int
) -> None:
    one = a_collecting_class(sqlite_database)
    where: dict[str, Any] = {"actor": one.teacher, "practical_id": one.practical_id, "bench_number": number}
    assert enter_run(sqlite_database, key=new_key(), entry=an_entry(), now=NOW, **where).number == 1
    for none in (0, 100):
        with pytest.raises(BadBenchNumber):
            enter_run(
                sqlite_database, key=new_key(), entry=an_entry(), now=NOW, **where | {"bench_number": none}
            )


def test_every_write_that_a_page_shows_raises_the_revision_by_one(database: Database) -> None:
    one = a_collecting_class(database)
    bench = one.join(3)
    seen = []
    for _ in range(3):
        enter_run(database, actor=bench, key=new_key(), entry=an_entry(), now=NOW)
        with database.reading() as session:
            seen.append(session.get_one(Practical, one.practical_id).revision)
    assert seen == [seen[0], seen[0] + 1, seen[0] + 2]
