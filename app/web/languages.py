"""The reader's language: chosen by the phone, switchable, and every message said in it."""

from __future__ import annotations

from babel.support import NullTranslations
from flask import Blueprint, Flask, g, redirect, request
from flask.typing import ResponseReturnValue
from flask_babel import Babel, Domain, get_locale, gettext

from app.practicals.people.actors import FORMER_TEACHER, shown_name
from app.records.append_only import REMOVED
from app.settings import Settings
from app.translations import saying
from app.web.audience import audience, set_cookie
from app.web.security import local_address
from app.words import Message

LANGUAGES, RIGHT_TO_LEFT, catalogue = saying.LANGUAGES, saying.RIGHT_TO_LEFT, saying.catalogue
COOKIE = "plumbfall-language"
blueprint = Blueprint("language", __name__)


class CatalogueDomain(Domain):
    """Message catalogues read from their .po text, so that no compiled file can be out of step with it."""

    def get_translations(self) -> NullTranslations:
        return catalogue(language())


def wire(app: Flask, settings: Settings) -> None:
    """Choose the language of each request and offer the filters that write in it."""
    babel = Babel(app, locale_selector=chosen)
    babel.domain_instance = CatalogueDomain()
    app.jinja_env.filters.update(say=say, person=person, typed_words=typed_words)
    # Words for the scripts as they are: escapes make an Arabic page a fifth heavier.
    app.jinja_env.policies["json.dumps_kwargs"] = {"ensure_ascii": False}
    app.jinja_env.globals.update(LANGUAGES=LANGUAGES, language=language, text_direction=text_direction)


def chosen() -> str:
    """The language switched to on this phone, else the first that the browser asks for and we speak."""
    wanted = getattr(g, "language", None) or request.cookies.get(COOKIE, "")
    return wanted if wanted in LANGUAGES else (request.accept_languages.best_match(list(LANGUAGES)) or "en")


def person(name: str | None) -> str:
    """Someone's name; of who was removed from the records, that it was a teacher."""
    shown = shown_name(name)
    return gettext(FORMER_TEACHER) if shown == FORMER_TEACHER else shown


def typed_words(text: str) -> str:
    """Words as somebody typed them; of removed ones, that they were."""
    return gettext("(words removed)") if text == REMOVED else text


def language() -> str:
    """The current language's code."""
    locale = get_locale()
    return locale.language if locale else "en"


def text_direction() -> str:
    """Which way the current language is written: ltr or rtl."""
    return "rtl" if language() in RIGHT_TO_LEFT else "ltr"


def say(message: Message | str | None) -> str:
    """A message in the current language, its numbers with the language's decimal mark."""
    if message is None:
        return ""
    if isinstance(message, str):
        return gettext(message)
    return saying.said_in(language(), message)


def decimal_mark() -> str:
    """The current language's decimal mark."""
    return saying.decimal_mark(language())


@blueprint.post("/language")
@audience("anyone")
def switch() -> ResponseReturnValue:
    """Keep the chosen language in a cookie and go back to the page."""
    response = redirect(local_address(request.form.get("then")) or "/")
    chosen = request.form.get("language", "")
    if chosen in LANGUAGES:
        set_cookie(response, COOKIE, chosen)
    return response
