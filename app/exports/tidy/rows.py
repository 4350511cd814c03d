"""The rows of the tables of runs and of decisions, made of whole practicals.

Numbers are texts with a decimal point, digit for digit as they were typed, in the units of their columns.
What many runs share is made once: an export has a million of them.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from functools import lru_cache
from operator import itemgetter
from typing import Any

from sqlalchemy import RowMapping

from app.exports.record.document import key_of
from app.exports.tidy.column import Kind
from app.exports.tidy.columns import FIELDS_OF_SHARED, SHARED
from app.exports.tidy.given import Given, given_to
from app.physics.energy import apparent_heat_capacity, specific_fall_energy
from app.physics.planned import nearest_count
from app.physics.rounding import shortest
from app.physics.run import QUANTITIES, Quantity
from app.records.append_only import REMOVED
from app.records.choices import HistoryKind
from app.records.models.kit import PIECE_COLUMNS
from app.records.whole import AnyRow, WholePractical

Cells = list[str | int | None]
Row = tuple[str | int | None, ...]

YES = "yes"
SIGNIFICANT = 10
"""Digits of a figure that was worked out, which is past any uncertainty here."""
_KEPT = 50_000
_VALUES = tuple(one.si_name for one in QUANTITIES.values())
_TEXTS = tuple(
    name
    for one in QUANTITIES.values()
    for name in ((f"{one.name}_text", f"{one.name}_unit") if one.units else (f"{one.name}_text",))
)
_OWN_VALUE = ("own_heat_capacity_text", "own_heat_capacity_unit", "own_heat_capacity_J_per_kg_K")
_SHARED = tuple((FIELDS_OF_SHARED.get(one.name, one.name), one.kind is Kind.DECIMAL) for one in SHARED)
"""Columns of a practical in the records, and whether they hold exact decimals."""


@dataclass(frozen=True)
class KeptFigures:
    """A result of a practical as plain data (`plumbfall analyse --json`), and the analysis it is from."""

    result: Mapping[str, Any]
    analysis_version: int


def practical_cells(whole: WholePractical) -> tuple[str, str, str]:
    """What every row of a practical has of it: its key, its day, its title."""
    practical = whole.practical
    return key_of(whole), practical["held_on"].isoformat(), practical["title"]


def run_rows(whole: WholePractical, kept: KeptFigures | None, *, rehearsal: bool = False) -> Iterator[Row]:
    """One row for each run, by bench and number. Simulated runs are no readings: they come in a rehearsal."""
    practical, of_practical, given = whole.practical, practical_cells(whole), given_to(whole)
    gravity = float(practical["gravity_m_per_s2"])
    shared = shared_cells(practical)
    benches = {bench.id: _Bench(bench, given[bench.id]) for bench in whole.benches}
    room = shifted(practical["room_temperature_C"], 0)
    latest, corrected = _versions(whole)
    decided = {row.run_id: row for row in whole.decisions}
    figures = _figures(kept)
    analysis = None if kept is None else kept.analysis_version
    runs = [run for run in whole.runs if run.simulated is rehearsal]
    runs.sort(key=lambda run: (benches[run.bench_id].number, run.number))
    if not runs:
        return
    values_of, texts_of, own_of, entered_by = _getters(whole.versions[0])
    pieces_of = itemgetter(*map(runs[0]._fields.index, PIECE_COLUMNS))
    for run in runs:
        bench, version, decision = benches[run.bench_id], latest[run.id], decided.get(run.id)
        values, (text, unit, own_value) = values_of(version), own_of(version)
        waits = run.came_too_fast and decision is None
        fall, warming = difference(values[1], values[2]), difference(values[5], values[4])
        energy = _energy(fall, values[3], gravity)
        yield (
            bench.label,
            str(run.number),
            *map(_in_table, values, _SHIFTS),
            YES if run.set_aside or waits else None,
            *bench.planned(values[3]),
            bench.step,
            None if rehearsal else bench.ice_point,
            room,
            fall,
            energy,
            warming,
            _apparent(energy, warming),
            *figures.get((bench.label, str(run.number)), _NO_FIGURES),
            *(_NO_DECISION if decision is None else _decision(decision, whole)),
            run.latest_version,
            corrected.get(run.id),
            entered_by(version),
            moment(run.created_at),
            YES if rehearsal else None,
            YES if run.came_too_fast else None,
            *(None if one is None else whole.kit[one].label for one in pieces_of(run)),
            *of_practical,
            run.idempotency_key,
            *shared,
            *texts_of(version),
            text,
            unit,
            shifted(own_value, 0),
            analysis,
        )


def decision_rows(whole: WholePractical) -> Iterator[Row]:
    """One row for each decision about a run that was read, in order."""
    of_practical = practical_cells(whole)
    numbers = {bench.id: bench.number for bench in whole.benches}
    runs = {run.id: run for run in whole.runs if not run.simulated}
    for row in whole.decisions:
        run = runs.get(row.run_id)
        if run is not None:
            yield (
                *of_practical,
                run.idempotency_key,
                str(numbers[run.bench_id]),
                str(run.number),
                *_decision(row, whole),
                row.run_version,
                row.run_revision,
            )


class _Bench:
    """What a bench gives to each of its runs."""

    def __init__(self, bench: AnyRow, given: Given) -> None:
        self.number, self.label = bench.number, str(bench.number)
        self.step, self.ice_point = shifted(given.thermometer_step_K, 0), shifted(given.ice_point_C, 0)
        self._given = given
        self._planned = [shifted(getattr(given, one.si_name), one.shift) for one in _PLANNED[:-1]]

    def planned(self, inversions: int) -> Cells:
        """What the plan gave it; of two counts the one that was meant."""
        count = self._given.inversions
        if count is not None:
            count = nearest_count(count, self._given.second_inversions, inversions)
        return [*self._planned, count]


def _versions(whole: WholePractical) -> tuple[dict[int, AnyRow], dict[int, str]]:
    """The last version of each run, and why it was last corrected."""
    latest: dict[int, AnyRow] = {}
    reasons: dict[int, str] = {}
    for row in whole.versions:  # in the order in which they came in
        latest[row.run_id] = row
        if row.version > 1 and row.reason != HistoryKind.OWN_CALCULATION:
            reasons[row.run_id] = "" if row.reason == REMOVED else row.reason
    return latest, reasons


def _getters(row: AnyRow) -> tuple[itemgetter[Any], ...]:
    """Ways to the cells of a version's row that are quicker than their names."""
    place = row._fields.index
    return tuple(itemgetter(*map(place, names)) for names in (_VALUES, _TEXTS, _OWN_VALUE, ("actor_kind",)))


