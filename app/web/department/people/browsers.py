"""What a browser says that it is, in plain words: "Firefox" on "Android". Nothing else of it is kept."""

from __future__ import annotations

from flask_babel import gettext

from app.practicals.people.sessions import Browser

NAMES = (
    ("Edg", "Edge"),
    ("OPR/", "Opera"),
    ("SamsungBrowser/", "Samsung Internet"),
    ("Firefox/", "Firefox"),
    ("FxiOS/", "Firefox"),
    ("Chrome/", "Chrome"),
    ("CriOS/", "Chrome"),
    ("Safari/", "Safari"),
)
"""What stands in the line that a browser sends, in the order in which it tells them apart: each of them names
others too (common practice, no source)."""
SYSTEMS = (
    ("Android", "Android"),
    ("iPhone", "iPhone"),
    ("iPad", "iPad"),
    ("Windows", "Windows"),
    ("CrOS", "ChromeOS"),
    ("Mac OS X", "macOS"),
    ("Linux", "Linux"),
)


def browser_of(sent: str) -> Browser:
    """The browser behind the header `User-Agent`."""
    name = next((name for mark, name in NAMES if mark in sent), "")
    system = next((system for mark, system in SYSTEMS if mark in sent), "")
    return Browser(name, system)


def in_words(browser: Browser) -> str:
    """The same for reading."""
    if browser.name and browser.system:
        return gettext("%(browser)s on %(system)s", browser=browser.name, system=browser.system)
    return browser.name or browser.system or gettext("a browser that does not say its name")
