"""What the fits accept: finite numbers of a size whose fourth powers still fit into a float."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from app.words import N_, Message

Floats = NDArray[np.float64]
Numbers = Sequence[float] | Floats

LARGEST = 1e60
"""Largest magnitude accepted: sums of products of up to four such numbers stay finite (IEEE 754 binary64)."""
SMALLEST = 1e-60
"""Smallest positive uncertainty or weight accepted, for the same reason (IEEE 754 binary64)."""


class OutsideDomain(ValueError):
    """The numbers given have no answer: too few, not finite, too large, or degenerate."""

    def __init__(self, message: Message) -> None:
        super().__init__(str(message))
        self.message = message


def outside(template: str, **values: str) -> OutsideDomain:
    """An `OutsideDomain` error from an English template and its values."""
    return OutsideDomain(Message(template, values))


def vector(values: Numbers, name: str, at_least: int = 1) -> Floats:
    """`values` as a one-dimensional float array.

    Raises `OutsideDomain` for a wrong shape, fewer than `at_least` values, a value that is not
    finite, or a magnitude above `LARGEST`.
    """
    array = np.asarray(values, dtype=np.float64)
    if array.ndim != 1 or array.size < at_least:
        raise outside(N_("%(name)s: at least %(needed)s values are needed."), name=name, needed=str(at_least))
    # One reduction finds NaN, infinities and huge values alike: a comparison with NaN is False.
    if not float(np.abs(array).max()) <= LARGEST:
        raise outside(N_("%(name)s: every value must be a finite number of a usable size."), name=name)
    return array


def uncertainties(values: Numbers, name: str, like: Floats, zero_allowed: bool = False) -> Floats:
    """Standard uncertainties, one for each entry of `like`.

    Raises `OutsideDomain` unless each is finite and at least `SMALLEST` (or exactly 0 where allowed).
    """
    array = vector(values, name)
    if array.shape != like.shape:
        raise outside(N_("%(name)s: one value is needed for each reading."), name=name)
    if float(array.min()) < SMALLEST and not (
        zero_allowed and bool(np.all((array == 0.0) | (array >= SMALLEST)))
    ):
        raise outside(N_("%(name)s: every uncertainty must be greater than zero."), name=name)
    return array


def points(x: Numbers, y: Numbers, at_least: int = 1) -> tuple[Floats, Floats]:
    """Two vectors of the same length. Raises `OutsideDomain` as `vector`, and where the lengths differ."""
    xs, ys = vector(x, "x", at_least), vector(y, "y", at_least)
    if xs.shape != ys.shape:
        raise outside(N_("%(name)s: one value is needed for each reading."), name="y")
    return xs, ys


def uncertain_pairs(
    x: Numbers, y: Numbers, u_x: Numbers, u_y: Numbers, at_least: int = 1
) -> tuple[Floats, Floats, Floats, Floats]:
    """Points with standard uncertainties in both variables, of which one may be 0, not both."""
    xs, ys = points(x, y, at_least)
    ux = uncertainties(u_x, "u_x", xs, zero_allowed=True)
    uy = uncertainties(u_y, "u_y", xs, zero_allowed=True)
    if float((ux + uy).min()) <= 0.0:
        raise outside(N_("A point needs an uncertainty in x or in y."))
    return xs, ys, ux, uy
