"""The join code as a QR drawing, and large on a page of its own."""

from __future__ import annotations

import io

import segno
from flask import Response, abort
from flask.typing import ResponseReturnValue

from app.web.audience import audience
from app.web.desk.blueprint import blueprint
from app.web.desk.guard import join_link, page, phone_address, practical_here


@blueprint.get("/<int:practical_id>/code.svg")
@audience("teacher")
def code_drawing(practical_id: int) -> ResponseReturnValue:
    """The QR of the join link. 404 where there is no code or no address for phones."""
    link = join_link(practical_here(practical_id))
    if link is None:
        abort(404)
    return qr_response(link)


@blueprint.get("/<int:practical_id>/code")
@audience("teacher")
def code_page(practical_id: int) -> ResponseReturnValue:
    """The code and its QR, as large as the screen."""
    practical = practical_here(practical_id)
    return page("desk/code.html", practical, "live", link=join_link(practical), address=phone_address())


def qr_response(link: str) -> Response:
    """A QR as an SVG of its own. Black on white in every theme, so that every phone reads it."""
    drawn = io.BytesIO()
    segno.make(link, error="m", micro=False).save(
        drawn,
        kind="svg",
        xmldecl=False,
        svgclass=None,
        lineclass=None,
        dark="#000",
        light="#fff",
        border=4,
        omitsize=True,
    )
    return Response(drawn.getvalue(), mimetype="image/svg+xml")
