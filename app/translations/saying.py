"""The languages that we speak, and a message said in one of them: for pages and for the command line."""

from __future__ import annotations

import io
import re
from collections.abc import Mapping
from functools import lru_cache

from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po
from babel.numbers import get_decimal_symbol
from babel.support import NullTranslations, Translations

from app.resources import translations_dir
from app.words import Message

LANGUAGES = {"en": "English", "es": "Español", "fr": "Français", "de": "Deutsch", "ar": "العربية"}
"""Each code with the language's own name. English is the code's own text; the others have a folder."""

RIGHT_TO_LEFT = {"ar"}

_FIGURE = re.compile(r"[-−+]?[0-9]+\.[0-9]+(?: [^\s.]+)?")
_LOCALE_NAMES = ("LC_ALL", "LC_MESSAGES", "LANG")


@lru_cache(maxsize=len(LANGUAGES))
def catalogue(code: str) -> NullTranslations:
    """One language's catalogue, read from its .po text: no compiled file can be out of step with it."""
    path = translations_dir() / code / "LC_MESSAGES" / "messages.po"
    if not path.exists():
        return NullTranslations()
    with path.open("rb") as file:
        messages = read_po(file, locale=code)
    compiled = io.BytesIO()
    write_mo(compiled, messages)
    compiled.seek(0)
    return Translations(fp=compiled)


def decimal_mark(code: str) -> str:
    """A language's decimal mark. Digits stay European ones, as on the instruments."""
    return "," if get_decimal_symbol(code) == "," else "."


def said_in(code: str, message: Message) -> str:
    """A message in a language, its numbers with the language's decimal mark."""
    # What a person typed stays as typed; everything else is written the reader's way.
    values = {
        name: str(value) if name == "typed" else _marked(code, value)
        for name, value in message.values.items()
    }
    template: str = catalogue(code).gettext(message.template)
    return template % values


def _marked(code: str, value: object) -> str:
    """A rounded figure, with or without its unit, in the decimal mark; other text unchanged."""
    if isinstance(value, Message):
        return said_in(code, value)
    text = str(value)
    return text.replace(".", decimal_mark(code), 1) if _FIGURE.fullmatch(text) else text


def language_of(environment: Mapping[str, str]) -> str:
    """The language that a terminal's locale asks for (POSIX.1-2017, XBD 8.2), English where we lack it."""
    wanted = next((value for name in _LOCALE_NAMES if (value := environment.get(name))), "")
    code = re.split(r"[_.@-]", wanted, maxsplit=1)[0].lower()
    return code if code in LANGUAGES else "en"
