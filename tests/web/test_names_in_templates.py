"""Every name that a template uses is given to it: by its view, by the application, or nowhere (a fault)."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest
from flask import Flask
from jinja2 import StrictUndefined, UndefinedError, meta, nodes

import app.web
from app import create_app
from app.resources import templates_dir
from app.settings import Settings

GIVEN_BY_PAGE = {
    "practical",
    "metal",
    "may_run",
    "here",
    "rehearsing",
    "cover",
    "may_give_away",
}
RENDERERS = ("render_template", "page")


@pytest.fixture(scope="module")
def application(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Flask]:
    """The application, for its template environment."""
    made = create_app(Settings.from_environment({"PLUMBFALL_DATA": str(tmp_path_factory.mktemp("names"))}))
    yield made
    made.extensions["plumbfall_database"].close()


def _used(application: Flask, template: str, seen: set[str]) -> set[str]:
    """The free names of a template and of all that it extends, includes or imports with context.

    What a frame makes at its top is there for the blocks of the pages that extend it too.
    """
    if template in seen:
        return set()
    seen.add(template)
    tree = application.jinja_env.parse((templates_dir() / template).read_text(encoding="utf-8"))
    names, made = meta.find_undeclared_variables(tree), _made_at_its_top(tree)
    for node in tree.find_all((nodes.Extends, nodes.Include, nodes.FromImport, nodes.Import)):
        named = getattr(node, "template", None)
        if getattr(node, "with_context", True) and isinstance(named, nodes.Const):
            names |= _used(application, named.value, seen)
        if isinstance(node, nodes.Extends) and isinstance(named, nodes.Const):
            frame = (templates_dir() / named.value).read_text(encoding="utf-8")
            made |= _made_at_its_top(application.jinja_env.parse(frame))
    return names - made


def _made_at_its_top(tree: nodes.Template) -> set[str]:
    """What a template imports, sets and defines for its own blocks."""
    made = {macro.name for macro in tree.find_all(nodes.Macro)}
    made |= {name for node in tree.find_all(nodes.FromImport) for name in node.names if isinstance(name, str)}
    return made | {
        name.name for node in tree.body for name in node.find_all(nodes.Name) if name.ctx == "store"
    }


def _renderings() -> Iterator[tuple[str, str, set[str]]]:
    """Where in the views a template is rendered, its name, and the names that the call gives it."""
    for path in sorted(Path(app.web.__path__[0]).rglob("*.py")):
        for call in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not (isinstance(call, ast.Call) and isinstance(call.func, ast.Name) and call.args):
                continue
            first = call.args[0]
            if call.func.id in RENDERERS and isinstance(first, ast.Constant):
                given = {word.arg for word in call.keywords if word.arg}
                if any(word.arg is None for word in call.keywords):
                    continue  # a bag of names, which only rendering it can tell
                more = GIVEN_BY_PAGE if call.func.id == "page" else set()
                yield f"{path.name}:{call.lineno}", str(first.value), given | more


def test_a_view_gives_its_template_every_name_that_it_uses(application: Flask) -> None:
    with application.test_request_context("/"):
        everywhere = set(application.jinja_env.globals) | {"g", "request", "session", "get_flashed_messages"}
        for processor in application.template_context_processors[None]:
            given_to_all = processor()
            assert isinstance(given_to_all, dict)
            everywhere |= set(given_to_all)
    missing, seen = [], set()
    for place, template, given in _renderings():
        seen.add(template)
        if lacking := _used(application, template, set()) - everywhere - given:
            missing.append(f"{place} {template}: {sorted(lacking)}")
    assert len(seen) > 25, "the views' templates were found"
    assert not missing, "\n".join(missing)


def test_a_forgotten_name_is_a_fault_and_not_an_empty_place(application: Flask) -> None:
    assert application.jinja_env.undefined is StrictUndefined
    with application.app_context(), pytest.raises(UndefinedError):
        application.jinja_env.from_string("{% if forgotten %}{% endif %}").render()
