"""What storage can say went wrong, each as one sentence for a person."""

from __future__ import annotations

from app.words import N_, Message


class Problem(Exception):
    """Something that was refused or could not be done; `message` says what happened and what to do."""

    def __init__(self, message: Message) -> None:
        super().__init__(str(message))
        self.message = message


class NotFound(Problem):
    """There is no such thing, or not for this reader."""


class NotAllowed(Problem):
    """It exists, but this reader may not do this with it."""


class Conflict(Problem):
    """It does not fit with what is stored now."""


class Unprocessable(Problem):
    """It was understood, but cannot be taken as it is."""


class StorageProblem(Problem):
    """The database itself could not do it; nothing was stored."""


class DatabaseBusy(StorageProblem):
    """Others are writing; trying again shortly will work."""

    def __init__(self, retry_after_seconds: int = 2) -> None:
        super().__init__(
            Message(
                N_("The records are busy at the moment and nothing was stored. Try again in a few seconds.")
            )
        )
        self.retry_after_seconds = retry_after_seconds


class DatabaseUnreachable(StorageProblem):
    """No connection could be made, or it was lost."""

    def __init__(self) -> None:
        super().__init__(
            Message(
                N_(
                    "The records cannot be reached and nothing was stored."
                    " Check that the database is running."
                )
            )
        )


class FileNotOpened(DatabaseUnreachable):
    """SQLite's file cannot be opened or made; no server is involved."""

    def __init__(self) -> None:
        StorageProblem.__init__(
            self,
            Message(
                N_(
                    "The file of the records cannot be opened or made, and nothing was stored."
                    " Check that its folder is there and can be written to."
                )
            ),
        )


class DatabaseFull(StorageProblem):
    """The disk is full, read-only or failing."""

    def __init__(self) -> None:
        super().__init__(
            Message(
                N_(
                    "The records could not be written to the disk and nothing was stored."
                    " Check its free space and that its folder can be written to."
                )
            )
        )


class DatabaseDamaged(StorageProblem):
    """The file is not, or no longer, a whole database."""

    def __init__(self) -> None:
        super().__init__(
            Message(
                N_(
                    "The file of the records is damaged, and nothing was stored."
                    " Stop the server, keep the file, and go back to the latest backup."
                )
            )
        )


class DatabaseNotReady(StorageProblem):
    """The tables are missing or of another version than this program."""

    def __init__(self) -> None:
        super().__init__(
            Message(
                N_(
                    "The database does not have the tables that this version needs."
                    " Start Plumbfall with its own command so that they are brought up to date."
                )
            )
        )


class ConstraintBroken(Conflict):
    """The database refused a row; `constraint` is the name of the rule."""

    def __init__(self, constraint: str, message: Message) -> None:
        super().__init__(message)
        self.constraint = constraint
