"""States and marks, the planner's figures, other falls, and what the department makes of many practicals."""

from __future__ import annotations

from app.analysis.figure import FEWEST
from app.analysis.pieces import LEAST_OF_A_PIECE, LEAST_PIECES, LEAST_PRACTICALS, SURE, Verdict
from app.physics.falls import SEEN_AT
from app.physics.rounding import whole
from app.records.choices import BenchProgress, KeptCause, PracticalState
from app.statistics.control_limits import RUN_LENGTH, SIGMAS
from app.web.guide import sources
from app.web.guide.meanings.meaning import OWN_CHOICE, meaning
from app.words import N_, Message

STATES = (
    meaning(
        "state-of-practical",
        N_("Planned, collecting, paused, finished"),
        N_(
            "Planned: no phone can join. Collecting: benches join, send and correct. Paused: nothing "
            "is taken in, phones keep what they have. Finished: the code no longer works, the result "
            "is kept; it can be reopened."
        ),
        of=tuple(f"PracticalState.{state.name}" for state in PracticalState),
    ),
    meaning(
        "state-of-bench",
        N_("How far a bench is"),
        N_(
            "Five beads: joined, start read, counting, end read, sent. The bob hangs at the step the "
            "phone has reached."
        ),
        of=tuple(f"BenchProgress.{progress.name}" for progress in BenchProgress),
    ),
    meaning(
        "marks",
        N_("A bench's mark"),
        N_(
            "Its number in an ink disc. A ring: a run is flagged. Hollow with a stroke: set aside. An "
            "outline: joined, no run yet. Dotted: not joined. The words beside it say the same."
        ),
        of=("mark",),
    ),
)
PLANNER = (
    meaning(
        "expected",
        N_("Expected warming and one run's interval"),
        N_(
            "What the bench's first run should show, with the heat sink that your department has "
            "found, or the usual guess, and the start that balances the leak. The interval is that of "
            "a single run."
        ),
        of=(
            "BenchPrediction.end_allowance_m",
            "BenchPrediction.fall_m",
            "BenchPrediction.expected_warming_K",
            "BenchPrediction.u_warming_K",
            "BenchPrediction.start_temperature_C",
            "BenchPrediction.start_below_room_K",
            "BenchPrediction.apparent_heat_capacity_J_per_kg_K",
            "BenchPrediction.one_run_interval_95",
        ),
        formulas=("with_sink",),
    ),
    meaning(
        "widths",
        N_("How wide the class's intervals will be"),
        N_(
            "Half-widths of the 95 %% intervals of class value and specific heat capacity. Half of all "
            "such classes get narrower ones. They assume that nothing goes wrong."
        ),
        of=(
            "Prediction.class_value_J_per_kg_K",
            "Prediction.class_half_width_J_per_kg_K",
            "Prediction.separated_J_per_kg_K",
            "Prediction.separated_half_width_J_per_kg_K",
        ),
    ),
    meaning(
        "ways",
        N_("The ways to share the masses"),
        N_(
            "Two masses far apart give the narrowest interval. A third one between them shows whether "
            "the line is straight, and costs a little. One mass for all gives a class value and cannot "
            "take out the heat sink."
        ),
        of=("Proposal",),
        source=sources.DESIGN,
    ),
)
FALLS = (
    meaning(
        "other-falls",
        N_("Other falls: how much warmer?"),
        Message(
            N_(
                "The most that a fall can warm a substance, if all of its energy stays in it. Real falls "
                "keep less. Seen well means %(steps)s steps of the thermometer."
            ),
            {"steps": str(SEEN_AT)},
        ),
        of=(
            "FallWarming.fall_m",
            "FallWarming.falls",
            "FallWarming.warming_K",
            "FallWarming.thermometer_step_K",
            "FallWarming.u_warming_K",
            "FallWarming.falls_for_thermometer",
        ),
        formulas=("one_fall",),
    ),
)
YEARS = (
    meaning(
        "kept",
        N_("Results as they were kept"),
        N_(
            "When a practical is finished, its result is kept as it was then, with the version of the "
            "analysis. A decision after that, or a newer analysis, keeps another one beside it."
        ),
        of=tuple(f"KeptCause.{cause.name}" for cause in KeptCause),
    ),
    meaning(
        "pooled-years",
        N_("Your department's own value"),
        Message(
            N_(
                "The random-effects mean of a metal's practicals, where there are at least %(fewest)s. "
                "Sure classes count more, and how far practicals differ beyond their own intervals is part "
                "of the interval. What all of them share does not get smaller."
            ),
            {"fewest": str(FEWEST)},
        ),
        of=("Pooled.value", "Pooled.interval", "Pooled.between_sd", "Pooled.practicals"),
        source=sources.RANDOM_EFFECTS,
    ),
    meaning(
        "control-chart",
        N_("The control chart and its limits"),
        Message(
            N_(
                "Each class has limits of its own, %(sigmas)s standard deviations on either side: its own "
                "u and the scatter τ between practicals, from the differences of neighbours in time. "
                "Outside, or %(row)s in a row on one side: look for what was different."
            ),
            {"sigmas": whole(SIGMAS), "row": str(RUN_LENGTH)},
        ),
        of=("Chart.limits", "Chart.outside", "Chart.shifts"),
        formulas=("limits",),
        source=sources.CONTROL_CHART,
    ),
)
PIECES = (
    meaning(
        "piece-shift",
        N_("What a piece of the kit does to results"),
        N_(
            "Each run's c* is held against what its mass should give. What stays with a tube, "
            "thermometer, balance or lot from practical to practical is its shift, in percent, against "
            "the others of its kind."
        ),
        Message(
            N_(
                "Surely: still so when all pieces looked at are allowed for, at %(percent)s %%. Perhaps: "
                "one in twenty looks so by chance. Needed: practicals, at least %(practicals)s; pieces of "
                "a kind, at least %(pieces)s; uses of the piece, at least %(uses)s."
            ),
            {
                "percent": whole(100 * SURE),
                "practicals": str(LEAST_PRACTICALS),
                "pieces": str(LEAST_PIECES),
                "uses": str(LEAST_OF_A_PIECE),
            },
        ),
        of=(
            "PieceShift.fall_m",
            "PieceShift.warming_K",
            "PieceShift.percent",
            "PieceShift.interval_95",
            "KindShifts.sd_percent",
            *(f"Verdict.{verdict.name}" for verdict in Verdict),
        ),
        formulas=("piece",),
        source=sources.MANY_AT_ONCE,
        basis=OWN_CHOICE,
    ),
)
