"""The lists: what they cost with thousands of practicals, beside what they cost with none."""

from __future__ import annotations

import statistics
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from app import create_app
from app.records.migrate import upgrade
from app.settings import Settings
from tests.benchmarks.records.filled import fill
from tests.practicals.a_class import a_teacher
from tests.web.desk.conftest import Reader

PAGES = {
    "archive": ("/department/", 3.0),
    "archive, last page": ("/department/?page=100000", 3.0),
    "archive, words": ("/department/?words=class+3+lead", None),
    "archive, a year": ("/department/?year=2021&metal=copper", None),
    "teacher's home": ("/desk/", 3.0),
    "a year at a glance": ("/department/year/2021/", None),
    "over the years": ("/department/years/", None),
}
"""Address of each, and the times the empty page that it may take; None: no aim."""
TIMES = 15


def measure(practicals: int) -> None:
    """Print each page's processor time with so many practicals, with none, and their ratio."""
    print(f"Lists, {practicals} practicals of 8 teachers, median processor time of {TIMES}, in turns:")
    with _desk(0) as empty, _desk(practicals) as full:
        for name, (address, aim) in PAGES.items():
            for reader in (empty, full):
                reader.text(address)  # templates are compiled, and so on
            pairs = [(_seconds(empty, address), _seconds(full, address)) for _ in range(TIMES)]
            without, with_all = (statistics.median(side) for side in zip(*pairs, strict=True))
            judged = (
                ""
                if aim is None
                else f"  (at most {aim:.0f}: {'met' if with_all <= aim * without else 'MISSED'})"
            )
            print(
                f"  {name:22} {1000 * without:7.1f} ms → {1000 * with_all:7.1f} ms"
                f"   ×{with_all / without:5.2f}{judged}"
            )


@contextmanager
def _desk(practicals: int) -> Iterator[Reader]:
    with tempfile.TemporaryDirectory() as folder:
        environ = {"PLUMBFALL_DATA": folder, "DATABASE_URL": f"sqlite:///{Path(folder) / 'records.db'}"}
        application = create_app(Settings.from_environment(environ))
        database = application.extensions["plumbfall_database"]
        upgrade(database)
        teachers = [a_teacher(database, f"teacher-{number}") for number in range(8)]
        if practicals:
            fill(database, teachers, practicals)
        yield Reader(application.test_client()).sign_in(teachers[0].login)
        database.close()


def _seconds(reader: Reader, address: str) -> float:
    began = time.process_time()
    reader.text(address)
    return time.process_time() - began
