"""Who is acting, a teacher who signed in or a phone that joined a bench, and how a person is named."""

from __future__ import annotations

from dataclasses import dataclass

from app.records.choices import Role
from app.words import N_

FORMER_TEACHER = N_("a former teacher")
"""What stands in the name column of an account whose person was removed, and for an account that is gone."""


@dataclass(frozen=True)
class TeacherIdentity:
    """Someone who signed in. A teacher runs the own practicals and looks at the department's; a head runs all
    of them and looks after the people; a technician looks at the archive and changes the kit alone."""

    teacher_id: int
    department_id: int
    login: str
    name: str
    role: Role = Role.TEACHER
    covers: frozenset[int] = frozenset()
    """Numbers of the practicals that this teacher runs in a colleague's place, when the request began."""

    @property
    def is_head(self) -> bool:
        """Whether this is a head of the department."""
        return self.role is Role.HEAD

    @property
    def is_technician(self) -> bool:
        """Whether this is a technician, who runs no lesson."""
        return self.role is Role.TECHNICIAN


@dataclass(frozen=True)
class BenchIdentity:
    """A phone that joined a bench of one practical. `waits`: its teacher has not let the bench in yet."""

    practical_id: int
    bench_id: int
    bench_number: int
    phone_id: int
    waits: bool = False


Actor = TeacherIdentity | BenchIdentity


def teacher_id_of(actor: Actor | None) -> int | None:
    """The teacher's number; None where a bench or a rule acts."""
    return actor.teacher_id if isinstance(actor, TeacherIdentity) else None


def shown_name(name: str | None) -> str:
    """The name of an account as it is shown. The pages say it with the filter `person`, which translates
    `FORMER_TEACHER`."""
    return name or FORMER_TEACHER


def is_removed(name: str) -> bool:
    """Whether the person of an account with this name was removed."""
    return name == FORMER_TEACHER
