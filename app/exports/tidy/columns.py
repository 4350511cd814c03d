"""The columns of the tidy tables, each declared once.

The run table's own columns (`app.exports.run_table.COLUMNS`) come first, so that `plumbfall analyse` reads
the table of runs; names that were released stay.
"""

from __future__ import annotations

from app.exports.run_table import COLUMNS, ICE_POINT, STEP, TOO_FAST
from app.exports.tidy.column import Column, Kind, Table
from app.physics.run import QUANTITIES, Quantity
from app.words import N_, Message

GUM, PRECISION = "JCGM 100:2008", "ISO 5725-2:2019"
SPECIFIC_HEAT = "J/(kg·K)"


def what(sentence: str, **values: str) -> Message:
    return Message(sentence, values)


def _unit(quantity: Quantity) -> str:
    """The unit of a quantity in the run table."""
    return quantity.usual_unit or "1"


def _read(quantity: Quantity) -> Column:
    kind = Kind.DECIMAL if quantity.units else Kind.WHOLE
    return Column(quantity.column, what(quantity.what), kind, _unit(quantity), needed=quantity.needed)


def _planned(quantity: Quantity) -> Column:
    kind = Kind.DECIMAL if quantity.units else Kind.WHOLE
    meaning = what(N_("What the plan gave this bench; empty: the practical's own value"))
    return Column(f"planned_{quantity.column}", meaning, kind, _unit(quantity))


def _typed(quantity: Quantity) -> tuple[Column, ...]:
    text = Column(f"{quantity.name}_typed", what(N_("The text as the bench typed it")))
    unit = Column(f"{quantity.name}_unit", what(N_("The unit in which that text was understood")))
    return (text, unit) if quantity.units else (text,)


