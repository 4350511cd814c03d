"""The plan as a teacher types it: read field by field, with one sentence for what cannot be used."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from app.physics.asking.question import Question
from app.physics.asking.room import ROOM, unlikely_room_of_class
from app.physics.gravity import normal_gravity
from app.physics.materials import MATERIALS
from app.physics.reading.planning import (
    parse_bench_count,
    parse_height,
    parse_latitude,
    parse_thermometer_step,
)
from app.physics.reading.readings import (
    ReadingProblem,
    decimal_text,
    parse_accepted_heat_capacity,
    parse_count,
    parse_gravity,
    parse_length,
    parse_temperature,
)
from app.physics.rounding import short
from app.practicals.lesson.details import STANDARD_GRAVITY, Plan
from app.records.choices import GravityHow
from app.records.models.practical import LONGEST_SOURCE, LONGEST_TITLE
from app.web.desk.plan import questions
from app.web.forms import TypedForm, fingerprint, in_cm, in_mm, parse_day, plain
from app.web.languages import LANGUAGES, say
from app.words import N_, Message

FIELDS = (
    *("title", "held_on", "planned_benches", "language", "delete_after"),
    *("material", "accepted", "accepted_source"),
    *("tube_length", "end_allowance", "bore", "inversions", "thermometer_step", "room_temperature"),
    *("ends_how", "gravity_how", "gravity", "latitude", "height", "accepted_for"),
)
ENDS = {"measured": True, "planned": False}
"""Who says how much of the tube the settled shot takes: each bench, or the plan."""
ALLOWANCE_TOO_LONG = Message(
    N_("The end allowance is as long as the tube, so nothing would fall. Check both lengths.")
)
BORE_TOO_WIDE = Message(
    N_("The bore is as wide as the tube is long. Check both; a bore is a few centimetres.")
)

NO_DAY = Message(N_("Give the day of the lesson as year-month-day, for example 2026-03-12."))
NO_LAST_DAY = Message(N_("Give the day as year-month-day, for example 2026-07-31, or leave it empty."))


@dataclass
class PlanForm(TypedForm):
    """A plan as typed, the plan itself if nothing is wrong with it, and what is asked before it is stored."""

    plan: Plan | None = None
    questions: tuple[Question, ...] = ()

    @property
    def fingerprint(self) -> str:
        """By which the page knows that this very room temperature was asked about and is right as typed."""
        return fingerprint(self.typed[ROOM])

    def ask_about_room(
        self, as_typed: str, stored: Plan | None = None, starts_C: Iterable[float] = ()
    ) -> None:
        """Ask once about an unlikely room temperature; not about the one that is stored.

        `as_typed`: the fingerprint that the button of an earlier question sent.
        """
        if self.plan is None or not self.typed[ROOM].strip() or as_typed == self.fingerprint:
            return
        reading = parse_temperature(self.typed[ROOM])
        if stored is None or reading.value != stored.room_temperature_C:
            asked = unlikely_room_of_class(reading, starts_C)
            self.questions = () if asked is None else (asked,)


def fresh_form(today: date) -> PlanForm:
    """A new practical's form: lead, a metre of tube and other defaults, to be changed freely."""
    metal = MATERIALS["lead"]
    offered = {
        "held_on": today.isoformat(),
        "planned_benches": "12",
        "material": metal.key,
        "accepted_for": metal.key,
        "accepted": offered_value(metal.key),
        "accepted_source": say(metal.accepted_source),
        "gravity_how": GravityHow.STANDARD,
        "tube_length": "1 m",
        "ends_how": "measured",
        "end_allowance": "6 cm",
        "inversions": "50",
        "thermometer_step": "0.1",
    }
    return PlanForm.of({}, (*FIELDS, *questions.FIELDS), offered)


def form_of(plan: Plan) -> PlanForm:
    """The form of a plan that is stored: as typed, or from its figures where it was not typed here."""
    shown = {
        "title": plan.title,
        "held_on": plan.held_on.isoformat(),
        "material": plan.material,
        "accepted": decimal_text(plan.accepted_J_per_kg_K),
        "accepted_source": plan.accepted_source,
        "gravity_how": plan.gravity_how,
        "gravity": decimal_text(plan.gravity_m_per_s2) if plan.gravity_how == GravityHow.TYPED else "",
        "latitude": plain(plan.latitude_deg),
        "height": plain(plan.height_m),
        "tube_length": in_cm(plan.tube_length_m),
        "bore": in_mm(plan.bore_m),
        "ends_how": "measured" if plan.depth_measured else "planned",
        "end_allowance": in_cm(plan.end_allowance_m),
        "inversions": str(plan.inversions),
        "planned_benches": str(plan.planned_benches),
        "language": plan.language or "",
        "delete_after": "" if plan.delete_after is None else plan.delete_after.isoformat(),
        "thermometer_step": decimal_text(plan.thermometer_step_K),
        "room_temperature": plain(plan.room_temperature_C),
        **questions.typed_questions(plan),
    }
    kept = {name: text for name, text in plan.typed.items() if name in FIELDS}
    return PlanForm({**shown, **kept, "accepted_for": plan.material})


def offered_value(material: str) -> str:
    """The table's accepted value of a metal, as it stands in the form."""
    return short(MATERIALS[material].accepted_J_per_kg_K, 6)


def read_plan_form(form: Mapping[str, str]) -> PlanForm:
    """Read the whole form; every problem is found, not only the first."""
    found = PlanForm.of(form, (*FIELDS, *questions.FIELDS), longest=questions.LONGEST_SENT)
    found.typed = with_metal_followed(found.typed)
    found.plan = _plan(found)
    return found


