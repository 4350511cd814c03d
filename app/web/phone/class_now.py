"""What the wall shows, on the phone: the same picture for a small screen, with the bench's own place in it.

The page's script asks for it every two seconds; without script a reload brings it. After the last step the
class's table and a sheet for the write-up can be taken home.
"""

from __future__ import annotations

from dataclasses import dataclass

from flask import Response, abort, g, make_response, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.exports.run_table import run_table
from app.exports.tidy.csv_text import MARK
from app.figures.look import PAGE_ROOMS, PHONE_ROOMS
from app.figures.of_bench import OwnShares, own_shares, own_words
from app.figures.own_mark import with_own_mark
from app.figures.studio import Drawing, warm
from app.practicals.board.on_phones import Watched, shown_to_bench, taken_home, watched_by_bench
from app.practicals.board.reveal import BOARD_STEPS, step_reached
from app.practicals.board.snapshot import Snapshot
from app.records.choices import BoardStep
from app.web.audience import audience, keyed_digest, wants_json
from app.web.board.pages import database_name, studio
from app.web.board.picture import Picture, picture_of, result_for_figure
from app.web.board.take_home import take_home_of
from app.web.desk.papers.downloads import file_name
from app.web.languages import LANGUAGES, RIGHT_TO_LEFT, language, say
from app.web.phone.blueprint import blueprint
from app.web.replies import as_figure, as_file, with_tag
from app.web.storage import database
from app.words import Message

ROOMS_OF_SIZE = {"phone": PHONE_ROOMS, "page": PAGE_ROOMS}


@dataclass(frozen=True)
class ClassOnPhone:
    """The wall's picture, and what it says of this bench."""

    picture: Picture
    own: tuple[Message, ...]
    shares: OwnShares | None
    to_take_home: bool


@blueprint.get("/bench/class")
@audience("bench")
def class_now() -> ResponseReturnValue:
    """The part of the page that follows the wall; 304, before any row is loaded, while nothing changes."""
    if not wants_json():
        return redirect(url_for("bench.runs", _anchor="class"))
    watched = watched_by_bench(database(), actor=g.bench)
    tag = _tag(watched)
    if request.if_none_match.contains_weak(tag):
        return with_tag(Response(status=304), tag)
    return with_tag(make_response(render_template("bench/_class.html", **_part(watched))), tag)


@blueprint.get("/bench/class/<int:revision>/<name>.svg")
@audience("bench")
def class_figure(revision: int, name: str) -> ResponseReturnValue:
    """One figure of one revision with the bench's own mark; 409 where it is gone, hidden or not revealed."""
    spoken, room = request.args.get("language", ""), request.args.get("room", "")
    size = request.args.get("size", "phone")
    if spoken not in LANGUAGES or room not in ROOMS_OF_SIZE.get(size, ()):
        abort(404)
    snapshot = shown_to_bench(database(), actor=g.bench)
    if snapshot is None or (size == "page" and snapshot.board.step != BOARD_STEPS[-1]):
        return Response(status=409)
    result = result_for_figure(snapshot, database_name(), revision, name)
    if result is None:
        return Response(status=409)
    wanted = Drawing(
        database_name(),
        g.bench.practical_id,
        revision,
        name,
        size,
        spoken,
        room,
        right_to_left=spoken in RIGHT_TO_LEFT,
        complete=size == "page",
        held=snapshot.board.paused,
    )
    drawn = studio.draw(wanted, result, say)
    return as_figure(with_own_mark(drawn, str(g.bench.bench_number), result, size, room))


@blueprint.get("/bench/class.csv")
@audience("bench")
def class_csv() -> ResponseReturnValue:
    """The class's runs as a table, under the run table's own columns."""
    snapshot = taken_home(database(), actor=g.bench)
    table = (MARK + run_table(snapshot.readings)).encode()
    return as_file(table, "text/csv; charset=utf-8", f"{file_name(snapshot.practical)}.csv")


@blueprint.get("/bench/take-home")
@audience("bench")
def take_home() -> ResponseReturnValue:
    """The sheet for the write-up, to be printed or kept."""
    snapshot, number = taken_home(database(), actor=g.bench), g.bench.bench_number
    picture_of(snapshot, database_name())  # its figures are of this revision

    def figure_address(name: str, room: str) -> str:
        return url_for(
            "bench.class_figure",
            revision=snapshot.revision,
            name=name,
            language=language(),
            room=room,
            size="page",
            bench=number,
        )

    return render_template(
        "board/take_home.html",
        report=take_home_of(snapshot, number),
        figure_address=figure_address,
        back=url_for("bench.runs"),
        bench_number=number,
    )


def class_part() -> dict[str, object]:
    """The same part for a page that is opened now; before the class's values are shown the script asks."""
    watched = watched_by_bench(database(), actor=g.bench)
    if watched.shown and step_reached(watched.step, BoardStep.SPREAD):
        return _part(watched)
    return {"on_phone": None, "revision": watched.revision, "tag": ""}


def _part(watched: Watched) -> dict[str, object]:
    """What the template needs. The tag is the older one, should the class move on meanwhile."""
    snapshot = shown_to_bench(database(), actor=g.bench) if watched.shown else None
    return {
        "on_phone": None if snapshot is None else _on_phone(snapshot, str(g.bench.bench_number)),
        "revision": watched.revision if snapshot is None else snapshot.revision,
        "tag": _tag(watched),
    }


def _on_phone(snapshot: Snapshot, bench: str) -> ClassOnPhone:
    warm()
    picture = picture_of(snapshot, database_name())
    if picture.figure is None or (result := snapshot.result) is None:
        return ClassOnPhone(picture, (), None, to_take_home=False)
    name, last = picture.figure.name, snapshot.board.following is None
    return ClassOnPhone(
        picture,
        own_words(name, result, bench),
        own_shares(result, bench) if name == "ledger" else None,
        to_take_home=last,
    )


def _tag(watched: Watched) -> str:
    """Names what this phone shows; made with the secret key, so that nobody can guess another's."""
    named = f"{g.bench.practical_id} {g.bench.bench_id} {g.bench.bench_number} {watched} {language()}"
    return keyed_digest(named)[:32]
