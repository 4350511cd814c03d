"""The summary for a terminal says what the result has."""

from __future__ import annotations

from dataclasses import replace

from app.exports.summary_text import summary_text
from tests.figures.classes import a_class, worked_out


def test_a_heat_leak_is_said_with_its_unit_or_why_there_is_none() -> None:
    result = worked_out(a_class(12))
    known = replace(
        result.separated, heat_leak_J_per_K_per_inversion=0.0512, heat_leak_interval_95=(0.0213, 0.0811)
    )
    assert (
        "  heat leak 0.051 J/K per inversion, 95 % interval 0.021 to 0.081"
        in summary_text(replace(result, separated=known)).splitlines()
    )
