"""The practical that a page is about, if it is one of this teacher's department, and what its pages share."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlsplit

from flask import g, render_template

from app.physics.materials import MATERIALS
from app.practicals import plan as plans
from app.practicals.rehearsal_rows import with_a_rehearsal
from app.practicals.shapes import PracticalDetails
from app.web.storage import database, settings

LOOPBACK = ("127.0.0.1", "localhost", "::1")


def practical_here(practical_id: int) -> PracticalDetails:
    """The practical, for a teacher of its department; another department learns nothing."""
    return plans.practical_details(database(), actor=g.teacher, practical_id=practical_id)


def may_run(practical: PracticalDetails) -> bool:
    """Whether this teacher may change it: its own, or the head. The use cases decide for themselves."""
    return bool(practical.teacher_id == g.teacher.teacher_id or g.teacher.is_head)


def phone_address() -> str | None:
    """Where phones reach the tool; None where only this machine can."""
    address = settings().address_for_phones()
    return None if urlsplit(address).hostname in LOOPBACK else address


def join_link(practical: PracticalDetails) -> str | None:
    """The link behind the QR; None without a code or an address."""
    address = phone_address()
    return f"{address}/j/{practical.join_code}" if address and practical.join_code else None


def page(template: str, practical: PracticalDetails, here: str, **more: Any) -> str:
    """A page of one practical."""
    return render_template(
        template,
        practical=practical,
        metal=MATERIALS.get(practical.plan.material, MATERIALS["lead"]),
        may_run=may_run(practical),
        here=here,
        board_address=f"/board/{practical.practical_id}",
        rehearsing=practical.practical_id in with_a_rehearsal(database(), actor=g.teacher),
        **more,
    )
