"""The department's list: every practical of the department, narrowed by filters, page by page."""

from __future__ import annotations

from datetime import date

from flask import flash, g, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import format_date, gettext

from app.practicals.archive.school_year import set_school_year as store_school_year
from app.practicals.archive.search import choices, find
from app.practicals.lesson import deletions
from app.web.audience import audience
from app.web.department.archive.filters import NOT_IN_THE_LIST, metals, named_years, read_filters
from app.web.department.blueprint import blueprint
from app.web.languages import person, say
from app.web.storage import backups, database

MONTHS = range(1, 13)


@blueprint.get("/")
@audience("staff")
def archive() -> ResponseReturnValue:
    """A page of the department's practicals; what stands in the address narrows the list."""
    offered = choices(database(), actor=g.teacher)
    form = read_filters(request.args, offered)
    number = request.args.get("page", 1, type=int)
    found = find(database(), actor=g.teacher, filters=form.filters, page=number)
    return render_template(
        "department/archive.html",
        form=form,
        offered=offered,
        found=found,
        years=named_years(offered),
        metals=sorted(metals(), key=lambda metal: metal[1]),
        teachers=[(number, person(name)) for number, name in offered.teachers],
        pieces=list(offered.pieces),
        months=[(month, month_name(month)) for month in MONTHS],
        backup_problem=made.problem if (made := backups()) is not None and g.teacher.is_head else None,
    )


@blueprint.post("/school-year")
@audience("head")
def set_school_year() -> ResponseReturnValue:
    """The month with which the department's school year begins."""
    month = request.form.get("begins_in", 0, type=int)
    if month not in MONTHS:
        flash(say(NOT_IN_THE_LIST), "bad")
    else:
        store_school_year(database(), actor=g.teacher, begins_in=month)
        flash(gettext("The school year begins in %(month)s from now on.", month=month_name(month)), "good")
    return redirect(url_for("department.archive"))


@blueprint.get("/deleted")
@audience("head")
def deleted() -> ResponseReturnValue:
    """What was deleted in the department, by whom or by which rule."""
    return render_template(
        "department/deleted.html", deleted=deletions.deletions(database(), actor=g.teacher)
    )


def month_name(month: int) -> str:
    """A month in the reader's language."""
    return format_date(date(2000, month, 1), "LLLL")
