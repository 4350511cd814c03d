"""What a lesson report says, section by section, from one snapshot and the practical's history."""

from __future__ import annotations

from collections.abc import Sequence

from app.analysis.methods import POOLED
from app.analysis.results import ClassResult, ClassValue, Interval
from app.exports.papers.report_parts import (
    ABSENT,
    Abreast,
    Block,
    Figure,
    Headline,
    Numbers,
    Paragraph,
    Report,
    Section,
    Words,
)
from app.figures.alternative import alternative, table
from app.figures.findings import COUNTED_ALIKE, FINDERS, finding, pull, unlike_the_others
from app.figures.levels import shown_levels, what_lanes_show
from app.figures.numbers import from_to, percent, plain, signed, with_interval
from app.physics.materials import MATERIALS
from app.physics.reading.readings import decimal_text
from app.physics.reading.text import with_unit
from app.physics.rounding import fixed, round_significant, shortest
from app.practicals.board.snapshot import Snapshot
from app.practicals.lesson.details import Plan, TypedNumber
from app.practicals.runs.entry import RunEntry
from app.practicals.runs.history import HistoryLine
from app.web.board.report_advice import next_time, run_value, uncertainty
from app.web.board.report_benches import given_and_used
from app.web.board.report_decisions import decisions
from app.web.board.report_words import COLUMNS, FACTS, GRAVITY_HOW, SAYS, SPREAD
from app.web.desk.blueprint import day
from app.web.desk.lesson.view import RunRow, run_rows
from app.web.languages import person
from app.web.numbers import allowance_text
from app.words import N_, Message


def report_of(snapshot: Snapshot, story: Sequence[HistoryLine]) -> Report:
    """The report of this moment."""
    practical, result = snapshot.practical, snapshot.result
    rows = run_rows(snapshot)
    held_on = day(practical.plan.held_on)
    whose = f"{held_on}, {person(practical.teacher_name)}, {practical.department_name}"
    of = (practical.title, held_on, (whose, *not_measured(snapshot)))
    if result is None:
        nothing = Section(SAYS["result"], (Paragraph(SAYS["no runs"]),))
        return Report(*of, (nothing, set_up(practical.plan)))
    sections = [
        _class_result(result),
        set_up(practical.plan),
        _figures(result),
        given_and_used(snapshot),
        uncertainty(result),
        Section(SAYS["still wrong"], tuple(Paragraph(one) for one in result.could_still_be_wrong)),
        readings_of(rows),
        _waiting(snapshot),
        _second_look(rows),
        decisions(story),
        Section(SAYS["next time"], tuple(Paragraph(advice) for advice in next_time(result))),
    ]
    return Report(*of, tuple(section for section in sections if section.blocks))


def not_measured(snapshot: Snapshot) -> tuple[Words, ...]:
    """What stands under the title where no student made these runs."""
    rehearsal = (SAYS["rehearsal"],) if snapshot.rehearsal else ()
    return (*rehearsal, SAYS["made up"]) if snapshot.practical.is_demo else rehearsal


