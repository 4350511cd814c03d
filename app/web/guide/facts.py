"""What a page of the guide takes from the product itself, so that nothing is written twice."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from app.analysis.fit.design import LEAST_BENCHES
from app.physics.energy import PACKING_FRACTION
from app.physics.materials import MATERIALS
from app.physics.rounding import one_decimal, whole
from app.web.guide import sources
from app.web.guide.contents import LESSON, NUMBERS, PRACTICAL
from app.web.guide.example import example
from app.web.guide.lesson import wall_steps
from app.web.guide.meanings import MEANINGS
from app.web.guide.meanings.asked import ASKED_ONCE
from app.web.guide.meanings.doubts import SLIPS_ARE


def _of_the_practical() -> dict[str, Any]:
    low, high = MATERIALS["lead"].accepted_range_J_per_kg_K
    return {
        "example": example(),
        "least_benches": LEAST_BENCHES,
        "packing": one_decimal(PACKING_FRACTION),
        "earth": sources.EARTH,
        "demonstrations": sources.DEMONSTRATIONS,
        "tables_differ": whole(100 * (high / low - 1)),
    }


def _of_the_lesson() -> dict[str, Any]:
    return {"cautions": MATERIALS["lead"].safety, "wall_steps": wall_steps()}


def _of_the_numbers() -> dict[str, Any]:
    return {"meanings": MEANINGS, "before": {"slips": SLIPS_ARE, "questions": ASKED_ONCE}}


FACTS: Mapping[str, Callable[[], dict[str, Any]]] = {
    PRACTICAL.slug: _of_the_practical,
    LESSON.slug: _of_the_lesson,
    NUMBERS.slug: _of_the_numbers,
}
"""By the slug of the page; a page that needs nothing is not listed."""
