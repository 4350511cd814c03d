"""Where a question begins: the last value that nobody is asked about, and the first that somebody is."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from app.physics.asking.ends import unlikely_ends
from app.physics.asking.question import RunAsRead, TypicalRun
from app.physics.asking.questions import questions_about
from app.physics.asking.temperatures import unlikely_room_of_class
from app.physics.reading.readings import parse_count, parse_length, parse_mass, parse_temperature

LEAD = {"heat_capacity_J_per_kg_K": 128.0}
READERS = {
    "shot_mass": parse_mass,
    "tube_length": parse_length,
    "inversions": parse_count,
    "start_temperature": parse_temperature,
    "end_temperature": parse_temperature,
    "room_temperature": parse_temperature,
    "end_allowance": parse_length,
    "settled_depth": parse_length,
}


def read(**typed: str) -> RunAsRead:
    return RunAsRead({name: READERS[name](text) for name, text in typed.items()})


def asked(typical: TypicalRun | None = None, **typed: Any) -> list[str]:
    return [str(question.sentence) for question in questions_about(read(**typed), typical)]


@pytest.mark.parametrize(
    ("field", "last", "first"),
    [
        ("shot_mass", "20 g", "19.9 g"),
        ("shot_mass", "2.5 kg", "2.51 kg"),
        ("tube_length", "30 cm", "29.9 cm"),
        ("tube_length", "2.5 m", "2.51 m"),
        ("inversions", "5", "4"),
        ("inversions", "400", "401"),
        ("start_temperature", "5", "4.9"),
        ("start_temperature", "45", "45.1"),
        ("end_temperature", "45", "45.1"),
        ("room_temperature", "10", "9.9"),
        ("room_temperature", "35", "35.1"),
    ],
)
def test_where_nothing_is_known_of_a_class_a_usual_kit_is_not_asked_about(
    field: str, last: str, first: str
) -> None:
    assert asked(None, **{field: last}) == []
    assert len(asked(None, **{field: first})) == 1


@pytest.mark.parametrize(
    ("field", "last", "first"),
    [
        ("shot_mass", "160 g", "159 g"),  # 400 g / 2.5
        ("shot_mass", "1 kg", "1001 g"),  # 400 g × 2.5
        ("tube_length", "40 cm", "39.9 cm"),
        ("tube_length", "2.5 m", "2.51 m"),
        ("inversions", "20", "19"),
        ("inversions", "125", "126"),
        ("start_temperature", "5", "4.9"),  # 20 °C − 15 K
        ("start_temperature", "35", "35.1"),
    ],
)
def test_in_a_class_two_and_a_half_times_the_usual_and_fifteen_kelvins_are_near_enough(
    field: str, last: str, first: str
) -> None:
    usual = TypicalRun(shot_mass_kg=0.4, tube_length_m=1.0, inversions=50, start_temperature_C=20.0)
    assert asked(usual, **{field: last}) == []
    assert len(asked(usual, **{field: first})) == 1


@pytest.mark.parametrize(
    ("typed", "usual_kg", "meant"),
    [
        ("0.4 g", 0.4, "400 g"),  # kilograms typed as grams
        ("400 g", 0.0004, "0.4 g"),
        ("4 kg", 0.4, "400 g"),
        ("40 g", 0.4, "400 g"),
    ],
)
def test_the_slip_that_makes_a_mass_usual_is_a_power_of_ten(typed: str, usual_kg: float, meant: str) -> None:
    (said,) = asked(TypicalRun(shot_mass_kg=usual_kg), shot_mass=typed)
    assert f"did you mean {meant}?" in said


@pytest.mark.parametrize(
    ("typed", "usual_m", "meant"),
    [
        ("1.5 cm", 1.5, "150 cm"),  # metres typed as centimetres
        ("8 m", 0.08, "8 cm"),  # centimetres typed as metres
        ("9 m", 0.9, "90 cm"),
        ("9 cm", 0.9, "90 cm"),
        ("39.4 cm", 1.0, "100.076 cm"),  # inches typed as centimetres
    ],
)
def test_the_slip_that_makes_a_length_usual_is_a_unit(typed: str, usual_m: float, meant: str) -> None:
    (said,) = asked(TypicalRun(tube_length_m=usual_m), tube_length=typed)
    assert f"did you mean {meant}?" in said


def test_the_fill_that_is_named_has_two_digits() -> None:
    """0.6 × 11340 kg/m³ × π × (12 mm)²/4 × 30 cm = 231 g of lead fill such a tube, 0.23 kg."""
    narrow = TypicalRun(density_kg_per_m3=11340, bore_m=0.012, shot_mass_kg=0.24)
    assert asked(narrow, tube_length="30", shot_mass="231 g") != asked(
        narrow, tube_length="30", shot_mass="230 g"
    )
    (said,) = asked(narrow, tube_length="30", shot_mass="240 g")
    assert said == "240 g of shot is more than this tube holds (about 230 g). Is the mass right?"
    assert asked(TypicalRun(bore_m=0.012), tube_length="30", shot_mass="240 g") == []


def test_light_shot_in_a_wide_tube_is_asked_about_as_light_and_not_as_too_much() -> None:
    wide = TypicalRun(density_kg_per_m3=11340, bore_m=0.05, shot_mass_kg=0.4)
    (said,) = asked(wide, tube_length="100", shot_mass="150 g")
    assert said == "150 g of shot is unusual here. Is the mass right?"


@pytest.mark.parametrize(("mass", "text"), [("1000 g", "1 kg"), ("999 g", "999 g"), ("0.1 g", "0.1 g")])
def test_a_mass_is_said_in_kilograms_from_one_kilogram_on(mass: str, text: str) -> None:
    (said,) = asked(TypicalRun(shot_mass_kg=0.3), shot_mass=mass)
    assert said == f"{text} of shot is unusual here. Is the mass right?"


@pytest.mark.parametrize(
    ("allowance", "length", "said"),
    [
        ("49.9", "100", None),
        ("50", "100", "An end allowance of 50 cm leaves little or no fall in a tube of 100 cm."),
        ("9 mm", "1.5 cm", "An end allowance of 9 mm leaves little or no fall in a tube of 1.5 cm."),
        ("1 cm", "1.5 cm", "An end allowance of 1 cm leaves little or no fall in a tube of 1.5 cm."),
        ("2.49 m", "2.5 m", "An end allowance of 249 cm leaves little or no fall in a tube of 2.5 m."),
    ],
)
def test_an_allowance_is_asked_about_from_half_the_tube_on(
    allowance: str, length: str, said: str | None
) -> None:
    question = unlikely_ends(read(end_allowance=allowance, tube_length=length))
    assert (question is None) if said is None else (said in str(question and question.sentence))


@pytest.mark.parametrize(
    ("allowance", "depth", "field", "tenth"),
    [
        ("62", None, "end_allowance", "0.062"),
        ("62", "60", "settled_depth", "0.06"),  # 2 cm of caps and 6 cm of shot
        ("60", "12", "settled_depth", None),  # 48 cm of caps and 1.2 cm of shot: 49.2 cm still leave half
        ("62", "12", "settled_depth", None),  # 50 cm of caps: a tenth of the depth does not help
    ],
)
def test_a_tenth_is_offered_where_it_leaves_more_than_half_of_the_fall(
    allowance: str, depth: str | None, field: str, tenth: str | None
) -> None:
    typed = {"end_allowance": allowance, "tube_length": "100"} | ({"settled_depth": depth} if depth else {})
    question = unlikely_ends(read(**typed))
    assert question is not None
    assert question.field == field
    helps = (allowance, depth) == ("60", "12")
    assert question.suggested == (Decimal("0.012") if helps else Decimal(tenth) if tenth else None)


def test_the_planned_count_is_named_and_offered() -> None:
    (half,) = questions_about(read(inversions="1000"), TypicalRun(inversions=2000))
    assert "half of the planned 2000 inversions" in str(half.sentence)
    assert half.suggested == 2000


@pytest.mark.parametrize(("end", "is_the_warming"), [("11.4", True), ("11.5", False)])
def test_an_end_below_the_start_is_taken_for_a_warming_up_to_thrice_the_likely_one(
    end: str, is_the_warming: bool
) -> None:
    """9.80665 × 1 × 50 / 128 = 3.83 K; thrice that is 11.49 K."""
    (said,) = asked(
        TypicalRun(**LEAD), tube_length="100", inversions="50", start_temperature="20", end_temperature=end
    )
    assert ("Is it the warming?" in said) is is_the_warming
    assert ("are the two swapped?" in said) is not is_the_warming


@pytest.mark.parametrize(("start", "is_the_warming"), [("43", True), ("43.1", False)])
def test_a_warming_leads_to_an_end_that_a_room_can_have(start: str, is_the_warming: bool) -> None:
    said = asked(
        TypicalRun(**LEAD), tube_length="100", inversions="50", start_temperature=start, end_temperature="2"
    )
    assert any("Is it the warming?" in one for one in said) is is_the_warming


def test_an_end_of_zero_degrees_is_no_warming() -> None:
    said = asked(
        TypicalRun(**LEAD), tube_length="100", inversions="50", start_temperature="20", end_temperature="0"
    )
    assert [one for one in said if "Is it the warming?" in one] == []


def test_an_end_in_fahrenheit_is_named_only_where_it_would_be_the_warmer_one() -> None:
    """71 °F are 21.7 °C, 68 °F are 20 °C."""
    typical = TypicalRun(**LEAD)
    for end, named in (("71", True), ("68", True), ("67.9", False)):
        run = {"tube_length": "100", "inversions": "50", "start_temperature": "20", "end_temperature": end}
        (said,) = asked(typical, **run)
        assert (f"did you mean {end} °F" in said) is named, end
        assert ("more than the whole fall energy" in said) is not named, end


def test_the_shot_s_start_as_the_room_is_asked_about_unless_the_class_s_room_is_within_a_kelvin() -> None:
    same = {"room_temperature": "18", "start_temperature": "18"}
    assert asked(TypicalRun(room_temperature_C=19.0), **same) == []
    assert len(asked(TypicalRun(room_temperature_C=19.1), **same)) == 1
    assert len(asked(None, **same)) == 1
    assert asked(room_temperature="18.1", start_temperature="18") == []


def test_the_class_s_room_is_the_shot_s_start_where_no_tenth_lies_between() -> None:
    room = parse_temperature("18.0")
    assert unlikely_room_of_class(room, [17.0, 18.04]) is not None
    assert unlikely_room_of_class(room, [18.05]) is None
    assert unlikely_room_of_class(room, [17.95]) is None


def test_shot_that_is_planned_hotter_than_any_room_is_not_asked_about() -> None:
    hot = TypicalRun(start_temperature_C=45.1)
    assert asked(hot, start_temperature="46") == []
    assert len(asked(TypicalRun(start_temperature_C=45.0), start_temperature="46")) == 1


def test_an_odd_room_is_said_with_four_digits() -> None:
    (said,) = asked(room_temperature="-10.123")
    assert "-10.12 °C is unusual for a room" in said
