"""The rows of the tables about practicals, benches and results, made of whole practicals."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any

from app.analysis.views.json import BENCH_FIGURES
from app.exports.tidy.given import given_to
from app.exports.tidy.rows import (
    YES,
    KeptFigures,
    Row,
    calculated,
    moment,
    practical_cells,
    shared_cells,
    shifted,
)
from app.records.keys import bench_key
from app.records.whole import WholePractical


def practical_rows(whole: WholePractical) -> Iterator[Row]:
    """The practical's own row."""
    practical = whole.practical
    teacher = whole.people.get(practical["teacher_id"])
    yield (
        *practical_cells(whole),
        whole.department,
        None if teacher is None else teacher.name,
        *shared_cells(practical),
        shifted(practical["room_temperature_C"], 0),
        shifted(practical["tube_length_m"], 0),
        None if practical["depth_measured"] else shifted(practical["end_allowance_m"], 0),
        YES if practical["depth_measured"] else None,
        shifted(practical["bore_m"], 0),
        practical["inversions"],
        practical["planned_benches"],
        *(moment(practical[name]) for name in ("created_at", "opened_at", "finished_at")),
        _day(practical["delete_after"]),
        YES if practical["is_demo"] else None,
        practical["revision"],
    )


def bench_rows(whole: WholePractical, kept: KeptFigures | None) -> Iterator[Row]:
    """One row for each bench that took part, by its number."""
    begin, given = practical_cells(whole), given_to(whole)
    made = Counter(run.bench_id for run in whole.runs if not run.simulated)
    aside = Counter(run.bench_id for run in whole.runs if run.set_aside and not run.simulated)
    decided = {row.run_id for row in whole.decisions}
    waiting = Counter(run.bench_id for run in whole.runs if run.came_too_fast and run.id not in decided)
    figures = {} if kept is None else {bench["bench"]: bench for bench in kept.result["benches"]}
    for bench in sorted(whole.benches, key=lambda bench: bench.number):
        if bench.simulated or bench.waits_for_teacher:
            continue
        own = given[bench.id]
        plan = own.line
        found = figures.get(str(bench.number))
        yield (
            *begin,
            bench_key(begin[0], bench.number),
            str(bench.number),
            moment(bench.joined_at),
            made[bench.id],
            aside[bench.id],
            waiting[bench.id],
            shifted(own.shot_mass_kg, 0),
            shifted(own.tube_length_m, 0),
            None if plan is None else shifted(plan.end_allowance_m, 0),
            own.inversions,
            None if plan is None else shifted(plan.start_temperature_C, 0),
            shifted(own.thermometer_step_K, 0),
            shifted(own.ice_point_C, 0),
            *(None if found is None else calculated(found[name]) for name in BENCH_FIGURES),
            None if kept is None or found is None else kept.analysis_version,
        )


def result_rows(whole: WholePractical, kept: KeptFigures | None) -> Iterator[Row]:
    """The class's result, where there is one."""
    if kept is None:
        return
    value: Mapping[str, Any] = kept.result["class_value"] or {}
    spread, apart = kept.result["spread"], kept.result["separated"]
    yield (
        *practical_cells(whole),
        calculated(value.get("apparent_heat_capacity_J_per_kg_K")),
        *_ends(value.get("interval_95")),
        shifted(whole.practical["accepted_J_per_kg_K"], 0)
        if not value
        else calculated(value["accepted_J_per_kg_K"]),
        calculated(value.get("percent_error")),
        value.get("runs"),
        value.get("benches"),
        value.get("method"),
        *(
            calculated(spread[name])
            for name in ("repeatability_sd", "between_bench_sd", "reproducibility_sd")
        ),
        calculated(apart["heat_capacity_J_per_kg_K"]),
        *_ends(apart["interval_95"]),
        calculated(apart["heat_sink_J_per_K"]),
        *_ends(apart["heat_sink_interval_95"]),
        kept.analysis_version,
    )


_OF_A_PIECE = ("inside_length_m", "bore_m", "caps_m", "step_K", "step_kg")


def kit_rows(whole: WholePractical) -> Iterator[Row]:
    """The pieces that the plan or a run of the practical names."""
    for number in sorted(whole.pieces_named):
        piece = whole.kit[number]
        reading = next((one for one in reversed(whole.checks[number]) if one.ice_point_C is not None), None)
        due = next((one.due_on for one in reversed(whole.checks[number])), None)
        yield (
            piece.label,
            piece.kind.value,
            *(shifted(getattr(piece, name), 0) for name in _OF_A_PIECE),
            piece.material,
            shifted(piece.lot_mass_kg, 0),
            None if reading is None else shifted(reading.ice_point_C, 0),
            None if reading is None else _day(reading.checked_on),
            _day(due),
            moment(piece.created_at),
            moment(piece.retired_at),
        )


def _day(at: date | None) -> str | None:
    return None if at is None else at.isoformat()


def _ends(interval: list[float] | None) -> Row:
    low, high = interval or (None, None)
    return calculated(low), calculated(high)
