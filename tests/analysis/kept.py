"""All that the analysis and the planner say of one class, kept as text: whether it stays, not whether it is
right.

    python -m tests.analysis.kept

writes the files anew. Read what `git diff` says before you keep them. Where a figure of a class is another
one, `ANALYSIS_VERSION` goes up (`test_version.py`).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import fields, is_dataclass, replace
from functools import partial
from pathlib import Path
from typing import Any

import pytest

from app.analysis.analyse import analyse_class
from app.analysis.pieces import piece_shifts
from app.analysis.plan.kit import Kit, Tube
from app.analysis.plan.proposal import propose
from app.analysis.readings import ClassSettings, RunReadings
from app.analysis.views.json import as_plain_data
from app.words import Message
from tests.analysis.test_pieces import classes
from tests.kept_text import keep

FOLDER = Path(__file__).parent / "kept"

READINGS = (
    (1, 1, 0.25, 1.0, 0.08, 50, 19.3, 21.0),
    (1, 2, 0.25, 1.0, 0.08, 60, 19.4, 21.4),
    (1, 3, 0.25, 1.0, 0.08, 50, 19.5, 21.2),
    (2, 1, 0.45, 1.0, 0.07, 50, 19.5, 21.6),
    (2, 2, 0.45, 1.0, 0.07, 60, 19.6, 22.2),
    (2, 3, 0.45, 1.0, 0.07, 50, 19.7, 21.8),
    (3, 1, 0.7, 1.2, 0.08, 60, 19.7, 23.3),
    (3, 2, 0.7, 1.2, 0.08, 60, 19.8, 23.4),
    (3, 3, 0.7, 1.2, 0.08, 60, 19.9, 23.5),
    (4, 1, 0.9, 1.0, 0.08, 55, 19.9, 22.9),
    (4, 2, 0.9, 1.0, 0.08, 55, 20.0, 22.9),
    (4, 3, 0.9, 1.0, 0.08, 55, 20.1, 23.1),
    (5, 1, 0.3, 1.0, 0.08, 50, 20.1, 21.9),
    (5, 2, 0.3, 1.0, 0.08, 50, 20.2, 22.0),
    (5, 3, 0.3, 1.0, 0.08, 50, 20.3, 22.1),
    (6, 1, 0.5, 0.9, 0.08, 60, 20.3, 21.9),
    (6, 2, 0.5, 0.9, 0.08, 60, 20.4, 21.9),
    (6, 3, 0.5, 0.9, 0.08, 60, 20.5, 22.1),
    (7, 1, 0.75, 1.0, 0.08, 50, 20.5, 23.1),
    (7, 2, 0.75, 1.0, 0.08, 50, 20.6, 23.1),
    (7, 3, 0.75, 1.0, 0.08, 50, 20.7, 23.2),
    (8, 1, 0.95, 1.1, 0.08, 52, 20.7, 23.7),
    (8, 2, 0.95, 1.1, 0.08, 52, 20.8, 23.9),
    (8, 3, 0.95, 1.1, 0.08, 52, 20.9, 24.0),
)
"""Bench, run, kg, tube and end allowance in m, inversions, start and end in °C: invented; spoilt below."""
SETTINGS = ClassSettings(
    accepted_J_per_kg_K=128.0,
    accepted_source="for the tests",
    gravity_m_per_s2=9.81,
    u_gravity_m_per_s2=0.003,
    reading_sd_K=0.03,
    length_sd_m=0.003,
    room_temperature_C=22.5,
    u_accepted_J_per_kg_K=2.0,
    thermometer_scale=0.006,
    common_technique=0.012,
)
SPOILT: Mapping[tuple[str, str], Mapping[str, Any]] = {
    ("1", "2"): {"inversions": 30.0},
    ("2", "3"): {"end_temperature_C": 12.8},
    ("5", "3"): {"end_temperature_C": 24.5},
    ("7", "1"): {"set_aside": True},
    ("8", "3"): {"end_allowance_m": 0.0},
}
"""Half the turns, digits exchanged (21.8 °C and 71.6 °F), a run set aside, an allowance forgotten. Bench 6 is
low in all its runs."""
OF_A_BENCH: Mapping[str, Mapping[str, Any]] = {
    "3": {"thermometer_step_K": 0.5},
    "4": {"ice_point_C": 0.4, "room_temperature_C": 22.9},
    "5": {"start_read_in": "°F", "end_read_in": "°F"},
    "8": {"planned_shot_mass_kg": 0.6, "planned_inversions": 52.0, "planned_tube_length_m": 1.1},
}


ONE_MASS = ((2.0, 2.1, 2.0), (2.2, 2.1), (1.9, 2.0, 2.1), (2.1, 3.4, 2.0), (2.0,))
"""Warmings of benches with one mass of an alloy, by thermometers of 0.2 °C; nobody read the room's."""


