"""How phones would reach this server, as findings in words. Nothing is changed."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from urllib.parse import urlsplit

from app.reach.addresses import KIND_WORDS, Kind, OwnAddress, as_address, kind_of
from app.reach.machine import Firewall, firewall, own_addresses
from app.reach.probe import Answer, probe
from app.settings import Settings
from app.words import N_, Message

GOOD_FOR_PHONES = (Kind.LOCAL, Kind.PUBLIC, Kind.RESERVED)
"""Kinds of addresses under which a phone may find the server; of the others none does."""


ANSWER_WORDS = {
    Answer.OURS: Message(N_("The server answers there, asked from this computer.")),
    Answer.OTHER: Message(N_("Something else answers there, not this server.")),
    Answer.REFUSED: Message(N_("Nothing listens there: start the server, or look at the port.")),
    Answer.SILENT: Message(N_("Nothing answers there, not even to this computer.")),
    Answer.UNTRUSTED: Message(
        N_("Its certificate is not trusted by this computer, so phones will warn of it.")
    ),
    Answer.NO_SUCH_NAME: Message(N_("Nobody knows the name in this address.")),
}


class Verdict(StrEnum):
    """How a finding stands. `OPEN` is what this computer cannot tell by itself."""

    GOOD = "good"
    OPEN = "open"
    BAD = "bad"


@dataclass(frozen=True)
class Finding:
    """What was looked at, what was found (a value as it is, then words), how it stands, and commands to go on
    with."""

    subject: Message
    text: Message
    verdict: Verdict = Verdict.GOOD
    value: str = ""
    commands: tuple[str, ...] = ()


@dataclass(frozen=True)
class Diagnosis:
    """What was found about the way from a phone to this server."""

    address: str
    is_configured: bool
    listens_on: str
    own: tuple[OwnAddress, ...]
    answer: Answer
    firewall: Firewall

    @property
    def host(self) -> str:
        """The host of the address for phones."""
        return urlsplit(self.address).hostname or ""

    @property
    def port(self) -> int:
        """Its port."""
        parts = urlsplit(self.address)
        return parts.port or (443 if parts.scheme == "https" else 80)

    @property
    def kind(self) -> Kind | None:
        """What the address for phones is good for; None for a name."""
        address = as_address(self.host)
        if address is None:
            return Kind.LOOPBACK if self.host == "localhost" else None
        return next((one.kind for one in self.own if one.address == address), kind_of(address))

    @property
    def is_own(self) -> bool:
        """Whether the address for phones is one of this machine's."""
        return any(str(one.address) == self.host for one in self.own)


def diagnose(settings: Settings) -> Diagnosis:
    """Look at this machine, and ask the server at its own address."""
    address = settings.address_for_phones()
    return Diagnosis(
        address=address,
        is_configured=settings.base_address is not None,
        listens_on=settings.host,
        own=own_addresses(),
        answer=probe(address),
        firewall=firewall(settings.port),
    )


def findings(seen: Diagnosis) -> list[Finding]:
    """The diagnosis in words, the most telling first."""
    return [_carried(seen), _answered(seen), _listening(seen), _firewall(seen), *_own(seen)]


def _carried(seen: Diagnosis) -> Finding:
    subject, kind = Message(N_("Join links carry")), seen.kind
    if kind is not None and kind not in GOOD_FOR_PHONES:
        return Finding(subject, KIND_WORDS[kind], Verdict.BAD, seen.address)
    if not seen.is_configured:
        text = N_("this computer's address on its network")
        return Finding(subject, Message(text), value=seen.address)
    if kind is None or seen.is_own:
        return Finding(subject, Message(N_("as PLUMBFALL_BASE_ADDRESS says")), value=seen.address)
    text = N_(
        "as PLUMBFALL_BASE_ADDRESS says. That is no address of this computer now; it is right only where a"
        " proxy or a router passes on what comes there."
    )
    return Finding(subject, Message(text), Verdict.OPEN, seen.address)


def _answered(seen: Diagnosis) -> Finding:
    verdict = Verdict.GOOD if seen.answer is Answer.OURS else Verdict.BAD
    return Finding(Message(N_("The server")), ANSWER_WORDS[seen.answer], verdict)


def _listening(seen: Diagnosis) -> Finding:
    subject = Message(N_("It listens on"))
    host = as_address(seen.listens_on)
    if seen.listens_on == "localhost" or (host is not None and host.is_loopback):
        answers = seen.answer in (Answer.OURS, Answer.UNTRUSTED)
        if seen.is_configured and answers and seen.kind is not Kind.LOOPBACK:
            text = N_("this computer alone, which is right behind a proxy")
            return Finding(subject, Message(text))
        text = N_(
            "this computer alone, so that no phone reaches it: take PLUMBFALL_HOST away and start it anew"
        )
        return Finding(subject, Message(text), Verdict.BAD)
    if host is None or host.is_unspecified:
        return Finding(subject, Message(N_("every address of this computer")))
    return Finding(subject, Message(N_("this address alone")), value=seen.listens_on)


def _firewall(seen: Diagnosis) -> Finding:
    wall, subject = seen.firewall, Message(N_("Firewall"))
    if wall.is_on is None:
        text = Message(N_("whether one is on, only an administrator can see. To look:"))
        return Finding(subject, text, Verdict.OPEN, commands=(wall.look,))
    if not wall.is_on:
        return Finding(subject, Message(N_("off")), value=wall.name)
    text = Message(N_("on. To see what it lets in, and to let the phones in:"))
    return Finding(subject, text, Verdict.OPEN, wall.name, (wall.look, wall.let_in))


def _own(seen: Diagnosis) -> list[Finding]:
    subject = Message(N_("This computer's address"))
    return [
        Finding(subject, KIND_WORDS[one.kind], value=str(one))
        for one in seen.own
        if one.kind is not Kind.LOOPBACK and not (one.address.version == 6 and one.address.is_link_local)
    ]
