"""This machine's addresses, from what the systems' own programs print, and its firewall."""

from __future__ import annotations

import sys
from contextlib import nullcontext
from ipaddress import ip_address
from pathlib import Path
from types import SimpleNamespace

import pytest

from app.reach import machine
from app.reach.addresses import Kind, OwnAddress

# The form of `ip -json address` (iproute2 6.1) on a laptop with Wi-Fi and a tunnel; addresses invented.
LINUX = """[{"ifindex":1,"ifname":"lo","addr_info":[{"family":"inet","local":"127.0.0.1","prefixlen":8}]},
{"ifindex":3,"ifname":"wlp2s0","operstate":"UP","addr_info":[{"family":"inet","local":"192.168.7.31","prefixlen":24},
{"family":"inet6","local":"fe80::5054:ff:fe12:3456","prefixlen":64,"scope":"link"}]},
{"ifindex":5,"ifname":"tun0","addr_info":[{"family":"inet","local":"10.8.0.6","prefixlen":32}]},{}]"""

# The form of `ifconfig -a` on macOS, from memory; addresses invented.
MAC = """lo0: flags=8049<UP,LOOPBACK,RUNNING,MULTICAST> mtu 16384
\tinet 127.0.0.1 netmask 0xff000000
en0: flags=8863<UP,BROADCAST,SMART,RUNNING,SIMPLEX,MULTICAST> mtu 1500
\tether 3c:22:fb:00:00:00
\tinet6 fe80::1c2f:aaaa:bbbb:cccc%en0 prefixlen 64 secured scopeid 0x6
\tinet 192.168.7.32 netmask 0xffffff00 broadcast 192.168.7.255
"""


def test_addresses_come_with_the_interface_that_they_belong_to() -> None:
    linux = {str(one): one.kind for one in machine.addresses_in_json(LINUX)}
    assert linux == {
        "127.0.0.1 (lo)": Kind.LOOPBACK,
        "192.168.7.31 (wlp2s0)": Kind.LOCAL,
        "fe80::5054:ff:fe12:3456 (wlp2s0)": Kind.LINK_LOCAL,
        "10.8.0.6 (tun0)": Kind.VPN,
    }
    assert [str(one) for one in machine.addresses_in_lines(MAC)] == [
        "127.0.0.1 (lo0)",
        "fe80::1c2f:aaaa:bbbb:cccc (en0)",
        "192.168.7.32 (en0)",
    ]


def test_a_machine_whose_programs_say_nothing_still_has_an_address() -> None:
    assert machine.addresses_in_json("") == machine.addresses_in_json("no such option") == []
    assert machine.own_addresses()


def test_a_firewall_that_is_on_is_named_with_the_command_that_lets_phones_in(tmp_path: Path) -> None:
    settings = tmp_path / "ufw.conf"
    settings.write_text("ENABLED=yes\nLOGLEVEL=low\n")
    found = machine._linux(8480, settings)
    assert (found.name, found.is_on, found.let_in) == ("ufw", True, "sudo ufw allow 8480/tcp")
    settings.write_text("ENABLED=no\n")
    assert machine._linux(8480, settings).name != "ufw"


def a_program(folder: Path, name: str, lines: str) -> None:
    """A shell script of this name in the folder."""
    file = folder / name
    file.write_text(f"#!/bin/sh\n{lines}\n")
    file.chmod(0o755)


