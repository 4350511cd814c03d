"""The tables."""

from app.records.models.bench import Bench, BenchPhone
from app.records.models.cover import Cover
from app.records.models.first_class import FirstClass
from app.records.models.kept import KeptResult, ResultDue
from app.records.models.kit import BenchKit, KitCheck, KitPiece
from app.records.models.log import LogEntry
from app.records.models.people import (
    AccessMark,
    Department,
    FailedAttempt,
    KnownBrowser,
    Teacher,
    TeacherSession,
)
from app.records.models.practical import BenchPlan, Deletion, HeldBoard, Practical, StateChange
from app.records.models.run import Decision, Run, RunVersion
from app.records.models.ways_in import SecondStep, SpareCode, WayIn

__all__ = [
    "AccessMark",
    "Bench",
    "BenchKit",
    "BenchPhone",
    "BenchPlan",
    "Cover",
    "Decision",
    "Deletion",
    "Department",
    "FailedAttempt",
    "FirstClass",
    "HeldBoard",
    "KeptResult",
    "KitCheck",
    "KitPiece",
    "KnownBrowser",
    "LogEntry",
    "Practical",
    "ResultDue",
    "Run",
    "RunVersion",
    "SecondStep",
    "SpareCode",
    "StateChange",
    "Teacher",
    "TeacherSession",
    "WayIn",
]
