"""One paragraph of the guide about something that the tool shows."""

from __future__ import annotations

from dataclasses import dataclass

from app.words import N_, Message

OWN_CHOICE = Message(N_("our own choice"))
COMMON_PRACTICE = Message(N_("common practice, no source"))


@dataclass(frozen=True)
class Meaning:
    """What is meant by something that is shown.

    `of` are its names in the program: a test finds what is shown and has no paragraph. `formulas` are macros
    of templates/guide/formulas.html; `source` stays in its own language, `basis` stands where there is none.
    """

    anchor: str
    title: Message
    texts: tuple[Message, ...]
    of: tuple[str, ...]
    formulas: tuple[str, ...] = ()
    source: str = ""
    basis: Message | None = None


def meaning(
    anchor: str,
    title: str,
    *texts: Message | str,
    of: tuple[str, ...],
    formulas: tuple[str, ...] = (),
    source: str = "",
    basis: Message | None = None,
) -> Meaning:
    """The same from its title and sentences; a sentence without values may stand as its text alone."""
    told = tuple(Message(text) if isinstance(text, str) else text for text in texts)
    return Meaning(anchor, Message(title), told, of, formulas, source, basis)
