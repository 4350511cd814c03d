"""Recipes that ship with the program: files for other programs, filled with this installation's settings.

Each is one text that can be kept as a file of its own and says in its head what it is for, what it was tried
on and how it is put in place. Where a recipe has `<<name>>`, the setting of that name stands afterwards.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from importlib.resources import files
from urllib.parse import urlsplit

from app.reach.addresses import as_address
from app.settings import Settings
from app.words import N_

_PLACE = re.compile(r"<<([a-z_]+)>>")
EXAMPLE_HOST = "physics.school.example"
"""Stands where no address for phones is set (RFC 2606)."""


@dataclass(frozen=True)
class Recipe:
    """What it is called, what it is for, and the file in this folder that has its text."""

    name: str
    what_for: str
    file: str

    def text(self, settings: Settings) -> str:
        """The recipe for this installation. No secret and no password is in it."""
        values = filling(settings)
        template = (files(__package__) / self.file).read_text(encoding="utf-8")
        return _PLACE.sub(lambda place: values[place[1]], template)


RECIPES = {
    one.name: one
    for one in (
        Recipe(
            "proxy", N_("https by a reverse proxy that fetches its certificates itself"), "proxy.caddyfile"
        ),
        Recipe(
            "systemd",
            N_("a service of Linux with a user of its own and a read-only system"),
            "plumbfall.service",
        ),
        Recipe(
            "container",
            N_("an image of several stages, not run as root, with a health check"),
            "Containerfile",
        ),
        Recipe("windows", N_("a task of Windows that starts with the computer"), "windows-task.ps1"),
        Recipe("two-servers", N_("two servers behind one proxy, on one PostgreSQL"), "two-servers.caddyfile"),
    )
}


def filling(settings: Settings) -> dict[str, str]:
    """What stands in the places of a recipe."""
    host = urlsplit(settings.base_address or "").hostname or EXAMPLE_HOST
    if as_address(host) is not None:
        host = EXAMPLE_HOST  # a certificate is for a name
    return {
        "host": host,
        "port": str(settings.port),
        "second_port": str(settings.port + 1),
        "proxy_hops": str(max(settings.proxy_hops, 1)),
    }
