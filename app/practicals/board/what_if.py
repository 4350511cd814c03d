"""What a decision about one run would do to the class's result.

Setting a run or its bench aside is read from the same draws as the result itself; counting a run again and
correcting one are fitted anew. The snapshot gathers what is stored, `other_readings` decides what else it
would be, without a database or a clock, and the analysis answers. Nothing is changed.
"""

from __future__ import annotations

import threading
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from cachetools import LRUCache, cached

from app.analysis.readings import ClassSettings, RunReadings
from app.analysis.results import RunResult
from app.practicals.board.snapshot import Snapshot, settings_of

if TYPE_CHECKING:
    from app.analysis.if_decided import IfDecided, Outcome

KEPT_CLASSES = 16
"""A fit holds some megabytes of draws."""

_Readings = tuple[RunReadings, ...]


@dataclass(frozen=True)
class Effects:
    """The result as it stands, with this run the other way, with its whole bench set aside, and with the
    run's suspected slip undone; None where that is no other result."""

    as_it_stands: Outcome
    the_other_way: Outcome
    bench_set_aside: Outcome | None
    slip_undone: Outcome | None


@dataclass(frozen=True)
class OtherReadings:
    """The class's readings with one run counted, and with its suspected slip undone."""

    counted: _Readings
    slip_undone: _Readings | None


def what_if(snapshot: Snapshot, bench_number: int, run_number: int) -> Effects:
    """The effects of deciding about one run."""
    result, settings = snapshot.result, settings_of(snapshot.practical.plan)
    readings = snapshot.readings
    numbers = [(one.bench_number, one.number) for one in snapshot.runs]
    place = numbers.index((bench_number, run_number))
    this = readings[place]
    other = other_readings(readings, place, result.runs[place] if result else None)
    as_it_stands = _fitted(readings, settings)
    with_it = sum(one.bench == this.bench and not one.set_aside for one in readings)
    return Effects(
        as_it_stands=as_it_stands.as_it_stands(),
        the_other_way=_fitted(other.counted, settings).as_it_stands()
        if this.set_aside
        else as_it_stands.run_set_aside(place),
        bench_set_aside=as_it_stands.bench_set_aside(this.bench) if with_it > 1 else None,
        slip_undone=_fitted(other.slip_undone, settings).as_it_stands() if other.slip_undone else None,
    )


def with_every_run(snapshot: Snapshot) -> Outcome:
    """The result with nothing set aside."""
    readings = tuple(replace(run, set_aside=False) for run in snapshot.readings)
    return _fitted(readings, settings_of(snapshot.practical.plan)).as_it_stands()


def other_readings(readings: _Readings, place: int, worked: RunResult | None) -> OtherReadings:
    """What the readings would be after each decision about the run at this place. Pure."""
    this = readings[place]
    slip = worked.suspected_slip if worked else None
    return OtherReadings(
        counted=_with(readings, place, replace(this, set_aside=False)),
        slip_undone=_with(readings, place, replace(slip.readings, set_aside=False)) if slip else None,
    )


@cached(LRUCache(KEPT_CLASSES), condition=threading.Condition())
def _fitted(readings: _Readings, settings: ClassSettings) -> IfDecided:
    from app.analysis.if_decided import IfDecided  # noqa: PLC0415 - brings scipy

    return IfDecided(readings, settings)


def _with(readings: _Readings, place: int, run: RunReadings) -> _Readings:
    return (*readings[:place], run, *readings[place + 1 :])
