"""The questions about a reading, on phone and desk, and what the desk says while the lesson runs."""

from __future__ import annotations

from app.physics.asking.questions import MOST_OF_THE_ENERGY
from app.physics.limits import (
    FAR_FROM_USUAL,
    FAR_FROM_USUAL_START_K,
    ICE_POINT_C,
    INVERSIONS,
    LENGTH_M,
    ROOM_TEMPERATURE_C,
    SHOT_MASS_KG,
    START_TEMPERATURE_C,
    Range,
)
from app.physics.reading.readings import decimal_text
from app.physics.rounding import one_decimal, shortest, whole
from app.practicals.runs.refusals import LONGEST_BENCH_WORDS
from app.web.desk.lesson.attention import NO_RUN_AFTER, NOT_JOINED_AFTER, SILENT_AFTER
from app.web.guide import sources
from app.web.guide.meanings.meaning import OWN_CHOICE, meaning
from app.words import N_, Message


def _from_to(asked_outside: Range, shown_as: int = 0) -> dict[str, str]:
    """Both ends of a range, with the decimal point moved so far."""
    return {
        "low": shortest(asked_outside.least.scaleb(shown_as)),
        "high": shortest(asked_outside.most.scaleb(shown_as)),
    }


ASKED_ONCE = Message(
    N_(
        "What is impossible is refused with a sentence. What is possible but unlikely is asked about once; "
        "the answer “as typed” is kept, because odd readings are data. A question may offer a correction: "
        "only the bench's own tap puts it in."
    )
)
QUESTIONS = (
    meaning(
        "asked-mass",
        N_("About the mass"),
        Message(
            N_(
                "Asked below %(low)s g and above %(high)s g; where a plan or the class tells the usual "
                "mass, beyond %(factor)s times more or less; and where the tube does not hold so much."
            ),
            {**_from_to(SHOT_MASS_KG.asked_outside, 3), "factor": one_decimal(FAR_FROM_USUAL)},
        ),
        of=("unlikely_mass",),
        basis=OWN_CHOICE,
    ),
    meaning(
        "asked-length",
        N_("About tube and ends"),
        Message(
            N_(
                "The tube: outside %(low)s to %(high)s cm, or far from the usual one. The ends: where they "
                "take half of the tube or more; a tenth is offered where millimetres were typed as "
                "centimetres."
            ),
            _from_to(LENGTH_M.asked_outside, 2),
        ),
        of=("unlikely_length", "unlikely_ends"),
        basis=OWN_CHOICE,
    ),
    meaning(
        "asked-count",
        N_("About the count"),
        Message(
            N_(
                "Exactly half or twice the planned count; outside %(low)s to %(high)s; or far from the "
                "usual count."
            ),
            _from_to(INVERSIONS.asked_outside),
        ),
        of=("unlikely_count",),
        basis=OWN_CHOICE,
    ),
    meaning(
        "asked-temperatures",
        N_("About start and end"),
        Message(
            N_(
                "The start: outside %(low)s to %(high)s °C, perhaps in °F, or more than %(far)s K from the "
                "class's. The end: below the start, equal to it, a warming that is more than %(times)s "
                "times what the falls can give, or far too little."
            ),
            {
                **_from_to(START_TEMPERATURE_C.asked_outside),
                "far": str(FAR_FROM_USUAL_START_K),
                "times": one_decimal(MOST_OF_THE_ENERGY),
            },
        ),
        of=("unlikely_start", "unlikely_end"),
        basis=OWN_CHOICE,
    ),
    meaning(
        "asked-room",
        N_("About the room"),
        Message(
            N_(
                "Outside %(low)s to %(high)s °C, or the same as the start of the shot: was it read in the "
                "air?"
            ),
            _from_to(ROOM_TEMPERATURE_C.asked_outside),
        ),
        of=("unlikely_room", "unlikely_in_a_room", "unlikely_room_of_class"),
        basis=OWN_CHOICE,
    ),
    meaning(
        "asked-ice",
        N_("About the thermometer in melting ice"),
        Message(
            N_(
                "Melting ice is 0 °C. A thermometer that is off by more than %(most)s K is asked about. "
                "Its offset drops out of the warming and is taken off where start and end are compared "
                "with the room."
            ),
            {"most": decimal_text(ICE_POINT_C.asked_outside.most)},
        ),
        of=("far_off",),
        source=sources.ICE,
        basis=OWN_CHOICE,
    ),
)
DURING_THE_LESSON = (
    meaning(
        "needs-you",
        N_("“Needs you” on the lesson page"),
        Message(
            N_(
                "Hands up first. Then benches that did not join after %(join)s min, sent no run after "
                "%(run)s min, hold runs that are not sent, or were silent for %(silent)s min in a run; and "
                "own calculations that do not follow from the readings."
            ),
            {
                "join": whole(NOT_JOINED_AFTER.total_seconds() / 60),
                "run": whole(NO_RUN_AFTER.total_seconds() / 60),
                "silent": whole(SILENT_AFTER.total_seconds() / 60),
            },
        ),
        of=("attention",),
        basis=OWN_CHOICE,
    ),
    meaning(
        "next-run",
        N_("“Before the next run”"),
        N_(
            "What the first runs show of the whole class, while it can be mended: masses too alike, "
            "starts that climb because tubes stay warm, depths that do not go with the mass, no room "
            "temperature."
        ),
        of=("noticed",),
        basis=OWN_CHOICE,
    ),
    meaning(
        "warnings",
        N_("Warnings beside the result"),
        N_(
            "One end allowance for different masses makes c too high, by a third and more in narrow "
            "tubes, and no interval says so. Tubes warmer or colder than the shot, too few benches, "
            "too small a warming and runs without fall energy are named as well."
        ),
        of=("warnings", "one_allowance", "could_still_be_wrong"),
    ),
    meaning(
        "counted",
        N_("Counted, set aside, corrected"),
        Message(
            N_(
                "Counted: in the result, also when flagged. Set aside: kept and shown hollow, not in the "
                "result; a reason is needed, and it can be undone. Corrected: a new version, the old one "
                "stays in the history. A bench may add words, %(most)s characters at most."
            ),
            {"most": str(LONGEST_BENCH_WORDS)},
        ),
        of=("set aside", "counted"),
    ),
)
