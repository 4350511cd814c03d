"""The tables: figures with their Monte Carlo errors, setting by setting, and which targets are met."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from tests.benchmarks.calibration.figures import MET, MISSED, OPEN, Figure, median, share
from tests.benchmarks.calibration.one_class import Figures
from tests.benchmarks.calibration.settings import CANNOT_BE_NAMED, SETTINGS, Setting
from tests.simulated_room import WITH_THE_SHOT, Room

Classes = Sequence[Figures]
Row = dict[str, Figure | None]
TOGETHER = "all together"
COVERS, MOST = 92.0, 98.0
WARNED, NOT_WARNED = 97.0, 0.5
CLEAN_FLAGGED, FALSE_SLIPS, FLAGGED, NAMED = 0.5, 0.1, 97.0, 95.0
SLACK = 1.1
"""A tenth above the trial's figure."""
SLACK_WITH_SLIPS = 1.2
"""A fifth above the clean class's own."""
PROMISES = {
    "class value covers": "value covers",
    "half-width": "value half",
    "c covers": "c covers",
    "median error": "c error",
    "half-width ": "c half",
    "shot": "shot covers",
    "sink": "sink covers",
    "rest": "rest covers",
    "clean runs flagged": "clean flagged",
    "false slips": "false slips",
    "told apart": "told apart",
    "refused": "refused",
}
"""`shot`, `sink` and `rest`: the ledger's shares cover."""
TROUBLES = {
    "slips flagged": "slips flagged",
    "named": "slips named",
    "named wrong": "slips named wrong",
    "end off by some kelvins, named": "no slip of the pen, named",
    "odd bench flagged": "benches apart flagged",
    "warned of one allowance": "warned",
    "told of the tubes": "told of tubes",
    "c covered or told": "c covered or told",
    "range reached": "accepted inside",
}
"""What only some classes have."""


def tables(found: dict[str, Classes]) -> Iterator[str]:
    """All lines; `found` has the classes of each setting that has any."""
    rows = {name: _row(name, found) for name in SETTINGS if name in found}
    rows[TOGETHER] = _together(found)
    yield "In percent, ± Monte Carlo error; ! misses its target for certain, ? by less than two such errors."
    yield ""
    yield from _table(rows, found, PROMISES)
    yield ""
    yield "Slips that move c* by 40 % or more, benches apart, warnings:"
    yield ""
    troubled = {name: row for name, row in rows.items() if any(row[key] for key in TROUBLES.values())}
    yield from _table(troubled, found, TROUBLES)
    yield ""
    yield from _kinds(found)
    yield ""
    yield from _targets(rows)


def _row(name: str, found: dict[str, Classes]) -> Row:
    setting, classes = SETTINGS[name], found[name]
    value_least, least = (setting.value_covers, COVERS) if setting.holds else (None, None)
    most = MOST if setting.holds and not setting.has_budget else None
    error, half = (None if one is None else SLACK * one for one in (setting.error, setting.half))
    told, error_of_target = None, 0.0
    if setting.clean in found:
        clean = _row(setting.clean, found)
        told, of_clean = clean["told apart"], clean["c error"]
        if of_clean is not None:
            error = SLACK_WITH_SLIPS * of_clean.percent
            error_of_target = SLACK_WITH_SLIPS * of_clean.error
    row: Row = {
        "value covers": _covers(classes, "value covers", value_least, most),
        "value half": median(_column(classes, "value half")),
        "c covers": _covers(classes, "c covers", least, most),
        "c error": median(_column(classes, "c error"), error, error_of_target),
        "c half": median(_column(classes, "c half"), half),
        "told apart": _covers(classes, "told apart", None if told is None else told.percent, None),
        "warned": None
        if setting.room.bore_m is None
        else _covers(classes, "warned", *_warned(setting.room.one_allowance_m is not None)),
        "told of tubes": None
        if setting.room.tube_starts == WITH_THE_SHOT
        else _covers(classes, "told of tubes", _told_least(setting), None),
        "c covered or told": _covered_or_told(setting, classes),
        "refused": _covers(classes, "refused", None, None),
        "accepted inside": _covers(classes, "accepted inside", COVERS, None)
        if setting.analysed.u_accepted_J_per_kg_K > 0.0
        else None,
    }
    for part in ("shot", "sink", "rest"):
        row[f"{part} covers"] = _covers(classes, f"{part} covers", least, most)
    return row | _flags(setting, classes)


def _together(found: dict[str, Classes]) -> Row:
    """Over the classes of all settings; coverage over those in which the model holds."""
    every = [one for classes in found.values() for one in classes]
    held = [one for name, classes in found.items() if SETTINGS[name].holds for one in classes]
    covers = [key for key in PROMISES.values() if key.endswith("covers")]
    row: Row = dict.fromkeys((*PROMISES.values(), *TROUBLES.values()))
    row |= {key: _covers(held, key, COVERS, MOST) for key in covers}
    return row | _flags(Setting(Room()), every)


def _warned(one_allowance: bool) -> tuple[float | None, float | None]:
    """Least and most of the classes that should be warned of one allowance for all. (Asked only where more
    shot lies deeper; else one allowance for all is right.)"""
    return (WARNED, None) if one_allowance else (None, NOT_WARNED)


