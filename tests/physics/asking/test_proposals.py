"""What one tap would put in place of an unlikely reading: the reading that the question named, as text."""

from __future__ import annotations

from decimal import Decimal

import pytest

from app.physics.asking.question import Proposal, Question, RunAsRead
from app.physics.asking.questions import questions_about
from app.physics.reading.readings import parse_count, parse_length, parse_mass, parse_temperature
from tests.physics.asking.test_questions import CLASS, for_any_possible_run, run_as_read

READERS = {
    "shot_mass": parse_mass,
    "tube_length": parse_length,
    "end_allowance": lambda text, unit: parse_length(text, unit, may_be_zero=True),
    "inversions": lambda text, unit: parse_count(text),
    "start_temperature": parse_temperature,
    "end_temperature": parse_temperature,
}


def asked_of(run: RunAsRead, field: str) -> Question:
    (question,) = [question for question in questions_about(run, CLASS) if question.field == field]
    return question


def proposed(run: RunAsRead, field: str) -> Proposal:
    proposal = asked_of(run, field).proposal
    assert proposal is not None
    return proposal


@pytest.mark.parametrize(
    ("changed", "field", "label", "typed"),
    [
        ({"mass": "3400"}, "shot_mass", "Yes, 340 g", ("340", "g")),
        ({"mass": "3405,5 g"}, "shot_mass", "Yes, 340.55 g", ("340,55", "g")),
        ({"length": "0.98"}, "tube_length", "Yes, 98 cm", ("98", "cm")),
        ({"allowance": "60"}, "end_allowance", "No, 6 cm", ("6", "cm")),
        ({"count": "100"}, "inversions", "No, 50", ("50", "")),
        ({"start": "68", "end": "72"}, "start_temperature", "Yes, 68 °F", ("68", "°F")),
        ({"start": "68.5 °C", "end": "72"}, "start_temperature", "Yes, 68.5 °F", ("68.5", "°F")),
        ({"start": "20,0", "end": "71,6"}, "end_temperature", "Yes, 71.6 °F", ("71,6", "°F")),
        ({"start": "19,5", "end": "2,5"}, "end_temperature", "Yes, the end was 22.0 °C", ("22,0", "°C")),
    ],
)
def test_the_reading_named_is_one_tap_away_with_the_benchs_own_decimal_mark(
    changed: dict[str, str], field: str, label: str, typed: tuple[str, str]
) -> None:
    proposal = proposed(run_as_read(**changed), field)
    assert str(proposal.label) == label
    assert proposal.typed == {field: typed}


@pytest.mark.parametrize(
    ("start", "end", "start_then", "end_then"),
    [
        ("21,4", "19.2", ("19.2", "°C"), ("21,4", "°C")),
        ("70.5 °F", "19", ("19", "°C"), ("70.5 °F", "")),
        ("٢١٫٤", "19.2", ("19.2", "°C"), ("٢١٫٤", "°C")),
    ],
)
def test_exchanged_temperatures_keep_the_text_and_the_unit_that_was_typed(
    start: str, end: str, start_then: tuple[str, str], end_then: tuple[str, str]
) -> None:
    proposal = proposed(run_as_read(start=start, end=end), "end_temperature")
    assert proposal.typed == {"start_temperature": start_then, "end_temperature": end_then}


def test_where_no_likely_reading_is_named_there_is_nothing_to_tap() -> None:
    for changed in ({"count": "3"}, {"end": "19.5"}, {"end": "39.5"}, {"start": "4", "end": "7"}):
        asked = questions_about(run_as_read(**changed), CLASS)
        assert asked
        assert all(question.proposal is None for question in asked)


def test_a_warming_in_other_degrees_than_the_start_is_not_added_to_it() -> None:
    assert asked_of(run_as_read(start="67.1 °F", end="2.5"), "end_temperature").proposal is None


@for_any_possible_run
def test_taking_up_what_is_proposed_gives_exactly_the_reading_that_was_suggested(
    mass: Decimal, length: Decimal, count: int, start: Decimal, end: Decimal
) -> None:
    run = run_as_read(str(mass), str(length), str(count), f"{start:f}", f"{end:f}")
    for question in questions_about(run, CLASS):
        assert (question.proposal is None) == (question.suggested is None)
        if question.proposal is not None:
            text, unit = question.proposal.typed[question.field]
            read = READERS[question.field](text, unit)
            assert question.suggested is not None
            assert abs(read.value - question.suggested) < Decimal("1e-18")
