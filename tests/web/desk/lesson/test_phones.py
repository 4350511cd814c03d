"""The page for when phones do not get through, the phone's own test page, and the name of the Wi-Fi."""

from __future__ import annotations

import html
import io

import pytest
from pypdf import PdfReader
from sqlalchemy import text

from app.practicals.lesson.plan import copy_practical
from app.practicals.lesson.wifi import name_wifi
from app.reach.steps import steps, ways_out
from app.web.desk.lesson import phones
from tests.practicals.a_class import NOW, AClass, a_teacher, revision_of
from tests.reach.test_diagnosis import a_diagnosis
from tests.web.desk.conftest import Reader

ODD = "École <b>& co"
"""A name that would be markup if it were not escaped; octets: 14."""


@pytest.fixture(autouse=True)
def a_laptop(monkeypatch: pytest.MonkeyPatch) -> None:
    """The pages look at a made-up machine, not at the one that runs the tests."""
    monkeypatch.setattr(phones, "diagnose", lambda _settings: a_diagnosis())


def test_the_page_has_every_step_every_way_out_and_what_the_machine_knows(
    desk: Reader, a_class: AClass
) -> None:
    lesson = desk.text(f"/desk/{a_class.practical_id}/")
    address = f"/desk/{a_class.practical_id}/phones"
    assert f'href="{address}"' in lesson
    page = desk.text(address)
    for step in steps(a_diagnosis()):
        assert str(step.do) in page
        assert all(str(one.seen) in page and str(one.means) in page for one in step.outcomes)
    assert all(str(way) in page for way in ways_out(a_diagnosis()))
    assert "192.168.7.31 (wlan0)" in page
    assert "sudo ufw allow 8480/tcp" in page
    assert desk.get("/desk/phones.svg").mimetype == "image/svg+xml"


def test_a_technician_finds_the_page_without_a_lesson(nobody: Reader, a_class: AClass) -> None:
    from app.records.choices import Role

    a_teacher(a_class.database, "ms-lund", role=Role.TECHNICIAN)
    assert "Neither opens it." in nobody.sign_in("ms-lund").text("/desk/phones")


def test_a_phone_learns_that_it_got_through_without_a_code(nobody: Reader) -> None:
    assert "This phone reaches the class's server." in nobody.text("/test")


def test_the_wifi_that_is_named_stands_on_lesson_code_wall_and_cards(desk: Reader, a_class: AClass) -> None:
    address = f"/desk/{a_class.practical_id}"
    assert desk.post(f"{address}/wifi", wifi_name=f"  {ODD}\u200b ").status_code == 303
    told = f"The wall, the code and the cards name the Wi-Fi “{ODD}”."
    assert told in desk.text(f"{address}/phones")
    shown = f"<bdi>{html.escape(ODD)}</bdi>"
    for page in (f"{address}/", f"{address}/code", f"{address}/cards", f"/board/{a_class.practical_id}"):
        assert shown in desk.get(page).get_data(as_text=True), page
    card = PdfReader(io.BytesIO(desk.get(f"{address}/cards.pdf").data)).pages[0].extract_text()
    assert f"Wi-Fi: {ODD}" in card


def test_a_name_that_no_wifi_has_is_refused_and_stays_typed(desk: Reader, a_class: AClass) -> None:
    address = f"/desk/{a_class.practical_id}"
    desk.post(f"{address}/wifi", wifi_name="é" * 16)  # 32 octets
    refused = desk.post(f"{address}/wifi", wifi_name="é" * 16 + "x")
    page = html.unescape(refused.get_data(as_text=True))
    assert refused.status_code == 422
    assert "at most 32 characters. Type it as the phones list it." in page
    assert f'value="{"é" * 16}x"' in page
    assert stored(a_class) == ["é" * 16]
    assert desk.post(f"{address}/wifi", wifi_name=" ").location == f"{address}/phones"
    assert "No Wi-Fi is named to the class." in desk.text(f"{address}/phones")


def stored(a_class: AClass) -> list[str | None]:
    """The names in the records, by practical."""
    with a_class.database.reading() as session:
        return list(session.scalars(text("SELECT wifi_name FROM practical ORDER BY id")))


def test_a_name_is_typed_once_and_the_next_practicals_have_it(a_class: AClass) -> None:
    def planned(by: str) -> None:
        actor = a_class.teacher if by == "owner" else a_teacher(a_class.database, by)
        copy_practical(
            a_class.database,
            actor=actor,
            practical_id=a_class.practical_id,
            title="next",
            held_on=a_class.practical.plan.held_on,
            now=NOW,
        )

    def say(name: str) -> None:
        name_wifi(a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id, name=name)

    planned("owner")
    assert stored(a_class) == [None, None], "nobody said anything yet"
    before = revision_of(a_class.database, a_class.practical_id)
    for _ in range(2):  # the second time says nothing new
        say("School")
    assert revision_of(a_class.database, a_class.practical_id) == before + 1, "wall and pages show it"
    planned("owner")
    planned("mr-ito")
    assert stored(a_class)[2:] == ["School", "School"], "a colleague's, where one said nothing oneself"
    with a_class.database.writing() as session:
        theirs = "teacher_id <> (SELECT min(teacher_id) FROM practical)"
        session.execute(text(f"UPDATE practical SET wifi_name = 'Annex' WHERE {theirs}"))
    planned("owner")
    assert stored(a_class)[-2:] == ["Annex", "School"], "one's own last one first"
    with a_class.database.writing() as session:
        session.execute(text("UPDATE practical SET wifi_name = '' WHERE title = 'next'"))
    planned("owner")
    assert stored(a_class)[-1] == "", "whoever took the name away is not given it again"
