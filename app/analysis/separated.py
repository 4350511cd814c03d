"""Specific heat capacity with the heat sink taken out: m·e = (m·c + C)·w over benches of different masses.

The fit is `mass_line` (random effects over benches, errors on the scale of the warming); intervals are
Student's with k − 2 degrees of freedom, from below bounded by what the thermometer alone allows. Beside
it stands the model without a heat sink (C = 0); AICc says which the readings ask for, in words.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import exp, hypot, log, sqrt

from app.analysis.bench_table import BenchTable
from app.analysis.heat_leak import HeatLeak
from app.analysis.mass_line import LEAST_BENCHES, MassLine, masses_apart
from app.analysis.results import ClassSettings, Separated
from app.physics.rounding import one_decimal, short, whole
from app.statistics.random_effects import reach_95
from app.words import N_, Message

LARGEST_RELATIVE_U = 0.5
"""A specific heat capacity known to worse than ± 50 % (one standard uncertainty) is not called separated
(our own choice)."""


def separated(
    table: BenchTable | None,
    masses: MassLine | None,
    settings: ClassSettings,
    leak: HeatLeak | None = None,
    impossible_masses: int = 0,
) -> Separated:
    """The fit with its intervals, or the reason why it cannot be made and what to change.

    With a heat leak its own fit of the benches is used; λ takes a degree of freedom and widens both
    intervals. `impossible_masses` is how many counted runs have an impossible mass: 1/m of a single one
    would outweigh the whole class, so that nothing is fitted until it is put right.
    """
    if leak is not None:
        table, masses = leak.table, leak.masses
    if table is None:
        return Separated(False, Message(N_("No run is counted, so nothing can be separated.")))
    k = len(table)
    low, high = table.mass_range()
    if k < LEAST_BENCHES:
        return Separated(
            False,
            Message(
                N_(
                    "To separate the shot from the heat sink, at least four benches are needed (so far: "
                    "%(benches)s), at least two of them with about half the mass."
                ),
                {"benches": str(k)},
            ),
        )
    if impossible_masses:
        return Separated(
            False,
            Message(
                N_(
                    "Counted runs with an impossible mass: %(number)s. Until the mass is put right or "
                    "the run set aside, the shot's heat and the heat sink's cannot be told apart."
                ),
                {"number": str(impossible_masses)},
            ),
        )
    if not masses_apart(table):
        return Separated(
            False,
            Message(
                N_(
                    "All benches used about the same mass (%(mass)s g), so the shot's heat and the heat "
                    "sink's cannot be told apart: give at least three benches about half the mass."
                ),
                {"mass": _span(whole(low * 1e3), whole(high * 1e3))},
            ),
        )
    if masses is None:
        return Separated(
            False,
            Message(
                N_(
                    "The readings do not settle on a specific heat capacity "
                    "and a heat sink: look at the flagged "
                    "runs first, and give at least three benches about half the mass."
                )
            ),
        )
    line = masses.line
    c, sink = line.beta1, line.beta2
    u_c = sqrt(line.cov11 + (table.u_shared * c) ** 2)
    u_sink = sqrt(line.cov22 + (table.u_shared * sink) ** 2)
    reach = line.reach
    if leak is not None:
        u_c = hypot(u_c, leak.c_by_leak * leak.u_per_inversion)
        u_sink = hypot(u_sink, leak.sink_by_leak * leak.u_per_inversion)
        reach = reach_95(line.q, line.tau2, k - 3)
    if c <= 0.0 or u_c > LARGEST_RELATIVE_U * c:
        return Separated(
            False,
            Message(
                N_(
                    "The benches scatter too much for their range of masses (%(low)s to %(high)s g): "
                    "spread the masses further, with at least three benches at half the mass or less, or "
                    "make more inversions."
                ),
                {"low": whole(low * 1e3), "high": whole(high * 1e3)},
            ),
        )
    half_c, half_sink = reach * u_c, reach * u_sink
    if sink + 2.0 * half_sink < 0.0:
        return Separated(
            False,
            Message(
                N_(
                    "For the same energy the light benches (%(low)s g) warmed more than the heavy ones "
                    "(%(high)s g). A heat sink does the opposite, so nothing can be separated: check the "
                    "masses and temperatures first. Were masses exchanged?"
                ),
                {"low": whole(low * 1e3), "high": whole(high * 1e3)},
            ),
        )
    interval = (c - half_c, c + half_c)
    accepted = settings.accepted_J_per_kg_K
    inside = interval[0] <= accepted <= interval[1]
    return Separated(
        identifiable=True,
        reason=Message(
            N_(
                "Benches with different masses (%(low)s to %(high)s g) let the class tell the shot from "
                "the heat sink."
            ),
            {"low": whole(low * 1e3), "high": whole(high * 1e3)},
        ),
        heat_capacity_J_per_kg_K=c,
        interval_95=interval,
        heat_sink_J_per_K=sink,
        heat_sink_interval_95=(sink - half_sink, sink + half_sink),
        percent_error=100.0 * (c / accepted - 1.0),
        accepted_inside_interval=inside,
        heat_leak_per_inversion=None if leak is None else leak.per_inversion,
        model="shot and heat sink" if leak is None else "shot, heat sink and heat leak",
        model_choice=_model_choice(table, masses) if leak is None else _leak_choice(leak),
    )


def _span(low: str, high: str) -> str:
    return low if low == high else f"{low}–{high}"


def _leak_choice(leak: HeatLeak) -> Message:
    return Message(
        N_(
            "The readings ask for a heat leak to the room as well (AICc is %(gain)s lower with it): about "
            "%(leak)s ± %(u)s J/kg for each inversion and °C above the room."
        ),
        {
            "gain": one_decimal(leak.aicc_gain),
            "leak": short(leak.per_inversion, 2),
            "u": short(leak.u_per_inversion, 2),
        },
    )


def aicc(residual: Sequence[float], variance: Sequence[float], parameters: int) -> float:
    """Akaike's criterion for small samples, −2 log L + 2p + 2p(p + 1)/(n − p − 1), normal errors."""
    n = len(residual)
    minus_2_log_l = sum([log(v) + r * r / v for r, v in zip(residual, variance, strict=True)])
    return minus_2_log_l + 2.0 * parameters + 2.0 * parameters * (parameters + 1) / max(n - parameters - 1, 1)


