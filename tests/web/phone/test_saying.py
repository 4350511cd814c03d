"""Sentences in the reader's language, numbers with its decimal mark, typed text as it was typed."""

from __future__ import annotations

from decimal import Decimal

import pytest
from flask import Flask, g, render_template_string

from app.web.languages import say
from app.web.numbers import figures_whole, places_of
from app.words import Message

QUESTION = Message(
    "That would be %(read)s of shot: did you mean %(meant)s?", {"read": "3.4 kg", "meant": "340 g"}
)
TWO = "There is more than one number in “%(typed)s”. Type one number and its unit."


@pytest.mark.parametrize(
    ("language", "message", "said"),
    [
        ("de", QUESTION, "Das wären 3,4 kg Schrot: Meint ihr 340 g?"),
        ("en", QUESTION, "That would be 3.4 kg of shot: did you mean 340 g?"),
        (
            "fr",
            Message(TWO, {"typed": "3.4 5"}),
            "Il y a plus d'un nombre dans «\u00a03.4 5\u00a0». Tapez un nombre et son unité.",
        ),
        ("es", Message("%(number)s %(unit)s", {"number": "−2.5", "unit": "°C"}), "−2,5 °C"),
        ("ar", Message("%(number)s %(unit)s", {"number": "19.2", "unit": "°C"}), "19.2 °C"),
        ("de", Message("accepted %(value)s", {"value": "version 1.2.3"}), "Literaturwert version 1.2.3"),
    ],
)
def test_a_message_is_said_the_readers_way(
    application: Flask, language: str, message: Message, said: str
) -> None:
    with application.test_request_context():
        g.language = language
        assert say(message) == said


@pytest.mark.parametrize(
    ("language", "sentence", "whole"),
    [
        ("ar", "البداية (21.4 °C) أعلى", "البداية (\u206621.4\u00a0°C\u2069) أعلى"),
        ("ar", "هل تقصدون 340 g؟", "هل تقصدون \u2066340\u00a0g\u2069؟"),
        ("ar", "البداية ({start} °C)", "البداية (\u2066{start}\u00a0°C\u2069)"),
        ("ar", "القيمة 131 J/(kg·K)، بمجال", "القيمة \u2066131\u00a0J/(kg·K)\u2069، بمجال"),
        ("ar", "نحو 131 ± 4 J/(kg·K)", "نحو \u2066131\u00a0±\u00a04\u00a0J/(kg·K)\u2069"),
        ("ar", "البداية / °C", "البداية / \u2066°C\u2069"),
        ("ar", "1 kJ لكل كيلوغرام", "\u20661\u00a0kJ\u2069 لكل كيلوغرام"),
        ("ar", "نحو 45 J/K أو 2 J/kg", "نحو \u206645\u00a0J/K\u2069 أو \u20662\u00a0J/kg\u2069"),
        ("ar", "المحاولة 3 من 4", "المحاولة 3 من 4"),
        ("de", "Meint ihr 340 g?", "Meint ihr 340 g?"),
    ],
)
def test_a_figure_and_its_unit_stay_in_order_from_right_to_left(
    application: Flask, language: str, sentence: str, whole: str
) -> None:
    with application.test_request_context():
        g.language = language
        assert figures_whole(sentence) == whole


def test_figures_that_were_kept_whole_are_kept_once(application: Flask) -> None:
    with application.test_request_context():
        g.language = "ar"
        whole = figures_whole("القيمة 131 ± 4 J/(kg·K)، مثلًا 9.81 m/s²")
        assert figures_whole(whole) == whole
        assert whole.count("\u2066") == 2


@pytest.mark.parametrize(
    "written", ['{{ _("Your card says about %(start)s °C.", start="4.5") }}', "{{ message|say }}"]
)
def test_a_template_keeps_a_figure_and_its_unit_in_order_by_itself(application: Flask, written: str) -> None:
    message = Message("Your card says about %(start)s °C.", {"start": "4.5"})
    with application.test_request_context():
        g.language = "ar"
        assert "\u20664.5\u00a0°C\u2069" in render_template_string(written, message=message)


@pytest.mark.parametrize(
    ("difference", "places"),
    [("2.2", 1), ("2.20", 2), ("2", 0), ("2E+1", 0), ("0.005", 3), ("2.2222222222222222", 2)],
)
def test_a_warming_has_the_decimals_of_its_readings_and_no_endless_ones_from_fahrenheit(
    difference: str, places: int
) -> None:
    assert places_of(Decimal(difference)) == places
