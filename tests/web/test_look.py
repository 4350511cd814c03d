"""The page of all parts: there for developers, and only while debugging."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from flask import Flask

from app import create_app
from app.look.stylesheet import SURFACES
from app.records.migrate import open_database
from app.resources import static_dir
from app.settings import Settings


def made(folder: Path) -> Flask:
    settings = Settings.from_environment({"PLUMBFALL_DATA": str(folder)})
    open_database(settings.database_url).close()
    return create_app(settings)


def test_nobody_finds_the_page_on_a_server(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("FLASK_DEBUG", raising=False)
    assert made(tmp_path).test_client().get("/look").status_code == 404


def test_every_part_is_on_every_surface_in_both_directions(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("FLASK_DEBUG", "1")
    page = made(tmp_path).test_client().get("/look").get_data(as_text=True)
    places = 2 * len(SURFACES)
    assert page.count('dir="ltr" aria') == page.count('dir="rtl" aria') == len(SURFACES)
    for part in ('class="main"', "notice ask", "<table>", 'class="tabs', "figure-frame"):
        assert page.count(part) == places, part
    assert page.count('class="boxed"') == page.count('class="step-mark') == 2 * places
    for state in ("mark hollow", "mark ringed", "mark away"):
        assert page.count(f'class="{state}"') == places, state


def test_the_page_gives_each_surface_its_own_colours() -> None:
    text = (static_dir() / "css" / "tokens-look.css").read_text(encoding="utf-8")
    papers = re.findall(r"\.surface\.([a-z-]+) \{[^}]*--paper: (#[0-9a-f]{6})", text)
    assert dict(papers) == {name: inks.paper for name, inks in SURFACES.items()}
