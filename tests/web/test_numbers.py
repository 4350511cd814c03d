"""Every way in which a page writes a number, in a language with a decimal comma and in one with a point."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

import pytest
from flask import Flask, g

from app import create_app
from app.practicals.lesson.details import Typed
from app.settings import Settings
from app.web import numbers
from tests.figures.classes import a_run, worked_out


@pytest.fixture(scope="module")
def application(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Flask]:
    """No page is asked for, so nothing is in its records."""
    made = create_app(Settings.from_environment({"PLUMBFALL_DATA": str(tmp_path_factory.mktemp("data"))}))
    yield made
    made.extensions["plumbfall_database"].close()


@dataclass(frozen=True)
class _Bench:
    shot_mass_kg: float


RUN = worked_out([a_run(1, warming=2.5)]).runs[0]  # 451.1059 / 2.5 = 180.44, u = 0.041 · 180.44 / 2.5 = 2.96
CASES: list[tuple[Callable[..., str], tuple[Any, ...], str]] = [
    (numbers.number, (None,), "–"),
    (numbers.number, (1234.5,), "1234.5"),
    (numbers.number, (-0.5, 2), "−0.50"),
    (numbers.number, (-0.001, 2), "0.00"),
    (numbers.number, (0.1234567,), "0.123457"),
    (numbers.number, (Decimal("2.50"),), "2.5"),
    (numbers.figure_in, (142.3456, (131.2, 153.5)), "142"),
    (numbers.figure_in, (142.3456, None), "142"),
    (numbers.figure_in, (1.23456, None), "1.23"),
    (numbers.interval_figure, (None,), "–"),
    (numbers.interval_figure, ((5.0, 5.0),), "–"),
    (numbers.interval_figure, ((128.91, 134.62),), "128.9 … 134.6"),
    (numbers.run_figure, (None,), "–"),
    (numbers.run_figure, (RUN,), "180.4 ± 3.0"),
    (numbers.two_digits, (None,), "–"),
    (numbers.two_digits, (3.456,), "3.5"),
    (numbers.three_digits, (None,), "–"),
    (numbers.three_digits, (3.4567,), "3.46"),
    (numbers.plain_float, (12.34567,), "12.3457"),
    (numbers.signed_percent, (None,), "–"),
    (numbers.signed_percent, (12.34,), "+12.3 %"),
    (numbers.signed_percent, (-0.26,), "−0.3 %"),
    (numbers.plain_decimal, (None,), "–"),
    (numbers.plain_decimal, (Decimal("0.3400"), 3), "340"),
    (numbers.plain_decimal, (Decimal("0.0555"), 2), "5.55"),
    (numbers.exact_decimal, (Decimal("2.0"),), "2.0"),
    (numbers.as_read, (Typed("21,40", Decimal("21.40"), "°C"),), "21.40 °C"),
    (numbers.as_read, (Typed("0.34 kg", Decimal("0.34"), "kg"),), "0.34 kg"),
    (numbers.masses_in_words, ([_Bench(0.24), _Bench(0.5), _Bench(0.24), _Bench(0.2405)],), ""),
]


@pytest.mark.parametrize(("write", "given", "written"), CASES)
@pytest.mark.parametrize(("language", "mark"), [("en", "."), ("de", ",")])
def test_a_number_is_written_by_one_rule_with_the_reader_s_decimal_mark(
    application: Flask, language: str, mark: str, write: Callable[..., str], given: Any, written: str
) -> None:
    with application.test_request_context():
        g.language = language
        expected = written.replace(".", mark) or f"1 × 500, 1 × 240{mark}5, 2 × 240"
        assert write(*given) == expected


@pytest.mark.parametrize(
    ("value", "places"), [("20", 0), ("20.5", 1), ("0.000001", 6), ("0.1234567", 2), ("2E+1", 0)]
)
def test_a_reading_has_as_many_places_as_it_was_typed_with_six_at_most(value: str, places: int) -> None:
    assert numbers.places_of(Decimal(value)) == places
