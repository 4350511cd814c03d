"""Pages for who cannot sign in yet: an invitation, a new password by a link, the first head of all."""

from __future__ import annotations

from flask import current_app, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext

from app.practicals.people import first_head as first
from app.practicals.people import ways_in
from app.practicals.people.ways_in import OpenLink
from app.web.audience import audience, now
from app.web.department.blueprint import done
from app.web.department.people.sign_in import FIRST_CODE, REFUSALS, blueprint, refused
from app.web.department.people.teachers import ROLE_NAMES
from app.web.forms import TypedForm
from app.web.storage import database
from app.words import N_, Message

PASSWORDS = ("password", "again")
NOT_THE_SAME = Message(
    N_("The password was typed differently the second time. Type the same password twice.")
)
FIRST_HEAD = ("code", "name", "login", "department", *PASSWORDS)
INVITED = ("name", "login", *PASSWORDS)


@blueprint.get("/way-in/<token>")
@audience("anyone")
def way_in(token: str) -> ResponseReturnValue:
    """What a link opens: the form of an invitation, or the one for a new password."""
    link = ways_in.opened_link(database(), token=token, now=now())
    offered = {"name": link.name} if link.role else {}
    return _link_page(link, TypedForm.of({}, INVITED if link.role else PASSWORDS, offered))


@blueprint.post("/way-in/<token>")
@audience("anyone")
def come_in(token: str) -> ResponseReturnValue:
    """Make the account, or set the new password; the link is used up."""
    link = ways_in.opened_link(database(), token=token, now=now())
    form = TypedForm.of(request.form, INVITED if link.role else PASSWORDS)
    form.refuse_different("password", "again", NOT_THE_SAME)
    if form.problems:
        return _link_page(link, form), 422
    typed = {name: text for name, text in form.typed.items() if name != "again"}
    try:
        if link.role:
            who = ways_in.accept_invitation(database(), token=token, now=now(), **typed)
        else:
            who = ways_in.take_new_password(database(), token=token, now=now(), **typed)
    except REFUSALS as refusal:
        status = refused(form, refusal)
        return (_link_page(link, form), *status)
    return done(gettext("Your password is set. Sign in as %(login)s.", login=who.login), "sign_in.form")


def _link_page(link: OpenLink, form: TypedForm) -> str:
    return render_template("desk/way_in_link.html", link=link, form=form, roles=ROLE_NAMES)


@blueprint.get("/first-head")
@audience("anyone")
def first_head() -> ResponseReturnValue:
    """The form that makes the first head, as long as there is nobody."""
    if FIRST_CODE not in current_app.extensions or not first.nobody_yet(database()):
        return redirect(url_for("sign_in.form"))
    return _first_page(TypedForm.of({}, FIRST_HEAD, {"department": gettext("Physics")}))


@blueprint.post("/first-head")
@audience("anyone")
def make_first_head() -> ResponseReturnValue:
    """Make it, for whoever can read the server's console."""
    form = TypedForm.of(request.form, FIRST_HEAD)
    form.refuse_different("password", "again", NOT_THE_SAME)
    if form.problems:
        return _first_page(form), 422
    typed = {name: text for name, text in form.typed.items() if name != "again"}
    try:
        who = first.make_first_head(
            database(), expected_digest=current_app.extensions.get(FIRST_CODE), now=now(), **typed
        )
    except REFUSALS as refusal:
        status = refused(form, refusal)
        return (_first_page(form), *status)
    said = gettext("You are head of the department. Sign in as %(login)s.", login=who.login)
    return done(said, "sign_in.form")


def _first_page(form: TypedForm) -> str:
    return render_template("desk/first_head.html", form=form)
