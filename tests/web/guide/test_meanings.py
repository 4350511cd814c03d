"""Everything that the tool shows has its paragraph, and no paragraph is about something that is gone."""

from __future__ import annotations

import ast
import dataclasses
import re
from pathlib import Path
from types import ModuleType

import pytest

import app.analysis.doubt
import app.physics.asking
from app.analysis import figure, pieces, results
from app.analysis.doubt import inputs, slip_words
from app.analysis.plan import prediction
from app.physics import falls
from app.records import choices
from app.records.choices import BenchProgress, BoardStep, KeptCause, PracticalState
from app.translations.extraction import sentences
from app.web.guide.meanings import MEANINGS
from app.web.guide.meanings.meaning import Meaning
from app.web.guide.wall_steps import wall_steps

ALL = [one for group in MEANINGS.values() for one in group]
NUMBER = re.compile(r"\b(?:float|Interval|tuple\[float|bool)\b")


OF_RUNS_AND_CLASS = (
    "Budget",
    "RunResult",
    "ClassValue",
    "PooledEstimate",
    "BenchSummary",
    "Spread",
    "LinePoint",
    "LineFit",
    "Separated",
)


def explained(*sections: str) -> set[str]:
    return {name for section in sections for one in MEANINGS[section] for name in one.of}


def numbers_of(module: ModuleType, *records: str) -> set[str]:
    """The numbers that these records hold, as Record.field."""
    return {
        f"{record}.{field.name}"
        for record in records
        for field in dataclasses.fields(getattr(module, record))
        if NUMBER.search(str(field.type))
    }


def sources_of(package: ModuleType) -> dict[str, ast.Module]:
    folder = Path(package.__path__[0])
    return {path.stem: ast.parse(path.read_text(encoding="utf-8")) for path in folder.glob("*.py")}


def test_every_flag_has_its_paragraph() -> None:
    """The rules as the code names them: kebab-case words, and each measure held against each standard."""
    named = re.compile(r"[a-z]+(?:-[a-z]+)+")
    declared = {
        node.value
        for name, tree in sources_of(app.analysis.doubt).items()
        if name in ("flags", "impossible", "inputs", "warm_tube")
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and named.fullmatch(node.value)
    }
    declared -= {"start-temperature"}  # a measure
    declared |= {f"{measure}-far-from-{whose}" for measure, whose in inputs._FAR}
    assert explained("flags") == declared


def test_every_slip_has_its_paragraph() -> None:
    assert explained("slips") == set(slip_words.SENTENCES)


def test_every_question_has_its_paragraph() -> None:
    declared = {
        node.name
        for tree in sources_of(app.physics.asking).values()
        for node in tree.body
        if isinstance(node, ast.FunctionDef) and re.match("unlikely_|far_off", node.name)
    }
    assert len(declared) > 8
    assert explained("questions") == declared


def test_every_number_of_runs_and_class_has_its_paragraph() -> None:
    shown = {f"HeatLedger.{name}" for name in results.HeatLedger._fields if name != "note"}
    shown |= numbers_of(results, *OF_RUNS_AND_CLASS)
    shown |= numbers_of(results, "WithWiderPriors", "ClassBudgetLine", "MassLevel")
    assert shown - explained("runs", "class") == set()


def test_every_number_of_planner_falls_years_and_pieces_has_its_paragraph() -> None:
    assert numbers_of(prediction, "BenchPrediction", "Prediction") - explained("planner") == set()
    assert numbers_of(falls, "FallWarming") - explained("falls") == set()
    assert numbers_of(figure, "Pooled") - explained("years") == set()
    assert numbers_of(pieces, "PieceShift", "KindShifts") - explained("pieces") == set()


@pytest.mark.parametrize("words", [PracticalState, BenchProgress, KeptCause, pieces.Verdict])
def test_every_state_has_its_paragraph(words: type) -> None:
    named = {f"{words.__name__}.{one.name}" for one in words}  # type: ignore[attr-defined]
    assert named - explained("states", "years", "pieces") == set()


def test_no_paragraph_is_about_a_number_that_is_gone() -> None:
    named = [name.split(".") for one in ALL for name in one.of if re.fullmatch(r"[A-Z]\w+\.\w+", name)]
    modules = (results, prediction, falls, figure, pieces, choices)
    homes = {name: getattr(module, name) for module in modules for name, _ in named if hasattr(module, name)}
    assert named
    assert [
        (record, field)
        for record, field in named
        if not (record in homes and (hasattr(homes[record], field) or field in fields_of(homes[record])))
    ] == []


def fields_of(record: type) -> set[str]:
    return {field.name for field in dataclasses.fields(record)} if dataclasses.is_dataclass(record) else set()


def test_every_step_of_the_wall_is_told() -> None:
    assert [step.key for step in wall_steps()] == [step.name.lower() for step in BoardStep]


@pytest.mark.parametrize("one", ALL, ids=lambda one: one.anchor)
def test_a_paragraph_is_short_and_says_where_it_is_from(one: Meaning) -> None:
    for text in one.texts:
        assert len(str(text).split()) <= 60, str(text)
    assert one.formulas or one.source or one.basis or one.anchor in FACTS_OF_THE_PRODUCT


def test_figures_stand_in_the_unit_of_their_sentence() -> None:
    """Bounds are declared in SI and as shares; sentences have grams, centimetres and percents."""
    said = {one.anchor: [str(value) for text in one.texts for value in text.values.values()] for one in ALL}
    assert {anchor: values for anchor, values in said.items() if values} == {
        "usual-warming": ["0.9", "60"],
        "fit": ["3"],
        "class-value": ["3"],
        "specific-heat": ["4", "60"],
        "line": ["5"],
        "flag-unlike": ["50"],
        "flag-bench": ["50"],
        "flag-too-much-heat": ["3.5"],
        "asked-mass": ["20", "2500", "2.5"],
        "asked-length": ["30", "250"],
        "asked-count": ["5", "400"],
        "asked-temperatures": ["5", "45", "15", "1.2"],
        "asked-room": ["10", "35"],
        "asked-ice": ["2"],
        "needs-you": ["6", "12", "3"],
        "counted": ["80"],
        "other-falls": ["10"],
        "pooled-years": ["3"],
        "control-chart": ["3", "8"],
        "piece-shift": ["5", "3", "3", "2"],
    }


FACTS_OF_THE_PRODUCT = {
    "state-of-practical",
    "state-of-bench",
    "marks",
    "flag-no-warming",
    "warnings",
    "counted",
    "widths",
    "kept",
}
"""What our own code does, for which there is nobody else to name."""


def test_no_sentence_of_the_guide_is_too_long_for_one_breath() -> None:
    long = {
        text
        for text, sentence in sentences().items()
        if all("guide/" in place for place in sentence.places) and len(text.split()) > 60
    }
    assert long == set()
