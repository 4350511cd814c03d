"""The head's page of the department's teachers: adding, switching off or on, a new password, who is head."""

from __future__ import annotations

from flask import flash, g, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext

from app.practicals.people import colleagues
from app.practicals.people.passwords import TooManySigningIn
from app.practicals.people.teachers import TeacherProblem
from app.records.choices import Role
from app.web.audience import audience, now
from app.web.department.archive import blueprint
from app.web.department.roles import ROLE_NAMES
from app.web.errors import retry_after
from app.web.forms import ON_OFF, TypedForm, pressed
from app.web.languages import say
from app.web.storage import database
from app.words import N_, Message

NEW_PASSWORD = ("password", "again")
NEW_TEACHER = ("name", "login", *NEW_PASSWORD)
NOT_THE_SAME = Message(
    N_("The password was typed differently the second time. Type the same password twice.")
)


@blueprint.get("/teachers")
@audience("head")
def teachers() -> ResponseReturnValue:
    """Everybody of the department, and the form for a new teacher."""
    return _everybody(TypedForm.of({}, NEW_TEACHER))


@blueprint.post("/teachers")
@audience("head")
def add_teacher() -> ResponseReturnValue:
    """Add a teacher to the department."""
    form = TypedForm.of(request.form, NEW_TEACHER)
    form.refuse_different("password", "again", NOT_THE_SAME)
    if form.problems:
        return _everybody(form), 422
    try:
        added = colleagues.add_colleague(
            database(),
            actor=g.teacher,
            login=form.typed["login"],
            name=form.typed["name"],
            password=form.typed["password"],
            now=now(),
        )
    except TeacherProblem as problem:
        form.refuse(problem.field, problem.message)
        return _everybody(form), 422
    except TooManySigningIn as full:
        form.refuse("password", full.message)
        return _everybody(form), 503, retry_after(full.retry_after_seconds)
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


@blueprint.post("/teachers/<int:teacher_id>/role")
@audience("head")
def set_role(teacher_id: int) -> ResponseReturnValue:
    """Make someone a teacher, a head or a technician, as the form says."""
    role = pressed("role", {role.value: role for role in Role})
    who = colleagues.set_colleague_role(
        database(), actor=g.teacher, teacher_id=teacher_id, role=role, now=now()
    )
    flash(gettext("%(name)s: %(role)s", name=who.name, role=say(ROLE_NAMES[who.role])), "good")
    own = who.teacher_id == g.teacher.teacher_id and who.role is not Role.HEAD
    return redirect(url_for("department.archive" if own else "department.teachers"), 303)


@blueprint.get("/teachers/<int:teacher_id>/password")
@audience("head")
def new_password(teacher_id: int) -> ResponseReturnValue:
    """The form for a teacher's new password."""
    who = colleagues.colleague(database(), actor=g.teacher, teacher_id=teacher_id)
    return render_template("department/password.html", who=who, form=TypedForm.of({}, NEW_PASSWORD))


@blueprint.post("/teachers/<int:teacher_id>/password")
@audience("head")
def give_password(teacher_id: int) -> ResponseReturnValue:
    """Give the teacher the new password; every sign-in of that teacher ends with it."""
    who = colleagues.colleague(database(), actor=g.teacher, teacher_id=teacher_id)
    form = TypedForm.of(request.form, NEW_PASSWORD)
    form.refuse_different("password", "again", NOT_THE_SAME)
    if form.problems:
        return render_template("department/password.html", who=who, form=form), 422
    try:
        colleagues.give_password(
            database(),
            actor=g.teacher,
            teacher_id=teacher_id,
            password=form.typed["password"],
            now=now(),
        )
    except TeacherProblem as problem:
        form.refuse(problem.field, problem.message)
        return render_template("department/password.html", who=who, form=form), 422
    except TooManySigningIn as full:
        form.refuse("password", full.message)
        page = render_template("department/password.html", who=who, form=form)
        return page, 503, retry_after(full.retry_after_seconds)
    flash(gettext("%(name)s has a new password and is signed out everywhere.", name=who.name), "good")
    return redirect(url_for("department.teachers"), 303)


def _everybody(form: TypedForm) -> str:
    everybody = colleagues.colleagues(database(), actor=g.teacher)
    return render_template("department/teachers.html", everybody=everybody, form=form, roles=ROLE_NAMES)
