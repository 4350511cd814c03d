"""What students read is short: sentences of at most fifteen words, and no long word but those of the trade.

In English, which the translations follow. A sentence ends at its stop; a colon and a semicolon end one too,
because a reader rests there.
"""

from __future__ import annotations

import re

from app.resources import templates_dir
from app.translations.extraction import sentences

MOST_WORDS = 15
LONG_WORD = re.compile(r"(?<![\w%(])[A-Za-z]{11,}")
LONG_WORDS = {"thermometer", "thermometers", "temperature", "temperatures", "uncertainty", "repeatability"}
"""Trade terms for which there is no shorter word; the last two stand on the wall alone."""
END = re.compile(r"(?<=[.?!;:])\s+")
READ_BY_STUDENTS = (
    "templates/bench/",
    "templates/board/picture.html",
    "app/exports/papers/card_text.py",
    "app/figures/beyond.py",
    "app/figures/findings.py",
    "app/physics/asking/",
    "app/physics/materials.py",
    "app/physics/reading/",
    "app/physics/working.py",
    "app/physics/working_lines.py",
    "app/practicals/benches/",
    "app/practicals/board/reveal.py",
    "app/practicals/runs/refusals.py",
    "app/web/board/picture.py",
    "app/web/phone/",
)
"""Phones, cards and wall."""
OF_TEACHERS = ("Range over common alloys, engineering handbooks",)
"""Sentences of these files that only teachers read."""
LONGER = (
    # Cards: one step of the work each, read aloud and done part by part.
    "Stop, open the tube at once, lower",
    "Turn the tube end over end, in run 1",
    "Bring the closed tube with the shot",
    "Chill the closed tube with the shot",
    "Put the thermometer into the shot in the tube",
    # Phones: a list of what is compared, or of what to do.
    "From %(start)s to %(end)s °C is more than",
    "%(warming)s K is less than the",
    "%(warming)s K is more than the",
    "Next time read the END temperature",
    "Next time let tube and shot become",
    "Keep a tray under the tube, and check",
    "Caps (%(caps)s cm) and settled shot",
    "Hold the tube upright and measure",
    "hold the tube upright and measure",
    "These readings show no warming",
    "Your specific heat capacity does not follow from your readings, and",
    "As far as your thermometer and your ruler go",
    "These readings were typed at another bench",
    "Heat that stays in the tube, the caps",
    "On the second phone type the code",
    # Wall: a finding with its value, what it is compared with, and the interval.
    "1 kJ of fall energy per kilogram warms",
    "The class value is %(error)s",
    "With the heat sink taken out, the shot alone",
    "The shot took %(shot)s %% of the fall energy, more",
    "Of the fall energy, %(shot)s %% warmed",
    "if it leaves out the shot, this is",
)
"""Sentences that are longer, by their beginnings."""
FOR_STUDENTS = re.compile(r'\{% call section\("students"\) %\}(.*?)\{% endcall %\}', re.DOTALL)


def read_by_students() -> list[str]:
    """Each sentence of phones, cards and wall, and of the guide's paragraph for students."""
    texts = [
        form
        for text, sentence in sentences().items()
        if any(place.startswith(READ_BY_STUDENTS) for place in sentence.places)
        and not text.startswith(OF_TEACHERS)
        for form in filter(None, (text, sentence.plural))
    ]
    guide = FOR_STUDENTS.search((templates_dir() / "guide" / "lesson.html").read_text(encoding="utf-8"))
    assert guide
    of_guide = re.findall(r'_\("([^"]+)"\)', guide[1])
    assert len(texts) > 400
    assert len(of_guide) > 8
    return [sentence for text in (*texts, *of_guide) for sentence in END.split(text)]


def words(sentence: str) -> list[str]:
    return [word for word in sentence.split() if re.search(r"\w", word)]


def test_a_sentence_for_students_has_at_most_fifteen_words() -> None:
    long = {sentence for sentence in read_by_students() if len(words(sentence)) > MOST_WORDS}
    assert [sentence for sentence in long if not sentence.startswith(LONGER)] == []
    assert [start for start in LONGER if not any(one.startswith(start) for one in long)] == []


def test_a_sentence_for_students_has_short_words() -> None:
    found = {word.lower() for sentence in read_by_students() for word in LONG_WORD.findall(sentence)}
    assert found - LONG_WORDS == set()
