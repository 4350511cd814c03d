"""The kit at hand as a teacher types it, read into what the planner works with."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from app.analysis.plan.kit import ImpossiblePlan, Kit, Tube, check_kit
from app.physics.limits import (
    MOST_BENCHES,
    MOST_HEAT_SINK_J_PER_K,
    MOST_LESSON_MIN,
    MOST_SHOT_IN_STOCK_KG,
    MOST_TIPS_PER_MINUTE,
)
from app.physics.reading.readings import (
    ReadingProblem,
    decimal_text,
    parse_count,
    parse_decimal,
    parse_length,
    parse_mass,
    parse_temperature,
)
from app.practicals.lesson.details import Plan
from app.web.desk.plan.fields import read_bench_count, read_thermometer_step
from app.web.desk.typed_form import TypedForm
from app.words import N_, Message

KINDS = (1, 2, 3)
TUBE_FIELDS = tuple(f"{name}_{kind}" for kind in KINDS for name in ("tubes", "length", "bore", "step"))
OTHER_FIELDS = (
    *("caps", "allowance", "shot_available", "least_mass", "most_mass", "minutes", "minutes_beside"),
    *("tips_per_minute", "most_inversions", "heat_sink", "room"),
)
KIT_FIELDS = (*TUBE_FIELDS, *OTHER_FIELDS)
KEPT_AS = "kit_"
ASSUMED_ROOM_C = 21.0
USUAL_CAPS = "2 cm"
"""What two caps that reach 1 cm into the tube take off (common practice, no source)."""
ALLOWANCE_NEEDED = Message(
    N_("A tube without a bore needs its end allowance: what caps and settled shot together take off.")
)
TOO_MANY_TUBES = Message(N_("That is more than 99 tubes in all. A class has at most 99 benches."))


@dataclass
class KitForm:
    """What was typed, what is wrong with it, and the kit if nothing is."""

    typed: dict[str, str]
    problems: dict[str, Message] = field(default_factory=dict)
    kit: Kit | None = None


def kit_form_of(plan: Plan) -> KitForm:
    """The kit typed before for this practical, else what its plan says, with the tool's own guesses."""
    bore = plan.bore_m
    typed = dict.fromkeys(KIT_FIELDS, "")
    typed |= {
        "tubes_1": str(plan.planned_benches),
        "length_1": f"{decimal_text(plan.tube_length_m * 100)} cm",
        "bore_1": "" if bore is None else f"{decimal_text(bore * 1000)} mm",
        "step_1": decimal_text(plan.thermometer_step_K),
        "caps": USUAL_CAPS,
        "allowance": f"{decimal_text(plan.end_allowance_m * 100)} cm",
        "most_mass": "1 kg",
        "minutes": "30",
        "minutes_beside": "4",
        "tips_per_minute": "30",
        "most_inversions": "100",
        "heat_sink": "20",
        "room": "" if plan.room_temperature_C is None else decimal_text(plan.room_temperature_C),
    }
    return read_kit_form(typed | _kept(plan), plan)


def _kept(plan: Plan) -> dict[str, str]:
    """The kit as it was typed before.

    In older records one field held the caps where a bore was typed and caps and settled shot together where
    none was; it was offered filled with the plan's end allowance, so that number with a bore was never meant.
    """
    kept = {name: plan.typed[KEPT_AS + name] for name in KIT_FIELDS if KEPT_AS + name in plan.typed}
    if "caps" not in kept or "allowance" in kept:
        return kept
    bored = any(kept.get(f"bore_{kind}") for kind in KINDS)
    if not bored:
        kept["allowance"] = kept.pop("caps")
    elif plan.bore_m is None and _length_or_zero(kept["caps"]) == plan.end_allowance_m:
        del kept["caps"]
    return kept


def read_kit_form(form: Mapping[str, str], plan: Plan) -> KitForm:
    """Read the kit; every problem is found, not only the first."""
    reader = _Reader({name: form.get(name, "")[:200] for name in KIT_FIELDS})
    kit = reader.kit(plan)
    if kit is not None:
        try:
            check_kit(kit)
        except ImpossiblePlan as problem:
            reader.problems[FIELD_OF.get(problem.field, "tubes_1")] = problem.message
            kit = None
    return KitForm(reader.typed, reader.problems, kit)


FIELD_OF = {
    "tubes": "tubes_1",
    "caps": "caps",
    "end_allowance": "allowance",
    "thermometer_steps_K": "step_1",
    "shot_available_kg": "shot_available",
    "least_mass_kg": "least_mass",
    "most_mass_kg": "most_mass",
    "minutes": "minutes",
    "minutes_beside_tipping": "minutes_beside",
    "tips_per_minute": "tips_per_minute",
    "most_inversions": "most_inversions",
    "heat_sink_J_per_K": "heat_sink",
    "room_temperature_C": "room",
}
"""Which field of the form a problem of the kit is about."""