def _model_choice(table: BenchTable, masses: MassLine) -> Message:
    """How much better the model with a heat sink describes the benches than the one without."""
    slope, variance, expected = table.slope.tolist(), table.variance.tolist(), masses.expected.tolist()
    tau2 = masses.line.tau2
    with_sink = aicc(
        [s * e - 1.0 for s, e in zip(slope, expected, strict=True)],
        [v + tau2 for v in masses.scale_variance.tolist()],
        3,
    )
    weights = [1.0 / v for v in variance]
    mean = sum([w * s for w, s in zip(weights, slope, strict=True)]) / sum(weights)
    relative = [s / mean - 1.0 for s in slope]
    known = sum(variance) / mean**2
    tau2_alone = max(0.0, (sum([r * r for r in relative]) - known) / len(table))
    # On the scale of the other fit, so that the two likelihoods are of the same numbers.
    scale = [e * mean for e in expected]
    without = aicc(
        [r * one for r, one in zip(relative, scale, strict=True)],
        [(v / mean**2 + tau2_alone) * one * one for v, one in zip(variance, scale, strict=True)],
        2,
    )
    difference = without - with_sink
    if difference > 2.0:
        template = N_(
            "The readings ask for the heat sink: AICc is %(difference)s lower with it than without (a "
            "ratio of %(odds)s to 1)."
        )
    elif difference < -2.0:
        template = N_(
            "The readings would do without a heat sink (AICc is %(difference)s lower without it); it is "
            "kept in the fit, because every tube has one, and its interval shows how small it may be."
        )
    else:
        template = N_(
            "The readings cannot tell whether there is a heat sink (AICc differs by %(difference)s); it is "
            "kept in the fit, because every tube has one."
        )
    odds = min(abs(difference) / 2.0, log(1e6))
    return Message(
        template,
        {
            "difference": one_decimal(abs(difference)),
            "odds": "≥ 1000000" if odds >= log(1e6) else short(exp(odds), 2),
        },
    )
