"""The heat ledger: where the class's fall energy went."""

from __future__ import annotations

from math import hypot, isfinite, sqrt
from operator import mul

from app.analysis.bench_table import BenchTable
from app.analysis.class_value import PooledSlope
from app.analysis.heat_leak import HeatLeak
from app.analysis.mass_line import MassLine, masses_apart
from app.analysis.results import ClassSettings, HeatLedger
from app.physics.rounding import whole
from app.words import N_, Message

_UNSAID = Message("")


def heat_ledger(
    table: BenchTable,
    masses: MassLine | None,
    middle: PooledSlope,
    settings: ClassSettings,
    leak: HeatLeak | None = None,
) -> HeatLedger | None:
    """Shares of the fall energy, averaged over the benches with their own masses.

    Shot: accepted c · mean(s); its uncertainty is that of both. Heat sink: C · mean(s/m), where c and C are
    separated. The rest is unaccounted: leaks to the room, turns without a full fall, readings. A share above
    1, or below 0, is shown as it is and the note says why it can happen. None where the figures are beyond
    any number.

    With a heat leak C is that of its own fit, as in `separated`; the benches' mean warming per energy and
    mean(s/m) stay as read, and their uncertainties are taken for independent of C's.
    """
    accepted = settings.accepted_J_per_kg_K
    shot, u_accepted = accepted * middle.slope, settings.u_accepted_J_per_kg_K * middle.slope
    u_shot = hypot(accepted * middle.u_slope, u_accepted)
    sink = u_sink = None
    rest, u_rest = 1.0 - shot, u_shot
    if masses is not None and leak is not None:
        line, c, sink_here = leak.masses.line, masses.line.beta1, masses.line.beta2
        share = sum([x / (c + sink_here * x) for x in table.per_mass.tolist()]) / len(table)
        sink = line.beta2 * share
        u_sink = share * hypot(sqrt(line.cov22), leak.sink_by_leak * leak.u_per_inversion)
        rest, u_rest = 1.0 - shot - sink, hypot(u_shot, u_sink)
    elif masses is not None:
        line, k = masses.line, len(table)
        c, heat_sink = line.beta1, line.beta2
        # Means over the benches of x/(c + C x) and the like, x = 1/m: the shares and their derivatives.
        per_mass = table.per_mass.tolist()
        inverses = [1.0 / (c + heat_sink * x) for x in per_mass]
        squares = [inverse * inverse for inverse in inverses]
        share, square = sum(map(mul, inverses, per_mass)) / k, sum(squares) / k
        share2 = sum(map(mul, squares, per_mass)) / k
        sink = heat_sink * share
        u_sink = line.u_of(-heat_sink * share2, c * share2)
        rest = 1.0 - shot - sink
        u_rest = line.u_of(accepted * square + heat_sink * share2, (c - accepted) * share2)
        u_rest = hypot(u_rest, table.u_shared * (1.0 - rest), u_accepted)
    if not isfinite(100.0 * (abs(shot) + abs(sink or 0.0))):
        return None
    ledger = HeatLedger(shot, u_shot, sink, u_sink, rest, u_rest, _UNSAID)
    return ledger._replace(note=_note(ledger, table))


def _note(ledger: HeatLedger, table: BenchTable) -> Message:
    u_shot, sink, rest, u_rest = ledger.u_shot, ledger.heat_sink, ledger.unaccounted, ledger.u_unaccounted
    whole_shot, whole_sink, whole_rest = ledger.percents
    values = {
        "shot": str(whole_shot),
        "sink": str(whole_sink),
        "rest": str(abs(whole_rest)),
        "u": whole(max(1.0, 100 * (u_shot if sink is None else u_rest))),
    }
    if whole_rest < 0 and -rest <= 2.0 * u_rest:
        return Message(
            N_(
                "The parts add up to more than the fall energy, by %(rest)s %% ± %(u)s %%: no more than the "
                "uncertainty of the readings allows."
            ),
            values,
        )
    if whole_rest < 0:
        return Message(
            N_(
                "The parts add up to %(rest)s %% more than the fall energy. Heat came from elsewhere (warm "
                "hands, a warm room) or a reading is off: turns not counted, a fall longer than measured, "
                "or another metal than assumed."
            ),
            values,
        )
    if sink is None and masses_apart(table):
        return Message(
            N_(
                "The shot kept %(shot)s %% of the fall energy. The other %(rest)s %% went into the tube, "
                "caps and thermometer and to the room; these readings do not tell the two apart, though the "
                "benches' masses differ."
            ),
            values,
        )
    if sink is None:
        return Message(
            N_(
                "The shot kept %(shot)s %% of the fall energy. The other %(rest)s %% went into the tube, "
                "caps and thermometer and to the room; with benches of different masses the class could "
                "tell these apart."
            ),
            values,
        )
    if sink < 0.0:
        return Message(
            N_(
                "The shot kept %(shot)s %% of the fall energy. The heat sink comes out below zero, which "
                "only means that it is too small for these readings to show."
            ),
            values,
        )
    return Message(
        N_(
            "The shot kept %(shot)s %% of the fall energy, the tube, caps and thermometer took %(sink)s "
            "%%, and %(rest)s %% ± %(u)s %% is unaccounted for."
        ),
        values,
    )
