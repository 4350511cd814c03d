"""The bench itself: its key for a second phone, a wrong number put right, a hand up for help."""

from __future__ import annotations

from flask import flash, g, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _

from app.practicals.benches import joining as join
from app.practicals.benches.own_bench import LessonOver, ask_for_help, own_practical
from app.records.choices import PracticalState
from app.records.errors import Problem
from app.web.audience import audience, now, set_token
from app.web.forms import ON_OFF, pressed
from app.web.languages import say
from app.web.phone import draft
from app.web.phone.blueprint import blueprint
from app.web.phone.join import JOINED_DAYS, bench_number
from app.web.storage import database
from app.words import Message


@blueprint.get("/bench/ours")
@audience("bench")
def ours() -> ResponseReturnValue:
    """The bench's own page."""
    return _page(None, "")


@blueprint.post("/bench/move")
@audience("bench")
def move() -> ResponseReturnValue:
    """The wrong number was chosen at joining."""
    typed = request.form.get("number", "")
    try:
        joined = join.move_bench(
            database(),
            actor=g.bench,
            bench_number=bench_number(typed),
            bench_key=request.form.get("key", "")[:40],
            now=now(),
        )
    except Problem as problem:
        return _page(problem.message, typed[:20]), 422
    draft.follow(g.bench.bench_id, joined.bench.bench_id)
    flash(_("This phone is now at bench %(bench)s.", bench=joined.bench.bench_number), "good")
    return set_token(redirect(url_for("bench.safety")), "bench", joined.token, JOINED_DAYS)


@blueprint.post("/bench/help")
@audience("bench")
def call_for_help() -> ResponseReturnValue:
    """Put the bench's hand up, or down."""
    try:
        ask_for_help(database(), actor=g.bench, wanted=pressed("wanted", ON_OFF), now=now())
    except LessonOver as over:
        flash(say(over.message), "bad")
    return redirect(url_for("bench.ours"))


def _page(problem: Message | None, typed: str) -> str:
    own = own_practical(database(), actor=g.bench)
    return render_template(
        "bench/ours.html",
        bench=own.bench,
        finished=own.practical.state == PracticalState.FINISHED,
        problem=problem,
        typed=typed,
    )