def of_one_mass() -> dict[str, Any]:
    """The same of a class that cannot tell its shot from the heat sink."""
    runs = [
        RunReadings(str(bench), str(run), 0.5, 1.0, 0.05 + 0.01 * bench, 130.0, 20.0, 20.0 + warming)
        for bench, warmings in enumerate(ONE_MASS, 1)
        for run, warming in enumerate(warmings, 1)
    ]
    runs.append(RunReadings("6", "1", 0.5, 1.0, 0.08, 130.0, 20.0, 23.5, set_aside=True))
    steel = ClassSettings(475.0, "for the tests", "steel", thermometer_step_K=0.2, u_accepted_J_per_kg_K=14.4)
    return as_plain_data(analyse_class(runs, steel))


def a_class() -> dict[str, Any]:
    """The analysis of these readings, as the JSON has it."""
    runs = []
    for bench, run, mass, length, allowance, turns, start, end in READINGS:
        labels = str(bench), str(run)
        made = RunReadings(*labels, mass, length, allowance, float(turns), start, end)
        runs.append(replace(made, **OF_A_BENCH.get(labels[0], {}), **SPOILT.get(labels, {})))
    return as_plain_data(analyse_class(runs, SETTINGS))


def a_plan() -> dict[str, Any]:
    """What the planner proposes for seven unlike tubes and too little shot, each with a second count."""
    tubes = [Tube(1.0, 0.04, 0.02)] * 4 + [Tube(0.8, 0.05, 0.015), Tube(1.2, None, end_allowance_m=0.07)]
    kit = Kit((*tubes, Tube(1.0, 0.03, 0.02)), thermometer_steps_K=(0.1,) * 6 + (0.2,), shot_available_kg=4.5)
    found = propose(replace(kit, minutes=40.0, two_counts=True))
    assert found.other_counts is not None
    return {
        "why": found.why,
        "start_advice": found.start_advice,
        "recommended": found.recommended.prediction,
        "with one count": found.other_counts.prediction,
        **{
            one.key: {
                "name": one.name,
                "kg": tuple(plan.shot_mass_kg for plan in one.plans),
                "half of the class value's interval": one.prediction.class_half_width_J_per_kg_K,
                "half of the specific heat's": one.prediction.separated_half_width_J_per_kg_K,
            }
            for one in found.alternatives
        },
    }


def of_pieces() -> object:
    """What tubes and thermometers do in four practicals with lead and one with copper; a run is left out."""
    runs = []
    for run in classes(2, practicals=5, benches=7, tube_percent={4: 9.0}, thermometer_percent={103: -7.0}):
        turns, metal, c = (180.0, "copper", 385.0) if run.practical == 3 else (60.0, "lead", 128.0)
        readings = replace(run.readings, inversions=turns)
        runs.append(replace(run, readings=readings, material=metal, accepted_J_per_kg_K=c))
    runs[5] = replace(runs[5], readings=replace(runs[5].readings, inversions=120.0))
    return piece_shifts(runs)


KEPT: dict[str, Callable[[], object]] = {
    "a-class": a_class,
    "of-one-mass": of_one_mass,
    "of-pieces": of_pieces,
    "a-plan": a_plan,
}


def described(name: str) -> list[str]:
    """A line for each part: where it is, then its numbers and sentences, each after its name, by tabs."""
    return ["\t".join((place, *said)) for place, said in _lines(KEPT[name](), "") if said]


def _lines(value: object, place: str) -> Iterator[tuple[str, list[str]]]:
    own, deeper = [], []
    for name, one in _inside(value):
        inside = _inside(one)
        if inside and not all(isinstance(number, float) for _, number in inside):
            deeper.append((f"{place}.{name}".strip("."), one))
        else:
            own.append(f"{name}: {' '.join(_said(number) for _, number in inside or [('', one)])}")
    yield place, own
    for where, one in deeper:
        yield from _lines(one, where)


def _inside(value: object) -> list[tuple[str, object]]:
    if isinstance(value, Tube | Message):
        return []
    if isinstance(value, Mapping):
        return [(str(key), one) for key, one in value.items()]
    if is_dataclass(value):
        return [(field.name, getattr(value, field.name)) for field in fields(value)]
    if isinstance(value, list | tuple):
        return [(str(number), one) for number, one in enumerate(value, 1)]
    return []


def _said(value: object) -> str:
    return f"{value:.8g}" if isinstance(value, float) else str(value)


def assert_as_kept(name: str) -> None:
    """The same words in the same places, and each number but for its last digits."""
    kept = (FOLDER / f"{name}.txt").read_text(encoding="utf-8").splitlines()
    now = described(name)
    assert [NUMBER.sub("#", line) for line in now] == [NUMBER.sub("#", line) for line in kept]
    for is_now, was in zip(now, kept, strict=True):
        numbers = [float(one) for one in NUMBER.findall(was)]
        assert [float(one) for one in NUMBER.findall(is_now)] == pytest.approx(numbers, rel=1e-5, abs=1e-6), (
            was
        )


NUMBER = re.compile(r"-?\d+(?:\.\d+)?(?:e[-+]?\d+)?")


if __name__ == "__main__":
    keep(FOLDER, {each: partial(described, each) for each in KEPT})
