"""Rounding as a table: JCGM 100:2008 (GUM) 7.2.6, two significant digits of the uncertainty."""

from __future__ import annotations

import math
from decimal import Decimal

import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st
from uncertainties import ufloat

from app.physics.rounding import (
    fixed,
    interval_ends,
    one_decimal,
    one_digit,
    percent,
    percent_error,
    round_interval,
    round_significant,
    round_with_uncertainty,
    short,
    value_in_interval,
    value_with_u,
    whole,
    whole_percents,
)


@pytest.mark.parametrize(
    ("value", "uncertainty", "text"),
    [
        (10.05762, 0.027, "10.058 ± 0.027"),  # the example of GUM 7.2.6 (from memory)
        (100.02147, 0.00035, "100.02147 ± 0.00035"),  # the example of GUM 7.2.2 (from memory)
        (132.435, 7.735200202546111, "132.4 ± 7.7"),
        (178.9344, 36.533261881195344, "179 ± 37"),
        (132435.0, 1234.0, "132400 ± 1200"),
        (0.5, 0.0996, "0.50 ± 0.10"),
        (0.5, 0.0994, "0.500 ± 0.099"),
        (9.95, 9.96, "10 ± 10"),
        (-0.04, 1.2, "0.0 ± 1.2"),
        (-3.46, 0.25, "-3.46 ± 0.25"),
        (2.675, 0.05, "2.675 ± 0.050"),
        (127.0, 28.05, "127 ± 28"),
        (0.125, 0.125, "0.13 ± 0.13"),
        (1e22, 1.0, "10000000000000000000000.0 ± 1.0"),
        (5e-324, 5e-300, None),
    ],
)
def test_value_and_uncertainty_share_their_last_place(
    value: float, uncertainty: float, text: str | None
) -> None:
    rounded = str(round_with_uncertainty(value, uncertainty))
    assert text is None or rounded == text
    assert "E" not in rounded


@example(-1, 109_060)
@given(st.integers(-(10**9), 10**9), st.integers(1, 10**8))
def test_the_same_text_as_the_uncertainties_package_gives(thousandths: int, millionths: int) -> None:
    """Oracle: uncertainties, format `.2uf`, below 99 (it keeps whole units) and away from ties.

    A tie is where the last bits of a float decide: we round the shortest decimal, they the binary number.
    """
    value, uncertainty = thousandths * 1.000_012_3e-3, millionths * 0.912_345_7e-6
    below, above = 1 - 4e-16, 1 + 4e-16
    assume(
        round_with_uncertainty(value * below, uncertainty * below)
        == round_with_uncertainty(value * above, uncertainty * above)
    )
    theirs = f"{ufloat(value, uncertainty):.2uf}".replace("+/-", " ± ")
    if float(theirs.split()[0]) == 0:
        theirs = theirs.removeprefix("-")  # a rounded zero carries no sign here
    assert str(round_with_uncertainty(value, uncertainty)) == theirs


@given(st.floats(-1e9, 1e9), st.floats(1e-9, 1e9))
def test_rounding_moves_a_value_by_less_than_a_twentieth_of_its_uncertainty(
    value: float, uncertainty: float
) -> None:
    rounded = round_with_uncertainty(value, uncertainty)
    assert abs(float(rounded.value) - value) <= 0.0501 * uncertainty + 1e-15 * abs(value)
    assert len(rounded.uncertainty.replace(".", "").strip("0")) <= 2


@pytest.mark.parametrize(
    ("value", "digits", "text"),
    [(132.435, 3, "132"), (0.0012345, 3, "0.00123"), (9996.0, 3, "10000"), (0.0, 3, "0"), (-2.5, 1, "-3")],
)
def test_a_value_alone_keeps_its_significant_digits(value: float, digits: int, text: str) -> None:
    assert round_significant(value, digits) == text


def test_an_interval_is_rounded_by_its_half_width() -> None:
    assert round_interval(118.883, 149.562) == ("119", "150")
    assert round_interval(127.8123, 132.0456) == ("127.8", "132.0")


@pytest.mark.parametrize(("value", "u"), [(float("nan"), 1.0), (1.0, 0.0), (1.0, -1.0), (1.0, float("inf"))])
def test_what_cannot_be_rounded_is_an_error(value: float, u: float) -> None:
    with pytest.raises(ValueError):
        round_with_uncertainty(value, u)