def with_metal_followed(typed: dict[str, str]) -> dict[str, str]:
    """Another metal chosen, its value not touched: the new metal's own value and source are meant."""
    before, after = typed["accepted_for"], typed["material"]
    if after not in MATERIALS:
        return typed
    untouched = before in MATERIALS and typed["accepted"].strip() == offered_value(before)
    if not typed["accepted"].strip() or (before != after and untouched):
        source = say(MATERIALS[after].accepted_source)
        return {**typed, "accepted": offered_value(after), "accepted_source": source, "accepted_for": after}
    return {**typed, "accepted_for": after}


def title_and_day(form: TypedForm) -> tuple[str, date | None]:
    """The title and the day of the lesson."""
    return form.read("title", _title) or "", form.read("held_on", day_of_the_lesson)


def _plan(form: PlanForm) -> Plan | None:
    """The plan; None while anything is wrong with it."""
    title, held_on = title_and_day(form)
    material, source = form.read("material", metal_key), form.read("accepted_source", _source)
    accepted = form.read("accepted", parse_accepted_heat_capacity)
    gravity, u_gravity, latitude, height = _gravity(form)
    length = form.read("tube_length", lambda text: parse_length(text).value)
    allowance = form.read("end_allowance", lambda text: parse_length(text or "0", may_be_zero=True).value)
    bore = form.read_optional("bore", lambda text: parse_length(text, "mm").value)
    inversions = form.read("inversions", lambda text: int(parse_count(text).value))
    benches = form.read("planned_benches", parse_bench_count)
    step = form.read("thermometer_step", parse_thermometer_step)
    room = form.read_optional(ROOM, lambda text: parse_temperature(text).value)
    language = form.read_optional("language", _language)
    delete_after = form.read_optional("delete_after", _last_day)
    own_questions = questions.own_questions(form)
    if length is not None and allowance is not None and allowance >= length:
        form.refuse("end_allowance", ALLOWANCE_TOO_LONG)
    if length is not None and bore is not None and bore >= length:
        form.refuse("bore", BORE_TOO_WIDE)
    if form.typed["ends_how"] not in ENDS:
        form.refuse("ends_how", Message(N_("Choose how it is known what the settled shot takes.")))
    if form.problems:
        return None
    if not (held_on and material and accepted and gravity and length and inversions and benches and step):
        raise AssertionError("a field without a value has a problem")
    return Plan(
        title=title,
        held_on=held_on,
        material=material,
        accepted_J_per_kg_K=accepted,
        accepted_source=source or "",
        accepted_temperature_C=Decimal(str(MATERIALS[material].accepted_temperature_C)),
        gravity_how=GravityHow(form.typed["gravity_how"]),
        gravity_m_per_s2=gravity,
        u_gravity_m_per_s2=u_gravity,
        latitude_deg=latitude,
        height_m=height,
        tube_length_m=length,
        end_allowance_m=allowance or Decimal(0),
        bore_m=bore,
        depth_measured=ENDS[form.typed["ends_how"]],
        inversions=inversions,
        planned_benches=benches,
        thermometer_step_K=step,
        room_temperature_C=room,
        language=language,
        delete_after=delete_after,
        questions_asked=form.typed[questions.ASKED] == questions.YES,
        own_questions=own_questions,
        typed={name: form.typed[name] for name in FIELDS if name not in ("accepted_for", "material")},
    )


def _gravity(form: PlanForm) -> tuple[Decimal | None, Decimal, Decimal | None, Decimal | None]:
    """g, its standard uncertainty (u), latitude and height."""
    how = form.typed["gravity_how"]
    if how == GravityHow.TYPED:
        return form.read("gravity", parse_gravity), Decimal(0), None, None
    if how == GravityHow.LATITUDE:
        latitude = form.read("latitude", parse_latitude)
        height = form.read("height", lambda text: parse_height(text or "0"))
        if latitude is None or height is None:
            return None, Decimal(0), None, None
        value = normal_gravity(float(latitude), float(height))
        # The local anomaly is not in normal gravity: some 5·10⁻⁴ m/s² (from memory).
        return Decimal(f"{value:.5f}"), Decimal("0.0005"), latitude, height
    if how != GravityHow.STANDARD:
        form.refuse("gravity_how", Message(N_("Choose how g is given.")))
    # Over the inhabited world g lies within about 0.03 m/s² of the standard: width/√12 of ±0.03.
    return STANDARD_GRAVITY, Decimal("0.017"), None, None


def _title(text: str) -> str:
    return _one_line(
        text,
        LONGEST_TITLE,
        missing=N_("Give the practical a title, for example the class and the period."),
        too_long=N_("That title is too long. Keep it to 120 characters."),
    )


def _source(text: str) -> str:
    return _one_line(
        text,
        LONGEST_SOURCE,
        missing=N_("Say where the accepted value comes from: a table, a book, a data sheet."),
        too_long=N_("That source is too long. Keep it to 400 characters."),
    )


def _one_line(text: str, longest: int, *, missing: str, too_long: str) -> str:
    line = " ".join(text.split())
    if not line or len(line) > longest:
        raise ReadingProblem(Message(too_long if line else missing))
    return line


def metal_key(text: str) -> str:
    """The key of a metal of the list. Raises ReadingProblem."""
    if text not in MATERIALS:
        raise ReadingProblem(Message(N_("Choose the metal from the list.")))
    return text


def _language(text: str) -> str:
    if text not in LANGUAGES:
        raise ReadingProblem(Message(N_("Choose a language from the list.")))
    return text


def day_of_the_lesson(text: str) -> date:
    """A day. Raises ReadingProblem."""
    return parse_day(text, NO_DAY)


def _last_day(text: str) -> date:
    return parse_day(text, NO_LAST_DAY)
