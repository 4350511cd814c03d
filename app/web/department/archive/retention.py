"""How long the department keeps its practicals: the rule, which the head changes, and what goes soon."""

from __future__ import annotations

from flask import g, render_template, request
from flask.typing import ResponseReturnValue
from flask_babel import gettext

from app.physics.reading.readings import ReadingProblem
from app.practicals.upkeep.retention import (
    NoSuchRule,
    RetentionRule,
    WordsOutliveRuns,
    going_soon,
    retention_rule,
    set_retention_rule,
)
from app.records.models.people import MOST_YEARS_KEPT
from app.web.audience import audience, now
from app.web.department.blueprint import blueprint, done
from app.web.forms import TypedForm, whole_number
from app.web.storage import database, settings
from app.words import Message

FIELDS = ("words_years", "runs_years")


@blueprint.get("/keeping")
@audience("staff")
def keeping() -> ResponseReturnValue:
    """The rule, and what goes within a month by it or by a practical's own day."""
    rule = retention_rule(database(), department_id=g.teacher.department_id)
    shown = {"words_years": rule.words_years, "runs_years": rule.runs_years}
    return _page(rule, TypedForm.of({}, FIELDS, {name: str(years or "") for name, years in shown.items()}))


@blueprint.post("/keeping")
@audience("head")
def set_keeping() -> ResponseReturnValue:
    """Another rule."""
    form = TypedForm.of(request.form, FIELDS)
    words, runs = (form.read_optional(name, _years) for name in FIELDS)
    if not form.problems:
        try:
            set_retention_rule(
                database(),
                actor=g.teacher,
                words_years=words,
                runs_years=runs,
                today=settings().local_day(now()),
                now=now(),
            )
        except WordsOutliveRuns as problem:
            form.refuse("words_years", problem.message)
    if form.problems:
        return _page(retention_rule(database(), department_id=g.teacher.department_id), form), 422
    return done(gettext("The rule is kept."), "department.keeping")


def _page(rule: RetentionRule, form: TypedForm) -> str:
    going = going_soon(database(), actor=g.teacher, today=settings().local_day(now()))
    return render_template("department/keeping.html", rule=rule, form=form, going=going, most=MOST_YEARS_KEPT)


def _years(typed: str) -> int:
    years = whole_number(typed, 1, MOST_YEARS_KEPT)
    if years is None:
        raise ReadingProblem(Message(NoSuchRule.sentence, {"most": str(MOST_YEARS_KEPT)}))
    return years
