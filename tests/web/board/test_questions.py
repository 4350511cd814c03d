"""A question for the class at each step of the wall: the teacher's choice, and the words ours or theirs."""

from __future__ import annotations

import html
import re
from dataclasses import replace

import pytest

from app.practicals.board.reveal import BOARD_STEPS, QUESTIONS
from app.practicals.lesson.plan import PlanProblem, change_plan, copy_practical, practical_details
from app.records.choices import BoardStep
from app.records.models.practical import LONGEST_QUESTION
from app.web.languages import LANGUAGES, RIGHT_TO_LEFT
from tests.practicals.a_class import NOW
from tests.web.board.conftest import Wall

SPREAD = "question_spread"
ONE_LINE = 70
"""About so many letters of a finding's size stand side by side on the wall (tried at 1280 by 720)."""


def asked(wall: Wall, language: str = "en") -> str | None:
    """The question on the wall, and its tags' text for who cannot see it, as the page has it."""
    answer = wall.teacher.get(f"{wall.address}/picture", headers={"Accept-Language": language})
    assert answer.status_code == 200
    found = re.search(r'<p class="wall-question"[^>]*>(.*?)</p>', answer.get_data(as_text=True), re.DOTALL)
    return found[1].split("<bdi>")[1].removesuffix("</bdi>") if found else None


def form_page(wall: Wall) -> str:
    return wall.teacher.get(f"/desk/{wall.group.practical_id}/plan").get_data(as_text=True)


def save(wall: Wall, **changes: str | None) -> tuple[int, str]:
    """The plan's form as its page has it, with these changes; None leaves a tick out."""
    page = form_page(wall)
    sent = {}
    for tag in re.findall(r"<input[^>]*>", page):
        of = dict(re.findall(r'(\w+)="([^"]*)"', tag))
        if "name" in of and (of.get("type") not in ("radio", "checkbox") or " checked" in tag):
            sent[of["name"]] = html.unescape(of.get("value", ""))
    sent["material"] = "lead"
    sent |= {name: text for name, text in changes.items() if text is not None}
    for name in (name for name, text in changes.items() if text is None):
        sent.pop(name, None)
    answer = wall.teacher.post(f"/desk/{wall.group.practical_id}/plan", data=sent)
    return answer.status_code, html.unescape(answer.get_data(as_text=True))


def test_nothing_is_asked_until_the_teacher_wants_it(wall: Wall) -> None:
    for step in BOARD_STEPS:
        wall.go(step)
        assert asked(wall) is None


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_step_has_a_question_of_ours_in_the_readers_language(wall: Wall, language: str) -> None:
    assert save(wall, questions_asked="yes")[0] == 302
    seen = []
    for step in BOARD_STEPS:
        wall.go(step)
        question = asked(wall, language)
        assert question
        seen.append(html.unescape(question))
    english = [str(question) for question in QUESTIONS.values()]
    assert len(set(seen)) == len(BOARD_STEPS)
    assert (seen == english) == (language == "en")
    assert max(map(len, seen)) <= ONE_LINE
    if language in RIGHT_TO_LEFT:
        assert "\u2066100\u00a0J\u2069" in seen[4]


def test_the_teachers_own_words_stand_there_as_typed_and_are_no_markup(wall: Wall) -> None:
    own = "Why <b>not</b> & how? {{ 7 * 7 }} %(x)s"
    save(wall, questions_asked="yes", **{SPREAD: f"  {own} "})
    wall.go("spread")
    question = asked(wall, "ar")
    assert question is not None
    assert "<b>" not in question
    assert html.unescape(question) == own
    wall.go("line")
    assert asked(wall) == str(QUESTIONS[BoardStep.LINE])
    assert html.unescape(form_page(wall)).count(f'value="{own}"') == 1


def test_off_and_on_again_keeps_the_words_and_an_emptied_field_has_ours_again(wall: Wall) -> None:
    save(wall, questions_asked="yes", **{SPREAD: "Ours alone?"})
    wall.go("spread")
    save(wall, questions_asked=None)
    assert asked(wall) is None
    assert 'value="Ours alone?"' in form_page(wall)
    save(wall, questions_asked="yes")
    assert asked(wall) == "Ours alone?"
    save(wall, **{SPREAD: "  "})
    assert asked(wall) == str(QUESTIONS[BoardStep.SPREAD])
    stored = practical_details(
        wall.group.database, actor=wall.group.teacher, practical_id=wall.group.practical_id
    )
    assert stored.plan.own_questions == {}


@pytest.mark.parametrize("ticked", ["yes", None])
def test_a_question_that_is_too_long_comes_back_whole_with_a_sentence(wall: Wall, ticked: str | None) -> None:
    long = "Why? " * 400
    status, page = save(wall, questions_asked=ticked, **{SPREAD: long})
    assert status == 422
    assert "at most 120 characters, so that it is read from the back row" in page
    assert long in page
    assert "<details open>" in page, "nobody has to look for the field"
    stored = practical_details(
        wall.group.database, actor=wall.group.teacher, practical_id=wall.group.practical_id
    )
    assert not stored.plan.questions_asked
    assert stored.plan.own_questions == {}
    assert save(wall, **{SPREAD: "x" * LONGEST_QUESTION})[0] == 302
    assert save(wall, **{SPREAD: "a\0b"})[0] == 422


def test_the_use_case_refuses_what_no_form_sends(wall: Wall) -> None:
    group = wall.group
    for own in ({"spread": "x" * (LONGEST_QUESTION + 1)}, {"nowhere": "x"}, {"spread": ""}):
        with pytest.raises(PlanProblem):
            change_plan(
                group.database,
                actor=group.teacher,
                practical_id=group.practical_id,
                plan=replace(group.practical.plan, own_questions=own),
                now=NOW,
            )


def test_a_copy_asks_the_same_and_the_history_says_that_the_questions_changed(wall: Wall) -> None:
    save(wall, questions_asked="yes", **{SPREAD: "Ours alone?; title: no → yes"})
    group = wall.group
    copied = copy_practical(
        group.database,
        actor=group.teacher,
        practical_id=group.practical_id,
        title="Next",
        held_on=group.practical.plan.held_on,
        now=NOW,
    )
    assert copied.plan.questions_asked
    assert copied.plan.own_questions == {"spread": "Ours alone?; title: no → yes"}
    history = wall.teacher.get(f"/desk/{group.practical_id}/history").get_data(as_text=True)
    assert "A question for the class at each step: no → yes; Own questions for the class" in history
