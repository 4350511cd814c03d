"""What the analysis costs beside general libraries on the same data, measured in turn in one process.

    python -m tests.benchmarks.analysis [--rounds 200] [--rows 1000000]

1. A class of 16 benches × 3 runs: the whole of `analyse_class` (run uncertainties, pooling by three
   methods, line, spread, flags, separated heat, ledger) against one odrpack fit of a line through the
   origin and one statsmodels `combine_effects` (Paule–Mandel) of the same class. No field of the result
   may be put off until it is looked at. Beside it the same class with three slips in it, which is
   compared with care, searched for the slips and worked out twice.
2. A million runs of an archive: c*, u(c*) and modified-z flags per practical, against pandas reading the
   same runs from CSV.

Figures are processor times; rounds alternate between the two sides, medians are compared.
"""

from __future__ import annotations

import argparse
import io
import time
from collections.abc import Callable
from dataclasses import fields, is_dataclass, replace

import numpy as np
import pandas as pd
from odrpack import odr_fit
from statsmodels.stats.meta_analysis import combine_effects

from app.analysis.analyse import analyse_class
from app.analysis.bench_table import bench_table
from app.analysis.columns import columns
from app.analysis.results import RunReadings
from app.analysis.views.archive import archive_figures
from tests.analysis.classes import LEAD, simulated_runs


def _alternate(rounds: int, *sides: Callable[[], object]) -> list[float]:
    """Median processor seconds of each side."""
    for side in sides:
        for _ in range(5):
            side()
    times: list[list[float]] = [[] for _ in sides]
    for _ in range(rounds):
        for side, spent in zip(sides, times, strict=True):
            began = time.process_time_ns()
            side()
            spent.append((time.process_time_ns() - began) / 1e9)
    return [float(np.median(spent)) for spent in times]


def _nothing_put_off(value: object) -> None:
    """Fails where a field of a result is not there yet but would be worked out when looked at."""
    if isinstance(value, tuple):
        for item in value:
            _nothing_put_off(item)
    elif is_dataclass(value):
        assert set(vars(value)) == {field.name for field in fields(value)}
        for item in vars(value).values():
            _nothing_put_off(item)
    else:
        assert value is None or isinstance(value, (str, float, int, dict)), type(value)


def with_slips(runs: list[RunReadings]) -> list[RunReadings]:
    """The class with one length in the wrong unit, two temperatures exchanged and turns counted twice."""
    runs = list(runs)
    runs[4] = replace(runs[4], tube_length_m=100.0 * runs[4].tube_length_m)
    start, end = runs[20].start_temperature_C, runs[20].end_temperature_C
    runs[20] = replace(runs[20], start_temperature_C=end, end_temperature_C=start)
    runs[33] = replace(runs[33], inversions=2 * runs[33].inversions)
    return runs


def one_class(rounds: int) -> float:
    """Prints and returns the ratio of ours to the two library calls."""
    runs = simulated_runs(1, benches=16)
    cols = columns(runs, LEAD)
    table = bench_table(cols, LEAD)
    assert table is not None
    e, w = cols.energy, cols.warming
    weight_x = (e * cols.u_fall / cols.fall) ** -2.0
    weight_y = np.full(len(w), cols.u_warming**-2.0)
    start = np.array([1 / 200.0])

    def line(x: np.ndarray, beta: np.ndarray) -> np.ndarray:
        return beta[0] * x

    def fit() -> object:
        return odr_fit(line, e, w, start, weight_x=weight_x, weight_y=weight_y)

    def combine() -> object:
        return combine_effects(table.slope, table.variance, method_re="iterated")

    slips = with_slips(runs)
    _nothing_put_off(analyse_class(runs, LEAD))
    _nothing_put_off(analyse_class(slips, LEAD))
    ours, odr, pooled = _alternate(rounds, lambda: analyse_class(runs, LEAD), fit, combine)
    with_three, odr_again, pooled_again = _alternate(rounds, lambda: analyse_class(slips, LEAD), fit, combine)
    ratio = ours / (odr + pooled)
    print(f"one class of 16 benches x 3 runs, processor time, median of {rounds}:")
    print(f"  odrpack fit           {1e3 * odr:8.3f} ms")
    print(f"  combine_effects       {1e3 * pooled:8.3f} ms")
    print(f"  the whole of ours     {1e3 * ours:8.3f} ms")
    print(f"  ours / (both)         {ratio:8.2f}     (aim: at most 1)")
    again = with_three / (odr_again + pooled_again)
    print(f"  ours, three slips     {1e3 * with_three:8.3f} ms, {again:.2f} times both")
    return ratio


def archive(rows: int) -> float:
    """Prints and returns the ratio of ours to reading the table."""
    rng = np.random.default_rng(3)
    frame = pd.DataFrame(
        {
            "practical": np.repeat(np.arange(rows // 40 + 1), 40)[:rows],
            "bench": rng.integers(1, 17, rows),
            "shot_mass_g": rng.integers(240, 880, rows),
            "tube_length_cm": np.full(rows, 100.0),
            "end_allowance_cm": np.full(rows, 8.0),
            "inversions": np.full(rows, 50),
            "start_temperature_C": np.round(rng.normal(19, 0.5, rows), 1),
        }
    )
    frame["end_temperature_C"] = np.round(frame["start_temperature_C"] + rng.normal(2.4, 0.12, rows), 1)
    text = frame.to_csv(index=False)

    def read() -> object:
        return pd.read_csv(io.StringIO(text))

    def ours() -> object:
        return archive_figures(
            frame["practical"].to_numpy(),
            frame["tube_length_cm"].to_numpy() / 100,
            frame["end_allowance_cm"].to_numpy() / 100,
            frame["inversions"].to_numpy(),
            frame["start_temperature_C"].to_numpy(),
            frame["end_temperature_C"].to_numpy(),
        )

    spent_reading, spent = _alternate(3, read, ours)
    ratio = spent / spent_reading
    print(f"{rows} runs of an archive, processor time, median of 3:")
    print(f"  pandas read_csv       {spent_reading:8.3f} s")
    print(f"  c*, u(c*), flags      {spent:8.3f} s")
    print(f"  ours / reading        {ratio:8.2f}     (aim: at most 2)")
    return ratio


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--rounds", type=int, default=200)
    parser.add_argument("--rows", type=int, default=1_000_000)
    options = parser.parse_args()
    one_class(options.rounds)
    archive(options.rows)


if __name__ == "__main__":
    main()
