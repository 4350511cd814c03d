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
from datetime import date, datetime, time, timedelta
from functools import cached_property
from pathlib import Path
from urllib.parse import urlsplit
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from platformdirs import user_data_path

from app import declared_settings as declared
from app.declared_settings import Setting
from app.private import make_private_folder, open_private

SHORTEST_KEY = 32
"""128 bits in hex."""
DATABASE_FILE, KEY_FILE, DEMO_FOLDER, DEMO_FILE = "plumbfall.db", "secret-key", "demo", "demo.db"
FOLDER_HERE = "instance"
"""Where the first version kept its data, in whatever folder it was started."""


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
    """What the tool needs to know about where it runs.

    `folder_note` is a sentence for whoever starts a command where the data folder is the one in the current
    folder; `configured_key` is None where the signing key is kept in the data folder.
    """

    data_folder: Path
    folder_note: str
    database_url: str
    configured_key: str | None
    host: str
    port: int
    base_address: str | None
    proxy_hops: int
    threads: int
    idle: timedelta = timedelta(minutes=int(declared.IDLE_MINUTES.default))
    time_zone: ZoneInfo | None = None
    backup_folder: Path | None = None
    backup_hours: tuple[int, ...] = (int(declared.BACKUP_HOURS.default),)
    backup_keep: int = int(declared.BACKUP_KEEP.default)
    log_form: str = declared.LOG.default
    made_anew: bool = False  # a demo's records: empty at each start, so that their age is not kept

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

    def midnight_after(self, day: date) -> datetime:
        """The moment at which this day ends at the school."""
        return self.moment_on(day + timedelta(days=1), time.min)

    def moment_on(self, day: date, at: time) -> datetime:
        """The moment at which the school's clock shows this time on this day."""
        shown = datetime.combine(day, at)
        return shown.replace(tzinfo=self.time_zone) if self.time_zone else shown.astimezone()

    @cached_property
    def secret_key(self) -> str:
        """The signing key; a server without a configured one makes a file of it when it first needs it."""
        return _long_enough(self.configured_key or _kept_secret(self.data_folder), self.data_folder)

    @property
    def secure(self) -> bool:
        """True when phones reach the tool by https."""
        return bool(self.base_address and self.base_address.startswith("https://"))

    def address_for_phones(self) -> str:
        """The address a phone types: the configured one, else this machine's on the network."""
        return self.base_address or self._address_at(lan_address() if self._everywhere else self.host)

    def address_for_teacher(self) -> str:
        """The address a teacher opens: the configured one, else one that works on this machine."""
        return self.base_address or self._address_at("127.0.0.1" if self._everywhere else self.host)

    @property
    def _everywhere(self) -> bool:
        return self.host in ("0.0.0.0", "::", "")  # nosec B104 # noqa: S104 - compared, not bound

    def _address_at(self, host: str) -> str:
        return f"http://{f'[{host}]' if ':' in host else host}:{self.port}"

    @property
    def demo_address(self) -> str:
        """The address of the demo's own database."""
        return f"sqlite:///{self.data_folder / DEMO_FOLDER / DEMO_FILE}"

    def for_demo(self) -> Settings:
        """The same, with a folder of the demo's own and an empty SQLite database in it."""
        folder = self.data_folder / DEMO_FOLDER
        for ending in ("", "-journal", "-wal", "-shm"):
            (folder / (DEMO_FILE + ending)).unlink(missing_ok=True)
        return replace(
            self, data_folder=folder, database_url=self.demo_address, made_anew=True, backup_folder=None
        )

    @staticmethod
    def from_environment(environ: Mapping[str, str] | None = None, port: int | None = None) -> Settings:
        """Read and check the settings; nothing is made. Raises `SettingProblem` with one sentence."""
        env = os.environ if environ is None else environ
        folder, note = _data_folder(env)
        key = env.get(declared.SECRET_KEY.name) or None
        return Settings(
            data_folder=folder,
            folder_note=note,
            database_url=env.get(declared.DATABASE.name) or f"sqlite:///{folder / DATABASE_FILE}",
            configured_key=_long_enough(key, folder) if key else None,
            host=env.get(declared.HOST.name, declared.HOST.default),
            port=port or _whole(env, declared.PORT),
            base_address=_checked_base(env.get(declared.BASE_ADDRESS.name) or None),
            proxy_hops=_whole(env, declared.PROXY_HOPS),
            threads=_whole(env, declared.THREADS),
            idle=timedelta(minutes=_whole(env, declared.IDLE_MINUTES)),
            time_zone=_zone(env.get(declared.TIME_ZONE.name) or None),
            backup_folder=_folder_named(env, declared.BACKUP_FOLDER),
            backup_hours=_hours(env, declared.BACKUP_HOURS),
            backup_keep=_whole(env, declared.BACKUP_KEEP),
            log_form=_one_of(env, declared.LOG),
        )


