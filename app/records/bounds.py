"""Rules about exact decimals, which are kept as text: the database reads the text as a number."""

from __future__ import annotations

from sqlalchemy import CheckConstraint

from app.physics.limits import ICE_POINT_C, Range


def possible(column: str, bounds: Range, name: str = "", *, above_least: bool = False) -> CheckConstraint:
    """The rule that a column lies within these bounds, or is empty; `above_least`: the least is not taken."""
    value, least, most = f'CAST("{column}" AS NUMERIC)', bounds.least, bounds.most
    inside = (
        f"{value} > {least} AND {value} <= {most}" if above_least else f"{value} BETWEEN {least} AND {most}"
    )
    return CheckConstraint(f'"{column}" IS NULL OR {inside}', name=name or f"{column}_possible")


def ice_point_possible() -> CheckConstraint:
    """The rule of a column `ice_point_C`: what a thermometer can show in melting ice, or nothing."""
    return possible("ice_point_C", ICE_POINT_C.refused_outside, "ice_point_possible")
