"""Everything that a person can type, set, open or read in a file is described in the guide, in words."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import click
import pytest
from flask import Flask

from app.analysis.analyse import analyse_class
from app.analysis.views.json import as_plain_data
from app.analysis.views.json_words import KEYS
from app.cli import commands
from app.declared_settings import SETTINGS
from app.exports.package_words import MANIFEST_KEYS, PACKAGE_FILES
from app.exports.record.document import SCHEMA
from app.exports.tidy.tables import TABLES
from app.exports.workbook import DICTIONARY, SHEETS
from app.resources import static_dir
from app.translations.extraction import sentences
from app.web.guide.commands import commands_in_words, settings_in_words
from app.web.guide.keys import document_parts
from tests.analysis.classes import LEAD, simulated_runs
from tests.practicals.a_class import AClass
from tests.web.department.conftest import full, reader  # noqa: F401 - fixtures
from tests.web.department.out.exporting import taken
from tests.web.desk.conftest import Reader, application, nobody, teacher  # noqa: F401 - fixtures
from tests.web.guide.test_where import NO_PAGE

ROOT = Path(__file__).resolve().parents[3]
ENTRY = re.compile(r"<dt[^>]*><code>(.+?)</code>.*?</dt>\s*<dd>(.*?)</dd>", re.DOTALL)
HEADING = re.compile(r'<(?:h3|section)[^>]*\bid="([^"]+)"')
Described = Mapping[str, Mapping[str, str]]
"""By the heading above it (a section's or a table's anchor): each name with its words."""


def described(page: str) -> Described:
    found: dict[str, dict[str, str]] = {}
    places = [*HEADING.finditer(page)]
    for place, following in zip(places, [*places[1:], None], strict=True):
        part = page[place.end() : following.start() if following else None]
        found[place[1]] = {
            name: " ".join(re.sub(r"<[^>]+>", " ", words).split()) for name, words in ENTRY.findall(part)
        }
    return found


def says_something(words: str) -> bool:
    """Whether there are two words at least, of two letters or more."""
    return len(re.findall(r"[^\W\d_]{2,}", words)) >= 2


@pytest.fixture
def running(nobody: Reader) -> Described:  # noqa: F811
    return described(nobody.text("/guide/running"))


@pytest.fixture
def files(nobody: Reader) -> Described:  # noqa: F811
    return described(nobody.text("/guide/files"))


def test_every_command_and_option(nobody: Reader, running: Described) -> None:  # noqa: F811
    page = nobody.text("/guide/running")
    for name, command in commands.commands.items():
        heading, _, rest = page.partition(f'id="command-{name}"')[2].partition("</h3>")
        assert f"plumbfall {name}" in heading
        assert says_something(rest.partition("<p>")[2].partition("</p>")[0]), name
        options = [one for one in command.params if isinstance(one, click.Option)]
        said = running[f"command-{name}"]
        for option in options:
            words = [text for written, text in said.items() if option.opts[0] in re.split(r"[ ,/]+", written)]
            assert len(words) == 1, f"{name} {option.opts[0]}"
            assert says_something(words[0]), f"{name} {option.opts[0]}"


def test_every_setting(running: Described) -> None:
    read = re.compile(r"\b(?:PLUMBFALL_[A-Z_]+|DATABASE_URL)\b")
    named = {name for path in (ROOT / "app").rglob("*.py") for name in read.findall(path.read_text("utf-8"))}
    assert named == {setting.name for setting in SETTINGS}
    assert all(says_something(running["settings"][name]) for name in named)


def test_every_address_that_a_person_opens(application: Flask, running: Described) -> None:  # noqa: F811
    rules = {
        re.sub(r"<\w+:", "<", rule.rule)
        for rule in application.url_map.iter_rules()
        if "GET" in (rule.methods or ()) and rule.endpoint not in NO_PAGE
    }
    assert set(running["pages"]) == rules
    assert all(says_something(words) for words in running["pages"].values())


def test_every_column_with_its_unit(nobody: Reader, files: Described) -> None:  # noqa: F811
    page = nobody.text("/guide/files")
    for table in TABLES:
        said = files[f"{table.name}.csv"]
        assert [*said] == [*table.names]
        assert all(says_something(words) for words in said.values()), table.name
        for one in table.columns:
            unit = f' <bdi class="unit" dir="ltr">{one.unit}</bdi>' if one.unit not in ("", "1") else ""
            assert f"<code>{one.name}</code>{unit}</dt>" in page, one.name


def test_every_sheet_of_the_workbook(nobody: Reader) -> None:  # noqa: F811
    page = nobody.text("/guide/files").partition('<section id="workbook"')[2].partition("</section>")[0]
    for name in (*(SHEETS[table.name] for table in TABLES), DICTIONARY):
        assert f"<b>{name}</b>:" in page


def test_every_key_of_a_practicals_document(files: Described) -> None:
    schema = json.loads((static_dir() / "formats" / SCHEMA).read_text(encoding="utf-8"))
    parts = {"document": schema, **{f"part-{name}": part for name, part in schema["$defs"].items()}}
    for anchor, part in parts.items():
        keys = set(keys_of_schema(part))
        said = files[anchor] if keys else {}
        assert set(said) == keys, anchor
        assert all(says_something(words) for words in said.values()), anchor


def keys_of_schema(part: Any, path: str = "") -> Iterator[str]:
    """The paths of all properties, `[]` behind a list's."""
    for name, value in part.get("properties", {}).items():
        here = f"{path}{name}[]" if "items" in value else f"{path}{name}"
        yield here
        for inner in (value, value.get("items", {}), *value.get("anyOf", ())):
            yield from keys_of_schema(inner, f"{here}.")


