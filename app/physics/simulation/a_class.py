"""A class that never was: simulated readings with everything known that a real class hides.

Each fall is taken in turn: its energy warms shot and heat sink together, and what they are above the room
leaks away before the next fall. No closed formula of the fits is used, so the fits can be tried on it.
All chance comes from the generator that is passed in: the same generator state gives the same class.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from app.physics.energy import (
    STANDARD_GRAVITY_M_PER_S2,
    expected_warming,
    fall,
    specific_fall_energy,
    start_below_room,
)
from app.physics.planned import counts_of_runs
from app.physics.run import LabelledReadings
from app.physics.simulation.slips import with_slip

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class SimulatedBench:
    """What one bench is given to do. `start_temperature_C` None: half the warming below the room.

    `second_inversions` is the count of the second run, where it is another one. `slips` names the slip of a
    run by its number, counted from 1 (keys of `app.physics.simulation.slips.SLIPS`).

    `shot_mass_kg`, `inversions`, `runs`, `tube_length_m` and `end_allowance_m` are those of a usual school
    tube (common practice, no source).
    """

    bench: str
    shot_mass_kg: float = 0.4
    inversions: int = 50
    runs: int = 3
    tube_length_m: float = 1.0
    end_allowance_m: float = 0.05
    second_inversions: int | None = None
    start_temperature_C: float | None = None
    slips: Mapping[int, str] = field(default_factory=lambda: MappingProxyType({}))

    @property
    def counts(self) -> tuple[int, ...]:
        """The count of each run."""
        return counts_of_runs(self.inversions, self.second_inversions, self.runs)


@dataclass(frozen=True)
class SimulatedPractical:
    """The truth of a simulated class.

    `technique_sd_bench` and `technique_sd_run` are relative standard deviations of the energy that reaches
    the shot, per bench and per run. `heat_leak_per_inversion` is λ in m·e = (m·c + C)·w + m·λ·N·θ, in
    J/(kg·K). A bench's thermometer reads `thermometer_offset_sd_K` off, the same at start and end.

    `heat_capacity_J_per_kg_K` is lead's in the CRC Handbook.

    `room_temperature_C`, `heat_sink_J_per_K` and `thermometer_step_K` are those of a usual school kit,
    `length_sd_m` and `balance_step_kg` what a rule and a balance are read to (common practice, no source).

    `technique_sd_bench`, `technique_sd_run` and `start_spread_K` are invented: no published figure is known.
    """

    benches: tuple[SimulatedBench, ...]
    heat_capacity_J_per_kg_K: float = 127.4
    heat_sink_J_per_K: float = 20.0
    heat_leak_per_inversion: float = 0.0
    gravity_m_per_s2: float = STANDARD_GRAVITY_M_PER_S2
    room_temperature_C: float = 21.0
    technique_sd_bench: float = 0.03
    technique_sd_run: float = 0.01
    mean_technique: float = 1.0
    thermometer_step_K: float = 0.1
    thermometer_offset_sd_K: float = 0.0
    reading_sd_K: float = 0.0
    length_sd_m: float = 0.001
    balance_step_kg: float = 0.001
    start_spread_K: float = 0.3
    gives_room_temperature: bool = True


@dataclass(frozen=True)
class SimulatedRun:
    """One run as recorded, and beside it the truth."""

    recorded: LabelledReadings
    as_read: LabelledReadings
    slip: str | None
    true_warming_K: float
    true_specific_energy_J_per_kg: float
    true_heat_sink_share: float
    """Share of the fall energy that the heat sink took, from 0 to 1."""


def simulate_class(rng: np.random.Generator, practical: SimulatedPractical) -> list[SimulatedRun]:
    """All runs of all benches, in bench order, with the slips that were asked for.

    Raises ValueError for a practical that cannot be (no bench, mass or specific heat capacity not
    positive, …).
    """
    _check(practical)
    row = [bench for bench in practical.benches for _ in range(bench.runs)]
    bench_of = np.repeat(np.arange(len(practical.benches)), [bench.runs for bench in practical.benches])
    energy = _effective_energy(rng, practical, row, bench_of)
    mass = np.array([bench.shot_mass_kg for bench in row])
    counts = np.array([count for bench in practical.benches for count in bench.counts])
    start = _starts(rng, practical, row)
    end, into_sink = _tip(practical, start, energy, mass, counts)
    offsets = rng.standard_normal(len(practical.benches)) * practical.thermometer_offset_sd_K
    shown_start = _shown(rng, practical, start + offsets[bench_of])
    shown_end = _shown(rng, practical, end + offsets[bench_of])
    lengths = _measured_lengths(rng, practical)
    numbers = [number for bench in practical.benches for number in range(1, bench.runs + 1)]
    runs = []
    for i, (bench, number) in enumerate(zip(row, numbers, strict=True)):
        as_read = LabelledReadings(
            bench=bench.bench,
            run=str(number),
            shot_mass_kg=_to_step(bench.shot_mass_kg, practical.balance_step_kg),
            tube_length_m=float(lengths[bench_of[i]]),
            end_allowance_m=bench.end_allowance_m,
            inversions=float(counts[i]),
            start_temperature_C=float(shown_start[i]),
            end_temperature_C=float(shown_end[i]),
            room_temperature_C=practical.room_temperature_C if practical.gives_room_temperature else None,
        )
        slip = bench.slips.get(number)
        runs.append(
            SimulatedRun(
                recorded=as_read if slip is None else with_slip(rng, as_read, slip),
                as_read=as_read,
                slip=slip,
                true_warming_K=float(end[i] - start[i]),
                true_specific_energy_J_per_kg=float(energy[i] * counts[i]),
                true_heat_sink_share=float(into_sink[i]),
            )
        )
    return runs


def _effective_energy(
    rng: np.random.Generator,
    practical: SimulatedPractical,
    row: list[SimulatedBench],
    bench_of: NDArray[np.intp],
) -> Floats:
    """Energy of one fall that reaches the shot, J/kg, with the technique of bench and run; never negative."""
    fall_m = np.array([bench.tube_length_m - bench.end_allowance_m for bench in row])
    of_bench = rng.standard_normal(len(practical.benches)) * practical.technique_sd_bench
    of_run = rng.standard_normal(len(row)) * practical.technique_sd_run
    technique = practical.mean_technique * (1 + of_bench[bench_of] + of_run)
    return np.asarray(practical.gravity_m_per_s2 * fall_m * np.maximum(technique, 0.0))


def _starts(rng: np.random.Generator, practical: SimulatedPractical, row: list[SimulatedBench]) -> Floats:
    """True start temperatures; where none was planned, half the lossless warming below the room."""
    planned = []
    for bench in row:
        if bench.start_temperature_C is not None:
            planned.append(bench.start_temperature_C)
            continue
        fall_m = fall(bench.tube_length_m, bench.end_allowance_m)
        energy = specific_fall_energy(fall_m, bench.inversions, practical.gravity_m_per_s2)
        lossless = expected_warming(
            energy, bench.shot_mass_kg, practical.heat_capacity_J_per_kg_K, practical.heat_sink_J_per_K
        )
        planned.append(practical.room_temperature_C - start_below_room(lossless))
    return np.array(planned) + rng.standard_normal(len(row)) * practical.start_spread_K


def _tip(
    practical: SimulatedPractical, start: Floats, energy: Floats, mass: Floats, counts: NDArray[np.int64]
) -> tuple[Floats, Floats]:
    """Fall after fall, all runs side by side: end temperature and the heat sink's share of the energy."""
    c, sink = practical.heat_capacity_J_per_kg_K, practical.heat_sink_J_per_K
    temperature = start.copy()
    sink_heat_J = np.zeros_like(start)
    for fall_number in range(int(counts.max(initial=0))):
        still_tipping = counts > fall_number
        above_room = temperature - practical.room_temperature_C
        heat_J = mass * energy - mass * practical.heat_leak_per_inversion * above_room
        step_K = np.where(still_tipping, heat_J / (mass * c + sink), 0.0)
        temperature = temperature + step_K
        sink_heat_J += sink * step_K
    given_J = mass * energy * counts
    share = np.divide(sink_heat_J, given_J, out=np.zeros_like(start), where=given_J > 0)
    return temperature, share


