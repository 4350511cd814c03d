"""The numbers of one run, on phone, desk and report."""

from __future__ import annotations

from app.physics.asking.expected_range import DEMONSTRATORS_SHARE, LEAST_SHARE
from app.physics.rounding import one_decimal, whole
from app.web.guide import sources
from app.web.guide.meanings.meaning import COMMON_PRACTICE, meaning
from app.words import N_, Message

OF_A_RUN = (
    meaning(
        "fall",
        N_("Fall and fall energy"),
        N_(
            "L is the length of the tube, a the end allowance: caps and settled shot. N inversions "
            "give each kilogram the fall energy e, in J/kg."
        ),
        of=("RunResult.fall_m", "RunResult.specific_energy_J_per_kg"),
        formulas=("fall", "fall_energy"),
    ),
    meaning(
        "warming",
        N_("Warming and its uncertainty"),
        N_(
            "End less start. Its standard uncertainty comes from the thermometer step s and from the "
            "scatter r of reading it, both twice, because there are two readings."
        ),
        of=("RunResult.warming_K", "RunResult.u_warming_K"),
        formulas=("warming", "u_warming"),
        source=sources.GUM_BUDGET,
    ),
    meaning(
        "apparent",
        N_("Apparent specific heat capacity c*"),
        N_(
            "What the run alone gives. It has no value where the shot did not warm. It is high by C/m, "
            "so a run is compared with runs of the same mass."
        ),
        of=("RunResult.apparent_heat_capacity_J_per_kg_K",),
        formulas=("apparent", "with_sink"),
    ),
    meaning(
        "run-interval",
        N_("Standard uncertainty and 95 %% interval of a run"),
        N_(
            "The parts of the budget are squared and added. The interval is Fieller's for a quotient: "
            "it reaches further up than down, and has no upper end where the warming could be zero."
        ),
        of=("RunResult.standard_uncertainty_J_per_kg_K", "RunResult.interval_95"),
        formulas=("u_apparent",),
        source=f"{sources.GUM_BUDGET}; {sources.FIELLER}",
    ),
    meaning(
        "run-budget",
        N_("Where a run's uncertainty comes from"),
        N_(
            "Thermometer step, reading, length of the fall, gravity, technique: what each of them "
            "alone would make, in J/(kg·K). Inversions are counted and count as exact. The thermometer "
            "nearly always makes the most."
        ),
        of=(
            "Budget.thermometer_step",
            "Budget.reading",
            "Budget.fall_length",
            "Budget.gravity",
            "Budget.inversions",
            "Budget.technique",
        ),
        source=sources.GUM_BUDGET,
    ),
    meaning(
        "unlike",
        N_("Unlike the others"),
        N_(
            "The probability, in the fit of the class, that this run does not belong to the others: 0 "
            "for a run at home, 1 for one that surely went wrong."
        ),
        of=("RunResult.unlike_the_others", "BenchSummary.unlike_the_others"),
        source=sources.MIXTURE,
    ),
    meaning(
        "usual-warming",
        N_("“How did we do?”: the usual warming"),
        Message(
            N_(
                "From %(least)s of the warming with a large heat sink, or %(low)s %% of that of the shot "
                "alone if this is less, to the shot alone. It is rounded to one digit, so that nobody can "
                "work back to the accepted value."
            ),
            {"least": one_decimal(LEAST_SHARE), "low": whole(100 * DEMONSTRATORS_SHARE)},
        ),
        of=("asking.expected_warming_range", "asking.verdict"),
        source=sources.DEMONSTRATIONS,
    ),
    meaning(
        "own-working",
        N_("A bench's own calculation"),
        N_(
            "The phone takes the bench through h, e, w and c. A wrong line gets a hint about the usual "
            "slip, never the answer. The desk shows which benches got stuck, and where."
        ),
        of=("physics.working",),
        basis=COMMON_PRACTICE,
    ),
)
