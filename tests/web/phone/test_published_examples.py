"""Published examples of the practical, typed on a phone as a bench would, come out as they were printed."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import UTC, datetime
from decimal import Decimal

import pytest

from app.practicals.board.reveal import show_bench_results
from app.practicals.board.snapshot import Snapshot, class_snapshot
from app.records.engine import Database
from tests.practicals.a_class import AClass, a_collecting_class, new_key
from tests.reference.published import EXAMPLES, STUDENT_REPORT, Example
from tests.web.phone.phone import Phone


def class_of(database: Database, example: Example) -> AClass:
    return a_collecting_class(
        database,
        accepted_J_per_kg_K=Decimal(example.accepted_J_per_kg_K),
        tube_length_m=Decimal(example.fall_cm) / 100,
        end_allowance_m=Decimal(0),
        inversions=int(example.inversions),
        gravity_m_per_s2=Decimal(example.gravity),
        gravity_how="typed",
        thermometer_step_K=Decimal(example.step_K),
    )


def type_and_send(phone: Phone, **typed: str) -> None:
    """The form on one page; a published run is asked about nothing but more warming than the falls give."""
    phone.open("/bench/run/all")
    phone.step(**typed)
    phone.step("send")
    if "A tube warmer than the shot does this." in phone.text:
        phone.send(phone.path, {**phone.form(), "as_typed": "end_temperature"})
        phone.step("send")
    assert "Saved as run" in phone.text


def snapshot_of(a_class: AClass) -> Snapshot:
    return class_snapshot(a_class.database, a_class.practical_id, actor=a_class.teacher)


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda example: example.name)
def test_a_published_example_comes_out_as_printed(
    database: Database, new_phone: Callable[[], Phone], example: Example
) -> None:
    a_class = class_of(database, example)
    phone = new_phone()
    phone.join(a_class.practical.join_code or "", 1)
    type_and_send(
        phone,
        shot_mass=example.mass_g,
        tube_length=example.fall_cm,
        end_allowance="0",
        inversions=example.inversions,
        start_temperature=example.start_C,
        end_temperature=example.end_C,
    )
    result = snapshot_of(a_class).result
    assert result is not None
    (run,) = result.runs
    a_fall = run.specific_energy_J_per_kg / int(example.inversions) * float(example.mass_g) / 1000
    half_a_digit = example.energy_digit / 2
    assert a_fall * example.energy_falls == pytest.approx(example.energy_J, abs=half_a_digit + 1e-9)
    assert run.apparent_heat_capacity_J_per_kg_K == pytest.approx(example.c_J_per_kg_K, abs=0.5)
    assert run.flags == ()
    accepted = float(example.accepted_J_per_kg_K)
    value = result.class_value
    assert value is not None
    # The printed c has no decimals: its percent error is known to half a unit over the accepted value.
    printed_error = (example.c_J_per_kg_K / accepted - 1) * 100
    assert value.percent_error == pytest.approx(printed_error, abs=50 / accepted)

    (stored,) = snapshot_of(a_class).runs
    phone.send(
        f"/bench/runs/{stored.run_id}/own",
        {"own_heat_capacity": f"{example.c_J_per_kg_K:.0f}", "key": new_key()},
    )
    assert "follows from your readings" in phone.text
    show_bench_results(
        database,
        actor=a_class.teacher,
        practical_id=a_class.practical_id,
        shown=True,
        now=datetime.now(UTC),
    )
    phone.open("/bench/runs")
    assert f"{example.c_J_per_kg_K:.0f} J/(kg·K)" in phone.text


@pytest.mark.parametrize("benches", [(1, 1, 1), (1, 2, 3)], ids=["one bench", "three benches"])
def test_a_students_report_of_chilled_shot_is_told_why_and_not_called_a_slip(
    database: Database, new_phone: Callable[[], Phone], benches: tuple[int, int, int]
) -> None:
    """Source: the student's report; c* is g·h·N/w by hand: 551.6, 929.1 and 735.5 J/(kg·K)."""
    a_class = a_collecting_class(
        database,
        material="aluminium",
        # CRC Handbook: 24.2 J/(mol·K) over 26.982 g/mol.
        accepted_J_per_kg_K=Decimal("896.9"),
        tube_length_m=Decimal("0.90"),
        end_allowance_m=Decimal(0),
        inversions=200,
    )
    phones: dict[int, Phone] = {}
    for number, (inversions, start, end) in zip(benches, STUDENT_REPORT, strict=True):
        if number not in phones:
            phones[number] = new_phone()
            phones[number].join(a_class.practical.join_code or "", number)
        type_and_send(
            phones[number],
            shot_mass="200",
            tube_length="90",
            end_allowance="0",
            inversions=inversions,
            start_temperature=start,
            end_temperature=end,
        )
    result = snapshot_of(a_class).result
    assert result is not None
    assert [run.apparent_heat_capacity_J_per_kg_K for run in result.runs] == pytest.approx(
        [551.6, 929.1, 735.5], abs=0.1
    )
    assert [run.suspected_slip for run in result.runs] == [None, None, None]
    reasons = [[str(flag.reason) for flag in run.flags] for run in result.runs]
    assert reasons[1] == []
    for run_reasons in (reasons[0], reasons[2]):
        assert "at most" in run_reasons[0]
        assert "tube warmer than the shot" in run_reasons[0]


@pytest.mark.parametrize(
    ("inversions", "end"),
    [
        # University of Sydney, shot tube demonstration: "theory 5 °C, experiment 3 °C", 50 to 100 inversions;
        # 65 falls of 1 m would warm lead by 5.0 K.
        ("65", "23.0"),
        # University of Iowa, demonstration 4B60.10: 100 falls of 1 m, about 5 °C.
        ("100", "25.0"),
    ],
)
@pytest.mark.parametrize("mass_g", ["500", "1000", "2000", "8000"])
def test_the_phone_calls_usual_what_demonstrators_get(
    database: Database, new_phone: Callable[[], Phone], mass_g: str, inversions: str, end: str
) -> None:
    a_class = a_collecting_class(database, end_allowance_m=Decimal(0), inversions=int(inversions))
    phone = new_phone()
    phone.join(a_class.practical.join_code or "", 1)
    phone.open("/bench/run/all")
    phone.step(
        shot_mass=mass_g,
        tube_length="100",
        end_allowance="0",
        inversions=inversions,
        start_temperature="20.0",
        end_temperature=end,
    )
    said = re.search(r"inside the (\S+) to (\S+) K that falls like these", re.sub(r"</?bdi>", "", phone.text))
    assert said is not None
    assert float(said[1]) <= float(end) - 20.0 <= float(said[2])
