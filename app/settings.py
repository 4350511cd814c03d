"""Configuration from the environment, checked at start.

Every setting has a default that suits one laptop in one classroom. A setting that cannot be
used stops the start with one sentence that names it.
"""

from __future__ import annotations

import hashlib
import os
import secrets
import socket
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from pathlib import Path
from urllib.parse import urlsplit
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

SHORTEST_KEY = 32
"""128 bits in hex."""


class SettingProblem(ValueError):
    """A setting cannot be used; the text is the sentence for the person who set it."""


def lan_address() -> str:
    """This machine's address on the school network, or 127.0.0.1 where there is none.

    A datagram socket is pointed at a documentation address (RFC 5737); nothing is sent.
    """
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))
            return str(probe.getsockname()[0])
        except OSError:
            return "127.0.0.1"


def why_not_listening(settings: Settings) -> str | None:
    """A sentence if the server could not listen where it is told to, else None."""
    family = socket.AF_INET6 if ":" in settings.host else socket.AF_INET
    with socket.socket(family, socket.SOCK_STREAM) as trial:
        trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            trial.bind((settings.host, settings.port))
        except OSError as error:
            return (
                f"port {settings.port} on {settings.host} cannot be used ({error.strerror}): "
                "stop what uses it, or choose another with --port."
            )
    return None


@dataclass(frozen=True)
class Settings:
    """What the tool needs to know about where it runs."""

    data_folder: Path
    database_url: str
    secret_key: str
    host: str
    port: int
    base_address: str | None
    proxy_hops: int
    threads: int
    time_zone: ZoneInfo | None = None
    made_anew: bool = False  # the records of a demo, which are older than nothing

    @property
    def last_known(self) -> Path | None:
        """The file beside the records that says how old they are at least, one for each database."""
        if self.made_anew:
            return None
        where = urlsplit(self.database_url)
        named = f"{where.hostname or ''}:{where.port or ''}{where.path}"  # the same whatever the password
        return self.data_folder / f"last-known-{hashlib.sha256(named.encode()).hexdigest()[:12]}"

    def local(self, moment: datetime) -> datetime:
        """This moment on the school's clock; where no zone is set, on the server's."""
        return moment.astimezone(self.time_zone)

    def local_day(self, moment: datetime) -> date:
        """The day that it is at the school at this moment."""
        return self.local(moment).date()

    @property
    def secure(self) -> bool:
        """True when phones reach the tool by https."""
        return bool(self.base_address and self.base_address.startswith("https://"))

    def address_for_phones(self) -> str:
        """The address a phone types: the configured one, else this machine's on the network."""
        if self.base_address:
            return self.base_address
        host = self.host if self.host not in ("0.0.0.0", "::", "") else lan_address()  # noqa: S104 - compared, not bound
        return f"http://{host}:{self.port}"

    def for_demo(self) -> Settings:
        """The same, with an empty SQLite database of the demo's own."""
        file = self.data_folder / "demo.db"
        for leftover in (
            file,
            file.with_name("demo.db-journal"),
            file.with_name("demo.db-wal"),
            file.with_name("demo.db-shm"),
        ):
            leftover.unlink(missing_ok=True)
        return replace(self, database_url=f"sqlite:///{file}", made_anew=True)

    @staticmethod
    def from_environment(environ: Mapping[str, str] | None = None, port: int | None = None) -> Settings:
        """Read and check the settings. Raises `SettingProblem` with one sentence."""
        env = os.environ if environ is None else environ
        folder = Path(env.get("PLUMBFALL_DATA", "instance")).expanduser().resolve()
        base = env.get("PLUMBFALL_BASE_ADDRESS") or None
        return Settings(
            data_folder=folder,
            database_url=env.get("DATABASE_URL") or f"sqlite:///{folder / 'plumbfall.db'}",
            secret_key=_long_enough(env.get("PLUMBFALL_SECRET_KEY") or _kept_secret(folder), folder),
            host=env.get("PLUMBFALL_HOST", "0.0.0.0"),  # noqa: S104 - phones on the network must reach it
            port=port or _whole(env, "PLUMBFALL_PORT", 8480, 1, 65535),
            base_address=_checked_base(base),
            proxy_hops=_whole(env, "PLUMBFALL_PROXY_HOPS", 0, 0, 5),
            threads=_whole(env, "PLUMBFALL_THREADS", 24, 2, 200),
            time_zone=_zone(env.get("PLUMBFALL_TIME_ZONE") or None),
        )


def _whole(env: Mapping[str, str], name: str, default: int, low: int, high: int) -> int:
    text = env.get(name, str(default))
    if not text.isascii() or not text.isdigit() or not low <= int(text) <= high:
        raise SettingProblem(f"{name} is “{text[:40]}”: write a whole number from {low} to {high}.")
    return int(text)


def _zone(name: str | None) -> ZoneInfo | None:
    if name is None:
        return None
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise SettingProblem(
            f"PLUMBFALL_TIME_ZONE is “{name[:40]}”: write a zone of the IANA database, as in America/Chicago."
        ) from None


def _checked_base(base: str | None) -> str | None:
    if base is None:
        return None
    parts = urlsplit(base)
    if parts.scheme not in ("http", "https") or not parts.hostname or parts.query or parts.fragment:
        raise SettingProblem(
            f"PLUMBFALL_BASE_ADDRESS is “{base[:80]}”: write the address phones use, as in https://physics.school.example."
        )
    return base.rstrip("/")


def _long_enough(key: str, folder: Path) -> str:
    """The key, unless it could be guessed: with it, form tokens could be made by anyone."""
    if len(key) < SHORTEST_KEY:
        raise SettingProblem(
            f"The signing key has fewer than {SHORTEST_KEY} characters: set PLUMBFALL_SECRET_KEY to a long "
            f"random one, or unset it and delete {folder / 'secret-key'} so that one is made."
        )
    return key


def _kept_secret(folder: Path) -> str:
    """The signing key kept beside the data, made on first use and readable by its owner only."""
    path = folder / "secret-key"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        if not path.exists():
            _make_secret(path)
        return path.read_text(encoding="ascii").strip()
    except OSError as error:
        raise SettingProblem(
            f"The data folder {folder} cannot be written ({error.strerror}): "
            "set PLUMBFALL_DATA to one that can."
        ) from error


def _make_secret(path: Path) -> None:
    """A new key, complete before the file has its name; of two that start together the first one's stays."""
    made = path.with_name(f".{path.name}.{os.getpid()}.{secrets.token_hex(4)}")
    with os.fdopen(os.open(made, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w", encoding="ascii") as file:
        file.write(secrets.token_hex(32))
    try:
        os.link(made, path)
    except FileExistsError:
        pass
    except OSError:  # a file system without links
        made.replace(path)
    finally:
        made.unlink(missing_ok=True)
