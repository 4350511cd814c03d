"""What the plan's numbers are warned of, each sentence once with all benches that it is about. Pure."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from app.figures.numbers import low_to_high
from app.words import N_, Message

FEWEST_IN_A_ROW = 3
"""So many neighbouring numbers are written as "1 to 3" (our own choice)."""


@dataclass(frozen=True)
class SaidOnce:
    """One warning: the fields that it is about, in the order of the page, their benches, and the sentence.

    Without benches it is about the field of the kit.
    """

    fields: tuple[str, ...]
    benches: tuple[int, ...]
    sentence: Message


def said_once(
    warnings: Mapping[str, Sequence[Message]], say: Callable[[Message], str]
) -> tuple[SaidOnce, ...]:
    """The warnings by kind, the first one's kind first. `warnings` are those beside mass_1, mass_2, …

    Where a figure differs from bench to bench, the sentence names the least and the largest.
    """
    of_kind: dict[tuple[str, str], list[tuple[str, Message]]] = {}
    for name, sentences in warnings.items():
        for sentence in sentences:
            of_kind.setdefault((name.rpartition("_")[0], sentence.template), []).append((name, sentence))
    return tuple(
        SaidOnce(
            fields=tuple(name for name, _ in found),
            benches=() if kind == "tubes" else tuple(int(name.rpartition("_")[2]) for name, _ in found),
            sentence=_together([sentence for _, sentence in found], say),
        )
        for (kind, _), found in of_kind.items()
    )


def by_field(said: Sequence[SaidOnce]) -> dict[str, tuple[int, ...]]:
    """For each field that is warned of, the places of its warnings in the list."""
    places: dict[str, tuple[int, ...]] = {}
    for place, one in enumerate(said, 1):
        for name in one.fields:
            places[name] = (*places.get(name, ()), place)
    return places


def these_benches(numbers: Sequence[int], say: Callable[[Message], str]) -> str:
    """The benches in words, neighbours taken together: Benches 1 to 4, 7 and 9."""
    parts: list[str] = []
    for _, run in groupby(enumerate(sorted(numbers)), lambda pair: pair[1] - pair[0]):
        row = [number for _, number in run]
        if len(row) >= FEWEST_IN_A_ROW:
            parts.append(say(low_to_high(str(row[0]), str(row[-1]))))
        else:
            parts += map(str, row)
    if len(numbers) == 1:
        return say(Message(N_("Bench %(bench)s"), {"bench": parts[0]}))
    benches = parts[0]
    if len(parts) > 1:
        values = {"these": ", ".join(parts[:-1]), "last": parts[-1]}
        benches = say(Message(N_("%(these)s and %(last)s"), values))
    return say(Message(N_("Benches %(benches)s"), {"benches": benches}))


def _together(sentences: Sequence[Message], say: Callable[[Message], str]) -> Message:
    first = sentences[0]
    values = {}
    for place in first.values:
        figures = sorted({one.values[place] for one in sentences}, key=float)
        low, high = figures[0], figures[-1]
        values[place] = low if low == high else say(low_to_high(low, high))
    return Message(first.template, values)
