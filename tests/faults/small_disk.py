"""A real file system of a few megabytes, which a test can fill, or mount so that nobody may write."""

from __future__ import annotations

import os
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest

MEGABYTES = 8


@dataclass(frozen=True)
class SmallDisk:
    """Where it is mounted."""

    path: Path

    @contextmanager
    def full(self, left: int = 0) -> Iterator[None]:
        """Not more than so many bytes are free until the block ends."""
        filler = self.path / "filler"
        size = max(self._free() - left, 0)
        filler.write_bytes(bytes(size))
        try:
            yield
        finally:
            filler.unlink()

    @contextmanager
    def read_only(self) -> Iterator[None]:
        """Nothing can be written until the block ends; whoever has a file open to write closes it before."""
        self._remount("ro")
        try:
            yield
        finally:
            self._remount("rw")

    def _free(self) -> int:
        found = os.statvfs(self.path)
        return found.f_bavail * found.f_frsize

    def _remount(self, how: str) -> None:
        subprocess.run(["mount", "-o", f"remount,{how}", self.path], check=True, capture_output=True)


@pytest.fixture
def disk(tmp_path: Path) -> Iterator[SmallDisk]:
    """Mounted for a test. Where this user may not mount, nothing is tested; in CI that is a failure."""
    path = tmp_path / "disk"
    path.mkdir()
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", f"size={MEGABYTES}m", "plumbfall-test", path],
        capture_output=True,
        check=False,
    )
    if mounted.returncode:
        reason = "This user may not mount a file system, so no disk could be filled."
        if os.environ.get("CI"):
            pytest.fail(reason)
        pytest.skip(reason)
    try:
        yield SmallDisk(path)
    finally:
        subprocess.run(["umount", "-l", path], check=True, capture_output=True)
