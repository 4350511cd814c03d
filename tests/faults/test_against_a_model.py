"""A lesson in any order: the records on both databases agree with a model in plain Python."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)
from sqlalchemy import select

from app.practicals.benches.joining import join_bench
from app.practicals.lesson import states
from app.practicals.lesson.deletions import delete_practical
from app.practicals.lesson.plan import plan_practical
from app.practicals.people.actors import Actor, BenchIdentity
from app.practicals.runs.decisions import decide
from app.practicals.runs.sending import correct_run, enter_run
from app.records.choices import ActorKind, DecisionAction
from app.records.engine import Database
from app.records.errors import Problem
from app.records.models import Bench, Decision, Practical, Run, RunVersion
from tests.faults.plain_model import MOVES, PlainPractical, PlainRun, Refused
from tests.practicals.a_class import NOW, a_plan, a_teacher, an_entry, new_key
from tests.profiles import tries

BENCHES = 4
benches = st.integers(1, BENCHES)
ends = st.sampled_from(["21.4", "21.5", "21.6"])
whose = st.sampled_from([ActorKind.BENCH, ActorKind.TEACHER])
DO: dict[str, Callable[..., Any]] = {name: getattr(states, f"{name}_practical") for name in MOVES}


class Lessons(RuleBasedStateMachine):
    """What teacher and benches may do; each is done to the records and to the model."""

    database: Database

    def __init__(self) -> None:
        super().__init__()
        self.teacher = a_teacher(self.database, login=new_key())
        self._hours = 0
        self._plan()

    @property
    def now(self) -> datetime:
        """Each time an hour later: no run comes faster than it can be made."""
        self._hours += 1
        return NOW + timedelta(hours=self._hours)

    def _plan(self) -> None:
        made = plan_practical(
            self.database, actor=self.teacher, plan=a_plan(planned_benches=BENCHES), now=self.now
        )
        self.practical_id, self.code = made.practical_id, made.join_code
        self.model, self.before = PlainPractical(), made.revision
        self.phones: dict[int, BenchIdentity] = {}
        self.keys: list[str] = []
        self.ids: dict[int, int] = {}

    def _both(self, in_model: Callable[[], Any], in_records: Callable[[], Any]) -> Any:
        """What the records answer; they refuse what the model refuses, and nothing else."""
        try:
            expected = in_model()
        except Refused:
            with pytest.raises(Problem):
                in_records()
            return None
        answer = in_records()
        assert expected is None or expected == answer.number
        return answer

    @initialize()
    def begin(self) -> None:
        """Most lessons come so far; one that is planned anew after it was deleted need not."""
        self.move("open")
        self.join(1)
        self.enter(1, ActorKind.BENCH, "21.4", None)

    @rule(name=st.sampled_from(sorted(MOVES)))
    def move(self, name: str) -> None:
        here = {"actor": self.teacher, "practical_id": self.practical_id, "now": self.now}
        moved = self._both(lambda: self.model.move(name), lambda: DO[name](self.database, **here))
        if moved:
            self.code = moved.join_code

    @rule(number=benches)
    def join(self, number: int) -> None:
        code = self.code or "AAAAAAA"
        joined = self._both(
            lambda: self.model.join(number),
            lambda: join_bench(self.database, code=code, bench_number=number, now=self.now),
        )
        if joined:
            self.phones[number] = joined.bench

    def _actor(self, number: int, by: ActorKind) -> tuple[Actor, dict[str, Any]] | None:
        if by == ActorKind.TEACHER:
            return self.teacher, {"practical_id": self.practical_id, "bench_number": number}
        return (self.phones[number], {}) if number in self.phones else None

    @rule(number=benches, by=whose, end=ends, repeated=st.none() | st.integers(0, 20))
    def enter(self, number: int, by: ActorKind, end: str, repeated: int | None) -> None:
        key = new_key() if repeated is None or not self.keys else self.keys[repeated % len(self.keys)]
        if (who := self._actor(number, by)) is None:
            return
        actor, where = who
        saved = self._both(
            lambda: self.model.enter(number, key, end, by),
            lambda: enter_run(
                self.database, actor=actor, key=key, entry=an_entry(end=end), now=self.now, **where
            ),
        )
        if saved and not saved.repeated:
            self.keys.append(key)
            self.ids[id(self.model.sent[key][2])] = saved.run_id

    def _any_run(self, place: int) -> tuple[int, PlainRun]:
        number, _, run = self.model.sent[self.keys[place % len(self.keys)]]
        return number, run

    @precondition(lambda self: self.keys)
    @rule(place=st.integers(0, 20), by=whose, end=ends, late=st.booleans())
    def correct(self, place: int, by: ActorKind, end: str, late: bool) -> None:
        number, run = self._any_run(place)
        if (who := self._actor(number, by)) is None:
            return
        seen = run.revision - (1 if late else 0)
        self._both(
            lambda: self.model.correct(run, end, by, seen),
            lambda: correct_run(
                self.database,
                actor=who[0],
                run_id=self.ids[id(run)],
                key=new_key(),
                entry=an_entry(end=end),
                reason="read again",
                now=self.now,
                expected_revision=seen,
            ),
        )

    @precondition(lambda self: self.keys)
    @rule(
        place=st.integers(0, 20),
        action=st.sampled_from(DecisionAction),
        reason=st.sampled_from(["leaked", "kept"]),
        late=st.booleans(),
    )
    def decide(self, place: int, action: DecisionAction, reason: str, late: bool) -> None:
        _, run = self._any_run(place)
        seen = run.revision - (1 if late else 0)
        here: dict[str, Any] = {"actor": self.teacher, "run_id": self.ids[id(run)], "now": self.now}
        self._both(
            lambda: self.model.decide(run, action, reason, seen),
            lambda: decide(self.database, action=action, reason=reason, expected_revision=seen, **here),
        )

    @precondition(lambda self: len(self.keys) > 3)
    @rule()
    def delete(self) -> None:
        delete_practical(self.database, actor=self.teacher, practical_id=self.practical_id, now=self.now)
        with self.database.reading() as session:
            for table in (Bench, Run):
                of_it = select(table.id).where(table.practical_id == self.practical_id)
                assert session.scalars(of_it).all() == []
            versions = select(RunVersion.id).where(RunVersion.run_id.in_(self.ids.values()))
            assert session.scalars(versions).all() == []
        self._plan()

    @invariant()
    def the_records_agree(self) -> None:
        with self.database.reading() as session:
            row = session.get_one(Practical, self.practical_id)
            assert (row.state, row.join_code) == (self.model.state, self.code)
            assert row.revision == self.before + self.model.changes
            numbers = session.execute(
                select(Bench.number, Bench.id).where(Bench.practical_id == self.practical_id)
            )
            assert {number: _runs_of(session, bench) for number, bench in numbers} == self.model.benches


def _runs_of(session: Any, bench_id: int) -> list[PlainRun]:
    found = []
    for run in session.scalars(select(Run).where(Run.bench_id == bench_id).order_by(Run.number)):
        versions = session.scalars(
            select(RunVersion).where(RunVersion.run_id == run.id).order_by(RunVersion.version)
        ).all()
        decisions = session.scalars(
            select(Decision).where(Decision.run_id == run.id).order_by(Decision.id)
        ).all()
        assert [one.version for one in versions] == list(range(1, run.latest_version + 1))
        found.append(
            PlainRun(
                run.number,
                [(one.end_temperature_text, one.actor_kind) for one in versions],
                [(one.action, one.reason, one.run_revision) for one in decisions],
                run.revision,
                run.set_aside,
            )
        )
    return found


def test_the_records_agree_with_a_plain_model(database: Database, told: Callable[[str], None]) -> None:
    lessons, steps = tries(6, 500), tries(30, 60)
    limits = settings(
        max_examples=lessons,
        stateful_step_count=steps,
        deadline=None,
        suppress_health_check=list(HealthCheck),
    )
    kind = type("LessonsOfIt", (Lessons,), {"database": database})
    run_state_machine_as_test(kind, settings=limits)
    told(f"lessons against a model, {database.engine.dialect.name}: {lessons} of up to {steps} steps agree")
