"""Small faults that a program still runs with: where they can be planted, and the text with one planted."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass

_COMPARISONS: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
}
_SIGNS: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
}


@dataclass(frozen=True)
class Fault:
    """One change of one place: bytes `start` to `end` of a file's UTF-8 become `new`.

    `statement` has the lines of the statement around it, or of its head; None where that runs on import.
    """

    path: str
    line: int
    statement: range | None
    kind: str
    start: int
    end: int
    old: str
    new: str

    def planted_in(self, text: str) -> str:
        """The file's text with this fault in it."""
        data = text.encode()
        return (data[: self.start] + self.new.encode() + data[self.end :]).decode()

    def __str__(self) -> str:
        return f"{self.path}:{self.line} ({self.kind}) {_short(self.old)}  ->  {_short(self.new)}"


def faults_in(path: str, text: str) -> Iterator[Fault]:
    """Every fault that can be planted in a module, in the order of its places."""
    data, starts = text.encode(), [0]
    for line in data.splitlines(keepends=True):
        starts.append(starts[-1] + len(line))
    found = []
    for node, statement in _executed(ast.parse(text), None):
        for kind, new in _changes(node):
            assert node.end_lineno is not None
            assert node.end_col_offset is not None
            start = starts[node.lineno - 1] + node.col_offset
            end = starts[node.end_lineno - 1] + node.end_col_offset
            old = data[start:end].decode()
            found.append(Fault(path, node.lineno, statement, kind, start, end, old, new))
    yield from sorted(found, key=lambda fault: (fault.start, fault.end, fault.new))


def _executed(
    node: ast.AST, statement: range | None, called: bool = False
) -> Iterator[tuple[ast.expr | ast.Expr, range | None]]:
    """The expressions that run, and the statement of each: no annotations, nothing inside an f-string.

    Places inside an f-string are not exact. `called` says whether the node stands in a function's body.
    """
    if isinstance(node, ast.JoinedStr):
        return
    if isinstance(node, ast.stmt) and called:
        statement = _head(node)
    if isinstance(node, ast.expr | ast.Expr):
        yield node, statement
    for name, value in ast.iter_fields(node):
        if name in ("annotation", "returns", "type_comment"):
            continue
        inside = called or (name == "body" and isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef))
        for child in value if isinstance(value, list) else [value]:
            if isinstance(child, ast.AST):
                yield from _executed(child, statement, inside)


def _head(node: ast.stmt) -> range:
    """The lines of a statement, without those of the statements inside it."""
    assert node.end_lineno is not None
    inside = [part.lineno for part in ast.walk(node) if isinstance(part, ast.stmt) and part is not node]
    return range(node.lineno, max(min(inside, default=node.end_lineno + 1), node.lineno + 1))


def _changes(node: ast.expr | ast.Expr) -> Iterator[tuple[str, str]]:
    """Kinds and new texts of the faults of one expression."""
    if isinstance(node, ast.Expr):
        if isinstance(node.value, ast.Call):
            yield "dropped call", "pass"
    elif isinstance(node, ast.Compare):
        for place, operator in enumerate(node.ops):
            other = _COMPARISONS.get(type(operator))
            if other is not None:
                operators = [*node.ops[:place], other(), *node.ops[place + 1 :]]
                changed = ast.Compare(node.left, operators, node.comparators)
                yield "comparison", f"({ast.unparse(changed)})"
    elif isinstance(node, ast.BinOp):
        sign = _SIGNS.get(type(node.op))
        if sign is not None and not _says(node):
            yield "sign", f"({ast.unparse(ast.BinOp(node.left, sign(), node.right))})"
    elif isinstance(node, ast.Constant):
        if isinstance(node.value, bool):
            yield "constant", str(not node.value)
        elif isinstance(node.value, int):
            yield "constant", str(node.value + 1)
        elif isinstance(node.value, float):
            yield "constant", repr(node.value * 1.1 if node.value else 0.1)


def _says(node: ast.BinOp) -> bool:
    """Whether text is put together here, not numbers."""
    return any(
        isinstance(part, ast.JoinedStr) or (isinstance(part, ast.Constant) and isinstance(part.value, str))
        for part in (node.left, node.right)
    )


def _short(text: str) -> str:
    line = " ".join(text.split())
    return line if len(line) <= 80 else line[:77] + "..."
