"""Finds the numbers that a module declares and the words beside each that may say where it is from.

Declared are: module-level constants, entries of module-level tables, fields of classes with a default,
defaults of parameters, and the numbers of comparisons in functions. 0, 1 and 2 say nothing that could need a
source, nor does −1; in a comparison neither does a guard against rounding, below 10⁻⁶ or above 10⁶.
"""

from __future__ import annotations

import ast
import io
import re
import tokenize
from collections.abc import Iterator
from dataclasses import dataclass

SOURCE = re.compile(
    r"common practice, no source|from memory|our own choice|invented"
    r"|\b(1[6-9]|20)\d\d\b"  # the year of a citation
    r"|\b(CRC|JANAF|ISO|JCGM|NIST|CGPM|SI Brochure|WGS ?84|IEEE 754|Perry|OWASP)\b"
    r"|\bUniversity of\b|scipy\.|numpy\.|closed form",
)
"""What counts as a source: the three phrases, a dated citation, a named table or standard, or a formula."""

_PLAIN = (0, 1, 2, -1)


@dataclass(frozen=True)
class Declared:
    """A number that a module declares, and all the words beside it."""

    name: str
    line: int
    words: str

    @property
    def has_source(self) -> bool:
        """Whether the words beside it say where it is from."""
        return SOURCE.search(" ".join(self.words.split())) is not None


def declared_numbers(source: str) -> list[Declared]:
    """Every number that the text of a module declares, in its order."""
    return sorted(_Module(source).declared(), key=lambda one: one.line)


class _Module:
    def __init__(self, source: str) -> None:
        self.tree = ast.parse(source)
        self.comments: dict[int, str] = {}
        self.alone: set[int] = set()
        for token in tokenize.generate_tokens(io.StringIO(source).readline):
            if token.type == tokenize.COMMENT:
                self.comments[token.start[0]] = token.string
                if not token.line[: token.start[1]].strip():
                    self.alone.add(token.start[0])
        self.texts = {
            target.id: " ".join(_strings(node.value))
            for node in self.tree.body
            if isinstance(node, ast.Assign)
            for target in node.targets
            if isinstance(target, ast.Name)
        }

    def declared(self) -> Iterator[Declared]:
        yield from self._assigned(self.tree.body, "")
        for node in ast.walk(self.tree):
            if isinstance(node, ast.ClassDef):
                yield from self._assigned(node.body, ast.get_docstring(node) or "")
            elif isinstance(node, ast.FunctionDef):
                yield from self._defaults(node)
                yield from self._compared(node)

    def _assigned(self, body: list[ast.stmt], of_class: str) -> Iterator[Declared]:
        for node, after in zip(body, [*body[1:], None], strict=True):
            if not isinstance(node, ast.Assign | ast.AnnAssign) or node.value is None:
                continue
            if not _has_number(node.value):
                continue
            names = [node.target] if isinstance(node, ast.AnnAssign) else node.targets
            name = ", ".join(ast.unparse(one) for one in names)
            words = f"{self._beside(node)} {_docstring(after)} {_paragraph_on(name, of_class)}"
            entries = _entries(node.value)
            if entries is None:
                yield Declared(name, node.lineno, words)
            for entry in entries or ():
                if _has_number(entry):
                    yield Declared(f"{name}: {ast.unparse(entry)[:40]}", entry.lineno, self._inside(entry))

    def _defaults(self, node: ast.FunctionDef) -> Iterator[Declared]:
        words = ast.get_docstring(node) or ""
        arguments = node.args
        named = [*arguments.posonlyargs, *arguments.args][-len(arguments.defaults) or None :]
        pairs = [
            *zip(named, arguments.defaults, strict=False),
            *zip(arguments.kwonlyargs, arguments.kw_defaults, strict=True),
        ]
        for argument, default in pairs:
            if default is not None and _has_number(default):
                name = f"{node.name}({argument.arg})"
                yield Declared(name, default.lineno, f"{words} {self._beside(default)}")

    def _compared(self, node: ast.FunctionDef) -> Iterator[Declared]:
        words = ast.get_docstring(node) or ""
        for statement in node.body:
            for one in ast.walk(statement):
                if isinstance(one, ast.Compare) and any(map(_is_threshold, ast.walk(one))):
                    name = f"{node.name}: {ast.unparse(one)[:40]}"
                    yield Declared(name, one.lineno, f"{words} {self._beside(one)}")

    def _beside(self, node: ast.stmt | ast.expr) -> str:
        """Comments on the lines of the node, and those that stand alone directly above it."""
        lines = list(range(node.lineno, (node.end_lineno or node.lineno) + 1))
        above = node.lineno - 1
        while above in self.alone:
            lines.append(above)
            above -= 1
        return " ".join(self.comments.get(line, "") for line in sorted(lines))

    def _inside(self, entry: ast.expr) -> str:
        """What an entry of a table says itself: its texts, those that it refers to by name, its comments."""
        names = [one.id for one in ast.walk(entry) if isinstance(one, ast.Name)]
        named = [self.texts.get(name, name) for name in names]
        return " ".join([self._beside(entry), *_strings(entry), *named])


def _entries(value: ast.expr) -> list[ast.expr] | None:
    """The entries of a table: a mapping's values, or a sequence that holds calls; None for anything else."""
    for node in (value, *(value.args if isinstance(value, ast.Call) else ())):
        if isinstance(node, ast.Dict):
            return node.values
        if isinstance(node, ast.Tuple | ast.List) and any(isinstance(one, ast.Call) for one in node.elts):
            return node.elts
    return None


def _has_number(node: ast.AST) -> bool:
    return any(_is_number(one) for one in ast.walk(node))


def _is_number(node: ast.AST) -> bool:
    if isinstance(node, ast.Call) and ast.unparse(node.func).endswith("Decimal") and node.args:
        given = node.args[0]
        return isinstance(given, ast.Constant) and given.value not in ("0", "1", "2", *_PLAIN)
    if not isinstance(node, ast.Constant) or isinstance(node.value, bool):
        return False
    return isinstance(node.value, int | float) and node.value not in _PLAIN


def _is_threshold(node: ast.AST) -> bool:
    return _is_number(node) and not (
        isinstance(node, ast.Constant)
        and isinstance(node.value, int | float)
        and not 1e-6 < abs(node.value) < 1e6
    )


def _strings(node: ast.AST) -> list[str]:
    return [
        one.value for one in ast.walk(node) if isinstance(one, ast.Constant) and isinstance(one.value, str)
    ]


def _docstring(after: ast.stmt | None) -> str:
    """The text that stands behind an assignment as its description."""
    if isinstance(after, ast.Expr) and isinstance(after.value, ast.Constant):
        return str(after.value.value)
    return ""


def _paragraph_on(name: str, of_class: str) -> str:
    """The paragraphs of a class's description that name this field in backquotes."""
    return " ".join(text for text in of_class.split("\n\n") if f"`{name}`" in text)
