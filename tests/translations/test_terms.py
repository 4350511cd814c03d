"""One term, one word: the trade's own in each language, the same in every sentence.

The words, their forms and where they are from stand in app/translations/glossary.toml.
"""

from __future__ import annotations

import re
import tomllib
from functools import cache
from typing import Any

import pytest

from app.resources import translations_dir
from app.translations.extraction import LANGUAGES, said_ways, sentences
from tests.translations.test_catalogues import catalogue

GLOSSARY: dict[str, dict[str, Any]] = tomllib.loads(
    (translations_dir() / "glossary.toml").read_text(encoding="utf-8")
)
TYPED = re.compile("<code>.*?</code>")
VOWEL_SIGNS = re.compile("[\u064b-\u0652]")

SAID_OTHERWISE = (
    ("All benches used about the same mass", "heat sink"),  # ar: what the tools took
    ("With masses of", "heat sink"),  # likewise
    ("technique: how fully", "shot"),  # fr: how fully it falls
    ("Twice as many inversions:", "shot"),  # fr and de: twice the warming
    ("The shot was on average", "room temperature"),  # fr and ar: colder than the room
    ("With masses as near", "spread"),  # the verb
    ("There are no records in", "run"),  # likewise
    ("These records are of an earlier version", "run"),  # likewise
    ("The records in %(file)s belong", "run"),  # likewise
    ("It is loud:", "bench"),  # all but es: tip in turns
    ("Until a day: your colleague runs it", "run"),  # the verb
    ("A head sees and runs", "run"),  # the verb
    ("Way to run the lesson", "run"),  # the verb
    ("Choose a colleague from the list, who can sign in", "run"),  # the verb
    ("You run this practical in a colleague", "run"),  # the verb
    ("This link has run out", "run"),  # the verb
    ("Head of department: runs", "run"),  # the verb
    ("an image of several stages", "run"),  # the verb
    ("Plans and runs the own", "run"),  # the verb
    ("A lesson is handed to a colleague", "run"),  # the verb
    ("Ask whoever runs", "run"),  # the verb
    ("To see that nothing was changed", "run"),  # the verb
    ("With SQLite, ", "run"),  # the verb
    ("With SQLite that command", "run"),  # the verb
    ("To go back, stop", "run"),  # the verb
    ("The file is looked at first", "run"),  # the verb
    ("To another computer:", "run"),  # the verb
    ("The only head's:", "run"),  # the verb
    ("In the middle of a lesson any head", "run"),  # the verb
    ("Sweep it up at once", "spread"),  # the verb
    ("Steel is cheap and clean", "plan"),  # the verb, fr and de
)
"""Sentences whose translations do without a term's word, by their beginnings."""

NEVER = {
    "de": (
        r"(?<!pezifische )(?<!pezifische[nr] )Wärmekapazität",
        r"[aA]nerkannte",
        r"Wiederholbarkeit|Vergleichbarkeit",
        r"Schritt des Thermometers",
        r"Wanne",
        r"entkommt",
        r"ruhende Schrot",
        r"Länge des Falls",
        r"kippen",
        r"liegt weit von",
        r"[a-z] eine[r]? Stunde\b",
        r"\bSie sind\b|\bIhnen\b| Sie sich\b",
    ),
    "fr": (
        r"capacités? thermique(?!s? massique)",
        r"[pP]as du thermomètre",
        r"écart type|incertitude type",
        r"[lL]ongueur de la chute",
        r"grenaille au repos",
        r"\bdébut\b",
        r"relevés",
        r"\bfinit",
        r"Rejoignez",
        r"Reten(ir|u)",
        r"recueille",
        r"décalée",
        r"\b(tu|ton|tes)\b",
    ),
    "es": (
        r"capacidad(es)? calorífica(?!s? específica)",
        r"[pP]aso del termómetro",
        r"[lL]ongitud de la caída",
        r"perdigones en reposo",
        r"informado",
        r"está recogiendo",
        r"Tened una bandeja",
        r"persona adecuada",
        r"\b([tT]us?|ti|Escribe|Revisa|Comprueba|Lee|Mide|Mira|Usa|Vuelve|Toca|Pide)\b",
        r"\b(Compara|Recarga|Inténtalo|Únete|querías|Leíste|Inicia|Selecciona|agrupes|Detén)\b",
    ),
    "ar": (
        r"(?<!درجة )حرارة (ال)?أدوات",
        r"الميزان الحراري",
        r"\bرمي\b|ارمو|ترمون",
        r"(?<!ثقة )95 %%(?= من)",
        "عدم اليقين",
    ),
}
"""Words that mislead, a second word for a term that has one, or a second form of address."""


@cache
def translated(language: str) -> list[tuple[str, str]]:
    """Each sentence and what is said for it, without what is typed as it stands: commands, file names."""
    return [
        (TYPED.sub("", message.id if isinstance(message.id, str) else message.id[1]), TYPED.sub("", words))
        for message in catalogue(language)
        if message.id
        for words in said_ways(message)
        if words
    ]


def named(term: str) -> re.Pattern[str]:
    """Where an English sentence names the term, but not in the name of a place such as %(run)s."""
    ways = "|".join(map(re.escape, GLOSSARY[term].get("named", [term, term + "s"])))
    return re.compile(rf"(?<![\w({{])(?:{ways})(?![\w)}}])", re.IGNORECASE)


def said_in(term: str, language: str) -> re.Pattern[str]:
    """A form of the term's word: at the start of a word, in Arabic anywhere."""
    forms = "|".join(map(re.escape, GLOSSARY[term][language]))
    return re.compile(forms if language == "ar" else rf"\b(?:{forms})", re.IGNORECASE)


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_term_is_one_word_wherever_it_is_named(language: str) -> None:
    pairs = translated(language)
    wrong = [
        (term, english, words)
        for term in GLOSSARY
        for name, word in [(named(term), said_in(term, language))]
        for english, words in pairs
        if name.search(english)
        and not word.search(VOWEL_SIGNS.sub("", words))
        and not any(english.startswith(start) and term == of for start, of in SAID_OTHERWISE)
    ]
    assert wrong == [], "The words are in app/translations/glossary.toml."


def test_every_term_of_the_glossary_is_said_and_has_its_words_and_a_source() -> None:
    texts = list(sentences())
    for term, entry in GLOSSARY.items():
        assert any(map(named(term).search, texts)), term
        assert entry["source"], term
        assert all(entry[language] for language in LANGUAGES), term
    assert [start for start, _ in SAID_OTHERWISE if not any(text.startswith(start) for text in texts)] == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_translation_has_a_word_that_misleads_or_a_second_form_of_address(language: str) -> None:
    wrong = re.compile("|".join(NEVER[language]))
    assert [words for _english, words in translated(language) if wrong.search(words)] == []


def test_the_heat_capacity_of_a_metal_is_called_specific() -> None:
    bare = re.compile(r"(?<!specific )heat capacit", re.IGNORECASE)
    assert [text for text in sentences() if bare.search(text)] == []


@pytest.mark.parametrize(
    ("english", "language", "needed"),
    [
        ("Keep a tray under the tube, and check", "de", "Stellt eine Schale unter das Rohr"),
        ("Keep a tray under the tube, and check", "es", "Poned una bandeja bajo el tubo"),
        ("The shot was on average", "es", "por debajo de la temperatura de la sala en torno a la mitad"),
    ],
)
def test_what_hands_and_temperatures_depend_on_is_said_right(
    english: str, language: str, needed: str
) -> None:
    said = [words for text, words in translated(language) if text.startswith(english)]
    assert len(said) == 1
    assert needed in said[0]
