"""Joining with a code: easy for a class, slow for a guesser, and never by mistake for another bench."""

from __future__ import annotations

import secrets
from datetime import timedelta
from typing import Any

import pytest

from app.practicals.benches import bench_key
from app.practicals.benches.joining import (
    BenchHasRuns,
    BenchTaken,
    ClassPaused,
    WrongCode,
    find_practical_by_code,
    join_bench,
    move_bench,
)
from app.practicals.benches.own_bench import acknowledge_safety, ask_for_help, note_progress
from app.practicals.benches.phones import EndedPhones, JoinedPhone, bench_for_token, phones_since
from app.practicals.benches.rows import BadBenchNumber
from app.practicals.benches.watch import help_given, release_bench
from app.practicals.board.snapshot import current_presence
from app.practicals.lesson import states
from app.practicals.lesson.states import (
    finish_practical,
    pause_practical,
    replace_join_code,
    resume_practical,
)
from app.practicals.people import credentials
from app.practicals.runs.sending import enter_run
from app.records.engine import Database
from app.records.models import Bench, BenchPhone
from tests.practicals.a_class import NOW, AClass, a_collecting_class, an_entry, new_key, revision_of
from tests.practicals.seen import bench_details, count


def code_of(one: AClass) -> str:
    assert one.practical.join_code is not None
    return one.practical.join_code


def test_codes_are_long_random_and_cannot_be_misread() -> None:
    codes = {credentials.new_join_code() for _ in range(2000)}
    assert len(codes) > 1990
    assert all(len(code) >= 6 and set(code) <= set(credentials.CODE_ALPHABET) for code in codes)
    assert not set("0O1IL2Z5S8BUV") & set(credentials.CODE_ALPHABET)


def test_a_bench_key_is_five_digits_that_cannot_be_misheard() -> None:
    keys = {credentials.new_bench_key() for _ in range(500)}
    assert len(keys) > 400
    assert all(len(key) == 5 and set(key) <= set("23456789") for key in keys)


def test_a_code_may_be_typed_in_small_letters_with_spaces(database: Database) -> None:
    one = a_collecting_class(database)
    code = code_of(one)
    typed = f" {code[:3].lower()} - {code[3:].lower()} "
    found = find_practical_by_code(database, code=typed, address="10.0.0.1", now=NOW)
    assert (found.practical_id, found.title) == (one.practical_id, "Period 4")


def test_a_first_phone_joins_and_its_token_is_kept_as_a_digest_only(database: Database) -> None:
    one = a_collecting_class(database)
    joined = join_bench(database, code=code_of(one), bench_number=7, now=NOW)
    assert revision_of(database, one.practical_id) == one.practical.revision + 1, "every page shows it"
    assert bench_for_token(database, token=joined.token) == joined.bench
    with database.reading() as session:
        assert (
            session.query(BenchPhone).one().token_digest == credentials.digest(joined.token) != joined.token
        )


def test_a_second_phone_needs_the_bench_key(database: Database) -> None:
    one = a_collecting_class(database)
    first = join_bench(database, code=code_of(one), bench_number=7, now=NOW)
    for key, said in (("", "Type the bench key"), ("wrong", "not the key of bench 7")):
        with pytest.raises(BenchTaken, match=said):
            join_bench(database, code=code_of(one), bench_number=7, bench_key=key, now=NOW)
    second = join_bench(database, code=code_of(one), bench_number=7, bench_key=first.bench_key, now=NOW)
    assert second.bench.bench_id == first.bench.bench_id
    assert bench_details(database, actor=first.bench).phones == 2


def test_guessing_a_bench_key_stops_helping_and_the_teacher_can_let_a_phone_in(database: Database) -> None:
    one = a_collecting_class(database)
    first = join_bench(database, code=code_of(one), bench_number=7, now=NOW)
    for _ in range(12):
        with pytest.raises(BenchTaken):
            join_bench(database, code=code_of(one), bench_number=7, bench_key="00000", now=NOW)
    with pytest.raises(BenchTaken):
        join_bench(database, code=code_of(one), bench_number=7, bench_key=first.bench_key, now=NOW)
    release_bench(database, actor=one.teacher, practical_id=one.practical_id, bench_number=7, now=NOW)
    join_bench(database, code=code_of(one), bench_number=7, now=NOW)
    with pytest.raises(BenchTaken):
        join_bench(database, code=code_of(one), bench_number=7, now=NOW)


