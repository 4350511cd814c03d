"""The plan as a teacher types it: read field by field, with one sentence for what cannot be used."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from app.physics.gravity import normal_gravity
from app.physics.materials import MATERIALS
from app.physics.readings import (
    decimal_text,
    parse_accepted_heat_capacity,
    parse_count,
    parse_gravity,
    parse_length,
    parse_temperature,
)
from app.practicals.shapes import Plan
from app.web.desk.plan_fields import (
    read_bench_count,
    read_height,
    read_latitude,
    read_thermometer_step,
)
from app.web.desk.typed_form import TypedForm
from app.web.languages import LANGUAGES
from app.words import N_, Message

FIELDS = (
    *("title", "held_on", "planned_benches", "language", "delete_after"),
    *("material", "accepted", "accepted_source"),
    *("tube_length", "end_allowance", "bore", "inversions", "thermometer_step", "room_temperature"),
    *("gravity_how", "gravity", "latitude", "height", "accepted_for"),
)
LONGEST_TITLE, LONGEST_SOURCE = 120, 400
STANDARD_GRAVITY = Decimal("9.80665")


@dataclass
class PlanForm:
    """What was typed, what is wrong with it, and the plan if nothing is."""

    typed: dict[str, str]
    problems: dict[str, Message] = field(default_factory=dict)
    plan: Plan | None = None

    def problem_list(self) -> list[tuple[str, Message]]:
        """The problems in the order of the form."""
        return [(name, self.problems[name]) for name in FIELDS if name in self.problems]


def fresh_form(today: date) -> PlanForm:
    """A new practical's form: lead, a metre of tube and other defaults, to be changed freely."""
    metal = MATERIALS["lead"]
    return PlanForm(
        {
            "title": "",
            "held_on": today.isoformat(),
            "material": metal.key,
            "accepted_for": metal.key,
            "accepted": offered_value(metal.key),
            "accepted_source": metal.accepted_source,
            "gravity_how": "standard",
            "gravity": "",
            "latitude": "",
            "height": "",
            "tube_length": "1 m",
            "bore": "",
            "end_allowance": "6 cm",
            "inversions": "50",
            "planned_benches": "12",
            "language": "",
            "delete_after": "",
            "thermometer_step": "0.1",
            "room_temperature": "",
        }
    )


def form_of(plan: Plan) -> PlanForm:
    """The form of a plan that is stored: as typed, or from its figures where it was not typed here."""
    shown = {
        "title": plan.title,
        "held_on": plan.held_on.isoformat(),
        "material": plan.material,
        "accepted": decimal_text(plan.accepted_J_per_kg_K),
        "accepted_source": plan.accepted_source,
        "gravity_how": plan.gravity_how,
        "gravity": decimal_text(plan.gravity_m_per_s2) if plan.gravity_how == "typed" else "",
        "latitude": _or_empty(plan.latitude_deg),
        "height": _or_empty(plan.height_m),
        "tube_length": f"{decimal_text(plan.tube_length_m * 100)} cm",
        "bore": f"{decimal_text(plan.bore_m * 1000)} mm" if plan.bore_m is not None else "",
        "end_allowance": f"{decimal_text(plan.end_allowance_m * 100)} cm",
        "inversions": str(plan.inversions),
        "planned_benches": str(plan.planned_benches),
        "language": plan.language or "",
        "delete_after": "" if plan.delete_after is None else plan.delete_after.isoformat(),
        "thermometer_step": decimal_text(plan.thermometer_step_K),
        "room_temperature": _or_empty(plan.room_temperature_C),
    }
    kept = {name: text for name, text in plan.typed.items() if name in FIELDS}
    return PlanForm({**shown, **kept, "accepted_for": plan.material})


def offered_value(material: str) -> str:
    """The table's accepted value of a metal, as it stands in the form."""
    return f"{MATERIALS[material].accepted_J_per_kg_K:g}"


def read_plan_form(form: Mapping[str, str]) -> PlanForm:
    """Read the whole form; every problem is found, not only the first."""
    typed = {name: form.get(name, "")[:1000] for name in FIELDS}
    reader = _Reader(_with_metal_followed(typed))
    plan = reader.plan()
    return PlanForm(reader.typed, reader.problems, plan if not reader.problems else None)


def _with_metal_followed(typed: dict[str, str]) -> dict[str, str]:
    """Another metal chosen, its value not touched: the new metal's own value and source are meant."""
    before, after = typed["accepted_for"], typed["material"]
    if after not in MATERIALS:
        return typed
    untouched = before in MATERIALS and typed["accepted"].strip() == offered_value(before)
    if not typed["accepted"].strip() or (before != after and untouched):
        source = MATERIALS[after].accepted_source
        return {**typed, "accepted": offered_value(after), "accepted_source": source, "accepted_for": after}
    return {**typed, "accepted_for": after}


