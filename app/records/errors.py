"""What storage can say went wrong, each as one sentence for a person."""

from __future__ import annotations

from typing import ClassVar

from app.words import N_, Message


class Problem(Exception):
    """Something that was refused or could not be done; `message` says what happened and what to do.

    A kind that has one sentence only declares it as `sentence`, and is raised with the values for its places.
    """

    sentence: ClassVar[str]

    def __init__(self, message: Message | str | None = None, **values: object) -> None:
        """`message` may be a sentence whose places the values fill."""
        if not isinstance(message, Message):
            texts = {name: str(value) for name, value in values.items()}
            message = Message(message or self.sentence, texts)
        self.message = message
        super().__init__(str(message))


class NotFound(Problem):
    """There is no such thing, or not for this reader."""


class NotAllowed(Problem):
    """It exists, but this reader may not do this with it."""


class Conflict(Problem):
    """It does not fit with what is stored now."""


class Unprocessable(Problem):
    """It was understood, but cannot be taken as it is."""


class FieldProblem(Unprocessable):
    """What was given in one field cannot be taken; `field` is its name."""

    def __init__(self, field: str, message: Message | str, **values: object) -> None:
        super().__init__(message, **values)
        self.field = field


class StorageProblem(Problem):
    """The database itself could not do it; nothing was stored."""


class DatabaseBusy(StorageProblem):
    """Others are writing; trying again shortly will work."""

    sentence = N_("The records are busy at the moment and nothing was stored. Try again in a few seconds.")
    retry_after_seconds = 2


class DatabaseUnreachable(StorageProblem):
    """No connection could be made, or it was lost."""

    sentence = N_("The records cannot be reached and nothing was stored. Check that the database is running.")


class FileNotOpened(DatabaseUnreachable):
    """SQLite's file cannot be opened or made; no server is involved."""

    sentence = N_(
        "The file of the records cannot be opened or made, and nothing was stored."
        " Check that its folder is there and can be written to."
    )


class DatabaseFull(StorageProblem):
    """The disk is full, read-only or failing."""

    sentence = N_(
        "The records could not be written to the disk and nothing was stored."
        " Check its free space and that its folder can be written to."
    )


class DatabaseDamaged(StorageProblem):
    """The file is not, or no longer, a whole database."""

    sentence = N_(
        "The file of the records is damaged, and nothing was stored."
        " Stop the server, keep the file, and go back to the latest backup."
    )


class DatabaseNotReady(StorageProblem):
    """The tables are missing or of another version than this program."""

    sentence = N_(
        "The database does not have the tables that this version needs."
        " Start Plumbfall with its own command so that they are brought up to date."
    )


class ConstraintBroken(Conflict):
    """The database refused a row; `constraint` is the name of the rule."""

    def __init__(self, constraint: str, message: Message) -> None:
        super().__init__(message)
        self.constraint = constraint
