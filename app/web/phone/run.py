"""One run typed step by step, or on one page; works by post and reload, and keeps everything on the way."""

from __future__ import annotations

from dataclasses import replace

from flask import abort, g, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _

from app.physics.limits import MOST_INVERSIONS
from app.physics.rounding import shortest
from app.practicals.benches.own_bench import OwnPractical, note_progress, own_practical
from app.practicals.runs.reading import RunDetails
from app.records.choices import BenchProgress, PracticalState
from app.web.audience import audience, now
from app.web.phone import draft, sending
from app.web.phone.blueprint import blueprint
from app.web.phone.checked import SWAPPED_ON_THE_PHONE, Checked, check_typed, take_up
from app.web.phone.typed import (
    CARRIED,
    FIELDS,
    STEPS,
    TypedRun,
    fields_as_typed,
    from_form,
    names_at,
    step_after,
    step_before,
)
from app.web.storage import database

PROGRESS = {
    "count": BenchProgress.START_READ,
    "end": BenchProgress.COUNTING,
    "check": BenchProgress.END_READ,
}
"""How far a bench is once its phone has come to this step."""


@blueprint.get("/bench/")
@audience("bench")
def home() -> ResponseReturnValue:
    """Where the bench is: safety first, then its run, then its runs."""
    own = own_practical(database(), actor=g.bench)
    if own.practical.state == PracticalState.FINISHED:
        return redirect(url_for("bench.runs"))
    if own.bench.safety_acknowledged_at is None:
        return redirect(url_for("bench.safety"))
    if own.runs and draft.recall(g.bench.bench_id) is None:
        return redirect(url_for("bench.runs"))
    return redirect(url_for("bench.run", step=first_step(own)))


@blueprint.get("/bench/run/<step>")
@audience("bench")
def run(step: str) -> ResponseReturnValue:
    """A step of the run, with everything typed so far."""
    own = own_practical(database(), actor=g.bench)
    if own.bench.safety_acknowledged_at is None:
        return redirect(url_for("bench.safety"))
    if step not in (*STEPS, "all"):
        abort(404)
    typed = draft.recall(g.bench.bench_id) or draft.fresh(
        typed_from(own.last_run) if own.last_run else planned(own)
    )
    if step != "check":
        return page(own, typed, step)
    seen = check_typed(typed, FIELDS, own)
    if seen.problems:
        return redirect(url_for("bench.run", step=FIELDS[next(iter(seen.problems))].step))
    return page(own, typed, step, seen)


@blueprint.post("/bench/run/<step>")
@audience("bench")
def take_step(step: str) -> ResponseReturnValue:
    """What was typed is kept; then on, back, or to be looked at again."""
    if step not in (*STEPS, "all"):
        abort(404)
    own = own_practical(database(), actor=g.bench)
    typed, settled = settle(_with_start_time(from_form(request.form), step), own)
    go = "next" if settled else request.form.get("go", "next")
    if go in ("back", "all", "steps") or go.startswith("to-"):
        draft.keep(g.bench.bench_id, typed)
        return redirect(url_for("bench.run", step=_target(go, step, own)))
    seen = check_typed(typed, names_at(step), own)
    if seen.problems or (seen.questions and step not in ("all", "check")):
        return page(own, typed, step, seen), 422 if seen.problems else 200
    draft.keep(g.bench.bench_id, typed)
    if go == "send" and seen.ready:
        return sending.send_plainly(typed, seen)
    following = "check" if step in ("all", "check") else step_after(step)
    _note(following)
    return redirect(url_for("bench.run", step=following))


def settle(typed: TypedRun, own: OwnPractical) -> tuple[TypedRun, bool]:
    """What the bench answered to a question: its reading stands, or the proposed one takes its place."""
    if asked := request.form.get("as_typed", ""):
        return (typed.confirm(asked) if asked in FIELDS else typed), True
    if pressed := request.form.get("take", ""):
        return take_up(typed, pressed, own), True
    return typed, False


def page(own: OwnPractical, typed: TypedRun, step: str, seen: Checked | None = None) -> str:
    """The run's page at one step, with what is wrong or asked once it was looked at."""
    plan, bench = own.practical.plan, own.bench.number
    return render_template(
        "bench/run.html",
        step=step,
        run=typed,
        seen=seen,
        plan=plan,
        line=plan.for_bench(bench),
        target=plan.count_of_run(bench, own.next_run),
        own=own,
        problems=dict(seen.problems) if seen else {},
        carried_words=carried_words(typed) if own.runs else "",
        plain=request.method == "POST",
        titles=titles(),
        most_inversions=MOST_INVERSIONS,
        swapped=SWAPPED_ON_THE_PHONE,
        FIELDS=FIELDS,
        STEPS=STEPS,
    )


def titles() -> dict[str, str]:
    """The heading of each step."""
    return {
        "weigh": _("Weigh the shot"),
        "tube": _("Measure the tube"),
        "start": _("Read the START temperature"),
        "count": _("Tip and count"),
        "end": _("Read the END temperature"),
        "check": _("Is this right?"),
        "all": _("One run on one page"),
    }


def typed_from(details: RunDetails) -> TypedRun:
    """A stored run as its bench typed it."""
    names = [field.name for field in fields_as_typed(details.entry)]
    read = {name: reading for name, reading in details.entry.of.items() if name in names}
    typed = TypedRun(
        key="",
        texts={name: reading.raw for name, reading in read.items()},
        units={name: reading.unit for name, reading in read.items()},
        kept=frozenset(),
        start_read_at=details.start_read_at,
    )
    return typed if details.left_to_ask else typed.with_everything_kept()


def planned(own: OwnPractical) -> TypedRun:
    """A first run holds what the plan offers: the tube and its end allowance, never a reading."""
    plan = own.practical.plan
    line = plan.for_bench(own.bench.number)
    lengths = {"tube_length": line.tube_length_m}
    if not plan.depth_measured:
        lengths["end_allowance"] = line.end_allowance_m
    texts = {name: shortest(100 * value) for name, value in lengths.items() if value is not None}
    return TypedRun("", texts, dict.fromkeys(texts, "cm"))


def carried_words(typed: TypedRun) -> str:
    """The values carried over, in one line."""
    parts = [f"{typed.text(name)}\u00a0{typed.unit(name)}" for name in CARRIED if typed.text(name)]
    return " · ".join(parts)


def first_step(own: OwnPractical) -> str:
    """Where the next run begins: what is carried over needs no asking."""
    return "start" if own.runs else "weigh"


def _target(go: str, step: str, own: OwnPractical) -> str:
    if go == "back":
        return step_before(step) if step in STEPS else "weigh"
    if go == "all":
        return "all"
    wanted = go.removeprefix("to-")
    return wanted if wanted in STEPS else first_step(own)


def _with_start_time(typed: TypedRun, step: str) -> TypedRun:
    """The start temperature's moment: the phone's, else this one."""
    if typed.start_read_at is None and step == "start" and typed.text("start_temperature").strip():
        return replace(typed, start_read_at=now())
    return typed


def _note(step: str) -> None:
    if progress := PROGRESS.get(step):
        note_progress(database(), actor=g.bench, progress=progress, now=now())