class _Reader(TypedForm):
    """Reads one field after another and collects what is wrong."""

    def kit(self, plan: Plan) -> Kit | None:
        """The kit; None while there are problems."""
        caps = self.read("caps", lambda text: _length_or_zero(text or "0"))
        allowance = self.read_optional("allowance", _length_or_zero)
        tubes: list[Tube] = []
        steps: list[float] = []
        for kind in KINDS:
            count, tube, step = self._kind(
                kind, float(caps or 0), None if allowance is None else float(allowance)
            )
            tubes += [tube] * count
            steps += [step] * count
        available = self.read_optional("shot_available", lambda text: parse_shot(text))
        least = self.read_optional("least_mass", lambda text: parse_mass(text).value)
        most = self.read("most_mass", lambda text: parse_mass(text).value)
        minutes = self.read("minutes", _minutes)
        beside = self.read("minutes_beside", lambda text: _minutes(text or "0"))
        tips = self.read("tips_per_minute", _tips)
        inversions = self.read("most_inversions", lambda text: int(parse_count(text).value))
        sink = self.read("heat_sink", _heat_sink)
        room = self.read_optional("room", lambda text: parse_temperature(text).value)
        if len(tubes) > MOST_BENCHES:
            self.problems["tubes_1"] = TOO_MANY_TUBES
        if self.problems:
            return None
        return Kit(
            tubes=tuple(tubes),
            material=plan.material,
            heat_capacity_J_per_kg_K=float(plan.accepted_J_per_kg_K),
            thermometer_steps_K=tuple(steps),
            reading_sd_K=float(plan.reading_sd_K),
            shot_available_kg=None if available is None else float(available),
            least_mass_kg=None if least is None else float(least),
            most_mass_kg=float(most or 0),
            minutes=float(minutes or 0),
            minutes_beside_tipping=float(beside or 0),
            tips_per_minute=float(tips or 0),
            most_inversions=inversions or 0,
            heat_sink_J_per_K=float(sink or 0),
            length_sd_m=float(plan.length_sd_m),
            gravity_m_per_s2=float(plan.gravity_m_per_s2),
            u_gravity_m_per_s2=float(plan.u_gravity_m_per_s2),
            room_temperature_C=ASSUMED_ROOM_C if room is None else float(room),
        )

    def _kind(self, kind: int, caps_m: float, allowance_m: float | None) -> tuple[int, Tube, float]:
        """How many tubes of one kind there are, the tube, and the step of the thermometer beside it."""
        names = [f"{name}_{kind}" for name in ("tubes", "length", "bore", "step")]
        if kind > 1 and not any(self.typed[name].strip() for name in names):
            return 0, Tube(1.0), 0.1
        count = self.read(f"tubes_{kind}", read_bench_count)
        length = self.read(f"length_{kind}", lambda text: parse_length(text).value)
        bore = self.read_optional(f"bore_{kind}", lambda text: parse_length(text, "mm").value)
        step = self.read(f"step_{kind}", read_thermometer_step)
        if not self.typed[f"bore_{kind}"].strip() and allowance_m is None:
            self.problems.setdefault("allowance", ALLOWANCE_NEEDED)
        tube = Tube(float(length or 1), None if bore is None else float(bore), caps_m, allowance_m or 0.0)
        return count or 0, tube, float(step or 0.1)


def parse_shot(text: str) -> Decimal:
    """All the shot there is, in kg: may be more than one bench could tip. Raises ReadingProblem."""
    parsed = parse_decimal(text)
    unit = (parsed.unit or "kg").strip().casefold()
    factor = {"kg": Decimal(1), "g": Decimal("0.001")}.get(unit)
    value = parsed.value * (factor or 0)
    if factor is None or not 0 < value <= MOST_SHOT_IN_STOCK_KG:
        raise ReadingProblem(Message(N_("Give all the shot there is in kg or g, for example 9 kg.")))
    return value


def _length_or_zero(text: str) -> Decimal:
    return parse_length(text, may_be_zero=True).value


def _minutes(text: str) -> Decimal:
    return _plain(text, MOST_LESSON_MIN, Message(N_("Give minutes as a number from 0 to 600.")), "min")


def _tips(text: str) -> Decimal:
    problem = Message(N_("Give the tips per minute as a number up to 200; 30 is a usual pace."))
    return _plain(text, MOST_TIPS_PER_MINUTE, problem, "/min")


def _heat_sink(text: str) -> Decimal:
    problem = Message(
        N_("Give the heat sink in J/K, from 0 to 2000; 20 is a usual guess for a plastic tube.")
    )
    return _plain(text, MOST_HEAT_SINK_J_PER_K, problem, "J/K")


def _plain(text: str, most: int, problem: Message, unit: str) -> Decimal:
    parsed = parse_decimal(text)
    if parsed.unit not in (None, unit) or not 0 <= parsed.value <= most:
        raise ReadingProblem(problem)
    return parsed.value
