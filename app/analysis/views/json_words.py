"""What each key of `as_plain_data` means, in words and with its unit; `[]` stands behind a list's name."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple

from app.words import N_, Message

_C, _K, _1 = "J/(kg·K)", "K", "1"


class Key(NamedTuple):
    """One key; `unit` is empty where it is no measured number."""

    what: Message
    unit: str = ""


def _key(sentence: str, unit: str = "") -> Key:
    return Key(Message(sentence), unit)


_INTERVAL = _key(N_("Its 95 %% interval"), _C)
_U = _key(N_("Its standard uncertainty"), _C)
_BENCH, _RUN = _key(N_("The label of the bench")), _key(N_("The label of the run at its bench"))
_INSIDE = _key(N_("Whether the accepted value lies inside the interval"))
_ERROR = _key(N_("How far it lies from the accepted value"), "%")
_CLASS_VALUE = {
    "": _key(N_("The class value; null where there is none")),
    ".apparent_heat_capacity_J_per_kg_K": _key(N_("Apparent specific heat capacity of the class"), _C),
    ".interval_95": _INTERVAL,
    ".interval_absent_because": _key(N_("Why there is no interval")),
    ".method": _key(N_("How it was worked out")),
    ".runs": _key(N_("Runs that it is made of")),
    ".benches": _key(N_("Benches whose runs it is made of")),
    ".percent_error": _ERROR,
    ".percent_error_interval": _key(N_("Its 95 %% interval"), "%"),
    ".accepted_J_per_kg_K": _key(N_("Accepted specific heat capacity of the metal"), _C),
    ".accepted_inside_interval": _INSIDE,
}
_SEPARATED = {
    "": _key(N_("The fit that takes the heat sink out of the specific heat capacity")),
    ".identifiable": _key(N_("Whether the class's masses tell the two apart")),
    ".reason": _key(N_("Why, or why not, in words")),
    ".heat_capacity_J_per_kg_K": _key(N_("Specific heat capacity with the heat sink taken out"), _C),
    ".interval_95": _INTERVAL,
    ".heat_sink_J_per_K": _key(N_("Heat sink: what tube, caps and thermometer take for each kelvin"), "J/K"),
    ".heat_sink_interval_95": _key(N_("Its 95 %% interval"), "J/K"),
    ".percent_error": _ERROR,
    ".accepted_inside_interval": _INSIDE,
    ".heat_leak_per_inversion": _key(
        N_("Heat leak to the room in one inversion, over the mean mass of the benches"), _C
    ),
    ".model": _key(N_("The model that was fitted")),
    ".model_choice": _key(N_("Always null: a key of an earlier version")),
    ".heat_leak_J_per_K_per_inversion": _key(N_("Heat leak to the room in one inversion"), "J/K"),
    ".heat_leak_interval_95": _key(N_("Its 95 %% interval"), "J/K"),
    ".heat_leak_absent_because": _key(N_("Why the fit has no heat leak")),
}


def _at(path: str, keys: Mapping[str, Key]) -> dict[str, Key]:
    return {f"{path}{name}": key for name, key in keys.items()}


KEYS: Mapping[str, Key] = MappingProxyType(
    {
        "format": _key(N_("Says that this is a result, and of which form")),
        "room_temperature_C": _key(N_("Temperature of the room, for runs without their own"), "°C"),
        "runs": _key(N_("Every run, with what was worked out from it")),
        "runs[].bench": _BENCH,
        "runs[].run": _RUN,
        "runs[].set_aside": _key(N_("Whether the teacher set the run aside")),
        "runs[].fall_m": _key(N_("Tube length without the end allowance"), "m"),
        "runs[].caps_m": _key(N_("What the closed caps alone take from the length"), "m"),
        "runs[].settled_depth_m": _key(N_("How deep the settled shot lies in the upright tube"), "m"),
        "runs[].room_temperature_C": _key(N_("Temperature of the room"), "°C"),
        "runs[].ice_point_C": _key(N_("What the bench's thermometer shows in melting ice"), "°C"),
        "runs[].specific_energy_J_per_kg": _key(N_("Fall energy of a kilogram: g h N"), "J/kg"),
        "runs[].warming_K": _key(N_("End temperature less start temperature"), _K),
        "runs[].apparent_heat_capacity_J_per_kg_K": _key(
            N_("Apparent specific heat capacity: fall energy of a kilogram over the warming"), _C
        ),
        "runs[].standard_uncertainty_J_per_kg_K": _U,
        "runs[].interval_95": _INTERVAL,
        "runs[].interval_absent_because": _key(N_("Why there is no interval")),
        "runs[].absent_because": _key(N_("Why there is no specific heat capacity")),
        "runs[].budget_J_per_kg_K": _key(N_("The standard uncertainty by its sources"), _C),
        "runs[].budget_J_per_kg_K.thermometer_step": _key(N_("From the step of the thermometer"), _C),
        "runs[].budget_J_per_kg_K.reading": _key(N_("From reading the thermometer, beyond its step"), _C),
        "runs[].budget_J_per_kg_K.fall_length": _key(N_("From the length of the fall"), _C),
        "runs[].budget_J_per_kg_K.gravity": _key(N_("From the acceleration of free fall"), _C),
        "runs[].budget_J_per_kg_K.inversions": _key(N_("From the count of inversions: zero"), _C),
        "runs[].budget_J_per_kg_K.technique": _key(N_("From how far one run may be from the full falls"), _C),
        "runs[].flags": _key(N_("The rules by which the run was flagged; empty where none was")),
        "runs[].flags[].rule": _key(N_("The rule's name")),
        "runs[].flags[].reason": _key(N_("The reason in words")),
        "runs[].flags[].figure": _key(N_("The figure that the rule looked at")),
        "runs[].flags[].threshold": _key(N_("What it was held against")),
        "runs[].suspected_slip": _key(N_("The slip that would explain the run; null where none does")),
        "runs[].suspected_slip.slip": _key(N_("The slip's name")),
        "runs[].suspected_slip.field": _key(N_("The column of the run table that it is about")),
        "runs[].suspected_slip.as_entered": _key(N_("The number as it stands, in that column's unit")),
        "runs[].suspected_slip.corrected": _key(N_("The number without the slip, in the same unit")),
        "runs[].suspected_slip.apparent_heat_capacity_J_per_kg_K": _key(
            N_("Apparent specific heat capacity of the run without the slip"), _C
        ),
        "runs[].suspected_slip.sentence": _key(N_("The slip in words")),
        "runs[].unlike_the_others": _key(N_("Probability that the run is unlike the others"), _1),
        **_at("class_value", _CLASS_VALUE),
        "class_value_absent_because": _key(N_("Why there is no class value")),
        **_at("class_value_without_flagged", _CLASS_VALUE),
        "class_value_without_flagged": _key(N_("The class value if flagged runs were left out")),
        "estimates": _key(N_("The class value by several methods, side by side")),
        "estimates[].method": _key(N_("The method's name")),
        "estimates[].apparent_heat_capacity_J_per_kg_K": _CLASS_VALUE[".apparent_heat_capacity_J_per_kg_K"],
        "estimates[].interval_95": _INTERVAL,
        "estimates[].between_bench_sd_J_per_kg_K": _key(
            N_("Scatter between benches, one standard deviation"), _C
        ),
        "spread": _key(N_("Scatter within benches and between them, after ISO 5725-2")),
        "spread.repeatability_sd": _key(
            N_("Repeatability: scatter of one bench's runs, one standard deviation"), _C
        ),
        "spread.between_bench_sd": _key(N_("Scatter between benches, one standard deviation"), _C),
        "spread.reproducibility_sd": _key(N_("Reproducibility: both together, one standard deviation"), _C),
        "spread.mandel_h_critical": _key(N_("The value that Mandel's h should not exceed"), _1),
        "spread.mandel_k_critical": _key(N_("The value that Mandel's k should not exceed"), _1),
        "spread.cochran_C": _key(N_("Cochran's C: the largest variance of a bench over the sum of all"), _1),
        "spread.cochran_C_critical": _key(N_("The value that Cochran's C should not exceed"), _1),
        "spread.reason": _key(N_("Why something of it is missing")),
        "benches": _key(N_("Every bench with what its counted runs gave")),
        "benches[].bench": _BENCH,
        "benches[].runs": _key(N_("Runs of it that count")),
        "benches[].mean_mass_kg": _key(N_("Mean mass of its counted runs"), "kg"),
        "benches[].apparent_heat_capacity_J_per_kg_K": _key(
            N_("Apparent specific heat capacity of the bench"), _C
        ),
        "benches[].standard_uncertainty_J_per_kg_K": _U,
        "benches[].repeatability_sd_J_per_kg_K": _key(
            N_("Repeatability of its own runs, one standard deviation"), _C
        ),
        "benches[].mandel_h": _key(N_("Mandel's h: how far the bench lies from the others"), _1),
        "benches[].mandel_k": _key(N_("Mandel's k: how its runs scatter beside the others'"), _1),
        "benches[].unlike_the_others": _key(N_("Probability that the bench is unlike the others"), _1),
        "mass_levels": _key(N_("Benches of about the same mass together")),
        "mass_levels[].mass_kg": _key(N_("The median of their masses"), "kg"),
        "mass_levels[].benches": _key(N_("The labels of these benches")),
        "mass_levels[].apparent_heat_capacity_J_per_kg_K": _key(
            N_("Apparent specific heat capacity at this mass, by the class's fit"), _C
        ),
        "mass_levels[].interval_95": _INTERVAL,
        **_at("separated", _SEPARATED),
        **_at("separated_without_flagged", _SEPARATED),
        "separated_without_flagged": _key(N_("The same if flagged runs were left out")),
        "heat_ledger": _key(N_("Where the fall energy went, as shares of it")),
        "heat_ledger.shot": _key(N_("Share that stayed in the shot"), _1),
        "heat_ledger.u_shot": _key(N_("Standard uncertainty of that share"), _1),
        "heat_ledger.heat_sink": _key(N_("Share that went into the heat sink"), _1),
        "heat_ledger.u_heat_sink": _key(N_("Standard uncertainty of that share"), _1),
        "heat_ledger.unaccounted": _key(N_("Share that is in neither"), _1),
        "heat_ledger.u_unaccounted": _key(N_("Standard uncertainty of that share"), _1),
        "heat_ledger.heat_leak": _key(
            N_("Part of it that went to the room; below zero: that came from the room"), _1
        ),
        "heat_ledger.u_heat_leak": _key(N_("Standard uncertainty of that share"), _1),
        "heat_ledger.note": _key(N_("The ledger in a sentence")),
        "class_budget": _key(N_("The uncertainty of the class's figure by its sources, the largest first")),
        "class_budget[].source": _key(N_("The source's name")),
        "class_budget[].standard_uncertainty_J_per_kg_K": _key(N_("Its part as a standard uncertainty"), _C),
        "class_budget[].share_of_variance": _key(N_("Its share of the variance; all add up to 1"), _1),
        "class_budget[].advice": _key(N_("What would make it smaller next time")),
        "with_priors_twice_as_wide": _key(N_("The same figures from a fit whose priors are twice as wide")),
        "with_priors_twice_as_wide.specific_heat_J_per_kg_K": _SEPARATED[".heat_capacity_J_per_kg_K"],
        "with_priors_twice_as_wide.specific_heat_interval_95": _INTERVAL,
        "with_priors_twice_as_wide.specific_heat_moves_percent": _key(N_("How far the figure moves"), "%"),
        "with_priors_twice_as_wide.class_value_J_per_kg_K": _CLASS_VALUE[
            ".apparent_heat_capacity_J_per_kg_K"
        ],
        "with_priors_twice_as_wide.class_value_interval_95": _INTERVAL,
        "with_priors_twice_as_wide.class_value_moves_percent": _key(N_("How far the figure moves"), "%"),
        "line": _key(N_("Straight lines of warming against fall energy")),
        "line.slope_K_kg_per_J": _key(N_("Slope of the line through the origin"), "K·kg/J"),
        "line.u_slope_K_kg_per_J": _key(N_("Its standard uncertainty"), "K·kg/J"),
        "line.apparent_heat_capacity_J_per_kg_K": _key(N_("One over that slope"), _C),
        "line.offset_K": _key(N_("Warming without any fall, of the line with an offset"), _K),
        "line.u_offset_K": _key(N_("Its standard uncertainty"), _K),
        "line.slope_with_offset_K_kg_per_J": _key(N_("Slope of the line with an offset"), "K·kg/J"),
        "line.robust_slope_K_kg_per_J": _key(N_("Slope of a line that odd runs hardly move"), "K·kg/J"),
        "line.points": _key(N_("Every counted run on the line")),
        "line.points[].bench": _BENCH,
        "line.points[].run": _RUN,
        "line.points[].residual_K": _key(N_("How far the run's warming lies from the line"), _K),
        "line.points[].leverage": _key(N_("How much the run alone turns the line, from 0 to 1"), _1),
        "line.points[].cooks_distance": _key(
            N_("Cook's distance: how far the line moves without the run"), _1
        ),
        "line.points[].studentized_residual": _key(
            N_("The residual over its standard deviation, from a fit without the run"), _1
        ),
        "warnings": _key(N_("Sentences that a reader of the result should know")),
        "could_still_be_wrong": _key(N_("What no reading of this class shows, and how large it may be")),
    }
)
"""By path, in the order of the result."""
