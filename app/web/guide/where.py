"""Which paragraph of the guide explains which page of the tool."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from flask import request, url_for


class Place(NamedTuple):
    """A section of the guide: the page's slug and the anchor."""

    slug: str
    anchor: str


EXPLAINED_AT: Mapping[Place, tuple[str, ...]] = {
    Place("practical", "what"): ("desk.home", "desk.new_practical", "desk.make_practical"),
}
"""Each section with the endpoints of the pages that it explains; a form's answer has the form's section."""

PLACE_OF: Mapping[str, Place] = {
    endpoint: place for place, endpoints in EXPLAINED_AT.items() for endpoint in endpoints
}


def guide_address() -> str:
    """Where the guide explains the page of this request; its contents, where no section does."""
    place = PLACE_OF.get(request.endpoint or "")
    if place is None:
        return url_for("guide.contents")
    return url_for("guide.page", slug=place.slug, _anchor=place.anchor)


def is_in_guide() -> bool:
    """Whether the page of this request is one of the guide's own."""
    return request.blueprint == "guide"
