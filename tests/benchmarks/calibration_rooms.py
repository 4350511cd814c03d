"""Does the run-level fit keep its promises in rooms as they come? Simulated classes whose truth is known.

    python -m tests.benchmarks.calibration_rooms --folder DIR [--classes 100] [--parts 1] [--processes 2]
    [--only TEXT]

Each setting is simulated fall by fall (app.physics.simulation.room) and fitted run by run (app.analysis.fit).
Classes come in parts of `--classes`; each finished part of a setting is one JSON file in the folder, and a
part that is there is not done again, so that the run can be stopped and resumed, and more parts add classes.
The table counts all parts found. Figures are in percent; beside coverage stands its Monte Carlo error.
`warned` is the share of classes that are told that one end allowance for all masses misleads: there the
specific heat cannot cover, because nothing in the readings shows the settled shot.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterator
from dataclasses import replace
from multiprocessing import get_context
from pathlib import Path

import numpy as np

from app.analysis.fit.allowance import one_allowance
from app.analysis.fit.class_fit import ClassFit, NotFitted, class_fit
from app.analysis.fit.class_value import class_value
from app.analysis.fit.ledger import ledger_shares
from app.analysis.fit.oddness import oddness
from app.analysis.fit.separated import separated
from app.analysis.readings import ClassSettings, RunReadings
from app.physics.simulation.room import Room, RoomRun, simulate_room

C_TRUE = 129.0
LEAD = ClassSettings(
    accepted_J_per_kg_K=C_TRUE, reading_sd_K=0.05, thermometer_scale=0.005, common_technique=0.01
)
BARE = replace(LEAD, thermometer_scale=0.0, common_technique=0.0, length_sd_m=0.0)
"""Without budget lines, as the recipe's figures are."""
WIDE = replace(Room(), technique_sd_bench=0.05)
HALF = (1.0,) * 3 + (0.2,) + (1.0,) * 3 + (0.2,)
SETTINGS: dict[str, tuple[Room, ClassSettings]] = {
    "12x3 technique 2": (Room(), BARE),
    "12x3 technique 5": (WIDE, BARE),
    "the same, room not known": (replace(WIDE, room_known=False), BARE),
    "leak 0.1, 2.5 K below, technique 2": (
        Room(leak_J_per_K_per_inversion=0.1, start_above_room_K=-2.5), BARE),
    "leak 0.1, 3 K above, technique 5": (
        replace(WIDE, leak_J_per_K_per_inversion=0.1, start_above_room_K=3.0), BARE),
    "sinks differ 30, technique 2": (Room(sink_spread=0.3), BARE),
    "t3 tails, technique 5": (replace(WIDE, heavy_tails=True), BARE),
    "half of the counts wrong, technique 5": (replace(WIDE, miscounted_share=0.5), BARE),
    "depth measured, technique 2": (Room(bore_m=0.04), BARE),
    "step 0.5, technique 2": (Room(thermometer_steps_K=(0.5,)), replace(BARE, thermometer_step_K=0.5)),
    "8x3 six 1.0 two 0.2, technique 2": (Room(benches=8, masses_kg=HALF), BARE),
    "half 0.2 half 1.2, technique 2": (Room(masses_kg=(0.2, 1.2)), BARE),
    "half 0.2 half 1.2, technique 5": (replace(WIDE, masses_kg=(0.2, 1.2)), BARE),
    "6x3 technique 5": (replace(WIDE, benches=6), BARE),
    "32x3 technique 5": (replace(WIDE, benches=32), BARE),
    "12x1 technique 5": (replace(WIDE, runs=1), BARE),
    "12x3 2 slips, technique 2": (Room(slips=2), BARE),
    "12x3 4 slips, technique 5": (replace(WIDE, slips=4), BARE),
    "6x3 2 slips, technique 5": (replace(WIDE, benches=6, slips=2), BARE),
    "one bench 20 short, technique 2": (Room(short_bench=0.2), BARE),
    "one bench with its cup, technique 2": (Room(cup_kg=0.15), BARE),
    "one mass, technique 5": (replace(WIDE, masses_kg=(0.5,)), BARE),
    # Beyond the recipe's table.
    "budget lines, 12x3 technique 2": (Room(), LEAD),
    "all thermometers 2 high": (Room(thermometer_scale=1.02), replace(LEAD, thermometer_scale=0.02)),
    "everybody 5 short": (Room(common_technique=0.95), replace(LEAD, common_technique=0.05)),
    "masses ± 3, technique 5": (replace(WIDE, mass_spread=0.03), BARE),
    "mixed steps 0.1 and 0.5, technique 2": (Room(thermometer_steps_K=(0.1, 0.5)), BARE),
    "0.45 and 0.55, 6x3": (Room(benches=6, masses_kg=(0.45, 0.55)), BARE),
    "12x1 2 slips, technique 2": (Room(runs=1, slips=2), BARE),
    "leak 0.1, 2 K below, technique 2": (Room(leak_J_per_K_per_inversion=0.1, start_above_room_K=-2.0), BARE),
    "same count, step 0.5": (
        Room(same_count=True, thermometer_steps_K=(0.5,)), replace(BARE, thermometer_step_K=0.5)),
    **{
        f"one allowance for all, bore {bore} mm": (Room(bore_m=bore / 1000, one_allowance_m=0.05), BARE)
        for bore in (30, 40, 50)
    },
}  # fmt: skip


