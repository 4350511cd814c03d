"""How numbers are written for a reader: rounded by the tool's one rule, with the language's decimal mark."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from babel.numbers import format_decimal
from flask import Flask
from flask_babel import format_datetime as format_moment
from jinja2 import pass_context
from jinja2.runtime import Context
from markupsafe import Markup

from app.analysis.results import ClassValue, RunResult
from app.exports.papers.card_text import grouped_code
from app.physics.reading.ends import PARTS
from app.physics.reading.readings import decimal_text, parse_decimal
from app.physics.rounding import (
    interval_ends,
    percent_error,
    round_significant,
    short,
    shortest,
    value_and_u,
    value_in_interval,
)
from app.practicals.lesson.details import TypedNumber
from app.practicals.runs.entry import RunEntry
from app.settings import Settings
from app.web.languages import decimal_mark, say, text_direction
from app.web.storage import settings
from app.words import FIGURE_WITH_UNIT, UNIT_OF_A_HEAD

if TYPE_CHECKING:
    from app.analysis.plan.prediction import BenchPlan  # brings scipy, which a first page should not wait for

MOST_PLACES = 6
_WHOLE_OR_FIGURE = re.compile(f"\u2066[^\u2069]*\u2069|{FIGURE_WITH_UNIT.pattern}")


def wire(app: Flask, settings: Settings) -> None:
    """Offer every way of writing a number to the templates."""
    app.jinja_env.globals["places_of"] = places_of
    for name in ("gettext", "ngettext"):
        app.jinja_env.globals[name] = _whole_in_templates(app.jinja_env.globals[name])
    app.jinja_env.filters.update(
        grouped=grouped_code,
        allowance_as_read=allowance_as_read,
        as_read=as_read,
        class_figure=class_figure,
        clock_seconds=clock_seconds,
        clock_time=clock_time,
        exact_decimal=exact_decimal,
        figure_in=figure_in,
        figures_whole=figures_whole,
        interval_figure=interval_figure,
        masses_in_words=masses_in_words,
        number=number,
        plain_decimal=plain_decimal,
        plain_float=plain_float,
        run_figure=run_figure,
        say=lambda message: figures_whole(say(message)),
        signed_figure=signed_figure,
        signed_percent=signed_percent,
        three_digits=three_digits,
        two_digits=two_digits,
    )


def number(value: float | Decimal | None, places: int | None = None) -> str:
    """A number for reading: fixed places, no grouping, a real minus sign, the language's decimal mark."""
    if value is None:
        return "–"
    text = (
        f"{value:.{places}f}" if places is not None else format_decimal(value, format="0.######", locale="en")
    )
    if float(text) == 0:
        text = text.lstrip("-")
    return marked(text)


def clock_time(moment: datetime | None) -> str:
    """Hours and minutes on the school's clock."""
    if moment is None:
        return "–"
    aware = moment if moment.tzinfo else moment.replace(tzinfo=UTC)
    return format_moment(settings().local(aware).replace(tzinfo=None), "HH:mm", rebase=False)


def marked(text: str) -> str:
    """A rounded figure with a real minus sign, before it also from right to left, and the decimal mark."""
    said = text.replace("-", "−").replace(".", decimal_mark())
    return together(said) if said.startswith("−") else said


def together(figure: str) -> str:
    """A figure with signs in it, kept in its own order where the text runs from right to left."""
    return f"\u2066{figure}\u2069" if text_direction() == "rtl" else figure


def class_figure(value: ClassValue) -> str:
    """The class value alone, rounded as its interval asks."""
    return figure_in(value.apparent_heat_capacity_J_per_kg_K, value.interval_95)


def figure_in(value: float, interval: tuple[float, float] | None) -> str:
    """A value rounded to the place of its interval's ends; three digits where it has none."""
    return marked(value_in_interval(value, interval))


def interval_figure(interval: tuple[float, float] | None) -> str:
    """An interval's two ends."""
    if interval is None or interval[0] >= interval[1]:
        return "–"
    return together(" … ".join(marked(end) for end in interval_ends(interval)))


