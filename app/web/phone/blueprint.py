"""The blueprint of the bench's pages and the words their scripts say."""

from __future__ import annotations

from flask import Blueprint
from flask_babel import gettext as _

from app.web.phone.typed import FIELDS, as_button_value

blueprint = Blueprint("bench", __name__)
blueprint.add_app_template_filter(as_button_value)


@blueprint.app_template_global()
def queue_words() -> dict[str, object]:
    """What the page says about readings that wait on this phone."""
    return {
        "waiting": _("Not yet sent:"),
        "sending": _("Sending:"),
        "kept_here": _("Kept on this phone; it is sent by itself once the network is back."),
        "arrived": _("Saved as run %(number)s.", number="{run}"),
        "arrived_waits": _("Saved as run %(number)s. It waits for your teacher.", number="{run}"),
        "refused": _("Not taken:"),
        "change": _("Change it"),
        "discard": _("Throw away"),
        "discard_sure": _("Throw these readings away? They are nowhere else."),
        "unreadable": _(
            "Something kept on this phone cannot be read as a run. Copy it as text, then throw it away."
        ),
        "no_storage": _("This phone lets the page keep nothing: a run is safe only once you see its number."),
        "stay": _(
            "No connection just now, so that page cannot be opened. Stay on this one and try again in a "
            "moment."
        ),
        "ask": _("Run {run} is saved, but a reading looks unlikely. Look at it now, before the next run."),
        "look": _("Look at run {run}"),
        "foreign": _(
            "Something else answered in place of the class's computer. If the Wi-Fi asks for a sign-in, do "
            "that first; the readings are kept on this phone."
        ),
        "elsewhere": _("Not sent: these readings were typed at bench {number}."),
        "other_class": _(
            "Not sent: these readings are from another class. Show them to your teacher as text, or throw "
            "them away."
        ),
        "adopt": _("They are ours: send them"),
        "copied": _("Copied."),
        "copy_by_hand": _("Select the text and copy it."),
        "bench": _("Bench"),
        "fields": {name: _(field.label) for name, field in FIELDS.items()},
    }


@blueprint.app_template_global()
def counting_words() -> dict[str, str]:
    """What the counting page says."""
    return {
        "left": _("to go: {left}"),
        "tap": _("Tap for each fall"),
        "reached": _("Target reached"),
        "stop": _("Stop tipping. Press Done and read the END temperature at once."),
        "more": _("One more fall after all? Tap."),
        "over": _("beyond the target: {over}"),
        "fast": _("Slow down: let the shot fall the whole way."),
        "slow": _("A little faster, so that less heat leaks away."),
        "steady": _("Steady: about {per_minute} a minute."),
        "both": _("You typed {typed}, the counter says {count}."),
        "which": _("Which is right?"),
        "right": _("{count} is right"),
        "awake": _("The screen may go dark here: tap it now and then. The count is kept."),
    }


@blueprint.app_template_global()
def run_words() -> dict[str, str]:
    """What the steps say by themselves."""
    return {
        "wordy": _(
            "“%(typed)s” is not a number. Type the reading in digits, for example 23.5.", typed="{typed}"
        ),
        "empty": _("Nothing was typed. Type the reading, for example 23.5."),
        "checking": _("Checking…"),
        "unchecked": _("No connection just now: this will be checked when it is sent."),
        "kept_title": _("Kept on this phone"),
        "kept": _(
            "These readings stay on this phone until they are sent; you can do the next run meanwhile."
        ),
        "saved_title": _("Saved as run {run}"),
        "saved": _("It is in the class's records."),
        "gone_title": _("No longer on this phone"),
        "gone": _("It was thrown away in another tab. Look at your runs."),
    }
