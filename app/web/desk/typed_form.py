"""A form as typed: each field read by its parser, its problem kept beside it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TypeVar

from app.physics.reading.readings import ReadingProblem
from app.words import Message

T = TypeVar("T")


@dataclass
class TypedForm:
    """What was typed, by field, and the sentence for each field that cannot be read."""

    typed: dict[str, str]
    problems: dict[str, Message] = field(default_factory=dict)

    def read(self, name: str, parse: Callable[[str], T]) -> T | None:
        """What the parser makes of a field; None, and the problem kept, where it refuses."""
        try:
            return parse(self.typed[name])
        except ReadingProblem as problem:
            self.problems[name] = problem.message
            return None

    def read_optional(self, name: str, parse: Callable[[str], T]) -> T | None:
        """The same for a field that may stay empty."""
        return self.read(name, parse) if self.typed[name].strip() else None
