"""The heat ledger as the class sees it: the shares of the fall energy, and one sentence about them."""

from __future__ import annotations

from math import isfinite

from app.analysis.fit.class_fit import ClassFit
from app.analysis.fit.design import believed_masses_kg, mass_levels
from app.analysis.fit.ledger import ledger_shares
from app.analysis.results import HeatLedger
from app.physics.rounding import whole
from app.words import N_, Message

_UNSAID = Message("")
_LEAST_SAID = 0.005
"""Half a percent: a smaller leak is written as 0 % (closed form: rounding)."""


def heat_ledger(fit: ClassFit, told_apart: bool) -> HeatLedger | None:
    """The class's ledger; None where no run is like the others or the figures are beyond any number.

    A share above 1, or below 0, is shown as it is, and the note says why it can happen.
    """
    shares = ledger_shares(fit, told_apart)
    if shares is None:
        return None
    shot, sink, leak = shares.shot, shares.sink, shares.leak
    in_sink = 0.0 if sink is None else sink.value
    if not isfinite(100.0 * (abs(shot.value) + abs(in_sink) + shot.u + shares.elsewhere.u)):
        return None
    ledger = HeatLedger(
        shot=shot.value,
        u_shot=shot.u,
        heat_sink=None if sink is None else sink.value,
        u_heat_sink=None if sink is None else sink.u,
        unaccounted=1.0 - shot.value - in_sink,
        u_unaccounted=shares.elsewhere.u,
        note=_UNSAID,
        heat_leak=None if leak is None else leak.value,
        u_heat_leak=None if leak is None else leak.u,
    )
    return ledger._replace(note=_note(ledger, mass_levels(believed_masses_kg(fit)) > 1))


def _note(ledger: HeatLedger, masses_differ: bool) -> Message:
    sink, rest, u_rest = ledger.heat_sink, ledger.unaccounted, ledger.u_unaccounted
    whole_shot, whole_sink, whole_rest = ledger.percents
    values = {
        "shot": str(whole_shot),
        "sink": str(whole_sink),
        "rest": str(abs(whole_rest)),
        "u": whole(max(1.0, 100 * u_rest)),
    }
    if whole_rest < 0 and -rest <= 2.0 * u_rest:
        return Message(
            N_(
                "The parts add up to more than the fall energy, by %(rest)s %% ± %(u)s %%: no more than the "
                "uncertainty of the readings allows."
            ),
            values,
        )
    if whole_rest < 0:
        return Message(
            N_(
                "The parts add up to %(rest)s %% more than the fall energy. Heat came from elsewhere (warm "
                "hands, a warm room) or a reading is off: turns not counted, a fall longer than measured, "
                "or another metal than assumed."
            ),
            values,
        )
    if sink is None and masses_differ:
        return Message(
            N_(
                "The shot kept %(shot)s %% of the fall energy. The other %(rest)s %% went into the tube, "
                "caps and thermometer and to the room; these readings do not tell the two apart, though the "
                "benches' masses differ."
            ),
            values,
        )
    if sink is None:
        return Message(
            N_(
                "The shot kept %(shot)s %% of the fall energy. The other %(rest)s %% went into the tube, "
                "caps and thermometer and to the room; with benches of different masses the class could "
                "tell these apart."
            ),
            values,
        )
    if ledger.heat_leak is not None and ledger.heat_leak >= _LEAST_SAID:
        return Message(
            N_(
                "The shot kept %(shot)s %% of the fall energy, the tube, caps and thermometer took %(sink)s "
                "%%, and %(rest)s %% ± %(u)s %% went elsewhere: about %(leak)s %% leaked to the room."
            ),
            {**values, "leak": whole(100.0 * ledger.heat_leak)},
        )
    return Message(
        N_(
            "The shot kept %(shot)s %% of the fall energy, the tube, caps and thermometer took %(sink)s "
            "%%, and %(rest)s %% ± %(u)s %% is unaccounted for."
        ),
        values,
    )
