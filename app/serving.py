"""A production server that no stalled phone can hold up, and what it does from time to time beside its pages.

A phone at the edge of the Wi-Fi, or one that means harm, may send half a request and no more. The server
takes whole requests in on one loop and gives a thread only to those that have arrived, so that half-sent
ones keep nobody else waiting. Answers that a phone is slow to fetch wait in the same way. `connections` says
which connections are ended.
"""

from __future__ import annotations

import logging
import signal
import sys
import threading
from collections.abc import Callable
from datetime import UTC, datetime
from types import TracebackType
from typing import Any, NoReturn

from flask import Flask

from app.practicals.archive.overdue import keep_results_due
from app.practicals.people.access import end_sign_ins_of_older_records
from app.practicals.people.passwords import QUEUES
from app.practicals.upkeep.tidying import tidy
from app.records.errors import StorageProblem
from app.records.running import Mark
from app.server_log import LOG, logging_to
from app.settings import Settings
from app.web.storage import backups_of, database_of

LARGEST_HEAD = 32 * 1024
LARGEST_BODY = 8 * 1024 * 1024  # the application refuses far less, with a sentence


def serve(app: Flask, settings: Settings, mark: Mark | None = None) -> None:
    """Serve until stopped. `mark` is the server's own, which is looked after meanwhile.

    SQLite wants one process; nothing in process memory matters to correctness, so with
    PostgreSQL more processes or hosts may be started beside this one.
    """
    from app.connections import create_server  # noqa: PLC0415 - loads waitress, which only serving needs

    if threading.current_thread() is threading.main_thread():
        signal.signal(signal.SIGTERM, _leave)
    logging.getLogger("waitress.queue").setLevel(logging.ERROR)  # a short wait in a busy minute is no fault
    QUEUES.share(settings.threads)
    server = create_server(
        app,
        behind_proxy=settings.proxy_hops > 0,
        host=settings.host,
        port=settings.port,
        threads=settings.threads,
        max_request_header_size=LARGEST_HEAD,
        max_request_body_size=LARGEST_BODY,
        # Forwarded headers are one layer's business (app/web/security.py), with an exact hop count.
        clear_untrusted_proxy_headers=False,
        ident=None,
    )
    records = "SQLite" if database_of(app).is_sqlite else "PostgreSQL"
    with (
        logging_to(form=settings.log_form),
        Regularly(lambda: _upkeep(app, settings)),
        Regularly(lambda: _each_minute(app, mark), every_seconds=MINUTE_SECONDS),
    ):
        LOG.info("server starts", records=records, threads=settings.threads)
        server.run()
        LOG.info("server stops")


def _each_minute(app: Flask, mark: Mark | None) -> None:
    if mark is not None:
        mark.renew()
    if (backups := backups_of(app)) is not None:
        backups.look(datetime.now(UTC))


def _upkeep(app: Flask, settings: Settings) -> None:
    now = datetime.now(UTC)
    database = database_of(app)
    if (back := end_sign_ins_of_older_records(database, now=now)) is not None:
        LOG.warning(
            "records went back to a backup", sign_ins_ended=back.ended, accounts_on_again=len(back.revived)
        )
    tidy(database, now=now, today=settings.local_day(now))
    keep_results_due(database)


def _leave(_signal: int, _frame: Any) -> NoReturn:
    """Stop like Ctrl-C does: what is being answered is finished first."""
    sys.exit(0)


HOUR_SECONDS, MINUTE_SECONDS = 3600.0, 60.0


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
