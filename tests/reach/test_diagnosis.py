"""What a diagnosis says of the way that phones take."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, HTTPServer
from ipaddress import ip_address

import pytest

from app.reach.addresses import OwnAddress
from app.reach.diagnosis import Diagnosis, Verdict, diagnose, findings
from app.reach.machine import Firewall
from app.reach.probe import ALIVE, Answer, probe
from app.reach.steps import steps, ways_out
from app.settings import Settings
from tests.serving import free_port

WALL = Firewall("ufw", True, "sudo ufw status", "sudo ufw allow 8480/tcp")
OWN = (OwnAddress(ip_address("127.0.0.1"), "lo"), OwnAddress(ip_address("192.168.7.31"), "wlan0"))


def a_diagnosis(**changes: object) -> Diagnosis:
    """A laptop on the school's network with its server running."""
    values: dict[str, object] = {
        "address": "http://192.168.7.31:8480",
        "is_configured": False,
        "listens_on": "0.0.0.0",
        "own": OWN,
        "answer": Answer.OURS,
        "firewall": WALL,
    }
    return Diagnosis(**(values | changes))  # type: ignore[arg-type]


def verdicts(found: Diagnosis) -> dict[str, Verdict]:
    return {str(one.subject): one.verdict for one in findings(found)}


def test_a_laptop_that_does_its_part_leaves_only_its_firewall_to_look_at() -> None:
    found = verdicts(a_diagnosis())
    assert found.pop("Firewall") is Verdict.OPEN
    assert set(found.values()) == {Verdict.GOOD}


def test_this_computers_addresses_are_listed_but_those_that_lead_nowhere() -> None:
    own = tuple(OwnAddress(ip_address(text)) for text in ("::1", "fe80::1", "2001:db8::7", "169.254.1.1"))
    listed = findings(a_diagnosis(own=(*OWN, *own)))
    assert [one.value for one in listed if str(one.subject) == "This computer's address"] == [
        "192.168.7.31 (wlan0)",
        "2001:db8::7",
        "169.254.1.1",
    ]


@pytest.mark.parametrize(
    ("changes", "subject", "verdict"),
    [
        ({"address": "http://127.0.0.1:8480"}, "Join links carry", Verdict.BAD),
        ({"address": "http://localhost:8480"}, "Join links carry", Verdict.BAD),
        ({"address": "http://169.254.1.1:8480"}, "Join links carry", Verdict.BAD),
        ({"address": "http://192.168.9.9:8480", "is_configured": True}, "Join links carry", Verdict.OPEN),
        ({"listens_on": "127.0.0.1"}, "It listens on", Verdict.BAD),
        ({"listens_on": "localhost"}, "It listens on", Verdict.BAD),
        ({"answer": Answer.REFUSED}, "The server", Verdict.BAD),
        ({"firewall": Firewall("ufw", False, "", "")}, "Firewall", Verdict.GOOD),
        ({"firewall": Firewall("nftables", None, "look", "")}, "Firewall", Verdict.OPEN),
    ],
)
def test_what_keeps_phones_away_is_said(changes: dict[str, object], subject: str, verdict: Verdict) -> None:
    assert verdicts(a_diagnosis(**changes))[subject] is verdict


@pytest.mark.parametrize(
    ("listens_on", "said"),
    [
        ("0.0.0.0", "every address of this computer"),
        ("::", "every address of this computer"),
        ("a-name", "every address of this computer"),
        ("192.168.7.31", "this address alone"),
    ],
)
def test_where_it_listens_is_said(listens_on: str, said: str) -> None:
    (told,) = [one for one in findings(a_diagnosis(listens_on=listens_on)) if "listens" in str(one.subject)]
    assert str(told.text) == said


def test_a_tunnels_address_is_not_for_phones_though_its_network_is_local() -> None:
    own = (*OWN, OwnAddress(ip_address("10.8.0.6"), "tun0"))
    assert verdicts(a_diagnosis(own=own, address="http://10.8.0.6:8480"))["Join links carry"] is Verdict.BAD


def test_behind_a_proxy_it_is_right_to_listen_on_this_computer_alone() -> None:
    behind = a_diagnosis(address="https://physics.school.example", is_configured=True, listens_on="127.0.0.1")
    assert verdicts(behind)["It listens on"] is Verdict.GOOD


def test_the_request_to_the_networks_keeper_names_host_and_port() -> None:
    said = "\n".join(map(str, ways_out(a_diagnosis())))
    assert "192.168.7.31, TCP port 8480" in said
    for scheme, port in (("https", 443), ("http", 80)):
        asked_for = ways_out(a_diagnosis(address=f"{scheme}://physics.school.example"))
        assert f"physics.school.example, TCP port {port}" in "\n".join(map(str, asked_for))


def test_a_certificate_is_spoken_of_under_https_and_the_missing_http_else() -> None:
    def seen(found: Diagnosis) -> str:
        return "\n".join(str(one.seen) for step in steps(found) for one in step.outcomes)

    assert "certificate" in seen(a_diagnosis(address="https://physics.school.example"))
    assert "certificate" not in seen(a_diagnosis())
    assert "secure" in seen(a_diagnosis())


@contextmanager
def answering(status: int, body: bytes, **headers: str) -> Iterator[str]:
    """A server that gives every request this answer."""

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            self.send_response(status)
            for name, value in headers.items():
                self.send_header(name, value)
            self.end_headers()
            self.wfile.write(body)

        def log_message(self, *_more: object) -> None:
            """Nothing."""

    server = HTTPServer(("127.0.0.1", 0), Handler)
    serving = threading.Thread(target=server.serve_forever)
    serving.start()
    try:
        yield f"http://127.0.0.1:{server.server_port}"
    finally:
        server.shutdown()
        serving.join()
        server.server_close()


@pytest.mark.parametrize(
    ("status", "body", "answer"),
    [(200, ALIVE, Answer.OURS), (200, b"<html>Sign in", Answer.OTHER), (502, ALIVE, Answer.OTHER)],
)
def test_only_our_server_is_taken_for_ours(status: int, body: bytes, answer: Answer) -> None:
    with answering(status, body) as address:
        assert probe(address) is answer


def test_a_server_that_sends_elsewhere_is_another() -> None:
    with answering(200, ALIVE) as ours, answering(302, b"", Location=f"{ours}/health") as other:
        assert probe(other) is Answer.OTHER


def test_a_name_that_nobody_knows_is_no_silent_server() -> None:
    assert probe("http://no-such-name.invalid:8480") is Answer.NO_SUCH_NAME


def test_a_port_without_a_server_refuses() -> None:
    assert probe(f"http://127.0.0.1:{free_port()}") is Answer.REFUSED


def test_this_machine_is_diagnosed_as_its_settings_say() -> None:
    told = {"PLUMBFALL_BASE_ADDRESS": f"http://127.0.0.1:{free_port()}", "PLUMBFALL_HOST": "127.0.0.1"}
    seen = diagnose(Settings.from_environment(told))
    assert (seen.address, seen.listens_on) == (told["PLUMBFALL_BASE_ADDRESS"], "127.0.0.1")
    assert (seen.is_configured, seen.answer) == (True, Answer.REFUSED)
    assert not diagnose(Settings.from_environment({})).is_configured
