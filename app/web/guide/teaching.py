"""What the pages on physics, lesson and numbers take from where it is declared."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from app.analysis.fit.design import LEAST_BENCHES
from app.physics.energy import PACKING_FRACTION
from app.physics.materials import MATERIALS
from app.physics.rounding import one_decimal, whole
from app.web.guide import sources
from app.web.guide.example import example
from app.web.guide.lesson import wall_steps
from app.web.guide.meanings import MEANINGS
from app.web.guide.meanings.asked import ASKED_ONCE
from app.web.guide.meanings.doubts import SLIPS_ARE


def of_practical() -> Mapping[str, Any]:
    """The worked example, and the numbers that the sentences name."""
    low, high = MATERIALS["lead"].accepted_range_J_per_kg_K
    return {
        "example": example(),
        "least_benches": LEAST_BENCHES,
        "packing": one_decimal(PACKING_FRACTION),
        "earth": sources.EARTH,
        "demonstrations": sources.DEMONSTRATIONS,
        "tables_differ": whole(100 * (high / low - 1)),
    }


def of_lesson() -> Mapping[str, Any]:
    """Cautions, and the steps of the wall."""
    return {"cautions": MATERIALS["lead"].safety, "wall_steps": wall_steps()}


def of_numbers() -> Mapping[str, Any]:
    """Every meaning, by section, and what stands before them."""
    return {"meanings": MEANINGS, "before": {"slips": SLIPS_ARE, "questions": ASKED_ONCE}}
