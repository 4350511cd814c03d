"""Where the files that travel with the code are found, in a checkout and in a wheel."""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent


def _folder(name: str) -> Path:
    bundled = _PACKAGE / "bundled" / name
    return bundled if bundled.is_dir() else _PACKAGE.parent / name


def templates_dir() -> Path:
    """The page templates."""
    return _folder("templates")


def static_dir() -> Path:
    """Stylesheets, scripts and icons."""
    return _folder("static")


def migrations_dir() -> Path:
    """The Alembic environment and its versions."""
    return _folder("migrations")


def translations_dir() -> Path:
    """The message catalogues, one folder a language."""
    return _PACKAGE / "translations"
