"""What to do with a phone, what each outcome means, and the ways out: once for the command and the page."""

from __future__ import annotations

from dataclasses import dataclass

from app.reach.diagnosis import Diagnosis
from app.words import N_, Message

TEST_PATH = "/test"
"""The page that tells a phone that it got through."""
REACHED = Message(N_("This phone reaches the class's server."))
"""What that page says."""


@dataclass(frozen=True)
class Outcome:
    """What somebody sees, and what it means."""

    seen: Message
    means: Message


@dataclass(frozen=True)
class Step:
    """Something to do, and what may come of it."""

    do: Message
    outcomes: tuple[Outcome, ...] = ()


def address_to_try(found: Diagnosis) -> str:
    """What a phone opens."""
    return found.address + TEST_PATH


def steps(found: Diagnosis) -> tuple[Step, ...]:
    """What to try, in order."""
    return (
        Step(
            Message(
                N_(
                    "Join the phone to the Wi-Fi that the class will use, and switch its mobile data off:"
                    " from there no phone reaches a school's own network."
                )
            )
        ),
        Step(
            Message(
                N_("On the phone, open %(address)s. Type the address whole, or scan its QR."),
                {"address": address_to_try(found)},
            ),
            tuple(_on_the_phone(found)),
        ),
        Step(
            Message(
                N_(
                    "If it did not get through: open the same address on another computer, joined by a cable"
                    " if there is one, else on the same Wi-Fi."
                )
            ),
            _ON_ANOTHER_COMPUTER,
        ),
    )


def _on_the_phone(found: Diagnosis) -> list[Outcome]:
    encrypted = found.address.startswith("https:")
    return [
        Outcome(
            REACHED,
            Message(
                N_(
                    "The way is free. Where the QR of a printed card fails all the same, it carries an older"
                    " address: print the cards again."
                )
            ),
        ),
        Outcome(
            Message(N_("It waits long, then says that the page takes too long or cannot be reached.")),
            Message(
                N_(
                    "What the phone sends is dropped on the way: the Wi-Fi keeps its devices apart, or this"
                    " computer's firewall lets nothing in. The next step tells which."
                )
            ),
        ),
        Outcome(
            Message(N_("It says at once that the connection was refused.")),
            Message(
                N_(
                    "The phone reaches this computer, but no server listens there: start it, and compare the"
                    " port in the address."
                )
            ),
        ),
        Outcome(
            Message(N_("A page of the Wi-Fi wants a sign-in or a click.")),
            Message(N_("Do that first, then open the address again.")),
        ),
        Outcome(
            Message(N_("It says that this Wi-Fi has no internet, and offers to leave it.")),
            Message(N_("Stay on it: the class needs this computer and no internet.")),
        ),
        _certificate() if encrypted else _turned_into_https(),
    ]


def _certificate() -> Outcome:
    return Outcome(
        Message(N_("It warns of a certificate.")),
        Message(
            N_(
                "Phones do not know who signed it. Use a certificate that they know, which the proxy of"
                " plumbfall recipe proxy fetches by itself for a name on the internet."
            )
        ),
    )


def _turned_into_https() -> Outcome:
    return Outcome(
        Message(N_("It says that there is no secure connection.")),
        Message(N_("The browser put https in front. Type the address with http:// before it.")),
    )


_ON_ANOTHER_COMPUTER = (
    Outcome(
        Message(N_("The other computer opens it, the phone does not.")),
        Message(
            N_(
                "The Wi-Fi keeps its devices apart (client isolation, as on many guest networks). Nothing on"
                " this computer changes that: take one of the ways out."
            )
        ),
    ),
    Outcome(
        Message(N_("Neither opens it.")),
        Message(
            N_(
                "Most likely it is this computer's firewall. Let the port of the address in (TCP), then try"
                " the phone again."
            )
        ),
    ),
)


def ways_out(found: Diagnosis) -> tuple[Message, ...]:
    """What to do where the network keeps phones away, the quickest first; the last one always works."""
    return (
        Message(
            N_(
                "A Wi-Fi router that nobody needs: this computer joins it by cable, the phones by its Wi-Fi."
                " It needs no internet."
            )
        ),
        Message(
            N_(
                "A hotspot: this computer opens one itself, or a phone opens"
                " one that this computer joins too. A phone's takes 5 to 10"
                " devices, so join one phone a bench."  # common practice, no source
            )
        ),
        Message(
            N_(
                "A small computer (an old laptop will do) that carries the class's own Wi-Fi: with Plumbfall"
                " on it, it opens a hotspot wherever the lesson is."
            )
        ),
        Message(
            N_(
                "The school's server, which the phones' Wi-Fi does reach: plumbfall recipe systemd and"
                " plumbfall recipe proxy print how."
            )
        ),
        Message(
            N_(
                "Whoever looks after the network: “Please let the devices on the students' Wi-Fi reach"
                " %(host)s, TCP port %(port)s, and give this computer always the same address.”"
            ),
            {"host": found.host, "port": str(found.port)},
        ),
        Message(
            N_(
                "Today, without any network: the bench cards have rows to write in. Type them in afterwards"
                " under “Type or paste many runs”."
            )
        ),
    )


AFTERWARDS = Message(
    N_(
        "On another network this computer has another address: start the server again, then show the code"
        " and print the cards anew."
    )
)
