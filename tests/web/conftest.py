"""What every application of these tests shares."""

from __future__ import annotations

from collections.abc import Iterator

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


COMPILED = ("_parts", "_trace", "_converters", "arguments")
"""What compiling an address sets in its rule, beside the two functions that build an address."""


@pytest.fixture(autouse=True, scope="session")
def addresses_compiled_once() -> Iterator[None]:
    """Each application has the same routes, and werkzeug compiles a pattern and two functions for each."""
    compile_ = Rule.compile
    known: dict[tuple[object, ...], Rule] = {}

    def compiled(rule: Rule) -> None:
        of = (rule.rule, rule.subdomain, rule.host, repr(rule.defaults), rule.merge_slashes)
        first = known.setdefault(of, rule)
        if first is rule:
            compile_(rule)
            return
        for name in COMPILED:
            setattr(rule, name, getattr(first, name))
        rule._build = first._build.__func__.__get__(rule)  # type: ignore[attr-defined]
        rule._build_unknown = first._build_unknown.__func__.__get__(rule)  # type: ignore[attr-defined]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Rule, "compile", compiled)
        yield
