"""The rule of how long records are kept, on its page, and what everybody may read about it."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from app.practicals.lesson.plan import plan_practical
from app.practicals.people.actors import TeacherIdentity
from app.practicals.upkeep.retention import retention_rule
from app.records.engine import Database
from tests.practicals.a_class import NOW, a_plan
from tests.web.desk.conftest import Reader

KEEPING = "/department/keeping"


def test_the_head_sets_the_rule_and_the_others_read_it(
    heads_desk: Reader, desk: Reader, nobody: Reader, the_head: TeacherIdentity, sqlite_database: Database
) -> None:
    assert "Practicals stay until somebody deletes them" in desk.text(KEEPING)
    assert desk.post(KEEPING, words_years="1", runs_years="5").status_code == 403
    assert heads_desk.post(KEEPING, words_years="1", runs_years=" 5 ").status_code == 303
    rule = retention_rule(sqlite_database, department_id=the_head.department_id)
    assert (rule.words_years, rule.runs_years) == (1, 5)
    assert "The rule is kept." in heads_desk.text(KEEPING)
    page = desk.text(KEEPING)
    assert "Words go 1 year after the lesson" in page
    assert "All of it goes 5 years after the lesson" in page
    assert "All of it goes 5 years after the lesson" in desk.text("/privacy")
    page = nobody.text("/privacy")
    assert "Each department sets" in page
    assert "a digest of where it came from, for 1 hour." in page


def test_what_cannot_be_a_rule_is_answered_at_its_field_and_kept_as_typed(
    heads_desk: Reader, the_head: TeacherIdentity, sqlite_database: Database
) -> None:
    for words, runs, sentence in (
        ("soon", "5", "Keep something for 1 to 30 years"),
        ("", "0", "Keep something for 1 to 30 years"),
        ("6", "5", "Words cannot be kept longer"),
    ):
        answer = heads_desk.post(KEEPING, words_years=words, runs_years=runs)
        assert answer.status_code == 422
        assert sentence in answer.text
        assert f'value="{words}"' in answer.text
        assert f'value="{runs}"' in answer.text
    rule = retention_rule(sqlite_database, department_id=the_head.department_id)
    assert (rule.words_years, rule.runs_years) == (None, None)


def test_what_goes_within_a_month_stands_on_the_page_and_at_the_lists_head(
    desk: Reader, teacher: TeacherIdentity, sqlite_database: Database
) -> None:
    assert "Nothing goes within a month" in desk.text(KEEPING)
    assert "within a month" not in desk.text("/desk/")
    soon = datetime.now(UTC).date() + timedelta(days=10)
    plan = a_plan(title="Set 2", held_on=soon - timedelta(days=400), delete_after=soon)
    plan_practical(sqlite_database, actor=teacher, plan=plan, now=NOW)
    assert "its own delete-after day" in desk.text(KEEPING)
    assert "1 of your practicals goes within a month" in desk.text("/desk/")
