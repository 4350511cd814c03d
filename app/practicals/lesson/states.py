"""The states of a practical, and its join code.

planned     the teacher prepares; no phone can join, though a code for the cards may be made
collecting  the code is valid; benches join, send and correct runs
paused      nobody new joins and nothing is taken in; phones keep what they have and send it afterwards
finished    the class is over; the records stay, and the teacher can reopen
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from sqlalchemy import select, update
from sqlalchemy.orm import Session

from app.practicals.benches.phones import end_phones_since
from app.practicals.kit.of_bench import give_kits, kit_of_row, refreshed
from app.practicals.lesson.details import PracticalDetails, details_of
from app.practicals.lesson.permission import note_change, practical_to_run
from app.practicals.lesson.room import RoomTemperature, put_room_temperature
from app.practicals.made_up.rehearsal_rows import remove_rehearsal_rows
from app.practicals.people.actors import TeacherIdentity
from app.practicals.people.credentials import new_join_code
from app.records.choices import HistoryKind, PracticalState
from app.records.engine import Database
from app.records.errors import Conflict
from app.records.models import Bench, Practical
from app.words import N_, Message

CODE_TRIES = 20
_PLANNED, _COLLECTING, _PAUSED, _FINISHED = PracticalState


class WrongState(Conflict):
    """The practical is not in a state in which this can be done."""

    def __init__(self, state: PracticalState) -> None:
        sentences = {
            _PLANNED: N_("This practical has not been opened yet. Open it first."),
            _COLLECTING: N_("This practical is collecting already."),
            _PAUSED: N_("This practical is paused. Let it collect again first."),
            _FINISHED: N_("This practical is finished. Reopen it first."),
        }
        super().__init__(Message(sentences[state]))


def open_practical(
    database: Database,
    *,
    actor: TeacherIdentity,
    practical_id: int,
    now: datetime,
    room: RoomTemperature | None = None,
) -> PracticalDetails:
    """planned → collecting, with the code that was made before or a new one. Nothing simulated stays.

    `room` is the room temperature read for the class; None leaves the planned one.
    """

    def apply(session: Session, practical: Practical) -> None:
        remove_rehearsal_rows(session, practical.id)
        if room is not None:
            put_room_temperature(session, practical, room, actor, now)
        practical.join_code = practical.join_code or free_code(session)
        practical.opened_at = now
        _take_kit_as_it_is(session, practical)

    return _move(database, actor, practical_id, now, (_PLANNED,), _COLLECTING, HistoryKind.OPENED, apply)


def _take_kit_as_it_is(session: Session, practical: Practical) -> None:
    """Give the benches their pieces' numbers of the day: a thermometer may have been checked since."""
    kits = refreshed(session, practical.department_id, map(kit_of_row, practical.bench_kits))
    give_kits(session, practical, kits)


def pause_practical(
    database: Database, *, actor: TeacherIdentity, practical_id: int, now: datetime
) -> PracticalDetails:
    """collecting → paused. The code is kept for afterwards but lets nobody in meanwhile."""
    return _move(database, actor, practical_id, now, (_COLLECTING,), _PAUSED, HistoryKind.PAUSED)


def resume_practical(
    database: Database, *, actor: TeacherIdentity, practical_id: int, now: datetime
) -> PracticalDetails:
    """paused → collecting, with the same code."""
    return _move(database, actor, practical_id, now, (_PAUSED,), _COLLECTING, HistoryKind.RESUMED)


def finish_practical(
    database: Database, *, actor: TeacherIdentity, practical_id: int, now: datetime
) -> PracticalDetails:
    """collecting or paused → finished. The code stops working, hands go down, nothing simulated stays."""

    def apply(session: Session, practical: Practical) -> None:
        remove_rehearsal_rows(session, practical.id)
        session.execute(
            update(Bench).where(Bench.practical_id == practical.id).values(asked_for_help_at=None)
        )
        practical.join_code = None
        practical.finished_at = now

    allowed = (_COLLECTING, _PAUSED)
    return _move(database, actor, practical_id, now, allowed, _FINISHED, HistoryKind.FINISHED, apply)


def reopen_practical(
    database: Database, *, actor: TeacherIdentity, practical_id: int, now: datetime
) -> PracticalDetails:
    """finished → collecting, with a new code. Phones that were joined still are."""

    def apply(session: Session, practical: Practical) -> None:
        practical.join_code = free_code(session)
        practical.finished_at = None

    return _move(database, actor, practical_id, now, (_FINISHED,), _COLLECTING, HistoryKind.REOPENED, apply)


def make_join_code(
    database: Database, *, actor: TeacherIdentity, practical_id: int, now: datetime
) -> PracticalDetails:
    """A code for the cards while the practical is planned. It stays planned: the code lets nobody in yet."""
    with database.writing() as session:
        practical = practical_to_run(session, actor, practical_id)
        if practical.state == _FINISHED:
            raise WrongState(practical.state)
        if practical.join_code is None:
            practical.join_code = free_code(session)
            note_change(session, practical, HistoryKind.CODE_MADE, actor, now)
        return details_of(practical)


def replace_join_code(
    database: Database,
    *,
    actor: TeacherIdentity,
    practical_id: int,
    now: datetime,
    end_joined_since: datetime | None = None,
) -> PracticalDetails:
    """A new code; the old one lets nobody in from now on.

    Joined phones stay joined, but for those that joined at `end_joined_since` or later.
    """
    with database.writing() as session:
        practical = practical_to_run(session, actor, practical_id)
        if practical.join_code is None:
            raise WrongState(practical.state)
        practical.join_code = free_code(session)
        note_change(session, practical, HistoryKind.CODE_REPLACED, actor, now)
        if end_joined_since is not None:
            ended = end_phones_since(session, practical.id, end_joined_since, now)
            benches = ", ".join(map(str, ended.benches))
            told = f"{end_joined_since.isoformat()} {ended.phones} {benches}"
            note_change(session, practical, HistoryKind.PHONES_ENDED, actor, now, told)
        return details_of(practical)


def _move(
    database: Database,
    actor: TeacherIdentity,
    practical_id: int,
    now: datetime,
    allowed: tuple[PracticalState, ...],
    state: PracticalState,
    kind: HistoryKind,
    apply: Callable[[Session, Practical], None] = lambda _session, _practical: None,
) -> PracticalDetails:
    with database.writing() as session:
        practical = practical_to_run(session, actor, practical_id)
        if practical.state == state:
            return details_of(practical)  # pressed twice: done already
        if practical.state not in allowed:
            raise WrongState(practical.state)
        apply(session, practical)
        practical.state = state
        note_change(session, practical, kind, actor, now)
        return details_of(practical)


def free_code(session: Session) -> str:
    """A join code that no other practical has at the moment."""
    for _ in range(CODE_TRIES):
        code = new_join_code()
        if session.scalar(select(Practical.id).where(Practical.join_code == code)) is None:
            return code
    raise AssertionError("no free join code")  # 23⁷ codes: this cannot be reached with real numbers
