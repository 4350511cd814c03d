"""How the desk writes figures: rounded by the tool's one rule, with the language's decimal mark."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal
from typing import TYPE_CHECKING

from app.analysis.results import ClassValue, RunResult
from app.exports.card_text import grouped_code
from app.physics.reading.readings import decimal_text
from app.physics.reading.text import with_unit
from app.physics.rounding import round_interval, round_significant, round_with_uncertainty
from app.practicals.lesson.details import TypedNumber
from app.web.desk.blueprint import blueprint, day
from app.web.languages import decimal_mark, say, text_direction
from app.web.storage import settings
from app.words import N_, Message

if TYPE_CHECKING:
    from app.analysis.plan.prediction import BenchPlan  # brings scipy, which a first page should not wait for


def marked(text: str) -> str:
    """A rounded figure with a real minus sign and the language's decimal mark."""
    return text.replace("-", "−").replace(".", decimal_mark())


def together(figure: str) -> str:
    """A figure with signs in it, kept in its own order where the text runs from right to left."""
    return f"\u2066{figure}\u2069" if text_direction() == "rtl" else figure


@blueprint.app_template_filter("class_figure")
def class_figure(value: ClassValue) -> str:
    """The class value alone, rounded as its interval asks."""
    return figure_in(value.apparent_heat_capacity_J_per_kg_K, value.interval_95)


@blueprint.app_template_filter("figure_in")
def figure_in(value: float, interval: tuple[float, float] | None) -> str:
    """A value rounded to the place of its interval's ends; three digits where it has none."""
    if interval is None or interval[0] >= interval[1]:
        return marked(round_significant(value, 3))
    return marked(round_with_uncertainty(value, (interval[1] - interval[0]) / 2).value)


@blueprint.app_template_filter("interval_figure")
def interval_figure(interval: tuple[float, float] | None) -> str:
    """An interval's two ends."""
    if interval is None or interval[0] >= interval[1]:
        return "–"
    return together(" … ".join(marked(end) for end in round_interval(*interval)))


@blueprint.app_template_filter("run_figure")
def run_figure(worked: RunResult | None) -> str:
    """A run's apparent specific heat capacity with its standard uncertainty."""
    if worked is None or worked.apparent_heat_capacity_J_per_kg_K is None:
        return "–"
    u = worked.standard_uncertainty_J_per_kg_K
    if not u:
        return marked(round_significant(worked.apparent_heat_capacity_J_per_kg_K, 3))
    return together(marked(str(round_with_uncertainty(worked.apparent_heat_capacity_J_per_kg_K, u))))


@blueprint.app_template_filter("two_digits")
def two_digits(value: float | None) -> str:
    """A figure with two significant digits, for what is only expected."""
    return "–" if value is None else marked(round_significant(value, 2))


@blueprint.app_template_filter("plain_float")
def plain_float(value: float) -> str:
    """A short figure as it is."""
    return marked(f"{value:g}")


@blueprint.app_template_filter("masses_in_words")
def masses_in_words(plans: Sequence[BenchPlan]) -> str:
    """How many benches have which mass: 7 × 1000, 2 × 490."""
    counts = Counter(plan.shot_mass_kg for plan in plans)
    return ", ".join(
        f"{count} × {marked(f'{mass * 1000:g}')}" for mass, count in sorted(counts.items(), reverse=True)
    )


@blueprint.app_template_filter("signed_percent")
def signed_percent(value: float | None) -> str:
    """A percent error with its sign."""
    return "–" if value is None else together(marked(f"{value:+.1f}") + " %")


@blueprint.app_template_filter("plain_decimal")
def plain_decimal(value: Decimal | None, shift: int = 0) -> str:
    """A stored decimal without trailing zeros, times a power of ten (kg to g is 3)."""
    if value is None:
        return "–"
    text = decimal_text(value.scaleb(shift))
    return marked(text.rstrip("0").rstrip(".") if "." in text else text)


@blueprint.app_template_filter("exact_decimal")
def exact_decimal(value: Decimal) -> str:
    """A difference of readings with the decimals that were read: 22.0 − 20.0 is 2.0."""
    return marked(decimal_text(value))


@blueprint.app_template_filter("three_digits")
def three_digits(value: float | None) -> str:
    """A figure with three significant digits."""
    return "–" if value is None else marked(round_significant(value, 3))


blueprint.add_app_template_filter(grouped_code, "grouped")


FIELD_NAMES = {
    "title": Message(N_("Title")),
    "held_on": Message(N_("Day of the lesson")),
    "planned_benches": Message(N_("Benches")),
    "language": Message(N_("Language for phones")),
    "delete_after": Message(N_("Delete everything after")),
    "material": Message(N_("Metal of the shot")),
    "accepted": Message(N_("Accepted specific heat capacity")),
    "accepted_source": Message(N_("Where that value comes from")),
    "gravity_how": Message(N_("How is g given?")),
    "gravity": Message(N_("g")),
    "latitude": Message(N_("Latitude")),
    "height": Message(N_("Height above sea level")),
    "bore": Message(N_("Bore")),
    "thermometer_step": Message(N_("Thermometer step")),
    "shot_mass": Message(N_("Shot mass")),
    "tube_length": Message(N_("Tube length")),
    "end_allowance": Message(N_("End allowance")),
    "inversions": Message(N_("Inversions")),
    "start_temperature": Message(N_("Start temperature")),
    "end_temperature": Message(N_("End temperature")),
    "room_temperature": Message(N_("Room temperature")),
    "heat_sink": Message(N_("Heat sink, a guess")),
    "bench_plans": Message(N_("Plan for each bench")),
}


@blueprint.app_template_filter("field_name")
def field_name(name: str) -> str:
    """What a field is called on the page."""
    bare = (
        name.removesuffix("_J_per_kg_K")
        .removesuffix("_J_per_K")
        .removesuffix("_m_per_s2")
        .removesuffix("_kg")
    )
    bare = bare.removesuffix("_m").removesuffix("_K").removesuffix("_C").removesuffix("_deg")
    return say(FIELD_NAMES[bare]) if bare in FIELD_NAMES else bare.replace("_", " ")


@blueprint.app_template_filter("as_typed")
def as_typed(reading: TypedNumber) -> str:
    """A reading as it was typed, with its unit."""
    return with_unit(reading.raw, reading.unit)


@blueprint.app_template_filter("clock_seconds")
def clock_seconds(moment: datetime) -> str:
    """Hours, minutes and seconds on the school's clock."""
    return settings().local(moment).strftime("%H:%M:%S")


@blueprint.app_template_filter("moment")
def moment_text(moment: datetime) -> str:
    """A day and a time, for a history."""
    return f"{day(settings().local_day(moment))}, {clock_seconds(moment)}"
