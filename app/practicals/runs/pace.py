"""Whether a bench can have made a run by the time it comes in. Pure; every moment is the server's.

A phone that was without the network sends several runs at once, and they are real. So a bench is allowed
what it can have made since it joined, back to back, each run in the shortest time in which one is made.
A phone's own clock is never asked: whoever makes runs up sets it as they like.
"""

from __future__ import annotations

from datetime import datetime, timedelta

from app.physics.limits import (
    MOST_RUNS_OF_A_BENCH,
    SHORTEST_INVERSION_S,
    SHORTEST_READINGS_S,
    USUAL_RUNS,
)


def shortest_run(inversions: int) -> timedelta:
    """The shortest time in which a run of so many inversions can be made."""
    return timedelta(seconds=SHORTEST_READINGS_S + SHORTEST_INVERSION_S * inversions)


def busy_with(
    inversions: int, *, planned: int, joined_at: datetime, busy_until: datetime | None, now: datetime
) -> datetime | None:
    """The soonest at which the bench can have made this run as well; None: it came too fast.

    `busy_until` is the answer to the bench's last run that came in time, None before the first. Of more
    inversions than `planned` the surplus takes no time here: it is a slip of the pen as often as not.
    A bench that has just joined has `USUAL_RUNS` to its credit, and one that sent nothing for hours as many
    as a lesson can hold.
    """
    takes = shortest_run(min(inversions, planned))
    on_joining = min(joined_at, now) - USUAL_RUNS * shortest_run(planned)
    if busy_until is None or busy_until > now:  # later than now: the server's clock was put back
        busy_until = on_joining
    until = max(busy_until, now - MOST_RUNS_OF_A_BENCH * takes) + takes
    return until if until <= now else None
