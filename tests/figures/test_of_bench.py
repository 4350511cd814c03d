"""What a figure says of one bench: where its value lies, beside which others, and what it warmed by."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from app.analysis.results import ClassResult
from app.analysis.views.own_ledger import OwnLedger
from app.figures import of_bench
from app.figures.of_bench import own_shares, own_words
from tests.figures.classes import a_class, a_run, worked_out

ALIKE = (0.5,)
"""One mass for all, so that the class has no levels."""


def reading(value: float, masses: tuple[float, ...] = ALIKE) -> ClassResult:
    """A class of the interval 160 to 180 in which bench 4 reads this, in J/(kg·K)."""
    result = worked_out(a_class(6, masses=masses))
    assert result.class_value is not None
    pooled = replace(result.class_value, apparent_heat_capacity_J_per_kg_K=170.0, interval_95=(160.0, 180.0))
    benches = tuple(
        replace(one, apparent_heat_capacity_J_per_kg_K=value) if one.bench == "4" else one
        for one in result.benches
    )
    return replace(result, class_value=pooled, benches=benches)


@pytest.mark.parametrize(
    ("value", "where"),
    [
        (165.0, "165 J/(kg·K): inside the class's interval."),
        (160.0, "160 J/(kg·K): inside the class's interval."),
        (180.0, "180 J/(kg·K): inside the class's interval."),
        (180.5, "180.5 J/(kg·K): outside the class's interval, above it."),
        (159.5, "159.5 J/(kg·K): outside the class's interval, below it."),
    ],
)
def test_the_bench_reads_inside_above_or_below_the_classs_interval(value: float, where: str) -> None:
    said = [str(sentence) for sentence in own_words("spread", reading(value), "4")]
    assert said[0].replace(".0 J", " J") == f"Your bench reads {where}"
    beside = ["The interval says where the class value lies, not where single benches do."]
    assert said[1:] == ([] if "inside" in where else beside)


def test_with_several_masses_the_bench_is_told_what_as_much_shot_reads() -> None:
    result = reading(150.0, masses=(0.25, 0.5))
    level = next(one for one in result.levels if "4" in one.benches)
    assert level.mass_kg == 0.25
    said = re.fullmatch(
        r"All benches with 250 g of shot read ([\d.]+) together\.", str(own_words("spread", result, "4")[1])
    )
    assert said
    assert float(said[1]) == pytest.approx(level.apparent_heat_capacity_J_per_kg_K, abs=0.5)


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (249.6452, "96 % above"),
        (142.6544, "12 % above"),
        (127.8795, "0.4 % above"),
        (127.37, "0.0 % below"),
        (101.896, "20 % below"),
    ],
)
def test_the_benchs_own_percent_error_is_against_the_accepted_value(value: float, said: str) -> None:
    """127.37 times 1.96, 1.12, 1.004, 1 and 0.8."""
    words = own_words("accepted", reading(value), "4")
    assert str(words[1]) == f"That is {said} the accepted value."


def test_the_slope_is_that_of_the_benchs_own_runs() -> None:
    """0.92 m · 9.80665 m/s² · 50 falls are 0.45111 kJ/kg: 2.4 K are 5.32 K for each."""
    result = worked_out([*a_class(6), a_run(21, inversions=50, warming=2.4)])
    (said,) = own_words("line", result, "21")
    assert str(said) == "Each kJ/kg of fall energy warmed your shot by 5.32 K."


@pytest.mark.parametrize(
    ("sink_J", "rest_J", "said"),
    [
        (100.0, 14.0, "twice its uncertainty"),
        (100.0, 14.1, ""),
        (100.0, -14.0, "twice its uncertainty"),
        (100.0, -14.1, "more than there was"),
        (None, -14.0, ""),
        (None, -14.1, "more than there was"),
    ],
)
def test_the_rest_is_held_against_twice_its_uncertainty(
    monkeypatch: pytest.MonkeyPatch, sink_J: float | None, rest_J: float, said: str
) -> None:
    shot_J = 300.0 - (sink_J or 0.0) - rest_J
    monkeypatch.setattr(of_bench, "own_ledger", lambda *_: OwnLedger(2, 300.0, shot_J, sink_J, rest_J, 7.0))
    shares = own_shares(worked_out(a_class(6)), "4")
    assert shares is not None
    assert [said in str(note) for note in shares.notes] == ([True] if said else [])


def shared_out(monkeypatch: pytest.MonkeyPatch, ledger: OwnLedger) -> list[str]:
    """What a bench with this ledger is told: what it is of, and each part."""
    monkeypatch.setattr(of_bench, "own_ledger", lambda *_: ledger)
    shares = own_shares(worked_out(a_class(6)), "4")
    assert shares is not None
    return [str(shares.of), *(f"{words}: {joules}" for words, joules in shares.parts)]


def test_the_parts_of_a_benchs_energy_add_up_as_they_are_written(monkeypatch: pytest.MonkeyPatch) -> None:
    """225.4 − 176.4 − 39.6 is 9.4, as 225 − 176 − 40 is 9; and an uncertainty of 0.3 J is written as 1."""
    assert shared_out(monkeypatch, OwnLedger(2, 225.4, 176.4, 39.6, 9.4, 0.3)) == [
        "Of your 225 J of fall energy (the mean of your 2 runs)",
        "warmed the shot: 176 J",
        "warmed tube, caps, cup and thermometer: 40 J",
        "not accounted for: 9 ± 1 J",
    ]


def test_little_energy_is_shared_out_in_tenths_of_a_joule(monkeypatch: pytest.MonkeyPatch) -> None:
    assert shared_out(monkeypatch, OwnLedger(1, 19.96, 21.32, None, -1.36, 0.82)) == [
        "Of your 20.0 J of fall energy",
        "warmed the shot: 21.3 J",
        "not accounted for: −1.3 ± 0.8 J",
    ]
    assert shared_out(monkeypatch, OwnLedger(1, 20.0, 18.4, None, 1.6, 2.4)) == [
        "Of your 20 J of fall energy",
        "warmed the shot: 18 J",
        "not accounted for: 2 ± 2 J",
    ]
