"""Bounds of what may be typed, planned and stored, each declared once, with its reason.

Every door uses these: the parsers, the plan, the planner, the checks of a run, the analysis and the
constraints of the database. A sentence that names a bound takes its number from here, or a test holds it to
the number here.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property


@dataclass(frozen=True)
class Range:
    """Least and most, both allowed. A decimal is compared exactly."""

    least: Decimal
    most: Decimal

    def __contains__(self, value: Decimal | float) -> bool:
        if isinstance(value, Decimal):
            return self.least <= value <= self.most
        low, high = self.as_floats
        return low <= value <= high

    @cached_property
    def as_floats(self) -> tuple[float, float]:
        return float(self.least), float(self.most)


@dataclass(frozen=True)
class Limits:
    """How one quantity of a run is held, in SI (°C): the widest range first.

    Outside `refused_outside` a reading is not taken. Outside `flagged_outside` the analysis flags it: a run
    table from elsewhere may hold anything. Outside `asked_outside` the bench is asked about it once, where
    neither plan nor class says what is usual. `above_least`: the least itself is refused.
    """

    refused_outside: Range
    flagged_outside: Range
    asked_outside: Range
    above_least: bool = False

    def refuses(self, value: Decimal) -> bool:
        """Whether a reading of this value is not taken."""
        return value not in self.refused_outside or (self.above_least and value == self.refused_outside.least)


def _range(least: str, most: str) -> Range:
    return Range(Decimal(least), Decimal(most))


SHOT_MASS_KG = Limits(_range("0", "25"), _range("0.001", "25"), _range("0.02", "2.5"), above_least=True)
"""More than 25 kg is more than a class lifts, less than 1 g a few grains of shot; from a handful to what a
pupil turns with ease, nobody asks (our own choice)."""

MOST_INVERSIONS = 10_000
"""The most inversions of one run. At 30 a minute (a usual pace; common practice, no source) they take five
and a half hours, more than any lesson (our own choice)."""
_COUNT = Range(Decimal(1), Decimal(MOST_INVERSIONS))
INVERSIONS = Limits(_COUNT, _COUNT, _range("5", "400"))
"""Published demonstrations and reports take 30 to 250; 5 and 400 leave room on both sides (our own
choice)."""

LENGTH_M = Limits(_range("0", "10"), _range("0.05", "4"), _range("0.3", "2.5"), above_least=True)
"""Of a tube. 10 m is higher than any room (our own choice); no tube that is turned by hand in a room is
shorter than 5 cm or longer than 4 m (common practice, no source); a usual one has 30 cm to 2.5 m (our own
choice)."""
END_ALLOWANCE_M = Limits(_range("0", "10"), _range("0", "10"), _range("0", "10"))
"""As for the length, of which it is a part; what is asked about is a share of the tube (our own choice)."""
SETTLED_DEPTH_M = Limits(_range("0", "10"), _range("0", "10"), _range("0", "10"), above_least=True)
"""As for the end allowance, of which it is a part; shot that lies in a tube has a depth (closed form)."""
PARTS_ADD_UP_WITHIN_M = 0.001
"""Caps and settled depth make the end allowance where it is given too; lengths are read in millimetres (our
own choice)."""
LEAST_FALL_M = 0.001
"""A fall below this is none: rules are read in millimetres (our own choice)."""

START_TEMPERATURE_C = Limits(_range("-40", "150"), _range("-40", "50"), _range("5", "45"))
"""Laboratory thermometers are graduated from −40 °C to 150 °C at most (common practice, no source). Shot
starts near or below room temperature, and a room has 5 °C to 45 °C at most; a start above 50 °C is no °C
reading of it (our own choice)."""
END_TEMPERATURE_C = Limits(_range("-40", "150"), _range("-40", "120"), _range("5", "45"))
"""As for the start; no lesson's falls warm shot beyond 120 °C (our own choice)."""
ROOM_TEMPERATURE_C = Limits(_range("-40", "150"), _range("-40", "150"), _range("10", "35"))
"""What a thermometer can show, as for the start (common practice, no source); the analysis only reports
it. Air in which a class works is rarely below 10 °C or above 35 °C; chilled or warmed shot often is (our own
choice)."""
PLANNED_ROOM_C = _range("-20", "60")
"""No room in which a class works is colder or warmer (our own choice)."""

FAR_FROM_USUAL = 2.5
"""How many times more or less than the class's usual mass, length or count is asked about (our own
choice)."""
FAR_FROM_USUAL_START_K = 15
"""How far from the class's usual start is asked about: chilled shot in the same room (our own choice)."""
FAR_FROM_ROOM_K = 10.0
"""A planned start further from the room than this leaks heat through the whole run (our own choice). At 0.05
W/K (from memory) ten kelvins over two minutes are 60 J, a fifth of the 270 J that 0.5 kg brings in 60
falls."""

