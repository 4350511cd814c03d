"""Addresses that only take a form, opened by a reload, the back button or a bookmark."""

from __future__ import annotations

import pytest
from flask import Flask

from tests.practicals.a_class import AClass
from tests.web.desk.conftest import Reader


def _only_forms(application: Flask, area: str, **values: object) -> list[str]:
    """Addresses of this area that no page can be opened at."""
    takes: dict[str, set[str]] = {}
    for rule in application.url_map.iter_rules():
        known = "practical_id" in rule.arguments and rule.arguments <= set(values)
        if rule.endpoint.startswith(f"{area}.") and known:
            built = rule.build({name: values[name] for name in rule.arguments})
            assert built
            takes.setdefault(built[1], set()).update(rule.methods or ())
    return sorted(address for address, methods in takes.items() if "GET" not in methods)


@pytest.mark.parametrize(("area", "page"), [("desk", "/desk/{}/"), ("board", "/board/{}")])
def test_a_forms_address_opened_by_hand_leads_back_to_the_practical(
    application: Flask, desk: Reader, a_class: AClass, area: str, page: str
) -> None:
    here = a_class.practical_id
    addresses = _only_forms(application, area, practical_id=here, number=3, run_id=1, step="finish")
    assert len(addresses) >= 3
    for address in addresses:
        answer = desk.get(address)
        assert (answer.status_code, answer.headers.get("Location")) == (303, page.format(here)), address
    assert desk.get(page.format(here)).status_code == 200


def test_a_forms_address_shows_nobody_more_than_the_page_that_it_leads_to(
    desk: Reader, nobody: Reader, a_class: AClass
) -> None:
    address = f"/desk/{a_class.practical_id}/conduct/finish"
    led = nobody.client.get(address, follow_redirects=True)
    assert led.request.path == "/sign-in"
    assert desk.get("/department/teachers/1/switch").headers["Location"] == "/department/teachers"
    assert desk.get("/department/teachers").status_code == 403, "only for the head"
    assert desk.client.get("/desk/999/conduct/finish", follow_redirects=True).status_code == 404


def test_a_script_and_a_wrong_method_are_still_told_that_it_cannot_be_done(
    desk: Reader, a_class: AClass
) -> None:
    address = f"/desk/{a_class.practical_id}/conduct/finish"
    asked = desk.get(address, **{"X-Plumbfall": "script"})
    for refused in (asked, desk.client.put(address)):
        assert refused.status_code == 405
        assert set(refused.headers["Allow"].split(", ")) == {"OPTIONS", "POST"}, (
            "RFC 9110, 15.5.6: a 405 names the methods"
        )
    answer = desk.get("/bench/send")
    assert answer.status_code == 405
    assert "That cannot be done here." in answer.get_data(as_text=True)
