"""What every application of these tests shares."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
from flask import Flask
from jinja2 import FileSystemBytecodeCache
from werkzeug.routing import Rule


@pytest.fixture(autouse=True, scope="session")
def templates_compiled_once(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Each test makes its own application; the code that Jinja compiles is kept by a checksum of its text."""
    kept = FileSystemBytecodeCache(str(tmp_path_factory.mktemp("templates")))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Flask, "jinja_options", {**Flask.jinja_options, "bytecode_cache": kept})
        yield


@pytest.fixture(autouse=True, scope="session")
def addresses_compiled_once() -> Iterator[None]:
    """Each application has the same routes, and werkzeug compiles two functions for each of them."""
    compile_builder = Rule._compile_builder
    known: dict[tuple[object, ...], Callable[..., tuple[str, str]]] = {}

    def compiled_builder(rule: Rule, append_unknown: bool = True) -> Callable[..., tuple[str, str]]:
        key = (rule.rule, tuple(rule._trace), repr(rule.defaults), append_unknown)
        if key not in known:
            known[key] = compile_builder(rule, append_unknown)
        return known[key]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Rule, "_compile_builder", compiled_builder)
        yield
