"""Numbers of a form and of an address, at the last value on either side of their limits."""

from __future__ import annotations

from decimal import Decimal

import pytest

from app.web.forms import bench_number, in_cm, in_g, in_kg, in_mm, plain, whole_number
from app.web.security import LARGEST, kept_number


@pytest.mark.parametrize(
    ("text", "read"),
    [
        *((" 3 ", 3), ("7", 7), ("2", None), ("8", None), ("", None), ("-3", None), ("3.0", None)),
        *(("\u0663", None), ("three", None), ("0003", 3), ("0000000042", None)),
    ],
)
def test_a_whole_number_lies_within_its_bounds_and_both_belong_to_them(text: str, read: int | None) -> None:
    assert whole_number(text, 3, 7) == read


def test_what_is_no_whole_number_is_none_where_nought_is_one() -> None:
    assert [whole_number(text, 0, 9) for text in ("0", "x", "")] == [0, None, None]


def test_a_bench_number_has_at_most_four_digits_and_anything_else_is_nought() -> None:
    typed = (" 7 ", "9999", "10000", "\u00b2", "-1", "", "seven")
    assert [bench_number(text) for text in typed] == [7, 9999, 0, 0, 0, 0, 0]


def test_a_stored_number_is_offered_in_the_unit_of_its_field() -> None:
    stored = Decimal("0.0450")
    assert [offer(stored) for offer in (in_cm, in_mm, in_g, in_kg)] == ["4.5 cm", "45 mm", "45 g", "0.045 kg"]
    assert [offer(None) for offer in (in_cm, in_mm, in_g, in_kg, plain)] == [""] * 5


def test_a_number_in_an_address_is_one_that_a_row_can_have() -> None:
    assert [kept_number(text) for text in ("0", str(LARGEST))] == [0, 2**31 - 1]
    for text in ("-1", str(2**31), "x", ""):
        with pytest.raises(ValueError):
            kept_number(text)
