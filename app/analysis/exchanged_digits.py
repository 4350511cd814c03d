"""Every number that arises when two neighbouring digits of a written number change places."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise


def with_digits_exchanged(number: float, digits: int) -> Iterator[float]:
    """The numbers that `number`, written with this many decimals (more if it has them), could have been."""
    text = f"{round(number, 6):.{digits}f}"
    if abs(float(text) - number) > 1e-6 * max(1.0, abs(number)):
        text = f"{round(number, 6):.6f}".rstrip("0")
    # A zero in front was not kept when the number was read: 05 turns are 5 turns.
    text = "0" + text if number > 0.0 else text
    places = [i for i, sign in enumerate(text) if sign.isdigit()]
    for i, j in pairwise(places):
        if text[i] != text[j]:
            signs = list(text)
            signs[i], signs[j] = signs[j], signs[i]
            yield float("".join(signs))
