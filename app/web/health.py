"""Whether this server is alive and whether it can work, for whatever watches over it. No more is said."""

from __future__ import annotations

from flask import Blueprint, Response
from flask.typing import ResponseReturnValue

from app.records.errors import StorageProblem
from app.records.revisions import tables_are_served
from app.web.audience import audience
from app.web.incidents import storage_failed
from app.web.storage import database

blueprint = Blueprint("health", __name__)


@blueprint.get("/health")
@audience("anyone")
def health() -> ResponseReturnValue:
    """The process answers."""
    return _said("alive", 200)


@blueprint.get("/ready")
@audience("anyone")
def ready() -> ResponseReturnValue:
    """The records answer, in tables that this program can work with."""
    try:
        served = tables_are_served(database())
    except StorageProblem as problem:
        storage_failed(problem)
        served = False
    return _said("ready", 200) if served else _said("not ready", 503)


def _said(word: str, status: int) -> Response:
    return Response(f"{word}\n", status, mimetype="text/plain")
