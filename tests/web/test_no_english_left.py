"""A reader of another language meets no English but names, on any page that a person opens."""

from __future__ import annotations

import html
import re

import pytest

from app.translations.extraction import said_ways, sentences
from app.web.guide.contents import BY_SLUG
from tests.translations.test_catalogues import catalogue
from tests.web.desk.conftest import a_class, application, nobody, planned, teacher  # noqa: F401 - fixtures
from tests.web.guide.test_where import FILES, NO_PAGE
from tests.web.test_who_may_what import School, _browser, school  # noqa: F401 - the school
from tests.web.who_may import MAY, For

NOT_SAID = re.compile(
    r"<(script|style|code|pre|kbd|samp|textarea|option|bdi|math)\b.*?</\1>"
    r"|<(\w+)[^>]*\blang=\"en\"[^>]*>.*?</\2>|<!--.*?-->",
    re.DOTALL,
)
"""What is typed, counted or drawn as it stands, and the English name of English."""
ENGLISH = re.compile(r"\b(?:the|and|with|from|this|which|of|your|is|are)\b", re.IGNORECASE)
"""Words that none of the other languages has, except in names."""
PEOPLE = {"Technician", "technician"}
"""The school's technician is called so, and signs in so."""
NAMES = (
    "CRC Handbook",
    "Metadata Vocabulary",
    "Unified Code",
    "CSV on the Web",
    "Bureau",
)
"""Titles of works and standards, which stay as they are."""


def left_in_english(page: str, translated: set[str]) -> list[str]:
    """The texts of a page that are sentences of ours without a translation, or look English."""
    texts = (html.unescape(text).strip() for text in re.split(r"<[^>]*>", NOT_SAID.sub("<>", page)))
    return [
        text
        for text in texts
        if text in translated - PEOPLE
        or (len(ENGLISH.findall(text)) > 1 and not any(name in text for name in NAMES))
    ]


def sentences_that_differ(language: str) -> set[str]:
    """English sentences without places that are said otherwise in this language."""
    known = catalogue(language)
    return {
        text
        for text in sentences()
        if "%(" not in text and (entry := known.get(text)) and text not in said_ways(entry)
    }


@pytest.mark.parametrize(
    "language",
    ["de", *(pytest.param(other, marks=pytest.mark.long) for other in ("es", "fr", "ar"))],
)
def test_no_page_has_english_left(school: School, language: str) -> None:  # noqa: F811
    translated, looked_at, left = sentences_that_differ(language), set[str](), []
    for who in ("nobody", "phone", "owner", "head"):
        browser = _browser(school, who)
        browser.client.set_cookie("plumbfall-language", language)
        for route in school.routes():
            may = route.audience == For.ANYONE or who in MAY[route.audience]
            if route.method != "GET" or not may or route.endpoint in {*NO_PAGE, *FILES, *looked_at}:
                continue
            answer = browser.get(route.address)
            if answer.status_code == 200 and answer.mimetype == "text/html":
                looked_at.add(route.endpoint)
                left += [(route.address, text) for text in left_in_english(answer.text, translated)]
    reader = _browser(school, "nobody")
    reader.client.set_cookie("plumbfall-language", language)
    for address in ("/guide/", *(f"/guide/{slug}" for slug in BY_SLUG)):
        left += [(address, text) for text in left_in_english(reader.text(address), translated)]
    assert left == []
    assert len(looked_at) > 45, looked_at
