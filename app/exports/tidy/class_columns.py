"""The columns of the tables about practicals, benches and results: one row each."""

from __future__ import annotations

from app.exports.tidy.column import Column, Kind, Table
from app.exports.tidy.columns import (
    GUM,
    OF_PRACTICAL,
    OF_RUN,
    PRECISION,
    SHARED,
    SPECIFIC_HEAT,
    VERSION,
    what,
)
from app.words import N_, Message


def _number(name: str, meaning: Message, unit: str = SPECIFIC_HEAT, source: str = "") -> Column:
    return Column(name, meaning, Kind.DECIMAL, unit, source)


def _count(name: str, meaning: Message) -> Column:
    return Column(name, meaning, Kind.WHOLE, "1")


def _interval(name: str, unit: str) -> tuple[Column, Column]:
    return (
        _number(f"{name}_low", what(N_("Lower end of its 95 %% interval")), unit, GUM),
        _number(f"{name}_high", what(N_("Upper end of its 95 %% interval")), unit, GUM),
    )


PRACTICALS = Table(
    "practicals",
    what(N_("Every practical with what its class shares")),
    (
        *OF_PRACTICAL,
        Column("department", what(N_("The department that keeps it"))),
        Column("teacher", what(N_("Whose practical it is"))),
        *SHARED,
        _number("room_temperature_C", what(N_("Temperature of the room")), "°C"),
        _number("tube_length_m", what(N_("Inner length of the tube, as planned")), "m"),
        _number("end_allowance_m", what(N_("What caps and settled shot take from it, as planned")), "m"),
        Column("depth_measured", what(N_("yes: each bench measured how deep its shot lies")), Kind.YES),
        _number("bore_m", what(N_("Inner diameter of the tube")), "m"),
        _count("inversions", what(N_("Inversions planned for one run"))),
        _count("planned_benches", what(N_("Benches planned"))),
        Column("planned_at", what(N_("When it was planned, in UTC")), Kind.MOMENT),
        Column("opened_at", what(N_("When phones could first join, in UTC")), Kind.MOMENT),
        Column("finished_at", what(N_("When it was finished, in UTC")), Kind.MOMENT),
        Column("delete_after", what(N_("Removed from the records after this day")), Kind.DAY),
        Column("made_up", what(N_("yes: a made-up class that came with the tool")), Kind.YES),
        _count("revision", what(N_("Counts the changes of the practical; the export shows this one"))),
    ),
    ("practical_key",),
)
BENCHES = Table(
    "benches",
    what(N_("Every bench with what it was given and what its runs gave")),
    (
        *OF_PRACTICAL,
        Column("bench_key", what(N_("The bench's key, the same in every export")), needed=True),
        OF_RUN[1],
        Column("joined_at", what(N_("When its first phone joined, in UTC")), Kind.MOMENT),
        _count("runs", what(N_("Runs that it sent"))),
        _count("runs_set_aside", what(N_("Of these, set aside by the teacher"))),
        _count("runs_waiting", what(N_("Of these, waiting for the teacher: they came too fast"))),
        _number("planned_shot_mass_kg", what(N_("What the plan gave this bench")), "kg"),
        _number("planned_tube_length_m", what(N_("What the plan gave this bench")), "m"),
        _number("planned_end_allowance_m", what(N_("What the plan gave this bench")), "m"),
        _count("planned_inversions", what(N_("What the plan gave this bench"))),
        _number("planned_start_temperature_C", what(N_("What the plan gave this bench")), "°C"),
        _number(
            "thermometer_step_K", what(N_("Step of the bench's own thermometer; empty: the class's")), "K"
        ),
        _number("ice_point_C", what(N_("What the bench's thermometer shows in melting ice")), "°C"),
        _number("mean_mass_kg", what(N_("Mean mass of its counted runs")), "kg"),
        _number(
            "apparent_heat_capacity_J_per_kg_K", what(N_("Apparent specific heat capacity of the bench"))
        ),
        _number("standard_uncertainty_J_per_kg_K", what(N_("Its standard uncertainty")), source=GUM),
        _number(
            "repeatability_sd_J_per_kg_K",
            what(N_("Repeatability of its own runs, one standard deviation")),
            source=PRECISION,
        ),
        _number("mandel_h", what(N_("Mandel's h: how far the bench lies from the others")), "1", PRECISION),
        _number("mandel_k", what(N_("Mandel's k: how its runs scatter beside the others'")), "1", PRECISION),
        _number("unlike_the_others", what(N_("Probability that the bench is unlike the others")), "1"),
        VERSION,
    ),
    ("bench_key",),
    refers=("practical_key", "practicals", "practical_key"),
)
RESULTS = Table(
    "results",
    what(N_("The result of every class")),
    (
        *OF_PRACTICAL,
        _number("class_value_J_per_kg_K", what(N_("Apparent specific heat capacity of the class"))),
        *_interval("class_value", SPECIFIC_HEAT),
        _number("accepted_J_per_kg_K", what(N_("Accepted specific heat capacity of the metal"))),
        _number("percent_error", what(N_("How far the class value lies from it")), "%"),
        _count("counted_runs", what(N_("Runs that the class value is made of"))),
        _count("counted_benches", what(N_("Benches whose runs it is made of"))),
        Column("method", what(N_("How the class value was worked out"))),
        _number(
            "repeatability_sd",
            what(N_("Repeatability: scatter of one bench's runs, one standard deviation")),
            source=PRECISION,
        ),
        _number(
            "between_bench_sd", what(N_("Scatter between benches, one standard deviation")), source=PRECISION
        ),
        _number(
            "reproducibility_sd",
            what(N_("Reproducibility: both together, one standard deviation")),
            source=PRECISION,
        ),
        _number("specific_heat_J_per_kg_K", what(N_("Specific heat capacity with the heat sink taken out"))),
        *_interval("specific_heat", SPECIFIC_HEAT),
        _number(
            "heat_sink_J_per_K",
            what(N_("Heat sink: what tube, caps and thermometer take for each kelvin")),
            "J/K",
        ),
        *_interval("heat_sink", "J/K"),
        VERSION,
    ),
    ("practical_key",),
    refers=("practical_key", "practicals", "practical_key"),
)
KIT = Table(
    "kit",
    what(N_("Every piece of the department's kit that one of these practicals names")),
    (
        Column("label", what(N_("What is written on the piece")), needed=True),
        Column("kind", what(N_("tube, thermometer, balance or lot of shot")), needed=True),
        _number("inside_length_m", what(N_("Of a tube, from end to end, caps off")), "m"),
        _number("bore_m", what(N_("Inner diameter of a tube")), "m"),
        _number("caps_m", what(N_("What a tube's two closed caps take off its length")), "m"),
        _number("step_K", what(N_("Distance between two marks of a thermometer")), "K"),
        _number("step_kg", what(N_("Smallest step of a balance")), "kg"),
        Column("material", what(N_("The metal of a lot"))),
        _number("lot_mass_kg", what(N_("All the shot in a lot")), "kg"),
        _number("ice_point_C", what(N_("What a thermometer last showed in melting ice")), "°C"),
        Column("checked_on", what(N_("The day of that reading")), Kind.DAY),
        Column("due_on", what(N_("When the next check is due")), Kind.DAY),
        Column("added_at", what(N_("When it was added, in UTC")), Kind.MOMENT),
        Column("retired_at", what(N_("When it was taken out of use, in UTC")), Kind.MOMENT),
    ),
    ("label",),
    shared=True,
)
