"""A phone and its bench: the code, its number, the safety step, a wrong number put right, help, a test."""

from __future__ import annotations

import re
from datetime import timedelta

from flask import flash, g, redirect, render_template, request, session, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _

from app.physics.materials import MATERIALS
from app.practicals.benches import joining
from app.practicals.benches.ice_point import ice_point_of
from app.practicals.benches.joining import BenchTaken, WrongCode
from app.practicals.benches.own_bench import LessonOver, acknowledge_safety, ask_for_help, own_practical
from app.practicals.benches.phones import bench_ended_by_teacher
from app.practicals.people.credentials import tidy_code
from app.reach.steps import REACHED, TEST_PATH
from app.records.choices import PracticalState
from app.records.errors import Problem, Unprocessable
from app.web.audience import audience, bench_if_joined, now, own_token, place, set_token, this_browser
from app.web.errors import retry_after
from app.web.forms import ON_OFF, bench_number, pressed
from app.web.languages import say
from app.web.phone import draft
from app.web.phone.blueprint import blueprint
from app.web.phone.ice_point import is_asked_for
from app.web.phone.waiting import refused_number, waiting_page
from app.web.storage import database
from app.words import N_, Message

JOINED_FOR = timedelta(days=30)
_CODE = "code"
"""In this phone's signed cookie: the code of the class that it joined, which may have ended since."""
NO_CODE = N_("Nothing was typed. Type the code on the wall or on your bench's card.")


@blueprint.get("/")
@audience("anyone")
def entry() -> ResponseReturnValue:
    """Say which bench this phone is; one that is at none is asked for the code of its class."""
    return _entry_page()


@blueprint.post("/code")
@audience("anyone")
def enter_code() -> ResponseReturnValue:
    """A typed code leads to the same page as the link on the wall."""
    typed = request.form.get("code", "")
    if not typed.strip():
        return _entry_page(Unprocessable(Message(NO_CODE))), 422
    if _is_of_own_class(typed):
        return redirect(url_for("bench.home"))
    try:
        joining.find_practical_by_code(database(), code=typed, address=place(), now=now())
    except Problem as problem:
        return _refused(problem, typed)
    return redirect(url_for("bench.choose", code=tidy_code(typed)))


@blueprint.get("/j/<code>")
@audience("anyone")
def choose(code: str) -> ResponseReturnValue:
    """The link on the wall, or on a card, which names its bench: which bench is this?"""
    if _is_of_own_class(code):
        return redirect(url_for("bench.home"))
    try:
        found = joining.find_practical_by_code(database(), code=code, address=place(), now=now())
    except Problem as problem:
        return _refused(problem, code)
    mine = bench_if_joined()
    if mine is not None and mine.practical_id == found.practical_id:
        _remember(code)
        return redirect(url_for("bench.home"))
    named = request.args.get("bench", "")
    return _choose(found, code, named=int(named) if re.fullmatch("[1-9][0-9]?", named) else None)


@blueprint.post("/j/<code>")
@audience("anyone")
def join_bench(code: str) -> ResponseReturnValue:
    """Join this phone to a bench."""
    typed, key = request.form.get("number", ""), request.form.get("key", "")
    try:
        found = joining.find_practical_by_code(database(), code=code, address=place(), now=now())
    except Problem as problem:
        return _refused(problem, code)
    try:
        joined = joining.join_bench(
            database(),
            code=code,
            bench_number=bench_number(typed),
            bench_key=key[:40],
            address=place(),
            earlier_token=own_token("bench"),
            phone=this_browser(),
            now=now(),
        )
    except BenchTaken as problem:
        shown = problem.message if "key" in request.form else None  # before, its field was not on the page
        return _choose(found, code, typed, taken=int(typed), problem=shown), 422 if shown else 200
    except Problem as problem:
        return _choose(found, code, typed, problem=problem.message), 422
    _remember(code)
    return set_token(redirect(url_for("bench.safety")), "bench", joined.token, JOINED_FOR)


@blueprint.get("/bench/safety")
@audience("bench")
def safety() -> ResponseReturnValue:
    """What can hurt with this metal; once for a bench."""
    own = own_practical(database(), actor=g.bench)
    if own.bench.safety_acknowledged_at is not None and "again" not in request.args:
        return redirect(url_for("bench.home"))
    return render_template("bench/safety.html", material=MATERIALS[own.practical.plan.material])


