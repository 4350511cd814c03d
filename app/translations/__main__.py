"""Bring the message catalogues up to date: `python -m app.translations`."""

from app.translations.extraction import bring_up_to_date

bring_up_to_date()