@pytest.fixture
def programs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder before all others on the path."""
    monkeypatch.setenv("PATH", f"{tmp_path}:/usr/bin:/bin")
    return tmp_path


@pytest.mark.skipif(sys.platform != "linux", reason="another system has programs of its own")
@pytest.mark.parametrize(
    ("leads_out", "more"), [("192.168.7.31", []), ("192.168.7.32", ["192.168.7.32"]), ("", [])]
)
def test_this_machines_addresses_are_those_that_its_own_program_tells_and_the_one_that_leads_out(
    programs: Path, monkeypatch: pytest.MonkeyPatch, leads_out: str, more: list[str]
) -> None:
    a_program(programs, "ip", f"test \"$*\" = '-json address' && cat <<'END'\n{LINUX}\nEND")
    monkeypatch.setattr(machine, "lan_address", lambda: leads_out)
    told = [
        "127.0.0.1 (lo)",
        "192.168.7.31 (wlp2s0)",
        "fe80::5054:ff:fe12:3456 (wlp2s0)",
        "10.8.0.6 (tun0)",
    ]
    assert [str(one) for one in machine.own_addresses()] == [*told, *more]


def test_a_machine_is_asked_by_its_name_where_no_program_tells(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("socket.gethostname", lambda: "localhost")
    assert {str(one) for one in machine._of_this_name()} >= {"127.0.0.1"}
    monkeypatch.setattr("socket.gethostname", lambda: "no such name.invalid")
    assert machine._of_this_name() == []


@pytest.mark.parametrize(
    ("active", "name", "is_on", "let_in"),
    [
        ("firewalld", "firewalld", True, "--add-port=8480/tcp"),
        ("nftables", "nftables", True, "tcp dport 8480 accept"),
        ("nothing", "nftables", None, "tcp dport 8480 accept"),
    ],
)
def test_a_service_that_is_active_is_the_firewall(
    programs: Path, active: str, name: str, is_on: bool | None, let_in: str
) -> None:
    """`systemctl is-active` prints one word, and ends with a status other than 0 unless that is "active"."""
    a_program(programs, "systemctl", f'[ "$2" = {active} ] && echo active || {{ echo inactive; exit 3; }}')
    found = machine._linux(8480, programs / "no-such-file")
    assert (found.name, found.is_on) == (name, is_on)
    assert let_in in found.let_in


def test_what_a_program_prints_counts_whatever_its_status_and_one_that_hangs_says_nothing(
    programs: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    a_program(programs, "telling", "echo told; exit 3")
    assert machine._told(("telling",)) == "told\n"
    assert machine._told(("no-such-program-here",)) == ""
    monkeypatch.setattr(machine, "TOLD_WITHIN_SECONDS", 0.2)
    a_program(programs, "hanging", "echo told; exec sleep 20")
    assert machine._told(("hanging",)) == ""


@pytest.mark.parametrize(
    ("told", "is_on"),
    [
        # `socketfilterfw --getglobalstate` of macOS 14, from memory.
        ("Firewall is disabled. (State = 0)", False),
        ("Firewall is enabled. (State = 1)", True),
        ("Firewall is blocking all non-essential incoming connections. (State = 2)", True),
        ("", None),
    ],
)
def test_the_firewall_of_macos_says_whether_it_is_on(told: str, is_on: bool | None) -> None:
    assert machine.mac_is_on(told) is is_on


@pytest.mark.parametrize(
    ("system", "asked", "firewall"),
    [
        ("linux", "192.168.7.31 (of ip)", "nftables"),
        ("darwin", "192.168.7.32 (en0)", "macOS"),
        ("win32", "192.168.7.33", "Windows"),
    ],
)
def test_each_system_is_asked_its_own_way(
    programs: Path, monkeypatch: pytest.MonkeyPatch, system: str, asked: str, firewall: str
) -> None:
    a_program(programs, "ip", f"cat <<'END'\n{LINUX.replace('wlp2s0', 'of ip')}\nEND")
    a_program(programs, "ifconfig", f"test \"$*\" = -a && cat <<'END'\n{MAC}\nEND")
    a_program(programs, "systemctl", "exit 3")
    monkeypatch.setattr(machine, "_of_this_name", lambda: [OwnAddress(ip_address("192.168.7.33"))])
    monkeypatch.setattr(machine, "_windows_is_on", lambda: None)  # the registry is there alone
    monkeypatch.setattr("sys.platform", system)
    assert asked in {str(one) for one in machine.own_addresses()}
    assert machine.firewall(8480).name == firewall


@pytest.mark.parametrize(
    ("standard", "public", "is_on"),
    [(1, 0, True), (0, 1, True), (0, 0, False), (0, None, False), (None, 1, True), (None, None, None)],
)
def test_the_firewall_of_windows_is_on_where_either_profile_says_so(
    monkeypatch: pytest.MonkeyPatch, standard: int | None, public: int | None, is_on: bool | None
) -> None:
    """A stand-in for the registry, with the two calls as Python's documentation of `winreg` has them: a value
    comes with its type, and a key that is not there is an OSError. Not tried on Windows."""
    policy = r"SYSTEM\CurrentControlSet\Services\SharedAccess\Parameters\FirewallPolicy"
    values = {rf"{policy}\StandardProfile": standard, rf"{policy}\PublicProfile": public}

    def open_key(of: str, name: str) -> nullcontext[int]:
        value = values[name] if of == "HKLM" else None
        if value is None:
            raise FileNotFoundError(name)
        return nullcontext(value)

    registry = SimpleNamespace(
        HKEY_LOCAL_MACHINE="HKLM",
        OpenKey=open_key,
        QueryValueEx=lambda key, name: ({"EnableFirewall": key}[name], 4),
    )
    monkeypatch.setitem(sys.modules, "winreg", registry)
    monkeypatch.setattr("sys.platform", "win32")
    assert machine.firewall(8480).is_on is is_on


def test_the_registry_is_not_looked_for_elsewhere(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "winreg", None)  # an import of it would fail
    monkeypatch.setattr("sys.platform", "linux")
    assert machine._windows(8480).is_on is None
