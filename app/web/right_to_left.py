"""The desk read from right to left: every figure keeps its own order.

A paragraph of Arabic turns round what it holds between two numbers, or between a number and its
unit: "172 ± 5.9" would read "5.9 ± 172" and "21.4 °C" would read "C° 21.4". Phones, wall, report and
cards isolate the sentences that they say; the desk has figures in most of its cells, so its pages are gone
through once, as a whole.
"""

from __future__ import annotations

import re

from flask import Flask, request
from werkzeug import Response

from app.settings import Settings
from app.web.languages import text_direction
from app.web.numbers import isolated

PAGES = ("desk", "department", "guide", "sign_in")
_MARKUP = re.compile(
    r"""(<!--.*?-->|<(script|style|textarea|title)\b.*?</\2\s*>|<(?:[^>"']|"[^"]*"|'[^']*')*>)""",
    re.DOTALL | re.IGNORECASE,
)
_NUMBER = r"(?:(?<![\w.,\u2066+−-])[+−-])?(?<![\w.,])[0-9]+(?:[.,][0-9]+)?"
_SPACE = r"(?:[ \u00a0]|&nbsp;)"
_UNIT = r"(?:°[CF]|kg|g|[cm]?m(?:/s²)?|in|min|k?J/\(kg·K\)|J/K|k?J/kg|k?J|K|×)(?![\w/])"
_FIGURE = re.compile(
    rf"{_NUMBER}(?:{_SPACE}[±×…→]{_SPACE}{_NUMBER})+(?:{_SPACE}{_UNIT})?"
    rf"|{_NUMBER}{_SPACE}{_UNIT}"
    r"|(?<![\w.,\u2066+−-])[+−][0-9]+(?:[.,][0-9]+)?"
    rf"|\({_UNIT}(?:, {_UNIT})*\)"
    r"|(?<=/)(?: |\u00a0|&nbsp;)°[CF]"
)


def wire(app: Flask, settings: Settings) -> None:
    """Go through each page of the desk that is read from right to left."""
    app.after_request(_keep_figures)


def figures_kept(page: str) -> str:
    """A page whose figures, outside its markup, are each isolated from the sentence around them."""
    parts = _MARKUP.split(page)
    # The two groups come back between the texts: a text, a mark-up, the name in it or nothing.
    for place in range(0, len(parts), 3):
        parts[place] = _FIGURE.sub(isolated, parts[place])
    return "".join(part for place, part in enumerate(parts) if place % 3 != 2 and part)


def _keep_figures(response: Response) -> Response:
    if (
        request.blueprint in PAGES
        and response.mimetype == "text/html"
        and not response.is_streamed
        and text_direction() == "rtl"
    ):
        response.set_data(figures_kept(response.get_data(as_text=True)))
    return response
