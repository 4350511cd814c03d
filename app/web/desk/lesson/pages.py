"""The teacher's first page, the lesson page and its live part, the join code to show and to print."""

from __future__ import annotations

import io

import segno
from flask import Response, abort, flash, g, make_response, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext

from app.look.tokens import BLACK, WHITE
from app.practicals.archive import home as homes
from app.practicals.benches import watch
from app.practicals.benches.rows import NoSuchBench
from app.practicals.board.reveal import STEP_NAMES
from app.practicals.board.snapshot import Snapshot
from app.practicals.lesson.covers import covers_of_department
from app.practicals.made_up.first.playing import what_plays
from app.practicals.runs.decisions import decided_runs
from app.practicals.upkeep.retention import going_soon
from app.records.choices import PracticalState
from app.web.audience import audience, now
from app.web.desk.blueprint import (
    blueprint,
    join_link,
    may_run,
    page,
    phone_address,
    practical_here,
    snapshot_here,
)
from app.web.desk.lesson.room import RoomForm
from app.web.desk.lesson.view import LessonView, lesson_view
from app.web.desk.papers.downloads import command_line
from app.web.desk.plan.one_allowance import one_allowance_warning
from app.web.forms import plain, pressed
from app.web.languages import language
from app.web.replies import with_tag
from app.web.storage import database, settings

NEEDS_CHANGE_EVERY_SECONDS = 30
"""Some needs come with time alone (a phone not seen), so the page changes at least this often."""


@blueprint.get("/<int:practical_id>/")
@audience("teacher")
def lesson(practical_id: int) -> ResponseReturnValue:
    """The lesson: the way in for phones, benches, who needs help, runs."""
    return lesson_page(snapshot_here(practical_id))


def lesson_page(snapshot: Snapshot, room: RoomForm | None = None) -> str:
    """The lesson page; `room` is the room temperature as typed, where it cannot be stored yet."""
    return page(
        "desk/lesson.html",
        snapshot.practical,
        "live",
        link=join_link(snapshot.practical),
        address=phone_address(),
        view=_view(snapshot),
        board=snapshot.board,
        step_names=STEP_NAMES,
        updated_at=now(),
        command=command_line(snapshot.practical),
        room=room or RoomForm.stored(snapshot.practical.plan),
        room_seen=plain(snapshot.practical.plan.room_temperature_C),
        planned_with_one_allowance=None
        if snapshot.runs or snapshot.practical.state == PracticalState.FINISHED
        else one_allowance_warning(snapshot.practical.plan),
    )


@blueprint.get("/<int:practical_id>/live")
@audience("teacher")
def live(practical_id: int) -> ResponseReturnValue:
    """The changing part of the lesson page; 304 while nothing has changed."""
    practical = practical_here(practical_id)
    moment = int(now().timestamp()) // NEEDS_CHANGE_EVERY_SECONDS
    tag = f"{practical_id}-{practical.revision}-{practical.presence}-{moment}-{language()}"
    if request.if_none_match.contains_weak(tag):
        return with_tag(make_response("", 304), tag)
    snapshot = snapshot_here(practical_id)
    part = render_template(
        "desk/live_answer.html",
        practical=snapshot.practical,
        may_run=may_run(snapshot.practical),
        view=_view(snapshot),
        board=snapshot.board,
        step_names=STEP_NAMES,
        updated_at=now(),
    )
    return with_tag(make_response(part), tag)


@blueprint.post("/<int:practical_id>/bench/<int:number>/been-there")
@audience("teacher")
def been_there(practical_id: int, number: int) -> ResponseReturnValue:
    """The teacher has helped: the bench's hand goes down."""
    watch.help_given(database(), actor=g.teacher, practical_id=practical_id, bench_number=number)
    return redirect(url_for("desk.lesson"))


BEYOND_PLAN = {"let-in": watch.let_in, "refuse": watch.refuse}


@blueprint.post("/<int:practical_id>/beyond-plan/<int:number>")
@audience("teacher")
def answer_beyond_plan(practical_id: int, number: int) -> ResponseReturnValue:
    """Let a bench beyond the plan in, or not. Where that was answered meanwhile, nothing is left to do."""
    answer = pressed("answer", BEYOND_PLAN)
    try:
        answer(database(), actor=g.teacher, practical_id=practical_id, bench_number=number, now=now())
    except NoSuchBench:
        flash(gettext("Bench %(number)s no longer waits.", number=number), "ask")
    return redirect(url_for("desk.lesson"))


def _view(snapshot: Snapshot) -> LessonView:
    practical_id = snapshot.practical.practical_id
    decided_about = decided_runs(database(), actor=g.teacher, practical_id=practical_id)
    return lesson_view(snapshot, now(), decided_about)


@blueprint.get("/<int:practical_id>/code.svg")
@audience("teacher")
def code_drawing(practical_id: int) -> ResponseReturnValue:
    """The QR of the join link. 404 where there is no code or no address for phones."""
    link = join_link(practical_here(practical_id))
    if link is None:
        abort(404)
    return qr_response(link)


@blueprint.get("/<int:practical_id>/code")
@audience("teacher")
def code_page(practical_id: int) -> ResponseReturnValue:
    """The code and its QR, as large as the screen."""
    practical = practical_here(practical_id)
    return page("desk/code.html", practical, "live", link=join_link(practical), address=phone_address())


def qr_response(link: str) -> Response:
    """A QR as an SVG of its own. Black on white in every theme, so that every phone reads it."""
    drawn = io.BytesIO()
    segno.make(link, error="m", micro=False).save(
        drawn,
        kind="svg",
        xmldecl=False,
        svgclass=None,
        lineclass=None,
        dark=BLACK,
        light=WHITE,
        border=4,
        omitsize=True,
    )
    return Response(drawn.getvalue(), mimetype="image/svg+xml")


@blueprint.get("/")
@audience("staff")
def home() -> ResponseReturnValue:
    """The teacher's own practicals; colleagues' stand on the department's page, a technician's first."""
    if g.teacher.is_technician:
        return redirect(url_for("department.archive"))
    today = settings().local_day(now())
    going = going_soon(database(), actor=g.teacher, today=today)
    return render_template(
        "desk/home.html",
        own=homes.own_practicals(database(), actor=g.teacher),
        today=today,
        watched=what_plays(database(), actor=g.teacher),
        covers=covers_of_department(database(), actor=g.teacher, now=now()),
        going=len({one.practical_id for one in going if one.teacher_id == g.teacher.teacher_id}),
    )
