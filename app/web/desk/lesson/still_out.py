"""What may still be on its way when the teacher wants to finish. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from app.practicals.benches.watch import BenchDetails


@dataclass(frozen=True)
class StillOut:
    """Runs that phones said they hold, with their benches, and benches in the middle of a run.

    `phones` says whether any phone is joined: one that lost the network cannot say what it holds.
    """

    runs: int
    holding: tuple[int, ...]
    in_a_run: tuple[int, ...]
    phones: bool


def still_out(benches: Iterable[BenchDetails]) -> StillOut:
    """As the phones last told it."""
    real = [bench for bench in benches if not bench.simulated]
    return StillOut(
        runs=sum(bench.waiting_to_send for bench in real),
        holding=tuple(bench.number for bench in real if bench.waiting_to_send),
        in_a_run=tuple(bench.number for bench in real if bench.phones and bench.progress.in_a_run),
        phones=any(bench.phones for bench in real),
    )
