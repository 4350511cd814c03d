"""Runs whose surplus of heat a tube warmer than the shot explains: the reason given beside such a flag.

Two things leave a tube warmer than the shot: the bench's run before, which ended at a known temperature, and
the room, for shot that was chilled without it. Such a tube adds at most C·d/(m·c + C) to the warming
(`warming_by_tube`), d above the shot's start; a surplus up to that is explained, a larger one is not.
"""

from __future__ import annotations

import numpy as np

from app.analysis.columns import Columns
from app.analysis.fit.class_fit import ClassFit
from app.analysis.fit.quantities import expected_warming, heat_sink, specific_heat
from app.analysis.fit.stacked import room_temperatures
from app.analysis.results import Flag
from app.physics.energy import warming_by_tube
from app.physics.rounding import short
from app.statistics.robust import MODIFIED_Z_LIMIT
from app.words import N_, Message

WARM_TUBE = "tube-warmer-than-shot"
SINK_KNOWN_TO = 0.25
"""Relative: how well a bench's own heat sink is known from the class's (our own choice)."""

FROM_LAST_RUN = N_(
    "The tube was perhaps warmer than the shot: the shot started %(below)s °C colder than this bench's run "
    "before had ended. A tube still warm from that run adds up to %(most)s °C. Between runs let the tube "
    "rest, or chill it with the shot in it, and read the start in the tube once it no longer changes."
)
FROM_ROOM = N_(
    "The tube was perhaps warmer than the shot: the shot started %(below)s °C colder than the room. A tube "
    "at room temperature adds up to %(most)s °C. Chill the tube with the shot in it, and read the start in "
    "the tube once it no longer changes."
)


def warm_tubes(cols: Columns, fit: ClassFit) -> dict[int, list[Flag]]:
    """The reason, by the position of the run, for each run that warmed more than expected by no more than a
    warm tube gives; whether such a run is flagged at all is decided elsewhere."""
    rooms = room_temperatures(cols, fit.settings)
    before = cols.end_before
    shot_J_per_K = cols.mass * fit.draws.median(specific_heat(fit))
    sink_J_per_K = np.full(len(cols.runs), fit.draws.median(heat_sink(fit)))
    surplus = cols.warming - expected_warming(fit)
    noise = MODIFIED_Z_LIMIT * cols.u_warming
    found = {}
    for i in np.flatnonzero(cols.workable & (surplus > noise)).tolist():
        room_C = -np.inf if rooms is None else float(rooms[i])
        below = max(float(before[i]), room_C) - float(cols.start[i])
        if not below > 0.0:
            continue
        most = float(warming_by_tube(below, float(shot_J_per_K[i]), float(sink_J_per_K[i])))
        if surplus[i] <= (1.0 + SINK_KNOWN_TO) * most + noise[i]:
            template = FROM_LAST_RUN if before[i] >= room_C else FROM_ROOM
            words = Message(template, {"below": short(below, 2), "most": short(most, 2)})
            found[i] = [Flag(WARM_TUBE, words, figure=float(surplus[i]), threshold=most)]
    return found


def of_warm_tubes(flags: dict[int, list[Flag]]) -> frozenset[int]:
    """Flagged runs with this reason where the class has more than one: two slips of the pen that look like a
    warm tube are less likely than the tubes."""
    told = [i for i, reasons in flags.items() if any(flag.rule == WARM_TUBE for flag in reasons)]
    return frozenset(told if len(told) > 1 else ())
