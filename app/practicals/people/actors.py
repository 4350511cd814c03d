"""Who is acting: a teacher who signed in, or a phone that joined a bench."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class TeacherIdentity:
    """A signed-in teacher."""

    teacher_id: int
    department_id: int
    login: str
    name: str
    is_head: bool


@dataclass(frozen=True)
class BenchIdentity:
    """A phone that joined a bench of one practical. `waits`: its teacher has not let the bench in yet."""

    practical_id: int
    bench_id: int
    bench_number: int
    phone_id: int
    waits: bool = False


Actor = TeacherIdentity | BenchIdentity
