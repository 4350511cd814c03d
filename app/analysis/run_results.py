"""Each run worked out: c* = e/w with its GUM uncertainty, budget and interval.

u(c*)² = c*² [(u(w)/w)² + (u(h)/h)² + (u(g)/g)²], u(w)² = 2·(step²/12 + reading sd²) (JCGM 100:2008, 5.1.2;
4.3.7 for the step). Turns are counted, they carry no uncertainty. The 95 % interval is symmetric for
the slope w/e and inverted, so that it is lopsided for c* where u(w)/w is large; where the lower end of
w/e is not above zero there is no upper end and the interval is None.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import sqrt
from typing import Any, overload

import numpy as np

from app.analysis.columns import LEAST_WARMING_K, Columns
from app.analysis.records import made
from app.analysis.results import BudgetLine, ClassSettings, Flag, RunResult, SuspectedSlip
from app.words import N_, Message

_NO_ENERGY = Message(
    N_(
        "No heat capacity: the fall or the number of inversions is not above zero, so there is no fall "
        "energy."
    )
)
_NO_WARMING = Message(
    N_("No heat capacity: the shot did not warm up, and energy divided by no warming is no number.")
)


class Budget(Sequence[BudgetLine]):
    """The lines of one run's uncertainty budget, written out when they are looked at."""

    __slots__ = ("_apparent", "_fall", "_settings", "_u_fall", "_warming")

    def __init__(
        self, apparent: float, warming: float, fall: float, u_fall: float, settings: ClassSettings
    ) -> None:
        self._apparent, self._warming, self._fall, self._u_fall = apparent, warming, fall, u_fall
        self._settings = settings

    def lines(self) -> tuple[BudgetLine, ...]:
        """Each source with |∂c*/∂x|·u(x); their squares add up to u(c*)²."""
        settings, apparent = self._settings, self._apparent
        per_kelvin = apparent / self._warming
        step = settings.thermometer_step_K / sqrt(6.0)
        reading = settings.reading_sd_K * sqrt(2.0)
        gravity = settings.u_gravity_m_per_s2
        return (
            BudgetLine(N_("thermometer step, both readings"), step, "K", per_kelvin * step),
            BudgetLine(N_("reading the thermometer"), reading, "K", per_kelvin * reading),
            BudgetLine(N_("length of the fall"), self._u_fall, "m", apparent / self._fall * self._u_fall),
            BudgetLine(N_("gravity"), gravity, "m/s²", apparent / settings.gravity_m_per_s2 * gravity),
            BudgetLine(N_("count of inversions"), 0.0, "1", 0.0),
        )

    def __len__(self) -> int:
        return 5

    @overload
    def __getitem__(self, index: int) -> BudgetLine: ...
    @overload
    def __getitem__(self, index: slice) -> tuple[BudgetLine, ...]: ...
    def __getitem__(self, index: int | slice) -> BudgetLine | tuple[BudgetLine, ...]:
        return self.lines()[index]

    def __iter__(self) -> Iterator[BudgetLine]:
        return iter(self.lines())

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Sequence) and self.lines() == tuple(other)

    def __hash__(self) -> int:
        return hash(self.lines())

    def __repr__(self) -> str:
        return repr(self.lines())


def run_results(
    cols: Columns,
    settings: ClassSettings,
    flags: dict[int, list[Flag]],
    slips: dict[int, SuspectedSlip],
) -> tuple[RunResult, ...]:
    """One result for each run, in the order given."""
    warm = cols.workable & (cols.warming > LEAST_WARMING_K)
    warming = np.where(warm, cols.warming, 1.0)
    fall = np.where(warm, cols.fall, 1.0)
    apparent = cols.energy / warming
    relative2 = (cols.u_fall / fall) ** 2 + (settings.u_gravity_m_per_s2 / settings.gravity_m_per_s2) ** 2
    u_relative = np.sqrt((cols.u_warming / warming) ** 2 + relative2)
    u = apparent * u_relative
    low = apparent / (1.0 + 1.96 * u_relative)
    bounded = u_relative < 0.5
    high = apparent / np.where(bounded, 1.0 - 1.96 * u_relative, 1.0)
    u_w, u_fall = cols.u_warming, cols.u_fall
    nothing: dict[str, Any] = {
        "u_warming_K": u_w,
        "apparent_heat_capacity_J_per_kg_K": None,
        "standard_uncertainty_J_per_kg_K": None,
        "interval_95": None,
        "budget": (),
        "flags": (),
        "suspected_slip": None,
        "absent_because": None,
    }
    out: list[RunResult] = []
    for run, is_warm, c, u_c, lo, hi, has_end, h, e, w in zip(
        cols.runs, warm.tolist(), apparent.tolist(), u.tolist(), low.tolist(), high.tolist(),
        bounded.tolist(), cols.fall.tolist(), cols.energy.tolist(), cols.warming.tolist(), strict=True,
    ):  # fmt: skip
        fields = nothing.copy()
        fields["readings"] = run
        fields["fall_m"] = h
        fields["specific_energy_J_per_kg"] = e
        fields["warming_K"] = w
        if is_warm:
            fields["apparent_heat_capacity_J_per_kg_K"] = c
            fields["standard_uncertainty_J_per_kg_K"] = u_c
            fields["budget"] = Budget(c, w, h, u_fall, settings)
            if has_end:
                fields["interval_95"] = (lo, hi)
        else:
            fields["absent_because"] = _NO_WARMING if cols.workable[len(out)] else _NO_ENERGY
        out.append(made(RunResult, fields))
    for i, reasons in flags.items():
        vars(out[i])["flags"] = tuple(reasons)
    for i, slip in slips.items():
        vars(out[i])["suspected_slip"] = slip
    return tuple(out)
