"""Addresses and choices that the desk's pages never lead to: refused, and nothing else."""

from __future__ import annotations

import pytest

from tests.practicals.a_class import AClass
from tests.web.desk.conftest import Reader


@pytest.mark.parametrize(
    "address",
    [
        "/department/years/nothing.svg",
        "/department/years/class-value.svg?room=nowhere",
        "/department/years/class-value.svg?size=huge",
        "/department/kit/999",
    ],
)
def test_what_is_not_there_is_not_found(desk: Reader, address: str) -> None:
    assert desk.get(address).status_code == 404


def test_a_wall_is_bright_or_dark(desk: Reader, a_class: AClass) -> None:
    address = f"/board/{a_class.practical_id}/room"
    assert desk.post(address, room="purple").status_code == 422
    assert desk.post(address, room="dark").status_code == 303


def test_there_is_no_code_to_scan_without_an_address_for_phones(
    desk: Reader, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert desk.get("/desk/phones.svg").status_code == 200
    monkeypatch.setattr("app.web.desk.lesson.phones.phone_address", lambda: None)
    assert desk.get("/desk/phones.svg").status_code == 404


def test_a_script_of_somebody_who_is_signed_out_is_told_so(nobody: Reader, a_class: AClass) -> None:
    answer = nobody.get(f"/desk/{a_class.practical_id}/live", **{"X-Plumbfall": "script"})
    assert (answer.status_code, "You are signed out." in answer.get_json()["problem"]) == (401, True)
