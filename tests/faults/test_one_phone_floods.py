"""One phone with the class's code claims every bench and sends as fast as it can: what a class sees of it."""

from __future__ import annotations

import secrets
from pathlib import Path

from sqlalchemy import select

from app.practicals.board.snapshot import class_snapshot
from app.records.models import Bench, Run
from tests.faults.test_a_class_over_http import Phone
from tests.practicals.seen import count
from tests.serving import serving

PLANNED, CLAIMED, SENT = 4, 12, 10
COUNT_AT_ONCE = 3  # as `app.physics.limits.RUNS_AT_ONCE` says


def test_a_flood_of_runs_is_kept_and_none_beyond_the_first_of_a_bench_reaches_the_class(
    tmp_path: Path,
) -> None:
    with serving(tmp_path / "served") as served:
        one = served.a_class(planned_benches=PLANNED)
        code = one.practical.join_code or ""
        phones = [Phone([served.address], code, number) for number in range(1, CLAIMED + 1)]
        with one.database.reading() as session:
            in_class = session.scalars(select(Bench).where(~Bench.waits_for_teacher))
            let_in = {bench.number: bench.id for bench in in_class}
        assert sorted(let_in) == list(range(1, PLANNED + 1)), "the others wait for the teacher"
        for phone in phones[:PLANNED]:
            told = [phone.send(let_in[phone.number], secrets.token_hex(16), 0)["run"] for _ in range(SENT)]
            assert told == list(range(1, SENT + 1)), "each is taken in and named: a phone keeps none for ever"
        assert count(one.database, Run) == PLANNED * SENT
        seen = class_snapshot(one.database, one.practical_id, actor=one.teacher)
        assert {bench.number: len(seen.runs_of(bench.number)) for bench in seen.benches} == dict.fromkeys(
            let_in, COUNT_AT_ONCE
        )
