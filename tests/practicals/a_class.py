"""A made-up class to test with: one department, one teacher, one practical that is collecting."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal

from sqlalchemy import select

from app.practicals.benches.joining import join_bench
from app.practicals.benches.watch import let_in
from app.practicals.lesson.details import Plan, PracticalDetails, Typed
from app.practicals.lesson.plan import plan_practical
from app.practicals.lesson.states import open_practical
from app.practicals.people.actors import BenchIdentity, TeacherIdentity
from app.practicals.people.teachers import add_teacher
from app.practicals.runs.entry import RunEntry
from app.records.choices import Role
from app.records.engine import Database
from app.records.models import Department, Practical

NOW = datetime(2031, 3, 6, 10, 15, tzinfo=UTC)
PASSWORD = "kettle orbit marble"


def new_key() -> str:
    """A key as a phone makes it: 128 bits in hex."""
    return secrets.token_hex(16)


def a_plan(**changes: object) -> Plan:
    """Lead, a metre of tube, fifty inversions."""
    values: dict[str, object] = {
        "title": "Period 4",
        "held_on": date(2031, 3, 6),
        "material": "lead",
        "accepted_J_per_kg_K": Decimal(128),
        "accepted_source": "invented for this test",
        "tube_length_m": Decimal("1.00"),
        "end_allowance_m": Decimal("0.05"),
        "inversions": 50,
    }
    return Plan(**(values | changes))  # type: ignore[arg-type]


def an_entry(
    mass_g: str = "340", start: str = "19.2", end: str = "21.4", **changes: Typed | None
) -> RunEntry:
    """A run typed in grams, centimetres and degrees Celsius."""
    values: dict[str, Typed | None] = {
        "shot_mass": Typed(f"{mass_g} g", Decimal(mass_g) / 1000, "g"),
        "tube_length": Typed("100", Decimal("1.00"), "cm"),
        "end_allowance": Typed("5", Decimal("0.05"), "cm"),
        "inversions": Typed("50", Decimal(50), ""),
        "start_temperature": Typed(start, Decimal(start), "°C"),
        "end_temperature": Typed(end, Decimal(end), "°C"),
    }
    own = changes.pop("own_heat_capacity", None)
    return RunEntry({name: typed for name, typed in (values | changes).items() if typed is not None}, own)


def a_teacher(
    database: Database,
    login: str = "mrs-okafor",
    department: str = "Physics",
    is_head: bool = False,
    role: Role = Role.TEACHER,
) -> TeacherIdentity:
    """A teacher who can sign in with `PASSWORD`; head only if said, though the department may be new."""
    with database.writing() as session:
        if session.scalar(select(Department).where(Department.name == department)) is None:
            session.add(Department(name=department, created_at=NOW))
    return add_teacher(
        database,
        login=login,
        name=login.title(),
        department=department,
        password=PASSWORD,
        now=NOW,
        role=Role.HEAD if is_head else role,
    )


@dataclass(frozen=True)
class AClass:
    """A practical that is collecting, and its teacher."""

    database: Database
    teacher: TeacherIdentity
    practical: PracticalDetails

    @property
    def practical_id(self) -> int:
        """Its id."""
        return self.practical.practical_id

    def join(self, number: int, *, waits: bool = False) -> BenchIdentity:
        """A phone joins the bench of this number; the teacher lets it in beyond the plan, unless it is to
        wait."""
        code = self.practical.join_code or ""
        bench = join_bench(self.database, code=code, bench_number=number, now=NOW).bench
        if number > self.practical.plan.planned_benches and not waits:
            here = self.practical_id
            let_in(self.database, actor=self.teacher, practical_id=here, bench_number=number, now=NOW)
        return bench


def a_collecting_class(database: Database, **plan: object) -> AClass:
    """Planned and opened."""
    teacher = a_teacher(database)
    planned = plan_practical(database, actor=teacher, plan=a_plan(**plan), now=NOW)
    opened = open_practical(database, actor=teacher, practical_id=planned.practical_id, now=NOW)
    return AClass(database, teacher, opened)


def revision_of(database: Database, practical_id: int) -> int:
    """The revision of a practical, as it stands in the records."""
    with database.reading() as session:
        return session.get_one(Practical, practical_id).revision
