"""This machine's addresses and its firewall, as far as anybody may know them without being its administrator.

Nothing is changed. What the system's own programs do not tell in time stays unknown.
"""

from __future__ import annotations

import json
import re
import shutil
import socket
import subprocess  # nosec B404 - with fixed commands alone
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from app.reach.addresses import OwnAddress, as_address
from app.settings import lan_address

TOLD_WITHIN_SECONDS = 5
"""How long a program of the system may take: our own choice."""
_BESIDE_PATH = "/usr/sbin:/sbin"
_INTERFACE = re.compile(r"^(\w[\w.-]*):")
_INET = re.compile(r"^\s+inet6? (\S+)")


def own_addresses() -> tuple[OwnAddress, ...]:
    """Every address of this machine, once, with its interface where the system names it."""
    if sys.platform == "linux":
        found = addresses_in_json(_told(("ip", "-json", "address")))
    elif sys.platform == "win32":
        found = []
    else:
        found = addresses_in_lines(_told(("ifconfig", "-a")))
    found = found or _of_this_name()
    known = {one.address for one in found}
    usual = as_address(lan_address())
    if usual is not None and usual not in known:
        found.append(OwnAddress(usual))
    return tuple(dict.fromkeys(found))


def addresses_in_json(told: str) -> list[OwnAddress]:
    """What Linux's `ip -json address` lists."""
    try:
        links = json.loads(told or "[]")
    except ValueError:
        return []
    return [
        OwnAddress(address, link.get("ifname", ""))
        for link in links
        for one in link.get("addr_info", ())
        if (address := as_address(one.get("local", ""))) is not None
    ]


def addresses_in_lines(told: str) -> list[OwnAddress]:
    """What `ifconfig -a` lists on macOS and the BSDs."""
    found, interface = [], ""
    for line in told.splitlines():
        if begins := _INTERFACE.match(line):
            interface = begins[1]
        elif (inet := _INET.match(line)) and (address := as_address(inet[1])) is not None:
            found.append(OwnAddress(address, interface))
    return found


def _of_this_name() -> list[OwnAddress]:
    """The addresses of this machine's own name: on Windows that is all of them."""
    try:
        answers = socket.getaddrinfo(socket.gethostname(), None)
    except OSError:
        return []
    return [OwnAddress(one) for answer in answers if (one := as_address(str(answer[4][0]))) is not None]


@dataclass(frozen=True)
class Firewall:
    """`is_on` is None where nobody but the administrator can tell. `look` and `let_in` are commands."""

    name: str
    is_on: bool | None
    look: str
    let_in: str


def firewall(port: int) -> Firewall:
    """The firewall of this machine, and how to let phones through it."""
    if sys.platform == "win32":
        return _windows(port)
    if sys.platform == "darwin":
        return _mac()
    return _linux(port)


def _linux(port: int, ufw: Path = Path("/etc/ufw/ufw.conf")) -> Firewall:
    try:
        ufw_is_on = "ENABLED=yes" in ufw.read_text(encoding="utf-8", errors="replace")
    except OSError:
        ufw_is_on = False
    if ufw_is_on:
        return Firewall("ufw", True, "sudo ufw status", f"sudo ufw allow {port}/tcp")
    if _is_active("firewalld"):
        return Firewall(
            "firewalld",
            True,
            "sudo firewall-cmd --list-all",
            f"sudo firewall-cmd --permanent --add-port={port}/tcp && sudo firewall-cmd --reload",
        )
    let_in = f"sudo nft insert rule inet filter input tcp dport {port} accept"
    return Firewall("nftables", True if _is_active("nftables") else None, "sudo nft list ruleset", let_in)


def _is_active(service: str) -> bool:
    return _told(("systemctl", "is-active", service)).strip() == "active"


def _mac() -> Firewall:
    """The firewall that macOS brings; not tried on one."""
    told = _told(("/usr/libexec/ApplicationFirewall/socketfilterfw", "--getglobalstate"))
    where = "System Settings, Network, Firewall, Options"
    return Firewall("macOS", mac_is_on(told), where, f"{where}: allow incoming connections for Python")


def mac_is_on(told: str) -> bool | None:
    """Whether `socketfilterfw --getglobalstate` says that it is on; None where it says nothing."""
    state = re.search(r"State = ([012])", told)
    return None if state is None else state[1] != "0"


def _windows(port: int) -> Firewall:
    """The firewall that Windows brings, as its registry says of private networks; not tried on one."""
    rule = (
        "New-NetFirewallRule -DisplayName Plumbfall -Direction Inbound -Protocol TCP "
        f"-LocalPort {port} -Action Allow"
    )
    look = "Get-NetFirewallProfile | Select-Object Name, Enabled"
    return Firewall("Windows", _windows_is_on(), look, f"{rule} (PowerShell, as administrator)")


def _windows_is_on() -> bool | None:
    if sys.platform != "win32":
        return None
    import winreg  # noqa: PLC0415 - Windows alone has it

    place = r"SYSTEM\CurrentControlSet\Services\SharedAccess\Parameters\FirewallPolicy"
    states = []
    for profile in ("StandardProfile", "PublicProfile"):
        try:
            with winreg.OpenKey(winreg.HKEY_LOCAL_MACHINE, rf"{place}\{profile}") as key:
                states.append(bool(winreg.QueryValueEx(key, "EnableFirewall")[0]))
        except OSError:
            continue
    return any(states) if states else None


def _told(command: Sequence[str]) -> str:
    """What a program of the system prints, whatever its status; empty where it is not there or too slow."""
    program = shutil.which(command[0]) or shutil.which(command[0], path=_BESIDE_PATH)
    if program is None:
        return ""
    try:
        done = subprocess.run(  # nosec B603 # noqa: S603 - the commands are those above, no word of them from outside
            [program, *command[1:]], capture_output=True, text=True, timeout=TOLD_WITHIN_SECONDS, check=False
        )
    except (OSError, subprocess.SubprocessError, ValueError):
        return ""
    return done.stdout
