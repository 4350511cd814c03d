"""What is made private is its owner's alone, however generous the machine's umask is."""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator
from pathlib import Path

import pytest

from app.private import make_private_folder, open_private

pytestmark = pytest.mark.skipif(os.name == "nt", reason="Windows keeps who may open a file in other ways")


@pytest.fixture(autouse=True)
def generous() -> Iterator[None]:
    before = os.umask(0)
    yield
    os.umask(before)


def mode(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


def test_a_folder_is_made_with_those_above_it_and_one_that_is_there_stays(tmp_path: Path) -> None:
    folder = tmp_path / "above" / "records"
    make_private_folder(folder)
    assert mode(folder) == 0o700
    folder.chmod(0o755)
    make_private_folder(folder)
    assert mode(folder) == 0o755


def test_a_new_file_is_private_and_one_that_is_there_keeps_its_mode(tmp_path: Path) -> None:
    file = tmp_path / "secret"
    os.close(open_private(file, os.O_CREAT | os.O_WRONLY))
    assert mode(file) == 0o600
    file.chmod(0o640)
    os.close(open_private(file, os.O_CREAT | os.O_WRONLY))
    assert mode(file) == 0o640
