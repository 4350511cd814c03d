"""What the pieces of a kit do, found again from classes in which it is known."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import t as student_t

from app.analysis.piece_columns import Columns, RunWithPieces
from app.analysis.pieces import (
    PieceShift,
    Shifts,
    Verdict,
    _always_together,
    _why_not,
    p_of_no_effect,
    piece_shifts,
)
from app.physics.energy import STANDARD_GRAVITY_M_PER_S2
from app.physics.run import Readings
from app.statistics.mixed import GroupEffects

HEAT_SINK_J_PER_K = 25.0


def classes(
    seed: int,
    practicals: int = 8,
    benches: int = 8,
    tube_percent: dict[int, float] | None = None,
    thermometer_percent: dict[int, float] | None = None,
    *,
    paired: bool = False,
) -> list[RunWithPieces]:
    """Three runs of each bench; ten tubes (0 to 9) and ten thermometers (100 to 109) are dealt out by chance.

    The percents are what each piece adds to c*; classes and benches differ by 2 %, runs by 1 % and a step.
    `paired`: each thermometer stays with its tube.
    """
    chance = np.random.default_rng(seed)
    runs = []
    for practical in range(practicals):
        tubes = chance.permutation(10)[:benches]
        thermometers = tubes if paired else chance.permutation(10)[:benches]
        of_class = chance.normal(0, 2)
        for bench, (tube, thermometer) in enumerate(zip(tubes, thermometers, strict=True), 1):
            off = of_class + chance.normal(0, 2)
            off += (tube_percent or {}).get(int(tube), 0.0)
            off += (thermometer_percent or {}).get(100 + int(thermometer), 0.0)
            mass = (0.25, 0.5, 0.8)[bench % 3]
            for _run in range(3):
                c = (130 + HEAT_SINK_J_PER_K / mass) * np.exp((off + chance.normal(0, 1)) / 100)
                warming = STANDARD_GRAVITY_M_PER_S2 * 0.93 * 60 / c
                readings = Readings(mass, 1.0, 0.07, 60.0, 20.0, round(20.0 + warming, 1))
                pieces = (("tube", int(tube)), ("thermometer", 100 + int(thermometer)))
                runs.append(RunWithPieces(practical, bench, readings, pieces, "lead", 128.0, 0.1))
    return runs


def of_piece(shifts: Shifts, kind: str, piece: int) -> PieceShift:
    return next(one for one in shifts.kinds[kind].pieces if one.piece == piece)


def test_a_tube_and_a_thermometer_that_are_off_are_found_and_told_apart() -> None:
    shifts = piece_shifts(classes(1, tube_percent={4: 8.0}, thermometer_percent={107: -6.0}))
    tube, thermometer = of_piece(shifts, "tube", 4), of_piece(shifts, "thermometer", 107)
    assert (tube.verdict, thermometer.verdict) == (Verdict.SURELY, Verdict.SURELY)
    for shift, true in ((tube, 8.0 * 0.9), (thermometer, -6.0 * 0.9)):  # against the mean of ten
        assert shift.interval_95 is not None
        assert shift.interval_95[0] < true < shift.interval_95[1]
        assert shift.interval_95[1] - shift.interval_95[0] < 8.0
    others = [
        one.verdict for kind in shifts.kinds.values() for one in kind.pieces if one.piece not in (4, 107)
    ]
    assert Verdict.SURELY not in others
    assert (shifts.practicals, shifts.runs, shifts.left_out) == (8, 192, 0)
    assert tube.fall_m == pytest.approx(0.93)


def test_pieces_that_do_nothing_are_seldom_told_and_intervals_cover() -> None:
    """At most one family of twenty looks in twenty is told wrongly; of twelve, three are as good as never."""
    told, inside = 0, []
    for seed in range(12):
        kinds = piece_shifts(classes(seed + 100, practicals=5)).kinds.values()
        shifts = [one for kind in kinds for one in kind.pieces if one.interval_95]
        told += any(one.verdict is Verdict.SURELY for one in shifts)
        inside += [one.interval_95[0] < 0 < one.interval_95[1] for one in shifts if one.interval_95]
    assert told <= 2
    assert np.mean(inside) > 0.9


def test_masses_that_differ_are_no_fault_of_the_tube() -> None:
    """A tube that always holds little shot reads high by the heat sink alone, and that is taken out."""
    runs = classes(7)
    always = [replace(run, pieces=(("tube", run.bench % 3), *run.pieces[1:])) for run in runs]
    shifts = piece_shifts(always)
    assert {one.verdict for one in shifts.kinds["tube"].pieces} == {Verdict.NOTHING}
    for one in shifts.kinds["tube"].pieces:
        assert abs(one.percent or 0.0) < 2.0


def test_pieces_that_never_part_share_their_effect_and_are_said_to() -> None:
    shifts = piece_shifts(classes(3, tube_percent={4: 10.0}, paired=True))
    tube, thermometer = of_piece(shifts, "tube", 4), of_piece(shifts, "thermometer", 104)
    assert (tube.always_with, thermometer.always_with) == ((104,), (4,))
    assert tube.percent == pytest.approx(thermometer.percent or 0.0, rel=0.05)
    parted = of_piece(piece_shifts(classes(3)), "tube", 4)
    assert parted.always_with == ()


def test_pieces_go_together_that_were_at_the_very_same_benches() -> None:
    """Tube 1 and thermometer 101 always, with lot 7 beside them; tube 2 once without thermometer 102."""
    readings = Readings(0.5, 1.0, 0.07, 60.0, 20.0, 23.0)
    together, apart = (("tube", 1), ("thermometer", 101), ("lot", 7)), (("tube", 2), ("thermometer", 102))
    runs = [
        RunWithPieces(practical, bench, readings, pieces, "lead", 128.0, 0.1)
        for practical, bench, pieces in ((0, 1, together), (1, 4, together), (0, 2, apart), (1, 1, apart[:1]))
    ]
    assert _always_together(runs) == {
        ("tube", 1): (101, 7),
        ("thermometer", 101): (1, 7),
        ("lot", 7): (1, 101),
    }


def test_a_slip_that_nobody_decided_about_is_left_out() -> None:
    runs = classes(5)
    wrong = replace(runs[0].readings, inversions=120.0)
    shifts = piece_shifts([replace(runs[0], readings=wrong), *runs[1:]])
    assert (shifts.left_out, shifts.runs) == (1, len(runs) - 1)
    colder = replace(runs[0].readings, end_temperature_C=19.0)
    without_warming = replace(runs[1].readings, end_temperature_C=20.0)
    without_fall = replace(runs[2].readings, end_allowance_m=1.0)
    useless = [
        replace(runs[i], readings=one) for i, one in enumerate((colder, without_warming, without_fall))
    ]
    assert piece_shifts([*useless, *runs[3:]]).left_out == 3


def test_too_little_is_said_to_be_too_little() -> None:
    assert piece_shifts([]).kinds == {}
    few = piece_shifts(classes(1, practicals=2)).kinds["tube"]
    assert "Practicals whose runs name their pieces: 2" in str(few.absent_because)
    narrow = piece_shifts(classes(1, practicals=3, benches=5)).kinds["tube"]
    assert "too few benches" in str(narrow.absent_because)
    one_kind = [replace(run, pieces=(*run.pieces, ("balance", 200))) for run in classes(1)]
    shifts = piece_shifts(one_kind)
    assert "At least 3 pieces" in str(shifts.kinds["balance"].absent_because)
    assert shifts.kinds["tube"].absent_because is None
    once = [run for run in classes(1) if ("tube", 2) not in run.pieces or run.practical == 0]
    for shift in piece_shifts(once).kinds["tube"].pieces:
        assert (shift.verdict is Verdict.TOO_FEW) == (shift.practicals < 2) == (shift.percent is None)


def test_runs_that_warm_by_less_than_a_kelvin_are_used_and_runs_that_say_nothing_are_left_out() -> None:
    runs = []
    for bench, mass in enumerate((0.25, 0.5, 0.8)):
        warming = STANDARD_GRAVITY_M_PER_S2 * 0.93 * 15 / (128.0 + HEAT_SINK_J_PER_K / mass)
        readings = Readings(mass, 1.0, 0.07, 15.0, 20.0, 20.0 + warming)
        runs.append(RunWithPieces(0, bench, readings, (("tube", bench),), "lead", 128.0, 0.1))
    found = piece_shifts(runs)
    assert (found.practicals, found.runs, found.left_out) == (1, 3, 0)
    cold = [replace(run, readings=replace(run.readings, end_temperature_C=19.0)) for run in runs]
    nothing = piece_shifts(cold)
    assert (nothing.kinds, nothing.practicals, nothing.runs, nothing.left_out) == ({}, 0, 0, 3)


@pytest.mark.parametrize(("heavier", "slopes"), [(0.54, 0), (0.58, 1)])
def test_masses_a_tenth_apart_tell_of_the_heat_sink(heavier: float, slopes: int) -> None:
    """1/m lies 4 % from the practical's middle, or 7 and 8 %; five are needed."""
    runs = [
        RunWithPieces(0, bench, Readings(mass, 1.0, 0.07, 60.0, 20.0, 23.0), (), "lead", 128.0, 0.1)
        for bench, mass in enumerate((0.5, heavier))
    ]
    assert Columns(runs).fixed.shape == (2, 1 + slopes)


