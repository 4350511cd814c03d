"""Labels for the pieces of the kit: which ones, and the PDF of them."""

from __future__ import annotations

from flask import g, render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.practicals.kit import pieces
from app.practicals.kit.pieces import Piece
from app.web.audience import audience
from app.web.department.blueprint import blueprint
from app.web.desk.blueprint import phone_address
from app.web.forms import TypedForm
from app.web.kit_words import KINDS, LEAD, by_kind, figures_in_words
from app.web.languages import say, text_direction
from app.web.replies import as_file
from app.web.storage import database
from app.words import N_, Message

NONE_CHOSEN = Message(N_("Choose at least one piece whose label is to be printed."))
NO_SUCH_PLACE = Message(N_("A sheet has 24 labels: the first free one is a number from 1 to 24."))
WASH_HANDS = Message(N_("Lead: wash hands, no food"))


@blueprint.get("/kit/labels")
@audience("staff")
def labels() -> ResponseReturnValue:
    """Which labels to print; all pieces in use, or the one named in the address."""
    wanted = set(request.args.getlist("piece", type=int))
    return _choose(TypedForm({"first": "1"}), wanted or None)


@blueprint.get("/kit/labels.pdf")
@audience("staff")
def labels_pdf() -> ResponseReturnValue:
    """The chosen labels, from the first free place of the sheet on."""
    from app.exports.papers import kit_labels as label_export  # noqa: PLC0415 - the PDF library is slow to load

    form = TypedForm.of(request.args, ("first",), {"first": "1"}, longest=20)
    wanted = set(request.args.getlist("piece", type=int))
    chosen = [piece for piece in _pieces() if piece.piece_id in wanted]
    first = int(form.typed["first"]) if form.typed["first"].strip().isdecimal() else 0
    if not 1 <= first <= label_export.A_SHEET:
        form.refuse("first", NO_SUCH_PLACE)
    if not chosen:
        form.refuse("pieces", NONE_CHOSEN)
    if form.problems:
        return _choose(form, wanted), 422
    body = label_export.labels_pdf(
        [
            label_export.KitLabel(
                KINDS[piece.kind],
                piece.label,
                _words(piece),
                _link(piece),
            )
            for piece in chosen
        ],
        say=say,
        first=first,
        right_to_left=text_direction() == "rtl",
    )
    return as_file(body, "application/pdf", "kit-labels.pdf", opened=True)


def _choose(form: TypedForm, wanted: set[int] | None) -> str:
    """`wanted`: the pieces that are ticked; None: all of them."""
    offered = _pieces()
    return render_template(
        "department/kit/labels.html",
        form=form,
        groups=by_kind(offered),
        wanted={piece.piece_id for piece in offered} if wanted is None else wanted,
        any_pieces=bool(offered),
        address=phone_address(),
    )


def _pieces() -> list[Piece]:
    return [piece for piece in pieces.pieces_of_department(database(), actor=g.teacher) if piece.in_use]


def _words(piece: Piece) -> list[Message]:
    """What its label says of it."""
    return [*figures_in_words(piece), *((WASH_HANDS,) if piece.figures.material == LEAD else ())]


def _link(piece: Piece) -> str | None:
    """The address of the piece's page for a phone; None where only this machine can reach it."""
    address = phone_address()
    return None if address is None else address + url_for("department.piece", piece_id=piece.piece_id)
