"""Every sentence is translated, fits its places, and is marked in the first place."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from babel import Locale
from babel.messages.catalog import Catalog, Message
from babel.messages.pofile import read_po

from app.resources import templates_dir
from app.translations.extraction import (
    LANGUAGES,
    Sentence,
    catalogue_path,
    said_ways,
    sentences,
)
from app.web import languages

PLACES = re.compile(r"%\(\w+\)[sd]|\{\w+\}|%%")
COUNT = "%(num)d"
WORDS = re.compile(r"[^\W\d_]{2,}")
NEVER_TRANSLATED = {
    "Linux",
    "macOS",
    "Windows",
    "Plumbfall",
    "kg",
    "m³",
    "cm",
    "mm",
    "in",
    "min",
    "QR",
    "lightbox",
    "warning",
    "ln",
}

COUNTED = re.compile(r"%\(\w+\)s (?:more )?(?:runs|benches|inversions|phones|practicals|fields)\b")
NEVER_ONE = (
    "With fewer than",  # a fixed number
    "With %(benches)s benches the interval",  # three or four
    "Together,",  # two or more; one has a sentence of its own
    "%(more)s more runs",  # likewise
    "Of your %(energy)s J of fall energy (the mean",  # likewise
    "Holds %(count)s runs",  # likewise
    "from %(count)s practicals",  # pooled: three or more
    "Tube, caps and thermometer. From %(count)s practicals",  # likewise
    "heat sink %(value)s J/K, from %(count)s practicals",  # likewise
    "%(reading)s inversions are not possible",  # none, a part of one, or thousands
    "%(reading)s inversions cannot be done",  # likewise
    "%(count)s inversions cannot be done",  # likewise
    "%(typed)s inversions are more",  # thousands
    "This table has more than",  # a fixed number
    "Perhaps only every other turn",  # compared with a whole class's count
    "Perhaps each turn",  # likewise
    "A count of %(reading)s is far",  # likewise
    "A typical run warmed by",  # more than was made
    "%(read)s is twice the planned",  # of a number that can be halved or doubled
    "%(read)s is half of the planned",  # likewise
)


@pytest.fixture(scope="module")
def said() -> dict[str, Sentence]:
    return sentences()


def is_translated(message: Message) -> bool:
    """Whether no form of it is missing."""
    return all(said_ways(message))


def catalogue(language: str) -> Catalog:
    with catalogue_path(language).open("rb") as file:
        return read_po(file, locale=language)


def test_the_languages_of_the_pages_have_catalogues() -> None:
    assert set(LANGUAGES) == set(languages.LANGUAGES) - {"en"}


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_sentence_is_left_in_english(language: str, said: dict[str, Sentence]) -> None:
    known = catalogue(language)
    left = [
        f"{sentence.places[0]}: {text}"
        for text, sentence in said.items()
        if not ((entry := known.get(text)) and is_translated(entry))
    ]
    assert left == [], "Run `python -m app.translations` and translate what is new."


@pytest.mark.parametrize("language", LANGUAGES)
def test_translations_have_the_places_of_their_sentences(language: str) -> None:
    wrong = [
        f"{message.id!r} → {words!r}"
        for message in catalogue(language)
        for number, words in enumerate(said_ways(message))
        if message.id and words and places_of(words) not in wanted_places(message, number)
    ]
    assert wrong == []


def places_of(text: str) -> list[str]:
    return sorted(PLACES.findall(text))


def wanted_places(message: Message, number: int) -> list[list[str]]:
    """The places that the translation needs; the forms for none, one and two may say the count in words."""
    english = message.id if isinstance(message.id, str) else message.id[1]
    wanted = places_of(english)
    uncounted = [place for place in wanted if place != COUNT]
    return [wanted, uncounted] if COUNT in wanted and number < 3 else [wanted]


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_sentence_with_a_count_has_every_form_of_the_plural(
    language: str, said: dict[str, Sentence]
) -> None:
    known = catalogue(language)
    counted = [entry for text, s in said.items() if s.plural and (entry := known.get(text))]
    assert counted
    assert {len(said_ways(entry)) for entry in counted} == {known.num_plurals}
    assert [entry.id for entry in counted if not is_translated(entry)] == []


@pytest.mark.parametrize(
    ("count", "spoken"), [(1, "محاولة واحدة"), (2, "محاولتان"), (5, "5 محاولات"), (11, "11 محاولة")]
)
def test_arabic_counts_one_two_few_and_many_runs(count: int, spoken: str) -> None:
    # The forms of CLDR's plural rules for Arabic.
    words = languages.catalogue("ar").ngettext("%(num)d run", "%(num)d runs", count)
    assert words % {"num": count} == spoken


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_catalogue_holds_nothing_that_is_no_longer_said(language: str, said: dict[str, Sentence]) -> None:
    listed = {message.id for message in catalogue(language) if message.id}
    assert listed - {sentence.forms for sentence in said.values()} == set(), (
        "Run `python -m app.translations`."
    )


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_pages_read_the_catalogue_as_it_is(language: str) -> None:
    first = next(message for message in catalogue(language) if message.id and message.string)
    assert languages.catalogue(language).gettext(str(first.id)) == first.string


def test_no_french_sign_begins_a_line() -> None:
    loose = re.compile(r" [:;?!»]|« ")
    assert [m.string for m in catalogue("fr") if m.id and any(map(loose.search, said_ways(m)))] == [], (
        "Run `python -m app.translations`."
    )


def test_a_drawn_percent_keeps_its_sign_before_it_in_arabic() -> None:
    """A figure's text has no isolates around it: marks from left to right (UAX #9) stand in the sentence."""
    words = languages.catalogue("ar").gettext("%(low)s %% to %(high)s %%")
    assert words % {"low": "+25.2", "high": "+45.0"} == ("من \u200e+25.2 %\u200e إلى \u200e+45.0 %\u200e")


