"""What the bench's thermometer reads in melting ice: asked once, where the class's thermometers differ."""

from __future__ import annotations

from dataclasses import dataclass

from flask import g, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.physics.limits import ICE_POINT_C
from app.physics.reading.ice_point import parse_ice_point
from app.physics.run import Quantity
from app.practicals.benches.ice_point import ice_point_of, note_own_ice_point
from app.practicals.benches.own_bench import LessonOver, OwnPractical, own_practical
from app.records.choices import PracticalState
from app.web.audience import audience, now
from app.web.forms import pressed
from app.web.ice_point import NAME, UNITS, IcePointForm
from app.web.phone.blueprint import blueprint
from app.web.phone.typed import Field
from app.web.storage import database
from app.words import N_, Message

FIELD = Field(
    Quantity(
        NAME,
        "What the thermometer shows in melting ice",
        "ice_point_C",
        UNITS,
        parse_ice_point,
        ICE_POINT_C,
        needed=False,
        may_be_below_zero=True,
    ),
    "",
    N_("It reads in melting ice"),
)
KEPT_OR_NOT = {"keep": True, "not-taken": False}


@dataclass(frozen=True)
class _Typed:
    """The form, as the macro of a reading asks for it."""

    form: IcePointForm

    def text(self, name: str) -> str:
        """The text of the field."""
        return self.form.typed[name]

    def unit(self, _name: str) -> str:
        """The unit chosen beside it."""
        return self.form.unit


def is_asked_for(own: OwnPractical) -> bool:
    """Before the first run of a bench whose thermometer may be another than the others', and not known."""
    known = ice_point_of(own.practical.plan, own.bench.number, own.bench)
    return own.practical.plan.thermometers_differ and known is None and not own.runs


@blueprint.get("/bench/ice")
@audience("bench")
def ice_point() -> ResponseReturnValue:
    """The one question, and where the bench puts its answer right."""
    own = own_practical(database(), actor=g.bench)
    return _page(own, IcePointForm.stored(own.bench.ice_point_text))


@blueprint.post("/bench/ice")
@audience("bench")
def keep_ice_point() -> ResponseReturnValue:
    """Keep the reading, or that none was taken; the run comes next."""
    form = IcePointForm.sent(request.form)
    taken = "sure" in request.form or pressed("go", KEPT_OR_NOT)
    if taken and not form.may_be_kept:
        own = own_practical(database(), actor=g.bench)
        return _page(own, form), 422 if form.problems else 200
    try:
        reading = form.reading if taken else None
        note_own_ice_point(database(), actor=g.bench, reading=reading, now=now())
    except LessonOver as over:
        return _page(own_practical(database(), actor=g.bench), form, over.message), 409
    return redirect(url_for("bench.home"))


def _page(own: OwnPractical, form: IcePointForm, over: Message | None = None) -> str:
    return render_template(
        "bench/ice_point.html",
        field=FIELD,
        form=form,
        typed=_Typed(form),
        over=over,
        finished=own.practical.state == PracticalState.FINISHED,
        planned=own.practical.plan.for_bench(own.bench.number).ice_point_C,
    )
