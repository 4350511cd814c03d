"""One term, one word: the trade's own in each language, the same in every sentence.

Names of accuracy are ISO 5725's and names of uncertainty JCGM 200's, in each language that they exist in;
the other words are common practice, no source.
"""

from __future__ import annotations

import re

import pytest

from app.translations.extraction import LANGUAGES, sentences
from tests.translations.test_catalogues import catalogue

WORDS = {
    "specific heat capacity": {
        "de": "spezifische(n)? Wärmekapazität(en)?",
        "fr": "capacités? thermiques? massiques?",
        "es": "capacidad(es)? calorífica(s)? específica(s)?",
        "ar": "(ال|لل)?(سعة|سعتكم|سعاتها) (ال)?حرارية (ال)?نوعية",
    },
    "heat sink / J/K": {
        "de": "Wärmesenke",
        "fr": "puits de chaleur",
        "es": "sumidero de calor",
        "ar": "السعة الحرارية للأدوات",
    },
    "Heat ledger": {
        "de": "Wärmebilanz",
        "fr": "Bilan de chaleur",
        "es": "Balance de calor",
        "ar": "الموازنة الحرارية",
    },
    "repeatability": {
        "de": "Wiederholpräzision",
        "fr": "répétabilité",
        "es": "repetibilidad",
        "ar": "تكراري",
    },
    "reproducibility": {
        "de": "Vergleichpräzision",
        "fr": "reproductibilité",
        "es": "reproducibilidad",
        "ar": "قابلية الاستنساخ",
    },
    "standard uncertainty": {
        "de": "Standardunsicherheit",
        "fr": "incertitude-type",
        "es": "incertidumbre típica",
        "ar": "الارتياب المعياري",
    },
    "standard deviation": {
        "de": "Standardabweichung",
        "fr": "écart-type",
        "es": "desviación típica",
        "ar": "الانحراف المعياري",
    },
    "thermometer step": {
        "de": "Auflösung des Thermometers",
        "fr": "résolution du thermomètre",
        "es": "resolución del termómetro",
        "ar": "خطوة ميزان الحرارة",
    },
    "accepted value": {
        "de": "Literaturwert",
        "fr": "valeur admise",
        "es": "valor aceptado",
        "ar": "القيمة المقبولة",
    },
    "length of the fall": {
        "de": "Fallstrecke",
        "fr": "hauteur de chute",
        "es": "altura de caída",
        "ar": "مسافة السقوط",
    },
    "settled shot": {
        "de": "liegende[sn]? Schrot",
        "fr": "grenaille tassée",
        "es": "perdigones asentados",
        "ar": "الكريات المستقرة",
    },
    "End allowance": {
        "de": "Endabzug",
        "fr": "Déduction des extrémités",
        "es": "Descuento de los extremos",
        "ar": "خصم (ال)?طرفين",
    },
}
"""Wherever the English names the term, the translation has this word for it."""

NEVER = {
    "de": (
        r"(?<!spezifische )(?<!spezifischen )Wärmekapazität",
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
        r"finit",
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
        r"\b([tT]us?|ti|[eE]scribe|[rR]evisa|[cC]omprueba|Lee|[mM]ide|[mM]ira|[uU]sa|Vuelve|[tT]oca|Pide)\b",
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


def translated(language: str) -> list[tuple[str, str]]:
    return [(str(m.id), str(m.string)) for m in catalogue(language) if m.id and m.string]


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("term", WORDS)
def test_a_term_is_one_word_wherever_it_is_named(term: str, language: str) -> None:
    named = re.compile(re.escape(term), re.IGNORECASE)
    word = re.compile(WORDS[term][language], re.IGNORECASE)
    found = [(english, words) for english, words in translated(language) if named.search(english)]
    assert found, "The table names a term that no sentence has."
    assert [pair for pair in found if not word.search(pair[1])] == []


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
