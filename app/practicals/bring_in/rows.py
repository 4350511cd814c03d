"""The rows of a practical that comes from a file, made in the order in which they first came in.

Ids are given anew. Benches, versions and decisions are ordered by their ids, so they are added in their old
order. Phones that had joined stay behind, and so do codes and keys by which anybody could get in.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.practicals.bring_in.kit import has_possible_numbers
from app.practicals.kit.of_bench import BenchKitLine, PieceName, row_of_kit
from app.practicals.lesson.details import plan_of
from app.practicals.lesson.plan import PlanProblem, check_kits, check_plan
from app.practicals.lesson.states import free_code
from app.practicals.people.credentials import new_bench_key
from app.practicals.runs.entry import ImpossibleReading, body_digest, check_entry, entry_of
from app.records.errors import Unprocessable
from app.records.from_file import PracticalInFile, RunRowInFile
from app.records.models import (
    Bench,
    BenchPlan,
    Decision,
    HeldBoard,
    KeptResult,
    Practical,
    Run,
    RunVersion,
    StateChange,
)
from app.words import N_

KEYS_AT_ONCE = 500
"""In one question to the database: SQLite takes 999 values in all its versions (its manual, "Limits")."""


class NotOfAClass(Unprocessable):
    """Readings that no bench can have made."""

    sentence = N_(
        "Bench %(bench)s, run %(run)s: no bench can have made these readings (%(field)s). The file was "
        "changed after it was written. Nothing of it was stored."
    )


class NotAPlan(Unprocessable):
    """A plan that no class could carry out."""

    sentence = N_(
        "No class could carry out this plan (%(field)s). The file was changed after it was written. Nothing "
        "of it was stored."
    )


def has_runs_of(session: Session, practical: PracticalInFile) -> bool:
    """Whether a run or a correction of the file is in the records."""
    runs = [run.columns["idempotency_key"] for run in practical.runs]
    corrections = [
        key
        for run in practical.runs
        for version in run.versions
        if (key := version.columns.get("idempotency_key")) is not None
    ]
    return any(
        session.scalar(select(kept.id).where(kept.idempotency_key.in_(some)).limit(1)) is not None
        for kept, keys in ((Run, runs), (RunVersion, corrections))
        for some in _in_parts(keys)
    )


def _in_parts(keys: list[str]) -> Iterator[list[str]]:
    for start in range(0, len(keys), KEYS_AT_ONCE):
        yield keys[start : start + KEYS_AT_ONCE]


def add_practical(
    session: Session,
    department_id: int,
    practical: PracticalInFile,
    people: Mapping[str, int],
    kits: Sequence[BenchKitLine],
) -> Practical:
    """The practical with its plan, its history and the results that were kept. One that is under way gets a
    code of its own for the benches."""
    made = Practical(
        department_id=department_id,
        teacher_id=people[practical.teacher],
        join_code=free_code(session) if practical.practical["state"].is_open else None,
        **practical.practical,
    )
    made.bench_plans = [BenchPlan(**line) for line in practical.bench_plans]
    made.bench_kits = [row_of_kit(kit) for kit in kits]
    _check_plan(made, kits)
    session.add(made)
    session.flush()
    for kind, told in ((KeptResult, practical.results), (StateChange, practical.history)):
        session.add_all(
            kind(practical_id=made.id, teacher_id=people[one.teacher] if one.teacher else None, **one.columns)
            for one in told
        )
        session.flush()
    return made


def add_runs(
    session: Session,
    made: Practical,
    practical: PracticalInFile,
    people: Mapping[str, int],
    pieces: Sequence[PieceName],
) -> None:
    """The benches with their runs, versions and decisions, and what a held wall shows. `pieces` are those of
    the department that stand for the file's."""
    benches = [
        Bench(practical_id=made.id, bench_key=new_bench_key(), open_to_a_phone=False, **columns)
        for columns in practical.benches
    ]
    session.add_all(benches)
    session.flush()
    runs, versions, decisions = [], [], []
    for one in practical.runs:
        bench = benches[one.bench]
        first = RunVersion(**one.versions[0].columns)
        digest = _checked_digest(first, bench.number, one.columns["number"])
        run = Run(practical_id=made.id, bench_id=bench.id, body_digest=digest, **one.columns)
        for kind, place in one.pieces.items():
            setattr(run, f"{kind}_id", pieces[place].piece_id)
        runs.append(run)
    session.add_all(runs)
    session.flush()
    for one, run in zip(practical.runs, runs, strict=True):
        bench = benches[one.bench]
        for told in one.versions:
            version = RunVersion(run_id=run.id, teacher_id=_who(told, people), **told.columns)
            version.body_digest = _checked_digest(version, bench.number, run.number)
            versions.append((told.order, version))
        decisions += [
            (told.order, Decision(run_id=run.id, teacher_id=_who(told, people), **told.columns))
            for told in one.decisions
        ]
    added_versions, added_decisions = _added(session, versions), _added(session, decisions)
    if (held := practical.held) is not None:
        session.add(
            HeldBoard(
                practical_id=made.id,
                bench_id=_last(benches, held["benches"]),
                version_id=_last(added_versions, held["versions"]),
                decision_id=_last(added_decisions, held["decisions"]),
            )
        )
        session.flush()


def _who(told: RunRowInFile, people: Mapping[str, int]) -> int | None:
    return None if told.teacher is None else people[told.teacher]


def _added(session: Session, placed: Iterable[tuple[int, Any]]) -> list[Any]:
    """The rows added in their order, so that their ids have it too."""
    rows = [row for _, row in sorted(placed, key=lambda pair: pair[0])]
    session.add_all(rows)
    session.flush()
    return rows


def _last(rows: list[Any], shown: int) -> int:
    return rows[shown - 1].id if shown else 0


def _checked_digest(version: RunVersion, bench: int, run: int) -> str:
    """The digest of a version's readings. Raises `NotOfAClass`."""
    entry = entry_of(version)
    try:
        check_entry(entry)
    except ImpossibleReading as problem:
        raise NotOfAClass(bench=bench, run=run, field=problem.field) from problem
    return body_digest(entry)


def _check_plan(practical: Practical, kits: Sequence[BenchKitLine]) -> None:
    if not all(map(has_possible_numbers, kits)):
        raise NotAPlan(field="kits")
    plan = plan_of(practical, kits)
    try:
        check_plan(plan)
        check_kits(plan)
    except PlanProblem as problem:
        raise NotAPlan(field=problem.field) from problem
