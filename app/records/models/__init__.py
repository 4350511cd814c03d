"""The tables."""

from app.records.models.access_mark import AccessMark
from app.records.models.bench import Bench, BenchPhone
from app.records.models.deletion import Deletion
from app.records.models.held import HeldBoard
from app.records.models.people import Department, FailedAttempt, Teacher, TeacherSession
from app.records.models.practical import BenchPlan, Practical, StateChange
from app.records.models.run import Decision, Run, RunVersion

__all__ = [
    "AccessMark",
    "Bench",
    "BenchPhone",
    "BenchPlan",
    "Decision",
    "Deletion",
    "Department",
    "FailedAttempt",
    "HeldBoard",
    "Practical",
    "Run",
    "RunVersion",
    "StateChange",
    "Teacher",
    "TeacherSession",
]
