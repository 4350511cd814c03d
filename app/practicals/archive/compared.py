"""A result beside another one of the same class, to the digits that are shown."""

from __future__ import annotations

from dataclasses import dataclass

from app.analysis.figure import Figure
from app.physics.rounding import interval_ends, round_significant, short, value_in_interval
from app.practicals.archive.figures import Figures
from app.words import N_, Message

SAME = Message(N_("the same to the digits shown"))
OTHER_INTERVAL = Message(N_("the same value, another interval"))
ONLY_NOW = Message(N_("only now"))
NO_LONGER = Message(N_("no longer"))
_HIGHER = N_("%(difference)s higher (%(percent)s %%)")
_LOWER = N_("%(difference)s lower (%(percent)s %%)")
CLASS_VALUE = Message(N_("Class value, J/(kg·K)"))
SPECIFIC_HEAT = Message(N_("Specific heat capacity, J/(kg·K)"))
HEAT_SINK = Message(N_("Heat sink, J/K"))


@dataclass(frozen=True)
class Compared:
    """One quantity of both results; one at least has it."""

    quantity: Message
    before: Figure | None
    now: Figure | None
    difference: Message

    @property
    def same(self) -> bool:
        """Whether nothing that is shown differs."""
        return self.difference is SAME


def compared(before: Figures, now: Figures) -> tuple[Compared, ...]:
    """Quantity by quantity, without those that neither result has."""
    pairs = (
        (CLASS_VALUE, before.class_value, now.class_value),
        (SPECIFIC_HEAT, before.specific_heat, now.specific_heat),
        (HEAT_SINK, before.heat_sink, now.heat_sink),
    )
    return tuple(Compared(name, old, new, _difference(old, new)) for name, old, new in pairs if old or new)


def _difference(before: Figure | None, now: Figure | None) -> Message:
    if before is None:
        return ONLY_NOW
    if now is None:
        return NO_LONGER
    if _shown(before) == _shown(now):
        return SAME
    away = now.value - before.value
    if not away or _shown(before)[0] == _shown(now)[0]:
        return OTHER_INTERVAL
    percent = short(abs(100 * away / before.value), 2) if before.value else "?"
    words = {"difference": round_significant(abs(away), 2), "percent": percent}
    return Message(_HIGHER if away > 0 else _LOWER, words)


def _shown(figure: Figure) -> tuple[str, ...]:
    ends = () if figure.interval is None else interval_ends(figure.interval)
    return (value_in_interval(figure.value, figure.interval), *ends)
