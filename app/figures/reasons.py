"""Why there is nothing to show yet, in words."""

from __future__ import annotations

from app.words import N_, Message

NO_RUNS = Message(N_("No bench has sent a run yet."))
NO_LEDGER = Message(
    N_("The ledger needs benches with different masses of shot: only then can the heat be told apart.")
)
