"""The desk for a reader of another language."""

from __future__ import annotations

import re

import pytest

from app.web.right_to_left import figures_kept
from tests.practicals.a_class import AClass
from tests.web.desk.conftest import Reader


def test_the_desk_speaks_the_readers_language(desk: Reader, a_class: AClass) -> None:
    address = f"/desk/{a_class.practical_id}/"
    desk.client.set_cookie("plumbfall-language", "ar")
    for page in ("/desk/", address, f"{address}decisions", f"{address}plan", "/department/"):
        assert 'lang="ar" dir="rtl"' in desk.text(page), page
    desk.client.set_cookie("plumbfall-language", "fr")
    assert re.search('value="fr"[^>]*aria-current="true"', desk.text("/desk/"))


@pytest.mark.parametrize(
    ("page", "kept"),
    [
        ("<p>172 ± 5.9; 2</p>", "<p>\u2066172\u00a0±\u00a05.9\u2069; 2</p>"),
        ("<td>100&nbsp;cm</td>", "<td>\u2066100&nbsp;cm\u2069</td>"),
        (
            "21.4 °C، 45 J/K، 9.81 m/s²",
            "\u206621.4\u00a0°C\u2069، \u206645\u00a0J/K\u2069، \u20669.81\u00a0m/s²\u2069",
        ),
        ("الكتلة (g, kg) / °C", "الكتلة \u2066(g,\u00a0kg)\u2069 /\u2066\u00a0°C\u2069"),
        ("10 × 1200, −2.9", "\u206610\u00a0×\u00a01200\u2069, \u2066−2.9\u2069"),
        (
            "<input value=\"21.4 °C\" title='a > 3 g'>12 من 14",
            "<input value=\"21.4 °C\" title='a > 3 g'>12 من 14",
        ),
        ("<script>let a = 3 + 4 // 5 kg</script>T-7", "<script>let a = 3 + 4 // 5 kg</script>T-7"),
        ("<textarea>3 g</textarea>", "<textarea>3 g</textarea>"),
    ],
)
def test_figures_of_a_page_keep_their_order_and_what_was_typed_stays(page: str, kept: str) -> None:
    assert figures_kept(page) == kept


def test_the_desk_in_arabic_keeps_figures_and_units_in_order(desk: Reader, a_class: AClass) -> None:
    desk.client.set_cookie("plumbfall-language", "ar")
    for name in ("", "decisions", "planner", "history"):
        text = desk.text(f"/desk/{a_class.practical_id}/{name}")
        assert 'lang="ar" dir="rtl"' in text
        told = re.sub("<bdi.*?</bdi>|\u2066[^\u2069]*\u2069|<[^>]*>", "", text, flags=re.DOTALL)
        assert re.findall(r"[0-9][ \u00a0](?:°C|g|cm|K|J/K|J/\(kg·K\))(?!\w)|[0-9] ± [0-9]", told) == [], name
