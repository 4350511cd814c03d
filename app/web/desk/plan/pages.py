"""Making a practical and changing its plan."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from flask import flash, g, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext

from app.physics.materials import MATERIALS
from app.practicals.kit import pieces
from app.practicals.kit.of_bench import BenchKitLine
from app.practicals.lesson import plan as plans
from app.practicals.lesson.details import Plan, PracticalDetails
from app.web.audience import audience, now
from app.web.desk.blueprint import blueprint, page, practical_here, snapshot_here
from app.web.desk.lesson.room import starts_of
from app.web.desk.plan.answers import filled_in
from app.web.desk.plan.bench_kits import KitPicks, field_of, offered, picks_of
from app.web.desk.plan.form import PlanForm, form_of, fresh_form, offered_value, read_plan_form, title_and_day
from app.web.desk.plan.kit import KEPT_AS
from app.web.desk.plan.one_allowance import one_allowance_warning
from app.web.desk.plan.questions import question_fields
from app.web.forms import TypedForm, fingerprint
from app.web.storage import database, settings
from app.words import N_, Message

PLAN_FIELDS = {
    "accepted_J_per_kg_K": "accepted",
    "gravity_m_per_s2": "gravity",
    "tube_length_m": "tube_length",
    "end_allowance_m": "end_allowance",
    "bore_m": "bore",
    "depth_measured": "ends_how",
    "thermometer_step_K": "thermometer_step",
    "room_temperature_C": "room_temperature",
}
TRIES = 5
CHANGED_MEANWHILE = Message(
    N_("The plan was changed by someone else meanwhile. Look at it as it is now, then save again.")
)


blueprint.add_app_template_filter(offered_value)


def note_problem(form: PlanForm, problem: plans.PlanProblem) -> None:
    """Put what the use case refused beside the field it is about."""
    form.refuse(PLAN_FIELDS.get(problem.field, problem.field), problem.message)


@blueprint.get("/new")
@audience("teacher")
def new_practical() -> ResponseReturnValue:
    """The form for a new practical; an address may bring the answers to the three questions."""
    return _new(filled_in(fresh_form(settings().local_day(now())), request.args))


@blueprint.post("/new")
@audience("teacher")
def make_practical() -> ResponseReturnValue:
    """Store a new practical, or say what cannot be used."""
    form = read_plan_form(request.form)
    form.ask_about_room(request.form.get("as_typed", ""))
    if form.plan is not None and not form.questions:
        try:
            made = plans.plan_practical(database(), actor=g.teacher, plan=form.plan, now=now())
        except plans.PlanProblem as problem:
            note_problem(form, problem)
        else:
            return redirect(url_for("desk.lesson", practical_id=made.practical_id))
    return _new(form), 422 if form.problems else 200


@blueprint.get("/<int:practical_id>/plan")
@audience("teacher")
def plan(practical_id: int) -> ResponseReturnValue:
    """The plan, to read or to change."""
    practical = practical_here(practical_id)
    return _plan(practical, form_of(practical.plan))


@blueprint.post("/<int:practical_id>/plan")
@audience("teacher")
def change_plan(practical_id: int) -> ResponseReturnValue:
    """Replace the plan; what each bench has of its own is kept."""
    practical = practical_here(practical_id)
    form, picks = read_plan_form(request.form), picks_of(practical.plan, request.form)
    seen = request.form.get("seen", "")
    if "fill" in request.form:
        picks.fill(pieces.pieces_of_department(database(), actor=g.teacher), form.typed["material"])
        return _plan(practical, form, picks=picks, filled=True)
    if form.plan is not None and seen != fingerprint_of(practical.plan):
        return _plan(practical, form, picks=picks, changed_by_another=True), 409
    snapshot = snapshot_here(practical_id)
    form.ask_about_room(request.form.get("as_typed", ""), practical.plan, starts_of(snapshot))
    if form.plan is not None and not form.questions:
        try:
            store_plan(
                practical, lambda plan: with_what_the_form_lacks(form.plan or plan, plan, picks.kits())
            )
        except plans.PlanProblem as problem:
            note_problem(form, problem)
        else:
            flash(gettext("The plan is saved."), "good")
            return redirect(url_for("desk.plan"))
    return _plan(practical, form, picks=picks), 422 if form.problems else 200


def store_plan(practical: PracticalDetails, change: Callable[[Plan], Plan]) -> None:
    """Store a changed plan. Runs that came in meanwhile do not matter; another change of the plan does."""
    latest = practical
    for attempt in range(TRIES):
        if latest.plan != practical.plan:
            break
        try:
            plans.change_plan(
                database(),
                actor=g.teacher,
                practical_id=latest.practical_id,
                plan=change(latest.plan),
                now=now(),
                expected_revision=latest.revision,
            )
            return
        except plans.PlanChangedMeanwhile:
            if attempt == TRIES - 1:
                raise
            latest = practical_here(latest.practical_id)
    raise plans.PlanChangedMeanwhile(CHANGED_MEANWHILE)


def fingerprint_of(plan: Plan) -> str:
    """By which a page knows whether the plan is still the one it showed."""
    return fingerprint(repr(plan))


def with_what_the_form_lacks(typed: Plan, stored: Plan, kits: tuple[BenchKitLine, ...]) -> Plan:
    """The typed plan with the picked kits, and with what the form does not ask for from the stored one."""
    return replace(
        typed,
        bench_plans=stored.bench_plans,
        kits=kits,
        length_sd_m=stored.length_sd_m,
        reading_sd_K=stored.reading_sd_K,
        heat_sink_J_per_K=stored.heat_sink_J_per_K,
        typed={**_of_the_kit(stored), **typed.typed},
    )


def _of_the_kit(plan: Plan) -> dict[str, str]:
    """What was typed in the planner, which the plan's own form does not ask for."""
    return {name: text for name, text in plan.typed.items() if name.startswith(KEPT_AS)}


def _new(form: PlanForm) -> str:
    return render_template("desk/new.html", form=form, metals=MATERIALS.values(), questions=question_fields())


def _plan(
    practical: PracticalDetails,
    form: PlanForm,
    picks: KitPicks | None = None,
    changed_by_another: bool = False,
    filled: bool = False,
) -> str:
    return page(
        "desk/plan.html",
        practical,
        "plan",
        form=form,
        metals=MATERIALS.values(),
        questions=question_fields(),
        seen=fingerprint_of(practical.plan),
        stored=form_of(practical.plan),
        one_allowance=one_allowance_warning(practical.plan),
        changed_by_another=changed_by_another,
        picks=picks or picks_of(practical.plan),
        offered=offered(pieces.pieces_of_department(database(), actor=g.teacher), practical.plan),
        field_of=field_of,
        filled=filled,
    )


@blueprint.route("/<int:practical_id>/copy", methods=["GET", "POST"])
@audience("teacher")
def copy(practical_id: int) -> ResponseReturnValue:
    """The same plan for the next class; nothing measured is copied."""
    practical = practical_here(practical_id)
    offered = {"title": practical.title, "held_on": settings().local_day(now()).isoformat()}
    form = TypedForm.of(request.form, offered, {} if request.method == "POST" else offered)
    if request.method == "GET":
        return page("desk/copy.html", practical, "live", form=form)
    title, held_on = title_and_day(form)
    if held_on is None or form.problems:
        return page("desk/copy.html", practical, "live", form=form), 422
    made = plans.copy_practical(
        database(), actor=g.teacher, practical_id=practical_id, title=title, held_on=held_on, now=now()
    )
    return redirect(url_for("desk.plan", practical_id=made.practical_id))