def _told_least(setting: Setting) -> float | None:
    """Of starts that differ from the tubes' by chance alone, the class need not be told."""
    return None if setting.holds or setting.room.start_above_room_K == 0.0 else WARNED


def _covered_or_told(setting: Setting, classes: Classes) -> Figure | None:
    """Classes whose specific heat is covered, or that read what may make it wrong beyond its interval. Asked
    where that is in question: of tubes that fill with their shot, or start elsewhere than their shot."""
    if setting.room.bore_m is None and setting.room.tube_starts == WITH_THE_SHOT:
        return None
    hits = [
        float(one["c covers"] or one["warned"] or one["told of tubes"])
        for one in classes
        if "c covers" in one
    ]
    return share(hits, [1.0] * len(hits), COVERS)


def _flags(setting: Setting, classes: Classes) -> Row:
    most = CLEAN_FLAGGED if setting.room.benches >= 6 else None
    slips = [[slip for slip in one["slips"] if slip["moves"]] for one in classes]
    cannot = [[slip for slip in of_class if slip["slip"] in CANNOT_BE_NAMED] for of_class in slips]
    can = [[slip for slip in of_class if slip["slip"] not in CANNOT_BE_NAMED] for of_class in slips]
    without = _column(classes, "runs without slip")
    return {
        "clean flagged": share(
            _column(classes, "clean flagged"), _column(classes, "clean runs"), None, most
        ),
        "false slips": share([len(one["false slips"]) for one in classes], without, None, FALSE_SLIPS),
        "slips flagged": share(
            [sum(slip["flagged"] for slip in of_class) for of_class in slips], _lengths(slips), FLAGGED
        ),
        "slips named": share(
            [sum(slip["named"] == slip["slip"] for slip in of_class) for of_class in can],
            _lengths(can),
            NAMED,
        ),
        "slips named wrong": share(
            [sum(slip["named"] not in (None, slip["slip"]) for slip in of_class) for of_class in can],
            _lengths(can),
        ),
        "no slip of the pen, named": share(
            [sum(slip["named"] is not None for slip in of_class) for of_class in cannot], _lengths(cannot)
        ),
        "benches apart flagged": share(
            _column(classes, "benches apart flagged"), _column(classes, "benches apart")
        ),
    }  # fmt: skip


def _column(classes: Classes, key: str) -> list[float]:
    return [float(one[key]) for one in classes if one.get(key) is not None]


def _lengths(slips: list[list[Figures]]) -> list[int]:
    return [len(of_class) for of_class in slips]


def _covers(classes: Classes, key: str, least: float | None, most: float | None) -> Figure | None:
    values = _column(classes, key)
    return share(values, [1.0] * len(values), least, most)


def _table(rows: dict[str, Row], found: dict[str, Classes], columns: dict[str, str]) -> Iterator[str]:
    yield "| class | classes | " + " | ".join(name.strip() for name in columns) + " |"
    yield "|---|---|" + "---|" * len(columns)
    for name, row in rows.items():
        cells = [row[key] for key in columns.values()]
        classes = sum(map(len, found.values())) if name == TOGETHER else len(found[name])
        yield (
            f"| {name} | {classes} | "
            + " | ".join("–" if cell is None else str(cell) for cell in cells)
            + " |"
        )


def _kinds(found: dict[str, Classes]) -> Iterator[str]:
    """Slips by kind, over the settings that have every kind."""
    slips = [
        slip
        for name, classes in found.items()
        if name.startswith("all slips")
        for one in classes
        for slip in one["slips"]
    ]
    yield "Slips by kind, over the settings with all kinds:"
    yield ""
    yield "| slip | moves c* by 40 % | flagged | named | named wrong | does not | flagged | named wrong |"
    yield "|---|---|---|---|---|---|---|---|"
    for kind in sorted({slip["slip"] for slip in slips}):
        cells = []
        for moves in (True, False):
            those = [slip for slip in slips if slip["slip"] == kind and slip["moves"] == moves]
            cells += [str(len(those)), _of(those, "flagged")]
            cells += [_of(those, "named")] if moves else []
            cells += [_of(those, "wrong")]
        yield f"| {kind} | " + " | ".join(cells) + " |"


def _of(slips: list[Figures], what: str) -> str:
    hits = {
        "flagged": [float(slip["flagged"]) for slip in slips],
        "named": [float(slip["named"] == slip["slip"]) for slip in slips],
        "wrong": [float(slip["named"] not in (None, slip["slip"])) for slip in slips],
    }[what]
    found = share(hits, [1.0] * len(hits))
    return "–" if found is None else str(found)


def _targets(rows: dict[str, Row]) -> Iterator[str]:
    """Each figure's target: in how many settings it is met, and where it is not."""
    for title, key in {**PROMISES, **TROUBLES}.items():
        asked = {name: row[key] for name, row in rows.items() if name != TOGETHER}
        figures = {name: one for name, one in asked.items() if one is not None and one.has_target}
        if not figures:
            continue
        met, open_, missed = (
            [name for name, one in figures.items() if one.verdict == verdict]
            for verdict in (MET, OPEN, MISSED)
        )
        yield f"{key} ({title.strip()}): met in {len(met)} of {len(figures)} settings"
        for verdict, names in ((MISSED, missed), (OPEN, open_)):
            if names:
                yield f"    {verdict}: " + "; ".join(
                    f"{name} {figures[name].beside_target}" for name in names
                )
