"""The board: what the projector shows, and the teacher's controls for it."""

from __future__ import annotations

import segno
from flask import Blueprint, Response, abort, g, make_response, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import force_locale

from app.analysis.results import ClassResult
from app.figures.look import WALL_ROOMS
from app.figures.studio import Drawing, Studio, warm
from app.look.tokens import WALL_BRIGHT
from app.practicals.board.reveal import pause_board, step_board
from app.practicals.board.snapshot import board_snapshot, current_presence
from app.practicals.lesson.permission import may_run
from app.web.audience import audience, keyed_digest, now, set_cookie, wants_json
from app.web.board.picture import picture_of, result_for_figure
from app.web.forms import ON_OFF, pressed
from app.web.languages import LANGUAGES, RIGHT_TO_LEFT, language, say
from app.web.replies import as_figure, with_tag
from app.web.storage import database, settings

WALL_SIZES = ("wall", "wall-low", "wall-asked", "wall-tall")
"""The second one stands under several sentences, the third above a question for the class, the last is for
projectors nearly as high as wide."""
ROOM_COOKIE = "plumbfall-room"
studio = Studio()
blueprint = Blueprint("board", __name__, url_prefix="/board")


@blueprint.get("/<int:practical_id>")
@audience("teacher")
def wall(practical_id: int) -> ResponseReturnValue:
    """The whole page."""
    warm()
    return render_template("board/wall.html", **_shown(practical_id))


@blueprint.get("/<int:practical_id>/picture")
@audience("teacher")
def picture(practical_id: int) -> ResponseReturnValue:
    """The part of the page that changes; 304, before any row is loaded, as long as nothing has."""
    tag = _tag(practical_id)
    if tag and request.if_none_match.contains_weak(tag):
        return with_tag(Response(status=304), tag)
    return _picture(practical_id, tag)


@blueprint.get("/<int:practical_id>/figures/<int:revision>/<name>.svg")
@audience("teacher")
def figure(practical_id: int, revision: int, name: str) -> ResponseReturnValue:
    """One figure of one revision, and never of another: 409 where that revision is gone or not revealed."""
    snapshot = board_snapshot(database(), practical_id, actor=g.teacher)
    result = result_for_figure(snapshot, database_name(), revision, name)
    if result is None:
        return Response(status=409)
    held = snapshot.board.paused
    return as_figure(drawn_for_wall(result, database_name(), practical_id, revision, name, held=held))


def drawn_for_wall(
    result: ClassResult, records: str, practical_id: int, revision: int, name: str, *, held: bool = False
) -> bytes:
    """A figure in the language, room and size that its address names; 404 where one of them is unknown."""
    spoken, light = request.args.get("language", ""), request.args.get("room", "")
    size = request.args.get("size", "wall")
    if spoken not in LANGUAGES or light not in WALL_ROOMS or size not in WALL_SIZES:
        abort(404)
    wanted = Drawing(
        records,
        practical_id,
        revision,
        name,
        size,
        spoken,
        light,
        right_to_left=spoken in RIGHT_TO_LEFT,
        held=held,
    )
    with force_locale(spoken):
        return studio.draw(wanted, result, say)


@blueprint.post("/<int:practical_id>/step")
@audience("teacher")
def step(practical_id: int) -> ResponseReturnValue:
    """Go to a step. The step is named, so that a button pressed twice reveals no more than it says."""
    step_board(
        database(), actor=g.teacher, practical_id=practical_id, now=now(), to=request.form.get("to", "")
    )
    return _after(practical_id)


@blueprint.post("/<int:practical_id>/pause")
@audience("teacher")
def pause(practical_id: int) -> ResponseReturnValue:
    """Hold the picture still, or let it follow the class again."""
    held = pressed("paused", ON_OFF)
    pause_board(database(), actor=g.teacher, practical_id=practical_id, paused=held, now=now())
    return _after(practical_id)


@blueprint.post("/<int:practical_id>/room")
@audience("teacher")
def room(practical_id: int) -> ResponseReturnValue:
    """Ink on paper for a bright room, or the other way round for a dark one; kept by this browser."""
    chosen = request.form.get("room", "")
    if chosen not in WALL_ROOMS:
        abort(422)
    return set_cookie(redirect(url_for("board.wall"), 303), ROOM_COOKIE, chosen)


def _shown(practical_id: int) -> dict[str, object]:
    """What the templates show."""
    snapshot = board_snapshot(database(), practical_id, actor=g.teacher)
    seen = picture_of(snapshot, database_name())
    address = code = ""
    if seen.join_code and not seen.figure:
        address = f"{settings().address_for_phones()}/j/{seen.join_code}"
        code = segno.make(address, error="m").svg_data_uri(
            scale=1, border=2, dark=WALL_BRIGHT.ink, light=WALL_BRIGHT.paper
        )
    return {
        "picture": seen,
        "may_run": may_run(g.teacher, snapshot.practical),
        "room": _room(),
        "now": now(),
        "address": address,
        "code": code,
    }


def _after(practical_id: int) -> ResponseReturnValue:
    """The new picture for the page's script; the page again for a plain form."""
    if wants_json():
        return _picture(practical_id, _tag(practical_id))
    return redirect(url_for("board.wall"), 303)


def _picture(practical_id: int, tag: str | None) -> Response:
    """The part that changes, under a tag that was made before it: what came in between is asked for again."""
    return with_tag(make_response(render_template("board/picture.html", **_shown(practical_id))), tag)


def _room() -> str:
    chosen = request.cookies.get(ROOM_COOKIE, "")
    return chosen if chosen in WALL_ROOMS else "bright"


def database_name() -> str:
    """Which records this server serves."""
    return str(database().url)


def _tag(practical_id: int) -> str | None:
    """The tag of this picture for this reader, which nobody can guess: the secret key is in it."""
    revision = current_presence(database(), practical_id, actor=g.teacher)
    if revision is None:
        return None
    named = f"{practical_id} {revision} {g.teacher.teacher_id} {language()} {_room()}"
    return keyed_digest(named)[:32]
