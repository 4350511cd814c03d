"""What is asked of the results that were kept, on both databases."""

from __future__ import annotations

from datetime import date

from sqlalchemy import select

from app.analysis.figure import Figure
from app.practicals.archive.over_years import (
    YearPage,
    heat_sinks,
    metals_with_results,
    newest_finished_day,
    one_at_a_glance,
    results_of_metal,
    year_at_a_glance,
)
from app.practicals.lesson.plan import plan_practical
from app.records.engine import Database
from app.records.models import KeptResult
from tests.practicals.a_class import NOW, a_plan, a_teacher
from tests.practicals.archive.stored import RUNS, stored

VALUE, HEAT, SINK = Figure(160.0, (150.0, 170.0)), Figure(129.0), Figure(30.0, (25.0, 35.0))


def test_each_finished_practical_stands_with_what_was_kept_last(database: Database) -> None:
    teacher, stranger = a_teacher(database), a_teacher(database, "stranger", department="Chemistry")
    later = stored(database, teacher, VALUE, HEAT, SINK, held_on=date(2031, 9, 1))
    earlier = stored(database, teacher, Figure(140.0), held_on=date(2030, 9, 1))
    copper = stored(database, teacher, VALUE, None, SINK, material="copper")
    stored(database, teacher, held_on=date(2032, 1, 1))
    plan_practical(database, actor=teacher, plan=a_plan(), now=NOW)
    with database.writing() as session:  # kept again after a decision
        first = session.scalars(select(KeptResult).where(KeptResult.practical_id == later)).one()
        again = {column.name: getattr(first, column.name) for column in KeptResult.__table__.columns}
        del again["id"]
        session.add(KeptResult(**{**again, "class_value_J_per_kg_K": 161.0}))
    metals = metals_with_results(database, actor=teacher)
    assert list(metals.items()) == [("lead", 2), ("copper", 1)], "the most frequent first"
    found = results_of_metal(database, actor=teacher, metal="lead")
    assert [one.practical_id for one in found] == [earlier, later]
    assert [one.figures.class_value for one in found] == [Figure(140.0), Figure(161.0, VALUE.interval)]
    assert [one.figures.specific_heat for one in found] == [None, HEAT]
    assert heat_sinks(database, actor=teacher) == (SINK, SINK)
    page = year_at_a_glance(database, actor=teacher, year=2030)
    assert [one.of.practical_id for one in page.practicals] == [copper, earlier]
    assert list(page.practicals[0].runs) == RUNS
    assert year_at_a_glance(database, actor=teacher, year=1999, page=2) == YearPage((), 1, 1, 0)
    assert newest_finished_day(database, actor=teacher) == date(2032, 1, 1)
    alone = one_at_a_glance(database, actor=teacher, practical_id=copper)
    assert alone == page.practicals[0]
    assert one_at_a_glance(database, actor=stranger, practical_id=later) is None
    assert metals_with_results(database, actor=stranger) == {}
    assert heat_sinks(database, actor=stranger) == ()