def test_percents_go_to_the_largest_remainders() -> None:
    """Votes shared by the largest-remainder method, the worked example of its textbook account
    (47000, 16000, 15900, 12000, 6000, 3100 votes of 100000 for 10 seats: 5, 2, 1, 1, 1, 0; from memory)."""
    seats = [vote / 10_000_000 for vote in (47_000, 16_000, 15_900, 12_000, 6_000, 3_100)]
    assert whole_percents([10 * seat for seat in seats]) == (5, 2, 1, 1, 1, 0)
    assert whole_percents([1 / 3, 1 / 3, 1 / 3]) == (34, 33, 33)
    assert whole_percents([1.084, -0.084]) == (108, -8)


@given(st.lists(st.floats(-3, 3), min_size=1, max_size=5))
def test_whole_percents_add_to_a_hundred_and_none_is_a_whole_one_off(parts: list[float]) -> None:
    shares = [*parts, 1 - sum(parts)]
    whole = whole_percents(shares)
    assert sum(whole) == 100
    assert all(abs(one - 100 * share) < 1 + 1e-9 for one, share in zip(whole, shares, strict=True))


@pytest.mark.parametrize("share", [math.nan, math.inf])
def test_a_share_that_is_no_number_has_no_percents(share: float) -> None:
    with pytest.raises(ValueError, match="finite"):
        whole_percents([share, 0.5])


@pytest.mark.parametrize(
    ("value", "rounding", "digit"),
    [
        (3.64, "ROUND_CEILING", "4"),
        (3.64, "ROUND_FLOOR", "3"),
        (0.0231, "ROUND_CEILING", "0.03"),
        (3.0000000001, "ROUND_CEILING", "3"),
        (-1.2, "ROUND_FLOOR", "-2"),
        (0.0, "ROUND_FLOOR", "0"),
    ],
)
def test_a_limit_to_judge_by_has_one_digit(value: float, rounding: str, digit: str) -> None:
    assert one_digit(value, rounding) == Decimal(digit)


def test_a_limit_must_be_a_number() -> None:
    with pytest.raises(ValueError, match="finite"):
        one_digit(float("inf"), "ROUND_CEILING")


@pytest.mark.parametrize(
    ("value", "interval", "expected"),
    [
        (131.27, (128.91, 134.62), "131.3"),
        (131.27, (118.2, 147.6), "131"),
        (131.27, None, "131"),
        (131.27, (131.27, 131.27), "131"),
    ],
)
def test_a_value_is_rounded_to_the_place_its_interval_allows(
    value: float, interval: tuple[float, float] | None, expected: str
) -> None:
    """The half-width stands for the uncertainty: JCGM 100:2008, 7.2.6."""
    assert value_in_interval(value, interval) == expected


def test_an_interval_without_width_has_two_ends_too() -> None:
    assert interval_ends((128.91, 134.62)) == ("128.9", "134.6")
    assert interval_ends((131.27, 131.27)) == ("131", "131")
    assert interval_ends((131.27, 131.27), 4) == ("131.3", "131.3")


def test_a_value_without_a_known_uncertainty_has_three_digits() -> None:
    assert value_with_u(131.27, 2.93) == "131.3"
    assert value_with_u(131.27, 0.0) == value_with_u(131.27, None) == "131"


@pytest.mark.parametrize(
    ("value", "digits", "expected"),
    [
        (2.40, 3, "2.4"),
        (1234.5, 3, "1230"),
        (0.000123456, 3, "0.000123"),
        (0.0000123456, 3, "0.0000123"),
        (1.0e-6, 3, "1e-06"),
        (1.05e-6, 3, "0.00000105"),
        (1.2345e-6, 3, "0.00000123"),
        (-123456.0, 3, "-123000"),
        (9.996e14, 3, "1000000000000000"),
        (1.0e15, 3, "1e+15"),
        (-0.0, 3, "0"),
        (22.04, 4, "22.04"),
        (1e20, 3, "1e+20"),
        (float("nan"), 3, "?"),
    ],
)
def test_a_short_number_has_no_zeros_at_the_end_and_no_exponent(
    value: float, digits: int, expected: str
) -> None:
    assert short(value, digits) == expected


def test_percents_are_whole_from_ten_on_and_an_error_keeps_its_sign() -> None:
    assert [percent(share) for share in (9.94, 10.2, -12.6)] == ["9.9", "10", "-13"]
    assert [percent_error(error) for error in (3.04, -3.06, 0.0)] == ["+3.0", "-3.1", "+0.0"]
    assert [whole(11.6), one_decimal(11.64), fixed(11.6, 2)] == ["12", "11.6", "11.60"]
    assert whole(float("inf")) == "?"
