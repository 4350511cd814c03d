"""The guide's pages, for everybody: whoever is signed in reads them in the desk's frame."""

from __future__ import annotations

from flask import Blueprint, abort, g, render_template
from flask.typing import ResponseReturnValue

from app.web.audience import audience, bench_if_joined, teacher_if_signed_in
from app.web.guide.contents import BY_SLUG, PAGES, beside
from app.web.guide.where import guide_address, is_in_guide

blueprint = Blueprint("guide", __name__, url_prefix="/guide")
blueprint.add_app_template_global(guide_address)
blueprint.add_app_template_global(is_in_guide)


@blueprint.get("/")
@audience("anyone")
def contents() -> ResponseReturnValue:
    """What the guide has."""
    _know_the_reader()
    return render_template("guide/contents.html", pages=PAGES)


@blueprint.get("/<slug>")
@audience("anyone")
def page(slug: str) -> ResponseReturnValue:
    """One page of it."""
    from app.web.guide.facts import FACTS  # noqa: PLC0415 - brings the analysis whose numbers it explains

    if slug not in BY_SLUG:
        abort(404)
    _know_the_reader()
    here = BY_SLUG[slug]
    previous, following = beside(here)
    return render_template(
        f"guide/{slug}.html",
        guide_page=here,
        previous=previous,
        following=following,
        facts=FACTS[slug]() if slug in FACTS else {},
    )


def _know_the_reader() -> None:
    """The frame around the page is the reader's own."""
    g.teacher = teacher_if_signed_in()
    if g.teacher is None:
        g.bench = bench_if_joined()
