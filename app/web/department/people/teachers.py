"""The head's page of the department's people: inviting, switching off or on, roles, ways back in."""

from __future__ import annotations

from flask import g, render_template, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext

from app.practicals.people import colleagues, second_step, ways_in
from app.practicals.people.teachers import TeacherProblem
from app.practicals.people.ways_in import MadeLink
from app.records.choices import Role
from app.web.audience import audience, now
from app.web.department.blueprint import blueprint, done
from app.web.forms import ON_OFF, TypedForm, pressed
from app.web.languages import say
from app.web.storage import database, settings
from app.words import N_, Message

INVITATION = ("name",)
ROLES = {role.value: role for role in Role}
ROLE_NAMES = {
    Role.TEACHER: Message(N_("teacher")),
    Role.HEAD: Message(N_("head of department")),
    Role.TECHNICIAN: Message(N_("technician")),
}


@blueprint.get("/teachers")
@audience("head")
def teachers() -> ResponseReturnValue:
    """Everybody of the department, open invitations, and the form for another one."""
    return _everybody(TypedForm.of({}, INVITATION))


@blueprint.post("/teachers/invite")
@audience("head")
def invite() -> ResponseReturnValue:
    """Make a link for somebody new; it is shown this once."""
    form = TypedForm.of(request.form, INVITATION)
    role = pressed("role", ROLES)
    try:
        made = ways_in.invite(database(), actor=g.teacher, name=form.typed["name"], role=role, now=now())
    except TeacherProblem as problem:
        form.refuse(problem.field, problem.message)
        return _everybody(form, role), 422
    return _link_page(made)


@blueprint.post("/teachers/invitations/<int:way_in_id>/take-back")
@audience("head")
def take_back(way_in_id: int) -> ResponseReturnValue:
    """An invitation is worth nothing any more."""
    name = ways_in.take_back(database(), actor=g.teacher, way_in_id=way_in_id, now=now())
    return done(gettext("The invitation of %(name)s is taken back.", name=name), "department.teachers")


@blueprint.post("/teachers/<int:teacher_id>/password-link")
@audience("head")
def make_password_link(teacher_id: int) -> ResponseReturnValue:
    """Make a link behind which a colleague types a new password; it is shown this once."""
    made = ways_in.make_password_link(database(), actor=g.teacher, teacher_id=teacher_id, now=now())
    return _link_page(made)


@blueprint.post("/teachers/<int:teacher_id>/second-step/take-off")
@audience("head")
def take_off_second_step(teacher_id: int) -> ResponseReturnValue:
    """For a colleague who has lost the phone and the spare codes."""
    name = second_step.take_off_colleague(database(), actor=g.teacher, teacher_id=teacher_id, now=now())
    return done(gettext("%(name)s signs in with the password alone.", name=name), "department.teachers")


@blueprint.post("/teachers/<int:teacher_id>/switch")
@audience("head")
def switch_teacher(teacher_id: int) -> ResponseReturnValue:
    """Let a teacher sign in again, or no longer, as the button says."""
    active = pressed("active", ON_OFF)
    who = colleagues.switch_colleague(
        database(), actor=g.teacher, teacher_id=teacher_id, active=active, now=now()
    )
    said = (
        gettext("%(name)s can sign in again.", name=who.name)
        if active
        else gettext("%(name)s is signed out everywhere and cannot sign in.", name=who.name)
    )
    return done(said, "department.teachers")


@blueprint.post("/teachers/<int:teacher_id>/role")
@audience("head")
def set_role(teacher_id: int) -> ResponseReturnValue:
    """Make someone a teacher, a head or a technician, as the form says."""
    role = pressed("role", ROLES)
    who = colleagues.set_colleague_role(
        database(), actor=g.teacher, teacher_id=teacher_id, role=role, now=now()
    )
    said = gettext("%(name)s: %(role)s", name=who.name, role=say(ROLE_NAMES[who.role]))
    own = who.teacher_id == g.teacher.teacher_id and who.role is not Role.HEAD
    return done(said, "department.archive" if own else "department.teachers")


def _everybody(form: TypedForm, role: Role = Role.TEACHER) -> str:
    return render_template(
        "department/teachers.html",
        everybody=colleagues.colleagues(database(), actor=g.teacher),
        invitations=ways_in.open_invitations(database(), actor=g.teacher, now=now()),
        form=form,
        chosen=role,
        roles=ROLE_NAMES,
        role_choices=[(role.value, say(name)) for role, name in ROLE_NAMES.items()],
    )


def _link_page(made: MadeLink) -> str:
    address = settings().address_for_phones() + url_for("sign_in.way_in", token=made.token)
    return render_template("department/link.html", made=made, address=address, roles=ROLE_NAMES)
