"""The text that stands for a figure: what it is, how many it shows, and what was found."""

from __future__ import annotations

from app.analysis.results import ClassResult
from app.figures.findings import finding
from app.words import N_, Message

WHAT = {
    "spread": Message(
        N_(
            "Runs piled as numbered marks over a scale of apparent "
            "specific heat capacity, the class value as a band."
        )
    ),
    "line": Message(
        N_("Runs as dots on warming against fall energy, with the fitted line through the origin.")
    ),
    "accepted": Message(
        N_(
            "The class's interval beside the accepted value, on a scale "
            "of specific heat capacity and percent error."
        )
    ),
    "separated": Message(
        N_(
            "Runs as dots on apparent specific heat capacity against "
            "1/mass, with the fitted line down to the axis."
        )
    ),
    "ledger": Message(N_("Bars for the shares of the fall energy.")),
}
COUNTS = Message(N_("Runs: %(runs)s, benches: %(benches)s, flagged: %(flagged)s, set aside: %(aside)s."))


def alternative(name: str, result: ClassResult) -> tuple[Message, ...]:
    """The sentences, in order. KeyError for an unknown figure."""
    counts = {
        "runs": str(len(result.runs)),
        "benches": str(len({run.readings.bench for run in result.runs})),
        "flagged": str(sum(bool(run.flags) for run in result.runs)),
        "aside": str(sum(run.readings.set_aside for run in result.runs)),
    }
    return WHAT[name], Message(COUNTS.template, counts), finding(name, result)
