"""What every application of these tests shares."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from flask import Flask
from jinja2 import FileSystemBytecodeCache


@pytest.fixture(autouse=True, scope="session")
def templates_compiled_once(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Each test makes its own application; the code that Jinja compiles is kept by a checksum of its text."""
    kept = FileSystemBytecodeCache(str(tmp_path_factory.mktemp("templates")))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Flask, "jinja_options", {**Flask.jinja_options, "bytecode_cache": kept})
        yield
