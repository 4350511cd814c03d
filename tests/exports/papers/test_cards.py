"""Bench cards: what stands on them, on every paper, and that nothing is cut off."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from decimal import Decimal

import pytest
from pypdf import PdfReader

from app.exports.papers.card_text import CardPlan, bench_card, grouped_code, warming_at_most_K
from app.exports.papers.cards import NO_ADDRESS, Paper, cards_pdf
from app.physics.materials import LOCAL_RULES_FIRST, MATERIALS
from app.web.languages import LANGUAGES, RIGHT_TO_LEFT, catalogue
from app.words import Message, Say
from tests.exports.papers.type_sizes import sizes_on

PLAN = CardPlan(
    number=7,
    material="lead",
    accepted_J_per_kg_K=Decimal("127.4"),
    gravity_m_per_s2=Decimal("9.81"),
    tube_length_m=Decimal("1.00"),
    end_allowance_m=Decimal("0.055"),
    inversions=50,
    thermometer_step_K=Decimal("0.1"),
    shot_mass_kg=Decimal("0.340"),
)
POINTS = {"A4": (595.28, 841.89), "Letter": (612.0, 792.0)}  # ISO 216 A4; ANSI/ASME Y14.1 A (Letter)


def _pages(
    plans: list[CardPlan], paper: Paper = "A4", per_page: int = 1, code: str | None = "AXFC749"
) -> PdfReader:
    cards = [
        bench_card(plan, heading="10B", held_on="6 March 2031", address="http://a.example", code=code)
        for plan in plans
    ]
    return PdfReader(io.BytesIO(cards_pdf(cards, say=str, paper=paper, per_page=per_page)))


def _words(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("per_page", [1, 2])
def test_every_card_has_all_its_words_whatever_the_paper(paper: Paper, per_page: int) -> None:
    plans = [replace(PLAN, number=number) for number in (1, 2, 3)]
    pages = _pages(plans, paper, per_page).pages
    assert len(pages) == (3 if per_page == 1 else 2)
    assert float(pages[0].mediabox.width) == pytest.approx(POINTS[paper][0], abs=0.1)
    assert float(pages[0].mediabox.height) == pytest.approx(POINTS[paper][1], abs=0.1)
    text = _words(pages[0].extract_text())
    card = bench_card(PLAN, heading="10B", held_on="", address=None, code=None)
    for sentence in (*card.steps, *card.safety):
        assert str(sentence) in text
    assert "AXF C749" in text
    assert "340 g" in text
    assert "Tube length / cm" in text, "no heading of the table is cut short"


def _say_in(language: str) -> Say:
    def say(message: Message) -> str:
        values = {
            name: say(value) if isinstance(value, Message) else value
            for name, value in message.values.items()
        }
        return catalogue(language).gettext(message.template) % values

    return say


@pytest.mark.parametrize(
    ("language", "paper"),
    [
        # Letter is the lower of the two papers, so that it has less room for each card.
        pytest.param(language, paper, marks=() if paper == "Letter" or language == "en" else pytest.mark.long)
        for language in sorted(LANGUAGES)
        for paper in ("A4", "Letter")
    ],
)
def test_two_cards_share_a_page_without_small_type_and_keep_clear_of_the_cut(
    language: str, paper: Paper
) -> None:
    """Lead has the most cautions; the plan gives all numbers; title and address are long."""
    plan = replace(PLAN, start_temperature_C=Decimal("19.2"))
    cards = [
        bench_card(
            replace(plan, number=number),
            heading="Year 10, falling shot, Thursday period 4",
            held_on="6 March 2031",
            address="http://192.168.100.120:8480",
            code="AXFC749",
        )
        for number in (7, 8)
    ]
    body = cards_pdf(
        cards, say=_say_in(language), paper=paper, per_page=2, right_to_left=language in RIGHT_TO_LEFT
    )
    page = PdfReader(io.BytesIO(body)).pages[0]
    assert min(sizes_on(page).values()) >= 8
    heights: list[float] = []
    page.extract_text(
        visitor_text=lambda text, _cm, tm, _font, _size: heights.append(tm[5]) if text.strip() else None
    )
    cut = POINTS[paper][1] / 2
    top_half = [height for height in heights if height > cut]
    assert min(heights) > 20
    assert top_half, "the first card is in the upper half"
    assert min(top_half) > cut + 15, "its last line keeps clear of the cut"


def test_a_shared_page_has_three_rows_of_seven_millimetres_to_write_in() -> None:
    """The rows as they are drawn: rectangles as wide as a cell, 7 mm = 19.84 pt high."""
    page = _pages([PLAN], per_page=2).pages[0]
    drawn = page.get_contents()
    assert drawn is not None
    rectangles = re.findall(rb"([0-9.]+) ([0-9.]+) ([0-9.]+) (-?[0-9.]+) re", drawn.get_data())
    tops = {float(y) for _x, y, width, height in rectangles if abs(abs(float(height)) - 19.84) < 0.05}
    assert len(tops) == 3


def test_local_rules_come_first_for_every_metal() -> None:
    for key in MATERIALS:
        card = bench_card(replace(PLAN, material=key), heading="", held_on="", address=None, code=None)
        assert card.safety[0] is LOCAL_RULES_FIRST
    lead = bench_card(PLAN, heading="", held_on="", address=None, code=None)
    assert any("poisonous" in str(sentence) for sentence in lead.safety)


def test_the_link_names_class_and_bench_and_is_missing_without_an_address() -> None:
    card = bench_card(PLAN, heading="", held_on="", address="https://phys.example", code="AXFC749")
    assert card.link == "https://phys.example/j/AXFC749?bench=7"
    without = bench_card(PLAN, heading="", held_on="", address=None, code="AXFC749")
    assert without.link is None
    assert str(NO_ADDRESS) in _words(
        PdfReader(io.BytesIO(cards_pdf([without], say=str))).pages[0].extract_text()
    )


def test_the_start_below_room_is_half_of_the_most_it_can_warm() -> None:
    """e / c = 9.81 · 0.945 · 50 / 127.4 = 3.64 K by hand; half of it, to one digit, is 2 °C."""
    assert warming_at_most_K(PLAN) == pytest.approx(3.638, abs=0.001)
    steps = " ".join(map(str, bench_card(PLAN, heading="", held_on="", address=None, code=None).steps))
    assert "about 2 °C below room temperature" in steps
    planned = replace(PLAN, start_temperature_C=Decimal("19.2"))
    steps = " ".join(map(str, bench_card(planned, heading="", held_on="", address=None, code=None).steps))
    assert "about 19.2 °C" in steps


@pytest.mark.parametrize("start", [None, Decimal("19.2"), Decimal(0)])
def test_a_card_lets_tube_and_shot_start_at_one_temperature(start: Decimal | None) -> None:
    plan = replace(PLAN, start_temperature_C=start)
    steps = [str(step) for step in bench_card(plan, heading="", held_on="", address=None, code=None).steps]
    (told,) = [step for step in steps if "once it no longer changes" in step]
    assert "the closed tube with the shot in it" in told
    assert "Put the thermometer into the shot in the tube" in told
    assert any("Hold the caps alone, or wear gloves: hands warm the tube." in step for step in steps)


def test_a_card_gives_the_plans_numbers_in_the_units_of_the_bench() -> None:
    """From the plan in SI: 0.340 kg, 1.00 m and 0.055 m."""
    plan = replace(PLAN, start_temperature_C=Decimal("19.20"))
    card = bench_card(plan, heading="", held_on="", address=None, code=None)
    assert [(str(name), str(value)) for name, value in card.figures] == [
        ("Metal", "Lead"),
        ("Shot mass", "340 g"),
        ("Inversions", "50"),
        ("Tube length", "100 cm"),
        ("End allowance", "5.5 cm"),
        ("Read to the nearest", "0.1 °C"),
        ("Start at about", "19.2 °C"),
    ]
    steps = " ".join(map(str, card.steps))
    for said in ("Weigh out about 340 g", "end over end 50 times", "to the nearest 0.1 °C"):
        assert said in steps
    bare = replace(PLAN, shot_mass_kg=None, ice_point_asked=True)
    card = bench_card(bare, heading="", held_on="", address=None, code=None)
    assert "Shot mass" not in [str(name) for name, _ in card.figures]
    assert ("Thermometer in melting ice", "____ °C") in [
        (str(name), str(line)) for name, line in card.figures
    ]
    assert "Weigh your shot." in str(card.steps[0])
    card = bench_card(replace(PLAN, second_inversions=80), heading="", held_on="", address=None, code=None)
    assert any("in run 1 to the count of 50, in run 2 to 80, and count" in str(step) for step in card.steps)


def test_a_code_is_read_aloud_in_two_groups() -> None:
    assert grouped_code("AXFC749") == "AXF C749"
    assert grouped_code(None) == ""


def test_a_card_can_be_set_from_right_to_left() -> None:
    def say(message: Message) -> str:
        return catalogue("ar").gettext(message.template) % message.values

    cards = [bench_card(PLAN, heading="10ب", held_on="", address="http://a.example", code="AXFC749")]
    reader = PdfReader(io.BytesIO(cards_pdf(cards, say=say, right_to_left=True)))
    assert len(reader.pages) == 1
    assert "AXF" in reader.pages[0].extract_text()


@pytest.mark.parametrize("per_page", [0, 3])
def test_only_one_or_two_cards_go_on_a_page(per_page: int) -> None:
    with pytest.raises(ValueError, match="one or two"):
        _pages([PLAN], per_page=per_page)
