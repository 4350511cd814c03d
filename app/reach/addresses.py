"""What kind of network an address is of, and whether plain http may be used there."""

from __future__ import annotations

import socket
import threading
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from ipaddress import IPv4Address, IPv6Address, ip_address, ip_network
from urllib.parse import urlsplit

from app.settings import Settings
from app.words import N_, Message

Address = IPv4Address | IPv6Address

LOCAL_NETWORKS = tuple(
    map(ip_network, ("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "fc00::/7"))  # RFC 1918, RFC 4193
)
PROVIDERS = ip_network("100.64.0.0/10")  # RFC 6598
LOCAL_NAMES = (".local", ".home.arpa", ".internal")
"""Endings of names that no public network has: RFC 6762, RFC 8375, ICANN's resolution of 29 July 2024."""
RESOLVED_WITHIN_SECONDS = 2.0
"""How long a name may take to be looked up: our own choice, the server's start waits for it."""
VPN_INTERFACES = ("tun", "tap", "wg", "ppp", "utun", "ipsec")
INNER_INTERFACES = ("docker", "podman", "veth", "br-", "virbr", "vmnet", "vboxnet", "cni", "lxc")
"""How names of interfaces begin: of tunnels, of networks inside the machine. Common practice, no source."""


class Kind(StrEnum):
    """What an address is good for."""

    LOOPBACK = "loopback"
    LINK_LOCAL = "link-local"
    LOCAL = "local"
    VPN = "vpn"
    INNER = "inner"
    PROVIDER = "provider"
    PUBLIC = "public"
    RESERVED = "reserved"


KIND_WORDS = {
    Kind.LOOPBACK: Message(N_("reaches this computer alone, never from a phone")),
    Kind.LINK_LOCAL: Message(N_("made up by this computer, because the network gave it none")),
    Kind.LOCAL: Message(N_("of a local network: phones on the same network may reach it")),
    Kind.VPN: Message(N_("looks like a VPN: the phones in the room are not in it")),
    Kind.INNER: Message(N_("of a network inside this computer (containers, virtual machines)")),
    Kind.PROVIDER: Message(N_("shared out by a provider, as on mobile data: phones seldom reach it")),
    Kind.PUBLIC: Message(N_("public: perhaps the whole internet reaches it")),
    Kind.RESERVED: Message(N_("reserved for special use")),
}


@dataclass(frozen=True)
class OwnAddress:
    """One of this machine's addresses; the interface is empty where its name is not known."""

    address: Address
    interface: str = ""

    @property
    def kind(self) -> Kind:
        """What it is good for."""
        return kind_of(self.address, self.interface)

    def __str__(self) -> str:
        return f"{self.address} ({self.interface})" if self.interface else str(self.address)


def kind_of(address: Address, interface: str = "") -> Kind:
    """What an address is good for, the interface it belongs to being asked first."""
    if address.is_loopback:
        return Kind.LOOPBACK
    if interface.startswith(VPN_INTERFACES):
        return Kind.VPN
    if interface.startswith(INNER_INTERFACES):
        return Kind.INNER
    if address.is_link_local:
        return Kind.LINK_LOCAL
    if any(address in network for network in LOCAL_NETWORKS):
        return Kind.LOCAL
    if address in PROVIDERS:
        return Kind.PROVIDER
    return Kind.PUBLIC if address.is_global else Kind.RESERVED


def as_address(host: str) -> Address | None:
    """The address that a host is written as; None for a name."""
    try:
        return ip_address(host.partition("%")[0])
    except ValueError:
        return None


Resolve = Callable[[str], frozenset[Address]]


def resolved(host: str) -> frozenset[Address]:
    """The addresses behind a name; none where nobody knows it, or nobody answers in time."""
    found: list[frozenset[Address]] = []

    def ask() -> None:
        try:
            answers = socket.getaddrinfo(host, None)
        except (OSError, UnicodeError):
            return
        found.append(frozenset(filter(None, (as_address(str(answer[4][0])) for answer in answers))))

    asking = threading.Thread(target=ask, name="resolving", daemon=True)
    asking.start()
    asking.join(RESOLVED_WITHIN_SECONDS)
    return found[0] if found else frozenset()


def plain_http_warning(settings: Settings, resolve: Resolve = resolved) -> str | None:
    """A sentence where phones and teachers would use plain http beyond a private network, else None."""
    address = settings.address_for_phones()
    host = urlsplit(address).hostname or ""
    if settings.secure or not _is_public(host, resolve):
        return None
    return (
        f"{address} is plain http on a network that is not private: passwords and readings can be read on"
        " the way. Put a proxy with a certificate in front: plumbfall recipe proxy."
    )


def _is_public(host: str, resolve: Resolve) -> bool:
    """Whether a host is on a public network. A name that nobody can look up is taken for public."""
    address = as_address(host)
    if address is not None:
        return address.is_global
    if "." not in host or host.endswith(LOCAL_NAMES):
        return False
    behind = resolve(host)
    return not behind or any(one.is_global for one in behind)
