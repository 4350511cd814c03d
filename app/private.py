"""Files and folders that only their owner may open: they hold readings, names and password hashes."""

from __future__ import annotations

import os
from pathlib import Path


def make_private_folder(folder: Path) -> None:
    """Make the folder, and those above it with the usual modes; one that is there stays as it is."""
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)


def open_private(path: Path, flags: int) -> int:
    """A descriptor of the file. A new file is private; one that is there keeps its mode."""
    return os.open(path, flags, 0o600)
