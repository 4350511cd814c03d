"""The names of the known slips and the sentence that asks about each."""

from __future__ import annotations

from app.words import N_

MASS_UNIT = "mass-unit"
LENGTH_UNIT = "length-unit"
INVERSIONS_HALVED = "inversions-halved"
INVERSIONS_DOUBLED = "inversions-doubled"
TEMPERATURES_SWAPPED = "temperatures-swapped"
FAHRENHEIT = "fahrenheit"
WARMING_AS_END = "warming-as-end-temperature"
DIGITS_SWAPPED = "digits-swapped"
ALLOWANCE_FORGOTTEN = "end-allowance-forgotten"

SENTENCES = {
    MASS_UNIT: N_(
        "Perhaps the mass is in the wrong unit: %(corrected)s g instead of %(entered)s g would fit the class."
    ),
    LENGTH_UNIT: N_(
        "Perhaps a length is in the wrong unit: %(corrected)s cm instead of %(entered)s cm would give "
        "%(apparent)s J/(kg·K), against about %(usual)s in this class."
    ),
    INVERSIONS_HALVED: N_(
        "Perhaps only every other turn was counted: %(corrected)s inversions instead of %(entered)s would "
        "give %(apparent)s J/(kg·K), against about %(usual)s in this class."
    ),
    INVERSIONS_DOUBLED: N_(
        "Perhaps each turn was counted twice: %(corrected)s inversions instead of %(entered)s would give "
        "%(apparent)s J/(kg·K), against about %(usual)s in this class."
    ),
    TEMPERATURES_SWAPPED: N_(
        "Perhaps start and end temperature changed places: %(start)s °C to %(end)s °C would give "
        "%(apparent)s J/(kg·K), against about %(usual)s in this class."
    ),
    FAHRENHEIT: N_(
        "Perhaps the temperatures are in °F: %(start)s °C to %(end)s °C would give %(apparent)s J/(kg·K), "
        "against about %(usual)s in this class."
    ),
    WARMING_AS_END: N_(
        "Perhaps the warming was written as the end temperature: an end at %(end)s °C would give "
        "%(apparent)s J/(kg·K), against about %(usual)s in this class."
    ),
    DIGITS_SWAPPED: N_(
        "Perhaps two digits changed places: %(corrected)s instead of %(entered)s would give %(apparent)s "
        "J/(kg·K), against about %(usual)s in this class."
    ),
    ALLOWANCE_FORGOTTEN: N_(
        "Perhaps the end allowance was forgotten: taking off %(corrected)s cm, as is usual here, would give "
        "%(apparent)s J/(kg·K), against about %(usual)s in this class."
    ),
}