def readings(made: list[RoomRun]) -> list[RunReadings]:
    return [RunReadings(**vars(run.recorded)) for run in made]


def class_truth(made: list[RoomRun], room: Room) -> float:
    """k/Σ 1/(c + C/m) with the benches' true masses and the class's sink."""
    masses = {run.recorded.bench: run.true_mass_kg for run in made}
    each = [1.0 / (room.heat_capacity_J_per_kg_K + room.heat_sink_J_per_K / m) for m in masses.values()]
    return 1.0 / float(np.mean(each))


def one_class(
    rng: np.random.Generator, room: Room, settings: ClassSettings, draws: int
) -> dict[str, float | None]:
    """What one class gives; None for what it does not."""
    made = simulate_room(rng, room)
    runs = readings(made)
    if len(set(room.thermometer_steps_K)) > 1:
        runs = [
            replace(run, thermometer_step_K=one.thermometer_step_K)
            for run, one in zip(runs, made, strict=True)
        ]
    fit = class_fit(runs, settings, draws=draws)
    if isinstance(fit, NotFitted):
        return {"refused": 1.0}
    return {"refused": 0.0, **_figures(fit, made, room)}


def _figures(fit: ClassFit, made: list[RoomRun], room: Room) -> dict[str, float | None]:
    value, apart, odd = class_value(fit), separated(fit), oddness(fit)
    truth = class_truth(made, room)
    found: dict[str, float | None] = {"effective": fit.draws.effective_share}
    if value.interval_95 is not None:
        low, high = value.interval_95
        found |= {"value covered": float(low <= truth <= high), "value half": (high - low) / 2 / truth}
        found["value error"] = value.apparent_heat_capacity_J_per_kg_K / truth - 1.0
    found["told apart"] = float(apart.identifiable)
    found["warned"] = float(one_allowance(fit, apart.identifiable) is not None)
    found |= _ledger(fit, made, apart.identifiable)
    if apart.interval_95 is not None and apart.heat_capacity_J_per_kg_K is not None:
        low, high = apart.interval_95
        c = room.heat_capacity_J_per_kg_K
        found |= {"c covered": float(low <= c <= high), "c half": (high - low) / 2 / c}
        found["c error"] = apart.heat_capacity_J_per_kg_K / c - 1.0
    clean = [i for i, run in enumerate(made) if run.slip is None]
    slipped = [i for i, run in enumerate(made) if run.slip is not None]
    found["clean flagged"] = float(np.mean([odd.is_odd_run(i) for i in clean]))
    found["slips flagged"] = float(np.mean([odd.is_odd_run(i) for i in slipped])) if slipped else None
    found["benches flagged"] = float(np.mean([odd.is_odd_bench(b) for b in range(len(odd.benches))]))
    return found


