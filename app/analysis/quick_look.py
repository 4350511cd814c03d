"""Whether a class is so quiet that no run can be flagged: then the careful comparison is spared.

Most classes are. Every run, set aside or not, must be possible, like the others in its inputs, between the
bounds of every check with room to spare, and within 2.5 standard deviations (thermometer and the least
technique together) of the fit over all benches. If anything at all is further off, the robust comparison
of `typical`, `input_checks` and `flags` decides as if there were no quick look.
"""

from __future__ import annotations

import numpy as np

from app.analysis import columns
from app.analysis.bench_table import BenchTable
from app.analysis.columns import Columns
from app.analysis.impossible import POSSIBLE
from app.analysis.mass_line import MassLine, mass_line, masses_differ
from app.analysis.results import ClassSettings
from app.analysis.thermometer_marks import between_marks
from app.analysis.typical import TECHNIQUE_FLOOR

QUIET_SCORE = 2.5
"""Below the least score of a flag, 3.0, with room to spare (our own choice)."""


def quiet_class(
    cols: Columns, table: BenchTable | None, settings: ClassSettings
) -> tuple[bool, MassLine | None]:
    """(True, the benches' line in 1/m if their masses differ), or (False, None): a closer look is due."""
    if table is None or len(cols.runs) < 2 or not _inputs_alike(cols, table, settings):
        return False, None
    energy, slope = cols.energy, table.slope
    accepted = settings.accepted_J_per_kg_K
    if masses_differ(table):
        start = _start(table)
        line = None if start is None else mass_line(table, start)
        if line is None or line.line.beta1 < 0.97 * accepted:  # room to spare: our own choice
            return False, None
        expected = energy / (line.line.beta1 + line.line.beta2 / cols.mass)
    else:
        mean = float(slope.sum()) / len(slope)
        line = None
        if not 0.0 < mean < 1.0 / (0.97 * accepted):  # room to spare: our own choice
            return False, None
        expected = energy * mean
    scale2 = cols.u_warming**2 + (TECHNIQUE_FLOOR * expected) ** 2
    off = cols.warming - expected
    quiet = float((off * off / scale2).max()) <= QUIET_SCORE**2 and float(cols.warming.min()) > 1e-6
    return (True, line) if quiet else (False, None)


def _inputs_alike(cols: Columns, table: BenchTable, settings: ClassSettings) -> bool:
    """Whether every reading is possible and nowhere near the bounds of the input checks."""
    least, most = cols.table.min(axis=1).tolist(), cols.table.max(axis=1).tolist()
    for low, high, (smallest, largest) in zip(least, most, POSSIBLE, strict=True):
        if low < smallest or high > largest:
            return False
    turns, length = columns.INVERSIONS, columns.LENGTH
    masses = sorted(table.mass.tolist())
    middle = 0.5 * (masses[(len(masses) - 1) // 2] + masses[len(masses) // 2])
    alike = (
        most[turns] < 1.5 * least[turns]  # below every bound of `input_checks`: our own choice
        and most[length] < 1.3 * least[length]  # as above: our own choice
        and most[columns.START] - least[columns.START] < 8.0  # as above: our own choice
        # As above: our own choice.
        and most[columns.ALLOWANCE] - least[columns.ALLOWANCE] < 0.05 * least[length]
        and most[columns.MASS] < 2.5 * middle  # as above: our own choice
        and middle < 2.5 * least[columns.MASS]  # as above: our own choice
    )
    if not alike:
        return False
    counts = cols.table[turns]
    same = most[turns] == least[turns] and most[turns].is_integer()
    if not same and not bool((counts == np.rint(counts)).all()):
        return False
    step = settings.thermometer_step_K
    return step <= 0.0 or not bool(between_marks(cols, step).any())


def _start(table: BenchTable) -> tuple[float, float] | None:
    """Least squares of the relative residuals s(c + C/m) − 1, linear in c and C."""
    rows = np.ones((3, len(table)))
    rows[0] = table.slope
    np.multiply(table.slope, table.per_mass, out=rows[1])
    (s11, s12, t1), (_, s22, t2), _ = rows.dot(rows.T).tolist()
    det = s11 * s22 - s12 * s12
    if not det > 1e-9 * s11 * s22:
        return None
    return (s22 * t1 - s12 * t2) / det, (s11 * t2 - s12 * t1) / det
