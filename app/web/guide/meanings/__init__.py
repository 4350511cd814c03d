"""What every number, flag, slip and question means: its paragraph in the guide, its formula and its source.

meaning · runs · classes · doubts · asked · later (states, planner, other falls, years, pieces)
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from app.web.guide.meanings.asked import DURING_THE_LESSON, QUESTIONS
from app.web.guide.meanings.classes import OF_A_CLASS
from app.web.guide.meanings.doubts import FLAGS, SLIPS
from app.web.guide.meanings.later import FALLS, PIECES, PLANNER, STATES, YEARS
from app.web.guide.meanings.meaning import Meaning
from app.web.guide.meanings.runs import OF_A_RUN

MEANINGS: Mapping[str, tuple[Meaning, ...]] = MappingProxyType(
    {
        "states": STATES,
        "runs": OF_A_RUN,
        "class": OF_A_CLASS,
        "flags": FLAGS,
        "slips": SLIPS,
        "questions": QUESTIONS,
        "during": DURING_THE_LESSON,
        "planner": PLANNER,
        "falls": FALLS,
        "years": YEARS,
        "pieces": PIECES,
    }
)
"""By the section in which they stand."""

AT: Mapping[str, Meaning] = MappingProxyType(
    {one.anchor: one for group in MEANINGS.values() for one in group}
)
"""By its anchor."""
