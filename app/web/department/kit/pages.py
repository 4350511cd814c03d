"""The department's kit: the list, a piece's own page, adding, changing and retiring one, and its checks."""

from __future__ import annotations

from flask import abort, g, render_template, request
from flask.typing import ResponseReturnValue
from flask_babel import gettext

from app.physics.asking.ice_point import far_off
from app.practicals.kit import changes, checks, pieces
from app.practicals.kit.changes import BadLabel, LabelTaken, PieceChanged
from app.practicals.kit.pieces import Piece
from app.practicals.kit.used import practicals_with_piece
from app.records.choices import PieceKind
from app.records.errors import ConstraintBroken
from app.web.audience import audience, now
from app.web.department.archive.filters import metals
from app.web.department.blueprint import blueprint, done
from app.web.department.kit.forms import (
    CheckForm,
    PieceForm,
    empty_form,
    form_of_piece,
    fresh_check,
    read_check_form,
    read_piece_form,
)
from app.web.forms import ON_OFF, fingerprint, pressed
from app.web.kit_words import ADD, KINDS, by_kind
from app.web.storage import database, settings

LABEL_REFUSED = (BadLabel, LabelTaken, ConstraintBroken)
"""The last one: somebody else took the label in the same moment."""


@blueprint.get("/kit")
@audience("staff")
def kit() -> ResponseReturnValue:
    """All pieces by kind; thermometers whose check is due stand first."""
    today = settings().local_day(now())
    everything = pieces.pieces_of_department(database(), actor=g.teacher)
    in_use = [piece for piece in everything if piece.in_use]
    due = [piece for piece in in_use if piece.is_due(today)]
    return render_template(
        "department/kit/list.html",
        groups=by_kind(sorted(in_use, key=lambda piece: piece not in due)),
        due=due,
        retired=[piece for piece in everything if not piece.in_use],
        add=ADD,
        may_change=pieces.may_change_kit(g.teacher),
        today=today,
    )


@blueprint.get("/kit/new/<kind>")
@audience("technician")
def new_piece(kind: str) -> ResponseReturnValue:
    """The form for a new piece."""
    return _new(empty_form(_kind(kind)))


@blueprint.post("/kit/new/<kind>")
@audience("technician")
def add_piece(kind: str) -> ResponseReturnValue:
    """Add it; the page of a thermometer then asks for its check."""
    form = read_piece_form(request.form, _kind(kind))
    if form.figures is None:
        return _new(form), 422
    try:
        added = changes.add_piece(
            database(),
            actor=g.teacher,
            kind=form.kind,
            label=form.typed["label"],
            figures=form.figures,
            now=now(),
        )
    except LABEL_REFUSED as problem:
        form.refuse("label", problem.message)
        return _new(form), 422
    said = gettext("%(label)s is in the kit.", label=added.label)
    if added.kind is PieceKind.THERMOMETER:
        return done(said, "department.piece", piece_id=added.piece_id)
    return done(said, "department.kit")


@blueprint.get("/kit/<int:piece_id>")
@audience("staff")
def piece(piece_id: int) -> ResponseReturnValue:
    """A piece: what is known of it, its checks, where it was used; the address that its label carries."""
    return _piece(_here(piece_id))


@blueprint.post("/kit/<int:piece_id>")
@audience("technician")
def change_piece(piece_id: int) -> ResponseReturnValue:
    """Store another label or other numbers."""
    here = _here(piece_id)
    form = read_piece_form(request.form, here.kind)
    if request.form.get("seen") != _fingerprint(here):
        return _piece(here, form=form, changed=PieceChanged()), 409
    if form.figures is None:
        return _piece(here, form=form), 422
    try:
        stored = changes.change_piece(
            database(), actor=g.teacher, seen=here, label=form.typed["label"], figures=form.figures, now=now()
        )
    except LABEL_REFUSED as problem:
        form.refuse("label", problem.message)
        return _piece(here, form=form), 422
    except PieceChanged as problem:
        return _piece(_here(piece_id), form=form, changed=problem), 409
    said = gettext("%(label)s is changed. Lessons that were held keep their numbers.", label=stored.label)
    return done(said, "department.piece", piece_id=piece_id)


@blueprint.post("/kit/<int:piece_id>/check")
@audience("technician")
def check_piece(piece_id: int) -> ResponseReturnValue:
    """Note a thermometer's check."""
    here = _here(piece_id)
    form = read_check_form(request.form)
    if form.problems or form.checked_on is None:
        return _piece(here, check=form), 422
    try:
        checks.note_check(
            database(),
            actor=g.teacher,
            piece_id=piece_id,
            checked_on=form.checked_on,
            reading=form.reading,
            due_on=form.due_on,
            today=settings().local_day(now()),
            now=now(),
        )
    except checks.ImpossibleCheck as problem:
        form.refuse(problem.field, problem.message)
        return _piece(here, check=form), 422
    said = gettext("The check is noted. Lessons from now on take the latest reading.")
    return done(said, "department.piece", piece_id=piece_id)


@blueprint.post("/kit/<int:piece_id>/retire")
@audience("technician")
def retire_piece(piece_id: int) -> ResponseReturnValue:
    """Take a piece out of use, or back into it, as the button says."""
    retired = pressed("retired", ON_OFF)
    stored = changes.retire_piece(database(), actor=g.teacher, piece_id=piece_id, retired=retired, now=now())
    said = (
        gettext("%(label)s is retired: no new plan offers it.", label=stored.label)
        if retired
        else gettext("%(label)s is in use again.", label=stored.label)
    )
    return done(said, "department.piece", piece_id=piece_id)


@blueprint.post("/kit/<int:piece_id>/remove")
@audience("technician")
def remove_piece(piece_id: int) -> ResponseReturnValue:
    """Delete a piece that no practical names."""
    label = changes.remove_piece(database(), actor=g.teacher, piece_id=piece_id, now=now())
    return done(gettext("%(label)s is deleted.", label=label), "department.kit")


def _new(form: PieceForm) -> str:
    return render_template("department/kit/new.html", form=form, title=ADD[form.kind], metals=metals())


def _piece(
    here: Piece,
    *,
    form: PieceForm | None = None,
    check: CheckForm | None = None,
    changed: PieceChanged | None = None,
) -> str:
    today = settings().local_day(now())
    is_thermometer = here.kind is PieceKind.THERMOMETER
    return render_template(
        "department/kit/piece.html",
        piece=here,
        title=KINDS[here.kind],
        form=form or form_of_piece(here),
        check=check or fresh_check(today),
        opened=form is not None,
        changed=changed and changed.message,
        history=checks.checks_of(database(), actor=g.teacher, piece_id=here.piece_id)
        if is_thermometer
        else [],
        far_off=None if here.ice_point_C is None else far_off(here.ice_point_C),
        practicals=practicals_with_piece(database(), actor=g.teacher, piece_id=here.piece_id),
        seen=_fingerprint(here),
        metals=metals(),
        may_change=pieces.may_change_kit(g.teacher),
        due=here.is_due(today),
    )


def _here(piece_id: int) -> Piece:
    return pieces.one_piece(database(), actor=g.teacher, piece_id=piece_id)


def _fingerprint(here: Piece) -> str:
    return fingerprint(repr((here.label, here.figures)))


def _kind(name: str) -> PieceKind:
    try:
        return PieceKind(name)
    except ValueError:
        abort(404)
