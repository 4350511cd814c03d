"""What each bench of a practical was given: by its line of the plan, else by its pieces of kit."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from app.physics.planned import typed_else
from app.records.whole import AnyRow, WholePractical


@dataclass(frozen=True)
class Given:
    """One bench's own numbers, as they are kept; None where it has the class's."""

    line: AnyRow | None
    shot_mass_kg: str | None
    tube_length_m: str | None
    inversions: int | None
    second_inversions: int | None
    thermometer_step_K: str | None
    ice_point_C: str | None
    """What its thermometer shows in melting ice: as the bench read it, else by the plan or the piece."""


def given_to(whole: WholePractical) -> dict[int, Given]:
    """By the ids of the benches."""
    lines = {line.number: line for line in whole.bench_plans}
    kits = {kit.number: kit for kit in whole.kits}
    return {
        bench.id: _given(whole, bench, lines.get(bench.number), kits.get(bench.number))
        for bench in whole.benches
    }


def _given(whole: WholePractical, bench: AnyRow, line: AnyRow | None, kit: AnyRow | None) -> Given:
    length, step = (_own(whole, line, kit, name) for name in ("tube_length_m", "thermometer_step_K"))
    ice_points = (row.ice_point_C for row in (bench, line, kit) if row is not None)
    return Given(
        line,
        None if line is None else line.shot_mass_kg,
        length,
        None if line is None else line.inversions,
        None if line is None else line.second_inversions,
        None if step is None or Decimal(step) == Decimal(whole.practical["thermometer_step_K"]) else step,
        next((one for one in ice_points if one is not None), None),
    )


def _own(whole: WholePractical, line: AnyRow | None, kit: AnyRow | None, name: str) -> str | None:
    of_bench, of_piece = (None if row is None else row._mapping[name] for row in (line, kit))
    found = typed_else(
        None if of_bench is None else Decimal(of_bench),
        Decimal(whole.practical[name]),
        None if of_piece is None else Decimal(of_piece),
    )
    return None if found is None else format(found, "f")
