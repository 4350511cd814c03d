"""What the teacher has for a lesson: tubes, shot, thermometers, time; and what is assumed about the class."""

from __future__ import annotations

import math
from dataclasses import dataclass

from app.physics.energy import (
    STANDARD_GRAVITY_M_PER_S2,
    mass_the_tube_holds,
    settled_depth,
)
from app.physics.limits import BORE_M, LENGTH_M, MOST_INVERSIONS, MOST_TUBES, PLANNED_ROOM_C
from app.physics.materials import MATERIALS
from app.physics.rounding import short
from app.words import N_, Message


class ImpossiblePlan(ValueError):
    """The plan or the kit cannot be; `field` names what to change, `message` says it in one sentence."""

    def __init__(self, field: str, message: Message) -> None:
        super().__init__(str(message))
        self.field = field
        self.message = message


@dataclass(frozen=True)
class Tube:
    """One tube. Where its bore is known, `caps_m` is what the caps alone take off the length and the settled
    shot is worked out; where it is not, `end_allowance_m` is what both take off together, as measured."""

    length_m: float
    bore_m: float | None = None
    caps_m: float = 0.0
    end_allowance_m: float = 0.0


@dataclass(frozen=True)
class Kit:
    """The kit at hand and what is assumed; one tube a bench.

    `thermometer_steps_K` has one entry for all benches, or one a bench. `shot_available_kg` is all the
    shot there is (None: enough). `minutes` is the time for all runs of a bench, `minutes_beside_tipping`
    what a run takes beside the tipping itself. The technique sds are relative (energy that reaches the
    shot), per bench and per run; `sink_sd` is how far the benches' heat sinks differ, relative. They, the
    heat sink and the leak are guesses until a class has been analysed. `depth_measured`: each bench measures
    how deep its settled shot lies. `two_counts`: one run of each bench has about half the inversions.

    Defaults: `thermometer_steps_K`, `most_mass_kg`, `minutes`, `most_inversions`, `tips_per_minute`,
    `heat_sink_J_per_K` and `room_temperature_C` are those of a usual lesson and kit (common practice, no
    source; published demonstrations take 50 to 100 inversions).

    `minutes_beside_tipping`, `technique_sd_bench`, `technique_sd_run` and `sink_sd` are invented.
    `length_sd_m` is what a metre rule is good for beside a tube (common practice, no source).
    `leak_J_per_K_per_inversion` is 0.05 W/K (from memory) over the two seconds of an inversion.
    """

    tubes: tuple[Tube, ...]
    material: str = "lead"
    heat_capacity_J_per_kg_K: float | None = None
    thermometer_steps_K: tuple[float, ...] = (0.1,)
    reading_sd_K: float = 0.0
    shot_available_kg: float | None = None
    least_mass_kg: float | None = None
    most_mass_kg: float = 1.2
    minutes: float = 30.0
    minutes_beside_tipping: float = 4.0
    tips_per_minute: float = 30.0
    most_inversions: int = 100
    heat_sink_J_per_K: float = 20.0
    technique_sd_bench: float = 0.03
    technique_sd_run: float = 0.01
    sink_sd: float = 0.10
    leak_J_per_K_per_inversion: float = 0.1
    length_sd_m: float = 0.002
    gravity_m_per_s2: float = STANDARD_GRAVITY_M_PER_S2
    u_gravity_m_per_s2: float = 0.0
    room_temperature_C: float = 21.0
    depth_measured: bool = False
    two_counts: bool = False

    @property
    def benches(self) -> int:
        return len(self.tubes)

    @property
    def c(self) -> float:
        """The specific heat capacity to plan with: the teacher's, or the metal's accepted value."""
        own = self.heat_capacity_J_per_kg_K
        return MATERIALS[self.material].accepted_J_per_kg_K if own is None else own

    def step_K(self, position: int) -> float:
        """The thermometer step of the bench at this position."""
        steps = self.thermometer_steps_K
        return steps[0] if len(steps) == 1 else steps[position]

    def end_allowance_m(self, tube: Tube, mass_kg: float) -> float:
        """Caps and settled shot, in metres."""
        if tube.bore_m is None:
            return tube.end_allowance_m
        return tube.caps_m + settled_depth(mass_kg, tube.bore_m, self.density_kg_per_m3)

    def brimful_kg(self, tube: Tube) -> float | None:
        """Shot that fills the tube; None where the bore is not known."""
        if tube.bore_m is None:
            return None
        return mass_the_tube_holds(tube.length_m - tube.caps_m, tube.bore_m, self.density_kg_per_m3)

    @property
    def density_kg_per_m3(self) -> float:
        return MATERIALS[self.material].density_kg_per_m3


