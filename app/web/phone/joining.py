"""A phone and its bench: the code, the bench's number, the safety step, a wrong number put right, help."""

from __future__ import annotations

from flask import flash, g, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _

from app.practicals.benches import joining
from app.practicals.benches.ice_point import ice_point_of
from app.practicals.benches.joining import BenchTaken, WrongCode
from app.practicals.benches.own_bench import LessonOver, acknowledge_safety, ask_for_help, own_practical
from app.practicals.people.credentials import tidy_code
from app.records.choices import PracticalState
from app.records.errors import Problem, Unprocessable
from app.web.audience import audience, cookie_name, now, place, set_token
from app.web.forms import ON_OFF, bench_number, pressed
from app.web.languages import say
from app.web.phone import draft
from app.web.phone.blueprint import blueprint
from app.web.phone.checked import material_of
from app.web.phone.ice_point import is_asked_for
from app.web.storage import database
from app.words import N_, Message

JOINED_DAYS = 30
NO_CODE = N_("Nothing was typed. Type the code on the wall or on your bench's card.")


@blueprint.get("/")
@audience("anyone")
def entry() -> ResponseReturnValue:
    """Ask for the code of the practical."""
    return _entry_page()


@blueprint.post("/code")
@audience("anyone")
def enter_code() -> ResponseReturnValue:
    """A typed code leads to the same page as the link on the wall."""
    typed = request.form.get("code", "")
    if not typed.strip():
        return _entry_page(Unprocessable(Message(NO_CODE))), 422
    try:
        joining.find_practical_by_code(database(), code=typed, address=place(), now=now())
    except Problem as problem:
        return _refused(problem, typed)
    return redirect(url_for("bench.choose", code=tidy_code(typed)))


@blueprint.get("/j/<code>")
@audience("anyone")
def choose(code: str) -> ResponseReturnValue:
    """The link on the wall: which bench is this?"""
    try:
        found = joining.find_practical_by_code(database(), code=code, address=place(), now=now())
    except Problem as problem:
        return _refused(problem, code)
    mine = joining.bench_for_token(database(), token=_own_token())
    if mine is not None and mine.practical_id == found.practical_id:
        return redirect(url_for("bench.home"))
    return render_template(
        "bench/choose.html",
        practical=found,
        code=code,
        typed=request.args.get("bench", "")[:3],
        taken=None,
        problem=None,
    )


@blueprint.post("/j/<code>")
@audience("anyone")
def join_bench(code: str) -> ResponseReturnValue:
    """Speak for a bench."""
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
            earlier_token=_own_token(),
            now=now(),
        )
    except BenchTaken as problem:
        shown = problem.message if "key" in request.form else None  # before, its field was not on the page
        return _choose_again(found, code, typed, int(typed), shown)
    except Problem as problem:
        return _choose_again(found, code, typed, None, problem.message)
    return set_token(redirect(url_for("bench.safety")), "bench", joined.token, JOINED_DAYS)


@blueprint.get("/bench/safety")
@audience("bench")
def safety() -> ResponseReturnValue:
    """What can hurt with this metal; once for a bench."""
    own = own_practical(database(), actor=g.bench)
    if own.bench.safety_acknowledged_at is not None and "again" not in request.args:
        return redirect(url_for("bench.home"))
    return render_template("bench/safety.html", material=material_of(own))


@blueprint.post("/bench/safety")
@audience("bench")
def acknowledge() -> ResponseReturnValue:
    """The bench has read it."""
    acknowledge_safety(database(), actor=g.bench, now=now())
    asked = is_asked_for(own_practical(database(), actor=g.bench))
    return redirect(url_for("bench.ice_point" if asked else "bench.home"))


def _own_token() -> str:
    return request.cookies.get(cookie_name("bench"), "")


def _entry_page(problem: Problem | None = None, typed: str = "") -> str:
    message = problem.message if problem else None
    return render_template(
        "bench/entry.html", code=typed[:200], problem=message, again="again" in request.args
    )


def _refused(problem: Problem, typed: str) -> ResponseReturnValue:
    """The first page again with what was typed; after many wrong codes it asks for a pause."""
    headers, status = {}, 404 if isinstance(problem, WrongCode) else 409
    if isinstance(problem, WrongCode) and problem.retry_after_seconds:
        headers["Retry-After"] = str(problem.retry_after_seconds)
        status = 429
    return _entry_page(problem, typed), status, headers


def _choose_again(
    found: joining.FoundPractical, code: str, typed: str, taken: int | None, problem: object
) -> ResponseReturnValue:
    page = render_template(
        "bench/choose.html", practical=found, code=code, typed=typed[:20], taken=taken, problem=problem
    )
    return page, 422 if problem else 200


@blueprint.get("/bench/ours")
@audience("bench")
def own_bench() -> ResponseReturnValue:
    """The bench's own page."""
    return _page(None, "")


@blueprint.post("/bench/move")
@audience("bench")
def move() -> ResponseReturnValue:
    """The wrong number was chosen at joining."""
    typed = request.form.get("number", "")
    try:
        joined = joining.move_bench(
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
    return redirect(url_for("bench.own_bench"))


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
