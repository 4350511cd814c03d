"""The numbers of a class, on wall, phones, desk and report."""

from __future__ import annotations

from app.analysis.fit.class_fit import FEWEST_BENCHES
from app.analysis.fit.design import LARGEST_HALF_WIDTH, LEAST_BENCHES
from app.analysis.fit.model import Priors
from app.figures.findings import PULLED
from app.physics.rounding import whole
from app.web.guide import sources
from app.web.guide.meanings.meaning import OWN_CHOICE, meaning
from app.words import N_, Message

_PRIORS = Priors()

OF_A_CLASS = (
    meaning(
        "fit",
        N_("The fit behind all of them"),
        Message(
            N_(
                "One model for all runs: energy balance with heat sink and leak, technique a of the bench "
                "and r of the run, thermometer δ. Each run and each bench has a chance of %(chance)s %% of "
                "being unlike the others, so that one slip does not spoil the class."
            ),
            {"chance": whole(100 * _PRIORS.unlike_run)},
        ),
        N_(
            "The fit assumes beforehand how large heat sink, leak and scatter are in schools. The "
            "report says by how much the result would move with these assumptions twice as wide."
        ),
        of=(
            "WithWiderPriors.specific_heat_J_per_kg_K",
            "WithWiderPriors.specific_heat_interval_95",
            "WithWiderPriors.specific_heat_moves_percent",
            "WithWiderPriors.class_value_J_per_kg_K",
            "WithWiderPriors.class_value_interval_95",
            "WithWiderPriors.class_value_moves_percent",
        ),
        formulas=("fit",),
        source=sources.MIXTURE,
    ),
    meaning(
        "class-value",
        N_("Class value and its 95 %% interval"),
        Message(
            N_(
                "The apparent specific heat capacity of this class with its own k masses. The band on the "
                "wall is its interval: in 95 of 100 such classes it holds the value that many more runs "
                "would give. Benches needed for an interval: %(benches)s. With fewer there is a value "
                "alone."
            ),
            {"benches": str(FEWEST_BENCHES)},
        ),
        of=(
            "ClassValue.apparent_heat_capacity_J_per_kg_K",
            "ClassValue.interval_95",
            "ClassValue.runs",
            "ClassValue.benches",
        ),
        formulas=("class_value",),
        source=sources.GUM,
    ),
    meaning(
        "percent-error",
        N_("Percent error, and whether the accepted value is inside"),
        N_(
            "How far the value lies above or below the accepted value c₀. For an alloy the accepted "
            "value is a range. Inside means that the interval reaches it; outside asks for a cause, "
            "and the first one is the heat sink."
        ),
        of=(
            "ClassValue.percent_error",
            "ClassValue.percent_error_interval",
            "ClassValue.accepted_J_per_kg_K",
            "ClassValue.accepted_inside_interval",
            "Separated.percent_error",
            "Separated.accepted_inside_interval",
        ),
        formulas=("percent_error",),
    ),
    meaning(
        "specific-heat",
        N_("Specific heat capacity, heat sink taken out"),
        Message(
            N_(
                "c and C from the same fit, with 95 %% intervals. Needed to tell them apart: benches, at "
                "least %(benches)s, and masses so far apart that c is expected to be known within "
                "%(percent)s %%. Else the page says what is missing."
            ),
            {"benches": str(LEAST_BENCHES), "percent": whole(100 * LARGEST_HALF_WIDTH)},
        ),
        of=(
            "Separated.identifiable",
            "Separated.heat_capacity_J_per_kg_K",
            "Separated.interval_95",
            "Separated.heat_sink_J_per_K",
            "Separated.heat_sink_interval_95",
            "MassLevel.mass_kg",
            "MassLevel.apparent_heat_capacity_J_per_kg_K",
            "MassLevel.interval_95",
        ),
        formulas=("with_sink",),
        basis=OWN_CHOICE,
    ),
    meaning(
        "heat-leak",
        N_("Heat leak λ"),
        N_(
            "Heat that goes to the room at each inversion for each kelvin above it, in J/K. It is in "
            "the fit as soon as anybody has read the room temperature."
        ),
        of=(
            "Separated.heat_leak_per_inversion",
            "Separated.heat_leak_J_per_K_per_inversion",
            "Separated.heat_leak_interval_95",
        ),
        formulas=("balance", "leak"),
    ),
    meaning(
        "ledger",
        N_("Where the heat went"),
        N_(
            "Shares of the fall energy: the shot (with the accepted c), the heat sink, the leak, and "
            "q, what is left. Short falls and sliding hands end up in q. Below zero, heat came from "
            "elsewhere."
        ),
        of=(
            "HeatLedger.shot",
            "HeatLedger.u_shot",
            "HeatLedger.heat_sink",
            "HeatLedger.u_heat_sink",
            "HeatLedger.unaccounted",
            "HeatLedger.u_unaccounted",
            "HeatLedger.heat_leak",
            "HeatLedger.u_heat_leak",
        ),
        formulas=("ledger",),
    ),
    meaning(
        "spread",
        N_("The spread: repeatability and reproducibility"),
        N_(
            "The scatter of the runs of one bench (r) is the repeatability. What benches differ by "
            "beyond that (L) adds to it, and both together (R) are the reproducibility: one run at any "
            "bench. Different masses are part of L here."
        ),
        of=(
            "Spread.repeatability_sd",
            "Spread.between_bench_sd",
            "Spread.reproducibility_sd",
            "BenchSummary.runs",
            "BenchSummary.mean_mass_kg",
            "BenchSummary.apparent_heat_capacity_J_per_kg_K",
            "BenchSummary.standard_uncertainty_J_per_kg_K",
            "BenchSummary.repeatability_sd_J_per_kg_K",
        ),
        formulas=("reproducibility",),
        source=sources.ACCURACY,
    ),
    meaning(
        "consistency",
        N_("Mandel's h and k, Cochran's C"),
        N_(
            "h asks whether a bench's mean lies apart, k whether its runs scatter more than those of "
            "others, C whether the largest scatter is too large. Beyond the critical value it is so in "
            "5 of 100 classes by chance."
        ),
        of=(
            "BenchSummary.mandel_h",
            "BenchSummary.mandel_k",
            "Spread.mandel_h_critical",
            "Spread.mandel_k_critical",
            "Spread.cochran_C",
            "Spread.cochran_C_critical",
        ),
        source=sources.CONSISTENCY,
    ),
    meaning(
        "line",
        N_("The line of warming against fall energy"),
        Message(
            N_(
                "Its slope is 1/c*. If it misses the origin when left free, a reading is off by the same "
                "amount in every run. If a robust line differs by more than %(percent)s %%, single runs "
                "pull it; leverage and Cook's distance say which."
            ),
            {"percent": whole(100 * PULLED)},
        ),
        of=(
            "LineFit.slope_K_kg_per_J",
            "LineFit.u_slope_K_kg_per_J",
            "LineFit.apparent_heat_capacity_J_per_kg_K",
            "LineFit.offset_K",
            "LineFit.u_offset_K",
            "LineFit.slope_with_offset_K_kg_per_J",
            "LineFit.robust_slope_K_kg_per_J",
            "LinePoint.specific_energy_J_per_kg",
            "LinePoint.warming_K",
            "LinePoint.u_warming_K",
            "LinePoint.residual_K",
            "LinePoint.leverage",
            "LinePoint.cooks_distance",
            "LinePoint.studentized_residual",
        ),
        source=f"{sources.LINES}; {sources.INFLUENCE}",
    ),
    meaning(
        "pooled",
        N_("The same runs pooled in other ways"),
        N_(
            "The plain mean of the benches, and their random-effects mean. Both take what the masses "
            "do for scatter, so their intervals are wider. If they disagree with the class value, look "
            "at the flags."
        ),
        of=(
            "PooledEstimate.apparent_heat_capacity_J_per_kg_K",
            "PooledEstimate.interval_95",
            "PooledEstimate.between_bench_sd_J_per_kg_K",
        ),
        source=sources.RANDOM_EFFECTS,
    ),
    meaning(
        "class-budget",
        N_("Where the class's uncertainty comes from"),
        N_(
            "Each line's share of the variance, largest first, with what would make it smaller. What "
            "all benches share (gravity, the scale of the thermometers, technique common to all) does "
            "not shrink with more benches."
        ),
        N_(
            "Two lines lie outside the interval, and say so: one end allowance for all masses, and a "
            "room temperature that nobody read."
        ),
        of=("ClassBudgetLine.standard_uncertainty_J_per_kg_K", "ClassBudgetLine.share_of_variance"),
        source=sources.GUM_BUDGET,
    ),
)
