"""Which benches' own calculations do not follow from their readings, and in which step. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType

from app.physics.working import SLIPPED, UNEXPLAINED, Working
from app.practicals.own_calculation import working_of
from app.practicals.runs import RunDetails
from app.practicals.shapes import Plan
from app.web.desk.attention import Need
from app.words import N_, Message


def needs_of_calculations(runs: Sequence[RunDetails], plan: Plan) -> tuple[Need, ...]:
    """One need a bench: its latest run whose specific heat capacity does not follow."""
    latest: dict[int, Need] = {}
    for run in runs:
        working = working_of(run, plan)
        if working is not None and working.verdict in (SLIPPED, UNEXPLAINED):
            latest[run.bench_number] = _need(run, working)
    return tuple(latest.values())


def _need(run: RunDetails, working: Working) -> Need:
    mine = run.entry.own_heat_capacity
    sentence = N_("Own specific heat capacity of run %(run)s (%(typed)s) does not follow from its readings.")
    steps = dict.fromkeys(_STEPS[slip.slip] for slip in working.slips)
    return Need(
        run.bench_number,
        Message(sentence, {"run": str(run.number), "typed": mine.raw.strip() if mine else ""}),
        steps=tuple(Message(step) for step in steps),
    )


_STEPS: Mapping[str, str] = MappingProxyType(
    {
        "one-fall": N_("Perhaps the energy of one fall instead of all."),
        "grams-for-kilograms": N_("Perhaps 1000 times too large, as with grams for kilograms."),
        "per-gram": N_("Perhaps 1000 times too small, as for one gram."),
        "centimetres-for-metres": N_("Perhaps centimetres for metres."),
        "start-temperature-as-warming": N_("Perhaps the start temperature used as the warming."),
        "end-temperature-as-warming": N_("Perhaps the end temperature used as the warming."),
        "kelvin-added": N_("Perhaps 273 added to the warming."),
        "end-allowance-forgotten": N_("Perhaps the tube's length without the end allowance."),
        "gravity-left-out": N_("Perhaps g left out."),
        "half-the-falls": N_("Perhaps half of the falls."),
        "twice-the-falls": N_("Perhaps twice the falls."),
        "mass-not-divided-out": N_("Perhaps the mass not divided out."),
        "mass-divided-twice": N_("Perhaps divided by the mass once too often."),
        "not-divided-by-warming": N_("Perhaps not divided by the warming."),
        "multiplied-by-warming": N_("Perhaps multiplied by the warming."),
        "wrong-sign": N_("Perhaps start minus end for the warming."),
        "upside-down-ratio": N_("Perhaps the ratio upside down."),
        "no-single-step": N_("No single slip explains it."),
    }
)
"""Each slip of `app.physics.working` as its teacher would name it."""
