"""The tables."""

from app.records.models.bench import Bench, BenchPhone
from app.records.models.held import HeldBoard
from app.records.models.people import Department, FailedAttempt, Teacher, TeacherSession
from app.records.models.practical import BenchPlan, Practical, StateChange
from app.records.models.run import Decision, Run, RunVersion

__all__ = [
    "Bench",
    "BenchPhone",
    "BenchPlan",
    "Decision",
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