def _shown(rng: np.random.Generator, practical: SimulatedPractical, true_C: Floats) -> Floats:
    """What the bench reads off: the reader's error, then the nearest mark of the scale."""
    read = true_C + rng.standard_normal(len(true_C)) * practical.reading_sd_K
    step = practical.thermometer_step_K
    return np.round(np.round(read / step) * step, 9) if step > 0 else read


def _measured_lengths(rng: np.random.Generator, practical: SimulatedPractical) -> Floats:
    """Each bench measures its tube once, to the millimetre."""
    true_m = np.array([bench.tube_length_m for bench in practical.benches])
    return np.round(true_m + rng.standard_normal(len(true_m)) * practical.length_sd_m, 3)


def _to_step(value: float, step: float) -> float:
    return round(round(value / step) * step, 9) if step > 0 else value


def _check(practical: SimulatedPractical) -> None:
    if not practical.benches:
        raise ValueError("a simulated class needs at least one bench")
    if not (practical.heat_capacity_J_per_kg_K > 0 and practical.heat_sink_J_per_K >= 0):
        raise ValueError("the specific heat capacity must be positive and the heat sink not negative")
    for bench in practical.benches:
        if not (bench.shot_mass_kg > 0 and bench.runs >= 1 and min(bench.counts) >= 1):
            raise ValueError(f"bench {bench.bench}: mass, inversions and runs must be positive")
        if not bench.tube_length_m > bench.end_allowance_m >= 0:
            raise ValueError(f"bench {bench.bench}: the end allowance must leave a fall")
