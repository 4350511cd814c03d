"""Rules about exact decimals, which are kept as text: the database reads the text as a number."""

from __future__ import annotations

from sqlalchemy import CheckConstraint

from app.physics.limits import ICE_POINT_C


def ice_point_possible() -> CheckConstraint:
    """The rule of a column `ice_point_C`: what a thermometer can show in melting ice, or nothing."""
    least, most = ICE_POINT_C.refused_outside.least, ICE_POINT_C.refused_outside.most
    return CheckConstraint(
        f'"ice_point_C" IS NULL OR CAST("ice_point_C" AS NUMERIC) BETWEEN {least} AND {most}',
        name="ice_point_possible",
    )
