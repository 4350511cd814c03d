"""The name of the Wi-Fi that the phones join: said once, and taken over by the teacher's next practicals.

Only the name. A password would stand on the wall, on cards that leave the room and in every backup, and most
networks of schools ask each person for their own, which no QR can carry.
"""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.practicals.lesson.permission import practical_to_run, raise_revision
from app.practicals.people.actors import TeacherIdentity
from app.records.engine import Database
from app.records.errors import Unprocessable
from app.records.models import Practical
from app.records.models.practical import LONGEST_WIFI_NAME
from app.words import N_


class NoWifiName(Unprocessable):
    """A name that no Wi-Fi can have."""

    sentence = N_("The name of a Wi-Fi has at most %(most)s characters. Type it as the phones list it.")


def name_wifi(database: Database, *, actor: TeacherIdentity, practical_id: int, name: str) -> str:
    """Say which Wi-Fi the phones join; an empty name says that none is to be shown."""
    tidy = "".join(one for one in " ".join(name.split()) if one.isprintable())
    # A name has at most 32 octets (IEEE 802.11); a letter of many scripts takes two or three of them.
    if len(tidy.encode()) > LONGEST_WIFI_NAME:
        raise NoWifiName(most=LONGEST_WIFI_NAME)
    with database.writing() as session:
        practical = practical_to_run(session, actor, practical_id)
        if practical.wifi_name != tidy:
            practical.wifi_name = tidy
            raise_revision(practical)
    return tidy


def usual_wifi(session: Session, actor: TeacherIdentity) -> str | None:
    """What the teacher said last, else what a colleague did; None where nobody said anything yet."""
    said = (
        select(Practical.wifi_name)
        .where(Practical.department_id == actor.department_id, Practical.wifi_name.is_not(None))
        .order_by(Practical.id.desc())
        .limit(1)
    )
    own = session.scalar(said.where(Practical.teacher_id == actor.teacher_id))
    return own if own is not None else session.scalar(said)
