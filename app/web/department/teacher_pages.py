"""The head's page of the department's teachers: adding, switching off or on, a new password, who is head."""

from __future__ import annotations

from flask import flash, g, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext

from app.practicals.people import colleagues
from app.practicals.people.teachers import TeacherProblem
from app.records.errors import Unprocessable
from app.web.audience import audience, now
from app.web.department.blueprint import blueprint
from app.web.sent import ON_OFF, pressed
from app.web.storage import database
from app.words import N_, Message

NOT_A_BUTTON = Message(
    N_("The page sent neither yes nor no, so nothing was changed. Reload it and try again.")
)
NOT_THE_SAME = Message(
    N_("The password was typed differently the second time. Type the same password twice.")
)


@blueprint.get("/teachers")
@audience("head")
def teachers() -> ResponseReturnValue:
    """Everybody of the department, and the form for a new teacher."""
    return _page()


@blueprint.post("/teachers")
@audience("head")
def add_teacher() -> ResponseReturnValue:
    """Add a teacher to the department."""
    typed = {name: request.form.get(name, "")[:1000] for name in ("login", "name")}
    try:
        added = colleagues.add_colleague(
            database(),
            actor=g.teacher,
            login=typed["login"],
            name=typed["name"],
            password=_twice(),
            now=now(),
        )
    except TeacherProblem as problem:
        return _page((problem.field, problem.message), typed), 422
    flash(gettext("%(name)s can sign in as %(login)s.", name=added.name, login=added.login), "good")
    return redirect(url_for("department.teachers"), 303)


@blueprint.post("/teachers/<int:teacher_id>/switch")
@audience("head")
def switch_teacher(teacher_id: int) -> ResponseReturnValue:
    """Let a teacher sign in again, or no longer, as the button says."""
    active = pressed("active", ON_OFF)
    who = colleagues.switch_colleague(
        database(), actor=g.teacher, teacher_id=teacher_id, active=active, now=now()
    )
    if active:
        flash(gettext("%(name)s can sign in again.", name=who.name), "good")
    else:
        flash(gettext("%(name)s is signed out everywhere and cannot sign in.", name=who.name), "good")
    return redirect(url_for("department.teachers"), 303)


@blueprint.post("/teachers/<int:teacher_id>/head")
@audience("head")
def set_head(teacher_id: int) -> ResponseReturnValue:
    """Make a teacher head of the department, or no longer, as the button says."""
    wanted = request.form.get("head")
    if wanted not in ("yes", "no"):
        raise Unprocessable(NOT_A_BUTTON)
    who = colleagues.set_colleague_head(
        database(), actor=g.teacher, teacher_id=teacher_id, is_head=wanted == "yes"
    )
    if who.is_head:
        flash(gettext("%(name)s is head of the department.", name=who.name), "good")
    else:
        flash(gettext("%(name)s is no longer head of the department.", name=who.name), "good")
    own = who.teacher_id == g.teacher.teacher_id and not who.is_head
    return redirect(url_for("department.archive" if own else "department.teachers"), 303)


@blueprint.get("/teachers/<int:teacher_id>/password")
@audience("head")
def new_password(teacher_id: int) -> ResponseReturnValue:
    """The form for a teacher's new password."""
    who = colleagues.colleague(database(), actor=g.teacher, teacher_id=teacher_id)
    return render_template("department/password.html", who=who, problem=None)


@blueprint.post("/teachers/<int:teacher_id>/password")
@audience("head")
def give_password(teacher_id: int) -> ResponseReturnValue:
    """Give the teacher the new password; every sign-in of that teacher ends with it."""
    try:
        who = colleagues.give_password(
            database(), actor=g.teacher, teacher_id=teacher_id, password=_twice(), now=now()
        )
    except TeacherProblem as problem:
        who = colleagues.colleague(database(), actor=g.teacher, teacher_id=teacher_id)
        found = (problem.field, problem.message)
        return render_template("department/password.html", who=who, problem=found), 422
    flash(gettext("%(name)s has a new password and is signed out everywhere.", name=who.name), "good")
    return redirect(url_for("department.teachers"), 303)


def _twice() -> str:
    """The password, typed twice the same."""
    password = request.form.get("password", "")[:1000]
    if password != request.form.get("again", "")[:1000]:
        raise TeacherProblem(NOT_THE_SAME, "again")
    return password


def _page(problem: tuple[str, Message] | None = None, typed: dict[str, str] | None = None) -> str:
    everybody = colleagues.colleagues(database(), actor=g.teacher)
    return render_template(
        "department/teachers.html",
        everybody=everybody,
        problem=problem,
        typed=typed or {"login": "", "name": ""},
    )
