"""One plain sentence for each figure, from the numbers that it draws: what it shows, or why nothing yet."""

from __future__ import annotations

from app.analysis.fit.accepted import alloy_range, percent_beyond
from app.analysis.results import ClassResult, ClassValue, Interval, LineFit
from app.figures.levels import what_the_fan_shows
from app.figures.numbers import ends, percent, signed, with_interval, with_u
from app.physics.rounding import round_significant, short
from app.words import N_, Message

COUNTED_ALIKE = Message(N_("The class value counts every bench alike."))
NO_RUNS = Message(N_("No bench has sent a run yet."))
PULLED = 0.05
"""A robust slope further away than this share of the fitted one is worth a sentence (our own choice)."""


def finding(name: str, result: ClassResult) -> Message:
    """The finding of a figure by its name. KeyError for an unknown one."""
    return FINDERS[name](result)


def spread(result: ClassResult) -> Message:
    """The class value and its interval; what stands in the way where there is none."""
    pooled = result.class_value
    if pooled is None:
        return result.class_value_absent_because or NO_RUNS
    value = pooled.apparent_heat_capacity_J_per_kg_K
    counts = {"runs": str(pooled.runs), "benches": str(pooled.benches)}
    if pooled.interval_95 is None:
        return Message(
            N_(
                "The class value is %(value)s J/(kg·K), without an"
                " interval yet (runs: %(runs)s, benches: %(benches)s)."
            ),
            {"value": with_interval(value, None), **counts},
        )
    low, high = ends(pooled.interval_95)
    return Message(
        N_(
            "The class value is %(value)s J/(kg·K), with a 95 %% interval from %(low)s to %(high)s"
            " (runs: %(runs)s, benches: %(benches)s)."
        ),
        {"value": with_interval(value, pooled.interval_95), "low": low, "high": high, **counts},
    )


def unlike_the_others(result: ClassResult) -> Message | None:
    """That runs unlike the others are counted and move the result little; None where there is none."""
    unlike = sum(run.is_unlike_the_others and not run.readings.set_aside for run in result.runs)
    if not unlike or result.class_value is None:
        return None
    return Message(
        N_(
            "Runs unlike the others and still counted: %(unlike)s. They move it little: the fit gives each"
            " run a small chance of being so."
        ),
        {"unlike": str(unlike)},
    )


def is_pulled(fit: LineFit) -> bool:
    """Whether single runs pull the line: the robust slope (Huber) is more than a twentieth away from it."""
    robust = fit.robust_slope_K_kg_per_J
    return robust is not None and robust > 0 and abs(fit.slope_K_kg_per_J / robust - 1) > PULLED


def pull(result: ClassResult) -> Message | None:
    """What a line gives that single runs cannot pull; None where it is much the same."""
    fit = result.line
    if fit is None or not is_pulled(fit) or not fit.robust_slope_K_kg_per_J:
        return None
    values = {"capacity": signed(round_significant(1 / fit.robust_slope_K_kg_per_J))}
    return Message(N_("Single runs pull it: a robust line gives %(capacity)s."), values)


def line(result: ClassResult) -> Message:
    """What the slopes say; with one mass, whether a line free to miss the origin would do so."""
    fan, fit = what_the_fan_shows(result), result.line
    if fan is not None:
        return fan
    if fit is None:
        return result.class_value_absent_because or NO_RUNS
    if fit.slope_K_kg_per_J <= 0:
        return Message(N_("The fitted line does not rise: these runs show no warming with fall energy."))
    u = 1000 * fit.u_slope_K_kg_per_J if fit.u_slope_K_kg_per_J else None
    values = {
        "slope": with_u(1000 * fit.slope_K_kg_per_J, u),
        "capacity": signed(round_significant(fit.apparent_heat_capacity_J_per_kg_K)),
    }
    if fit.offset_K is not None and fit.u_offset_K and abs(fit.offset_K) > 2 * fit.u_offset_K:
        return Message(
            N_(
                "1 kJ of fall energy per kilogram warms the shot by"
                " %(slope)s K, so the line gives %(capacity)s J/(kg·K);"
                " left free, it would miss the origin by %(offset)s K."
            ),
            {**values, "offset": with_u(abs(fit.offset_K), fit.u_offset_K)},
        )
    return Message(
        N_(
            "1 kJ of fall energy per kilogram warms the shot by"
            " %(slope)s K, so the line gives %(capacity)s J/(kg·K)."
        ),
        values,
    )


def accepted(result: ClassResult) -> Message:
    """How far the class value is from the accepted value, and whether that lies inside the interval."""
    pooled = result.class_value
    if pooled is None:
        return result.class_value_absent_because or NO_RUNS
    alloy = alloy_range(result.settings)
    if alloy is not None:
        return _against_a_range(pooled, alloy)
    error = pooled.percent_error
    values = {
        "error": percent(abs(error)),
        "accepted": signed(short(pooled.accepted_J_per_kg_K, 6)),
        "value": with_interval(pooled.apparent_heat_capacity_J_per_kg_K, pooled.interval_95),
    }
    above = error > 0
    if pooled.accepted_inside_interval is None:
        return Message(
            N_(
                "The class value is %(error)s %% above the accepted"
                " %(accepted)s J/(kg·K); it has no interval yet."
            )
            if above
            else N_(
                "The class value is %(error)s %% below the accepted"
                " %(accepted)s J/(kg·K); it has no interval yet."
            ),
            values,
        )
    if pooled.accepted_inside_interval:
        return Message(
            N_(
                "The class value is %(error)s %% above the accepted"
                " %(accepted)s J/(kg·K), which lies inside the class's interval."
            )
            if above
            else N_(
                "The class value is %(error)s %% below the accepted"
                " %(accepted)s J/(kg·K), which lies inside the class's interval."
            ),
            values,
        )
    return Message(
        N_(
            "The class value is %(error)s %% above the accepted %(accepted)s"
            " J/(kg·K), which lies outside the class's interval:"
            " chance alone does not explain it."
        )
        if above
        else N_(
            "The class value is %(error)s %% below the accepted"
            " %(accepted)s J/(kg·K), which lies outside the class's"
            " interval: chance alone does not explain it."
        ),
        values,
    )


