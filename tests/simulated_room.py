"""A simulated class as it really comes: weighed masses, free counts, settled shot, a room, unnoticed slips.

Beside `app.physics.simulation` (an ideal class with planted slips) this one has what makes real rooms hard.
It goes fall by fall: each fall's energy warms shot and sink together, and before the next one the tube's
surface loses heat to the room. No formula of the fits is used. All chance comes from the generator that is
passed in.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from app.physics.energy import STANDARD_GRAVITY_M_PER_S2, settled_depth, warming_by_tube
from app.physics.run import LabelledReadings
from app.physics.simulation.slips import with_slip

Floats = NDArray[np.float64]

UNDECIDED_SLIPS = ("inversions-halved", "inversions-doubled", "temperatures-swapped", "end-temperature")
"""What stands for a slip here; the last one is an end temperature 1.5 to 4 K off, either way."""
LEAST_COUNT = 5  # invented
WITH_THE_SHOT, AT_ROOM, AS_LEFT = "with the shot", "at room temperature", "as the last run left it"
"""What a bench's tube starts a run at; the first run of a tube that is used as left finds it at room
temperature."""


@dataclass(frozen=True)
class Room:
    """The truth of a class. Masses are dealt out in turn; relative spreads are standard deviations.

    `start_above_room_K` None: each bench starts half its expected warming below the room. `heavy_tails` draws
    technique from Student's t with 3 degrees of freedom, scaled to the same standard deviation.
    `thermometer_steps_K` are dealt out in turn. `common_technique` is the share of the full fall that
    everybody reaches, `thermometer_scale` what all thermometers read for one kelvin. The depths of the
    settled shot follow from mass and bore; benches measure them (± `depth_sd_m`) or all type
    `one_allowance_m`.

    Counts are free from run to run, or each bench has its own (`bench_counts`), or the class has one
    (`same_count`), or the counts of each run are given (`run_counts`, in every bench, one for each run).
    `with_plan`: each bench was given its mass, its tube and the count of its first run, so that with free
    counts the plan is not kept. `slip_kinds` are drawn from, one for each of `slips` runs. `tubes` are
    lengths and bores dealt out in turn; where there are none, all have `tube_length_m` and `bore_m`.

    `tube_starts` is where tube, caps and cup start: with the shot, or elsewhere; the shot poured in and they
    then come to one temperature. The start is read in the shot before that, or, with `start_read_settled`, in
    the tube afterwards.
    """

    benches: int = 12  # invented
    runs: int = 3  # invented
    masses_kg: tuple[float, ...] = (0.24, 0.45, 0.66, 0.88)  # invented
    mass_spread: float = 0.02  # invented
    heat_capacity_J_per_kg_K: float = 129.0  # lead, rounded; from memory
    density_kg_per_m3: float = 11340.0  # CRC
    heat_sink_J_per_K: float = 45.0  # invented
    sink_spread: float = 0.08  # invented
    leak_J_per_K_per_inversion: float = 0.0
    start_above_room_K: float | None = None
    start_spread_K: float = 0.3  # invented
    room_temperature_C: float = 21.0  # invented
    room_known: bool = True
    technique_sd_bench: float = 0.02  # invented
    technique_sd_run: float = 0.02  # invented
    heavy_tails: bool = False
    common_technique: float = 1.0
    fewest_inversions: int = 50  # invented
    most_inversions: int = 140  # invented
    same_count: bool = False
    bench_counts: bool = False
    run_counts: tuple[int, ...] = ()
    with_plan: bool = False
    miscounted_share: float = 0.0
    thermometer_steps_K: tuple[float, ...] = (0.1,)  # invented
    reading_sd_K: float = 0.05  # invented
    thermometer_scale: float = 1.0
    tube_length_m: float = 1.0
    length_sd_m: float = 0.002  # invented
    bore_m: float | None = None
    tubes: tuple[tuple[float, float | None], ...] = ()
    packing: float = 0.6  # from memory
    caps_m: float = 0.05  # invented
    depth_sd_m: float = 0.002  # invented
    one_allowance_m: float | None = None
    slips: int = 0
    slip_kinds: tuple[str, ...] = UNDECIDED_SLIPS
    short_bench: float = 0.0
    cup_kg: float = 0.0
    tube_starts: str = WITH_THE_SHOT
    start_read_settled: bool = False


class BenchPlan(NamedTuple):
    """What a bench was given to do."""

    shot_mass_kg: float
    tube_length_m: float
    inversions: float


@dataclass(frozen=True)
class RoomRun:
    """One run as recorded, and beside it the truth; shares are of the energy that the readings say was
    given.

    `as_read` is the run without its slip; `bench_apart` says that its bench falls short or weighs its cup.
    """

    recorded: LabelledReadings
    as_read: LabelledReadings
    plan: BenchPlan | None
    slip: str | None
    bench_apart: bool
    true_mass_kg: float
    true_sink_J_per_K: float
    shot_share: float
    sink_share: float
    thermometer_step_K: float


def simulate_room(rng: np.random.Generator, room: Room) -> list[RoomRun]:
    """All runs of a class, in bench order.

    One bench, drawn at random, falls short by `short_bench` (relative) in all its runs; another one weighs
    its shot with a cup of `cup_kg`. ValueError for a room without benches, runs or masses, or with counts
    that are not one for each run.
    """
    if room.benches < 1 or room.runs < 1 or not room.masses_kg:
        raise ValueError("a class needs benches, runs and masses")
    if room.run_counts and len(room.run_counts) != room.runs:
        raise ValueError("give one count for each run of a bench")
    mass = np.array([room.masses_kg[i % len(room.masses_kg)] for i in range(room.benches)])
    mass = mass * np.maximum(1.0 + room.mass_spread * rng.standard_normal(room.benches), 0.5)
    sink = room.heat_sink_J_per_K * np.maximum(
        1.0 + room.sink_spread * rng.standard_normal(room.benches), 0.0
    )
    true_allowance, typed_allowance = _allowances(rng, room, mass)
    odd = rng.permutation(room.benches)
    technique = 1.0 + room.technique_sd_bench * _scatter(rng, room, room.benches)
    technique[odd[0]] *= 1.0 - room.short_bench
    typed_mass = np.round(mass + np.where(np.arange(room.benches) == odd[-1], room.cup_kg, 0.0), 3)
    tubes = [_tube(room, i) for i in range(room.benches)]
    length_m = np.array([length for length, _ in tubes])
    typed_length = np.round(length_m + room.length_sd_m * rng.standard_normal(room.benches), 3)
    counts = _counts(rng, room)

    bench = np.repeat(np.arange(room.benches), room.runs)
    reached = np.maximum(technique[bench] + room.technique_sd_run * _scatter(rng, room, len(bench)), 0.0)
    fall_m = length_m - true_allowance
    per_fall_J = mass * STANDARD_GRAVITY_M_PER_S2 * fall_m * room.common_technique
    start = _starts(rng, room, (per_fall_J * counts.reshape(room.benches, -1).mean(axis=1)), mass)[bench]
    start = start + room.start_spread_K * rng.standard_normal(len(bench))
    energy_J = per_fall_J[bench] * reached
    settled, end = _from_start_to_end(room, energy_J, mass[bench], sink[bench], counts, start)
    read_at_start = settled if room.start_read_settled else start
    warming = end - settled
    steps = np.array(
        [room.thermometer_steps_K[i % len(room.thermometer_steps_K)] for i in range(room.benches)]
    )
    shown_start = _shown(rng, room, read_at_start, steps[bench])
    shown_end = _shown(rng, room, end, steps[bench])
    wrong = (rng.random(len(bench)) < room.miscounted_share) * rng.choice((-2, -1, 1, 2), len(bench))
    typed_counts = np.maximum(counts + wrong, LEAST_COUNT)
    given_J = (
        mass * STANDARD_GRAVITY_M_PER_S2 * (typed_length - typed_allowance)
    )[bench] * typed_counts  # fmt: skip
    made = []
    for i, b in enumerate(bench.tolist()):
        recorded = LabelledReadings(
            bench=str(b + 1),
            run=str(i % room.runs + 1),
            shot_mass_kg=float(typed_mass[b]),
            tube_length_m=float(typed_length[b]),
            end_allowance_m=float(typed_allowance[b]),
            inversions=float(typed_counts[i]),
            start_temperature_C=float(shown_start[i]),
            end_temperature_C=float(shown_end[i]),
            room_temperature_C=room.room_temperature_C if room.room_known else None,
        )
        shot_J = mass[b] * room.heat_capacity_J_per_kg_K * warming[i]
        planned = _plan(room, b, counts) if room.with_plan else None
        apart = (room.short_bench > 0.0 and b == odd[0]) or (room.cup_kg > 0.0 and b == odd[-1])
        made.append(
            RoomRun(
                recorded=recorded,
                as_read=recorded,
                plan=planned,
                slip=None,
                bench_apart=bool(apart),
                true_mass_kg=float(mass[b]),
                true_sink_J_per_K=float(sink[b]),
                shot_share=float(shot_J / given_J[i]),
                sink_share=float(sink[b] * warming[i] / given_J[i]),
                thermometer_step_K=float(steps[b]),
            )
        )
    for at in rng.permutation(len(made))[: room.slips].tolist():
        slip = room.slip_kinds[int(rng.integers(len(room.slip_kinds)))]
        made[at] = replace(made[at], recorded=_with_undecided(rng, made[at].recorded, slip), slip=slip)
    return made


def _plan(room: Room, bench: int, counts: NDArray[np.int64]) -> BenchPlan:
    mass_kg = room.masses_kg[bench % len(room.masses_kg)]
    return BenchPlan(mass_kg, _tube(room, bench)[0], float(counts[bench * room.runs]))


def _tube(room: Room, bench: int) -> tuple[float, float | None]:
    """Length and bore of a bench's tube."""
    return room.tubes[bench % len(room.tubes)] if room.tubes else (room.tube_length_m, room.bore_m)


