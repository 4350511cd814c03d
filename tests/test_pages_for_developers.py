"""DEVELOPERS.md and the README of each folder: what they name is there, and nothing stands twice in them.

A path in backticks is meant from the page's own folder, from the top, from `app`, or from the shelf that its
row of a map is about. It may be a pattern (`test_*.py`) or end in a name (`board/pages.picture`). Modules
with dots are looked up too, also in commands.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
PAGES = [
    ROOT / "README.md",
    ROOT / "DEVELOPERS.md",
    *sorted(page for folder in ("app", "tests") for page in (ROOT / folder).rglob("*.md")),
]
NAMES = [page.relative_to(ROOT).as_posix() for page in PAGES]
FENCED = re.compile(r"^```.*?^```$", re.MULTILINE | re.DOTALL)
IN_BACKTICKS = re.compile(r"`([^`\n]+)`")
PATH = re.compile(r"(?!/)[\w.*-]*(/[\w.*-]*)+|[\w*-]+\.(py|md|html|js|css|toml|po)")
MODULE = re.compile(r"(?<![\w/.])(?:app|tests)(?:\.\w+)+")
ROW = re.compile(r"\| `([^`]+/)` \|")
LINK = re.compile(r"\]\(([^)#:]+)\)|src=\"([^\"]+)\"")
WIDEST = 118
LONG_LINE, MANY_WORDS = 30, 10
"""Our own choice: such a line (in signs) and so many words do not come twice by chance."""


def paths_in(text: str) -> Iterator[tuple[str, str]]:
    """The paths that a page names in backticks, each with the shelf of its row in a map (else ".")."""
    for line in FENCED.sub("", text).splitlines():
        row = ROW.match(line)
        for span in IN_BACKTICKS.findall(line):
            if PATH.fullmatch(span):
                yield span, row[1] if row else "."


def modules_in(text: str) -> set[str]:
    """The modules, and the names in them, that a page names in backticks or runs in a command."""
    spans = [*IN_BACKTICKS.findall(FENCED.sub("", text)), *FENCED.findall(text)]
    return {name for span in spans for name in MODULE.findall(span)}


def is_there(path: str, page: Path, shelf: str) -> bool:
    """Whether a path is a file, a folder, a pattern of some or a name in a module, seen from its place."""
    places = [base / folder for base in (page.parent, ROOT, ROOT / "app") for folder in (shelf, ".")]
    if "*" in path:
        return any(any(place.glob(path)) for place in places)
    module, _, name = path.rpartition(".")
    return any(
        (place / path).exists() or ("/" in path and has_name(place / module, name)) for place in places
    )


def has_name(module: Path, name: str) -> bool:
    """Whether a module is there and defines this name."""
    file = module.with_name(f"{module.name}.py")
    defined = re.compile(rf"^\s*(?:(?:def|class) {name}\b|{name}\b.*=)", re.MULTILINE)
    return file.is_file() and defined.search(file.read_text(encoding="utf-8")) is not None


def is_module(dotted: str) -> bool:
    """Whether a name with dots leads to a package or a module, or to a name in one of them."""
    parts, here = dotted.split("."), ROOT
    for place, part in enumerate(parts):
        if (here / part).is_dir():
            here = here / part
        elif (here / f"{part}.py").is_file():
            return all(has_name(here / part, name) for name in parts[place + 1 :])
        else:
            return place == len(parts) - 1 and has_name(here / "__init__", part)
    return True


def long_lines() -> Iterator[str]:
    """Every line of every page that is long enough to be a statement."""
    for page in PAGES:
        for line in page.read_text(encoding="utf-8").splitlines():
            if len(line.strip()) >= LONG_LINE and not set(line) <= set("|-: "):
                yield " ".join(line.split())


@pytest.mark.parametrize("name", NAMES)
def test_every_path_and_module_that_a_page_names_is_there(name: str) -> None:
    page = ROOT / name
    text = page.read_text(encoding="utf-8")
    gone = {path for path, shelf in paths_in(text) if not is_there(path, page, shelf)}
    gone |= {module for module in modules_in(text) if not is_module(module)}
    gone |= {
        link for pair in LINK.findall(text) if (link := "".join(pair)) and not (page.parent / link).exists()
    }
    assert gone == set()


def test_no_line_stands_twice() -> None:
    assert {line: times for line, times in Counter(long_lines()).items() if times > 1} == {}


@pytest.mark.parametrize("name", NAMES)
def test_no_sentence_stands_twice_in_a_page(name: str) -> None:
    lines = FENCED.sub("", (ROOT / name).read_text(encoding="utf-8")).splitlines()
    words = " ".join(line for line in lines if not line.startswith("|")).split()
    runs = Counter(" ".join(words[n : n + MANY_WORDS]) for n in range(len(words) - MANY_WORDS + 1))
    assert [run for run, times in runs.items() if times > 1] == []


@pytest.mark.parametrize("name", NAMES)
def test_a_map_has_one_line_for_each_place(name: str) -> None:
    places = Counter(re.findall(r"^\| (`[^`]+`) \|", (ROOT / name).read_text(encoding="utf-8"), re.MULTILINE))
    assert [place for place, times in places.items() if times > 1] == []


def test_the_map_has_a_line_for_every_shelf() -> None:
    mapped = set(ROW.findall((ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")))
    shelves = (init.parent.relative_to(ROOT / "app") for init in (ROOT / "app").rglob("__init__.py"))
    assert {f"{shelf.as_posix()}/" for shelf in shelves if shelf.name} - mapped == set()


@pytest.mark.parametrize("name", NAMES)
def test_the_lines_of_a_page_are_of_ordinary_width(name: str) -> None:
    text = FENCED.sub("", (ROOT / name).read_text(encoding="utf-8"))
    assert [line for line in text.splitlines() if len(line) > WIDEST and line[:1] not in "|["] == []


def test_every_readme_is_linked_from_the_page_for_developers() -> None:
    linked = {first for first, _ in LINK.findall((ROOT / "DEVELOPERS.md").read_text(encoding="utf-8"))}
    assert [name for name in NAMES if name not in linked and "/" in name] == []
