"""Addresses that nobody would type: none of them breaks a page or leads anywhere else."""

from __future__ import annotations

import pytest

from tests.practicals.a_class import AClass
from tests.web.desk.conftest import Reader

HUGE = "9" * 25


@pytest.mark.parametrize("number", [HUGE, str(2**31), "9" * 5000], ids=["25 digits", "2^31", "5000 digits"])
def test_a_number_that_no_database_keeps_is_not_found(desk: Reader, a_class: AClass, number: str) -> None:
    here = a_class.practical_id
    for address in (f"/desk/{number}/", f"/board/{number}/picture", f"/desk/{here}/run/{number}/correct"):
        assert desk.get(address).status_code == 404, address
    for address in (f"/desk/{here}/bench/{number}/release", f"/board/{number}/step"):
        assert desk.post(address).status_code == 404, address


def test_a_bench_number_of_five_thousand_digits_is_refused_in_its_field(
    desk: Reader, a_class: AClass
) -> None:
    answer = desk.post(f"/desk/{a_class.practical_id}/enter", bench_number="1" * 5000, key="a" * 32)
    assert answer.status_code == 422
    assert "between 1 and 99" in answer.get_data(as_text=True)


@pytest.mark.parametrize(
    "target",
    [
        "//elsewhere.example",
        "https://elsewhere.example/",
        "/\\elsewhere.example",
        "/\t/elsewhere.example",
        "/\t\\elsewhere.example",
        "/desk/\r\nSet-Cookie: a=b",
        "javascript:alert(1)",
        "desk/",
    ],
)
def test_going_on_never_leads_elsewhere(nobody: Reader, target: str) -> None:
    answer = nobody.post("/language", language="de", then=target)
    assert answer.status_code == 302
    assert answer.headers["Location"] == "/"
    assert "elsewhere" not in nobody.client.get("/sign-in", query_string={"then": target}).get_data(
        as_text=True
    )


def test_a_bench_that_is_not_there_has_no_page(desk: Reader, a_class: AClass) -> None:
    assert desk.get(f"/desk/{a_class.practical_id}/bench/12").status_code == 200
    assert desk.get(f"/desk/{a_class.practical_id}/bench/98").status_code == 404


def test_a_corrected_address_stays_on_this_host_whatever_the_request_says(desk: Reader) -> None:
    for address in ("/desk", "/desk//falls", "/static//etc/passwd"):
        answer = desk.client.get(address, headers={"Host": "elsewhere.example"})
        assert answer.status_code == 308
        assert answer.headers["Location"].startswith("/"), address
        assert "elsewhere" not in answer.headers["Location"]
