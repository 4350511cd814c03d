"""From every page that a person opens there is a way to the paragraph that explains it."""

from __future__ import annotations

import re

from flask import Flask

from app.web.guide.where import PLACE_OF
from tests.web.desk.conftest import (  # noqa: F401 - fixtures
    Reader,
    a_class,
    application,
    nobody,
    planned,
    teacher,
)
from tests.web.test_who_may_what import School, _browser, school  # noqa: F401 - the school
from tests.web.who_may import MAY, For

NO_PAGE = {
    "static": "files of the pages themselves",
    "language.switch": "leads back",
    "guide.contents": "the guide itself",
    "guide.page": "the guide itself",
    "bench.class_now": "a part of the bench's pages",
    "bench.class_figure": "a drawing",
    "bench.look": "for the phone's script",
    "bench.progress": "for the phone's script",
    "bench.send": "for the phone's script",
    "bench.token": "for the phone's script",
    "board.picture": "a part of the wall",
    "board.figure": "a drawing",
    "board.report_figure": "a drawing",
    "department.chart_drawing": "a drawing",
    "department.glance": "a drawing",
    "department.export_progress": "a part of the page of exports",
    "desk.card_code": "a drawing",
    "desk.code_drawing": "a drawing",
    "desk.first_figure": "a drawing",
    "desk.phones_drawing": "a drawing",
    "desk.live": "a part of the lesson's page",
}
"""Addresses that no person opens, and why."""
FILES = {
    "board.report_file",
    "desk.cards_pdf",
    "department.export_file",
    "department.labels_pdf",
    "desk.runs_workbook",
    "bench.class_csv",
}
"""Slow or long ones that are no pages."""
LINK = re.compile(r'class="to-guide[a-z ]*" href="(/guide/[a-z-]+#[a-z-]+)"')


def test_every_address_for_people_has_its_paragraph(application: Flask) -> None:  # noqa: F811
    without = set(application.view_functions) - set(PLACE_OF) - set(NO_PAGE)
    assert without == set()
    assert set(NO_PAGE) & set(PLACE_OF) == set()


def test_every_page_links_to_its_paragraph(school: School) -> None:  # noqa: F811
    """Each page is opened by those whom it is for; what is no page is left out."""
    looked_at: set[str] = set()
    for who in ("nobody", "phone", "owner", "head"):
        browser = _browser(school, who)
        for route in school.routes():
            may = route.audience == For.ANYONE or who in MAY[route.audience]
            if route.method != "GET" or not may or route.endpoint in {*NO_PAGE, *FILES, *looked_at}:
                continue
            answer = browser.get(route.address)
            if answer.status_code != 200 or answer.mimetype != "text/html":
                continue
            place = PLACE_OF[route.endpoint]
            links = set(LINK.findall(answer.get_data(as_text=True)))
            assert links == {f"/guide/{place.slug}#{place.anchor}"}, route
            looked_at.add(route.endpoint)
    assert len(looked_at) > 45, looked_at
    assert looked_at > {
        "bench.entry",
        "sign_in.form",
        "bench.runs",
        "board.wall",
        "desk.lesson",
        "department.log",
    }
