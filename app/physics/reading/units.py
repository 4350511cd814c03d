"""The units that a bench may type, and their exact conversion to SI.

An inch is exactly 0.0254 m (1959 agreement; ISO 80000-3), 0 °C is exactly 273.15 K (SI Brochure, 9th ed.).
A temperature in °F has no finite decimal in °C in general: it is rounded to 20 decimals, far below any
reading, and the typed number is kept beside it.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Context, Decimal
from typing import NamedTuple

_EXACT = Context(prec=300)  # more digits than any reading or unit has (our own choice)
_TWENTY_DECIMALS = Decimal("1e-20")  # far below any reading (our own choice)


@dataclass(frozen=True)
class Unit:
    """SI value (°C for a temperature) = (typed − zero) × numerator / denominator."""

    symbol: str
    numerator: Decimal = Decimal(1)
    denominator: Decimal = Decimal(1)
    zero: Decimal = Decimal(0)

    def to_si(self, typed: Decimal) -> Decimal:
        """Exact where a finite decimal exists; else to 20 decimals."""
        product = _EXACT.multiply(_EXACT.subtract(typed, self.zero), self.numerator)
        if self.denominator == 1:
            return product
        quotient = _EXACT.quantize(_EXACT.divide(product, self.denominator), _TWENTY_DECIMALS)
        shortest = quotient.normalize(_EXACT)
        whole = quotient.quantize(Decimal(1))
        return whole if shortest == whole else shortest


def _names(unit: Unit, names: str) -> dict[str, Unit]:
    return dict.fromkeys(names.split(), unit)


_G = Unit("g", Decimal("0.001"))  # SI Brochure, 9th ed. (2019)
_KG = Unit("kg")
MASS_UNITS: Mapping[str, Unit] = {
    **_names(_G, "g gr gram grams gramme grammes gramm gramo gramos غ غم جم غرام"),
    **_names(_KG, "kg kgs kilo kilos kilogram kilograms kilogramme kilogrammes kilogramm كغ كغم كجم"),
}

_M = Unit("m")
_CM = Unit("cm", Decimal("0.01"))  # SI Brochure, 9th ed. (2019)
_MM = Unit("mm", Decimal("0.001"))  # SI Brochure, 9th ed. (2019)
_IN = Unit("in", Decimal("0.0254"))  # exact: agreement of 1959; ISO 80000-3
LENGTH_UNITS: Mapping[str, Unit] = {
    **_names(_M, "m metre metres meter meters mètre mètres metro metros م متر"),
    **_names(
        _CM, "cm cms centimetre centimetres centimeter centimeters centimètres centímetros zentimeter سم"
    ),
    **_names(_MM, "mm millimetre millimetres millimeter millimeters millimètres milímetros مم ملم"),
    **_names(_IN, 'in ins inch inches " ″ ” pouce pouces zoll pulgada pulgadas بوصة'),
}

_CELSIUS = Unit("°C")
FAHRENHEIT = Unit("°F", Decimal(5), Decimal(9), Decimal(32))  # NIST SP 811 (2008), B.8
_KELVIN = Unit("K", zero=Decimal("273.15"))  # SI Brochure, 9th ed. (2019)
ZERO_CELSIUS_K = float(_KELVIN.zero)
TEMPERATURE_UNITS: Mapping[str, Unit] = {
    **_names(_CELSIUS, "°c c ° deg degc degree degrees degreesc celsius degcelsius degreescelsius °celsius"),
    **_names(_CELSIUS, "grad grados degrés °م م م°"),
    **_names(FAHRENHEIT, "°f f degf degreesf fahrenheit degfahrenheit degreesfahrenheit °fahrenheit °ف ف ف°"),
    **_names(_KELVIN, "k kelvin kelvins"),
}

_J_PER_KG_K = Unit("J/(kg·K)")
_J_PER_G_K = Unit("J/(g·K)", Decimal(1000))  # SI Brochure, 9th ed. (2019)
_KJ_PER_KG_K = Unit("kJ/(kg·K)", Decimal(1000))  # SI Brochure, 9th ed. (2019)


def _per_mass_and_kelvin(unit: Unit, energy: str, mass: str) -> dict[str, Unit]:
    """Every usual way to write energy per mass and kelvin, or per mass and degree."""
    degrees = ("k", "°c", "c")
    written = ("{e}/({m}{dot}{d})", "{e}/{m}{dot}{d}", "{e}/{m}/{d}")
    return {
        form.format(e=energy, m=mass, d=degree, dot=dot): unit
        for degree in degrees
        for form in written
        for dot in ("", "·", "⋅", "*", ".", "×")
    }


HEAT_CAPACITY_UNITS: Mapping[str, Unit] = {
    **_per_mass_and_kelvin(_J_PER_KG_K, "j", "kg"),
    **_per_mass_and_kelvin(_J_PER_G_K, "j", "g"),
    **_per_mass_and_kelvin(_KJ_PER_KG_K, "kj", "kg"),
}

GRAVITY_UNITS: Mapping[str, Unit] = _names(Unit("m/s²"), "m/s/s n/kg")

_MINUS_ONE, _MINUS_TWO = (rf"\s*\^?\s*[-−⁻]\s*[{digits}]" for digits in ("1¹", "2²"))
_BETWEEN = r"[\s·⋅*.]*"
_POWERS = (
    (
        re.compile(rf"\s*(k?J){_BETWEEN}(kg|g){_MINUS_ONE}{_BETWEEN}(K|°?C){_MINUS_ONE}\s*$", re.IGNORECASE),
        r" \1/(\2·\3)",
    ),
    (re.compile(rf"\s*N{_BETWEEN}kg{_MINUS_ONE}\s*$", re.IGNORECASE), " N/kg"),
    (re.compile(rf"\s*m(?:\s*/\s*s\s*\^?\s*[2²]|{_BETWEEN}s{_MINUS_TWO})\s*$", re.IGNORECASE), " m/s/s"),
)
"""Units written with powers, raised or not: J kg⁻¹ K⁻¹ and m s⁻² as the SI Brochure (9th ed.) writes them,
m/s² as most tables do."""


def without_powers(text: str) -> str:
    """A typed number with its unit, the powers of the unit written as divisions: a digit in a unit would
    otherwise be taken for a second number."""
    for pattern, divided in _POWERS:
        text = pattern.sub(divided, text)
    return text


INVERSIONS: Mapping[str, Unit] = _names(
    Unit("inversions"), "inversion inversions turn turns time times tip tips x × fois mal veces"
)


def unit_named(name: str, units: Mapping[str, Unit]) -> Unit | None:
    """The unit that was typed, whatever its case, spaces or final full stop; None if it is not one of these.

    No unit offered here changes its meaning with case (`Mg` and `mg` are both absent).
    """
    folded = unicodedata.normalize("NFKC", name.replace("º", "°").replace("˚", "°")).casefold()
    return units.get("".join(folded.split()).removesuffix("."))


class Scale(NamedTuple):
    """A temperature scale: what it shows is °C × `per_C` + `zero`."""

    unit: str
    per_C: float
    zero: float

    def shown(self, celsius: float) -> float:
        """What a thermometer with this scale shows."""
        return celsius * self.per_C + self.zero

    def celsius(self, shown: float) -> float:
        """The same temperature in °C."""
        return (shown - self.zero) / self.per_C


SCALES = {
    unit.symbol: Scale(unit.symbol, float(unit.denominator / unit.numerator), float(unit.zero))
    for unit in (_CELSIUS, FAHRENHEIT, _KELVIN)
}
"""By unit: t/°F = 1.8 t/°C + 32, T/K = t/°C + 273.15."""
