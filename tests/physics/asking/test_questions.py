"""Unlikely readings are asked about in words that name the likely slip, and likely ones are not."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.physics.asking.question import RunAsRead, TypicalRun
from app.physics.asking.questions import questions_about
from app.physics.asking.temperatures import unlikely_end, unlikely_in_a_room, unlikely_start
from app.physics.reading.readings import parse_count, parse_length, parse_mass, parse_temperature

CLASS = TypicalRun(
    shot_mass_kg=0.4,
    tube_length_m=1.0,
    inversions=50,
    start_temperature_C=20.0,
    heat_capacity_J_per_kg_K=127.4,
    density_kg_per_m3=11340,
    bore_m=0.04,
)


for_any_possible_run = given(
    st.decimals("0.001", "20000", places=3),
    st.decimals("0.01", "900", places=2),
    st.integers(1, 10_000),
    st.decimals("-40", "150", places=1),
    st.decimals("-40", "150", places=1),
)
"""Mass, length, count, start and end as a bench could type them."""


def run_as_read(
    mass: str = "340 g",
    length: str = "98 cm",
    count: str = "50",
    start: str = "19.5",
    end: str = "22.0",
    allowance: str = "4",
) -> RunAsRead:
    return RunAsRead(
        {
            "shot_mass": parse_mass(mass),
            "tube_length": parse_length(length),
            "end_allowance": parse_length(allowance, may_be_zero=True),
            "inversions": parse_count(count),
            "start_temperature": parse_temperature(start),
            "end_temperature": parse_temperature(end),
        }
    )


@pytest.mark.parametrize("typical", [None, TypicalRun(), CLASS])
def test_an_ordinary_run_is_not_asked_about(typical: TypicalRun | None) -> None:
    assert questions_about(run_as_read(), typical) == ()


def test_nothing_is_asked_before_anything_is_read() -> None:
    assert questions_about(RunAsRead({}), CLASS) == ()


@pytest.mark.parametrize(
    ("changed", "field", "sentence", "suggested"),
    [
        ({"mass": "3400 g"}, "shot_mass", "3.4 kg of shot: did you mean 340 g", "0.34"),
        ({"mass": "0.34"}, "shot_mass", "did you mean 340 g", "0.34"),
        ({"mass": "0,434 g"}, "shot_mass", "did you mean 434 g", "0.434"),
        ({"length": "0.98"}, "tube_length", "9.8 mm: did you mean 98 cm", "0.98"),
        ({"length": "980"}, "tube_length", "did you mean 98 cm", "0.98"),
        ({"length": "38.7"}, "tube_length", "did you mean 98.298 cm", "0.98298"),
        ({"count": "100"}, "inversions", "twice the planned 50", "50"),
        ({"count": "25"}, "inversions", "half of the planned 50", "50"),
        ({"count": "3"}, "inversions", "unusual", None),
        ({"start": "22", "end": "19.5"}, "end_temperature", "swapped", "22"),
        ({"end": "2.5"}, "end_temperature", "Is it the warming", "22.0"),
        ({"end": "0.8"}, "end_temperature", "Is it the warming", "20.3"),
        ({"end": "19.5"}, "end_temperature", "both 19.5", None),
        ({"end": "39.5"}, "end_temperature", "more than the whole fall energy", None),
        ({"start": "68", "end": "72"}, "start_temperature", "did you mean 68 °F (20.0 °C)", "20"),
        ({"start": "20", "end": "72"}, "end_temperature", "did you mean 72 °F (22.2 °C)", None),
        ({"start": "-12", "end": "20"}, "start_temperature", "unusual for a room", None),
        ({"start": "40", "end": "42"}, "start_temperature", "far from the rest", None),
        ({"allowance": "60"}, "end_allowance", "little or no fall", "0.06"),
        ({"allowance": "450"}, "end_allowance", "little or no fall", "0.45"),
    ],
)
def test_an_unlikely_reading_is_asked_about_and_the_slip_is_named(
    changed: dict[str, str], field: str, sentence: str, suggested: str | None
) -> None:
    asked = {question.field: question for question in questions_about(run_as_read(**changed), CLASS)}
    assert sentence in str(asked[field].sentence)
    if suggested is not None:
        assert asked[field].suggested == Decimal(suggested)


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("10", None),
        ("35", None),
        ("9.9", "9.9 °C is unusual for a room"),
        ("35.1", "35.1 °C is unusual for a room"),
        ("68", "did you mean 68 °F (20.0 °C)"),
        ("68 F", None),
        ("45 °F", "7.222 °C is unusual for a room"),
    ],
)
def test_a_room_is_asked_about_outside_10_to_35_degrees(typed: str, says: str | None) -> None:
    # 10 °C to 35 °C: our own choice, as in app/physics/limits.py; 45 °F is 7.222 °C (closed form).
    asked = unlikely_in_a_room("room_temperature", parse_temperature(typed))
    assert (asked is None) == (says is None)
    assert (says or "") in str(asked and asked.sentence)


def test_shot_may_start_colder_than_any_room_that_is_worked_in() -> None:
    for start in ("6", "44"):
        assert unlikely_start(run_as_read(start=start), TypicalRun()) is None, start


@pytest.mark.parametrize(
    ("warming", "mass", "says"),
    [
        ("4.8", "340 g", "more than the whole fall energy"),  # 3.77 K × 1.2 is 4.5 K
        ("4.4", "340 g", None),
        ("0.8", "340 g", None),  # a fifth of 3.77 K is 0.75 K
        ("0.7", "340 g", "very little for so many inversions"),
        ("0.5", "60 g", None),  # so little shot warms less: 0.7 × 0.9 × 127.4/(127.4 + 60/0.06) of it
        ("0.2", "60 g", "very little for so many inversions"),
    ],
)
def test_a_warming_that_the_falls_can_hardly_give_is_asked_about(
    warming: str, mass: str, says: str | None
) -> None:
    """9.80665 × 0.98 × 50 / 127.4 = 3.77 K, were all of the energy to stay in the shot."""
    typical = TypicalRun(heat_capacity_J_per_kg_K=127.4)
    end = str(Decimal("19.5") + Decimal(warming))
    asked = [str(one.sentence) for one in questions_about(run_as_read(mass=mass, end=end), typical)]
    assert any(says in one for one in asked) if says else not asked


def test_more_shot_than_the_tube_holds_is_asked_about() -> None:
    """A bore of 12 mm and 30 cm of tube hold 0.23 kg of lead at a packing fraction of 0.6."""
    narrow = TypicalRun(density_kg_per_m3=11340, bore_m=0.012)
    asked = questions_about(run_as_read(mass="340", length="30", allowance="2"), narrow)
    assert "more than this tube holds" in str(asked[0].sentence)


def test_a_class_of_big_benches_is_not_asked_what_a_small_one_would_be() -> None:
    heavy = TypicalRun(shot_mass_kg=3.0)
    assert questions_about(RunAsRead({"shot_mass": parse_mass("3.4 kg")}), heavy) == ()
    assert questions_about(RunAsRead({"shot_mass": parse_mass("3.4 kg")}), TypicalRun()) != ()


def test_a_class_of_which_only_zeros_are_known_is_a_class_of_which_nothing_is_known() -> None:
    nothing = TypicalRun(shot_mass_kg=0.0, tube_length_m=0.0, inversions=0.0, heat_capacity_J_per_kg_K=0.0)
    for changed in ({}, {"mass": "3400 g"}, {"length": "0.98"}, {"count": "3"}):
        run = run_as_read(**changed)
        assert questions_about(run, nothing) == questions_about(run)


@for_any_possible_run
def test_any_possible_run_is_asked_about_at_most_once_a_field_and_never_changed(
    mass: Decimal, length: Decimal, count: int, start: Decimal, end: Decimal
) -> None:
    run = run_as_read(str(mass), str(length), str(count), f"{start:f}", f"{end:f}")
    for typical in (None, CLASS, TypicalRun(shot_mass_kg=0.0, inversions=0)):
        asked = questions_about(run, typical)
        assert len({question.field for question in asked}) == len(asked)
        for question in asked:
            assert str(question.sentence)[-1] in ".?"
    assert run == run_as_read(str(mass), str(length), str(count), f"{start:f}", f"{end:f}")


@pytest.mark.parametrize(("count", "said"), [("50", "4"), ("60", "5"), ("300", "30")])
def test_the_limit_that_is_named_tells_no_heat_capacity(count: str, said: str) -> None:
    """9.80665 × 1 × 50 / 128 = 3.83 K and so on; one digit upwards leaves c open by a tenth and more."""
    run = RunAsRead(
        {
            "tube_length": parse_length("100", "cm"),
            "inversions": parse_count(count),
            "start_temperature": parse_temperature("5"),
            "end_temperature": parse_temperature("45"),
        }
    )
    question = unlikely_end(run, TypicalRun(heat_capacity_J_per_kg_K=128.0))
    assert question is not None
    assert question.sentence.values["most"] == said
