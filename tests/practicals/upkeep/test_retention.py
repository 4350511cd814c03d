"""How long practicals are kept by a department's rule: words go first, nothing without a month's notice."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest
from sqlalchemy import select

from app.practicals.lesson.deletions import deletions
from app.practicals.lesson.plan import plan_practical
from app.practicals.lesson.states import finish_practical, reopen_practical
from app.practicals.people.departments import HeadsOnly
from app.practicals.people.log import log_page
from app.practicals.runs.decisions import set_aside
from app.practicals.runs.reading import OWN_CALCULATION
from app.practicals.runs.sending import correct_run, enter_run
from app.practicals.upkeep.retention import (
    NOTICE,
    NoSuchRule,
    RetentionRule,
    WordsOutliveRuns,
    apply_rules,
    going_soon,
    retention_rule,
    retention_rule_for_bench,
    set_retention_rule,
)
from app.records.append_only import REMOVED
from app.records.choices import LogKind
from app.records.engine import Database
from app.records.models import Decision, Practical, RunVersion, StateChange
from tests.practicals.a_class import NOW, AClass, a_collecting_class, a_plan, a_teacher, an_entry, new_key
from tests.practicals.seen import practicals_of_department

HELD = date(2031, 3, 6)
SET = date(2033, 1, 10)
WORDS_GO, ALL_GOES = date(2033, 3, 6), date(2036, 3, 6)
A_DAY = timedelta(days=1)


@pytest.fixture
def one(database: Database) -> AClass:
    """A finished class with a corrected run and a decision, both with words."""
    made = a_collecting_class(database, held_on=HELD, own_questions={"spread": "Whose is furthest out?"})
    bench = made.join(3)
    run = enter_run(database, actor=bench, key=new_key(), entry=an_entry(), now=NOW)
    for reason, own in (("Sam misread it", False), ("", True)):
        correct_run(
            database,
            actor=bench,
            run_id=run.run_id,
            key=new_key(),
            entry=an_entry("341"),
            reason=reason,
            own_calculation=own,
            now=NOW,
        )
    set_aside(
        database,
        actor=made.teacher,
        run_id=run.run_id,
        reason="Priya's count",
        expected_revision=3,
        now=NOW,
    )
    finish_practical(database, actor=made.teacher, practical_id=made.practical_id, now=NOW)
    return made


@pytest.fixture
def head(database: Database, one: AClass):
    """The head, with a rule: words two years, everything five."""
    head = a_teacher(database, "head", is_head=True)
    set_retention_rule(database, actor=head, words_years=2, runs_years=5, today=SET, now=NOW)
    return head


def _reasons(database: Database) -> list[str]:
    with database.reading() as session:
        return [
            *session.scalars(select(RunVersion.reason).order_by(RunVersion.id)),
            *session.scalars(select(Decision.reason)),
        ]


def test_the_words_go_first_and_the_readings_stay(database: Database, one: AClass, head) -> None:
    assert apply_rules(database, today=WORDS_GO, now=NOW) == 0, "kept through that day"
    assert _reasons(database) == ["", "Sam misread it", OWN_CALCULATION, "Priya's count"]
    assert apply_rules(database, today=WORDS_GO + A_DAY, now=NOW) == 1
    assert _reasons(database) == ["", REMOVED, OWN_CALCULATION, REMOVED]
    with database.reading() as session:
        practical = session.get_one(Practical, one.practical_id)
        assert (practical.own_questions, practical.words_removed_at) == (None, NOW)
        kinds = session.scalars(select(StateChange.kind).order_by(StateChange.id)).all()
        assert kinds[-1] == "words removed by rule"
    assert log_page(database, actor=head).lines[0].kind == LogKind.WORDS_REMOVED_BY_RULE
    assert apply_rules(database, today=WORDS_GO + A_DAY, now=NOW) == 0, "once is enough"


def test_then_all_of_it_goes_and_the_log_says_by_which_rule(database: Database, one: AClass, head) -> None:
    assert apply_rules(database, today=ALL_GOES, now=NOW) == 1, "the words alone"
    assert apply_rules(database, today=ALL_GOES + A_DAY, now=NOW) == 1
    assert practicals_of_department(database, actor=head) == []
    [gone] = deletions(database, actor=head)
    assert (gone.runs, gone.deleted_by, gone.delete_after) == (1, None, ALL_GOES)
    assert log_page(database, actor=head).lines[0].kind == LogKind.DELETED_BY_RULE


def test_nothing_goes_within_a_month_of_a_shorter_rule(database: Database, one: AClass, head) -> None:
    year_longer: dict[str, Any] = {"words_years": 2, "runs_years": 6, "today": SET + A_DAY, "now": NOW}
    assert set_retention_rule(database, actor=head, **year_longer) == RetentionRule(2, 6, SET)
    late = ALL_GOES + timedelta(days=400)
    set_retention_rule(database, actor=head, words_years=None, runs_years=3, today=late, now=NOW)
    assert apply_rules(database, today=late + NOTICE, now=NOW) == 0
    [going] = going_soon(database, actor=head, today=late)
    assert (going.after, going.words_only, going.by_rule) == (late + NOTICE, False, True)
    longer = late + timedelta(days=20)
    rule = set_retention_rule(database, actor=head, words_years=None, runs_years=4, today=longer, now=NOW)
    assert rule == RetentionRule(None, 4, late), "a longer rule needs no notice"
    kept = log_page(database, actor=head, kind=LogKind.KEPT_RULE_CHANGED).lines
    assert [line.detail for line in kept] == ["– · 4", "– · 3", "2 · 6", "2 · 5"]
    assert apply_rules(database, today=late + NOTICE + A_DAY, now=NOW) == 1


def test_what_goes_is_listed_a_month_before(database: Database, one: AClass, head) -> None:
    own = a_plan(title="Its own day", held_on=HELD, delete_after=WORDS_GO - A_DAY)
    plan_practical(database, actor=one.teacher, plan=own, now=NOW)
    assert going_soon(database, actor=head, today=WORDS_GO - NOTICE - 2 * A_DAY) == ()
    first = going_soon(database, actor=head, today=WORDS_GO - NOTICE - A_DAY)
    assert [(item.title, item.words_only, item.by_rule) for item in first] == [("Its own day", False, False)]
    both = going_soon(database, actor=one.teacher, today=WORDS_GO - NOTICE)
    assert [(item.after, item.words_only) for item in both] == [(WORDS_GO - A_DAY, False), (WORDS_GO, True)]
    elsewhere = a_teacher(database, "other", department="Another school")
    assert going_soon(database, actor=elsewhere, today=WORDS_GO) == ()
    set_retention_rule(database, actor=head, words_years=2, runs_years=2, today=SET, now=NOW)
    at_once = going_soon(database, actor=one.teacher, today=WORDS_GO - NOTICE)
    assert [(item.after, item.words_only) for item in at_once] == [
        (WORDS_GO - A_DAY, False),
        (WORDS_GO, False),
    ], "words that go with all of it are no line of their own"


def test_an_open_class_stays(database: Database, one: AClass, head) -> None:
    opened = reopen_practical(database, actor=head, practical_id=one.practical_id, now=NOW)
    bench = replace(one, practical=opened).join(2)
    assert apply_rules(database, today=ALL_GOES + A_DAY, now=NOW) == 0
    finish_practical(database, actor=head, practical_id=one.practical_id, now=NOW)
    assert retention_rule_for_bench(database, actor=bench) == RetentionRule(2, 5, SET)
    assert apply_rules(database, today=ALL_GOES + A_DAY, now=NOW) == 1
    assert retention_rule_for_bench(database, actor=bench) is None, "gone meanwhile"


def test_a_leap_days_lesson_is_kept_to_the_end_of_february() -> None:
    assert RetentionRule(None, 1).runs_go_after(date(2032, 2, 29)) == date(2033, 2, 28)
    assert RetentionRule(4, None).words_go_after(date(2032, 2, 29)) == date(2036, 2, 29)


def test_only_a_head_sets_a_rule_and_only_a_possible_one(database: Database, one: AClass, head) -> None:
    with pytest.raises(HeadsOnly):
        set_retention_rule(database, actor=one.teacher, words_years=1, runs_years=1, today=SET, now=NOW)
    for words, runs, refused in ((0, 5, NoSuchRule), (None, 31, NoSuchRule), (6, 5, WordsOutliveRuns)):
        with pytest.raises(refused):
            set_retention_rule(database, actor=head, words_years=words, runs_years=runs, today=SET, now=NOW)
    assert retention_rule(database, department_id=head.department_id) == RetentionRule(2, 5, SET)
