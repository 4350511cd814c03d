"""The document of a practical, read back: every place of it looked at, nothing stored.

What does not have the published form is refused with the place where it does not. Whether a class can have
made these readings is the use case's to say, as for those that a bench sends.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from app.exports.record import exact_json
from app.exports.record.cells_in import (
    DocumentProblem,
    Misfit,
    exact,
    fields,
    items,
    listed,
    row,
    text,
    whole_number,
)
from app.exports.record.document import FORMAT, FORMAT_VERSION
from app.exports.record.kit_in import MADE_WITHOUT, kits_in, pieces_in, places_in
from app.exports.record.result_in import is_result
from app.physics.limits import LONGEST_TYPED, MOST_BENCHES
from app.physics.run import QUANTITIES
from app.records.choices import DecisionAction, HistoryKind
from app.records.from_file import Columns, PracticalInFile, RowInFile, RunInFile, RunRowInFile
from app.records.models import Bench, BenchPlan, Decision, KeptResult, Practical, Run, RunVersion, StateChange
from app.records.models.people import LONGEST_NAME
from app.records.models.run import KEY_LENGTH
from app.translations.saying import LANGUAGES
from app.words import N_

LARGEST_DOCUMENT = 8 * 1024 * 1024
"""Bytes: some two thousand runs with their results, far more than a class has (our own choice)."""
MOST_OF_A_KIND = 20_000
"""Rows of one table in one document: every bench with all the runs that it may send (our own choice)."""
_PARTS = {
    *("format", "format_version", "software", "key", "department", "people", "practical", "bench_plans"),
    *("pieces", "bench_kits", "benches", "results", "history", "held_wall"),
}


def read_document(data: bytes) -> tuple[PracticalInFile, Any]:
    """The practical in a document, and the document itself. Raises `DocumentProblem`."""
    found = _json(data)
    if not isinstance(found, dict) or found.get("format") != FORMAT:
        raise DocumentProblem(N_("This JSON file is not the document of a practical. Nothing was stored."))
    version = found.get("format_version")
    if not isinstance(version, int) or version > FORMAT_VERSION:
        raise DocumentProblem(
            N_(
                "The document has form %(found)s, and this program reads up to form %(known)s. Bring the "
                "program up to date, then bring the file in again. Nothing was stored."
            ),
            found=str(version)[:20],
            known=str(FORMAT_VERSION),
        )
    try:
        with_kit = "pieces" in found
        whole = fields(found if with_kit else MADE_WITHOUT | found, "document", _PARTS)
        return _Reading(whole, with_kit=with_kit).practical(), found
    except RecursionError:
        raise Misfit("document") from None


def _json(data: bytes) -> Any:
    if len(data) > LARGEST_DOCUMENT:
        raise DocumentProblem(
            N_("The document is larger than %(most)s MB, more than any practical. Nothing was stored."),
            most=str(LARGEST_DOCUMENT // 1024**2),
        )
    if not data.strip():
        raise DocumentProblem(N_("The file is empty. Take the practical away again, and bring that file in."))
    try:
        return exact_json.loads(data.decode("utf-8-sig"))
    except UnicodeDecodeError:
        raise DocumentProblem(
            N_("The file is not UTF-8 text, so it is no document of a practical. Nothing was stored.")
        ) from None
    except (ValueError, ArithmeticError, RecursionError):
        raise DocumentProblem(
            N_(
                "The file is not whole JSON: it was cut or changed after it was written. Nothing was stored. "
                "Take the practical away again, and bring that file in."
            )
        ) from None


class _Reading:
    """One document while it is read."""

    def __init__(self, found: Mapping[str, Any], *, with_kit: bool) -> None:
        self.found, self.with_kit = found, with_kit
        self.key = _uuid(found["key"], "key")
        people = [fields(one, "people", {"key", "name"}) for one in listed(found["people"], "people", 10_000)]
        self.people = {
            _uuid(one["key"], "people"): text(one["name"], "people", LONGEST_NAME) for one in people
        }
        self.pieces = pieces_in(found["pieces"])
        self.runs: list[RunInFile] = []

    def practical(self) -> PracticalInFile:
        found = self.found
        text(found["software"], "software", 100)
        text(found["department"], "department", LONGEST_NAME)
        practical, beside = row(Practical, found["practical"], "practical", "teacher")
        if practical["language"] not in (None, *LANGUAGES) or not _are_texts(practical["typed"]):
            raise Misfit("practical")
        if practical["own_questions"] is not None and not _are_texts(practical["own_questions"]):
            raise Misfit("practical.own_questions")
        lines = items(found["bench_plans"], "bench_plans", MOST_BENCHES)
        benches = self._benches()
        return PracticalInFile(
            key=self.key,
            people=self.people,
            teacher=self._person(beside["teacher"], "practical.teacher", needed=True) or "",
            practical=practical,
            bench_plans=[row(BenchPlan, line, where)[0] for line, where in lines],
            pieces=self.pieces,
            kits=kits_in(found["bench_kits"], self.pieces),
            benches=benches,
            runs=self.runs,
            results=self._results(),
            history=self._history(),
            held=self._held(len(benches)),
        )

    def _results(self) -> list[RowInFile]:
        results = []
        for one, where in items(self.found["results"], "results", MOST_OF_A_KIND):
            results.append(self._told(KeptResult, one, where))
            if not is_result(results[-1].columns["result"]):
                raise Misfit(f"{where}.result")
        return results

    def _history(self) -> list[RowInFile]:
        history = []
        for one, where in items(self.found["history"], "history", MOST_OF_A_KIND):
            history.append(self._told(StateChange, one, where))
            columns = history[-1].columns
            if columns["kind"] == HistoryKind.BROUGHT_IN and columns["detail"] != self.key:
                raise Misfit(where)
        return history

    def _benches(self) -> list[Columns]:
        """The benches in their order; their runs are put into `runs`, in the order in which they came in."""
        read = []
        for one, where in items(self.found["benches"], "benches", MOST_BENCHES):
            columns, beside = row(Bench, one, where, "key", "order", "runs")
            _uuid(beside["key"], f"{where}.key")
            order = whole_number(beside["order"], f"{where}.order", 1)
            read.append((order, columns, items(beside["runs"], f"{where}.runs", MOST_OF_A_KIND)))
        if sorted(order for order, *_ in read) != list(range(1, len(read) + 1)):
            raise Misfit("benches")
        for order, _, runs in read:
            self.runs += [self._run(order - 1, run, where) for run, where in runs]
        self.runs.sort(key=lambda run: run.versions[0].order)
        for name in ("versions", "decisions"):
            orders = sorted(one.order for run in self.runs for one in getattr(run, name))
            if orders != list(range(1, len(orders) + 1)):
                raise Misfit(name)
        return [columns for _, columns, _ in sorted(read, key=lambda one: one[0])]

    def _run(self, bench: int, found: Any, where: str) -> RunInFile:
        if isinstance(found, dict):  # an older document has neither
            found = {"came_too_fast": False} | ({} if self.with_kit else {"pieces": {}}) | found
        columns, beside = row(Run, found, where, "key", "pieces", "versions", "decisions")
        columns["idempotency_key"] = _run_key(beside["key"], f"{where}.key")
        versions = [
            self._version(one, place)
            for one, place in items(beside["versions"], f"{where}.versions", MOST_OF_A_KIND)
        ]
        decisions = [
            self._decision(one, place)
            for one, place in items(beside["decisions"], f"{where}.decisions", MOST_OF_A_KIND)
        ]
        numbers = [version.columns["version"] for version in versions]
        if not versions or numbers != list(range(1, columns["latest_version"] + 1)):
            raise Misfit(f"{where}.latest_version")
        last = decisions[-1].columns["action"] if decisions else None
        if columns["set_aside"] != (last == DecisionAction.SET_ASIDE):
            raise Misfit(f"{where}.set_aside")
        pieces = places_in(beside["pieces"], f"{where}.pieces", self.pieces)
        return RunInFile(bench, columns, versions, decisions, pieces)

    def _version(self, found: Any, where: str) -> RunRowInFile:
        columns, beside = row(RunVersion, found, where, "order", "key", "teacher", "readings")
        if beside["key"] is not None:
            columns["idempotency_key"] = _run_key(beside["key"], f"{where}.key")
        columns |= _readings(beside["readings"], f"{where}.readings")
        order = whole_number(beside["order"], f"{where}.order", 1)
        return RunRowInFile(columns, self._person(beside["teacher"], f"{where}.teacher"), order)

    def _decision(self, found: Any, where: str) -> RunRowInFile:
        columns, beside = row(Decision, found, where, "order", "teacher")
        order = whole_number(beside["order"], f"{where}.order", 1)
        return RunRowInFile(columns, self._person(beside["teacher"], f"{where}.teacher", needed=True), order)

    def _told(self, model: type[KeptResult | StateChange], found: Any, where: str) -> RowInFile:
        columns, beside = row(model, found, where, "teacher")
        return RowInFile(columns, self._person(beside["teacher"], f"{where}.teacher"))

    def _person(self, key: Any, where: str, *, needed: bool = False) -> str | None:
        if key is None and not needed:
            return None
        if not isinstance(key, str) or key not in self.people:
            raise Misfit(where)
        return key

    def _held(self, benches: int) -> dict[str, int] | None:
        if self.found["held_wall"] is None:
            return None
        most = {
            "benches": benches,
            "versions": sum(len(run.versions) for run in self.runs),
            "decisions": sum(len(run.decisions) for run in self.runs),
        }
        held = fields(self.found["held_wall"], "held_wall", set(most))
        shown = {name: whole_number(held[name], f"held_wall.{name}") for name in most}
        if any(shown[name] > most[name] for name in most):
            raise Misfit("held_wall")
        return shown


def _readings(found: Any, where: str) -> dict[str, Any]:
    """The readings of a version as the columns of its row."""
    needed = {one.name for one in QUANTITIES.values() if one.needed}
    if not isinstance(found, dict) or not needed <= set(found) <= set(QUANTITIES):
        raise Misfit(where)
    columns: dict[str, Any] = {}
    for name, one in QUANTITIES.items():
        if name not in found:
            continue
        place = f"{where}.{name}"
        reading = fields(found[name], place, {"typed", "unit", "value"})
        columns[f"{name}_text"] = text(reading["typed"], place, LONGEST_TYPED)
        if one.units:
            columns[f"{name}_unit"] = text(reading["unit"], place, 8)
            columns[one.si_name] = _exact(reading["value"], place)
        else:
            columns[one.si_name] = whole_number(reading["value"], place)
    return columns


def _exact(value: Any, where: str) -> Any:
    try:
        return exact(value)
    except (TypeError, ValueError):
        raise Misfit(where) from None


def _are_texts(value: Mapping[str, Any]) -> bool:
    return all(isinstance(held, str) for held in value.values())


def _uuid(value: Any, where: str) -> str:
    """A key as we write it."""
    try:
        if str(UUID(value)) == value:
            return str(value)
    except (AttributeError, TypeError, ValueError):
        pass
    raise Misfit(where)


def _run_key(value: Any, where: str) -> str:
    key = text(value, where, KEY_LENGTH)
    if len(key) < 16 or not all(one.isascii() and (one.isalnum() or one in "-_") for one in key):
        raise Misfit(where)
    return key
