"""Other falls start from what the class found: the separated value, else the apparent one, else a table's."""

from __future__ import annotations

from dataclasses import replace

from app.web.desk.papers.falls import class_substance
from tests.figures.classes import a_class, worked_out


def test_the_class_s_metal_has_the_best_value_that_the_class_has() -> None:
    told_apart, alike = worked_out(a_class(12)), worked_out(a_class(12, masses=(0.5,)))
    separated, apparent = class_substance(told_apart), class_substance(alike)
    assert separated is not None
    assert separated.heat_capacity_J_per_kg_K == told_apart.separated.heat_capacity_J_per_kg_K
    assert alike.class_value is not None
    assert apparent is not None
    assert apparent.heat_capacity_J_per_kg_K == alike.class_value.apparent_heat_capacity_J_per_kg_K
    assert class_substance(None) is None
    assert class_substance(worked_out([])) is None
    nothing = replace(told_apart.separated, heat_capacity_J_per_kg_K=0.0)
    instead = class_substance(replace(told_apart, separated=nothing))
    assert instead is not None
    assert told_apart.class_value is not None
    assert instead.heat_capacity_J_per_kg_K == told_apart.class_value.apparent_heat_capacity_J_per_kg_K
    below = replace(alike.class_value, apparent_heat_capacity_J_per_kg_K=0.0)
    assert class_substance(replace(alike, class_value=below)) is None