def set_up(plan: Plan) -> Section:
    """What the whole class shared."""
    metal = MATERIALS[plan.material].name if plan.material in MATERIALS else plan.material
    at = plan.accepted_temperature_C
    facts: list[tuple[str, Words]] = [
        ("metal", metal),
        ("accepted", plain(f"{plan.accepted_J_per_kg_K:f}")),
        ("source", plan.accepted_source or ABSENT),
        ("accepted at", plain(signed(f"{at:f}")) if at is not None else ABSENT),
        ("g", plain(decimal_text(plan.gravity_m_per_s2))),
        ("g how", GRAVITY_HOW.get(plan.gravity_how, plan.gravity_how)),
        ("tube", plain(shortest(plan.tube_length_m.scaleb(2)))),
        (
            "allowance",
            SAYS["measured"] if plan.depth_measured else plain(shortest(plan.end_allowance_m.scaleb(2))),
        ),
        ("bore", plain(shortest(plan.bore_m.scaleb(3))) if plan.bore_m is not None else ABSENT),
        ("inversions", str(plan.inversions)),
        ("step", plain(decimal_text(plan.thermometer_step_K))),
        (
            "room",
            plain(signed(f"{plan.room_temperature_C:f}")) if plan.room_temperature_C is not None else ABSENT,
        ),
        ("benches", str(plan.planned_benches)),
    ]
    rows = tuple((FACTS[name], value) for name, value in facts)
    table = Numbers(SAYS["set-up"], (SAYS["quantity"], SAYS["figure"]), rows, facts=True)
    return Section(SAYS["set-up"], (Abreast(table.halved(len(rows) // 2)),))


def _class_result(result: ClassResult) -> Section:
    lanes = what_lanes_show(result)
    blocks: list[Block] = [
        *headline(result.class_value),
        Paragraph(finding("spread", result), strong=True),
        *([Paragraph(COUNTED_ALIKE), Paragraph(lanes)] if lanes else []),
        Paragraph(finding("accepted", result)),
    ]
    other = unlike_the_others(result)
    if other:
        blocks.append(Paragraph(other))
    blocks.append(Paragraph(finding("separated", result)))
    if result.separated.heat_leak_absent_because:
        blocks.append(Paragraph(result.separated.heat_leak_absent_because))
    rows = () if result.class_value is None else (_value_row(SAYS["counted"], result.class_value),)
    head = (
        SAYS["value of"],
        COLUMNS["c"],
        SAYS["interval"],
        COLUMNS["runs"],
        COLUMNS["benches"],
        COLUMNS["error"],
    )
    blocks.append(Numbers(SAYS["result"], head, rows, (6, 3, 5, 3, 3, 4)))
    blocks.append(Abreast((_methods(result), _spread(result))))
    blocks += [Paragraph(warning) for warning in result.warnings]
    return Section(SAYS["result"], tuple(blocks))


def headline(value: ClassValue | None) -> tuple[Headline, ...]:
    """The class value itself, large, in its band."""
    if value is None:
        return ()
    middle = with_interval(value.apparent_heat_capacity_J_per_kg_K, value.interval_95)
    return (Headline(plain(middle), "J/(kg·K)", SAYS["interval"], _within(value.interval_95)),)


def _value_row(words: Message, value: ClassValue) -> tuple[Words, ...]:
    middle = with_interval(value.apparent_heat_capacity_J_per_kg_K, value.interval_95)
    return (
        words,
        plain(middle),
        _within(value.interval_95),
        str(value.runs),
        str(value.benches),
        plain(percent(value.percent_error)),
    )


def _within(interval: Interval | None) -> Words:
    return ABSENT if interval is None else from_to(interval)


def _methods(result: ClassResult) -> Numbers:
    rows = tuple(
        (
            POOLED.get(one.method, one.method),
            plain(with_interval(one.apparent_heat_capacity_J_per_kg_K, one.interval_95)),
            _within(one.interval_95),
        )
        for one in result.estimates
    )
    return Numbers(SAYS["methods"], (SAYS["method"], COLUMNS["c"], SAYS["interval"]), rows)


def _spread(result: ClassResult) -> Numbers:
    spread = result.spread
    figures = {
        "repeatability": spread.repeatability_sd,
        "between": spread.between_bench_sd,
        "reproducibility": spread.reproducibility_sd,
    }
    rows = tuple(
        (SPREAD[name], plain(round_significant(figure, 2)) if figure is not None else ABSENT)
        for name, figure in figures.items()
    )
    return Numbers(SAYS["spread"], (SAYS["spread"], COLUMNS["c"]), rows)


def _figures(result: ClassResult) -> Section:
    blocks: list[Block] = []
    for name in FINDERS:
        numbers = table(name, result)
        rows = tuple(
            (line.words if line.words is not None else line.bench or ABSENT, *line.numbers)
            for line in numbers.lines
        )
        beside = Numbers(numbers.caption, numbers.columns, rows, short=numbers.short)
        blocks.append(Figure(name, finding(name, result), alternative(name, result), beside.halved()))
        pulled = pull(result) if name == "line" and not shown_levels(result) else None
        blocks += [Paragraph(pulled)] if pulled else []
    return Section(SAYS["figures"], tuple(blocks))


def readings_of(rows: Sequence[RunRow]) -> Section:
    """Runs as they were typed, with what follows from them."""
    head = tuple(
        COLUMNS[name] for name in ("bench", "run", "mass", "length", "off", "n", "from", "to", "warm", "c")
    )
    cells = tuple(_reading_row(row) for row in rows)
    readings = Numbers(SAYS["readings"], head, cells)
    marked = any(row.flagged or row.run.set_aside for row in rows)
    return Section(SAYS["readings"], (readings, Paragraph(SAYS["marks"])) if marked else (readings,))


def _waiting(snapshot: Snapshot) -> Section:
    """How many runs wait for the teacher; without any, nothing."""
    waiting = sum(run.waits for run in snapshot.held_back)
    sentence = Message(
        N_(
            "Runs that came too fast and wait for the teacher: %(count)s. They are in no figure and no table."
        ),
        {"count": str(waiting)},
    )
    return Section(SAYS["waiting"], (Paragraph(sentence),) if waiting else ())


def _reading_row(row: RunRow) -> tuple[Words, ...]:
    entry, worked = row.run.entry, row.worked
    mark = f"{row.run.bench_number}{' ○' if row.run.set_aside else ''}{' ◎' if row.flagged else ''}"
    readings = (
        _typed(entry.shot_mass),
        _typed(entry.tube_length),
        allowance_text(entry, lambda part: _typed(part).replace(" ", "\xa0")),
        _typed(entry.inversions),
        _typed(entry.start_temperature),
        _typed(entry.end_temperature),
    )
    warming = plain(fixed(worked.warming_K, _places(entry))) if worked else ABSENT
    return (mark, str(row.run.number), *readings, warming, plain(run_value(worked)) if worked else ABSENT)


def _typed(reading: TypedNumber) -> str:
    return with_unit(reading.raw, reading.unit)


def _places(entry: RunEntry) -> int:
    """Decimals of a warming: as many as its readings have, two at most (a °F reading has no end in °C)."""
    both = (entry.start_temperature.value, entry.end_temperature.value)
    return min(2, max(0, *(-int(one.as_tuple().exponent) for one in both)))


def _second_look(runs: Sequence[RunRow]) -> Section:
    rows: list[tuple[Words, ...]] = []
    for row in runs:
        if row.worked is not None:
            slip, reasons = row.worked.suspected_slip, [flag.reason for flag in row.worked.flags]
            whys = [*reasons, row.worked.interval_absent_because, slip.sentence if slip else None]
            rows += [(str(row.run.bench_number), str(row.run.number), why) for why in whys if why]
    head = (COLUMNS["bench"], COLUMNS["run"], SAYS["why"])
    if not rows:
        return Section(SAYS["second look"], (Paragraph(SAYS["no flags"]),))
    return Section(SAYS["second look"], (Numbers(SAYS["second look"], head, tuple(rows)),))