@blueprint.post("/bench/safety")
@audience("bench")
def acknowledge() -> ResponseReturnValue:
    """The bench has read it."""
    acknowledge_safety(database(), actor=g.bench, now=now())
    own = own_practical(database(), actor=g.bench)
    if is_asked_for(own):
        return redirect(url_for("bench.ice_point"))
    if own.runs or own.practical.state == PracticalState.FINISHED:
        return redirect(url_for("bench.home"))
    return redirect(url_for("bench.run", step="weigh"))  # where home would lead: one answer less to wait for


def _remember(code: str) -> None:
    session.permanent = True
    session[_CODE] = tidy_code(code)


def _is_of_own_class(code: str) -> bool:
    """Whether this phone joined under that code: it leads on, also when the class is paused or finished."""
    return tidy_code(code) == session.get(_CODE) and bench_if_joined() is not None


def _entry_page(problem: Problem | None = None, typed: str = "") -> str:
    message, mine = problem.message if problem else None, bench_if_joined()
    if mine is not None:
        g.bench = mine
    return render_template(
        "bench/entry.html",
        code=typed[:200],
        problem=message,
        again="again" in request.args,
        own=own_practical(database(), actor=mine) if mine else None,
        refused=None if mine else refused_number(),
        ended=None if mine else bench_ended_by_teacher(database(), token=own_token("bench")),
    )


def _refused(problem: Problem, typed: str) -> ResponseReturnValue:
    """The first page again with what was typed; after many wrong codes it asks for a pause."""
    if not isinstance(problem, WrongCode):
        return _entry_page(problem, typed), 409
    seconds = problem.retry_after_seconds
    return _entry_page(problem, typed), 429 if seconds else 404, retry_after(seconds)


def _choose(
    found: joining.FoundPractical,
    code: str,
    typed: str = "",
    *,
    named: int | None = None,
    taken: int | None = None,
    problem: Message | None = None,
) -> str:
    """The benches to choose from, or the one that the link names or that another phone has taken."""
    return render_template(
        "bench/choose.html",
        practical=found,
        code=code,
        typed=typed[:20],
        named=named,
        taken=taken,
        problem=problem,
    )


@blueprint.get("/bench/ours")
@audience("bench")
def own_bench() -> ResponseReturnValue:
    """The bench's own page."""
    return _page(None, "")


@blueprint.post("/bench/move")
@audience("waiting")
def move() -> ResponseReturnValue:
    """The wrong number was chosen at joining."""
    typed = request.form.get("number", "")
    try:
        joined = joining.move_bench(
            database(),
            actor=g.bench,
            bench_number=bench_number(typed),
            bench_key=request.form.get("key", "")[:40],
            phone=this_browser(),
            now=now(),
        )
    except Problem as problem:
        page = waiting_page if g.bench.waits else _page
        return page(problem.message, typed[:20]), 422
    refused_number()
    draft.follow(g.bench.bench_id, joined.bench.bench_id)
    flash(_("This phone is now at bench %(bench)s.", bench=joined.bench.bench_number), "good")
    return set_token(redirect(url_for("bench.safety")), "bench", joined.token, JOINED_FOR)


@blueprint.post("/bench/help")
@audience("bench")
def call_for_help() -> ResponseReturnValue:
    """Put the bench's hand up, or down."""
    try:
        ask_for_help(database(), actor=g.bench, wanted=pressed("wanted", ON_OFF), now=now())
    except LessonOver as over:
        flash(say(over.message), "bad")
    return redirect(url_for("bench.own_bench"))


@blueprint.get(TEST_PATH)
@audience("anyone")
def reached() -> ResponseReturnValue:
    """What a phone opens to find out whether it reaches the server: no code, no sign-in, nothing kept."""
    return render_template("bench/reached.html", reached=REACHED, now=now())


def _page(problem: Message | None, typed: str) -> str:
    own = own_practical(database(), actor=g.bench)
    return render_template(
        "bench/own_bench.html",
        bench=own.bench,
        finished=own.practical.state == PracticalState.FINISHED,
        thermometers_differ=own.practical.plan.thermometers_differ,
        ice_point=ice_point_of(own.practical.plan, own.bench.number, own.bench),
        problem=problem,
        typed=typed,
    )
