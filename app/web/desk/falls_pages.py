"""Falling water and other falls: what the class's own result says about falls that nobody can tip."""

from __future__ import annotations

from flask import g, render_template, request
from flask.typing import ResponseReturnValue

from app.analysis.results import ClassResult
from app.physics.energy import STANDARD_GRAVITY_M_PER_S2
from app.physics.falls import SUBSTANCES, Substance, own_substance
from app.practicals import results
from app.web.audience import audience
from app.web.desk.blueprint import blueprint
from app.web.desk.falls_form import read_fall
from app.web.desk.guard import page
from app.web.storage import database


@blueprint.get("/falls")
@audience("teacher")
def other_falls() -> ResponseReturnValue:
    """Any substance over any fall."""
    form = read_fall(request.args, None, STANDARD_GRAVITY_M_PER_S2)
    return render_template("desk/falls.html", form=form, substances=SUBSTANCES.values(), own=None)


@blueprint.get("/<int:practical_id>/falls")
@audience("teacher")
def class_falls(practical_id: int) -> ResponseReturnValue:
    """The same from one class's own result."""
    snapshot = results.class_snapshot(database(), practical_id, actor=g.teacher)
    plan = snapshot.practical.plan
    own = class_substance(snapshot.result)
    step = format(plan.thermometer_step_K, "f")
    chosen = {"substance": "class"} if own and "substance" not in request.args else {}
    form = read_fall({**request.args.to_dict(), **chosen}, own, float(plan.gravity_m_per_s2), step)
    return page(
        "desk/class_falls.html",
        snapshot.practical,
        "live",
        form=form,
        substances=SUBSTANCES.values(),
        own=own,
        result=snapshot.result,
    )


def class_substance(result: ClassResult | None) -> Substance | None:
    """The class's metal with the specific heat capacity that it "
    "found: the separated one where there is one."""
    if result is None:
        return None
    separated = result.separated.heat_capacity_J_per_kg_K
    if result.separated.identifiable and separated is not None and separated > 0:
        return own_substance(separated, "separated")
    if result.class_value is not None and result.class_value.apparent_heat_capacity_J_per_kg_K > 0:
        return own_substance(result.class_value.apparent_heat_capacity_J_per_kg_K, "apparent")
    return None
