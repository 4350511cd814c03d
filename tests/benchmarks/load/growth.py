"""Does it stay as quick in a larger class and with more practicals? Ratios of large to small; 1 is flat.

Entry and poll: a class of 99 benches beside one of 4; records with 10,000 practicals beside those with 10.
The analysis: 99 benches beside 4, as times of what linear growth would take.
"""

from __future__ import annotations

import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from functools import partial
from itertools import count
from pathlib import Path
from statistics import median

from app import create_app
from app.analysis.analyse import analyse_class
from app.practicals.benches.joining import join_bench
from app.practicals.lesson.plan import plan_practical
from app.practicals.lesson.states import open_practical
from app.practicals.people.actors import BenchIdentity
from app.records.migrate import open_database
from app.settings import Settings
from tests.analysis.classes import LEAD, simulated_runs
from tests.benchmarks.load.phones import READINGS
from tests.benchmarks.records.filled import fill
from tests.benchmarks.rows import ROUNDS, Row
from tests.practicals.a_class import NOW, AClass, a_plan, a_teacher, new_key
from tests.web.desk.conftest import Reader

SMALL, LARGE = 4, 99
FEW, MANY = 10, 10_000
ENTRIES, POLLS = 8, 40


def rows(practicals: int = MANY) -> Iterator[Row]:
    """The rows of this benchmark, in processor time."""
    with ExitStack() as stack:
        folders = [Path(stack.enter_context(tempfile.TemporaryDirectory())) for _ in range(2)]
        few, many = School(folders[0], FEW), School(folders[1], practicals)
        larger, smaller = few.a_class(LARGE), few.a_class(SMALL)
        yield from _rows(f"class of {SMALL} → {LARGE} benches", larger, smaller)
        yield from _rows(f"{FEW} → {practicals} practicals", many.a_class(12), few.a_class(12))
    yield _analysis()


def _rows(what: str, large: Lesson, small: Lesson) -> Iterator[Row]:
    for kind, act, times in (
        ("entry", Lesson.enter, ENTRIES),
        ("board poll", Lesson.poll_board, POLLS),
        ("phone poll", Lesson.poll_phone, POLLS),
    ):
        acts = [partial(act, lesson) for lesson in (large, small)]
        for one in acts:
            one()
        pairs = [[milliseconds(one, times) for one in acts] for _ in range(ROUNDS)]
        ours, theirs = (median(side) for side in zip(*pairs, strict=True))
        ratio = median(own / other for own, other in pairs)
        yield Row(f"{kind}, {what}", "the small one", ours, theirs, "ms", ratio, "0.8 to 1.2", ROUNDS)


def _analysis() -> Row:
    small, large = (simulated_runs(1, benches=benches) for benches in (SMALL, LARGE))
    analyse_class(small, LEAD), analyse_class(large, LEAD)
    pairs = []
    for _ in range(ROUNDS):
        taken = []
        for runs in (large, small):
            began = time.process_time()
            analyse_class(runs, LEAD)
            taken.append(1000 * (time.process_time() - began))
        pairs.append((taken[0], taken[1] * LARGE / SMALL))
    ours, theirs = (median(side) for side in zip(*pairs, strict=True))
    ratio = median(own / linear for own, linear in pairs)
    return Row(
        f"analysis, {LARGE} benches", f"linear from {SMALL}", ours, theirs, "ms", ratio, "at most 1", ROUNDS
    )


def milliseconds(act: Callable[[], object], times: int) -> float:
    """Processor time of one act."""
    began = time.process_time()
    for _ in range(times):
        act()
    return 1000 * (time.process_time() - began) / times


class School:
    """An application whose records hold so many practicals."""

    def __init__(self, folder: Path, practicals: int) -> None:
        environ = {"PLUMBFALL_DATA": str(folder), "DATABASE_URL": f"sqlite:///{folder / 'records.db'}"}
        open_database(environ["DATABASE_URL"]).close()
        self.application = create_app(Settings.from_environment(environ))
        self.database = self.application.extensions["plumbfall_database"]
        self.teacher = a_teacher(self.database)
        fill(self.database, [self.teacher], practicals)

    def a_class(self, benches: int) -> Lesson:
        plan = a_plan(planned_benches=benches)
        made = plan_practical(self.database, actor=self.teacher, plan=plan, now=NOW)
        opened = open_practical(self.database, actor=self.teacher, practical_id=made.practical_id, now=NOW)
        return Lesson(self, AClass(self.database, self.teacher, opened), benches)


class Lesson:
    """A class with all its benches joined; they send in turns."""

    def __init__(self, school: School, lesson: AClass, benches: int) -> None:
        self.phone, self.board = school.application.test_client(), school.application.test_client()
        code, turns = lesson.practical.join_code or "", count()
        joined = [
            join_bench(lesson.database, code=code, bench_number=number, now=NOW)
            for number in range(1, benches + 1)
        ]
        self.tokens = [(one.token, one.bench) for one in joined]
        self.turns = turns
        Reader(self.board).sign_in(lesson.teacher.login)
        self.token = self.phone.get("/bench/token").get_json()["token"]
        self.practical_id = lesson.practical_id
        self.path = f"/board/{lesson.practical_id}/picture"
        self.tags: dict[str, str] = {}

    def _bench(self) -> BenchIdentity:
        token, bench = self.tokens[next(self.turns) % len(self.tokens)]
        self.phone.set_cookie("plumbfall-bench", token)
        return bench

    def enter(self) -> None:
        """One run, of the bench whose turn it is."""
        form = {**READINGS, "key": new_key(), "bench": str(self._bench().bench_id), "waiting": "0"}
        headers = {"X-CSRFToken": self.token, "X-Plumbfall": "script"}
        assert self.phone.post("/bench/send", data=form, headers=headers).status_code == 200
        self.tags.clear()

    def poll_board(self) -> None:
        """The board asks."""
        self._poll(self.board, self.path)

    def poll_phone(self) -> None:
        """One phone asks."""
        if "/bench/class" not in self.tags:
            self._bench()
        self._poll(self.phone, "/bench/class")

    def fetch_piece(self) -> None:
        """One phone fetches what is new."""
        self.tags.clear()
        self.poll_phone()

    def fetch_board(self) -> None:
        """The board fetches what is new."""
        self.tags.clear()
        self.poll_board()

    def _poll(self, client, path: str) -> None:
        headers = {"X-Plumbfall": "script", "If-None-Match": self.tags.get(path, "")}
        answer = client.get(path, headers=headers)
        assert answer.status_code == (304 if self.tags.get(path) else 200)
        self.tags[path] = answer.headers["ETag"]
