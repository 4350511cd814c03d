"""What the guide's pages take from where it is declared: bounds, times, metals, commands, columns, keys."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from flask import current_app, url_for

from app import connections, server_log
from app.analysis.fit.design import LEAST_BENCHES
from app.exports.package_words import PACKAGE_FILES
from app.exports.past.sheets import MOST_ROWS as MOST_ROWS_IN
from app.exports.record.document import SCHEMA
from app.exports.tidy.tables import TABLES, file_of
from app.exports.workbook import DICTIONARY, DICTIONARY_HEAD, SHEETS
from app.physics.energy import (
    PACKING_FRACTION,
    STANDARD_GRAVITY_M_PER_S2,
    expected_warming,
    specific_fall_energy,
)
from app.physics.limits import ICE_POINT_C
from app.physics.materials import MATERIALS, Material
from app.physics.rounding import fixed, one_decimal, round_significant, short, whole
from app.practicals.people.credentials import BROWSER_KNOWN_FOR
from app.practicals.people.pauses import FREE_FAILURES, LONGEST_PAUSE_SECONDS
from app.practicals.people.second_step import SPARE_CODES
from app.practicals.people.sessions import SESSION_HOURS, SESSIONS_KEPT
from app.practicals.people.teachers import SHORTEST_PASSWORD
from app.practicals.people.ways_in import INVITATION_LASTS, NEW_PASSWORD_LASTS
from app.practicals.runs.refusals import LONGEST_BENCH_WORDS
from app.practicals.runs.storing import MOST_RUNS
from app.recipes import RECIPES
from app.web.department.out.under_way import MOST_AT_ONCE
from app.web.department.people.person import WHAT
from app.web.guide import sources
from app.web.guide.addresses import addresses
from app.web.guide.commands import COMMANDS, commands_in_words, settings_in_words
from app.web.guide.example import example
from app.web.guide.keys import document_parts, manifest_keys, result_keys
from app.web.guide.meanings import MEANINGS
from app.web.guide.meanings.asked import ASKED_ONCE
from app.web.guide.meanings.doubts import SLIPS_ARE
from app.web.guide.wall_steps import wall_steps
from app.web.numbers import marked
from app.web.uploads import LARGEST_BROUGHT_IN
from app.words import Message


def of_practical() -> Mapping[str, Any]:
    """The worked example, and the numbers that the sentences name."""
    low, high = MATERIALS["lead"].accepted_range_J_per_kg_K
    return {
        "example": example(),
        "least_benches": LEAST_BENCHES,
        "packing": one_decimal(PACKING_FRACTION),
        "earth": sources.EARTH,
        "demonstrations": sources.DEMONSTRATIONS,
        "tables_differ": whole(100 * (high / low - 1)),
    }


def of_lesson() -> Mapping[str, Any]:
    """Cautions, and the steps of the wall."""
    return {"cautions": MATERIALS["lead"].safety, "wall_steps": wall_steps()}


def of_numbers() -> Mapping[str, Any]:
    """Every meaning, by section, and what stands before them."""
    return {"meanings": MEANINGS, "before": {"slips": SLIPS_ARE, "questions": ASKED_ONCE}}


FALLS, FALL_M = 50, 1.0
"""For the warming that the page of the technician compares metals by (our own choice)."""


@dataclass(frozen=True)
class MetalWords:
    """One metal: its numbers as text, and the cautions that it has beside those of any metal but lead."""

    name: Message
    accepted: str
    density: str
    warming: str
    care: tuple[Message, ...]
    is_lead: bool


def of_technician() -> Mapping[str, Any]:
    """Cautions, metals, and the bounds of a reading in melting ice."""
    usual = _shared_cautions(MATERIALS.values())
    lead = MATERIALS["lead"]
    others = _shared_cautions(one for one in MATERIALS.values() if one is not lead)
    return {
        "cautions": usual,
        "lead_cautions": _without(lead.safety, usual),
        "cautions_of_others": _without(others, usual),
        "metals": tuple(_metal(one, lead.safety if one is lead else others) for one in MATERIALS.values()),
        "ice_asked": f"±{short(float(ICE_POINT_C.asked_outside.most))}",
        "ice_refused": f"±{short(float(ICE_POINT_C.refused_outside.most))}",
    }


def _shared_cautions(metals: Iterable[Material]) -> tuple[Message, ...]:
    first, *others = metals
    return tuple(one for one in first.safety if all(one in other.safety for other in others))


def _without(cautions: tuple[Message, ...], known: tuple[Message, ...]) -> tuple[Message, ...]:
    return tuple(one for one in cautions if one not in known)


def _metal(metal: Material, known: tuple[Message, ...]) -> MetalWords:
    energy = specific_fall_energy(FALL_M, FALLS, STANDARD_GRAVITY_M_PER_S2)
    low, high = metal.accepted_range_J_per_kg_K
    accepted = f"{low:.0f}–{high:.0f}" if metal.is_alloy else fixed(metal.accepted_J_per_kg_K, 1)
    return MetalWords(
        metal.name,
        marked(accepted),
        f"{metal.density_kg_per_m3:.0f}",
        marked(round_significant(expected_warming(energy, 1.0, metal.accepted_J_per_kg_K), 2)),
        _without(metal.safety, known),
        metal.key == "lead",
    )


def of_department() -> Mapping[str, Any]:
    """For how long things last, and how large they may be."""
    return {
        "invitation_days": INVITATION_LASTS.days,
        "new_password_days": NEW_PASSWORD_LASTS.days,
        "shortest_password": SHORTEST_PASSWORD,
        "session_hours": SESSION_HOURS,
        "spare_codes": SPARE_CODES,
        "free_failures": FREE_FAILURES,
        "longest_pause": LONGEST_PAUSE_SECONDS,
        "browser_days": BROWSER_KNOWN_FOR.days,
        "session_days": SESSIONS_KEPT.days,
        "longest_bench_words": LONGEST_BENCH_WORDS,
        "exports_at_once": MOST_AT_ONCE,
        "most_mb": LARGEST_BROUGHT_IN // (1024 * 1024),
        "most_rows_in": MOST_ROWS_IN,
        "most_rows_by_hand": MOST_RUNS,
    }


def of_running() -> Mapping[str, Any]:
    """Commands, settings, and what a server withstands."""
    return {
        "commands": commands_in_words(current_app.extensions[COMMANDS]),
        "settings": settings_in_words(),
        "recipes": RECIPES.values(),
        "addresses": addresses(current_app),
        "lines_a_minute": server_log.LINES_A_MINUTE,
        "places": connections.CONNECTIONS,
        "unfinished": connections.UNFINISHED_OF_ONE_ADDRESS,
        "head_seconds": short(connections.HEAD_SECONDS),
        "request_seconds": short(connections.REQUEST_SECONDS),
    }


def of_files() -> Mapping[str, Any]:
    """Columns, sheets and keys."""
    return {
        "tables": tuple((file_of(table), table) for table in TABLES),
        "sheets": tuple((SHEETS[table.name], table.what) for table in TABLES),
        "dictionary": DICTIONARY,
        "dictionary_head": DICTIONARY_HEAD,
        "document_parts": document_parts(),
        "schema_address": url_for("static", filename=f"formats/{SCHEMA}"),
        "result_keys": result_keys(),
        "package_files": PACKAGE_FILES,
        "manifest_keys": manifest_keys(),
        "person_keys": WHAT,
    }


FACTS: Mapping[str, Callable[[], Mapping[str, Any]]] = MappingProxyType(
    {
        "practical": of_practical,
        "lesson": of_lesson,
        "numbers": of_numbers,
        "technician": of_technician,
        "department": of_department,
        "running": of_running,
        "files": of_files,
    }
)
"""By the page's slug."""
