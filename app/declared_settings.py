"""The settings, each declared once: its name, what it does, what stands in for it, and its bounds.

`app.settings` reads and checks them; the guide describes them in the reader's language.
"""

from __future__ import annotations

from dataclasses import dataclass

from app.words import N_, Message


@dataclass(frozen=True)
class Setting:
    """One environment variable.

    `default` is its text where it is not set; where that depends on the machine, `otherwise` says in words
    what stands in for it. `least` and `most` are the bounds of a whole number.
    """

    name: str
    what: Message
    default: str = ""
    otherwise: Message | None = None
    least: int | None = None
    most: int | None = None
    words: tuple[str, ...] = ()
    """The words that it may be."""


DATABASE = Setting(
    "DATABASE_URL",
    Message(N_("Where the records are: a PostgreSQL address when several servers share one database.")),
    otherwise=Message(N_("a SQLite file in the data folder")),
)
DATA = Setting(
    "PLUMBFALL_DATA",
    Message(N_("The folder for the database and the signing key.")),
    otherwise=Message(N_("the user's data folder")),
)
BASE_ADDRESS = Setting(
    "PLUMBFALL_BASE_ADDRESS",
    Message(N_("The address that join links and QR codes carry, as phones reach it.")),
    otherwise=Message(N_("this machine's network address")),
)
HOST = Setting(
    "PLUMBFALL_HOST",
    Message(
        N_("The address of this machine on which the server listens; 127.0.0.1 admits this machine alone.")
    ),
    default="0.0.0.0",  # nosec B104 # noqa: S104 - phones on the network must reach it
)
PORT = Setting(
    "PLUMBFALL_PORT", Message(N_("The port on which the server listens.")), "8480", least=1, most=65535
)
THREADS = Setting(
    "PLUMBFALL_THREADS", Message(N_("How many requests are answered at once.")), "24", least=2, most=200
)
IDLE_MINUTES = Setting(
    "PLUMBFALL_IDLE_MINUTES",
    Message(
        N_(
            "After how many minutes in which a teacher does nothing a sign-in ends. A page that only follows"
            " the class does nothing."
        )
    ),
    "240",
    least=5,
    most=720,
)
TIME_ZONE = Setting(
    "PLUMBFALL_TIME_ZONE",
    Message(
        N_(
            "The school's time zone, as in America/Chicago: the day that it is, for delete-after days, and"
            " the times shown."
        )
    ),
    otherwise=Message(N_("the server's own zone")),
)
BACKUP_FOLDER = Setting(
    "PLUMBFALL_BACKUP_FOLDER",
    Message(
        N_(
            "The folder, which has to be there, into which a running server backs SQLite records up by the"
            " clock."
        )
    ),
    otherwise=Message(N_("none: no backups by the clock")),
)
BACKUP_HOURS = Setting(
    "PLUMBFALL_BACKUP_HOURS",
    Message(
        N_(
            "At which full hours of the school's clock it does, as in 7,17. A backup that was missed is made"
            " at the next start."
        )
    ),
    "17",
)
BACKUP_KEEP = Setting(
    "PLUMBFALL_BACKUP_KEEP",
    Message(N_("How many of these backups stay. Each installation needs a folder of its own.")),
    "14",
    least=1,
    most=1000,
)
LOG = Setting(
    "PLUMBFALL_LOG",
    Message(N_("The form of the server's log on standard error.")),
    "plain",
    words=("plain", "json"),
)
PROXY_HOPS = Setting(
    "PLUMBFALL_PROXY_HOPS",
    Message(N_("How many proxies of yours stand in front of the server.")),
    "0",
    least=0,
    most=5,
)
SECRET_KEY = Setting(
    "PLUMBFALL_SECRET_KEY",
    Message(
        N_(
            "The signing key, a long random text. All servers of one department need the same; with a new one"
            " open forms have to be loaded again."
        )
    ),
    otherwise=Message(N_("a file in the data folder, made at the first start")),
)

SETTINGS = (
    DATABASE,
    DATA,
    BASE_ADDRESS,
    HOST,
    PORT,
    THREADS,
    IDLE_MINUTES,
    TIME_ZONE,
    BACKUP_FOLDER,
    BACKUP_HOURS,
    BACKUP_KEEP,
    LOG,
    PROXY_HOPS,
    SECRET_KEY,
)
"""In the order in which a school meets them."""
