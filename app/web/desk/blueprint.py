"""The desk's blueprint and what its pages share: the practical of a page, words for fields, metals, days."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, datetime, timedelta
from typing import Any
from urllib.parse import urlsplit

from flask import Blueprint, current_app, flash, g, render_template, request
from flask_babel import format_date

from app.physics.materials import MATERIALS
from app.physics.reading.text import with_unit
from app.practicals.board.snapshot import Snapshot, class_snapshot
from app.practicals.lesson import plan as plans
from app.practicals.lesson.covers import cover_of
from app.practicals.lesson.details import PracticalDetails, TypedNumber
from app.practicals.lesson.permission import is_own
from app.practicals.lesson.permission import may_run as allowed_to_run
from app.practicals.made_up.rehearsal_rows import is_in_rehearsal
from app.practicals.runs.entry import RunEntry
from app.records.errors import Problem
from app.web.audience import now
from app.web.languages import say
from app.web.numbers import allowance_text, clock_seconds, clock_time, together
from app.web.storage import database, settings
from app.words import N_, Message

blueprint = Blueprint("desk", __name__, url_prefix="/desk")


@blueprint.app_template_filter("day")
def day(value: date) -> str:
    """A day, as it is written in the reader's language."""
    return format_date(value, "d MMMM y")


@blueprint.app_template_filter("metal_name")
def metal_name(key: str) -> str:
    """A metal's name in the reader's language; its key where an older record names one we do not know."""
    return say(MATERIALS[key].name) if key in MATERIALS else key


@blueprint.app_template_filter("moment")
def moment_text(moment: datetime) -> str:
    """A day and a time, for a history."""
    return f"{day(settings().local_day(moment))}, {clock_seconds(moment)}"


@blueprint.app_template_filter("day_and_time")
def day_and_time(moment: datetime) -> str:
    """A day and a time to the minute, for what is not to be told apart by seconds."""
    return f"{day(settings().local_day(moment))}, {clock_time(moment)}"


@blueprint.app_template_filter("last_day")
def last_day(ends_at: datetime) -> str:
    """The day that ends with this midnight of the school's calendar."""
    return day(settings().local_day(ends_at - timedelta(seconds=1)))


UNIT = re.compile("_(J_per_kg_K|J_per_K|m_per_s2|kg|m|K|C|deg)$")
"""The unit at the end of a field's name."""
FIELD_NAMES = {
    "title": Message(N_("Title")),
    "held_on": Message(N_("Day of the lesson")),
    "planned_benches": Message(N_("Benches")),
    "language": Message(N_("Language for phones")),
    "delete_after": Message(N_("Delete everything after")),
    "material": Message(N_("Metal of the shot")),
    "accepted": Message(N_("Accepted specific heat capacity")),
    "accepted_temperature": Message(N_("Temperature of the accepted value")),
    "accepted_source": Message(N_("Where that value comes from")),
    "gravity_how": Message(N_("How is g given?")),
    "gravity": Message(N_("g")),
    "u_gravity": Message(N_("Uncertainty of g")),
    "latitude": Message(N_("Latitude")),
    "height": Message(N_("Height above sea level")),
    "bore": Message(N_("Bore")),
    "ends_how": Message(N_("What does the settled shot take?")),
    "depth_measured": Message(N_("Each bench measures the depth of its shot")),
    "caps": Message(N_("Caps")),
    "settled_depth": Message(N_("Depth of the settled shot")),
    "thermometer_step": Message(N_("Thermometer step")),
    "shot_mass": Message(N_("Shot mass")),
    "tube_length": Message(N_("Tube length")),
    "end_allowance": Message(N_("End allowance")),
    "inversions": Message(N_("Inversions")),
    "start_temperature": Message(N_("Start temperature")),
    "end_temperature": Message(N_("End temperature")),
    "room_temperature": Message(N_("Room temperature")),
    "heat_sink": Message(N_("Heat sink, a guess")),
    "length_sd": Message(N_("Standard deviation of a length")),
    "reading_sd": Message(N_("Standard deviation of a temperature reading")),
    "questions_asked": Message(N_("A question for the class at each step")),
    "own_questions": Message(N_("Own questions for the class")),
    "bench_plans": Message(N_("Plan for each bench")),
    "kits": Message(N_("Kit for each bench")),
}


@blueprint.app_template_filter("field_name")
def field_name(name: str) -> str:
    """What a field is called on the page."""
    bare = UNIT.sub("", name)
    return say(FIELD_NAMES[bare]) if bare in FIELD_NAMES else bare.replace("_", " ")


@blueprint.app_template_filter("as_typed")
def as_typed(reading: TypedNumber) -> str:
    """A reading as it was typed, with its unit."""
    return together(with_unit(reading.raw, reading.unit))


@blueprint.app_template_filter("allowance_as_typed")
def allowance_as_typed(entry: RunEntry) -> str:
    """The end allowance of a run as it was typed, with the two lengths that make it."""
    return allowance_text(entry, as_typed)


LOOPBACK = ("127.0.0.1", "localhost", "::1")


def practical_here(practical_id: int) -> PracticalDetails:
    """The practical, for a teacher of its department; another department learns nothing."""
    return plans.practical_details(database(), actor=g.teacher, practical_id=practical_id)


def snapshot_here(practical_id: int) -> Snapshot:
    """The practical and its class as they stand now, for a teacher of its department."""
    return class_snapshot(database(), practical_id, actor=g.teacher)


@blueprint.app_url_defaults
def stay_with_the_practical(endpoint: str, values: dict[str, Any]) -> None:
    """A page of one practical need not name it in the addresses that it gives."""
    here = (request.view_args or {}).get("practical_id")
    if here is not None and current_app.url_map.is_endpoint_expecting(endpoint, "practical_id"):
        values.setdefault("practical_id", here)


@contextmanager
def refusal_on_next_page(*refusals: type[Problem], category: str = "bad") -> Iterator[None]:
    """Say on the next page why the use case refused; the rest of the block is passed over."""
    try:
        yield
    except refusals as problem:
        flash(say(problem.message), category)


def may_run(practical: PracticalDetails) -> bool:
    """Whether this teacher may change it: its own, or the head. The use cases decide for themselves."""
    return allowed_to_run(g.teacher, practical)


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
        may_give_away=is_own(g.teacher, practical),
        cover=cover_of(database(), actor=g.teacher, practical_id=practical.practical_id, now=now()),
        here=here,
        rehearsing=is_in_rehearsal(database(), practical_id=practical.practical_id),
        **more,
    )