def title_and_day(typed: Mapping[str, str]) -> tuple[str, date | None, dict[str, Message]]:
    """The title and the day, and what is wrong with them."""
    problems: dict[str, Message] = {}
    title = " ".join(typed["title"].split())
    if not title:
        problems["title"] = Message(N_("Give the practical a title, for example the class and the period."))
    elif len(title) > LONGEST_TITLE:
        problems["title"] = Message(N_("That title is too long. Keep it to 120 characters."))
    try:
        held_on = date.fromisoformat(typed["held_on"].strip())
    except ValueError:
        problems["held_on"] = Message(
            N_("Give the day of the lesson as year-month-day, for example 2026-03-12.")
        )
        return title, None, problems
    return title, held_on, problems


class _Reader(TypedForm):
    """Reads one field after another and collects what is wrong."""

    def plan(self) -> Plan | None:
        """The plan; meaningless while there are problems."""
        title, held_on, problems = title_and_day(self.typed)
        self.problems.update(problems)
        material = self._material()
        accepted, source = self.read("accepted", parse_accepted_heat_capacity), self._source()
        gravity, u_gravity, latitude, height = self._gravity()
        length = self.read("tube_length", lambda text: parse_length(text).value)
        allowance = self.read("end_allowance", lambda text: parse_length(text or "0", may_be_zero=True).value)
        bore = self.read_optional("bore", lambda text: parse_length(text, "mm").value)
        inversions = self.read("inversions", lambda text: int(parse_count(text).value))
        benches = self.read("planned_benches", read_bench_count)
        step = self.read("thermometer_step", read_thermometer_step)
        room = self.read_optional("room_temperature", lambda text: parse_temperature(text).value)
        language, delete_after = self._language(), self._delete_after()
        if length is not None and allowance is not None and allowance >= length:
            self.problems.setdefault("end_allowance", ALLOWANCE_TOO_LONG)
        if length is not None and bore is not None and bore >= length:
            self.problems.setdefault("bore", BORE_TOO_WIDE)
        if self.problems:
            return None
        if not (held_on and accepted and gravity and length and inversions and benches and step):
            raise AssertionError("a field without a value has a problem")
        return Plan(
            title=title,
            held_on=held_on,
            material=material,
            accepted_J_per_kg_K=accepted,
            accepted_source=source,
            accepted_temperature_C=Decimal(str(MATERIALS[material].accepted_temperature_C)),
            gravity_how=self.typed["gravity_how"],
            gravity_m_per_s2=gravity,
            u_gravity_m_per_s2=u_gravity,
            latitude_deg=latitude,
            height_m=height,
            tube_length_m=length,
            end_allowance_m=allowance or Decimal(0),
            bore_m=bore,
            inversions=inversions,
            planned_benches=benches,
            thermometer_step_K=step,
            room_temperature_C=room,
            language=language,
            delete_after=delete_after,
            typed={name: self.typed[name] for name in FIELDS if name not in ("accepted_for", "material")},
        )

    def _material(self) -> str:
        if self.typed["material"] not in MATERIALS:
            self.problems["material"] = Message(N_("Choose the metal from the list."))
        return self.typed["material"]

    def _language(self) -> str | None:
        chosen = self.typed["language"]
        if chosen and chosen not in LANGUAGES:
            self.problems["language"] = Message(N_("Choose a language from the list."))
        return chosen or None

    def _delete_after(self) -> date | None:
        text = self.typed["delete_after"].strip()
        try:
            return date.fromisoformat(text) if text else None
        except ValueError:
            self.problems["delete_after"] = Message(
                N_("Give the day as year-month-day, for example 2026-07-31, or leave it empty.")
            )
            return None

    def _source(self) -> str:
        source = " ".join(self.typed["accepted_source"].split())
        if not source:
            self.problems["accepted_source"] = Message(
                N_("Say where the accepted value comes from: a table, a book, a data sheet.")
            )
        elif len(source) > LONGEST_SOURCE:
            self.problems["accepted_source"] = Message(
                N_("That source is too long. Keep it to 400 characters.")
            )
        return source

    def _gravity(self) -> tuple[Decimal | None, Decimal, Decimal | None, Decimal | None]:
        """g, its standard uncertainty (u), latitude and height."""
        how = self.typed["gravity_how"]
        if how == "typed":
            return self.read("gravity", parse_gravity), Decimal(0), None, None
        if how == "latitude":
            latitude = self.read("latitude", read_latitude)
            height = self.read("height", lambda text: read_height(text or "0"))
            if latitude is None or height is None:
                return None, Decimal(0), None, None
            value = normal_gravity(float(latitude), float(height))
            # The local anomaly is not in normal gravity: some 5·10⁻⁴ m/s² (from memory).
            return Decimal(f"{value:.5f}"), Decimal("0.0005"), latitude, height
        if how != "standard":
            self.problems["gravity_how"] = Message(N_("Choose how g is given."))
        # Over the inhabited world g lies within about 0.03 m/s² of the standard: width/√12 of ±0.03.
        return STANDARD_GRAVITY, Decimal("0.017"), None, None


ALLOWANCE_TOO_LONG = Message(
    N_("The end allowance is as long as the tube, so nothing would fall. Check both lengths.")
)
BORE_TOO_WIDE = Message(
    N_("The bore is as wide as the tube is long. Check both; a bore is a few centimetres.")
)


def _or_empty(value: Decimal | None) -> str:
    return "" if value is None else decimal_text(value)
