"""What a teacher asks about another fall: a substance, a height, how many falls, a thermometer."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from app.physics.falls import SUBSTANCES, FallWarming, Substance, own_substance, warming_over_fall
from app.physics.readings import ReadingProblem, parse_accepted_heat_capacity, parse_count, parse_decimal
from app.web.desk.plan_fields import read_thermometer_step
from app.web.desk.typed_form import TypedForm
from app.words import N_, Message

FALL_FIELDS = ("substance", "own", "height", "falls", "step")
LENGTHS = {"m": "1", "cm": "0.01", "mm": "0.001", "km": "1000", "ft": "0.3048"}
"""Heights of falls are typed in more units than tubes; a foot is exactly 0.3048 m (ISO 80000-3)."""


@dataclass
class FallForm(TypedForm):
    """What was typed, what is wrong with it, and what the fall does if nothing is."""

    warming: FallWarming | None = None


def read_fall(
    form: Mapping[str, str], own: Substance | None, gravity_m_per_s2: float, step: str = "0.1"
) -> FallForm:
    """Read the question and answer it. `own` is the class's own value, chosen as `class`."""
    defaults = {"substance": "water", "own": "", "height": "100 m", "falls": "1", "step": step}
    found = FallForm({name: form.get(name, defaults[name])[:200] for name in FALL_FIELDS})
    substance = _substance(found, own)
    height = found.read("height", read_fall_height)
    falls = found.read("falls", lambda text: int(parse_count(text).value))
    thermometer = found.read("step", read_thermometer_step)
    if substance and height and falls and thermometer and not found.problems:
        found.warming = warming_over_fall(
            substance,
            float(height),
            falls,
            thermometer_step_K=float(thermometer),
            gravity_m_per_s2=gravity_m_per_s2,
        )
    return found


def read_fall_height(text: str) -> Decimal:
    """A height of fall in m, up to 10 000 m. Raises ReadingProblem."""
    parsed = parse_decimal(text)
    factor = LENGTHS.get((parsed.unit or "m").strip().casefold())
    height = parsed.value * Decimal(factor or 0)
    if factor is None or not 0 < height <= 10_000:
        raise ReadingProblem(
            Message(N_("A height of fall is more than 0 and at most 10 000 m; use m, cm, km or ft."))
        )
    return height


def _substance(form: FallForm, own: Substance | None) -> Substance | None:
    chosen = form.typed["substance"]
    if chosen == "class" and own is not None:
        return own
    if chosen == "own":
        value = form.read("own", parse_accepted_heat_capacity)
        return own_substance(float(value), "") if value else None
    if chosen not in SUBSTANCES:
        form.problems["substance"] = Message(N_("Choose a substance from the list."))
        return None
    return SUBSTANCES[chosen]
