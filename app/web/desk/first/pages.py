"""The pages of the made-up class that plays itself, and what its buttons do."""

from __future__ import annotations

from flask import abort, flash, g, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext

from app.figures.studio import warm
from app.physics.materials import MATERIALS
from app.practicals.made_up.first import playing as plays
from app.practicals.made_up.first.playing import FEWEST, MOST, Playing
from app.practicals.made_up.first.script import ASKED_BENCH, LASTS_S, ODD_REASON, SCRIPT, Shows
from app.records.choices import Pace
from app.web.audience import audience, now, wants_json
from app.web.board.pages import drawn_for_wall
from app.web.desk.blueprint import blueprint
from app.web.desk.first.stage import WHOSE, figure_at, stage_of, work_out_next
from app.web.desk.plan.answers import AnswersForm, offered_answers, read_answers, typed_again
from app.web.forms import pressed
from app.web.replies import as_figure
from app.web.storage import database, settings

PLACES = {str(place): place for place in range(len(SCRIPT))}
PACES = {str(pace): pace for pace in Pace}


@blueprint.get("/first")
@audience("teacher")
def first() -> ResponseReturnValue:
    """The made-up class where it stands; before it the three questions."""
    playing = plays.what_plays(database(), actor=g.teacher)
    if playing is None:
        return _questions(offered_answers(settings().local_day(now())))
    warm()
    return _shown("desk/first/watch.html", playing)


@blueprint.post("/first")
@audience("teacher")
def begin_first() -> ResponseReturnValue:
    """Play from the start with these answers, or say what cannot be used."""
    form = read_answers(request.form)
    if form.answers is None:
        return _questions(form), 422
    plays.begin(database(), actor=g.teacher, answers=form.answers, now=now())
    return redirect(url_for("desk.first"), 303)


@blueprint.post("/first/turn")
@audience("teacher")
def turn_first() -> ResponseReturnValue:
    """Go to a moment, change the pace, or, where the page asks by itself, let its time pass."""
    who, at = g.teacher, now()
    if "to" in request.form:
        playing = plays.go_to(database(), actor=who, place=pressed("to", PLACES), now=at)
    elif "pace" in request.form:
        playing = plays.set_pace(database(), actor=who, pace=pressed("pace", PACES), now=at)
    else:
        playing = plays.play_on(database(), actor=who, now=at)
    if wants_json():
        return _shown("desk/first/now.html", playing)
    return redirect(url_for("desk.first"), 303)


@blueprint.post("/first/end")
@audience("teacher")
def end_first() -> ResponseReturnValue:
    """Take the made-up class away; on to the plan with its answers, where that was pressed."""
    playing = plays.what_plays(database(), actor=g.teacher)
    on_to_plan = pressed("then", {"home": False, "plan": True})
    plays.take_away(database(), actor=g.teacher)
    if on_to_plan and playing is not None:
        return redirect(url_for("desk.new_practical", **typed_again(playing.answers)), 303)
    flash(gettext("The made-up class is gone. Nothing of it was kept."), "good")
    return redirect(url_for("desk.home"), 303)


@blueprint.get("/first/figures/<int:benches>/<material>/<int:place>.svg")
@audience("teacher")
def first_figure(benches: int, material: str, place: int) -> ResponseReturnValue:
    """The wall's figure at one place of the script. It is the same for everybody who gave these answers."""
    from app.practicals.made_up.first import a_class  # noqa: PLC0415 - the simulator brings numpy with it

    name = figure_at(benches, material, place)
    result = a_class.class_at(benches, material, place).result if name else None
    if name is None or result is None:
        abort(404)
    drawn = drawn_for_wall(result, WHOSE % (benches, material), a_class.NOBODY, place, name)
    return as_figure(drawn, seconds=3600)


def _questions(form: AnswersForm) -> str:
    return render_template(
        "desk/first/questions.html", form=form, metals=MATERIALS.values(), fewest=FEWEST, most=MOST
    )


def _shown(template: str, playing: Playing) -> str:
    work_out_next(playing)
    return render_template(
        template,
        playing=playing,
        moment=playing.moment,
        stage=stage_of(playing),
        lasts_s=LASTS_S,
        last_minute=SCRIPT[-1].minute,
        asked_bench=ASKED_BENCH,
        odd_reason=ODD_REASON,
        Shows=Shows,
        Pace=Pace,
    )