def test_three_practicals_and_three_pieces_of_a_kind_are_enough() -> None:
    three = [PieceShift(piece, Verdict.TOO_FEW, 3, 9, 0.9, 2.0) for piece in (1, 2, 3)]
    assert _why_not(three, 3) is None
    assert "Practicals whose runs name their pieces: 2" in str(_why_not(three, 2))
    assert "At least 3 pieces" in str(_why_not(three[:2], 3))


@pytest.mark.parametrize(("tubes", "said"), [(8, False), (9, True)])
def test_four_benches_more_than_practicals_pieces_and_the_slope_take_are_enough(
    tubes: int, said: bool
) -> None:
    """15 benches less 3 practicals, the heat sink's slope and all tubes but one."""
    runs = [
        replace(run, pieces=(("tube", (5 * run.practical + run.bench) % tubes),))
        for run in classes(1, practicals=3, benches=5)
    ]
    found = piece_shifts(runs).kinds["tube"]
    assert len(found.pieces) == tubes
    assert ("too few benches" in str(found.absent_because)) is said


def test_benches_that_are_left_over_are_counted_by_hand() -> None:
    """64 benches less 8 practicals, 9 tubes and 9 thermometers (the last of each follows), and one slope."""
    assert Columns(classes(1)).dof([10, 10]) == 64 - 8 - 9 - 9 - 1


