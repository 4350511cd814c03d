"""What the program defines and never reaches, whatever the tests may call.

A definition at the top of a module is reached from what runs by itself: the command line, routes, filters,
commands (by their decorators), statements of a module, `python -m` and the migrations. References are
resolved to the module that defines the name, so that a function called by dead code alone is dead. A
member of a class is reached where code that is reached, or a template, mentions its name.
"""

from __future__ import annotations

import ast
import importlib
import inspect
import re
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import NamedTuple

DECORATORS = {"get", "post", "route", "command", "group"} | {
    f"app_{what}" for what in ("template_filter", "template_global", "url_defaults")
}
WORD = re.compile(r"[A-Za-z_]\w*")
IN_TEMPLATE = re.compile(r"\{[{%](.*?)[%}]\}", re.DOTALL)


class Name(NamedTuple):
    """A definition at the top of a module."""

    module: str
    name: str

    def __str__(self) -> str:
        return f"{self.module}.{self.name}"


class Program:
    """The modules of a package and what they define, import and mention."""

    def __init__(self, root: Path, package: str) -> None:
        self.package = package
        self.trees = {
            _dotted(path.relative_to(root)): ast.parse(path.read_text(encoding="utf-8"))
            for path in sorted((root / package).rglob("*.py"))
        }
        self.outside = [ast.parse(path.read_text()) for path in sorted((root / "migrations").rglob("*.py"))]
        self.templates = [path.read_text(encoding="utf-8") for path in (root / "templates").rglob("*.html")]
        self.defined: dict[Name, list[ast.stmt]] = {}
        self.imported: dict[Name, Name] = {}
        for module, tree in self.trees.items():
            for statement in tree.body:
                for name in _defines(statement):
                    self.defined.setdefault(Name(module, name), []).append(statement)
            self.imported |= {Name(module, alias): origin for alias, origin in self._imports(tree)}

    def unreached(self) -> list[str]:
        """Definitions and members that nothing reaches, as dotted names."""
        reached = self._reached()
        dead = [str(name) for name in self.defined if name not in reached and name.name != "__all__"]
        said = self._words_said(reached)
        return sorted([*dead, *self._dead_members(reached, said)])

    def _reached(self) -> set[Name]:
        waiting = [Name(f"{self.package}.cli", "main")]
        for module, tree in self.trees.items():
            waiting += (name for one in tree.body for name in self._runs_at_import(module, one))
        for tree in self.outside:
            waiting += (self._origin(origin) for _, origin in self._imports(tree))
        reached: set[Name] = set()
        while waiting:
            name = waiting.pop()
            if name in self.defined and name not in reached:
                reached.add(name)
                for statement in self.defined[name]:
                    waiting += self._mentions(name.module, statement)
        return reached

    def _runs_at_import(self, module: str, statement: ast.stmt) -> Iterator[Name]:
        if isinstance(statement, ast.FunctionDef | ast.ClassDef):
            for decorator in statement.decorator_list:
                call = decorator.func if isinstance(decorator, ast.Call) else decorator
                if isinstance(call, ast.Attribute) and call.attr in DECORATORS:
                    yield Name(module, statement.name)
        elif not isinstance(statement, ast.Assign | ast.AnnAssign):
            yield from self._mentions(module, statement)

    def _mentions(self, module: str, node: ast.AST) -> Iterator[Name]:
        """What a piece of a module refers to; of a module that is handed on, all that is asked of it."""
        owners = {id(one.value): one.attr for one in ast.walk(node) if isinstance(one, ast.Attribute)}
        for one in ast.walk(node):
            if not isinstance(one, ast.Name):
                continue
            origin = self._origin(Name(module, one.id))
            if str(origin) not in self.trees:
                yield origin
            elif id(one) in owners:
                yield self._origin(Name(str(origin), owners[id(one)]))
            else:
                for asked in _attributes(self.trees[module]):
                    yield self._origin(Name(str(origin), asked))

    def _origin(self, name: Name) -> Name:
        """Where a name that a module imports is defined."""
        while name in self.imported and name not in self.defined and str(name) not in self.trees:
            name = self.imported[name]
        return name

    def _imports(self, tree: ast.Module) -> Iterator[tuple[str, Name]]:
        for node in ast.walk(tree):
            if isinstance(node, ast.ImportFrom) and (node.module or "").split(".")[0] == self.package:
                for alias in node.names:
                    yield alias.asname or alias.name, Name(str(node.module), alias.name)

    def _words_said(self, reached: Iterable[Name]) -> set[str]:
        """Every word that can mean a member: attributes, texts, templates, the end of `f"{name}_text"`."""
        said = {
            word
            for page in self.templates
            for code in IN_TEMPLATE.findall(page)
            for word in WORD.findall(code)
        }
        statements = {id(one): one for name in reached for one in self.defined[name]}
        rest = [one for tree in self.trees.values() for one in tree.body if not list(_defines(one))]
        for statement in [*statements.values(), *rest, *self.outside]:
            for node in ast.walk(statement):
                if isinstance(node, ast.Attribute) and isinstance(node.ctx, ast.Load):
                    said.add(node.attr)
                elif isinstance(node, ast.Constant) and isinstance(node.value, str):
                    said.add(node.value)
                elif isinstance(node, ast.JoinedStr) and len(node.values) == 2:
                    last = node.values[-1]
                    said |= {f"*{last.value!s}"} if isinstance(last, ast.Constant) else set()
        return said

    def _dead_members(self, reached: Iterable[Name], said: set[str]) -> Iterator[str]:
        endings = tuple(word[1:] for word in said if re.fullmatch(r"\*_\w+", word))
        for name in reached:
            for definition in self.defined[name]:
                if not isinstance(definition, ast.ClassDef) or _is_a_tuple(definition):
                    continue
                for member in (one for statement in definition.body for one in _defines(statement)):
                    if member in said or member.endswith(endings) or re.fullmatch(r"__\w+__", member):
                        continue
                    if not _from_a_library(name, member, self.package):
                        yield f"{name}.{member}"


def _from_a_library(owner: Name, member: str, package: str) -> bool:
    """Whether a class's member stands in for one of a base class that is not the program's own."""
    bases = getattr(importlib.import_module(owner.module), owner.name).__mro__[1:]
    libraries = [base for base in bases if base.__module__.split(".")[0] != package]
    return any(member in vars(base) or member in inspect.get_annotations(base) for base in libraries)


def _is_a_tuple(definition: ast.ClassDef) -> bool:
    """Whether a class's members are taken by their place and not by their name."""
    return any(isinstance(base, ast.Name) and base.id == "NamedTuple" for base in definition.bases)


def _defines(statement: ast.stmt) -> Iterator[str]:
    if isinstance(statement, ast.FunctionDef | ast.ClassDef):
        yield statement.name
    elif isinstance(statement, ast.Assign):
        yield from (
            one.id for target in statement.targets for one in ast.walk(target) if isinstance(one, ast.Name)
        )
    elif isinstance(statement, ast.AnnAssign) and isinstance(statement.target, ast.Name):
        yield statement.target.id


def _attributes(node: ast.AST) -> Iterator[str]:
    yield from (one.attr for one in ast.walk(node) if isinstance(one, ast.Attribute))


def _dotted(path: Path) -> str:
    return ".".join(path.with_suffix("").parts).removesuffix(".__init__")
