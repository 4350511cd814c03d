"""What the desk says a run's correction would do to the class's value; `test_many_to_decide` makes it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace

from app.analysis.readings import RunReadings
from app.practicals.board.snapshot import Snapshot, class_snapshot
from app.practicals.board.what_if import what_if
from app.practicals.runs.decisions import set_aside
from tests.analysis.classes import simulated_runs
from tests.practicals.a_class import NOW, AClass
from tests.web.board.reported import send
from tests.web.desk.conftest import Reader

AT = 4
"""The second run of bench 2."""


def _class_with(a_class: AClass, change: Mapping[str, float]) -> tuple[Snapshot, list[RunReadings]]:
    """A class of twelve benches in which one run was typed with this change, and the runs as they were."""
    runs = [
        replace(run, room_temperature_C=None, end_temperature_C=round(run.end_temperature_C, 1))
        for run in simulated_runs(3)
    ]
    slipped: dict[str, float] = dict(change)
    send(a_class, [*runs[:AT], replace(runs[AT], **slipped), *runs[AT + 1 :]])  # type: ignore[arg-type]
    return class_snapshot(a_class.database, a_class.practical_id, actor=a_class.teacher), runs


def _slips() -> dict[str, tuple[str, dict[str, float]]]:
    """Every known slip as a change of that run's readings."""
    run = simulated_runs(3)[AT]
    start, end, mass = run.start_temperature_C, run.end_temperature_C, run.shot_mass_kg
    length, allowance = run.tube_length_m, run.end_allowance_m
    return {
        "kilograms for grams": ("mass-unit", {"shot_mass_kg": mass / 1000}),
        "millimetres for centimetres": ("length-unit", {"tube_length_m": length * 10}),
        "both lengths in inches": (
            "length-unit",
            {"tube_length_m": length / 2.54, "end_allowance_m": allowance / 2.54},
        ),
        "both lengths in metres": (
            "length-unit",
            {"tube_length_m": length / 100, "end_allowance_m": allowance / 100},
        ),
        "both lengths in millimetres": (
            "length-unit",
            {"tube_length_m": length * 10, "end_allowance_m": allowance * 10},
        ),
        "every second turn": ("inversions-halved", {"inversions": run.inversions / 2}),
        "each turn twice": ("inversions-doubled", {"inversions": run.inversions * 2}),
        "start and end swapped": (
            "temperatures-swapped",
            {"start_temperature_C": end, "end_temperature_C": start},
        ),
        "read in °F": (
            "fahrenheit",
            {"start_temperature_C": start * 1.8 + 32, "end_temperature_C": end * 1.8 + 32},
        ),
        "the warming as end": ("warming-as-end-temperature", {"end_temperature_C": end - start}),
        "allowance forgotten": ("end-allowance-forgotten", {"end_allowance_m": 0.0}),
    }


SLIPS = _slips()


def test_the_page_says_the_value_that_the_correction_gives(desk: Reader, a_class: AClass) -> None:
    snapshot, _ = _class_with(a_class, SLIPS["read in °F"][1])
    corrected = what_if(snapshot, 2, 2).slip_undone
    assert corrected is not None
    undone = corrected.class_value
    assert undone is not None
    page = desk.text(f"/desk/{a_class.practical_id}/decisions")
    said = re.sub(r"<[^>]+>|\s+", " ", page.split("corrected as suspected", 1)[1][:600])
    assert f"{undone.apparent_heat_capacity_J_per_kg_K:.0f}" in said


def test_a_run_that_was_set_aside_counts_again_once_its_slip_is_undone(a_class: AClass) -> None:
    snapshot, runs = _class_with(a_class, SLIPS["read in °F"][1])
    run = snapshot.runs[AT]
    set_aside(
        a_class.database,
        actor=a_class.teacher,
        run_id=run.run_id,
        reason="another scale",
        expected_revision=run.run_revision,
        now=NOW,
    )
    effects = what_if(class_snapshot(a_class.database, a_class.practical_id, actor=a_class.teacher), 2, 2)
    assert effects.as_it_stands.class_value is not None
    assert effects.as_it_stands.class_value.runs == len(runs) - 1
    assert effects.slip_undone is not None
    assert effects.slip_undone.class_value is not None
    assert effects.slip_undone.class_value.runs == len(runs)
