"""Numbers in addresses: none is larger than the databases keep, so that a made-up one is just not found."""

from __future__ import annotations

from typing import Any

from flask import Flask
from werkzeug.routing import IntegerConverter, Map

from app.settings import Settings

LARGEST = 2**31 - 1
"""PostgreSQL's integer, the smaller of the two (its manual, "Numeric Types")."""


class KeptNumber(IntegerConverter):
    """A whole number from 0 to the largest that both databases keep."""

    def __init__(self, map: Map, *args: Any, **options: Any) -> None:
        super().__init__(map, *args, **{"max": LARGEST, **options})


def wire(app: Flask, settings: Settings) -> None:
    """Every `<int:…>` of an address is such a number. Before any route is added."""
    app.url_map.converters["int"] = KeptNumber