def check_kit(kit: Kit) -> None:
    """Raises ImpossiblePlan for a kit that no class can work with."""
    if not kit.tubes:
        raise ImpossiblePlan("tubes", Message(N_("There is no tube in the kit. Give at least one.")))
    if len(kit.tubes) > MOST_TUBES:
        raise ImpossiblePlan("tubes", Message(N_("More than 200 tubes are more than one class can use.")))
    if kit.material not in MATERIALS:
        raise ImpossiblePlan("material", Message(N_("Choose a metal from the list.")))
    for number, tube in enumerate(kit.tubes, 1):
        _check_tube(str(number), tube)
    if len(kit.thermometer_steps_K) not in (1, kit.benches):
        raise ImpossiblePlan(
            "thermometer_steps_K", Message(N_("Give one thermometer step for all benches, or one a bench."))
        )
    for name, message in _POSITIVE.items():
        given = getattr(kit, name)
        values = given if isinstance(given, tuple) else (given,)
        if not all(value is None or (math.isfinite(value) and value > 0) for value in values):
            raise ImpossiblePlan(name, message)
    for name in _NOT_NEGATIVE:
        value = float(getattr(kit, name))
        if not (math.isfinite(value) and value >= 0):
            raise ImpossiblePlan(
                name, Message(N_("A scatter, a heat sink or a heat leak cannot be negative."))
            )
    if not 1 <= kit.most_inversions <= MOST_INVERSIONS:
        raise ImpossiblePlan("most_inversions", impossible_count(kit.most_inversions))
    if kit.room_temperature_C not in PLANNED_ROOM_C:
        raise ImpossiblePlan(
            "room_temperature_C", Message(N_("That is no room temperature. Give it in °C, for example 21."))
        )
    if kit.tips_per_minute * (kit.minutes - kit.minutes_beside_tipping) < 1:
        raise ImpossiblePlan(
            "minutes",
            Message(
                N_("There is no time for a single run. Give more minutes or take less time beside tipping.")
            ),
        )


def impossible_count(inversions: float) -> Message:
    """The sentence for a count that no bench can turn."""
    return Message(
        N_("%(count)s inversions cannot be done. Plan between 1 and %(most)s."),
        {"count": short(inversions, 6), "most": str(MOST_INVERSIONS)},
    )


def _check_tube(number: str, tube: Tube) -> None:
    def refuse(field: str, sentence: str) -> ImpossiblePlan:
        return ImpossiblePlan(field, Message(sentence, {"number": number}))

    if not (tube.length_m > 0 and tube.length_m in LENGTH_M.refused_outside):
        raise refuse("tubes", N_("Tube %(number)s: its length must be up to 10 m."))
    if tube.bore_m is not None and tube.bore_m not in BORE_M:
        raise refuse("tubes", N_("Tube %(number)s: its bore must be 5 mm to 50 cm."))
    if tube.bore_m is not None and not 0 <= tube.caps_m < tube.length_m:
        raise refuse("caps", N_("Tube %(number)s: its caps leave no fall."))
    if tube.bore_m is None and not 0 <= tube.end_allowance_m < tube.length_m:
        raise refuse("end_allowance", N_("Tube %(number)s: its end allowance leaves no fall."))


_NOT_NEGATIVE = (
    "reading_sd_K",
    "minutes_beside_tipping",
    "heat_sink_J_per_K",
    "technique_sd_bench",
    "technique_sd_run",
    "sink_sd",
    "leak_J_per_K_per_inversion",
    "length_sd_m",
    "u_gravity_m_per_s2",
)
_POSITIVE = {
    "thermometer_steps_K": Message(N_("A thermometer step must be more than zero, for example 0.1 K.")),
    "minutes": Message(N_("Give the minutes for tipping as a number above zero.")),
    "tips_per_minute": Message(N_("Give the tips per minute as a number above zero.")),
    "most_mass_kg": Message(N_("The largest mass must be more than zero.")),
    "least_mass_kg": Message(N_("The smallest mass must be more than zero.")),
    "shot_available_kg": Message(N_("There is no shot in the kit. Give how much there is.")),
    "gravity_m_per_s2": Message(N_("Gravity must be more than zero, for example 9.81 m/s².")),
    "heat_capacity_J_per_kg_K": Message(
        N_("The specific heat capacity to plan with must be more than zero.")
    ),
}
