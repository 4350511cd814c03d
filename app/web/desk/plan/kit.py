"""The kit at hand as a teacher types it, read into what the planner works with."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from app.analysis.figure import Pooled
from app.analysis.plan.kit import ImpossiblePlan, Kit, Tube, check_kit
from app.physics.limits import MOST_BENCHES
from app.physics.reading.planning import (
    parse_bench_count,
    parse_heat_sink,
    parse_minutes,
    parse_shot,
    parse_thermometer_step,
    parse_tips_per_minute,
)
from app.physics.reading.readings import (
    decimal_text,
    parse_count,
    parse_length,
    parse_mass,
    parse_temperature,
)
from app.physics.rounding import value_in_interval
from app.practicals.lesson.details import Plan
from app.web.forms import TypedForm, in_cm, in_mm, plain
from app.words import N_, Message

KINDS = (1, 2, 3)
ASKED_FIRST = ("tubes_1", "shot_available", "step_1")
"""How many tubes, how much shot, which thermometer: what no plan can guess."""
OF_A_TUBE = ("tubes", "length", "bore", "step")
FOLDED = (
    *("length_1", "bore_1", *(f"{name}_{kind}" for kind in KINDS[1:] for name in OF_A_TUBE)),
    *("caps", "allowance", "most_mass", "least_mass", "minutes", "minutes_beside"),
    *("tips_per_minute", "most_inversions", "heat_sink", "room", "two_counts"),
)
"""The rest, in the order of the page: folded away as long as it is as usual and nothing is wrong with it."""
KIT_FIELDS = (*ASKED_FIRST, *FOLDED)
KEPT_AS = "kit_"
TICKED = "yes"
ASSUMED_ROOM_C = 21.0
USUAL_CAPS = "2 cm"
"""What two caps that reach 1 cm into the tube take off (common practice, no source)."""
ALLOWANCE_NEEDED = Message(
    N_("A tube without a bore needs its end allowance: what caps and settled shot together take off.")
)
TOO_MANY_TUBES = Message(N_("That is more than 99 tubes in all. A class has at most 99 benches."))


@dataclass
class KitForm(TypedForm):
    """A kit as typed, and the kit itself if nothing is wrong with it."""

    kit: Kit | None = None
    usual: Mapping[str, str] = field(default_factory=dict)
    """What each field holds before anybody typed something else."""
    own_sink: Pooled | None = None
    """The department's heat sink, where its practicals tell it."""

    @property
    def shows_all(self) -> bool:
        """Whether a folded field has a problem, or holds something else than usual."""
        return any(
            name in self.problems or self.typed[name].strip() != self.usual.get(name, "") for name in FOLDED
        )

    def refuse_kit(self, problem: ImpossiblePlan) -> None:
        """Put what the planner refuses beside the field that it is about."""
        self.kit = None
        self.problems[FIELD_OF.get(problem.field, "tubes_1")] = problem.message


def kit_form_of(plan: Plan, own_sink: Pooled | None) -> KitForm:
    """The kit typed before for this practical, else what its plan says, with the tool's own guesses.

    `own_sink` is the department's heat sink, which is better than a guess.
    """
    return read_kit_form(_usual(plan, own_sink) | _kept(plan), plan, own_sink)


def _usual(plan: Plan, own_sink: Pooled | None) -> dict[str, str]:
    """What the plan says of the kit, with the tool's own guesses."""
    return dict.fromkeys(KIT_FIELDS, "") | {
        "tubes_1": str(plan.planned_benches),
        "length_1": in_cm(plan.tube_length_m),
        "bore_1": in_mm(plan.bore_m),
        "step_1": decimal_text(plan.thermometer_step_K),
        "caps": USUAL_CAPS,
        "allowance": in_cm(plan.end_allowance_m),
        "most_mass": "1.2 kg",
        "minutes": "30",
        "minutes_beside": "4",
        "tips_per_minute": "30",
        "most_inversions": "100",
        "heat_sink": "20" if own_sink is None else value_in_interval(own_sink.value, own_sink.interval),
        "room": plain(plan.room_temperature_C),
    }


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


def read_kit_form(form: Mapping[str, str], plan: Plan, own_sink: Pooled | None) -> KitForm:
    """Read the kit; every problem is found, not only the first."""
    found = KitForm.of(form, KIT_FIELDS, longest=200)
    found.usual = _usual(plan, own_sink)
    found.own_sink = own_sink
    found.kit = _kit(found, plan)
    if found.kit is not None:
        try:
            check_kit(found.kit)
        except ImpossiblePlan as problem:
            found.refuse_kit(problem)
    return found


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


def _kit(form: KitForm, plan: Plan) -> Kit | None:
    """The kit; None while there are problems."""
    caps = form.read("caps", lambda text: _length_or_zero(text or "0"))
    allowance = form.read_optional("allowance", _length_or_zero)
    tubes: list[Tube] = []
    steps: list[float] = []
    for kind in KINDS:
        count, tube, step = _kind(
            form, kind, float(caps or 0), None if allowance is None else float(allowance)
        )
        tubes += [tube] * count
        steps += [step] * count
    available = form.read_optional("shot_available", parse_shot)
    least = form.read_optional("least_mass", lambda text: parse_mass(text).value)
    most = form.read("most_mass", lambda text: parse_mass(text).value)
    minutes = form.read("minutes", parse_minutes)
    beside = form.read("minutes_beside", lambda text: parse_minutes(text or "0"))
    tips = form.read("tips_per_minute", parse_tips_per_minute)
    inversions = form.read("most_inversions", lambda text: int(parse_count(text).value))
    sink = form.read("heat_sink", parse_heat_sink)
    room = form.read_optional("room", lambda text: parse_temperature(text).value)
    if len(tubes) > MOST_BENCHES:
        form.problems["tubes_1"] = TOO_MANY_TUBES
    if form.problems:
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
        depth_measured=plan.depth_measured,
        two_counts=form.typed["two_counts"] == TICKED,
    )


def _kind(form: KitForm, kind: int, caps_m: float, allowance_m: float | None) -> tuple[int, Tube, float]:
    """How many tubes of one kind there are, the tube, and the step of the thermometer beside it."""
    names = [f"{name}_{kind}" for name in OF_A_TUBE]
    if kind > 1 and not any(form.typed[name].strip() for name in names):
        return 0, Tube(1.0), 0.1
    count = form.read(f"tubes_{kind}", parse_bench_count)
    length = form.read(f"length_{kind}", lambda text: parse_length(text).value)
    bore = form.read_optional(f"bore_{kind}", lambda text: parse_length(text, "mm").value)
    step = form.read(f"step_{kind}", parse_thermometer_step)
    if not form.typed[f"bore_{kind}"].strip() and allowance_m is None:
        form.refuse("allowance", ALLOWANCE_NEEDED)
    tube = Tube(float(length or 1), None if bore is None else float(bore), caps_m, allowance_m or 0.0)
    return count or 0, tube, float(step or 0.1)


def _length_or_zero(text: str) -> Decimal:
    return parse_length(text, may_be_zero=True).value
