"""Work that a running server does from time to time, beside its pages."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable
from types import TracebackType

from app.records.errors import StorageProblem

HOUR_SECONDS = 3600.0


class Regularly:
    """Does `work` every so many seconds until the block ends. A failure is noted, and the next time comes."""

    def __init__(self, work: Callable[[], object], every_seconds: float = HOUR_SECONDS) -> None:
        self._work, self._every = work, every_seconds
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._run, name="upkeep", daemon=True)

    def __enter__(self) -> Regularly:
        self._thread.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._stop.set()
        self._thread.join(timeout=10)

    def _run(self) -> None:
        log = logging.getLogger("plumbfall")
        while not self._stop.wait(self._every):
            try:
                self._work()
            except StorageProblem as problem:
                log.warning("upkeep: %s", problem)
            except Exception:
                log.exception("upkeep failed; it is tried again")
