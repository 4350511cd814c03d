"""Do the intervals, flags and named slips keep their promises? Simulated classes whose truth is known.

    python -m tests.benchmarks.calibration [--classes 1000] [--processes 2] [--quick] [--seed 1] [--one-tube]

Settings cross benches {4, 6, 8, 12, 16}, runs {1, 3}, thermometer step {0.1, 0.5} K, bench technique sd
{0.02, 0.06} and heat sink {0, 45} J/K. Each class has tubes and a count of its own, as classes have: 0.8 to
1.2 m and 40 to 60 inversions, alike for its benches. (With one tube and one count for all classes of a
setting, `--one-tube`, all of them warm by the same few thermometer steps, and a coarse thermometer's rounding
is then the same accident a thousand times over: no average over classes but one point of it.) Every class is
made twice: with one mass for all (true apparent
value c + C/m) and with four masses in turn, 0.24 to 0.88 kg (true apparent value of the class with its own
masses, benches counted alike: k/Σ 1/(c + C/m); true specific heat capacity c). In a third copy of the class
with four masses one run carries a planted slip. The simulator steps from fall to fall and shares no formula
with the analysis. `--quick` makes 60 classes per setting.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections import Counter
from dataclasses import dataclass, field, replace
from itertools import product
from multiprocessing import get_context
from typing import Any

import numpy as np

from app.analysis.analyse import analyse_class
from app.analysis.readings import ClassSettings, RunReadings
from app.analysis.results import ClassResult
from app.physics.simulation.a_class import SimulatedBench, SimulatedPractical, SimulatedRun, simulate_class
from app.physics.simulation.slips import SLIPS
from tests.even_class import even_class

C_TRUE = 127.4
MASSES_KG = (0.24, 0.45, 0.67, 0.88)
ONE_MASS_KG = 0.5
BENCH = SimulatedBench("", end_allowance_m=0.08)


@dataclass(frozen=True)
class Setting:
    """One cell of the grid."""

    benches: int
    runs: int
    step_K: float
    technique: float
    sink_J_per_K: float

    def practical(self, masses: tuple[float, ...], bench: SimulatedBench) -> SimulatedPractical:
        return SimulatedPractical(
            benches=even_class(self.benches, self.runs, masses, bench),
            heat_capacity_J_per_kg_K=C_TRUE,
            heat_sink_J_per_K=self.sink_J_per_K,
            technique_sd_bench=self.technique,
            thermometer_step_K=self.step_K,
        )

    def settings(self) -> ClassSettings:
        return ClassSettings(accepted_J_per_kg_K=C_TRUE, thermometer_step_K=self.step_K)


GRID = tuple(
    Setting(*cell) for cell in product((4, 6, 8, 12, 16), (1, 3), (0.1, 0.5), (0.02, 0.06), (0.0, 45.0))
)


@dataclass
class Tally:
    """What was counted in one setting; slips by kind."""

    setting: Setting
    counts: Counter[str] = field(default_factory=Counter)
    errors: list[float] = field(default_factory=list)
    widths: list[float] = field(default_factory=list)

    def share(self, part: str, whole: str) -> float | None:
        return self.counts[part] / self.counts[whole] if self.counts[whole] else None


def run_setting(task: tuple[Setting, int, int, bool]) -> Tally:
    """Simulate and analyse `classes` classes of one setting."""
    setting, classes, seed, one_tube = task
    tally = Tally(setting)
    rng = np.random.default_rng([seed, GRID.index(setting)])
    settings = setting.settings()
    kinds = tuple(SLIPS)
    for number in range(classes):
        bench = BENCH if one_tube else _some_bench(rng)
        one = _runs(simulate_class(rng, setting.practical((ONE_MASS_KG,), bench)))
        result = analyse_class(one, settings)
        _count_value(tally, "one", result, C_TRUE + setting.sink_J_per_K / ONE_MASS_KG)
        _count_clean(tally, result)
        four = _runs(simulate_class(rng, setting.practical(MASSES_KG, bench)))
        result = analyse_class(four, settings)
        masses = [run.shot_mass_kg for run in four]
        _count_value(
            tally,
            "four",
            result,
            1.0 / float(np.mean([1.0 / (C_TRUE + setting.sink_J_per_K / m) for m in masses])),
        )
        _count_separated(tally, result)
        _count_clean(tally, result)
        _count_slip(tally, rng, setting, four, kinds[number % len(kinds)])
    return tally


def _some_bench(rng: np.random.Generator) -> SimulatedBench:
    """The tube and the count that all benches of one class have."""
    return replace(BENCH, tube_length_m=round(rng.uniform(0.8, 1.2), 3), inversions=int(rng.integers(40, 61)))


def _runs(simulated: list[SimulatedRun]) -> list[RunReadings]:
    return [RunReadings(**vars(run.recorded)) for run in simulated]


def _count_value(tally: Tally, name: str, result: ClassResult, truth: float) -> None:
    value = result.class_value
    tally.counts[f"{name} classes"] += 1
    if value is not None and value.interval_95 is not None:
        tally.counts[f"{name} intervals"] += 1
        tally.counts[f"{name} covered"] += value.interval_95[0] <= truth <= value.interval_95[1]


def _count_separated(tally: Tally, result: ClassResult) -> None:
    apart = result.separated
    if apart.interval_95 is None or apart.heat_capacity_J_per_kg_K is None:
        return
    tally.counts["separated"] += 1
    tally.counts["separated covered"] += apart.interval_95[0] <= C_TRUE <= apart.interval_95[1]
    tally.errors.append(abs(apart.heat_capacity_J_per_kg_K / C_TRUE - 1.0))
    tally.widths.append((apart.interval_95[1] - apart.interval_95[0]) / 2 / C_TRUE)


def _count_clean(tally: Tally, result: ClassResult) -> None:
    for run in result.runs:
        tally.counts["clean runs"] += 1
        tally.counts["clean flagged"] += bool(run.flags)
        tally.counts["clean slips"] += run.suspected_slip is not None
        for flag in run.flags:
            tally.counts[f"clean rule {flag.rule}"] += 1


def _count_slip(
    tally: Tally, rng: np.random.Generator, setting: Setting, clean: list[RunReadings], kind: str
) -> None:
    """Plant one slip in one run; count it if it moves c* by more than 40 % (or takes it away)."""
    at = int(rng.integers(len(clean)))
    slipped: Any = SLIPS[kind](rng, clean[at])
    before, after = _apparent(clean[at]), _apparent(slipped)
    if before is None or (after is not None and abs(after / before - 1.0) <= 0.4):
        return
    result = analyse_class([*clean[:at], slipped, *clean[at + 1 :]], setting.settings())
    run = result.runs[at]
    named = None if run.suspected_slip is None else run.suspected_slip.slip
    for name in ("all", kind):
        tally.counts[f"slips {name}"] += 1
        tally.counts[f"slips {name} flagged"] += bool(run.flags)
        tally.counts[f"slips {name} named"] += named == kind
        tally.counts[f"slips {name} named wrong"] += named not in (None, kind)


def _apparent(run: RunReadings) -> float | None:
    warming = run.end_temperature_C - run.start_temperature_C
    fall = run.tube_length_m - run.end_allowance_m
    return fall * run.inversions / warming if warming > 0 and fall > 0 else None


def _percent(value: float | None) -> str:
    return "   –  " if value is None else f"{100 * value:6.2f}"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--classes", type=int, default=1000)
    parser.add_argument("--processes", type=int, default=min(2, os.cpu_count() or 1))
    parser.add_argument("--quick", action="store_true", help="60 classes per setting")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--benches", type=int, nargs="*", help="only these numbers of benches")
    parser.add_argument("--one-tube", action="store_true", help="the same tube and count in every class")
    options = parser.parse_args()
    classes = 60 if options.quick else options.classes
    grid = [cell for cell in GRID if not options.benches or cell.benches in options.benches]
    tasks = [(cell, classes, options.seed, options.one_tube) for cell in grid]
    print(f"{classes} classes per setting, {len(grid)} settings; all figures but the counts in percent")
    print("k  n step  sd   C |  one   four  separ | med.err half-w | flagged slips | sl.flag named wrong")
    tallies = []
    with get_context("spawn").Pool(options.processes) as pool:
        for tally in pool.imap(run_setting, tasks):
            tallies.append(tally)
            _print_row(tally)
            sys.stdout.flush()
    _print_totals(tallies)


def _print_row(tally: Tally) -> None:
    s = tally.setting
    print(
        f"{s.benches:2d} {s.runs} {s.step_K:.1f} {s.technique:.2f} {s.sink_J_per_K:3.0f} |"
        f"{_percent(tally.share('one covered', 'one intervals'))}"
        f"{_percent(tally.share('four covered', 'four intervals'))}"
        f"{_percent(tally.share('separated covered', 'separated'))} |"
        f"{_percent(float(np.median(tally.errors)) if tally.errors else None)}"
        f"{_percent(float(np.median(tally.widths)) if tally.widths else None)} |"
        f"{_percent(tally.share('clean flagged', 'clean runs'))}"
        f"{_percent(tally.share('clean slips', 'clean runs'))} |"
        f"{_percent(tally.share('slips all flagged', 'slips all'))}"
        f"{_percent(tally.share('slips all named', 'slips all'))}"
        f"{_percent(tally.share('slips all named wrong', 'slips all'))}"
    )


def _print_totals(tallies: list[Tally]) -> None:
    print()
    for name, part, whole, least in (
        ("class value, one mass, 6 benches and more", "one covered", "one intervals", 6),
        ("class value, four masses, 6 benches and more", "four covered", "four intervals", 6),
        ("separated, 8 benches and more", "separated covered", "separated", 8),
    ):
        shares = [
            t.share(part, whole) for t in tallies if t.setting.benches >= least and t.counts[whole] > 20
        ]
        known = [share for share in shares if share is not None]
        if known:
            inside = sum(0.93 <= share <= 0.975 for share in known)
            print(
                f"{name}: coverage {100 * min(known):.1f} to {100 * max(known):.1f} %, mean "
                f"{100 * float(np.mean(known)):.1f} %; {inside} of {len(known)} settings within 93 to 97.5 %"
            )
    total: Counter[str] = sum((t.counts for t in tallies), Counter())
    clean = max(total["clean runs"], 1)
    print(
        f"clean runs flagged: {100 * total['clean flagged'] / clean:.3f} % of {clean}; "
        f"slip suspected in {100 * total['clean slips'] / clean:.4f} %"
    )
    for key in sorted(total):
        if key.startswith("clean rule"):
            print(f"    {key[11:]:<34} {100 * total[key] / total['clean runs']:.3f} %")
    print(f"{'planted slips that move c* by more than 40 %:':<62}   number  flagged  named  wrong")
    _print_slips("all", "all", total)
    # With fewer than five runs nothing is compared: only the impossible is flagged.
    enough = [t.counts for t in tallies if t.setting.benches * t.setting.runs >= 5]
    compared: Counter[str] = sum(enough, Counter())
    for kind in ("all", *SLIPS):
        _print_slips(kind, f"{kind}, classes of five runs and more", compared)


def _print_slips(kind: str, name: str, counts: Counter[str]) -> None:
    number = counts[f"slips {kind}"]
    if number:
        print(
            f"    {name:<58} {number:8d}  {100 * counts[f'slips {kind} flagged'] / number:6.2f} "
            f"{100 * counts[f'slips {kind} named'] / number:6.2f} "
            f"{100 * counts[f'slips {kind} named wrong'] / number:6.2f}"
        )


if __name__ == "__main__":
    main()
