"""What a person reads when something went wrong: one sentence, what to do, nothing lost."""

from __future__ import annotations

from flask import (
    Flask,
    Response,
    current_app,
    jsonify,
    make_response,
    redirect,
    render_template,
    request,
    url_for,
)
from flask_babel import gettext
from flask_wtf.csrf import CSRFError
from werkzeug.exceptions import HTTPException, MethodNotAllowed

from app.records.errors import (
    Conflict,
    DatabaseBusy,
    NotAllowed,
    NotFound,
    Problem,
    StorageProblem,
    Unprocessable,
)
from app.settings import Settings
from app.web import incidents, uploads
from app.web.audience import wants_json
from app.web.languages import say

# The first class that fits gives the status.
STATUS_OF = (
    (NotFound, 404),
    (NotAllowed, 403),
    (Conflict, 409),
    (Unprocessable, 422),
    (StorageProblem, 503),
    (Problem, 422),
)


def wire(app: Flask, settings: Settings) -> None:
    """Answer every failure with a page, or with JSON where a script asked."""
    app.register_error_handler(CSRFError, _stale_form)
    app.register_error_handler(DatabaseBusy, _busy)
    app.register_error_handler(Problem, _refused)
    app.register_error_handler(HTTPException, _http)
    app.register_error_handler(Exception, _unexpected)


def sentence_for(status: int) -> str:
    """The sentence for an HTTP status."""
    known = {
        403: gettext(
            "You cannot open this page with this sign-in. If you should, sign in with the account that may."
        ),
        404: gettext("There is no such page. Check the address, or start again from the first page."),
        405: gettext("That cannot be done here. Go back and use the buttons on the page."),
        413: gettext("That is far more than a run's readings. Check what was pasted."),
    }
    return known.get(
        status, gettext("That did not work. Go back and try again; nothing that was sent before is lost.")
    )


def answer(status: int, sentence: str) -> Response:
    """A failure as a page or as JSON."""
    if wants_json():
        return make_response(jsonify(problem=sentence), status)
    return make_response(render_template("shared/problem.html", status=status, sentence=sentence), status)


def _http(error: HTTPException) -> Response:
    if not wants_json() and (elsewhere := way_back(error)):
        return make_response(redirect(elsewhere, 303))
    if error.code == 413 and uploads.largest_taken() == uploads.LARGEST_BROUGHT_IN:
        return answer(413, _too_large_to_bring_in())
    response = answer(error.code or 500, sentence_for(error.code or 500))
    for name, value in error.get_headers():  # such as the methods allowed; the page's own stay
        response.headers.setdefault(name, value)
    return response


def _too_large_to_bring_in() -> str:
    return gettext(
        "The file is larger than %(most)s MB, the most that is read at a time, so none of it was read. Bring"
        " practicals in by parts, without reports and workbook.",
        most=uploads.LARGEST_BROUGHT_IN // 1024**2,
    )


def _stale_form(error: CSRFError) -> Response:
    return answer(
        400, gettext("This page was open too long or in another browser. Reload it and send again.")
    )


def _busy(error: DatabaseBusy) -> Response:
    incidents.storage_failed(error)
    response = answer(503, say(error.message))
    response.headers.update(retry_after(error.retry_after_seconds))
    return response


def retry_after(seconds: int) -> dict[str, str]:
    """The header that says when to try again; none where it can be tried at once."""
    return {"Retry-After": str(seconds)} if seconds else {}


def _refused(error: Problem) -> Response:
    if isinstance(error, StorageProblem):
        incidents.storage_failed(error)
    status = next(status for kind, status in STATUS_OF if isinstance(error, kind))
    return answer(status, say(error.message))


def _unexpected(error: Exception) -> Response:
    incidents.failed_of_our_own()
    return answer(
        500,
        gettext(
            "Something broke in the tool, not in your readings. Try "
            "again; tell your teacher if it happens again."
        ),
    )


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
        return url_for(
            "department.bring_in" if endpoint == "department.match_table" else "department.teachers"
        )
    if area == "bench" and "run_id" in values:
        return url_for("bench.runs")
    if area not in OVERVIEWS or "practical_id" not in values:
        return None
    return url_for(OVERVIEWS[area], practical_id=values["practical_id"])
