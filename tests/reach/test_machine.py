"""This machine's addresses, from what the systems' own programs print, and its firewall."""

from __future__ import annotations

from pathlib import Path

from app.reach import machine
from app.reach.addresses import Kind

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