@pytest.mark.parametrize("folder", ["bench", "board", "department", "desk", "guide", "shared"])
def test_every_word_in_a_template_is_marked_for_translation(folder: str) -> None:
    for path in sorted((templates_dir() / folder).rglob("*.html")):
        bare = WORDS.findall(words_outside_marks(path))
        assert [word for word in bare if word not in NEVER_TRANSLATED] == [], path.name


def words_outside_marks(path: Path) -> str:
    """What a template says by itself: no expressions, comments, tags or attributes."""
    text = path.read_text(encoding="utf-8")
    text = re.sub(r"\{% block body_class %\}.*?\{% endblock %\}", " ", text)
    text = re.sub(r"\{#.*?#\}|\{%.*?%\}|\{\{.*?\}\}", " ", text, flags=re.DOTALL)
    text = re.sub(r"<code>.*?</code>", " ", text)  # commands and names of files
    text = re.sub(r"<[^>]*>|&\w+;", " ", text)
    return re.sub(r'[a-z-]+="[^"]*"', " ", text)  # attributes that a macro writes by themselves


def test_the_check_for_unmarked_words_sees_one(tmp_path: Path) -> None:
    page = tmp_path / "page.html"
    page.write_text('<p class="said">{{ _("Marked") }} unmarked</p>', encoding="utf-8")
    assert words_outside_marks(page).split() == ["unmarked"]


def test_no_sentence_can_say_1_benches(said: dict[str, Sentence]) -> None:
    """Languages have two to six forms of a plural: a count stands behind a colon, or can never be one."""
    wrong = [text for text in said if COUNTED.search(text) and not text.startswith(NEVER_ONE)]
    assert wrong == []


def test_languages_are_written_in_the_direction_that_the_locale_data_say() -> None:
    """Unicode's CLDR, as Babel carries it."""
    from_right = {code for code in languages.LANGUAGES if Locale.parse(code).text_direction == "rtl"}
    assert from_right == languages.RIGHT_TO_LEFT