def test_a_run_that_is_as_it_should_be_is_off_by_nothing_and_known_as_its_thermometer_is() -> None:
    """With c + C/m of 128 J/(kg·K) and 25 J/K; u(w)/w in percent, u(w) = 0.1 K/√6."""
    runs, warmings = [], []
    for bench, mass in enumerate((0.25, 0.5, 0.8)):
        warmings.append(STANDARD_GRAVITY_M_PER_S2 * 0.93 * 60 / (128.0 + HEAT_SINK_J_PER_K / mass))
        readings = Readings(mass, 1.0, 0.07, 60.0, 20.0, 20.0 + warmings[-1])
        runs.append(RunWithPieces(0, bench, readings, (("tube", bench),), "lead", 128.0, 0.1))
    columns = Columns(runs)
    assert columns.y == pytest.approx([0.0] * 3, abs=1e-3)
    u = 0.1 / np.sqrt(6)
    assert columns.known == pytest.approx([(100 * u / warming) ** 2 for warming in warmings], rel=1e-4)
    slope = np.array([100 / mass / (128.0 + HEAT_SINK_J_PER_K / mass) for mass in (0.25, 0.5, 0.8)])
    assert columns.fixed == pytest.approx(np.column_stack([np.ones(3), slope - slope.mean()]), rel=1e-4)


def test_an_effect_is_judged_by_its_own_estimate_and_not_by_what_is_left_when_it_is_drawn_in() -> None:
    """By hand: σ_b² = 4 and an own estimate of 2.0 with a variance of 1. It is drawn in by 4/5 to 1.6, with a
    variance of 4·1/(4 + 1) = 0.8; and |t| is above 2.0/1 with 10 degrees of freedom in 7.34 % of samples
    (Student's t of scipy.stats)."""
    found = p_of_no_effect(GroupEffects(2.0, np.array([1.6, -1.6]), np.array([0.8, 0.8]) ** 0.5), 10)
    assert found == pytest.approx([2 * student_t.sf(2.0, 10)] * 2, rel=1e-9)


def test_the_order_of_runs_and_the_names_of_pieces_change_nothing() -> None:
    runs = classes(9, tube_percent={4: 8.0})
    turned = []
    for run in reversed(runs):
        pieces = tuple((kind, piece + 1000) for kind, piece in run.pieces)
        turned.append(replace(run, practical=50 - run.practical, pieces=pieces))
    one, other = piece_shifts(runs), piece_shifts(turned)
    for kind in ("tube", "thermometer"):
        for shift in one.kinds[kind].pieces:
            again = of_piece(other, kind, shift.piece + 1000)
            assert again.percent == pytest.approx(shift.percent or 0.0, abs=2e-3)
            assert again.verdict is shift.verdict
