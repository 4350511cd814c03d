"""What a bench's thermometer shows in melting ice, put in or put right at the desk."""

from __future__ import annotations

from flask import flash, g, redirect, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext

from app.practicals.benches.ice_point import set_ice_point
from app.web.audience import audience, now
from app.web.desk.blueprint import blueprint
from app.web.desk.runs.bench import bench_page
from app.web.ice_point import IcePointForm
from app.web.storage import database


@blueprint.post("/<int:practical_id>/bench/<int:number>/ice")
@audience("teacher")
def set_bench_ice_point(practical_id: int, number: int) -> ResponseReturnValue:
    """Replace the bench's reading; an empty field gives the bench what the plan has for it."""
    form = IcePointForm.sent(request.form)
    if not form.may_be_kept:
        return bench_page(practical_id, number, form), 422 if form.problems else 200
    set_ice_point(
        database(),
        actor=g.teacher,
        practical_id=practical_id,
        bench_number=number,
        reading=form.reading,
        now=now(),
    )
    flash(gettext("Kept. It counts for all runs of bench %(number)s.", number=number), "good")
    return redirect(url_for("desk.bench", practical_id=practical_id, number=number))
