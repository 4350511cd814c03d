"""The columns of the tables about practicals, benches and results: one row each."""

from __future__ import annotations

from app.exports.tidy.column import Column, Table, count, day, moment, number, text, yes
from app.exports.tidy.columns import (
    GUM,
    ICE_POINT_OF_BENCH,
    OF_PRACTICAL,
    OF_RUN,
    PRECISION,
    SHARED,
    SPECIFIC_HEAT,
    STEP_OF_BENCH,
    VERSION,
)
from app.words import N_, Message


def _interval(name: str, unit: str) -> tuple[Column, Column]:
    return (
        number(f"{name}_low", N_("Lower end of its 95 %% interval"), unit, GUM),
        number(f"{name}_high", N_("Upper end of its 95 %% interval"), unit, GUM),
    )


PRACTICALS = Table(
    "practicals",
    Message(N_("Every practical with what its class shares")),
    (
        *OF_PRACTICAL,
        text("department", N_("The department that keeps it")),
        text("teacher", N_("Whose practical it is")),
        *SHARED,
        number("room_temperature_C", N_("Temperature of the room"), "°C"),
        number("tube_length_m", N_("Inner length of the tube, as planned"), "m"),
        number("end_allowance_m", N_("What caps and settled shot take from it, as planned"), "m"),
        yes("depth_measured", N_("yes: each bench measured how deep its shot lies")),
        number("bore_m", N_("Inner diameter of the tube"), "m"),
        count("inversions", N_("Inversions planned for one run")),
        count("planned_benches", N_("Benches planned")),
        moment("planned_at", N_("When it was planned, in UTC")),
        moment("opened_at", N_("When phones could first join, in UTC")),
        moment("finished_at", N_("When it was finished, in UTC")),
        day("delete_after", N_("Removed from the records after this day")),
        yes("made_up", N_("yes: a made-up class that came with the tool")),
        count("revision", N_("Counts the changes of the practical; the export shows this one")),
    ),
    ("practical_key",),
)
BENCHES = Table(
    "benches",
    Message(N_("Every bench with what it was given and what its runs gave")),
    (
        *OF_PRACTICAL,
        text("bench_key", N_("The bench's key, the same in every export"), needed=True),
        OF_RUN[1],
        moment("joined_at", N_("When its first phone joined, in UTC")),
        count("runs", N_("Runs that it sent")),
        count("runs_set_aside", N_("Of these, set aside by the teacher")),
        count("runs_waiting", N_("Of these, waiting for the teacher: they came too fast")),
        number("planned_shot_mass_kg", N_("What the plan gave this bench"), "kg"),
        number("planned_tube_length_m", N_("What the plan gave this bench"), "m"),
        number("planned_end_allowance_m", N_("What the plan gave this bench"), "m"),
        count("planned_inversions", N_("What the plan gave this bench")),
        number("planned_start_temperature_C", N_("What the plan gave this bench"), "°C"),
        STEP_OF_BENCH,
        ICE_POINT_OF_BENCH,
        number("mean_mass_kg", N_("Mean mass of its counted runs"), "kg"),
        number(
            "apparent_heat_capacity_J_per_kg_K",
            N_("Apparent specific heat capacity of the bench"),
            SPECIFIC_HEAT,
        ),
        number("standard_uncertainty_J_per_kg_K", N_("Its standard uncertainty"), SPECIFIC_HEAT, GUM),
        number(
            "repeatability_sd_J_per_kg_K",
            N_("Repeatability of its own runs, one standard deviation"),
            SPECIFIC_HEAT,
            PRECISION,
        ),
        number("mandel_h", N_("Mandel's h: how far the bench lies from the others"), "1", PRECISION),
        number("mandel_k", N_("Mandel's k: how its runs scatter beside the others'"), "1", PRECISION),
        number("unlike_the_others", N_("Probability that the bench is unlike the others"), "1"),
        VERSION,
    ),
    ("bench_key",),
    refers=("practical_key", "practicals", "practical_key"),
)
RESULTS = Table(
    "results",
    Message(N_("The result of every class")),
    (
        *OF_PRACTICAL,
        number("class_value_J_per_kg_K", N_("Apparent specific heat capacity of the class"), SPECIFIC_HEAT),
        *_interval("class_value", SPECIFIC_HEAT),
        number("accepted_J_per_kg_K", N_("Accepted specific heat capacity of the metal"), SPECIFIC_HEAT),
        number("percent_error", N_("How far the class value lies from it"), "%"),
        count("counted_runs", N_("Runs that the class value is made of")),
        count("counted_benches", N_("Benches whose runs it is made of")),
        text("method", N_("How the class value was worked out")),
        number(
            "repeatability_sd",
            N_("Repeatability: scatter of one bench's runs, one standard deviation"),
            SPECIFIC_HEAT,
            PRECISION,
        ),
        number(
            "between_bench_sd",
            N_("Scatter between benches, one standard deviation"),
            SPECIFIC_HEAT,
            PRECISION,
        ),
        number(
            "reproducibility_sd",
            N_("Reproducibility: both together, one standard deviation"),
            SPECIFIC_HEAT,
            PRECISION,
        ),
        number(
            "specific_heat_J_per_kg_K",
            N_("Specific heat capacity with the heat sink taken out"),
            SPECIFIC_HEAT,
        ),
        *_interval("specific_heat", SPECIFIC_HEAT),
        number(
            "heat_sink_J_per_K",
            N_("Heat sink: what tube, caps and thermometer take for each kelvin"),
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
    Message(N_("Every piece of the department's kit that one of these practicals names")),
    (
        text("label", N_("What is written on the piece"), needed=True),
        text("kind", N_("tube, thermometer, balance or lot of shot"), needed=True),
        number("inside_length_m", N_("Of a tube, from end to end, caps off"), "m"),
        number("bore_m", N_("Inner diameter of a tube"), "m"),
        number("caps_m", N_("What a tube's two closed caps take off its length"), "m"),
        number("step_K", N_("Distance between two marks of a thermometer"), "K"),
        number("step_kg", N_("Smallest step of a balance"), "kg"),
        text("material", N_("The metal of a lot")),
        number("lot_mass_kg", N_("All the shot in a lot"), "kg"),
        number("ice_point_C", N_("What a thermometer last showed in melting ice"), "°C"),
        day("checked_on", N_("The day of that reading")),
        day("due_on", N_("When the next check is due")),
        moment("added_at", N_("When it was added, in UTC")),
        moment("retired_at", N_("When it was taken out of use, in UTC")),
    ),
    ("label",),
    shared=True,
)
