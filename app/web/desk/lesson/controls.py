"""What the teacher does to the whole practical: its states, its code, the wall, a rehearsal, deleting it."""

from __future__ import annotations

import secrets
from collections import Counter
from collections.abc import Callable
from functools import partial
from typing import Any

from flask import abort, flash, g, redirect, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext

from app.physics.asking.room import ROOM
from app.practicals.benches import watch
from app.practicals.board import reveal
from app.practicals.lesson import deletions, states
from app.practicals.lesson.room import RoomTemperature, set_room_temperature
from app.records.errors import Conflict
from app.web.audience import audience, now
from app.web.desk.blueprint import blueprint, page, practical_here, refusal_on_next_page, snapshot_here
from app.web.desk.lesson.attention import still_out
from app.web.desk.lesson.new_code import replace_code
from app.web.desk.lesson.pages import lesson_page
from app.web.desk.lesson.room import kept_words, read_room_form
from app.web.storage import database

STEPS: dict[str, Callable[..., Any]] = {
    "pause": states.pause_practical,
    "resume": states.resume_practical,
    "finish": states.finish_practical,
    "reopen": states.reopen_practical,
}
ON_THE_WALL: dict[str, Callable[..., Any]] = {
    "forward": partial(reveal.step_board, by=1),
    "back": partial(reveal.step_board, by=-1),
    "hold": partial(reveal.pause_board, paused=True),
    "follow": partial(reveal.pause_board, paused=False),
    "phones-show": partial(reveal.show_bench_results, shown=True),
    "phones-hide": partial(reveal.show_bench_results, shown=False),
}


@blueprint.post("/<int:practical_id>/conduct/<step>")
@audience("teacher")
def take_step(practical_id: int, step: str) -> ResponseReturnValue:
    """One step of the practical. What cannot simply be taken back is asked about once."""
    if step == "open":
        return _open(practical_id)
    if step == "replace-code":
        return replace_code(practical_id, _back())
    if step not in STEPS:
        abort(404)
    if step == "finish" and request.form.get("sure") != "yes":
        return page(
            "desk/sure.html",
            practical_here(practical_id),
            "live",
            out=still_out(watch.benches_of(database(), actor=g.teacher, practical_id=practical_id)),
            waiting=_benches_with_waiting_runs(practical_id),
        )
    with refusal_on_next_page(states.WrongState):
        STEPS[step](database(), actor=g.teacher, practical_id=practical_id, now=now())
    return redirect(_back())


def _benches_with_waiting_runs(practical_id: int) -> dict[int, int]:
    """How many runs that came too fast wait for the teacher, by bench."""
    held_back = snapshot_here(practical_id).held_back
    return Counter(run.bench_number for run in held_back if run.waits)


def _open(practical_id: int) -> ResponseReturnValue:
    """Open the practical, with the room temperature if the form has one; it may stay empty.

    Where a colleague has opened it meanwhile, the temperature is kept if there was none, else shown again.
    """
    if not {ROOM, "seen"} & request.form.keys():
        return _opened(practical_id)
    snapshot = snapshot_here(practical_id)
    form = read_room_form(snapshot)
    if form.overtaken and form.reading is None:
        return _opened(practical_id)
    if form.room is None:
        return lesson_page(snapshot, form), form.status
    answer = _opened(practical_id, form.room)
    if form.reading is None:
        return answer
    latest = set_room_temperature(
        database(), actor=g.teacher, practical_id=practical_id, room=form.room, now=now(), unless_known=True
    )
    if latest.plan.room_temperature_C == form.reading.value:
        return answer
    form.overtake(latest.plan.room_temperature_C)
    return lesson_page(snapshot_here(practical_id), form), form.status


def _opened(practical_id: int, room: RoomTemperature | None = None) -> ResponseReturnValue:
    with refusal_on_next_page(states.WrongState):
        states.open_practical(database(), actor=g.teacher, practical_id=practical_id, now=now(), room=room)
    return redirect(_back())


@blueprint.post("/<int:practical_id>/room")
@audience("teacher")
def set_room(practical_id: int) -> ResponseReturnValue:
    """Replace the class's room temperature; all runs without one of their own take it."""
    snapshot = snapshot_here(practical_id)
    form = read_room_form(snapshot)
    if form.room is None:
        return lesson_page(snapshot, form), form.status
    set_room_temperature(database(), actor=g.teacher, practical_id=practical_id, room=form.room, now=now())
    flash(kept_words(form.room, snapshot), "good")
    return redirect(url_for("desk.lesson"))


@blueprint.post("/<int:practical_id>/code-now")
@audience("teacher")
def code_now(practical_id: int) -> ResponseReturnValue:
    """A code for the printed cards before the lesson; the practical stays as it is."""
    with refusal_on_next_page(states.WrongState):
        states.make_join_code(database(), actor=g.teacher, practical_id=practical_id, now=now())
        flash(
            gettext("The code is made. Benches can join once you open the practical on the lesson page."),
            "good",
        )
    return redirect(_back())


@blueprint.route("/<int:practical_id>/delete", methods=["GET", "POST"])
@audience("teacher")
def delete(practical_id: int) -> ResponseReturnValue:
    """Delete a practical for good. It is asked about, and the title has to be typed."""
    practical = practical_here(practical_id)
    typed = request.form.get("title", "")
    right = " ".join(typed.split()).casefold() == " ".join(practical.title.split()).casefold()
    if request.method == "POST" and right:
        deletions.delete_practical(database(), actor=g.teacher, practical_id=practical_id, now=now())
        flash(gettext("“%(title)s” is deleted.", title=practical.title), "good")
        return redirect(url_for("desk.home"))
    wrong = request.method == "POST"
    return page("desk/delete.html", practical, "live", typed=typed, wrong=wrong), 422 if wrong else 200


def _back() -> str:
    return url_for("desk.cards" if request.form.get("then") == "cards" else "desk.lesson")


@blueprint.post("/<int:practical_id>/wall")
@audience("teacher")
def wall(practical_id: int) -> ResponseReturnValue:
    """One thing about the wall or the phones, as the button says."""
    what = request.form.get("what", "")
    if what not in ON_THE_WALL:
        abort(404)
    ON_THE_WALL[what](database(), actor=g.teacher, practical_id=practical_id, now=now())
    return redirect(url_for("desk.lesson"))


SEEDS = 2**31


@blueprint.post("/<int:practical_id>/rehearse")
@audience("teacher")
def rehearse(practical_id: int) -> ResponseReturnValue:
    """Fill the practical with a simulated class; another press simulates another class."""
    from app.practicals.made_up import rehearsal  # noqa: PLC0415 - the simulator brings numpy with it

    seed = secrets.randbelow(SEEDS)
    with refusal_on_next_page(Conflict):
        rehearsal.rehearse(database(), actor=g.teacher, practical_id=practical_id, seed=seed, now=now())
        flash(gettext("Simulated benches are in. Try the board and the decisions, then remove them."), "good")
    return redirect(url_for("desk.lesson"))


@blueprint.post("/<int:practical_id>/rehearse/end")
@audience("teacher")
def end_rehearsal(practical_id: int) -> ResponseReturnValue:
    """Remove everything that was simulated."""
    from app.practicals.made_up import rehearsal  # noqa: PLC0415 - the simulator brings numpy with it

    rehearsal.end_rehearsal(database(), actor=g.teacher, practical_id=practical_id)
    flash(gettext("Everything that was simulated is gone."), "good")
    return redirect(url_for("desk.lesson"))
