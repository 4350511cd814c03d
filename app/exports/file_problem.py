"""A file that somebody brings cannot be read: one sentence for that person."""

from __future__ import annotations

from app.words import Message


class FileProblem(ValueError):
    """The file cannot be read; `message` says why, and what to do."""

    def __init__(self, template: str, **values: str) -> None:
        self.message = Message(template, values)
        super().__init__(str(self.message))
