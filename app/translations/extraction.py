"""Every sentence that a page can say, found in the code, the templates, the commands and the schemas.

`python -m app.translations` brings the catalogues up to date: new sentences come in empty, translations of
sentences that are gone are dropped, everything else stays as it is. A sentence with a count (`ngettext`) has
as many translations as the language's plural has forms.
"""

from __future__ import annotations

import ast
import json
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

from babel import Locale
from babel.messages.catalog import Catalog, Message
from babel.messages.extract import extract_from_file
from babel.messages.pofile import read_po, write_po

from app.resources import static_dir, templates_dir, translations_dir
from app.translations.saying import LANGUAGES as SPOKEN
from app.words import paragraphs

KEYWORDS = {"_": None, "gettext": None, "N_": None, "ngettext": (1, 2)}
LANGUAGES = tuple(code for code in SPOKEN if code != "en")
UNCHANGING = datetime(2026, 1, 1, tzinfo=UTC)
CODE = Path(__file__).resolve().parent.parent


@dataclass
class Sentence:
    """One sentence and where it stands."""

    text: str
    plural: str | None = None
    places: list[str] = field(default_factory=list)

    @property
    def forms(self) -> str | tuple[str, str]:
        """The text, with the one for more than one where a count decides."""
        return (self.text, self.plural) if self.plural else self.text


def sentences() -> dict[str, Sentence]:
    """Every marked sentence, in the order of the files."""
    found: dict[str, Sentence] = {}
    for method, path, place in _files():
        for _line, message, _comments, _context in extract_from_file(method, path, keywords=KEYWORDS):
            text, plural = message if isinstance(message, tuple) else (message, None)
            if text:
                found.setdefault(text, Sentence(text, plural)).places.append(place)
    for text, place in (*_of_commands(), *_of_schemas()):
        found.setdefault(text, Sentence(text)).places.append(place)
    return found


def catalogue_path(language: str) -> Path:
    """The file of one language."""
    return translations_dir() / language / "LC_MESSAGES" / "messages.po"


def bring_up_to_date() -> None:
    """Write every language's file anew, keeping the translations of what is still said."""
    wanted = sentences()
    for language in LANGUAGES:
        path = catalogue_path(language)
        known = _read(path, language)
        fresh = _empty(language)
        for text in sorted(wanted, key=lambda text: wanted[text].places[0]):
            sentence, earlier = wanted[text], known.get(text)
            if earlier and earlier.id != sentence.forms:
                earlier = None  # it takes a count now, or no longer
            places = [(place, 0) for place in dict.fromkeys(sentence.places)]
            said = [_signs_kept(words, language) for words in said_ways(earlier)] if earlier else [""]
            fresh.add(sentence.forms, said if sentence.plural else said[0], locations=places)
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("wb") as file:
            write_po(file, fresh, width=0, include_lineno=False, omit_header=False)


def said_ways(message: Message) -> tuple[str, ...]:
    """What a catalogue says for a sentence: one text, or one for each form of the language's plural."""
    said = message.string or ""
    return (said,) if isinstance(said, str) else tuple(said)


def _signs_kept(words: str, language: str) -> str:
    """French words with a space before a sign that the sign cannot leave at the end of a line."""
    return re.sub(r" (?=[:;?!»])|(?<=«) ", "\u00a0", words) if language == "fr" else words


def _empty(language: str) -> Catalog:
    """A catalogue whose header says nothing that changes from one run to the next."""
    return Catalog(
        locale=language,
        project="Plumbfall",
        version="1",
        header_comment=f"# Plumbfall in {Locale.parse(language).english_name}. It wants a native reader.",
        msgid_bugs_address="see README.md",
        last_translator="Plumbfall",
        language_team="Plumbfall",
        creation_date=UNCHANGING,
        revision_date=UNCHANGING,
        fuzzy=False,
    )


def _read(path: Path, language: str) -> Catalog:
    if not path.exists():
        return Catalog(locale=language)
    with path.open("rb") as file:
        return read_po(file, locale=language)


def _files() -> Iterator[tuple[str, Path, str]]:
    for path in sorted(CODE.rglob("*.py")):
        if path.is_relative_to(translations_dir()):
            continue
        yield "python", path, f"app/{path.relative_to(CODE).as_posix()}"
    for path in sorted(templates_dir().rglob("*.html")):
        yield "jinja2.ext:babel_extract", path, f"templates/{path.relative_to(templates_dir()).as_posix()}"


def _of_commands() -> Iterator[tuple[str, str]]:
    """What the command line says of its commands and options: docstrings and `help`, a paragraph each. They
    stay English there; the guide says them in the reader's language."""
    for path in sorted(CODE.glob("cli*.py")):
        place = f"app/{path.name}"
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.FunctionDef) and any(map(_makes_a_command, node.decorator_list)):
                yield from ((text, place) for text in paragraphs(ast.get_docstring(node) or ""))
            elif (
                isinstance(node, ast.keyword) and node.arg == "help" and isinstance(node.value, ast.Constant)
            ):
                yield from ((text, place) for text in paragraphs(str(node.value.value)))


def _makes_a_command(decorator: ast.expr) -> bool:
    call = decorator.func if isinstance(decorator, ast.Call) else decorator
    return isinstance(call, ast.Attribute) and call.attr == "command"


def _of_schemas() -> Iterator[tuple[str, str]]:
    """What the published schemas say of their keys."""
    for path in sorted((static_dir() / "formats").glob("*.schema.json")):
        place = f"static/formats/{path.name}"
        yield from ((text, place) for text in _descriptions(json.loads(path.read_text(encoding="utf-8"))))


def _descriptions(part: object) -> Iterator[str]:
    if isinstance(part, list):
        for one in part:
            yield from _descriptions(one)
    elif isinstance(part, dict):
        for name, value in part.items():
            if name == "description" and isinstance(value, str):
                yield value
            else:
                yield from _descriptions(value)
