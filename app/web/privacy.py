"""What is kept about people and for how long, in plain words, for whoever asks."""

from __future__ import annotations

from flask import Blueprint, render_template
from flask.typing import ResponseReturnValue

from app.practicals.people.credentials import BROWSER_KNOWN_FOR, FAILURES_KEPT
from app.practicals.people.sessions import SESSIONS_KEPT
from app.practicals.runs.refusals import LONGEST_BENCH_WORDS
from app.practicals.upkeep.retention import RetentionRule, retention_rule, retention_rule_for_bench
from app.web.audience import audience, bench_if_joined, teacher_if_signed_in
from app.web.storage import database

blueprint = Blueprint("privacy", __name__)


@blueprint.get("/privacy")
@audience("anyone")
def page() -> ResponseReturnValue:
    """The page; a bench or a teacher reads the rule of their own department on it."""
    return render_template(
        "privacy.html",
        rule=_rule_of_the_reader(),
        session_days=SESSIONS_KEPT.days,
        browser_days=BROWSER_KNOWN_FOR.days,
        failure_hours=int(FAILURES_KEPT.total_seconds() // 3600),
        longest_words=LONGEST_BENCH_WORDS,
    )


def _rule_of_the_reader() -> RetentionRule | None:
    """The rule of the department whose bench or teacher reads this."""
    bench = bench_if_joined()
    if bench is not None:
        return retention_rule_for_bench(database(), actor=bench)
    teacher = teacher_if_signed_in()
    return None if teacher is None else retention_rule(database(), department_id=teacher.department_id)
