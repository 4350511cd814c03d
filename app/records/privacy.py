"""Who else on this machine can read the files that hold password hashes, readings and the signing key."""

from __future__ import annotations

import os
import stat
from collections.abc import Iterable
from pathlib import Path

from app.records.finding import Finding

# Reading a file takes its own read bit and the search bit of its folder, of the group or of the others.
_GROUP, _OTHERS = (stat.S_IRGRP, stat.S_IXGRP), (stat.S_IROTH, stat.S_IXOTH)


def finding(subject: str, files: Iterable[Path]) -> Finding:
    """Good where only their owner can read these files; else it names them and says what to do."""
    if os.name == "nt":
        return Finding(subject, "who can read them is not known on Windows: look at the folder's permissions")
    looked = sorted(files)
    open_to_others = [path for path in looked if readable_by_others(path)]
    if open_to_others:
        names = ", ".join(str(path) for path in open_to_others)
        text = f"can be read by others on this machine: {names}; take that away with chmod go-rwx"
        return Finding(subject, text, good=False)
    return Finding(subject, "only their owner can read them" if looked else "none there")


def readable_by_others(path: Path) -> bool:
    """Whether the file's group or everybody may read it and search its folder."""
    file, folder = path.stat().st_mode, path.parent.stat().st_mode
    return any(file & read and folder & search for read, search in (_GROUP, _OTHERS))


def records_beside(path: Path) -> list[Path]:
    """The database's file, what SQLite keeps beside it, and copies of it in the same folder."""
    names = (path, *path.parent.glob(f"{path.name}-*"), *path.parent.glob("*.db"))
    return [name for name in dict.fromkeys(names) if name.is_file()]


def files_in(folder: Path) -> list[Path]:
    """Every file in the folder and below it."""
    return [path for path in folder.rglob("*") if path.is_file()]
