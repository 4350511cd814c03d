"""A bench whose number is beyond the plan: its phones wait here until the teacher has let it in."""

from __future__ import annotations

from flask import g, jsonify, redirect, render_template, session, url_for
from flask.typing import ResponseReturnValue

from app.practicals.benches.own_bench import numbers_waiting, own_practical
from app.web.audience import audience, wants_json
from app.web.phone.blueprint import blueprint
from app.web.storage import database
from app.words import Message

_WAITED = "waited"


@blueprint.get("/bench/waiting")
@audience("waiting")
def waiting() -> ResponseReturnValue:
    """Tell the bench that it waits; the page's script asks until it waits no more.

    The page of a bench's runs asks as well which of them wait.
    """
    if wants_json():
        return jsonify(waits=g.bench.waits, runs=numbers_waiting(database(), actor=g.bench))
    if g.bench.waits:
        return waiting_page()
    refused_number()
    return redirect(url_for("bench.home"))


def waiting_page(problem: Message | None = None, typed: str = "") -> str:
    """The page, with what was typed as the right number if that is none."""
    session.permanent = True
    session[_WAITED] = g.bench.bench_number
    own = own_practical(database(), actor=g.bench)
    return render_template("bench/waiting.html", own=own, problem=problem, typed=typed)


def refused_number() -> int | None:
    """The number under which this phone waited in vain; told once."""
    number = session.pop(_WAITED, None)
    return number if isinstance(number, int) else None
