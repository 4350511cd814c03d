"""Where a page leads that only takes a form: reloading, going back or a bookmark asks for it all the same."""

from __future__ import annotations

from flask import current_app, request, url_for
from werkzeug.exceptions import HTTPException, MethodNotAllowed

OVERVIEWS = {"desk": "desk.lesson", "board": "board.wall"}


def way_back(error: HTTPException) -> str | None:
    """Where a form's address that was opened by hand leads: to the page that shows the form.

    None for any other failure. The page that it leads to asks by itself who may see it.
    """
    if not isinstance(error, MethodNotAllowed) or request.method not in ("GET", "HEAD"):
        return None
    adapter = current_app.create_url_adapter(request)
    if adapter is None:
        return None
    try:
        endpoint, values = adapter.match(method="POST")
    except HTTPException:
        return None
    area = endpoint.partition(".")[0]
    if area == "department":
        return url_for("department.teachers")
    if area == "bench" and "run_id" in values:
        return url_for("bench.runs")
    if area not in OVERVIEWS or "practical_id" not in values:
        return None
    return url_for(OVERVIEWS[area], practical_id=values["practical_id"])
