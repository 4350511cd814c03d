"""The command that brings the catalogues up to date: what it finds, what it keeps, what it writes."""

from __future__ import annotations

import runpy
import shutil
from pathlib import Path

import pytest
from babel.messages.catalog import Catalog, Message
from babel.messages.pofile import read_po, write_po

from app.translations import extraction
from app.translations.extraction import LANGUAGES, Sentence, bring_up_to_date, catalogue_path, sentences

WITHOUT_COUNT = "That did not work"
WITH_COUNT = "All of it goes %(num)d year after the lesson."


@pytest.fixture(scope="module")
def said() -> dict[str, Sentence]:
    return sentences()


@pytest.fixture
def copies(said: dict[str, Sentence], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> dict[str, Path]:
    """Each language's catalogue in a folder of the test's, which the command takes for the program's own."""
    found = {code: tmp_path / code / "messages.po" for code in LANGUAGES}
    for code, path in found.items():
        path.parent.mkdir()
        shutil.copy(catalogue_path(code), path)
    monkeypatch.setattr(extraction, "catalogue_path", found.__getitem__)
    monkeypatch.setattr(extraction, "sentences", lambda: said)  # they take seconds to find
    return found


def text(path: Path) -> str:
    """A catalogue without the line that names Babel's version."""
    lines = path.read_text(encoding="utf-8").splitlines()
    return "\n".join(line for line in lines if not line.startswith('"Generated-By:'))


def entry(path: Path, sentence: str) -> Message:
    found = opened(path).get(sentence)
    assert found is not None
    return found


def opened(path: Path) -> Catalog:
    with path.open("rb") as file:
        return read_po(file)


def replace(path: Path, old: str, new: str) -> None:
    before = path.read_text(encoding="utf-8")
    assert before.count(old) == 1
    path.write_text(before.replace(old, new), encoding="utf-8")


def test_catalogues_that_are_up_to_date_stay_as_they_are(copies: dict[str, Path]) -> None:
    before = {code: text(path) for code, path in copies.items()}
    runpy.run_module("app.translations", run_name="__main__")
    assert {code: text(path) for code, path in copies.items()} == before


def test_a_new_sentence_comes_in_empty_and_one_that_is_gone_is_dropped(copies: dict[str, Path]) -> None:
    path = copies["es"]
    spanish = str(entry(path, WITHOUT_COUNT).string)
    replace(path, f'msgid "{WITHOUT_COUNT}"', 'msgid "That is said no longer"')
    bring_up_to_date()
    assert entry(path, WITHOUT_COUNT).string == ""
    assert spanish not in path.read_text(encoding="utf-8")


def test_a_sentence_that_takes_a_count_now_is_translated_anew(copies: dict[str, Path]) -> None:
    path = copies["es"]
    earlier = Catalog(locale="es")
    earlier.add(WITH_COUNT, "Todo se borra un año después.")
    with path.open("wb") as file:
        write_po(file, earlier)
    bring_up_to_date()
    assert entry(path, WITH_COUNT).string == ("", "")


def test_a_language_without_a_catalogue_gets_an_empty_one(
    copies: dict[str, Path], said: dict[str, Sentence]
) -> None:
    shutil.rmtree(copies["ar"].parent)
    bring_up_to_date()
    made = opened(copies["ar"])
    assert {message.id for message in made if message.id} == {one.forms for one in said.values()}
    assert not any(any(extraction.said_ways(message)) for message in made if message.id)


def test_a_space_before_a_french_sign_becomes_one_that_does_not_break(copies: dict[str, Path]) -> None:
    path = copies["fr"]
    french = entry(path, WITHOUT_COUNT).string
    replace(
        path, f'msgid "{WITHOUT_COUNT}"\nmsgstr "{french}"', f'msgid "{WITHOUT_COUNT}"\nmsgstr "« Non » !"'
    )
    bring_up_to_date()
    assert entry(path, WITHOUT_COUNT).string == "«\u00a0Non\u00a0»\u00a0!"


def test_sentences_come_from_code_templates_and_schemas_with_the_files_they_stand_in(
    said: dict[str, Sentence],
) -> None:
    assert set(said[WITHOUT_COUNT].places) == {"templates/shared/problem.html"}
    assert {one.places[0].split("/")[0] for one in said.values()} == {"app", "templates", "static"}
