"""Falling water and other falls: what the class's own result says about falls that nobody can tip."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from flask import render_template, request
from flask.typing import ResponseReturnValue

from app.analysis.results import ClassResult
from app.physics.energy import STANDARD_GRAVITY_M_PER_S2
from app.physics.falls import SUBSTANCES, FallWarming, Substance, own_substance, warming_over_fall
from app.physics.reading.planning import parse_fall_height, parse_thermometer_step
from app.physics.reading.readings import parse_accepted_heat_capacity, parse_count
from app.web.audience import audience
from app.web.desk.blueprint import blueprint, page, snapshot_here
from app.web.forms import TypedForm
from app.words import N_, Message

OFFERED = {"substance": "water", "own": "", "height": "100 m", "falls": "1", "step": "0.1"}


@dataclass
class FallForm(TypedForm):
    """A fall as typed, and what it does if nothing is wrong with it."""

    warming: FallWarming | None = None


@blueprint.get("/falls")
@audience("teacher")
def other_falls() -> ResponseReturnValue:
    """Any substance over any fall."""
    form = read_fall(request.args, None, STANDARD_GRAVITY_M_PER_S2)
    return render_template("desk/falls.html", form=form, substances=SUBSTANCES.values(), own=None)


@blueprint.get("/<int:practical_id>/falls")
@audience("teacher")
def class_falls(practical_id: int) -> ResponseReturnValue:
    """Any substance over any fall, with the class's own metal and value to choose as well."""
    snapshot = snapshot_here(practical_id)
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
    )


def class_substance(result: ClassResult | None) -> Substance | None:
    """The class's metal with the specific heat capacity that it found: the separated one if there is one."""
    if result is None:
        return None
    separated = result.separated.heat_capacity_J_per_kg_K
    if result.separated.identifiable and separated is not None and separated > 0:
        return own_substance(separated, "separated")
    if result.class_value is not None and result.class_value.apparent_heat_capacity_J_per_kg_K > 0:
        return own_substance(result.class_value.apparent_heat_capacity_J_per_kg_K, "apparent")
    return None


def read_fall(
    form: Mapping[str, str], own: Substance | None, gravity_m_per_s2: float, step: str = OFFERED["step"]
) -> FallForm:
    """Read the question and answer it. `own` is the class's own value, chosen as `class`."""
    found = FallForm.of(form, OFFERED, {**OFFERED, "step": step}, longest=200)
    substance = _substance(found, own)
    height = found.read("height", parse_fall_height)
    falls = found.read("falls", lambda text: int(parse_count(text).value))
    thermometer = found.read("step", parse_thermometer_step)
    if substance and height and falls and thermometer:
        found.warming = warming_over_fall(
            substance,
            float(height),
            falls,
            thermometer_step_K=float(thermometer),
            gravity_m_per_s2=gravity_m_per_s2,
        )
    return found


def _substance(form: FallForm, own: Substance | None) -> Substance | None:
    chosen = form.typed["substance"]
    if chosen == "class" and own is not None:
        return own
    if chosen == "own":
        value = form.read("own", parse_accepted_heat_capacity)
        return own_substance(float(value), "") if value else None
    if chosen not in SUBSTANCES:
        form.refuse("substance", Message(N_("Choose a substance from the list.")))
    return SUBSTANCES.get(chosen)
