"""The signed cookie of forms, which carries a form's token and the run that is being typed without script.

Flask signs it with the time, and refuses one whose time is still to come. Clocks are set back by a second now
and then, and two servers' clocks are never quite the same: what was typed must not be lost for that.
"""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from flask import Flask
from flask.sessions import SecureCookieSessionInterface
from itsdangerous import SignatureExpired, TimestampSigner, URLSafeTimedSerializer

from app.settings import Settings


class PatientSigner(TimestampSigner):
    """Takes what was signed by a clock that is ahead of this one; what is too old stays refused."""

    def unsign(self, signed_value: Any, **how: Any) -> Any:  # type: ignore[override]
        """As itsdangerous does it."""
        try:
            return super().unsign(signed_value, **how)
        except SignatureExpired as refused:
            if refused.date_signed is None or refused.date_signed <= datetime.now(UTC):
                raise
            return super().unsign(signed_value, **{**how, "max_age": None})


class FormCookie(SecureCookieSessionInterface):
    """Flask's session in a signed cookie."""

    def get_signing_serializer(self, app: Flask) -> URLSafeTimedSerializer | None:
        """As Flask makes it, with that signer."""
        serializer = super().get_signing_serializer(app)
        if serializer is not None:
            serializer.signer = PatientSigner
        return serializer


def wire(app: Flask, settings: Settings) -> None:
    """Before any route."""
    app.session_interface = FormCookie()