def _decision(row: AnyRow, whole: WholePractical) -> Row:
    person = whole.people.get(row.teacher_id)
    name = None if person is None else person.name
    return (row.action.value, row.reason, name, moment(row.at))


def shared_cells(practical: RowMapping) -> Row:
    """What a class shares, in the columns of `columns.SHARED`."""
    return tuple(shifted(practical[name], 0) if exact else practical[name] for name, exact in _SHARED)


def _figures(kept: KeptFigures | None) -> dict[tuple[str, str], Row]:
    """Uncertainty, flags and suspected slip by the labels of bench and run."""
    if kept is None:
        return {}
    return {
        (run["bench"], run["run"]): (
            calculated(run["standard_uncertainty_J_per_kg_K"]),
            " ".join(flag["rule"] for flag in run["flags"]),
            (run["suspected_slip"] or {}).get("slip"),
        )
        for run in kept.result["runs"]
    }


def calculated(value: float | None) -> str | None:
    """A figure that was worked out, without a power of ten."""
    return None if value is None else shortest(Decimal(f"{value:.{SIGNIFICANT}g}"))


@lru_cache(_KEPT)
def shifted(text: str | int | None, shift: int) -> str | None:
    """A decimal times 10^shift, in full."""
    return None if text is None else shortest(Decimal(text).scaleb(shift))


@lru_cache(_KEPT)
def difference(larger: str, smaller: str) -> str:
    """The difference of two decimals, exactly."""
    return shortest(Decimal(larger) - Decimal(smaller))


@lru_cache(_KEPT)
def moment(at: datetime | None) -> str | None:
    """A moment in UTC, to the second (ISO 8601)."""
    return None if at is None else at.isoformat(timespec="seconds")


def _in_table(value: str | int | None, shift: int | None) -> str | int | None:
    return value if shift is None else shifted(value, shift)


@lru_cache(_KEPT)
def _energy(fall: str, inversions: int, gravity: float) -> str | None:
    return calculated(specific_fall_energy(float(fall), inversions, gravity))


@lru_cache(_KEPT)
def _apparent(energy: str, warming: str) -> str | None:
    return calculated(apparent_heat_capacity(float(energy), float(warming)))


def _shift(quantity: Quantity) -> int | None:
    return quantity.shift if quantity.units else None


_SHIFTS = tuple(map(_shift, QUANTITIES.values()))
_PLANNED = tuple(one for one in QUANTITIES.values() if one.planned)
_NO_FIGURES: Row = (None, None, None)
_NO_DECISION: Row = (None, None, None, None)
