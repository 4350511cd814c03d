"""Levels of mass as the figures show them: as lanes, as lines of a fan, and in words."""

from __future__ import annotations

from app.analysis.of_the_fit import MassLevel
from app.analysis.results import ClassResult
from app.figures.numbers import with_interval
from app.physics.rounding import round_significant, whole
from app.words import N_, Message

MOST_LEVELS = 5
"""More levels are not told apart across a room (our own choice)."""
READS_HIGHER = 1.05
"""The lightest level reads higher than the heaviest from this ratio on (our own choice)."""
GRAMS = Message(N_("%(mass)s g"))


def shown_levels(result: ClassResult) -> tuple[MassLevel, ...]:
    """The class's levels where it has several, and few enough to show each; else none."""
    return result.levels if 2 <= len(result.levels) <= MOST_LEVELS else ()


def mass_words(level: MassLevel) -> Message:
    """A level by its mass, such as "260 g"."""
    return Message(GRAMS.template, {"mass": grams(level)})


def grams(level: MassLevel) -> str:
    """The mass as a number, in grams."""
    return whole(1000 * level.mass_kg)


def level_value(level: MassLevel) -> str:
    """What the level reads, to the place that its interval allows."""
    return with_interval(level.apparent_heat_capacity_J_per_kg_K, level.interval_95)


def kelvins_per_kJ_kg(level: MassLevel) -> float:
    """How far a kilojoule of fall energy per kilogram warms the level's shot."""
    return 1000 / level.apparent_heat_capacity_J_per_kg_K


def what_lanes_show(result: ClassResult) -> Message | None:
    """What the lightest and the heaviest level read, and the question that it raises; None without lanes."""
    levels = shown_levels(result)
    if not levels:
        return None
    light, heavy = levels[0], levels[-1]
    values = {
        "light": grams(light),
        "heavy": grams(heavy),
        "of_light": level_value(light),
        "of_heavy": level_value(heavy),
    }
    if light.apparent_heat_capacity_J_per_kg_K > READS_HIGHER * heavy.apparent_heat_capacity_J_per_kg_K:
        return Message(
            N_(
                "Benches with %(light)s g read %(of_light)s, with %(heavy)s g %(of_heavy)s."
                " Why would less shot read higher?"
            ),
            values,
        )
    return Message(
        N_("Benches with %(light)s g read %(of_light)s, with %(heavy)s g %(of_heavy)s: much the same."),
        values,
    )


def what_the_fan_shows(result: ClassResult) -> Message | None:
    """How far the same energy warms the lightest and the heaviest level; None without a fan."""
    levels = shown_levels(result)
    if not levels:
        return None
    light, heavy = levels[0], levels[-1]
    return Message(
        N_(
            "Each kJ/kg of fall energy warms %(light)s g of shot by %(of_light)s K and %(heavy)s g by"
            " %(of_heavy)s K."
        ),
        {
            "light": grams(light),
            "heavy": grams(heavy),
            "of_light": round_significant(kelvins_per_kJ_kg(light)),
            "of_heavy": round_significant(kelvins_per_kJ_kg(heavy)),
        },
    )