def test_keys_guessed_from_many_phones_close_a_bench_until_it_is_released(
    database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(bench_key, "MOST_FOR_A_BENCH", 3)
    one = a_collecting_class(database)
    first = join_bench(database, code=code_of(one), bench_number=7, now=NOW)
    asked: dict[str, Any] = {"code": code_of(one), "bench_number": 7, "now": NOW}
    for guess in range(3):
        with pytest.raises(BenchTaken, match="not the key"):
            join_bench(database, bench_key="00000", phone=str(guess), **asked)
    with pytest.raises(BenchTaken, match="Too many wrong keys"):
        join_bench(database, bench_key=first.bench_key, phone="another", **asked)
    release_bench(database, actor=one.teacher, practical_id=one.practical_id, bench_number=7, now=NOW)
    assert one.join(7).bench_id == first.bench.bench_id
    again = join_bench(database, bench_key=first.bench_key, phone="another", **asked)
    assert again.bench.bench_id == first.bench.bench_id, "the guesses are forgotten"


def test_a_lost_phone_is_ended_by_the_release(database: Database) -> None:
    one = a_collecting_class(database)
    lost = join_bench(database, code=code_of(one), bench_number=7, now=NOW)
    release_bench(
        database, actor=one.teacher, practical_id=one.practical_id, bench_number=7, now=NOW, end_phones=True
    )
    assert bench_for_token(database, token=lost.token) is None


def test_the_same_phone_joins_again_without_the_key(database: Database) -> None:
    one = a_collecting_class(database)
    first = join_bench(database, code=code_of(one), bench_number=7, now=NOW)
    again = join_bench(database, code=code_of(one), bench_number=7, earlier_token=first.token, now=NOW)
    assert bench_for_token(database, token=first.token) is None
    assert bench_for_token(database, token=again.token) == again.bench


def test_a_wrong_number_is_left_and_the_bench_is_free_again(database: Database) -> None:
    one = a_collecting_class(database)
    wrong = one.join(7)
    moved = move_bench(database, actor=wrong, bench_number=8, now=NOW)
    assert moved.bench.bench_number == 8
    assert one.join(7).bench_number == 7
    with pytest.raises(BenchTaken, match="still at bench 8"):
        move_bench(database, actor=moved.bench, bench_number=7, now=NOW)
    assert bench_for_token(database, token=moved.token) == moved.bench


def test_a_bench_that_has_sent_runs_keeps_its_number(database: Database) -> None:
    one = a_collecting_class(database)
    bench = one.join(7)
    enter_run(database, actor=bench, key=new_key(), entry=an_entry(), now=NOW)
    with pytest.raises(BenchHasRuns):
        move_bench(database, actor=bench, bench_number=8, now=NOW)
    assert count(database, Bench) == 1, "the number that was tried is free again"


@pytest.mark.parametrize("number", [0, -1, 100, 10**9])
def test_a_number_that_no_bench_has_is_refused(database: Database, number: int) -> None:
    one = a_collecting_class(database)
    with pytest.raises(BadBenchNumber):
        join_bench(database, code=code_of(one), bench_number=number, now=NOW)


@pytest.mark.parametrize("code", ["", "   ", "WRONG77", "' OR 1=1 --", "Ω" * 500, "A\x00B", "\ud83d"])
def test_a_wrong_code_lets_nobody_in(database: Database, code: str) -> None:
    a_collecting_class(database)
    with pytest.raises(WrongCode):
        find_practical_by_code(database, code=code, address="10.0.0.1", now=NOW)
    with pytest.raises(WrongCode):
        join_bench(database, code=code, bench_number=1, address="10.0.0.1", now=NOW)
    assert count(database, Bench) == 0


def test_the_code_lets_in_only_while_collecting(database: Database) -> None:
    one = a_collecting_class(database)
    control: dict[str, Any] = {"actor": one.teacher, "practical_id": one.practical_id, "now": NOW}
    code = code_of(one)
    pause_practical(database, **control)
    with pytest.raises(ClassPaused):
        join_bench(database, code=code, bench_number=1, now=NOW)
    resume_practical(database, **control)
    replaced = replace_join_code(database, **control).join_code
    assert replaced is not None
    with pytest.raises(WrongCode):
        join_bench(database, code=code, bench_number=1, now=NOW)
    join_bench(database, code=replaced, bench_number=1, now=NOW)
    finish_practical(database, **control)
    with pytest.raises(WrongCode):
        join_bench(database, code=replaced, bench_number=2, now=NOW)


def test_a_code_that_a_class_has_is_given_to_no_other(
    sqlite_database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    one = a_collecting_class(sqlite_database)
    new = credentials.new_join_code()
    drawn = iter([code_of(one), new])
    monkeypatch.setattr(states, "new_join_code", lambda: next(drawn))
    about: dict[str, Any] = {"actor": one.teacher, "practical_id": one.practical_id, "now": NOW}
    assert replace_join_code(sqlite_database, **about).join_code == new


def test_a_flood_of_wrong_codes_is_slowed_and_the_class_behind_the_same_address_still_gets_in(
    database: Database,
) -> None:
    one = a_collecting_class(database)
    pauses = []
    for _ in range(23):
        with pytest.raises(WrongCode) as wrong:
            find_practical_by_code(database, code=secrets.token_hex(3), address="10.0.0.1", now=NOW)
        pauses.append(wrong.value.retry_after_seconds)
    assert pauses[:20] == [0] * 20
    assert pauses[20:] == [1, 2, 3]
    assert find_practical_by_code(database, code=code_of(one), address="10.0.0.1", now=NOW)
    with pytest.raises(WrongCode) as wrong:
        find_practical_by_code(database, code="WRONG", address="10.0.0.2", now=NOW)
    assert wrong.value.retry_after_seconds == 0
    with pytest.raises(WrongCode) as wrong:
        find_practical_by_code(database, code="WRONG", address="10.0.0.1", now=NOW + timedelta(hours=2))
    assert wrong.value.retry_after_seconds == 0, "forgotten after an hour"


def test_a_bench_tells_how_far_it_is_without_waking_the_board(database: Database) -> None:
    one = a_collecting_class(database)
    bench = one.join(7)
    before = current_presence(database, one.practical_id, actor=one.teacher)
    assert before is not None
    later = NOW + timedelta(minutes=3)
    acknowledge_safety(database, actor=bench, now=NOW)
    note_progress(database, actor=bench, progress="counting", counted_so_far=23, waiting_to_send=2, now=later)
    seen = bench_details(database, actor=bench)
    assert (seen.progress, seen.counted_so_far, seen.waiting_to_send) == ("counting", 23, 2)
    assert seen.last_seen_at == later
    assert seen.safety_acknowledged_at == NOW
    after = current_presence(database, one.practical_id, actor=one.teacher)
    assert after == (before[0], before[1] + 2)
    note_progress(database, actor=bench, progress="counting", counted_so_far=23, waiting_to_send=2, now=later)
    assert current_presence(database, one.practical_id, actor=one.teacher) == after, (
        "nothing new: nobody reloads"
    )


def test_the_time_of_a_benchs_progress_is_when_it_came_to_the_step(database: Database) -> None:
    one = a_collecting_class(database)
    bench = one.join(7)
    counting, still, read = (NOW + timedelta(minutes=minutes) for minutes in (1, 2, 3))
    for step, now, since in (
        ("counting", counting, counting),
        ("counting", still, counting),
        ("end read", read, read),
    ):
        note_progress(database, actor=bench, progress=step, now=now)
        with database.reading() as session:
            assert session.query(Bench).one().progress_at == since


def test_a_raised_hand_is_seen_and_taken_down(database: Database) -> None:
    one = a_collecting_class(database)
    bench, here = one.join(7), one.practical_id
    revision, presence = current_presence(database, here, actor=one.teacher) or (0, 0)
    for _ in range(2):  # the second press finds it up
        ask_for_help(database, actor=bench, wanted=True, now=NOW)
    assert current_presence(database, here, actor=one.teacher) == (revision, presence + 1)
    assert bench_details(database, actor=bench).asked_for_help_at == NOW
    help_given(database, actor=one.teacher, practical_id=one.practical_id, bench_number=7)
    assert bench_details(database, actor=bench).asked_for_help_at is None
    ask_for_help(database, actor=bench, wanted=True, now=NOW)
    finish_practical(database, actor=one.teacher, practical_id=one.practical_id, now=NOW)
    assert bench_details(database, actor=bench).asked_for_help_at is None, "nobody waits for anybody now"


@pytest.mark.parametrize("token", ["", "nonsense", "x" * 5000])
def test_a_token_of_nobody_is_nobody(database: Database, token: str) -> None:
    assert bench_for_token(database, token=token) is None


def test_phones_since_a_moment_are_those_that_joined_then_or_later() -> None:
    second = timedelta(seconds=1)
    phones = [
        JoinedPhone(7, NOW + second),
        JoinedPhone(2, NOW),
        JoinedPhone(7, NOW),
        JoinedPhone(1, NOW - second),
    ]
    assert phones_since(phones, NOW) == EndedPhones(3, (2, 7))
