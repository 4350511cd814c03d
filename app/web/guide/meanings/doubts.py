"""The flags of runs, and the slips that the tool asks about."""

from __future__ import annotations

from math import exp

from app.analysis.doubt import slip_words as slips
from app.analysis.doubt.flags import BENCH_UNLIKE, UNLIKE
from app.analysis.doubt.slips import GAIN, LEAD
from app.analysis.doubt.warm_tube import WARM_TUBE
from app.analysis.of_the_fit import ODD_FROM
from app.physics.rounding import one_decimal, round_significant, whole
from app.statistics.robust import MODIFIED_Z_LIMIT
from app.web.guide import sources
from app.web.guide.meanings.meaning import COMMON_PRACTICE, OWN_CHOICE, meaning
from app.words import N_, Message

_HALF = {"percent": whole(100 * ODD_FROM)}

FLAGS = (
    meaning(
        "flag-unlike",
        N_("The run is unlike the others"),
        Message(
            N_(
                "The fit gives it a probability of more than %(percent)s %% of being unlike the others. "
                "The flag says what it warmed by, and what a run like it warms by in this class. It stays "
                "counted and moves the result little."
            ),
            _HALF,
        ),
        of=(UNLIKE,),
        source=sources.MIXTURE,
    ),
    meaning(
        "flag-bench",
        N_("The bench as a whole is unlike the others"),
        Message(
            N_(
                "Its runs agree with each other and lie apart from the class: more than %(percent)s %%, "
                "for the bench. Look for what it does in every run: half turns, a count of every second "
                "fall, the mass with the cup, another metal."
            ),
            _HALF,
        ),
        of=(BENCH_UNLIKE,),
        source=sources.MIXTURE,
    ),
    meaning(
        "flag-no-warming",
        N_("No warming"),
        N_(
            "The end is at or below the start. The run gives no c*, is kept, and still enters the fit: "
            "it says that the warming was small. Were the two readings exchanged, or the thermometer "
            "not read again?"
        ),
        of=("no-warming",),
    ),
    meaning(
        "flag-too-much-heat",
        N_("More heat than the falls gave"),
        Message(
            N_(
                "The shot alone would hold clearly more heat than its fall energy: by more than %(times)s "
                "times the uncertainty. A tube warmer than the shot does this, and so does a wrong reading "
                "or count."
            ),
            {"times": one_decimal(MODIFIED_Z_LIMIT)},
        ),
        of=("more-heat-than-energy",),
        source=sources.ROBUST,
    ),
    meaning(
        "flag-warm-tube",
        N_("The tube was perhaps warmer than the shot"),
        N_(
            "The run before had ended warmer than this one began, or the shot was chilled without its "
            "tube. A tube warmer by d adds up to so much. Let it rest, or chill both together."
        ),
        of=(WARM_TUBE,),
        formulas=("tube_adds",),
    ),
    meaning(
        "flag-impossible",
        N_("A reading that cannot be"),
        N_(
            "A mass, length, allowance, count or temperature that no tube and no class can have: "
            "mostly a wrong unit in a table from elsewhere. Correct it with the bench, or set the run "
            "aside."
        ),
        of=(
            "mass-impossible",
            "length-impossible",
            "end-allowance-impossible",
            "inversions-impossible",
            "temperature-impossible",
        ),
        basis=OWN_CHOICE,
    ),
    meaning(
        "flag-far",
        N_("A reading far from the plan, from the bench or from the class"),
        N_(
            "Said beside a run that is unlike the others, as a hint. The reading is held against the "
            "bench's plan; without one against its other runs; and only then against the class."
        ),
        of=(
            *(
                f"{what}-far-from-{whose}"
                for what in ("mass", "length", "inversions")
                for whose in ("plan", "bench", "class")
            ),
            "start-temperature-far-from-class",
            "end-allowance-far-from-class",
        ),
        basis=OWN_CHOICE,
    ),
    meaning(
        "flag-between-marks",
        N_("Between two marks of the thermometer"),
        N_(
            "A temperature that this bench's thermometer cannot show, where the class reads marks "
            "alone. Perhaps a mistyped digit, or another thermometer."
        ),
        of=("between-thermometer-marks",),
        basis=OWN_CHOICE,
    ),
)

SLIPS_ARE = Message(
    N_(
        "For a flagged run the tool undoes each known slip and asks the fit how the corrected run would "
        "stand. It names a slip only if the corrected run belongs to the others, is about %(gain)s times "
        "as probable as the one entered and %(lead)s times as with any other slip. It is a question: "
        "nothing is corrected by itself."
    ),
    {"gain": round_significant(exp(GAIN / 2), 1), "lead": whole(exp(LEAD / 2))},
)
SLIPS = (
    meaning(
        "slip-units",
        N_("A wrong unit"),
        N_(
            "Mass: grams for kilograms or the other way. Lengths: centimetres, millimetres, metres, "
            "inches, for tube, end allowance or both. Temperatures in °F."
        ),
        of=(slips.MASS_UNIT, slips.LENGTH_UNIT, slips.FAHRENHEIT),
        basis=COMMON_PRACTICE,
    ),
    meaning(
        "slip-count",
        N_("Turns counted by halves, or twice"),
        N_(
            "Each half turn lets the shot fall once: that is one inversion. Who counts whole turns has "
            "half of them, who counts the way back too has twice as many. Asked for all runs of the "
            "bench together."
        ),
        of=(slips.INVERSIONS_HALVED, slips.INVERSIONS_DOUBLED),
        basis=COMMON_PRACTICE,
    ),
    meaning(
        "slip-temperatures",
        N_("Start and end exchanged, or the warming in place of the end"),
        N_("Both come from one slip of paper, copied in the wrong order or already worked out."),
        of=(slips.TEMPERATURES_SWAPPED, slips.WARMING_AS_END),
        basis=COMMON_PRACTICE,
    ),
    meaning(
        "slip-digits",
        N_("Two digits changed places"),
        N_(
            "21.3 for 23.1. Not asked where another run of the bench has the same reading: a pen does "
            "not slip twice alike."
        ),
        of=(slips.DIGITS_SWAPPED,),
        basis=COMMON_PRACTICE,
    ),
    meaning(
        "slip-allowance",
        N_("End allowance forgotten"),
        N_(
            "Nothing was taken off the tube, where the bench's other runs or most benches take something off."
        ),
        of=(slips.ALLOWANCE_FORGOTTEN,),
        basis=COMMON_PRACTICE,
    ),
)