def run_figure(worked: RunResult | None) -> str:
    """A run's apparent specific heat capacity with its standard uncertainty."""
    if worked is None or worked.apparent_heat_capacity_J_per_kg_K is None:
        return "–"
    value, u = worked.apparent_heat_capacity_J_per_kg_K, worked.standard_uncertainty_J_per_kg_K
    return together(marked(value_and_u(value, u)))


def two_digits(value: float | None) -> str:
    """A figure with two significant digits, for what is only expected."""
    return "–" if value is None else marked(round_significant(value, 2))


def plain_float(value: float) -> str:
    """A short figure as it is."""
    return marked(short(value, 6))


def masses_in_words(plans: Sequence[BenchPlan]) -> str:
    """How many benches have which mass: 7 × 1000, 2 × 490."""
    counts = Counter(plan.shot_mass_kg for plan in plans)
    return ", ".join(
        f"{count} × {marked(short(mass * 1000, 6))}" for mass, count in sorted(counts.items(), reverse=True)
    )


def signed_figure(value: float) -> str:
    """A percentage with its sign, its unit being in the head of its column."""
    text = percent_error(value)
    return together(marked(text if float(text) else "0.0"))


def signed_percent(value: float | None) -> str:
    """A percent error with its sign."""
    return "–" if value is None else together(marked(percent_error(value)) + " %")


def plain_decimal(value: Decimal | None, shift: int = 0) -> str:
    """A stored decimal without trailing zeros, times a power of ten (kg to g is 3)."""
    if value is None:
        return "–"
    return marked(shortest(value.scaleb(shift)))


def exact_decimal(value: Decimal) -> str:
    """A difference of readings with the decimals that were read: 22.0 − 20.0 is 2.0."""
    return marked(decimal_text(value))


def three_digits(value: float | None) -> str:
    """A figure with three significant digits."""
    return "–" if value is None else marked(round_significant(value, 3))


def clock_seconds(moment: datetime) -> str:
    """Hours, minutes and seconds on the school's clock."""
    return settings().local(moment).strftime("%H:%M:%S")


def as_read(typed: TypedNumber) -> str:
    """A stored reading with the digits and the unit that were typed, in the reader's decimal mark."""
    read = parse_decimal(typed.raw)
    return together(f"{number(read.value, places_of(read.value))} {read.unit or typed.unit}".strip())


def allowance_as_read(entry: RunEntry) -> str:
    """The end allowance of a run in the same way."""
    return allowance_text(entry, as_read)


def allowance_text(entry: RunEntry, written: Callable[[TypedNumber], str]) -> str:
    """The end allowance, and beside it the two lengths that make it where the bench measured those."""
    parts = [entry.of[name] for name in PARTS if name in entry.of]
    whole = written(entry.end_allowance)
    return together(f"{whole} ({' + '.join(map(written, parts))})") if len(parts) == len(PARTS) else whole


def places_of(value: Decimal) -> int:
    """How many decimals a difference of readings has: as many as they; two where °F gave no end of them."""
    places = max(0, -int(value.as_tuple().exponent))
    return places if places <= MOST_PLACES else 2


def figures_whole(sentence: str) -> str:
    """A sentence from right to left whose figures keep their units behind them: 21.4 °C, not C° 21.4."""
    if text_direction() == "ltr":
        return sentence
    kept = _WHOLE_OR_FIGURE.sub(isolated, sentence)
    return UNIT_OF_A_HEAD.sub(lambda unit: f"\u2066{unit[0]}\u2069", kept)


def isolated(figure: re.Match[str]) -> str:
    """A figure in its own order and on one line: on two, its halves would change places."""
    return figure[0] if figure[0][0] == "\u2066" else f"\u2066{figure[0].replace(' ', chr(0xA0))}\u2069"


def _whole_in_templates(translate: Any) -> Callable[..., str]:
    """A translation for templates whose figures keep their units behind them."""

    @pass_context
    def translated(context: Context, *sentences: object, **values: object) -> str:
        said = translate(context, *sentences, **values)
        whole = figures_whole(str(said))
        return Markup(whole) if isinstance(said, Markup) else whole  # nosec B704 # noqa: S704 - as escaped as it was

    return translated
