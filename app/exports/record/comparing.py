"""Whether a document and a practical that is stored tell the same."""

from __future__ import annotations

from typing import Any

from app.exports.record import exact_json
from app.exports.record.document import document
from app.records.choices import HistoryKind
from app.records.whole import WholePractical

NOT_OF_THE_CLASS = ("software", "department", "people")
"""What another installation says otherwise of the same practical: itself, and how it calls people."""
OF_A_PIECE = ("key", "kind")
"""The rest of a piece is its department's: its label, its numbers of today, and whether it is in use."""


def says_the_same(found: Any, stored: WholePractical) -> bool:
    """Whether a document that was read and a practical that is stored tell the same, digit for digit."""
    ours = exact_json.loads(exact_json.dumps(document(stored, "")))
    with_kit = "pieces" in found
    return _of_the_class(found, with_kit=with_kit) == _of_the_class(ours, with_kit=with_kit)


def _of_the_class(found: Any, *, with_kit: bool) -> str:
    """All that a document tells of the class, in one order of names, without when it was brought in.

    A document that was made without the kit says nothing about it.
    """
    told = {name: held for name, held in found.items() if name not in NOT_OF_THE_CLASS}
    told["history"] = [line for line in told["history"] if line["kind"] != HistoryKind.BROUGHT_IN]
    if with_kit:
        told["pieces"] = [{name: piece[name] for name in OF_A_PIECE} for piece in told["pieces"]]
    else:
        told = {name: held for name, held in told.items() if name not in ("pieces", "bench_kits")}
        told["benches"] = [bench | {"runs": [*map(_without_kit, bench["runs"])]} for bench in told["benches"]]
    return exact_json.dumps(_in_order(told))


def _without_kit(run: Any) -> Any:
    return {name: held for name, held in run.items() if name != "pieces"}


def _in_order(value: Any) -> Any:
    if isinstance(value, dict):
        return {name: _in_order(value[name]) for name in sorted(value)}
    return [_in_order(held) for held in value] if isinstance(value, list) else value
