"""What a decision about one run would do to the class's result.

Setting a run or its bench aside is read from the same draws as the result itself; counting a run again and
correcting one are fitted anew. Nothing is changed.
"""

from __future__ import annotations

import threading
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from cachetools import LRUCache, cached

from app.analysis.readings import ClassSettings, RunReadings
from app.analysis.results import ClassResult
from app.practicals.board.snapshot import Snapshot

if TYPE_CHECKING:
    from app.analysis.if_decided import IfDecided, Outcome

KEPT_FITS = 2
"""A fit holds many megabytes of draws, and more the more it is asked."""
KEPT_OUTCOMES = 512
"""An outcome is a few figures."""

_Readings = tuple[RunReadings, ...]


@dataclass(frozen=True)
class Effects:
    """The result as it stands, with this run the other way, with its whole bench set aside, and with the
    run's suspected slip undone; None where that is no other result."""

    as_it_stands: Outcome
    the_other_way: Outcome
    bench_set_aside: Outcome | None
    slip_undone: Outcome | None


def what_if(snapshot: Snapshot, bench_number: int, run_number: int) -> Effects:
    """The effects of deciding about one run of the snapshot."""
    result = _result_in(snapshot)
    settings, readings = result.settings, _readings_in(result)
    numbers = [(one.bench_number, one.number) for one in snapshot.runs]
    place = numbers.index((bench_number, run_number))
    this = readings[place]
    slip = result.runs[place].suspected_slip
    with_it = sum(one.bench == this.bench and not one.set_aside for one in readings)
    return Effects(
        as_it_stands=_as_it_stands(result),
        the_other_way=_if_fitted(_with(readings, place, this), settings)
        if this.set_aside
        else _if_set_aside(readings, settings, place),
        bench_set_aside=_if_set_aside(readings, settings, this.bench) if with_it > 1 else None,
        slip_undone=_if_fitted(_with(readings, place, slip.readings), settings) if slip else None,
    )


def with_every_run(snapshot: Snapshot) -> Outcome:
    """The result with nothing set aside, of a snapshot with runs."""
    result = _result_in(snapshot)
    readings = _readings_in(result)
    if not any(run.set_aside for run in readings):
        return _as_it_stands(result)
    return _if_fitted(tuple(replace(run, set_aside=False) for run in readings), result.settings)


def _result_in(snapshot: Snapshot) -> ClassResult:
    if snapshot.result is None:
        raise ValueError("a class without runs has nothing to decide")
    return snapshot.result


def _readings_in(result: ClassResult) -> _Readings:
    return tuple(run.readings for run in result.runs)


def _as_it_stands(result: ClassResult) -> Outcome:
    from app.analysis.if_decided import Outcome  # noqa: PLC0415 - brings scipy

    return Outcome(result.class_value, result.class_value_absent_because, result.separated)


@cached(LRUCache(KEPT_OUTCOMES), condition=threading.Condition())
def _if_fitted(readings: _Readings, settings: ClassSettings) -> Outcome:
    """What these readings give. Nothing else is asked of their fit, so it is not kept."""
    from app.analysis.if_decided import IfDecided  # noqa: PLC0415 - brings scipy

    return IfDecided(readings, settings).as_it_stands()


@cached(LRUCache(KEPT_OUTCOMES), condition=threading.Condition())
def _if_set_aside(readings: _Readings, settings: ClassSettings, which: int | str) -> Outcome:
    """What these readings give without the run at this position, or without the bench of this label."""
    fit = _fitted(readings, settings)
    return fit.run_set_aside(which) if isinstance(which, int) else fit.bench_set_aside(which)


@cached(LRUCache(KEPT_FITS), condition=threading.Condition())
def _fitted(readings: _Readings, settings: ClassSettings) -> IfDecided:
    from app.analysis.if_decided import IfDecided  # noqa: PLC0415 - brings scipy

    return IfDecided(readings, settings)


def _with(readings: _Readings, place: int, run: RunReadings) -> _Readings:
    """The readings with this run counted in the place of another."""
    return (*readings[:place], replace(run, set_aside=False), *readings[place + 1 :])
