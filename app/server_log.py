"""The log of a running server: one line for each thing that whoever runs it should know, on standard error.

Lines say what happened, when, on which route and to which number of an account, a bench or a browser. What
people typed, their names, codes, tokens and addresses are in none: a line is made of words and numbers given
to it one by one, and of a failure of ours it says where in the program, not what was in its hands.
"""

from __future__ import annotations

import logging
import sys
import threading
import time
import traceback
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType
from typing import Any, TextIO

import structlog
from structlog.typing import EventDict, Processor

NAME = "plumbfall"
LINES_A_MINUTE = 20
"""Of one kind on one route: a flood of refused requests must not fill the disk (own choice)."""
FRAMES = 6
"""Of a failure's way through the program, the innermost (own choice)."""
_ROOT = Path(__file__).resolve().parent.parent


class Sparing:
    """Lets some lines of one kind through a minute, and says later how many it left out."""

    def __init__(self, most: int = LINES_A_MINUTE, seconds: float = 60.0) -> None:
        self._most, self._seconds = most, seconds
        self._since, self._said = 0.0, dict[tuple[object, ...], int]()
        self._turn = threading.Lock()

    def begin_again(self) -> None:
        """As if nothing had been said yet."""
        with self._turn:
            self._since, self._said = 0.0, {}

    def __call__(self, _logger: Any, _method: str, line: EventDict) -> EventDict:
        kind = (line.get("event"), line.get("status"), line.get("route"))
        with self._turn:
            now, more = time.monotonic(), {}
            if now - self._since >= self._seconds or not self._since:
                left_out = sum(max(0, count - self._most) for count in self._said.values())
                more = {"left_out_before": left_out} if left_out else {}
                self._since, self._said = now, {}
            self._said[kind] = self._said.get(kind, 0) + 1
            if self._said[kind] > self._most:
                raise structlog.DropEvent
        return {**line, **more}


SPARING = Sparing()
structlog.configure(
    processors=[
        structlog.stdlib.filter_by_level,
        SPARING,
        structlog.stdlib.ProcessorFormatter.wrap_for_formatter,
    ],
    logger_factory=structlog.stdlib.LoggerFactory(),
    wrapper_class=structlog.stdlib.BoundLogger,
    cache_logger_on_first_use=False,
)
LOG: structlog.stdlib.BoundLogger = structlog.stdlib.get_logger(NAME)


@contextmanager
def logging_to(stream: TextIO | None = None, form: str = "plain") -> Iterator[None]:
    """Everything that is logged goes to this stream (standard error) until the block ends."""
    handler = logging.StreamHandler(stream or sys.stderr)
    handler.setFormatter(_formatter(form))
    root, ours = logging.getLogger(), logging.getLogger(NAME)
    level = ours.level
    SPARING.begin_again()
    root.addHandler(handler)
    ours.setLevel(logging.INFO)
    try:
        yield
    finally:
        root.removeHandler(handler)
        ours.setLevel(level)


def _formatter(form: str) -> logging.Formatter:
    common: list[Processor] = [
        structlog.stdlib.add_log_level,
        structlog.processors.TimeStamper(fmt="iso", utc=True),
        _where_it_failed,
    ]
    return structlog.stdlib.ProcessorFormatter(
        foreign_pre_chain=[_of_others],
        processors=[
            *common,
            structlog.stdlib.ProcessorFormatter.remove_processors_meta,
            structlog.processors.JSONRenderer(ensure_ascii=False) if form == "json" else _plain,
        ],
    )


def _of_others(_logger: Any, _method: str, line: EventDict) -> EventDict:
    """A library's line: its unfilled words, since nobody here knows what it would fill in."""
    record: logging.LogRecord = line["_record"]
    if record.name != NAME:
        line["event"] = f"{record.name}: {record.msg if isinstance(record.msg, str) else '-'}"
    return line


def _where_it_failed(_logger: Any, _method: str, line: EventDict) -> EventDict:
    """The kind of a failure and its way through the program, without its words, which may quote a form."""
    found = line.pop("exc_info", None)
    record: logging.LogRecord | None = line.get("_record")
    found = record.exc_info if record is not None and record.exc_info else found
    if record is not None:
        record.exc_info = record.exc_text = None  # else the formatter would write its words after the line
    if found is True:
        found = sys.exc_info()
    error = found[1] if isinstance(found, tuple) else found
    if isinstance(error, BaseException):
        line["failure"] = type(error).__name__
        line["at"] = " < ".join(_frames(error.__traceback__))
    return line


def _frames(trace: TracebackType | None) -> list[str]:
    frames = traceback.extract_tb(trace)[-FRAMES:]
    return [f"{_short(frame.filename)}:{frame.lineno} {frame.name}" for frame in reversed(frames)]


def _short(name: str) -> str:
    path = Path(name)
    if path.is_relative_to(_ROOT):
        return path.relative_to(_ROOT).as_posix()
    return "/".join(path.parts[-2:])


def _plain(_logger: Any, _method: str, line: EventDict) -> str:
    """Time, weight, what happened, then name=value; on one line whatever is in it."""
    time_said, level, event = line.pop("timestamp"), line.pop("level"), line.pop("event")
    words = " ".join((str(event), *(f"{name}={value}" for name, value in line.items())))
    return f"{time_said} {level:<8} {' '.join(words.split())}"
