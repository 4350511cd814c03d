"""The run being typed, kept by the server for a page without script, in the signed cookie of this phone."""

from __future__ import annotations

from flask import session

from app.web.forms import new_key
from app.web.phone.typed import CARRIED, FIELDS, LONGEST_KEPT, TypedRun, moment

NAME = "draft"


def keep(bench_id: int, run: TypedRun) -> None:
    """Remember what was typed so far."""
    session.permanent = True
    session[NAME] = {
        "bench": bench_id,
        "key": run.key,
        "texts": {name: text[:LONGEST_KEPT] for name, text in run.texts.items() if text},
        "units": {name: unit for name, unit in run.units.items() if unit},
        "kept": sorted(run.kept & {run.mark(name) for name in FIELDS}),
        "start": run.start_read_at.isoformat() if run.start_read_at else "",
    }


def recall(bench_id: int) -> TypedRun | None:
    """What was typed so far at this bench, or None."""
    kept = session.get(NAME)
    if not isinstance(kept, dict) or kept.get("bench") != bench_id:
        return None
    return TypedRun(
        key=kept["key"],
        texts={name: kept["texts"].get(name, "") for name in FIELDS},
        units={name: kept["units"].get(name, "") for name in FIELDS},
        kept=frozenset(kept["kept"]),
        start_read_at=moment(kept["start"]),
    )


def follow(from_bench: int, to_bench: int) -> None:
    """Move the draft along where the phone's bench number was put right."""
    kept = session.get(NAME)
    if isinstance(kept, dict) and kept.get("bench") == from_bench:
        session[NAME] = {**kept, "bench": to_bench}


def drop() -> None:
    """Forget the draft: its run was sent."""
    session.pop(NAME, None)


def fresh(carried: TypedRun | None) -> TypedRun:
    """A new run with its own key, holding what does not change between runs."""
    if carried is None:
        return TypedRun(new_key())
    return TypedRun(
        new_key(),
        texts={name: carried.text(name) for name in CARRIED},
        units={name: carried.unit(name) for name in FIELDS},
        kept=frozenset(kept for kept in carried.kept if kept.split("=")[0] in CARRIED),
    )
