"""What the CSV files mean, for programs: metadata as the W3C's CSV on the Web has it.

For each column its definition (`dc:description`), datatype, source (`dc:source`) and, where it is a measured
number, its unit: the code of the Unified Code for Units of Measure (UCUM), under QUDT's property for that.
https://www.w3.org/TR/tabular-metadata/, https://ucum.org/ucum, https://qudt.org/schema/qudt/ucumCode
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from app.exports.tidy.column import UCUM, Column, Kind, Table

UCUM_CODE = "http://qudt.org/schema/qudt/ucumCode"


def metadata(tables: Sequence[Table], files: Mapping[str, str]) -> dict[str, Any]:
    """The metadata of a group of tables, whose files `files` names."""
    return {
        "@context": ["http://www.w3.org/ns/csvw", {"@language": "en"}],
        "dialect": {"encoding": "utf-8", "delimiter": ",", "quoteChar": '"', "header": True},
        "tables": [_table(table, files) for table in tables],
    }


def _table(table: Table, files: Mapping[str, str]) -> dict[str, Any]:
    schema: dict[str, Any] = {
        "columns": [_column(column) for column in table.columns],
        "primaryKey": list(table.key),
    }
    if table.refers is not None:
        here, other, there = table.refers
        reference = {"resource": files[other], "columnReference": there}
        schema["foreignKeys"] = [{"columnReference": here, "reference": reference}]
    return {"url": files[table.name], "dc:description": str(table.what), "tableSchema": schema}


def _column(column: Column) -> dict[str, Any]:
    found: dict[str, Any] = {
        "name": column.name,
        "titles": column.name,
        "dc:description": str(column.what),
        "datatype": {"base": "boolean", "format": "yes|no"} if column.kind is Kind.YES else str(column.kind),
    }
    if column.needed:
        found["required"] = True
    if column.unit:
        found[UCUM_CODE] = UCUM[column.unit]
    if column.source:
        found["dc:source"] = column.source
    return found
