"""Nobody of another department sees or changes anything of a lesson, its runs, the kit or people.

Every use case whose arguments name one of these is found by them and asked by the head of another one.
"""

from __future__ import annotations

import importlib
import inspect
import pkgutil
from collections.abc import Callable, Iterator
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest

from app import practicals
from app.physics.reading.ice_point import parse_ice_point
from app.practicals.kit.pieces import Figures
from app.practicals.lesson.room import RoomTemperature
from app.practicals.runs.sending import TypedAtTheDesk, enter_run
from app.records.choices import DecisionAction, Role
from app.records.engine import Database
from app.records.errors import NotFound
from tests.practicals.a_class import NOW, a_collecting_class, a_plan, a_teacher, an_entry, new_key
from tests.practicals.a_kit import a_kit

OF_A_DEPARTMENT = {"practical_id", "run_id", "piece_id", "teacher_id"}
TELL_NOTHING = {"note_download"}
"""They take a number to write it down, and look nothing up by it."""
NOTHING: dict[str, Callable[[Any], bool]] = {
    "one_at_a_glance": lambda told: told is None,
    "current_presence": lambda told: told is None,
    "practicals_with_piece": lambda told: told == [],
    "set_out": lambda told: told.lessons == told.pieces == (),
}
"""What those answer that refuse nobody."""


def asked() -> Iterator[Callable[..., object]]:
    """The use cases of teachers that name something of a department."""
    for module in pkgutil.walk_packages(practicals.__path__, f"{practicals.__name__}."):
        for name, function in inspect.getmembers(importlib.import_module(module.name), inspect.isfunction):
            known = inspect.signature(function).parameters
            actor = known.get("actor")
            if (
                function.__module__ == module.name
                and not name.startswith("_")
                and name not in TELL_NOTHING
                and next(iter(known), "") == "database"
                and actor is not None
                and actor.annotation != "BenchIdentity"
                and OF_A_DEPARTMENT & known.keys()
            ):
                yield function


@pytest.mark.parametrize(
    "use_case", [*asked()], ids=lambda one: f"{one.__module__.split('.', 2)[-1]}.{one.__name__}"
)
def test_nothing_of_another_department_is_told_or_changed(
    sqlite_database: Database, use_case: Callable[..., object]
) -> None:
    one = a_collecting_class(sqlite_database)
    head = a_teacher(sqlite_database, "head", is_head=True)
    stranger = a_teacher(sqlite_database, "elsewhere", department="Chemistry", is_head=True)
    colleague = a_teacher(sqlite_database, "colleague", department="Chemistry")
    saved = enter_run(sqlite_database, actor=one.join(3), key=new_key(), entry=an_entry(), now=NOW)
    kit = a_kit(sqlite_database, head)
    values: dict[str, Any] = {
        "practical_id": one.practical_id,
        "run_id": saved.run_id,
        "piece_id": kit["T3"].piece_id,
        "teacher_id": one.teacher.teacher_id,
        "now": NOW,
        "today": NOW.date(),
        "day": NOW.date(),
        "held_on": NOW.date(),
        "checked_on": NOW.date(),
        "last_day": NOW.date(),
        "due_on": None,
        "ends_at": NOW + timedelta(hours=1),
        "to": colleague.teacher_id,
        "bench_number": 3,
        "right_number": 4,
        "reading": parse_ice_point("0.1"),
        "reason": "the probe slipped",
        "action": DecisionAction.SET_ASIDE,
        "expected_revision": 0,
        "entry": an_entry(),
        "key": new_key(),
        "runs": (TypedAtTheDesk(3, new_key(), an_entry()),),
        "plan": a_plan(),
        "title": "12B",
        "name": "Labs",
        "label": "T9",
        "figures": Figures(inside_length_m=Decimal(1)),
        "room": RoomTemperature("21", Decimal(21)),
        "paused": True,
        "shown": True,
        "retired": True,
        "active": False,
        "role": Role.HEAD,
        "login": one.teacher.login,
        "version": 1,
        "up_to": 1,
        "seen": "1:1",
        "decision_id": 1,
        "seed": 1,
    }
    wanted = {
        name
        for name, one in inspect.signature(use_case).parameters.items()
        if name in OF_A_DEPARTMENT | {"bench_number"}
        or (one.default is one.empty and name not in ("database", "actor"))
    }
    named = {name: values[name] for name in wanted}
    if (is_nothing := NOTHING.get(use_case.__name__)) is not None:
        assert is_nothing(use_case(sqlite_database, actor=stranger, **named))
        return
    with pytest.raises(NotFound):
        use_case(sqlite_database, actor=stranger, **named)
