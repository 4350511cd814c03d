"""What kind of network an address is of, and where plain http is warned of."""

from __future__ import annotations

import threading
import time
from ipaddress import ip_address

import pytest

from app.reach import addresses
from app.reach.addresses import Address, Kind, kind_of, plain_http_warning, resolved
from app.settings import Settings


@pytest.mark.parametrize(
    ("address", "interface", "kind"),
    [
        # RFC 6890 and what came after it: RFC 1918, 3927, 4193, 4291, 5737, 6598.
        ("127.0.0.1", "lo", Kind.LOOPBACK),
        ("::1", "lo", Kind.LOOPBACK),
        ("169.254.7.7", "eth0", Kind.LINK_LOCAL),
        ("fe80::1", "eth0", Kind.LINK_LOCAL),
        ("10.20.30.40", "eth0", Kind.LOCAL),
        ("172.31.255.255", "wlan0", Kind.LOCAL),
        ("172.32.0.0", "wlan0", Kind.PUBLIC),
        ("192.168.1.20", "", Kind.LOCAL),
        ("fd12::1", "wlan0", Kind.LOCAL),
        ("100.64.0.1", "wwan0", Kind.PROVIDER),
        ("100.128.0.1", "wwan0", Kind.PUBLIC),
        ("192.0.2.1", "eth0", Kind.RESERVED),
        ("10.8.0.2", "tun0", Kind.VPN),
        ("172.17.0.1", "docker0", Kind.INNER),
    ],
)
def test_an_address_is_known_by_its_network_and_its_interface(
    address: str, interface: str, kind: Kind
) -> None:
    assert kind_of(ip_address(address), interface) is kind


def warning(base: str, *behind: str) -> str | None:
    """What is said of this address for phones, whose name leads to these addresses."""
    settings = Settings.from_environment({"PLUMBFALL_BASE_ADDRESS": base})
    found: frozenset[Address] = frozenset(map(ip_address, behind))
    return plain_http_warning(settings, lambda _name: found)


@pytest.mark.parametrize(
    "base",
    [
        "http://192.168.1.20:8480",
        "http://127.0.0.1:8480",
        "http://[fe80::1]:8480",
        "http://[fd00::5]:8480",
        "http://100.64.0.9",
        "http://classroom:8480",
        "http://classroom.local:8480",
        "https://8.8.8.8",
    ],
)
def test_plain_http_on_a_private_network_and_https_anywhere_are_not_warned_of(base: str) -> None:
    assert warning(base) is None


@pytest.mark.parametrize("base", ["http://8.8.8.8:8480", "http://[2001:4860:4860::8888]"])
def test_plain_http_at_a_public_address_is_warned_of_with_the_recipe(base: str) -> None:
    said = warning(base)
    assert said is not None
    assert said.startswith(base)
    assert "plumbfall recipe proxy" in said


def test_a_name_is_resolved_to_all_its_addresses_and_waited_for_a_while_only(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    assert ip_address("127.0.0.1") in resolved("localhost")
    assert resolved("no-such-name.invalid") == frozenset()
    monkeypatch.setattr(addresses, "RESOLVED_WITHIN_SECONDS", 0.05)

    def in_a_while(*_asked: object) -> list[object]:
        time.sleep(1)
        return []

    monkeypatch.setattr("socket.getaddrinfo", in_a_while)
    assert resolved("slow.example") == frozenset()
    waiting = [one for one in threading.enumerate() if one.name == "resolving"]
    assert waiting
    assert all(one.daemon for one in waiting), "it keeps no command from ending"


def test_a_name_is_as_private_as_what_it_leads_to() -> None:
    assert warning("http://physics.school.example", "10.1.2.3") is None
    assert warning("http://physics.school.example", "10.1.2.3", "8.8.8.8") is not None
    assert warning("http://physics.school.example") is not None, "nobody knows where it leads"
