"""Whatever a class and its teacher do, in whatever order: nothing is lost and the numbers add up."""

from __future__ import annotations

import shutil
import tempfile
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule, run_state_machine_as_test

from app.practicals.benches.joining import BenchTaken, ClassPaused, WrongCode, join_bench
from app.practicals.lesson import states
from app.practicals.lesson.details import Typed
from app.practicals.lesson.plan import practical_details
from app.practicals.people.actors import BenchIdentity
from app.practicals.runs.decisions import DecidedMeanwhile, RunOfAnotherTime, count_again, set_aside
from app.practicals.runs.history import history
from app.practicals.runs.reading import one_run, runs_in
from app.practicals.runs.refusals import PracticalClosed
from app.practicals.runs.sending import correct_run, enter_run
from app.records.choices import DecisionAction
from app.records.engine import Database
from tests.practicals.a_class import NOW, a_collecting_class, an_entry, new_key, revision_of

MOVES = {
    "pause": (states.pause_practical, {"collecting": "paused", "paused": "paused"}),
    "resume": (states.resume_practical, {"paused": "collecting", "collecting": "collecting"}),
    "finish": (
        states.finish_practical,
        {"collecting": "finished", "paused": "finished", "finished": "finished"},
    ),
    "reopen": (states.reopen_practical, {"finished": "collecting", "collecting": "collecting"}),
}


