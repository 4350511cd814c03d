"""`plumbfall analyse` in the language that is asked for, or the terminal's."""

from __future__ import annotations

import pytest

from app.translations.saying import LANGUAGES, catalogue, language_of
from tests.analysis.classes import perfect_runs
from tests.commands import ROOT, called
from tests.run_tables import write_run_table

TITLE = "Where its uncertainty comes from"


@pytest.mark.parametrize(
    ("arguments", "locale", "language"),
    [
        ((), {"LC_ALL": "de_DE.UTF-8"}, "de"),
        ((), {"LC_ALL": "", "LC_MESSAGES": "fr_CA", "LANG": "de_DE"}, "fr"),
        (("--language", "es"), {"LC_ALL": "de_DE.UTF-8"}, "es"),
        (("--language", "en"), {"LC_ALL": "ar"}, "en"),
    ],
)
def test_the_summary_is_in_the_language_asked_for_else_in_the_terminals(
    arguments: tuple[str, ...], locale: dict[str, str], language: str
) -> None:
    table = write_run_table(perfect_runs())
    done = called(ROOT, "analyse", "-", *arguments, typed=table, **locale)
    assert (done.returncode, done.stderr) == (0, "")
    titles = {code: catalogue(code).gettext(TITLE) for code in LANGUAGES}
    assert [code for code, title in titles.items() if title in done.stdout] == [language]
    assert ("127,4" if language != "en" else "127.4") in done.stdout


def test_a_table_that_cannot_be_read_is_refused_in_the_terminals_language() -> None:
    done = called(ROOT, "analyse", "-", typed="", LC_ALL="de_AT.UTF-8")
    assert done.returncode == 2
    assert done.stderr.startswith("plumbfall: Die Tabelle ist leer: ")


@pytest.mark.parametrize(
    ("environment", "language"),
    [
        ({}, "en"),
        ({"LANG": "C.UTF-8"}, "en"),
        ({"LANG": "nl_NL.UTF-8"}, "en"),
        ({"LANG": "es"}, "es"),
        ({"LANG": "es", "LC_ALL": "C"}, "en"),
        ({"LANG": "ar_EG@test", "LC_ALL": ""}, "ar"),
    ],
)
def test_a_locales_first_name_that_is_set_decides(environment: dict[str, str], language: str) -> None:
    # POSIX.1-2017, XBD 8.2: LC_ALL before LC_MESSAGES before LANG; an empty one counts as not set.
    assert language_of(environment) == language
