"""A run's readings as texts with its suspected slip undone, to be stored on the bench's word. Pure.

Nothing is corrected by this: it says what would stand in the fields.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from app.analysis.readings import RunReadings
from app.physics.reading.ends import PARTS, WHOLE
from app.physics.reading.readings import Reading, ReadingProblem, decimal_text
from app.physics.reading.text import with_unit
from app.physics.reading.units import SCALES
from app.physics.rounding import short
from app.physics.run import QUANTITIES, Quantity
from app.practicals.runs.entry import ImpossibleReading, RunEntry, check_entry

ALSO_TYPED = ("in",)
"""A unit that no field offers and that a bench may have read in."""
SAME = 1e-6
"""Relative; below any reading (our own choice)."""


def texts_undone(entry: RunEntry, undone: RunReadings) -> dict[str, str]:
    """The text of each reading that the correction changes, with its unit.

    Empty where the correction is no run that could be stored, or would change an end allowance that the bench
    measured in two parts: which of them slipped is the bench's to say.
    """
    texts = {
        name: _text(quantity, entry, becomes)
        for name, quantity in QUANTITIES.items()
        if name in entry.of
        and (becomes := getattr(undone, quantity.si_name)) is not None
        and not _same(becomes, float(entry.of[name].value))
    }
    if WHOLE in texts and any(name in entry.of for name in PARTS):
        return {}
    try:
        check_entry(entry_with(entry, texts))
    except (ReadingProblem, ImpossibleReading):
        return {}
    return texts


def entry_with(entry: RunEntry, texts: Mapping[str, str]) -> RunEntry:
    """The entry with these readings as typed instead. Raises `ReadingProblem`."""
    read: dict[str, Reading] = {name: QUANTITIES[name].read(text) for name, text in texts.items()}
    return RunEntry({**entry.of, **read}, entry.own_heat_capacity)


def _text(quantity: Quantity, entry: RunEntry, becomes: float) -> str:
    """The bench's own text for this value: another reading's, else the same number in another unit, else the
    number that the value is in the unit that was read."""
    for other in (quantity.name, *QUANTITIES):
        typed = entry.of.get(other)
        if typed and QUANTITIES[other].units == quantity.units and _same(float(typed.value), becomes):
            return with_unit(typed.raw, typed.unit)
    typed = entry.of[quantity.name]
    comma = "," in typed.raw
    for text in _in_other_units(quantity, typed.raw, typed.unit):
        if _same(float(quantity.read(text).value), becomes):
            return _with_mark(text, comma)
    if typed.unit in SCALES:
        return _with_mark(f"{short(SCALES[typed.unit].shown(becomes), 6)} {typed.unit}", comma)
    return _with_mark(f"{short(becomes * quantity.per_si, 6)} {quantity.usual_unit}".strip(), comma)


def _in_other_units(quantity: Quantity, raw: str, unit: str) -> Iterator[str]:
    try:
        number = decimal_text(quantity.read(raw, unit).typed)
    except ReadingProblem:
        return
    for other in (*quantity.units, *ALSO_TYPED):
        text = f"{number} {other}"
        try:
            quantity.read(text)
        except ReadingProblem:
            continue
        yield text


def _with_mark(text: str, comma: bool) -> str:
    return text.replace(".", ",") if comma else text


def _same(one: float, other: float) -> bool:
    return abs(one - other) <= SAME * max(abs(one), abs(other), SAME)
