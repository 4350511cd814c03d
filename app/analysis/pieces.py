"""What the pieces of a department's kit do to results: which reads high or low, by how much, how surely.

A run's own c* = e/w is held against c + C/m, the accepted value with the heat that tube, caps and thermometer
take, so that benches with other masses can be compared: y = 100·ln(c*/(c + C/m)), in percent. C is found for
each metal from the runs themselves, and what is left of its error is a slope of the model. Then

    y = μ + slope·x + practical + bench of that practical + its tube + thermometer + balance + lot + e

is a linear mixed model (`app.statistics.mixed`): what a whole class did alike is its practical's, what a
group did alike is its bench's, and what stays with a piece from practical to practical is the piece's. The
known part of e is the thermometer's step over the warming.

A piece is held against the others of its kind: what all of them do alike is not seen here. Its effect is
drawn towards 0 as far as its runs are few (empirical Bayes), by a spread of its kind that is kept from 0.
A. Gelman, J. Hill and M. Yajima, J. Res. Educ. Eff. 5 (2012) 189 (from memory), say why such intervals bear
many looks. Whether an effect is there at all is judged by z = b̂/√(s²(1 − s²/σ_b²)), s being the standard
error of b̂: the ratio of the piece's own estimate to its standard error, with Student's quantiles and Holm's
adjustment for all pieces looked at.

An offset of a thermometer drops out of a warming, so that its effect is an error of its scale; the mass drops
out of c*, so that a balance hardly has an effect.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from scipy.special import stdtr

from app.analysis.piece_columns import Columns, RunWithPieces
from app.statistics.domain import Floats
from app.statistics.mixed import NO_GROUP, GroupEffects, mixed_model
from app.statistics.multiple_testing import holm
from app.statistics.quantiles import student_two_sided
from app.words import N_, Message

LEAST_PRACTICALS = 3
"""With fewer, a piece and the bench that had it are hardly told apart (our own choice)."""
LEAST_OF_A_PIECE = 2
"""Practicals in which a piece has to have been used before anything is said of it (our own choice)."""
LEAST_PIECES = 3
"""Of a kind: with two, nobody knows which of them is off (our own choice)."""
LEAST_DOF = 4
"""Benches beyond what practicals and pieces take up (our own choice)."""
SURE = 0.05
"""For "surely" after Holm's adjustment, for "perhaps" without it (R. A. Fisher, 1925)."""


class Verdict(StrEnum):
    """How surely a piece reads high or low."""

    SURELY = "surely"
    PERHAPS = "perhaps"
    NOTHING = "nothing to see"
    TOO_FEW = "too few"


@dataclass(frozen=True)
class PieceShift:
    """What one piece does to c*, in percent against the other pieces of its kind, at 95 %.

    `fall_m` and `warming_K` are the middle ones of its runs. `always_with`: pieces of other kinds without
    which it was never used, and they never without it, so that the two share one effect.
    """

    piece: int
    verdict: Verdict
    practicals: int
    runs: int
    fall_m: float
    warming_K: float
    percent: float | None = None
    interval_95: tuple[float, float] | None = None
    always_with: tuple[int, ...] = ()


@dataclass(frozen=True)
class KindShifts:
    """The pieces of one kind, and how far they differ (as a standard deviation), or why nothing is said."""

    pieces: tuple[PieceShift, ...]
    sd_percent: float | None = None
    absent_because: Message | None = None


@dataclass(frozen=True)
class Shifts:
    """All kinds that runs name, with how much went in, and how many runs were too far off to go in."""

    kinds: Mapping[str, KindShifts]
    practicals: int
    runs: int
    left_out: int


FEW_PRACTICALS = N_(
    "Practicals whose runs name their pieces: %(practicals)s. From %(needed)s on, the tool can begin to tell"
    " a piece from the bench that had it."
)
FEW_PIECES = N_(
    "At least %(needed)s pieces of a kind are needed: with fewer nobody knows which of them is off."
)
FEW_BENCHES = N_(
    "There are too few benches yet for so many practicals and pieces. Let the pieces change benches from"
    " practical to practical."
)


def piece_shifts(runs: Sequence[RunWithPieces]) -> Shifts:
    """What each piece does, from all counted runs that name one. No run at all gives no kinds."""
    usable = [run for run in runs if run.readings.warming_K > 0 and run.readings.fall_m > 0]
    if not usable:
        return Shifts({}, 0, 0, len(runs))
    columns = Columns(usable)
    near = columns.near()
    kept = [run for run, is_near in zip(usable, near, strict=True) if is_near]
    columns = Columns(kept)
    kinds = list(dict.fromkeys(kind for run in kept for kind, _piece in run.pieces))
    practicals = len(set(columns.practicals))
    told = {kind: _described(kept, kind) for kind in kinds}
    reasons = {kind: _why_not(told[kind], practicals) for kind in kinds}
    asked = [kind for kind in kinds if reasons[kind] is None]
    dof = columns.dof([len(told[kind]) for kind in asked])
    if dof < LEAST_DOF:
        reasons |= {kind: Message(FEW_BENCHES) for kind in asked}
        asked = []
    found = _with_effects(kept, columns, told, asked, dof) if asked else {}
    shifts = {kind: found.get(kind) or KindShifts(told[kind], None, reasons[kind]) for kind in kinds}
    return Shifts(shifts, practicals, len(kept), len(runs) - len(kept))