def _against_a_range(pooled: ClassValue, alloy: Interval) -> Message:
    """An alloy's accepted value is a range: how far outside it the class value lies, if it does."""
    beyond = percent_beyond(pooled.apparent_heat_capacity_J_per_kg_K, *alloy)
    low, high = ends(alloy)
    values = {"error": percent(abs(beyond)), "low": low, "high": high}
    if beyond == 0.0:
        sentence = N_(
            "The class value lies inside the range accepted for such alloys, %(low)s to %(high)s J/(kg·K)."
        )
    elif pooled.accepted_inside_interval is not False:
        sentence = (
            N_(
                "The class value is %(error)s %% above the range accepted for such alloys,"
                " %(low)s to %(high)s J/(kg·K)."
            )
            if beyond > 0
            else N_(
                "The class value is %(error)s %% below the range accepted for such alloys,"
                " %(low)s to %(high)s J/(kg·K)."
            )
        )
    else:
        sentence = (
            N_(
                "The class value is %(error)s %% above the range accepted for such alloys,"
                " %(low)s to %(high)s J/(kg·K), and its interval does not reach it: chance alone does not"
                " explain it."
            )
            if beyond > 0
            else N_(
                "The class value is %(error)s %% below the range accepted for such alloys,"
                " %(low)s to %(high)s J/(kg·K), and its interval does not reach it: chance alone does not"
                " explain it."
            )
        )
    return Message(sentence, values)


def separated(result: ClassResult) -> Message:
    """The specific heat capacity with the heat sink taken out, or why it cannot be told."""
    found = result.separated
    if not found.identifiable or found.heat_capacity_J_per_kg_K is None:
        return found.reason
    value = with_interval(found.heat_capacity_J_per_kg_K, found.interval_95)
    if found.interval_95 is None:
        return Message(
            N_(
                "With the heat sink taken out, the shot alone has"
                " %(value)s J/(kg·K), without an interval yet."
            ),
            {"value": value},
        )
    low, high = ends(found.interval_95)
    values = {"value": value, "low": low, "high": high}
    if found.accepted_inside_interval:
        return Message(
            N_(
                "With the heat sink taken out, the shot alone has %(value)s"
                " J/(kg·K), with a 95 %% interval from %(low)s to %(high)s:"
                " the accepted value lies inside it."
            ),
            values,
        )
    return Message(
        N_(
            "With the heat sink taken out, the shot alone has %(value)s"
            " J/(kg·K), with a 95 %% interval from %(low)s to %(high)s:"
            " the accepted value lies outside it."
        ),
        values,
    )


def no_ledger(result: ClassResult) -> Message:
    """Why there is no heat ledger."""
    if result.separated.identifiable:
        return Message(N_("These readings do not show where the fall energy went."))
    return result.separated.reason if result.runs else NO_RUNS


def ledger(result: ClassResult) -> Message:
    """Where the fall energy went."""
    found = result.ledger
    if found is None:
        return no_ledger(result)
    shot, sink, rest = (signed(str(percent)) for percent in found.percents)
    values = {"shot": shot, "sink": sink, "rest": rest}
    if found.heat_sink is None and found.unaccounted < 0:
        return Message(
            N_(
                "The shot took %(shot)s %% of the fall energy, more than there was, though no more than the"
                " uncertainty of the readings allows."
            )
            if -found.unaccounted <= 2 * found.u_unaccounted
            else N_(
                "The shot alone would have taken %(shot)s %% of the fall energy, more than there was:"
                " a reading is off, heat came from elsewhere, or the shot is another metal."
            ),
            values,
        )
    if found.heat_sink is None:
        return Message(
            N_("Of the fall energy, %(shot)s %% warmed the shot and %(rest)s %% is not accounted for."),
            values,
        )
    if abs(found.unaccounted) <= 2 * found.u_unaccounted:
        return Message(
            N_(
                "Of the fall energy, %(shot)s %% warmed the shot and %(sink)s %% warmed tube, caps, cup and"
                " thermometer; the rest (%(rest)s %%) is no more than twice its uncertainty."
            ),
            values,
        )
    if found.unaccounted < 0:
        return Message(
            N_(
                "The shot took %(shot)s %% of the fall energy and tube, caps, cup and thermometer"
                " %(sink)s %%: together more than there was, so a reading or the model is off."
            ),
            values,
        )
    return Message(
        N_(
            "Of the fall energy, %(shot)s %% warmed the shot, %(sink)s %% warmed tube, caps, cup and"
            " thermometer, and %(rest)s %% is not accounted for."
        ),
        values,
    )


FINDERS = {"spread": spread, "line": line, "accepted": accepted, "separated": separated, "ledger": ledger}
