"""The summary for a terminal says what the result has."""

from __future__ import annotations

from dataclasses import replace

from app.analysis.results import ClassBudgetLine, ClassResult, ClassValue, PooledEstimate, Separated, Spread
from app.exports.summary_text import summary_text
from app.words import Message
from tests.figures.classes import a_class, a_run, set_aside, worked_out


def test_a_heat_leak_is_said_with_its_unit_or_why_there_is_none() -> None:
    result = worked_out(a_class(12))
    known = replace(
        result.separated, heat_leak_J_per_K_per_inversion=0.0512, heat_leak_interval_95=(0.0213, 0.0811)
    )
    assert (
        "  heat leak 0.051 J/K per inversion, 95 % interval 0.021 to 0.081"
        in summary_text(replace(result, separated=known)).splitlines()
    )


def a_section(result: ClassResult, title: str) -> list[str]:
    (found,) = [part for part in summary_text(result).rstrip().split("\n\n") if part.startswith(title)]
    return found.splitlines()


VALUE = ClassValue(
    142.3456, (131.2345, 153.4567), "the method", 24, 8, 11.739, 127.4321, False, (3.012, 20.466)
)


def test_the_class_value_is_said_with_the_digits_that_its_interval_allows() -> None:
    """By JCGM 100:2008, 7.2.6, the half-width standing for the uncertainty; a percent has one decimal."""
    estimates = (
        PooledEstimate("short", 141.2789, (130.0, 152.5), 7.654),
        PooledEstimate("a longer name", 139.96, None, 0.0),
    )
    result = replace(worked_out(a_class(4)), class_value=VALUE, estimates=estimates)
    assert a_section(result, "Class value") == [
        "Class value (benches: 8, runs: 24)",
        "  142 J/(kg·K), 95 % interval 131 to 153",
        "  accepted value 127.4 J/(kg·K) (made up for this test);"
        " percent error +11.7 % (95 % interval +3.0 % to +20.5 %)",
        "  the accepted value lies outside the interval",
        "  method: the method",
        "    short              141.3  (95 % 130 to 153; between benches 7.7)",
        "    a longer name      140.0  (no interval; between benches 0)",
    ]


def test_without_an_interval_the_class_value_has_three_digits_and_nothing_is_inside() -> None:
    bare = replace(VALUE, interval_95=None, accepted_inside_interval=None, percent_error_interval=None)
    result = replace(worked_out(a_class(4)), class_value=bare)
    assert a_section(result, "Class value")[1:4] == [
        "  142 J/(kg·K), no interval",
        "  accepted value 127.4 J/(kg·K) (made up for this test); percent error +11.7 %",
        "  method: the method",
    ]


def test_without_a_class_value_it_is_said_why_where_anybody_knows() -> None:
    none = replace(worked_out(a_class(4)), class_value=None, class_value_absent_because=Message("no run"))
    assert a_section(none, "Class value") == ["Class value", "  no run"]
    assert a_section(replace(none, class_value_absent_because=None), "Class value") == ["Class value"]


def test_an_interval_without_width_is_said_as_one_number() -> None:
    level = replace(VALUE, interval_95=(142.3456, 142.3456), percent_error_interval=(11.7, 11.7))
    result = replace(worked_out(a_class(4)), class_value=level)
    assert a_section(result, "Class value")[1:3] == [
        "  142.3 J/(kg·K), 95 % interval 142.3",
        "  accepted value 127.4 J/(kg·K) (made up for this test); percent error +11.7 %",
    ]


def test_spread_and_separated_heat_are_said_with_their_units_or_as_unknown() -> None:
    apart = Separated(
        True, Message("told apart"), 131.046, (121.96, 140.9), 17.53, (14.04, 21.02), 2.85, False
    )
    result = replace(
        worked_out(a_class(4)), spread=Spread(4.05, None, 7.26, reason=Message("why")), separated=apart
    )
    assert a_section(result, "Spread") == [
        "Spread, J/(kg·K)",
        "  repeatability (within a bench)   4.1",
        "  between benches                  unknown",
        "  reproducibility (both)           7.3",
        "  why",
    ]
    assert a_section(result, "Shot and heat sink apart") == [
        "Shot and heat sink apart",
        "  told apart",
        "  specific heat capacity of the shot 131.0 J/(kg·K), 95 % interval 122.0 to 140.9",
        "  percent error +2.9 %; the accepted value lies outside the interval",
        "  heat sink 17.5 J/K, 95 % interval 14.0 to 21.0",
    ]
    unknown = Separated(False, Message("one mass"), heat_leak_absent_because=Message("no room"))
    assert a_section(replace(result, separated=unknown), "Shot and")[1:] == ["  one mass", "  no room"]


def test_the_budget_names_each_source_and_what_helps_against_the_first() -> None:
    budget = (
        ClassBudgetLine("a", Message("benches differ"), 5.456, 0.812, Message("more benches")),
        ClassBudgetLine("b", Message("thermometer"), 0.5044, 0.188, Message("a finer one")),
    )
    result = replace(worked_out(a_class(4)), class_budget=budget)
    assert a_section(result, "Where its") == [
        "Where its uncertainty comes from",
        "     5.5 J/(kg·K)   81 %  benches differ",
        "    0.50 J/(kg·K)   19 %  thermometer",
        "  What would help most: more benches",
    ]


def test_each_run_is_named_with_its_value_or_why_it_has_none() -> None:
    runs = [a_run(1), set_aside(a_run(12, warming=2.0)), a_run(2, 11, warming=-1.0)]
    worked = list(worked_out(runs).runs)
    known = replace(
        worked[0], apparent_heat_capacity_J_per_kg_K=142.345, standard_uncertainty_J_per_kg_K=8.53
    )
    worked[0] = replace(known, interval_absent_because=Message("no upper end"))
    worked[1] = replace(known, readings=worked[1].readings)
    worked[2] = replace(worked[2], absent_because=Message("it ends colder"))
    lines = a_section(replace(worked_out(runs), runs=tuple(worked)), "Runs")
    assert lines[0] == "Runs (3): apparent specific heat capacity, J/(kg·K)"
    assert lines[1:4] == [
        "  bench 1, run 1   142.3 ± 8.5",
        "                     no upper end",
        "  bench 12, run 1  142.3 ± 8.5  (set aside)",
    ]
    assert "bench 2, run 11  it ends colder" in " ".join(lines)


def test_ledger_and_warnings_are_there_where_the_result_has_them() -> None:
    result = replace(worked_out(a_class(4)), warnings=(Message("Look at bench 3."),))
    assert a_section(result, "Please note") == ["Please note", "  Look at bench 3."]
    assert a_section(result, "Heat ledger") == ["Heat ledger", "  from the fit"]
    assert "Heat ledger" not in summary_text(replace(result, ledger=None, warnings=()))
    assert "Please note" not in summary_text(replace(result, ledger=None, warnings=()))