def _allowances(rng: np.random.Generator, room: Room, mass: Floats) -> tuple[Floats, Floats]:
    """Each bench's end allowance in metres: the true one, and the one typed."""
    depth: Floats = np.full(room.benches, 0.03)
    for i in range(room.benches):
        bore_m = _tube(room, i)[1]
        if bore_m is not None:
            depth[i] = settled_depth(float(mass[i]), bore_m, room.density_kg_per_m3, room.packing)
    typed: Floats = np.round(room.caps_m + depth + room.depth_sd_m * rng.standard_normal(room.benches), 3)
    if room.one_allowance_m is not None:
        typed = np.full(room.benches, room.one_allowance_m)
    return room.caps_m + depth, np.maximum(typed, 0.0)


def _scatter(rng: np.random.Generator, room: Room, number: int) -> Floats:
    """Standard normal numbers, or Student's t with 3 degrees of freedom over √3: standard deviation 1."""
    if room.heavy_tails:
        return np.asarray(rng.standard_t(3, number) / np.sqrt(3.0))
    return rng.standard_normal(number)


def _counts(rng: np.random.Generator, room: Room) -> NDArray[np.int64]:
    """Inversions of each run: given, each run its own, each bench its own, or one count for all."""
    if room.run_counts:
        return np.tile(np.array(room.run_counts), room.benches)
    size = room.benches * room.runs
    counts = rng.integers(room.fewest_inversions, room.most_inversions + 1, size)
    if room.same_count:
        return np.full(size, counts[0])
    return np.repeat(counts[:: room.runs], room.runs) if room.bench_counts else counts