def _described(runs: Sequence[RunWithPieces], kind: str) -> tuple[PieceShift, ...]:
    """The pieces of a kind with what went into them; nothing is said yet of what they do."""
    of_piece: dict[int, list[RunWithPieces]] = {}
    for run in runs:
        if (piece := dict(run.pieces).get(kind)) is not None:
            of_piece.setdefault(piece, []).append(run)
    return tuple(
        PieceShift(
            piece,
            Verdict.TOO_FEW,
            len({run.practical for run in own}),
            len(own),
            float(np.median([run.readings.fall_m for run in own])),
            float(np.median([run.readings.warming_K for run in own])),
        )
        for piece, own in of_piece.items()
    )


def _why_not(pieces: Sequence[PieceShift], practicals: int) -> Message | None:
    if practicals < LEAST_PRACTICALS:
        return Message(FEW_PRACTICALS, {"practicals": str(practicals), "needed": str(LEAST_PRACTICALS)})
    if len(pieces) < LEAST_PIECES:
        return Message(FEW_PIECES, {"needed": str(LEAST_PIECES)})
    return None


def _with_effects(
    runs: Sequence[RunWithPieces],
    columns: Columns,
    told: Mapping[str, tuple[PieceShift, ...]],
    asked: Sequence[str],
    dof: int,
) -> dict[str, KindShifts]:
    """The same pieces with their effects, and whether these are there."""
    groups = {"practical": columns.practical, "bench": columns.bench}
    for kind in asked:
        place = {shift.piece: number for number, shift in enumerate(told[kind])}
        own = [dict(run.pieces).get(kind) for run in runs]
        groups[kind] = np.array([NO_GROUP if one is None else place[one] for one in own], dtype=np.intp)
    fit = mixed_model(columns.y, columns.fixed, groups, columns.known, kept_from_zero=asked)
    p_values = {kind: p_of_no_effect(fit.groupings[kind], dof) for kind in asked}
    judged = [
        (kind, place)
        for kind in asked
        for place, shift in enumerate(told[kind])
        if shift.practicals >= LEAST_OF_A_PIECE
    ]
    adjusted = dict(
        zip(judged, holm(np.array([p_values[kind][place] for kind, place in judged])), strict=True)
    )
    always = _always_together(runs)
    t = student_two_sided(dof)

    def shown(kind: str, place: int, shift: PieceShift) -> PieceShift:
        p = adjusted.get((kind, place))
        if p is None:
            return shift
        effect, u = fit.groupings[kind].effects[place], fit.groupings[kind].u_effects[place]
        perhaps = Verdict.PERHAPS if p_values[kind][place] <= SURE else Verdict.NOTHING
        return PieceShift(
            shift.piece,
            Verdict.SURELY if p <= SURE else perhaps,
            shift.practicals,
            shift.runs,
            shift.fall_m,
            shift.warming_K,
            float(effect),
            (float(effect - t * u), float(effect + t * u)),
            always.get((kind, shift.piece), ()),
        )

    return {
        kind: KindShifts(
            tuple(shown(kind, place, shift) for place, shift in enumerate(told[kind])), fit.groupings[kind].sd
        )
        for kind in asked
    }


def p_of_no_effect(grouping: GroupEffects, dof: int) -> Floats:
    """Two-sided, of each group's having no effect (see the top of this file)."""
    drawn = np.clip(1.0 - (grouping.u_effects / grouping.sd) ** 2, 1e-12, None)
    z = grouping.effects / (grouping.u_effects * np.sqrt(drawn))
    return np.asarray(2.0 * stdtr(dof, -np.abs(z)), dtype=np.float64)


def _always_together(runs: Sequence[RunWithPieces]) -> dict[tuple[str, int], tuple[int, ...]]:
    """The pieces of other kinds that were used at the very same benches, for each piece that has some."""
    places: dict[tuple[str, int], set[tuple[int, int]]] = {}
    for run in runs:
        for piece in run.pieces:
            places.setdefault(piece, set()).add((run.practical, run.bench))
    by_places: dict[frozenset[tuple[int, int]], list[tuple[str, int]]] = {}
    for piece, where in places.items():
        by_places.setdefault(frozenset(where), []).append(piece)
    return {
        piece: tuple(number for kind, number in alike if kind != piece[0])
        for alike in by_places.values()
        for piece in alike
        if len(alike) > 1
    }
