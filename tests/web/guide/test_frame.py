"""The guide: open to everybody, each section there once, and a way to it from every page."""

from __future__ import annotations

import re
from itertools import pairwise

import pytest
from flask import Flask

from app.web.guide.contents import PAGES, GuidePage
from app.web.guide.where import EXPLAINED_AT, PLACE_OF
from tests.practicals.a_class import AClass
from tests.web.desk.conftest import (  # noqa: F401 - fixtures
    Reader,
    a_class,
    application,
    desk,
    nobody,
    planned,
    teacher,
)

ANCHOR = re.compile(r'\bid="([^"]+)"')


def test_the_contents_name_every_page_and_every_section(nobody: Reader) -> None:  # noqa: F811
    page = nobody.text("/guide/")
    for guide_page in PAGES:
        for section in guide_page.sections:
            assert f'href="/guide/{guide_page.slug}#{section.anchor}"' in page


@pytest.mark.parametrize("guide_page", PAGES, ids=lambda page: page.slug)
def test_a_page_has_each_of_its_sections_once_and_no_anchor_twice(
    nobody: Reader,  # noqa: F811
    guide_page: GuidePage,
) -> None:
    anchors = ANCHOR.findall(nobody.text(f"/guide/{guide_page.slug}"))
    assert [anchor for anchor in anchors if anchors.count(anchor) > 1] == []
    declared = [section.anchor for section in guide_page.sections]
    assert [anchor for anchor in anchors if anchor in declared] == declared


def test_what_explains_a_page_is_in_the_guide(nobody: Reader, application: Flask) -> None:  # noqa: F811
    there = {
        (page.slug, anchor) for page in PAGES for anchor in ANCHOR.findall(nobody.text(f"/guide/{page.slug}"))
    }
    assert set(EXPLAINED_AT) - there == set()
    assert len(PLACE_OF) == sum(map(len, EXPLAINED_AT.values())), "An endpoint has two places."
    assert set(PLACE_OF) - set(application.view_functions) == set()


def test_who_signed_in_reads_it_in_the_frame_of_the_desk(desk: Reader, nobody: Reader) -> None:  # noqa: F811
    for address in ("/guide/", f"/guide/{PAGES[0].slug}"):
        assert "/sign-out" in desk.text(address)
        assert "/sign-out" not in nobody.text(address)


def test_a_bench_reads_it_in_the_sizes_of_its_phone(a_class: AClass, nobody: Reader) -> None:  # noqa: F811
    assert nobody.post(f"/j/{a_class.practical.join_code}", number="2").status_code == 302
    page = nobody.text(f"/guide/{PAGES[0].slug}")
    assert "guide-on-a-phone.css" in page
    assert 'class="brand" href="/bench/"' in page


def test_a_page_that_is_not_there_is_said_not_to_be(nobody: Reader) -> None:  # noqa: F811
    assert nobody.get("/guide/nothing").status_code == 404


def test_pages_lead_on_to_each_other(nobody: Reader) -> None:  # noqa: F811
    for before, after in pairwise(PAGES):
        assert f'rel="next" href="/guide/{after.slug}"' in nobody.text(f"/guide/{before.slug}")
        assert f'rel="prev" href="/guide/{before.slug}"' in nobody.text(f"/guide/{after.slug}")