def _starts(rng: np.random.Generator, room: Room, energy_J: Floats, mass: Floats) -> Floats:
    """Each bench's planned start in °C."""
    if room.start_above_room_K is not None:
        return np.full(room.benches, room.room_temperature_C + room.start_above_room_K)
    warming = energy_J / (mass * room.heat_capacity_J_per_kg_K + room.heat_sink_J_per_K)
    return room.room_temperature_C - warming / 2.0


def _from_start_to_end(
    room: Room, per_fall_J: Floats, mass: Floats, sink: Floats, counts: NDArray[np.int64], shot_C: Floats
) -> tuple[Floats, Floats]:
    """Each run's temperature before the first turn, once shot and tube share one, and after the last turn.

    A bench's runs come one after the other, those of all benches side by side.
    """
    shot_J_per_K = mass * room.heat_capacity_J_per_kg_K
    settled, end = shot_C.copy(), shot_C.copy()
    tube_C: Floats = np.full(room.benches, room.room_temperature_C)
    for number in range(room.runs):
        at = slice(number, None, room.runs)
        if room.tube_starts != WITH_THE_SHOT:
            settled[at] = shot_C[at] + warming_by_tube(tube_C - shot_C[at], shot_J_per_K[at], sink[at])
        capacity = shot_J_per_K[at] + sink[at]
        end[at] = _after_falls(room, per_fall_J[at], capacity, counts[at], settled[at])
        if room.tube_starts == AS_LEFT:
            tube_C = end[at]
    return settled, end


def _after_falls(
    room: Room, per_fall_J: Floats, capacity: Floats, counts: NDArray[np.int64], start: Floats
) -> Floats:
    """Fall after fall, all benches side by side: the fall's heat in, the surface's loss of that turn out."""
    temperature = start.copy()
    for fall_number in range(int(counts.max())):
        lost_J = room.leak_J_per_K_per_inversion * (temperature - room.room_temperature_C)
        temperature = temperature + np.where(counts > fall_number, (per_fall_J - lost_J) / capacity, 0.0)
    return temperature


def _shown(rng: np.random.Generator, room: Room, true_C: Floats, step_K: Floats) -> Floats:
    """What is read off: the scale's error about 0 °C, the reader's, and the nearest mark."""
    read = room.thermometer_scale * true_C + room.reading_sd_K * rng.standard_normal(len(true_C))
    return np.round(np.round(read / step_K) * step_K, 9)


def _with_undecided(rng: np.random.Generator, run: LabelledReadings, slip: str) -> LabelledReadings:
    if slip != "end-temperature":
        return with_slip(rng, run, slip)
    off = float(rng.uniform(1.5, 4.0)) * float(rng.choice((-1.0, 1.0)))
    return replace(run, end_temperature_C=round(run.end_temperature_C + off, 1))