OF_PRACTICAL = (
    Column("practical_key", what(N_("The practical's key, the same in every export")), needed=True),
    Column("held_on", what(N_("The day of the lesson")), Kind.DAY, needed=True),
    Column("title", what(N_("Class and occasion, in the teacher's words")), needed=True),
)
OF_RUN = (
    Column("run_key", what(N_("The run's key, the same in every export")), needed=True),
    Column("bench", what(N_("The number of the bench")), Kind.WHOLE, needed=True),
    Column("run", what(N_("The number of the run at its bench")), Kind.WHOLE, needed=True),
)
_OWN = {
    "bench": OF_RUN[1],
    "run": OF_RUN[2],
    **{one.column: _read(one) for one in QUANTITIES.values()},
    "set_aside": Column(
        "set_aside",
        what(N_("yes: the run does not count, set aside by the teacher or waiting for the teacher")),
        Kind.YES,
    ),
    **{f"planned_{one.column}": _planned(one) for one in QUANTITIES.values() if one.planned},
    STEP: Column(
        STEP, what(N_("Step of the bench's own thermometer; empty: the class's")), Kind.DECIMAL, "K"
    ),
    ICE_POINT: Column(
        ICE_POINT, what(N_("What the bench's thermometer shows in melting ice")), Kind.DECIMAL, "°C"
    ),
}
_WORKED = (
    Column("fall_m", what(N_("Tube length without the end allowance")), Kind.DECIMAL, "m"),
    Column("specific_energy_J_per_kg", what(N_("Fall energy of a kilogram: g h N")), Kind.DECIMAL, "J/kg"),
    Column("warming_K", what(N_("End temperature less start temperature")), Kind.DECIMAL, "K"),
    Column(
        "apparent_heat_capacity_J_per_kg_K",
        what(N_("Apparent specific heat capacity: fall energy of a kilogram over the warming")),
        Kind.DECIMAL,
        SPECIFIC_HEAT,
    ),
    Column(
        "standard_uncertainty_J_per_kg_K",
        what(N_("Its standard uncertainty")),
        Kind.DECIMAL,
        SPECIFIC_HEAT,
        source=GUM,
    ),
    Column("flags", what(N_("The rules by which the run was flagged, with spaces between"))),
    Column("suspected_slip", what(N_("The slip that would explain the run"))),
)
_HISTORY = (
    Column("decision", what(N_("The last decision: set aside, or counted"))),
    Column("decision_reason", what(N_("Its reason, in the teacher's words"))),
    Column("decided_by", what(N_("The teacher who decided"))),
    Column("decided_at", what(N_("When that was, in UTC")), Kind.MOMENT),
    Column("versions", what(N_("How often the run was sent, with its corrections")), Kind.WHOLE, "1"),
    Column("correction_reason", what(N_("Why it was last corrected, in the writer's words"))),
    Column("entered_by", what(N_("Who typed it: bench, teacher or simulator"))),
    Column("first_sent_at", what(N_("When it first came in, in UTC")), Kind.MOMENT),
    Column("simulated", what(N_("yes: part of a rehearsal, not a reading")), Kind.YES),
    Column(
        TOO_FAST,
        what(N_("yes: came sooner than its bench can have made it; without a decision it waits")),
        Kind.YES,
    ),
)
PIECES = (
    Column("tube", what(N_("The label of the tube; empty where the plan named none"))),
    Column("thermometer", what(N_("The label of the thermometer"))),
    Column("balance", what(N_("The label of the balance"))),
    Column("shot_lot", what(N_("The label of the lot that the shot came from"))),
)
SHARED = (
    Column("practical_state", what(N_("planned, collecting, paused or finished")), needed=True),
    Column("material", what(N_("The metal of the shot")), needed=True),
    Column(
        "accepted_J_per_kg_K",
        what(N_("Accepted specific heat capacity of the metal")),
        Kind.DECIMAL,
        SPECIFIC_HEAT,
        needed=True,
    ),
    Column("accepted_source", what(N_("Where the accepted value comes from"))),
    Column(
        "accepted_temperature_C",
        what(N_("The temperature for which it is given")),
        Kind.DECIMAL,
        "°C",
    ),
    Column(
        "gravity_m_per_s2",
        what(N_("Acceleration of free fall at the school")),
        Kind.DECIMAL,
        "m/s²",
        needed=True,
    ),
    Column("u_gravity_m_per_s2", what(N_("Its standard uncertainty")), Kind.DECIMAL, "m/s²", source=GUM),
    Column(
        "class_thermometer_step_K",
        what(N_("Distance between two marks of the class's thermometers")),
        Kind.DECIMAL,
        "K",
    ),
    Column(
        "reading_sd_K",
        what(N_("Standard deviation of one reading beyond the step")),
        Kind.DECIMAL,
        "K",
        source=GUM,
    ),
    Column(
        "length_sd_m",
        what(N_("Standard uncertainty of one reading of a length")),
        Kind.DECIMAL,
        "m",
        source=GUM,
    ),
)
_TYPED = tuple(column for one in QUANTITIES.values() for column in _typed(one))
_OWN_VALUE = (
    Column("own_value_typed", what(N_("The specific heat capacity that the bench worked out, as typed"))),
    Column("own_value_unit", what(N_("The unit in which that text was understood"))),
    Column("own_value_J_per_kg_K", what(N_("The same value in one unit")), Kind.DECIMAL, SPECIFIC_HEAT),
)
ROOM = "class_room_temperature_C"
VERSION = Column(
    "analysis_version",
    what(N_("The number of the analysis that worked the figures out; empty: none was kept")),
    Kind.WHOLE,
    "1",
)

MORE_COLUMNS = (
    Column(
        ROOM,
        what(N_("Temperature of the room, for runs without their own")),
        Kind.DECIMAL,
        "°C",
    ),
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
    what(N_("Every run as it stands, with the figures worked out from it")),
    (*(_OWN[name] for name in COLUMNS), *MORE_COLUMNS),
    ("run_key",),
)
DECISIONS = Table(
    "decisions",
    what(N_("Every decision of a teacher about a run, in order")),
    (
        *OF_PRACTICAL,
        *OF_RUN,
        Column("decision", what(N_("set aside, or counted")), needed=True),
        Column("reason", what(N_("Why, in the teacher's words")), needed=True),
        Column("decided_by", what(N_("The teacher who decided"))),
        Column("decided_at", what(N_("When that was, in UTC")), Kind.MOMENT, needed=True),
        Column("run_version", what(N_("The version of the run that the teacher saw")), Kind.WHOLE, "1"),
        Column(
            "run_revision",
            what(N_("Counts corrections and decisions of the run")),
            Kind.WHOLE,
            "1",
            needed=True,
        ),
    ),
    ("run_key", "run_revision"),
    refers=("run_key", "runs", "run_key"),
)
