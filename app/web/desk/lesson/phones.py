"""Whether phones reach this server: what it knows itself, what to try with a phone, and the ways out."""

from __future__ import annotations

from flask import abort, flash, g, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext

from app.practicals.lesson.details import PracticalDetails
from app.practicals.lesson.permission import NotYourPractical
from app.practicals.lesson.wifi import NoWifiName, name_wifi
from app.reach.diagnosis import Verdict, diagnose, findings
from app.reach.steps import AFTERWARDS, TEST_PATH, address_to_try, steps, ways_out
from app.web.audience import audience
from app.web.desk.blueprint import blueprint, may_run, phone_address, practical_here
from app.web.desk.lesson.pages import qr_response
from app.web.forms import FormIncomplete, TypedForm
from app.web.storage import database, settings

WIFI = "wifi_name"


@blueprint.get("/phones")
@audience("staff")
def phones() -> ResponseReturnValue:
    """Whether phones reach this server, for whoever sets it up."""
    return _page(None)


@blueprint.get("/<int:practical_id>/phones")
@audience("teacher")
def phones_of_lesson(practical_id: int) -> ResponseReturnValue:
    """Whether phones reach this server, from a lesson, with the Wi-Fi that its phones join."""
    return _page(practical_here(practical_id))


@blueprint.post("/<int:practical_id>/wifi")
@audience("teacher")
def set_wifi(practical_id: int) -> ResponseReturnValue:
    """Say which Wi-Fi the phones join."""
    if not may_run(practical_here(practical_id)):
        raise NotYourPractical()
    if WIFI not in request.form:
        raise FormIncomplete()
    form = TypedForm.of(request.form, (WIFI,))
    try:
        name = name_wifi(database(), actor=g.teacher, practical_id=practical_id, name=form.typed[WIFI])
    except NoWifiName as problem:
        form.refuse(WIFI, problem.message)
        return _page(practical_here(practical_id), form), 422
    flash(
        gettext("The wall, the code and the cards name the Wi-Fi “%(name)s”.", name=name)
        if name
        else gettext("No Wi-Fi is named to the class."),
        "good",
    )
    return redirect(url_for("desk.phones_of_lesson"), 303)


@blueprint.get("/phones.svg")
@audience("staff")
def phones_drawing() -> ResponseReturnValue:
    """The QR of the test page. 404 where no address for phones is known."""
    address = phone_address()
    if address is None:
        abort(404)
    return qr_response(address + TEST_PATH)


def _page(practical: PracticalDetails | None, wifi: TypedForm | None = None) -> str:
    seen = diagnose(settings())
    found = findings(seen)
    return render_template(
        "desk/phones.html",
        practical=practical,
        may_name_wifi=practical is not None and may_run(practical),
        wifi=wifi or TypedForm({WIFI: (practical and practical.wifi_name) or ""}),
        has_address=phone_address() is not None,
        address=address_to_try(seen),
        found=found,
        wrong=[one for one in found if one.verdict is Verdict.BAD],
        Verdict=Verdict,
        steps=steps(seen),
        ways=ways_out(seen),
        afterwards=AFTERWARDS,
        command_line="plumbfall doctor --phones",
    )
