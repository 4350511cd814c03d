"""Sizes, spaces and colours come from one place."""

from __future__ import annotations

import re
import runpy
from collections.abc import Iterator
from pathlib import Path

import pytest

from app.look.stylesheet import stylesheets
from app.web.assets import JOINED

ROOT = Path(__file__).resolve().parents[2]
CSS = ROOT / "static" / "css"
HANDMADE = sorted(path for path in CSS.glob("*.css") if path.name not in stylesheets())
BUNDLES = {name: parts for name, parts in JOINED.items() if name.endswith(".css")}
BESIDE_THE_DESK = ("css/cards.css", "css/report.css")

COLOUR = re.compile(
    r"#[0-9a-f]{3,8}\b|\b(?:rgb|hsl|oklch|lab)a?\(|\b(?:white|black|gr[ae]y|red|blue|green)\b", re.I
)
LENGTH = re.compile(r"(?<![\w.-])-?\d*\.?\d+(?:px|r?em|ex|ch|pt|mm|cm|in|v[hw]|cq[hw]|%)")
SPACE = re.compile(r"^(?:margin|padding|gap|row-gap|column-gap)(?:-[a-z-]+)?$")


def declarations(text: str) -> Iterator[tuple[str, str]]:
    """Every property and its value, but those of a custom property of its own."""
    bare = re.sub(r"/\*.*?\*/", "", text, flags=re.DOTALL)
    for match in re.finditer(r"(?<=[{;])\s*(-?[a-z-]+)\s*:\s*([^;{}]+)", bare):
        if not match[1].startswith("--"):
            yield match[1], match[2].strip()


def bare_numbers(text: str) -> list[str]:
    """Declarations that write a colour, a size of type or a space themselves; a hair of 2 px is none."""
    found = []
    for name, value in declarations(text):
        without = re.sub(r"var\(--[a-z0-9-]+\)", "", value)
        lengths = [one for one in LENGTH.findall(without) if one.lstrip("-") not in ("1px", "2px")]
        if COLOUR.search(without) or (lengths and (name in ("font", "font-size") or SPACE.match(name))):
            found.append(f"{name}: {value}")
    return found


@pytest.mark.parametrize("name", stylesheets())
def test_the_stylesheets_are_what_the_tokens_write(name: str) -> None:
    written = (CSS / name).read_text(encoding="utf-8")
    assert written == stylesheets()[name], "run: python -m app.look"


def test_the_command_writes_each_stylesheet(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "css").mkdir()
    monkeypatch.setattr("app.resources.static_dir", lambda: tmp_path)
    runpy.run_module("app.look", run_name="__main__")
    written = {path.name: path.read_text(encoding="utf-8") for path in (tmp_path / "css").iterdir()}
    assert written == stylesheets()


@pytest.mark.parametrize("path", HANDMADE, ids=lambda path: path.name)
def test_no_stylesheet_writes_a_colour_a_size_or_a_space_itself(path: Path) -> None:
    assert bare_numbers(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    "rule",
    [
        "p { color: #123456; }",
        "p { border: 1px solid red; }",
        "p { margin: 0 .4rem; }",
        "p { gap: 5px var(--space-4); }",
        "p { font: 600 1.1rem/1.2 var(--face-text); }",
        "@media print { p { font-size: 8pt; } }",
    ],
)
def test_a_number_of_its_own_is_found(rule: str) -> None:
    assert len(bare_numbers(rule)) == 1


@pytest.mark.parametrize(
    "rule",
    [
        "p { margin: 0 calc(-1 * var(--space-16)) -1px auto; width: 12rem; }",
        "p { color: var(--ink); background: transparent; font: 600 var(--size-text)/1.2 var(--face-text); }",
        "p { --measure: 84rem; white-space: nowrap; }",
    ],
)
def test_what_comes_from_the_tokens_is_left_in_peace(rule: str) -> None:
    assert bare_numbers(rule) == []


@pytest.mark.parametrize("bundle", BUNDLES)
def test_every_token_that_a_page_uses_is_declared_for_it(bundle: str) -> None:
    beside = BESIDE_THE_DESK if bundle == "css/for-desk.css" else ()
    text = "".join(
        (ROOT / "static" / part).read_text(encoding="utf-8") for part in (*BUNDLES[bundle], *beside)
    )
    used, declared = set(re.findall(r"var\((--[a-z0-9-]+)", text)), set(re.findall(r"(--[a-z0-9-]+):", text))
    assert used - declared == set()


def test_every_handmade_stylesheet_is_one_that_a_page_loads() -> None:
    loaded = {part for parts in BUNDLES.values() for part in parts} | set(BESIDE_THE_DESK)
    assert {f"css/{path.name}" for path in HANDMADE} <= loaded


@pytest.mark.parametrize(
    "path",
    sorted(path for room in ("figures", "exports", "web") for path in (ROOT / "app" / room).rglob("*.py")),
    ids=lambda path: f"{path.parent.name}/{path.name}",
)
def test_no_figure_no_pdf_and_no_page_writes_a_colour_or_a_size_itself(path: Path) -> None:
    written = re.findall(
        r"\"#[0-9a-fA-F]{3,8}\"|\bfontsize=\d[\d.]*[,)]|set_font\([^)]*,\s*\d[\d.]*\)|_PT\b[^=\n]*=\s*\d[\d.]*",
        path.read_text(encoding="utf-8"),
    )
    assert written == []
