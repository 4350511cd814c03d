"""The classes that the pictures are of: one for each state that a page shows differently."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from app.practicals.benches.own_bench import ask_for_help, note_progress
from app.practicals.board.snapshot import class_snapshot
from app.practicals.lesson.plan import plan_practical
from app.practicals.lesson.states import finish_practical, open_practical, pause_practical
from app.practicals.made_up.demo import demo_plan, simulated_runs, typed_entry
from app.practicals.people.actors import TeacherIdentity
from app.practicals.people.teachers import sign_in
from app.practicals.runs.decisions import set_aside
from app.practicals.runs.sending import enter_run
from app.records.engine import Database
from tests.figures.classes import a_class
from tests.practicals.a_class import PASSWORD, AClass, a_plan, a_teacher, new_key
from tests.web.board.reported import send


@dataclass(frozen=True)
class Scenes:
    """Every class, and the token of the teacher who is signed in."""

    teacher: TeacherIdentity
    token: str
    planned: AClass
    empty: AClass
    busy: AClass
    paused: AClass
    finished: AClass
    four: AClass
    many: AClass
    most: AClass

    def run_id(self, group: AClass) -> int:
        """A run of that class."""
        return class_snapshot(group.database, group.practical_id, actor=self.teacher).runs[0].run_id


def set_up(database: Database) -> Scenes:
    """All classes of one head of department."""
    teacher = a_teacher(database, login="ada", is_head=True)
    scenes = Scenes(
        teacher=teacher,
        token=_signed_in(database, teacher),
        planned=AClass(
            database,
            teacher,
            plan_practical(
                database, actor=teacher, plan=a_plan(title="Planned", planned_benches=10), now=_now()
            ),
        ),
        empty=_open(database, teacher, title="Open, no run yet", planned_benches=12),
        busy=_busy(database, teacher),
        paused=_open(database, teacher, title="Paused", planned_benches=4),
        finished=_open(database, teacher, title="Finished", planned_benches=6),
        four=_open(database, teacher, title="Four benches", planned_benches=4),
        many=_open(database, teacher, title="Twenty-four benches", planned_benches=24),
        most=_open(database, teacher, title="Thirty-two benches, one mass", planned_benches=32),
    )
    send(scenes.paused, a_class(3))
    send(scenes.finished, a_class(6))
    send(scenes.four, a_class(4))
    send(scenes.many, a_class(24, 3))
    send(scenes.most, a_class(32, masses=(0.5,)))
    pause_practical(database, actor=teacher, practical_id=scenes.paused.practical_id, now=_now())
    finish_practical(database, actor=teacher, practical_id=scenes.finished.practical_id, now=_now())
    return scenes


def _now() -> datetime:
    return datetime.now(UTC)


def _signed_in(database: Database, teacher: TeacherIdentity) -> str:
    return sign_in(database, login=teacher.login, password=PASSWORD, address="", now=_now()).token


def _open(database: Database, teacher: TeacherIdentity, **plan: object) -> AClass:
    planned = plan_practical(database, actor=teacher, plan=a_plan(**plan), now=_now())
    return AClass(
        database,
        teacher,
        open_practical(database, actor=teacher, practical_id=planned.practical_id, now=_now()),
    )


def _busy(database: Database, teacher: TeacherIdentity) -> AClass:
    """The made-up class, with a hand up, one bench counting and one run set aside."""
    began = _now() - timedelta(minutes=38)
    plan = demo_plan(began)
    planned = plan_practical(database, actor=teacher, plan=plan, now=began)
    group = AClass(
        database,
        teacher,
        open_practical(database, actor=teacher, practical_id=planned.practical_id, now=began),
    )
    benches = {number: group.join(number) for number in range(1, 14)}
    for run in simulated_runs(plan):
        number = int(run.recorded.bench)
        enter_run(
            database,
            actor=benches[number],
            key=new_key(),
            entry=typed_entry(run.recorded, number),
            now=_now(),
        )
    ask_for_help(database, actor=benches[3], wanted=True, now=_now())
    note_progress(database, actor=benches[13], progress="counting", now=_now(), counted_so_far=24)
    aside = class_snapshot(database, group.practical_id, actor=teacher).runs_of(5)[0]
    set_aside(
        database,
        actor=teacher,
        run_id=aside.run_id,
        reason="tube was dropped",
        expected_revision=aside.run_revision,
        now=_now(),
    )
    return group
