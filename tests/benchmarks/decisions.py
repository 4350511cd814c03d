"""What the decisions page costs where many runs are flagged, in processor time.

    python -m tests.benchmarks.decisions [--benches 50] [--runs 20]

Every run ends colder than it started, so every run is flagged. The class is analysed once for the lesson
page; the decisions are then a page of ten runs, and each run set aside has the class analysed anew.
"""

from __future__ import annotations

import argparse
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TypeVar

from app import create_app
from app.practicals.benches.rows import add_bench
from app.practicals.board.snapshot import class_snapshot
from app.practicals.lesson.permission import raise_revision
from app.practicals.lesson.plan import plan_practical
from app.practicals.lesson.states import open_practical
from app.practicals.people.actors import TeacherIdentity
from app.practicals.runs.entry import columns_of
from app.practicals.runs.storing import add_run, add_version
from app.records.engine import Database
from app.records.migrate import upgrade
from app.records.models import Practical
from app.settings import Settings
from tests.analysis.classes import simulated_runs
from tests.practicals.a_class import NOW, AClass, a_plan, a_teacher, new_key
from tests.web.board.reported import entry_of
from tests.web.desk.conftest import Reader

T = TypeVar("T")


def measured(what: str, act: Callable[[], T]) -> T:
    """Print the processor seconds of the act."""
    began = time.process_time()
    answer = act()
    print(f"  {what:45} {time.process_time() - began:8.2f} s")
    return answer


def a_cold_class(database: Database, teacher: TeacherIdentity, benches: int, runs: int) -> AClass:
    """A practical whose every run has start and end exchanged, stored in one transaction."""
    plan = a_plan(planned_benches=benches)
    made = plan_practical(database, actor=teacher, plan=plan, now=NOW)
    practical = open_practical(database, actor=teacher, practical_id=made.practical_id, now=NOW)
    with database.writing() as session:
        of_number = {n: add_bench(session, made.practical_id, n, NOW) for n in range(1, benches + 1)}
        for run in simulated_runs(3, benches=benches, runs=runs):
            start, end = round(run.start_temperature_C, 1), round(run.end_temperature_C, 1)
            columns = columns_of(entry_of(replace(run, start_temperature_C=end, end_temperature_C=start)))
            digest, bench = columns["body_digest"], of_number[int(run.bench)]
            bench.waits_for_teacher = False
            row = add_run(session, bench, int(run.run), new_key(), digest, NOW)
            add_version(session, row, teacher, NOW, columns)
        raise_revision(session.get_one(Practical, made.practical_id))
    return AClass(database, teacher, practical)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.split("\n", 1)[0])
    parser.add_argument("--benches", type=int, default=50)
    parser.add_argument("--runs", type=int, default=20)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        environ = {"PLUMBFALL_DATA": folder, "DATABASE_URL": f"sqlite:///{Path(folder) / 'records.db'}"}
        application = create_app(Settings.from_environment(environ))
        database = application.extensions["plumbfall_database"]
        upgrade(database)
        teacher = a_teacher(database)
        one = a_cold_class(database, teacher, asked.benches, asked.runs)
        desk = Reader(application.test_client()).sign_in(teacher.login)
        address = f"/desk/{one.practical_id}"
        print(f"{asked.benches} benches x {asked.runs} runs, all flagged, processor time:")
        measured("the lesson page, with the analysis", lambda: desk.text(f"{address}/"))
        measured("the decisions, first page", lambda: desk.text(f"{address}/decisions"))
        measured("the decisions, last page", lambda: desk.text(f"{address}/decisions?page=100000"))
        run = class_snapshot(database, one.practical_id, actor=teacher).runs[0]
        form = {"run_revision": "1", "action": "set-aside", "reason": "for the benchmark", "page": "1"}
        measured("one run set aside", lambda: desk.post(f"{address}/run/{run.run_id}/decide", **form))
        measured("the decisions after it, analysed anew", lambda: desk.text(f"{address}/decisions"))
        database.close()


if __name__ == "__main__":
    main()