def _ledger(fit: ClassFit, made: list[RoomRun], told_apart: bool) -> dict[str, float | None]:
    """Whether the ledger's shares cover what really went into shot and sink, averaged over the runs."""
    shares = ledger_shares(fit, told_apart)
    if shares is None or any(run.slip for run in made):
        return {}
    shot, sink = (
        float(np.mean([getattr(run, name) for run in made])) for name in ("shot_share", "sink_share")
    )
    low, high = shares.shot.interval_95
    found: dict[str, float | None] = {"shot covered": float(low <= shot <= high)}
    if shares.sink is not None:
        low, high = shares.sink.interval_95
        found["sink covered"] = float(low <= sink <= high)
    return found


def run_part(task: tuple[str, int, int, int, str]) -> str:
    """Simulate and fit one part of one setting and write what came out."""
    name, part, classes, draws, folder = task
    room, settings = SETTINGS[name]
    rng = np.random.default_rng([20231, list(SETTINGS).index(name), part])
    results = [one_class(rng, room, settings, draws) for _ in range(classes)]
    path = part_file(Path(folder), name, part)
    path.with_suffix(".tmp").write_text(json.dumps(results), encoding="utf-8")
    path.with_suffix(".tmp").rename(path)
    return name


def part_file(folder: Path, name: str, part: int) -> Path:
    return folder / f"{name.replace(' ', '_').replace('/', '_')}.{part}.json"


def row(folder: Path, name: str) -> str | None:
    """One line of the table, over all parts in the folder."""
    found = [
        one
        for path in sorted(folder.glob(f"{part_file(folder, name, 0).name[:-7]}.*.json"))
        for one in json.loads(path.read_text(encoding="utf-8"))
    ]
    if not found:
        return None

    def column(key: str) -> list[float]:
        return [one[key] for one in found if one.get(key) is not None]

    def percent(key: str, how: str = "mean") -> str:
        values = column(key)
        if not values:
            return "    –"
        figure = float(np.mean(values)) if how == "mean" else float(np.median(np.abs(values)))
        return f"{100 * figure:5.1f}"

    cover = column("c covered")
    share = float(np.mean(cover)) if cover else 0.0
    error = 100 * float(np.sqrt(max(share * (1 - share), 1e-9) / max(len(cover), 1)))
    blocks = (
        f"{name:<38}{len(found):5d} {percent('c covered')} ±{error:4.1f}",
        f"{percent('c error', 'abs')} {percent('c half', 'abs')}",
        f"{percent('value covered')} {percent('value error', 'abs')} {percent('value half', 'abs')}",
        f"{percent('shot covered')} {percent('sink covered')}",
        f"{100 * float(np.mean(column('clean flagged') or [0])):6.2f} {percent('slips flagged')}",
        f"{percent('benches flagged')}",
        f"{percent('told apart')} {np.mean(column('effective')):5.2f} {percent('refused')}",
        percent("warned"),
    )
    return " | ".join(blocks)


HEADER = (
    f"{'':<38}    n  c cov. ± MC |  err.  half | value  err.  half | shot  sink  |  clean slips | bench | "
    " told  eff. refused | warned"
)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--folder", type=Path, required=True)
    parser.add_argument("--classes", type=int, default=100, help="classes in one part of a setting")
    parser.add_argument("--draws", type=int, default=4096, help="as the product, or fewer for a quick look")
    parser.add_argument("--parts", type=int, default=1)
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--only", default="", help="settings whose name contains this")
    parser.add_argument("--table", action="store_true", help="print what is there and do nothing")
    options = parser.parse_args()
    options.folder.mkdir(parents=True, exist_ok=True)
    names = [name for name in SETTINGS if options.only in name]
    tasks = [] if options.table else list(_missing(options, names))
    with get_context("spawn").Pool(options.processes) as pool:
        for number, name in enumerate(pool.imap_unordered(run_part, tasks), 1):
            print(f"{number} of {len(tasks)}: {name}", flush=True)
    print(HEADER)
    for name in names:
        line = row(options.folder, name)
        if line is not None:
            print(line)


def _missing(options: argparse.Namespace, names: list[str]) -> Iterator[tuple[str, int, int, int, str]]:
    for part in range(options.parts):
        for name in names:
            if not part_file(options.folder, name, part).exists():
                yield name, part, options.classes, options.draws, str(options.folder)


if __name__ == "__main__":
    main()