def _data_folder(env: Mapping[str, str]) -> tuple[Path, str]:
    """The folder for the records and the key, wherever a command is started, and a note if that matters."""
    if named := env.get(declared.DATA.name):
        return Path(named).expanduser().resolve(), ""
    usual = user_data_path("plumbfall", appauthor=False)
    if not usual.is_absolute():
        raise SettingProblem("This user has no home folder to keep data in: set PLUMBFALL_DATA to a folder.")
    here = Path.cwd() / FOLDER_HERE
    if here == usual or not any(os.path.exists(here / name) for name in (DATABASE_FILE, KEY_FILE)):
        return usual, ""
    others = ", where there are other records" if os.path.exists(usual / DATABASE_FILE) else ""
    return here, (
        f"The folder “{FOLDER_HERE}” in the current folder is used. Commands started elsewhere use "
        f"{usual}{others}: move the files there, or set PLUMBFALL_DATA."
    )


def _whole(env: Mapping[str, str], setting: Setting) -> int:
    low, high = setting.least or 0, setting.most or 0
    text = env.get(setting.name, setting.default)
    if not text.isascii() or not text.isdigit() or not low <= int(text) <= high:
        raise SettingProblem(f"{setting.name} is “{text[:40]}”: write a whole number from {low} to {high}.")
    return int(text)


def _folder_named(env: Mapping[str, str], setting: Setting) -> Path | None:
    named = env.get(setting.name)
    return Path(named).expanduser().resolve() if named else None


def _one_of(env: Mapping[str, str], setting: Setting) -> str:
    word = env.get(setting.name) or setting.default
    if word not in setting.words:
        raise SettingProblem(f"{setting.name} is “{word[:40]}”: write {' or '.join(setting.words)}.")
    return word


def _hours(env: Mapping[str, str], setting: Setting) -> tuple[int, ...]:
    """Hours of the school's clock, as in 12,17."""
    text = env.get(setting.name) or setting.default
    parts = [part.strip() for part in text.split(",")]
    if not all(part.isascii() and part.isdigit() and int(part) <= 23 for part in parts):
        raise SettingProblem(f"{setting.name} is “{text[:40]}”: write hours from 0 to 23, as in 17 or 12,17.")
    return tuple(sorted({int(part) for part in parts}))


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
            f"random one, or unset it and delete {folder / KEY_FILE} so that one is made."
        )
    return key


def _kept_secret(folder: Path) -> str:
    """The signing key kept beside the data, made on first use and readable by its owner only."""
    path = folder / KEY_FILE
    try:
        make_private_folder(folder)
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
    with os.fdopen(open_private(made, os.O_WRONLY | os.O_CREAT | os.O_EXCL), "w", encoding="ascii") as file:
        file.write(secrets.token_hex(32))
    try:
        os.link(made, path)
    except FileExistsError:
        pass
    except OSError:  # a file system without links
        made.replace(path)
    finally:
        made.unlink(missing_ok=True)
