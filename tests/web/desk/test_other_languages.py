"""The desk for a reader of another language."""

from __future__ import annotations

from tests.practicals.a_class import AClass
from tests.web.desk.conftest import Reader


def test_the_english_desk_is_not_turned_round_for_a_reader_of_arabic(desk: Reader, a_class: AClass) -> None:
    """Right to left, "13 of 14" reads "of 14 13" and an interval from its upper end."""
    address = f"/desk/{a_class.practical_id}/"
    desk.client.set_cookie("plumbfall-language", "ar")
    assert 'dir="ltr"' in desk.text(address).split(">")[1]
    assert 'dir="rtl"' in desk.text(f"{address}cards").split(">")[1], "cards are in the class's language"
    assert 'dir="rtl"' in desk.text(f"/board/{a_class.practical_id}/report").split(">")[1]