def keys_of(value: Any, path: str = "") -> Iterator[str]:
    """The paths of all keys of a file, `[]` behind a list's."""
    if isinstance(value, list):
        for one in value:
            yield from keys_of(one, f"{path}[]")
    elif isinstance(value, dict):
        for name, inner in value.items():
            here = f"{path}.{name}" if path else name
            yield here
            yield from keys_of(inner, here)


def test_every_key_of_a_result(files: Described) -> None:
    slipped = simulated_runs(3)
    slipped[0] = slipped[0].__class__(**{**vars(slipped[0]), "shot_mass_kg": slipped[0].shot_mass_kg * 1000})
    results = [analyse_class(runs, LEAD) for runs in (simulated_runs(1), slipped)]
    found = {key for result in results for key in keys_of(as_plain_data(result))}
    assert found == set(KEYS)
    assert set(files["result"]) == set(KEYS)
    assert all(says_something(words) for words in files["result"].values())


def test_every_key_of_a_packages_manifest_and_every_file(
    reader: Reader,  # noqa: F811
    full: AClass,  # noqa: F811
    files: Described,
) -> None:
    package = taken(reader, "?part=tables&part=documents&part=workbook&part=reports")
    manifest = set(keys_of(json.loads(package.read("manifest.json"))))
    assert manifest == set(MANIFEST_KEYS)
    assert {re.sub(r"(?<=/)[^.]+", "…", name) for name in package.namelist()} == set(PACKAGE_FILES)
    for name in (*MANIFEST_KEYS, *PACKAGE_FILES):
        assert says_something(files["package"][name]), name


def test_every_key_of_what_is_kept_about_a_person(reader: Reader, full: AClass, files: Described) -> None:  # noqa: F811
    kept = reader.get(f"/department/people/{full.teacher.teacher_id}/kept.json").get_json()
    assert set(kept) <= set(files["person"])
    assert all(says_something(words) for words in files["person"].values())


def test_what_is_declared_in_english_alone_is_in_the_catalogues() -> None:
    said = sentences()
    spoken = [
        *(text for one in commands_in_words(commands) for text in one.about),
        *(option.about for one in commands_in_words(commands) for option in one.options),
        *(str(key.what) for part in document_parts() for key in part.keys),
    ]
    assert [text for text in spoken if text not in said] == []


def test_a_setting_is_told_with_all_that_it_may_be() -> None:
    for setting, told in zip(SETTINGS, settings_in_words(), strict=True):
        may_be = str(told.range or "")
        assert may_be.startswith("A whole number from ") is (setting.least is not None), setting.name
        if setting.least is not None:
            assert re.findall(r"[0-9]+", may_be) == [str(setting.least), str(setting.most)], setting.name
        else:
            assert [*filter(None, may_be.removeprefix("One of: ").rstrip(".").split(", "))] == [
                *setting.words
            ]


def test_a_key_of_the_document_has_its_unit_and_leads_to_the_part_that_it_holds() -> None:
    parts = {part.name: {key.path: key for key in part.keys} for part in document_parts()}
    held = {key.holds for keys in parts.values() for key in keys.values()}
    assert held - {""} == set(parts) - {""}, "each part is held somewhere, and nothing else is"
    told = {path: (key.unit, key.holds) for path, key in parts[""].items()}
    wanted = {
        "format": ("", ""),
        "practical.accepted_J_per_kg_K": ("J/(kg·K)", ""),
        "pieces[].step_kg": ("kg", ""),
        "bench_kits[].pieces": ("", "pieces"),
        "benches[]": ("", "bench"),
    }
    assert {path: told[path] for path in wanted} == wanted