LONGEST_TYPED = 60
"""Characters of one reading that are read and kept: any number with its unit is shorter (our own choice)."""
LEAST_POWER_OF_TEN, MOST_POWER_OF_TEN = -18, 12
"""Of any number that is stored, whatever it measures: far outside all that is read (our own choice)."""
LONGEST_STORED = 64
"""Characters of a stored number: what was typed, converted to SI (our own choice)."""


def can_be_stored(value: Decimal) -> bool:
    """Whether a number can be kept digit for digit, and is not far outside all that is read."""
    if not value.is_finite() or not (
        value == 0 or LEAST_POWER_OF_TEN <= value.adjusted() <= MOST_POWER_OF_TEN
    ):
        return False
    return len(f"{value:f}") <= LONGEST_STORED


MOST_BENCHES = 99
"""Benches have numbers of two digits, more than any class (our own choice)."""
BENCHES = Range(Decimal(1), Decimal(MOST_BENCHES))
MOST_RUNS_OF_A_BENCH = 20
"""Of one bench in one lesson, in a plan: at three minutes a run they take an hour (our own choice)."""
MOST_TUBES = 200
"""In a kit: more than any school has (our own choice)."""
BORE_M = _range("0.005", "0.5")
"""Of a tube: shot falls freely in 5 mm, and 50 cm is wider than a hand holds (our own choice)."""

THERMOMETER_STEP_K = _range("0.001", "5")
"""From a laboratory's resistance thermometer to a wall thermometer (common practice, no source)."""
ICE_POINT_C = Limits(_range("-5", "5"), _range("-5", "5"), _range("-2", "2"))
"""What a thermometer shows in melting ice, whose temperature at standard pressure is 0.00 °C: 273.15 K (SI
Brochure, 9th ed., 2.3.1, of T0: close to the ice point). School thermometers are made to ±1 K (common
practice, no source); one that is off by more than 2 K is asked about, and beyond 5 K something else than
melting ice was read (our own choice)."""
USUAL_RUNS = 3
"""Of one bench in one lesson (common practice, no source). So many count at once when a bench has just
joined: a phone that came late has them on paper."""
SHORTEST_INVERSION_S = 0.3
"""Of `TIPS_PER_MINUTE` the most: in less no shot falls the whole length (our own choice). A free fall of one
metre takes 0.45 s (closed form)."""
SHORTEST_READINGS_S = 10.0
"""Of a run, beside its inversions: two temperatures are waited for, read and typed (common practice, no
source)."""
LESSON_MIN = _range("0", "600")
"""Ten hours: longer than any school day (our own choice)."""
TIPS_PER_MINUTE = _range("0", "200")
"""Over three turns a second: no shot falls the whole length (our own choice)."""
HEAT_SINK_J_PER_K = _range("0", "2000")
"""About half a litre of water; a school's tube, caps and cup have some 20 J/K (our own choice)."""
MOST_SHOT_IN_STOCK_KG = 1000
"""More than a school stores (our own choice)."""
SHOT_IN_STOCK_KG = Range(Decimal(0), Decimal(MOST_SHOT_IN_STOCK_KG))
BALANCE_STEP_KG = _range("0.000001", "0.1")
"""Of a balance: from a milligram to a kitchen scale's tenth of a kilogram (common practice, no source)."""
HIGHEST_FALL_M = 10_000
"""Of the falls that a class asks about: higher than any mountain (our own choice)."""

LATITUDE_DEG = _range("-90", "90")
"""From pole to pole (closed form)."""
HEIGHT_M = _range("-500", "9000")
"""From the Dead Sea's shore, −430 m, to the highest summit, 8849 m (from memory), rounded outwards."""

GRAVITY_M_PER_S2 = _range("9.76", "9.84")
"""At the Earth's surface g lies between 9.7639 m/s² (Huascarán) and 9.8337 m/s² (Arctic Ocean): C. Hirt et
al., Geophys. Res. Lett. 40 (2013) 4279, from memory; rounded outwards to the hundredth. A rough 9.8 and a
school's 9.81 are inside, 10 is not."""

ACCEPTED_J_PER_KG_K = _range("10", "10000")
"""An accepted specific heat capacity. At room temperature no metal lies below 100 J/(kg·K) and no liquid
above water and ammonia, under 5,000 (from memory); the bounds leave room on both sides (our own choice)."""
