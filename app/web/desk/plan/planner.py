"""The planner: from the kit at hand to a line for every bench, each number the teacher's to overrule."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal
from typing import TYPE_CHECKING

from flask import flash, redirect, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext

from app.analysis.plan.kit import ImpossiblePlan, Kit
from app.practicals.lesson.details import Plan, PracticalDetails
from app.practicals.lesson.permission import NotYourPractical
from app.web.audience import audience
from app.web.desk.blueprint import blueprint, may_run, page, practical_here
from app.web.desk.plan.kit import KEPT_AS, KINDS, KitForm, kit_form_of, read_kit_form
from app.web.desk.plan.lines import (
    ICE,
    BenchLines,
    lines_of_plans,
    plans_of_stored,
    predicted,
    read_lines,
    stored_line,
)
from app.web.desk.plan.own_sink import own_heat_sink
from app.web.desk.plan.pages import CHANGED_MEANWHILE, fingerprint_of, store_plan
from app.web.desk.plan.said_once import by_field, said_once, these_benches
from app.web.languages import say
from app.words import N_, Message

if TYPE_CHECKING:  # brings scipy, which a first page should not wait for
    from app.analysis.plan.prediction import Prediction
    from app.analysis.plan.proposal import Proposal


@blueprint.get("/<int:practical_id>/planner")
@audience("teacher")
def planner(practical_id: int) -> ResponseReturnValue:
    """The stored lines with what they will give, or a proposal where there are none yet."""
    practical = practical_here(practical_id)
    form = kit_form_of(practical.plan, own_heat_sink())
    proposal = _proposal(form)
    lines = BenchLines({})
    if proposal is not None:
        proposed, stored = proposal.recommended.plans, practical.plan.bench_plans
        shown = plans_of_stored(practical.plan, proposed) if stored else proposed
        lines = lines_of_plans(shown, practical.plan)
    return _planner(practical, form, proposal, lines)


@blueprint.post("/<int:practical_id>/planner")
@audience("teacher")
def plan_benches(practical_id: int) -> ResponseReturnValue:
    """Propose again from the kit, show what the typed lines cost, or store them."""
    practical = practical_here(practical_id)
    action = request.form.get("action", "propose")
    if action == "save" and not may_run(practical):
        raise NotYourPractical()  # before anybody is asked about numbers that cannot be stored anyway
    form = read_kit_form(request.form, practical.plan, own_heat_sink())
    proposal = _proposal(form)
    if proposal is None or form.kit is None:
        return _planner(practical, form, None, BenchLines({})), 422
    chosen = next((one for one in proposal.alternatives if one.key == action), proposal.recommended)
    if action not in ("cost", "save"):
        return _planner(practical, form, proposal, lines_of_plans(chosen.plans, practical.plan, request.form))
    lines = read_lines(request.form, proposal.recommended.plans, practical.plan)
    prediction = _predicted(practical, form, lines)
    if prediction is None:
        return _planner(practical, form, proposal, lines), 422
    if action == "cost":
        return _planner(practical, form, proposal, lines)
    return _store(practical, form.kit, form, proposal, lines, prediction)


def _store(
    practical: PracticalDetails,
    kit: Kit,
    form: KitForm,
    proposal: Proposal,
    lines: BenchLines,
    prediction: Prediction,
) -> ResponseReturnValue:
    """Store the lines, unless the plan has changed meanwhile or their warnings were not yet seen."""
    if request.form.get("seen", "") != fingerprint_of(practical.plan):
        return _planner(practical, form, proposal, lines, changed=True), 409
    if lines.warned_of and request.form.get("stands", "") != lines.warned_of:
        return _planner(practical, form, proposal, lines, asked=True)
    store_plan(practical, lambda plan: with_lines(plan, form, kit, prediction, lines.ice_points))
    flash(gettext("Every bench has its plan. The cards carry it."), "good")
    return redirect(url_for("desk.planner"))


@blueprint.post("/<int:practical_id>/planner/clear")
@audience("teacher")
def clear_bench_plans(practical_id: int) -> ResponseReturnValue:
    """Let every bench follow the practical's own values again."""
    store_plan(practical_here(practical_id), lambda plan: replace(plan, bench_plans=()))
    flash(gettext("Every bench follows the practical's own values again."), "good")
    return redirect(url_for("desk.planner"))


def with_lines(
    plan: Plan, form: KitForm, kit: Kit, prediction: Prediction, ice_points: Mapping[str, Decimal]
) -> Plan:
    """The plan with a line for every bench, and the kit kept as it was typed."""
    kit_typed = {KEPT_AS + name: text for name, text in form.typed.items() if text}
    others = {name: text for name, text in plan.typed.items() if not name.startswith(KEPT_AS)}
    count = len(prediction.benches)
    return replace(
        plan,
        planned_benches=count,
        heat_sink_J_per_K=Decimal(str(kit.heat_sink_J_per_K)),
        bench_plans=tuple(
            stored_line(bench, plan, ice_points.get(bench.plan.bench)) for bench in prediction.benches
        ),
        typed={**others, **kit_typed, "planned_benches": str(count)},
    )


def _proposal(form: KitForm) -> Proposal | None:
    from app.analysis.plan.proposal import propose  # noqa: PLC0415 - brings scipy

    if form.kit is None:
        return None
    try:
        return propose(form.kit)
    except ImpossiblePlan as problem:
        form.refuse_kit(problem)
        return None


def _planner(
    practical: PracticalDetails,
    form: KitForm,
    proposal: Proposal | None,
    lines: BenchLines,
    changed: bool = False,
    asked: bool = False,
) -> str:
    from app.analysis.plan.proposal import cost_of_change  # noqa: PLC0415 - brings scipy

    prediction = _predicted(practical, form, lines)
    cost = cost_of_change(proposal.recommended.prediction, prediction) if proposal and prediction else None
    problems = [*form.problem_list(), *lines.problem_list()]
    said = said_once(lines.warnings, say)
    differ = form.kit is not None and len(set(form.kit.thermometer_steps_K)) > 1
    return page(
        "desk/planner.html",
        practical,
        "plan",
        form=form,
        kinds=KINDS,
        proposal=proposal,
        lines=lines,
        said=[(one, these_benches(one.benches, say) if one.benches else "") for one in said],
        said_of=by_field(said),
        prediction=prediction,
        one_allowance=prediction.one_allowance if prediction else None,
        ice_points=differ or any(text for name, text in lines.typed.items() if name.startswith(f"{ICE}_")),
        cost=None if cost is None else Decimal(f"{100 * (cost - 1):.0f}"),
        problems=problems,
        stored=bool(practical.plan.bench_plans),
        seen=fingerprint_of(practical.plan),
        changed=CHANGED_MEANWHILE if changed else None,
        asked=asked,
    )


def _predicted(practical: PracticalDetails, form: KitForm, lines: BenchLines) -> Prediction | None:
    """What the lines will give, with the warnings beside them; None where there is nothing to work out."""
    prediction = predicted(form.kit, lines) if form.kit and lines.plans else None
    tubes, benches = form.kit.benches if form.kit else 0, practical.plan.planned_benches
    if prediction and tubes < benches:
        sentence = N_(
            "Tubes in all: %(tubes)s, benches planned so far: %(benches)s. Using this plan leaves %(tubes)s."
        )
        values = {"tubes": str(tubes), "benches": str(benches)}
        lines.warnings["tubes_1"] = (Message(sentence, values),)
    return prediction
