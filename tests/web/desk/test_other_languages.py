"""The desk for a reader of another language."""

from __future__ import annotations

import re

from tests.practicals.a_class import AClass
from tests.web.desk.conftest import Reader

ARABIC = re.compile("[\u0600-\u06ff]+")


def test_the_desk_is_english_and_cards_and_report_are_the_readers(desk: Reader, a_class: AClass) -> None:
    """Half translated, a page is read in two directions: "13 of 14" comes out as "of 14 13"."""
    address = f"/desk/{a_class.practical_id}/"
    desk.client.set_cookie("plumbfall-language", "ar")
    for page in ("/desk/", address, f"{address}decisions", f"{address}plan", "/department/"):
        text = desk.text(page)
        assert 'lang="en" dir="ltr"' in text, page
        assert set(ARABIC.findall(text)) == {"العربية"}, page
    for page in (
        f"{address}cards",
        f"/board/{a_class.practical_id}/report",
        f"/board/{a_class.practical_id}",
    ):
        assert 'lang="ar" dir="rtl"' in desk.text(page), page


def test_the_desk_shows_which_language_the_wall_and_the_papers_have(desk: Reader) -> None:
    desk.client.set_cookie("plumbfall-language", "fr")
    assert re.search('value="fr"[^>]*aria-current="true"', desk.text("/desk/"))
