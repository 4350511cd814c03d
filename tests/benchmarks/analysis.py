"""What the analysis costs, in processor time.

    python -m tests.benchmarks.analysis [--rounds 200] [--rows 1000000]

1. A class of 16 benches × 3 runs: the whole of `analyse_class`. Beside it the same class with three slips in
   it, which is compared with care, searched for the slips and worked out twice.
2. A million runs of an archive: c* with its budget and interval, against pandas reading the same runs from
   CSV.

Medians of several rounds; in the second, rounds alternate between the two sides.
"""

from __future__ import annotations

import argparse
import io
import time
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pandas as pd

from app.analysis.analyse import analyse_class
from app.analysis.readings import RunReadings
from app.physics.uncertainty import apparent_heat_capacities
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


def with_slips(runs: list[RunReadings]) -> list[RunReadings]:
    """The class with one length in the wrong unit, two temperatures exchanged and turns counted twice."""
    runs = list(runs)
    runs[4] = replace(runs[4], tube_length_m=100.0 * runs[4].tube_length_m)
    start, end = runs[20].start_temperature_C, runs[20].end_temperature_C
    runs[20] = replace(runs[20], start_temperature_C=end, end_temperature_C=start)
    runs[33] = replace(runs[33], inversions=2 * runs[33].inversions)
    return runs


def one_class(rounds: int) -> float:
    """Prints and returns the seconds of a class with three slips."""
    runs = simulated_runs(1, benches=16)
    slips = with_slips(runs)
    clean, odd = _alternate(rounds, lambda: analyse_class(runs, LEAD), lambda: analyse_class(slips, LEAD))
    print(f"one class of 16 benches x 3 runs, processor time, median of {rounds}:")
    print(f"  the whole analysis    {1e3 * clean:8.3f} ms")
    print(f"  with three slips      {1e3 * odd:8.3f} ms     (aim: at most 200)")
    return odd


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
        return apparent_heat_capacities(
            frame["tube_length_cm"].to_numpy() / 100,
            frame["end_allowance_cm"].to_numpy() / 100,
            frame["inversions"].to_numpy(),
            frame["start_temperature_C"].to_numpy(),
            frame["end_temperature_C"].to_numpy(),
            thermometer_step_K=LEAD.thermometer_step_K,
            reading_sd_K=LEAD.reading_sd_K,
            u_length_m=LEAD.length_sd_m,
            gravity_m_per_s2=LEAD.gravity_m_per_s2,
            u_gravity_m_per_s2=LEAD.u_gravity_m_per_s2,
        )

    spent_reading, spent = _alternate(3, read, ours)
    ratio = spent / spent_reading
    print(f"{rows} runs of an archive, processor time, median of 3:")
    print(f"  pandas read_csv       {spent_reading:8.3f} s")
    print(f"  c*, u(c*)             {spent:8.3f} s")
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
