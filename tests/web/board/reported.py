"""Runs sent to a practical, bench by bench, as phones would send them."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from decimal import Decimal

from app.analysis.readings import RunReadings
from app.practicals.lesson.details import Typed
from app.practicals.people.actors import BenchIdentity
from app.practicals.runs.entry import RunEntry
from app.practicals.runs.sending import enter_run
from tests.practicals.a_class import AClass, new_key


def send(group: AClass, runs: Iterable[RunReadings]) -> None:
    """Each run from a phone of its bench, three minutes after the one before, the last one now."""
    phones: dict[str, BenchIdentity] = {}
    runs = list(runs)
    for left, run in zip(reversed(range(len(runs))), runs, strict=True):
        at = datetime.now(UTC) - timedelta(minutes=3 * left)
        phone = phones.get(run.bench) or phones.setdefault(run.bench, group.join(int(run.bench)))
        enter_run(group.database, actor=phone, key=new_key(), entry=entry_of(run), now=at)


def entry_of(run: RunReadings) -> RunEntry:
    """The run as typed in grams and centimetres."""
    mass, length, allowance = run.shot_mass_kg * 1000, run.tube_length_m * 100, run.end_allowance_m * 100
    return RunEntry(
        {
            "shot_mass": _typed(mass, "g", 1000),
            "tube_length": _typed(length, "cm", 100),
            "end_allowance": _typed(allowance, "cm", 100),
            "inversions": _typed(run.inversions, "", 1),
            "start_temperature": _typed(run.start_temperature_C, "°C", 1),
            "end_temperature": _typed(run.end_temperature_C, "°C", 1),
        }
    )


def _typed(number: float, unit: str, per_SI: int) -> Typed:
    text = f"{number:.6g}"
    return Typed(text, Decimal(text) / per_SI, unit)
