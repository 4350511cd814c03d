"""The columns of the tidy tables, each declared once.

The run table's own columns (`app.exports.run_table.COLUMNS`) come first, so that `plumbfall analyse` reads
the table of runs; names that were released stay.
"""

from __future__ import annotations

from app.exports.run_table import COLUMNS, ICE_POINT, STEP, TOO_FAST
from app.exports.tidy.column import Column, Kind, Table, count, day, moment, number, text, yes
from app.physics.run import QUANTITIES, Quantity
from app.words import N_, Message

GUM, PRECISION = "JCGM 100:2008", "ISO 5725-2:2019"
SPECIFIC_HEAT = "J/(kg·K)"
_TABLE_UNIT = {"kg": "g", "m": "cm", "C": "°C"}


def _number_or_count(quantity: Quantity, name: str, what: str, *, needed: bool = False) -> Column:
    """A column of a quantity, in the unit of the run table."""
    if not quantity.units:
        return count(name, what, needed=needed)
    return number(name, what, _TABLE_UNIT[quantity.si_name.rsplit("_", 1)[-1]], needed=needed)


def _read(quantity: Quantity) -> Column:
    return _number_or_count(quantity, quantity.column, quantity.what, needed=quantity.needed)


def _planned(quantity: Quantity) -> Column:
    meaning = N_("What the plan gave this bench; empty: the practical's own value")
    return _number_or_count(quantity, f"planned_{quantity.column}", meaning)


def _typed(quantity: Quantity) -> tuple[Column, ...]:
    typed = text(f"{quantity.name}_typed", N_("The text as the bench typed it"))
    unit = text(f"{quantity.name}_unit", N_("The unit in which that text was understood"))
    return (typed, unit) if quantity.units else (typed,)


OF_PRACTICAL = (
    text("practical_key", N_("The practical's key, the same in every export"), needed=True),
    day("held_on", N_("The day of the lesson"), needed=True),
    text("title", N_("Class and occasion, in the teacher's words"), needed=True),
)
OF_RUN = (
    text("run_key", N_("The run's key, the same in every export"), needed=True),
    Column("bench", Message(N_("The number of the bench")), Kind.WHOLE, needed=True),
    Column("run", Message(N_("The number of the run at its bench")), Kind.WHOLE, needed=True),
)
STEP_OF_BENCH = number(STEP, N_("Step of the bench's own thermometer; empty: the class's"), "K")
ICE_POINT_OF_BENCH = number(ICE_POINT, N_("What the bench's thermometer shows in melting ice"), "°C")
_OWN = {
    "bench": OF_RUN[1],
    "run": OF_RUN[2],
    **{one.column: _read(one) for one in QUANTITIES.values()},
    "set_aside": yes(
        "set_aside", N_("yes: the run does not count, set aside by the teacher or waiting for the teacher")
    ),
    **{f"planned_{one.column}": _planned(one) for one in QUANTITIES.values() if one.planned},
    STEP: STEP_OF_BENCH,
    ICE_POINT: ICE_POINT_OF_BENCH,
}
_WORKED = (
    number("fall_m", N_("Tube length without the end allowance"), "m"),
    number("specific_energy_J_per_kg", N_("Fall energy of a kilogram: g h N"), "J/kg"),
    number("warming_K", N_("End temperature less start temperature"), "K"),
    number(
        "apparent_heat_capacity_J_per_kg_K",
        N_("Apparent specific heat capacity: fall energy of a kilogram over the warming"),
        SPECIFIC_HEAT,
    ),
    number("standard_uncertainty_J_per_kg_K", N_("Its standard uncertainty"), SPECIFIC_HEAT, source=GUM),
    text("flags", N_("The rules by which the run was flagged, with spaces between")),
    text("suspected_slip", N_("The slip that would explain the run")),
)
_HISTORY = (
    text("decision", N_("The last decision: set aside, or counted")),
    text("decision_reason", N_("Its reason, in the teacher's words")),
    text("decided_by", N_("The teacher who decided")),
    moment("decided_at", N_("When that was, in UTC")),
    count("versions", N_("How often the run was sent, with its corrections")),
    text("correction_reason", N_("Why it was last corrected, in the writer's words")),
    text("entered_by", N_("Who typed it: bench, teacher or simulator")),
    moment("first_sent_at", N_("When it first came in, in UTC")),
    yes("simulated", N_("yes: part of a rehearsal, not a reading")),
    yes(TOO_FAST, N_("yes: came sooner than its bench can have made it; without a decision it waits")),
)
PIECES = (
    text("tube", N_("The label of the tube; empty where the plan named none")),
    text("thermometer", N_("The label of the thermometer")),
    text("balance", N_("The label of the balance")),
    text("shot_lot", N_("The label of the lot that the shot came from")),
)
SHARED = (
    text("practical_state", N_("planned, collecting, paused or finished"), needed=True),
    text("material", N_("The metal of the shot"), needed=True),
    number(
        "accepted_J_per_kg_K", N_("Accepted specific heat capacity of the metal"), SPECIFIC_HEAT, needed=True
    ),
    text("accepted_source", N_("Where the accepted value comes from")),
    number("accepted_temperature_C", N_("The temperature for which it is given"), "°C"),
    number("gravity_m_per_s2", N_("Acceleration of free fall at the school"), "m/s²", needed=True),
    number("u_gravity_m_per_s2", N_("Its standard uncertainty"), "m/s²", source=GUM),
    number("class_thermometer_step_K", N_("Distance between two marks of the class's thermometers"), "K"),
    number("reading_sd_K", N_("Standard deviation of one reading beyond the step"), "K", source=GUM),
    number("length_sd_m", N_("Standard uncertainty of one reading of a length"), "m", source=GUM),
)
FIELDS_OF_SHARED = {"practical_state": "state", "class_thermometer_step_K": "thermometer_step_K"}
"""What two of them are called in the records and in `ClassSettings`; the others have the same name there."""
_TYPED = tuple(column for one in QUANTITIES.values() for column in _typed(one))
_OWN_VALUE = (
    text("own_value_typed", N_("The specific heat capacity that the bench worked out, as typed")),
    text("own_value_unit", N_("The unit in which that text was understood")),
    number("own_value_J_per_kg_K", N_("The same value in one unit"), SPECIFIC_HEAT),
)
ROOM = "class_room_temperature_C"
VERSION = count(
    "analysis_version", N_("The number of the analysis that worked the figures out; empty: none was kept")
)

MORE_COLUMNS = (
    number(ROOM, N_("Temperature of the room, for runs without their own"), "°C"),
    *_WORKED,
    *_HISTORY,
    *PIECES,
    *OF_PRACTICAL,
    OF_RUN[0],
    *SHARED,
    *_TYPED,
    *_OWN_VALUE,
    VERSION,
)
RUNS = Table(
    "runs",
    Message(N_("Every run as it stands, with the figures worked out from it")),
    (*(_OWN[name] for name in COLUMNS), *MORE_COLUMNS),
    ("run_key",),
)
DECISIONS = Table(
    "decisions",
    Message(N_("Every decision of a teacher about a run, in order")),
    (
        *OF_PRACTICAL,
        *OF_RUN,
        text("decision", N_("set aside, or counted"), needed=True),
        text("reason", N_("Why, in the teacher's words"), needed=True),
        text("decided_by", N_("The teacher who decided")),
        moment("decided_at", N_("When that was, in UTC"), needed=True),
        count("run_version", N_("The version of the run that the teacher saw")),
        count("run_revision", N_("Counts corrections and decisions of the run"), needed=True),
    ),
    ("run_key", "run_revision"),
    refers=("run_key", "runs", "run_key"),
)
