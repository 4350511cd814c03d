"""What can hurt in this practical, in short sentences; the metal decides which of them apply.

The usual cautions of the trade (common practice, no source). They do not replace local rules or the
school's own risk assessment, and the first of them says so.
"""

from __future__ import annotations

from app.words import N_, Message

LOCAL_RULES_FIRST = Message(
    N_("Local rules and your school's own risk assessment come first: do what your teacher says.")
)
HOLD_BOTH_CAPS = Message(N_("Hold both end caps with your hands whenever the tube moves."))
TRAY = Message(N_("Keep a tray under the tube, and check the tube and its caps for cracks before you start."))
EYES = Message(N_("Wear eye protection: shot that gets out can fly."))
EARS = Message(N_("It is loud: wear hearing protection, or let the benches tip in turns."))
SPILLED_SHOT = Message(N_("Sweep up spilled shot at once: people slip on it."))
THERMOMETER = Message(
    N_("Take the thermometer out before tipping, and lower it gently into the shot: glass breaks.")
)
NO_FOOD = Message(N_("No food or drink at the bench."))
WASH_HANDS = Message(N_("Wash your hands when you have finished."))

GENERAL_CAUTIONS: tuple[Message, ...] = (
    LOCAL_RULES_FIRST,
    HOLD_BOTH_CAPS,
    TRAY,
    EYES,
    EARS,
    SPILLED_SHOT,
    THERMOMETER,
    NO_FOOD,
)

LEAD_CAUTIONS: tuple[Message, ...] = (
    Message(N_("Lead is poisonous: wash your hands with soap after touching the shot, and before you eat.")),
    Message(N_("Keep your fingers away from your mouth and eyes, and cover cuts.")),
    Message(N_("Pour the shot slowly, away from your face; wipe up grey dust with a damp cloth, never dry.")),
    Message(N_("Lead goes back into its labelled container, never into a bin or a sink.")),
)

CHECK_LABEL_FOR_LEAD = Message(
    N_("Check the label: shot of this metal can contain some lead. If so, take the care that lead needs.")
)
DRY_STEEL = Message(N_("Keep the shot dry: it rusts, and wet shot gives wrong temperatures."))