class Lesson(RuleBasedStateMachine):
    """A small model of what must be in the records, beside the records."""

    template: Path

    @initialize()
    def start(self) -> None:
        self.folder = Path(tempfile.mkdtemp(prefix="lesson", dir=self.template.parent))
        shutil.copy(self.template, self.folder / "lesson.db")
        self.database = Database(f"sqlite:///{self.folder / 'lesson.db'}")
        self.lesson = a_collecting_class(self.database)
        self.state = "collecting"
        self.benches: dict[int, BenchIdentity] = {}
        self.sent: dict[int, list[str]] = {}  # run id → the end temperatures of its versions
        self.aside: dict[int, bool] = {}
        self.waiting: set[int] = set()  # the runs that came too fast, until somebody decides about them
        self.keys: dict[str, tuple[int, str, BenchIdentity]] = {}
        self.revision, self.presence = self.now_at(), self.presence_at()
        self.shown_change = self.came_to_wait = False
        self.decided = 0
        self.made_so: dict[int, tuple[bool, int]] = {}  # by run: the last decision, and the revision it made
        # Whatever comes then, there are runs for it to come to.
        self.join(1)
        for tenths in (214, 216):
            self.send(self.benches[1], tenths)
        assert len(self.sent) == 2

    def now_at(self) -> int:
        return revision_of(self.database, self.lesson.practical_id)

    def presence_at(self) -> int:
        """Raised by what only the desk shows."""
        return practical_details(
            self.database, actor=self.lesson.teacher, practical_id=self.lesson.practical_id
        ).presence

    @rule(number=st.integers(1, 4))
    def join(self, number: int) -> None:
        details = practical_details(
            self.database, actor=self.lesson.teacher, practical_id=self.lesson.practical_id
        )
        code = details.join_code or "3333333"
        try:
            joined = join_bench(self.database, code=code, bench_number=number, now=NOW)
        except WrongCode:
            assert self.state == "finished"
        except ClassPaused:
            assert self.state == "paused"
        except BenchTaken:
            assert number in self.benches
        else:
            assert self.state == "collecting"
            assert number not in self.benches
            self.benches[number] = joined.bench

    @rule(data=st.data(), tenths=st.integers(200, 260))
    def send_one(self, data: st.DataObject, tenths: int) -> None:
        number = data.draw(st.sampled_from(sorted(self.benches)))
        self.send(self.benches[number], tenths)

    def send(self, bench: BenchIdentity, tenths: int) -> None:
        key, end = new_key(), f"{Decimal(tenths) / 10:.1f}"
        try:
            saved = enter_run(self.database, actor=bench, key=key, entry=an_entry(end=end), now=NOW)
        except PracticalClosed:
            assert self.state != "collecting"
        else:
            assert self.state == "collecting"
            self.sent[saved.run_id], self.aside[saved.run_id] = [end], False
            self.keys[key] = (saved.run_id, end, bench)
            if saved.waits:
                self.waiting.add(saved.run_id)
            self.shown_change, self.came_to_wait = not saved.waits, saved.waits

    @rule(data=st.data())
    def send_again(self, data: st.DataObject) -> None:
        key = data.draw(st.sampled_from(sorted(self.keys)))
        run, end, bench = self.keys[key]
        again = enter_run(self.database, actor=bench, key=key, entry=an_entry(end=end), now=NOW)
        assert again.repeated
        assert again.run_id == run
        assert again.waits == (run in self.waiting)

    @rule(data=st.data(), tenths=st.integers(200, 260))
    def correct(self, data: st.DataObject, tenths: int) -> None:
        run = data.draw(st.sampled_from(sorted(self.sent)))
        end = Typed(f"{tenths / 10}", Decimal(tenths) / 10, "°C")
        try:
            correct_run(
                self.database,
                actor=self.lesson.teacher,
                run_id=run,
                key=new_key(),
                entry=an_entry(end_temperature=end),
                reason="the bench said so",
                now=NOW,
            )
        except PracticalClosed:
            assert self.state == "finished"
        else:
            self.sent[run].append(end.raw)
            self.shown_change = True

    @rule(data=st.data(), aside=st.booleans(), seen=st.booleans())
    def decide(self, data: st.DataObject, aside: bool, seen: bool) -> None:
        run = data.draw(st.sampled_from(sorted(self.sent)))
        latest = one_run(self.database, actor=self.lesson.teacher, run_id=run).run_revision
        act = set_aside if aside else count_again
        expected = latest if seen else latest - 1
        try:
            act(
                self.database,
                actor=self.lesson.teacher,
                run_id=run,
                reason="a reason",
                expected_revision=expected,
                now=NOW,
            )
        except DecidedMeanwhile:
            assert not seen
            assert self.made_so.get(run) != (aside, latest)
        except RunOfAnotherTime:
            assert expected < 1
        else:
            if not seen:  # the same asked again, as by a second tap
                assert self.made_so[run] == (aside, latest)
            self.shown_change = seen and not (aside and self.aside[run])  # set aside twice is set aside once
            self.aside[run] = aside
            self.decided += self.shown_change
            if self.shown_change:
                self.waiting.discard(run)
                self.made_so[run] = (aside, latest + 1)

    @rule(name=st.sampled_from(sorted(MOVES)))
    def move(self, name: str) -> None:
        act, allowed = MOVES[name]
        try:
            act(self.database, actor=self.lesson.teacher, practical_id=self.lesson.practical_id, now=NOW)
        except states.WrongState:
            assert self.state not in allowed
        else:
            self.shown_change = self.state != allowed[self.state]
            self.state = allowed[self.state]

    @invariant()
    def the_records_hold_what_was_sent_and_decided(self) -> None:
        with self.database.reading() as session:
            runs = runs_in(session, self.lesson.practical_id)
        assert {run.run_id: run.entry.end_temperature.raw for run in runs} == {
            run: ends[-1] for run, ends in self.sent.items()
        }
        assert {run.run_id: run.set_aside for run in runs} == self.aside
        assert {run.run_id for run in runs if run.waits} == self.waiting
        for number in self.benches:
            own = [run.number for run in runs if run.bench_number == number]
            assert own == list(range(1, len(own) + 1))

    @invariant()
    def every_version_and_every_decision_is_in_the_history(self) -> None:
        told = history(self.database, actor=self.lesson.teacher, practical_id=self.lesson.practical_id)
        versions = [(line.run_id or 0, line.entry.end_temperature.raw) for line in told if line.entry]
        assert sorted(versions) == sorted((run, end) for run, ends in self.sent.items() for end in ends)
        decided = [line for line in told if line.is_decision]
        assert len(decided) == self.decided
        latest = {line.run_id or 0: line.kind == DecisionAction.SET_ASIDE for line in decided}
        assert {run: self.aside[run] for run in latest} == latest

    @invariant()
    def the_revision_never_falls_and_rises_with_what_pages_show(self) -> None:
        now_at = self.now_at()
        assert now_at > self.revision if self.shown_change else now_at >= self.revision
        self.revision, self.shown_change = now_at, False

    @invariant()
    def the_desk_hears_of_a_run_that_waits_though_the_class_sees_nothing(self) -> None:
        presence = self.presence_at()
        assert presence > self.presence if self.came_to_wait else presence >= self.presence
        self.presence, self.came_to_wait = presence, False

    def teardown(self) -> None:
        if hasattr(self, "database"):
            self.database.close()
            shutil.rmtree(self.folder)


def test_whatever_is_done_nothing_is_lost(sqlite_template: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Lesson, "template", sqlite_template, raising=False)
    run_state_machine_as_test(
        Lesson,
        settings=settings(
            max_examples=12,
            stateful_step_count=25,
            deadline=None,
            suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
        ),
    )
