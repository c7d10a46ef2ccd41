"""SI to texts, rounded as a cook would say them: "250 °F", "13 lb 8 oz", "1 1/2 in", "79–82 °C".

One table of rungs for each dimension and system; a value is said on the first rung that it fits after
rounding. Called by pages, reports and the command line, through the names of the package. Every text reads
back.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import partial
from types import MappingProxyType

from slowfolio.units.table import Dimension, Range, System, find_unit

_WHOLE, _TENTH, _HUNDREDTH = Fraction(1), Fraction(1, 10), Fraction(1, 100)
_HALF, _QUARTER, _EIGHTH, _SIXTEENTH = Fraction(1, 2), Fraction(1, 4), Fraction(1, 8), Fraction(1, 16)


@dataclass(frozen=True, slots=True)
class _Rung:
    """A unit, the step it is rounded to (None: two significant figures), and the number where the next takes
    over.

    With `minor`, the number is said in whole units and the rest in whole minor ones: "13 lb 8 oz".
    """

    symbol: str
    step: Fraction | None = _WHOLE
    below: float = math.inf
    minor: str | None = None
    plural: str = ""


_LENGTH_METRIC = (
    _Rung("mm", None, 1),
    _Rung("mm", _TENTH, 10),
    _Rung("mm", _WHOLE, 100),
    _Rung("cm", _TENTH, 100),
    _Rung("m", _HUNDREDTH, 100),
    _Rung("m"),
)
_LENGTH_US = (
    _Rung("in", None, 0.06),
    _Rung("in", _SIXTEENTH, 1),
    _Rung("in", _EIGHTH, 12),
    _Rung("in", _QUARTER, 36),
    _Rung("ft", _WHOLE, 100, minor="in"),
    _Rung("ft"),
)
_SAYING: Mapping[Dimension, tuple[tuple[_Rung, ...], tuple[_Rung, ...]]] = MappingProxyType(
    {
        # dimension: (metric, US)
        Dimension.TEMPERATURE: ((_Rung("°C"),), (_Rung("°F"),)),
        Dimension.TEMPERATURE_DIFFERENCE: (
            (_Rung("°C", _TENTH, 10), _Rung("°C")),
            (_Rung("°F", _TENTH, 10), _Rung("°F")),
        ),
        Dimension.DURATION: (
            (
                _Rung("s", _TENTH, 10),
                _Rung("s", _WHOLE, 60),
                _Rung("min", _WHOLE, 10, minor="s"),
                _Rung("min", _WHOLE, 60),
                _Rung("h", _WHOLE, minor="min"),
            ),
        )
        * 2,
        Dimension.MASS: (
            (
                _Rung("g", None, 1),
                _Rung("g", _TENTH, 10),
                _Rung("g", _WHOLE, 1000),
                _Rung("kg", _TENTH, 100),
                _Rung("kg"),
            ),
            (
                _Rung("oz", None, 1),
                _Rung("oz", _TENTH, 2),
                _Rung("oz", _QUARTER, 8),
                _Rung("oz", _HALF, 16),
                _Rung("lb", _WHOLE, 100, minor="oz"),
                _Rung("lb"),
            ),
        ),
        Dimension.LENGTH: (_LENGTH_METRIC, _LENGTH_US),
        Dimension.ALTITUDE: ((_Rung("m"),), (_Rung("ft"),)),
        Dimension.FRACTION: ((_Rung("%", None, 1), _Rung("%", _TENTH, 10), _Rung("%")),) * 2,
        Dimension.RATIO: ((_Rung("%", None, 1), _Rung("%", _TENTH, 10), _Rung("%")),) * 2,
        Dimension.VOLUME: (
            (
                _Rung("mL", None, 1),
                _Rung("mL", _TENTH, 10),
                _Rung("mL", _WHOLE, 1000),
                _Rung("L", _TENTH, 100),
                _Rung("L", _WHOLE, 1000),
                _Rung("m³", _TENTH),
            ),
            (
                _Rung("tsp", None, 0.25),
                _Rung("tsp", _QUARTER, 3),
                _Rung("tbsp", _QUARTER, 4),
                _Rung("fl oz", _HALF, 8),
                _Rung("cup", _QUARTER, 4, plural="cups"),
                _Rung("qt", _QUARTER, 4),
                _Rung("gal", _QUARTER, 20),
                _Rung("ft³", _TENTH),
            ),
        ),
        Dimension.AREA: (
            (_Rung("cm²", None, 10), _Rung("cm²", _WHOLE, 1000), _Rung("m²", _HUNDREDTH)),
            (_Rung("in²", None, 10), _Rung("in²", _WHOLE, 3000), _Rung("ft²", _TENTH)),
        ),
        Dimension.SPEED: (
            (_Rung("m/s", None, 10), _Rung("m/s")),
            (_Rung("ft/s", None, 10), _Rung("ft/s")),
        ),
        Dimension.POWER: ((_Rung("W", None, 10), _Rung("W", _WHOLE, 1000), _Rung("kW", _TENTH)),) * 2,
        Dimension.ENERGY: (
            (_Rung("kJ", None, 10), _Rung("kJ", _WHOLE, 1000), _Rung("MJ", _TENTH)),
            (_Rung("Btu", None, 10), _Rung("Btu")),
        ),
        Dimension.PRESSURE: (
            (_Rung("hPa", None, 10), _Rung("hPa")),
            (_Rung("inHg", None, 0.1), _Rung("inHg", _HUNDREDTH)),
        ),
        Dimension.AIR_CHANGES: ((_Rung("/h", None, 10), _Rung("/h")),) * 2,
        Dimension.PERMEANCE: ((_Rung("kg/(s·m²·Pa)", None),), (_Rung("perm", None, 10), _Rung("perm"))),
        Dimension.CONDUCTANCE: (
            (_Rung("W/(m²·K)", None, 10), _Rung("W/(m²·K)")),
            (_Rung("Btu/(h·ft²·°F)", None, 10), _Rung("Btu/(h·ft²·°F)")),
        ),
        Dimension.HEAT_LOSS: (
            (_Rung("W/K", None, 10), _Rung("W/K")),
            (_Rung("Btu/(h·°F)", None, 10), _Rung("Btu/(h·°F)")),
        ),
    }
)


def format_temperature(temp_c: float | Range, system: System) -> str:
    """A temperature to the whole degree: "250 °F", "121 °C"."""
    return format_quantity(temp_c, Dimension.TEMPERATURE, system)


def format_difference(difference_k: float | Range, system: System) -> str:
    """A difference of temperatures: "5 °F", "2.8 °C"."""
    return format_quantity(difference_k, Dimension.TEMPERATURE_DIFFERENCE, system)


def format_duration(duration_s: float | Range) -> str:
    """A duration to the minute, to the second below 10 min: "4 h 30 min", "45 s"."""
    return format_quantity(duration_s, Dimension.DURATION, System.METRIC)


def format_mass(mass_kg: float | Range, system: System) -> str:
    """A mass: "13 lb 8 oz", "6.2 kg"."""
    return format_quantity(mass_kg, Dimension.MASS, system)


def format_length(length_m: float | Range, system: System) -> str:
    """A length: "1 1/2 in", "38 mm"."""
    return format_quantity(length_m, Dimension.LENGTH, system)


def format_altitude(altitude_m: float | Range, system: System) -> str:
    """An altitude to the whole foot or metre."""
    return format_quantity(altitude_m, Dimension.ALTITUDE, system)


def format_fraction(fraction: float | Range) -> str:
    """A fraction of 1 as a percentage: "55 %", "2.5 %"."""
    return format_quantity(fraction, Dimension.FRACTION, System.METRIC)


def format_volume(volume_m3: float | Range, system: System) -> str:
    """A volume: "1 1/4 qt", "1.2 L"."""
    return format_quantity(volume_m3, Dimension.VOLUME, system)


def format_area(area_m2: float | Range, system: System) -> str:
    """An area: "750 in²", "0.48 m²"."""
    return format_quantity(area_m2, Dimension.AREA, system)


def format_speed(speed_m_s: float | Range, system: System) -> str:
    """A speed to two figures: "1.6 ft/s", "0.5 m/s"."""
    return format_quantity(speed_m_s, Dimension.SPEED, system)


def format_power(power_w: float | Range) -> str:
    """A power: "850 W", "1.5 kW"."""
    return format_quantity(power_w, Dimension.POWER, System.METRIC)


def format_air_changes(changes_per_s: float | Range) -> str:
    """Air changes by the hour: "5 /h"."""
    return format_quantity(changes_per_s, Dimension.AIR_CHANGES, System.METRIC)


def format_quantity(value: float | Range, dimension: str, system: System) -> str:
    """A value or range in SI of a dimension (a key of `SINGLE_PARSERS`), said in `system`.

    Raises ValueError for an unknown dimension and for a value that is not finite.
    """
    kind = Dimension(dimension)
    if not isinstance(value, Range):
        return _say(value, kind, system)
    low, high = _say(value.low, kind, system), _say(value.high, kind, system)
    if low == high:
        return low
    (low_number, low_unit), (high_number, high_unit) = _parted(low), _parted(high)
    between = " to " if "−" in low + high else "–"
    if low_unit == high_unit:
        return f"{low_number}{between}{high_number} {high_unit}"
    return f"{low}{between if len(between) > 1 else ' – '}{high}"


def _say(value: float, dimension: Dimension, system: System) -> str:
    if not math.isfinite(value):
        raise ValueError(f"cannot write {value} as {dimension}")
    metric, us = _SAYING[dimension]
    for rung in metric if system is System.METRIC else us:
        unit = find_unit(rung.symbol, dimension)
        assert unit is not None
        number = value / unit.factor - unit.shift
        saying = _simple if rung.minor is None else partial(_compound, dimension=dimension)
        text, rounded = saying(abs(number), rung)
        if rounded < rung.below:
            break
    return f"−{text}" if number < 0 and rounded > 0 else text


def _simple(number: float, rung: _Rung) -> tuple[str, float]:
    """The number on the rung, and what it was rounded to."""
    if rung.step is None:
        digits = _significant(number)
        return f"{digits} {rung.symbol}", float(digits)
    rounded = round(number / rung.step) * rung.step
    symbol = rung.plural if rung.plural and rounded > 1 else rung.symbol
    return f"{_digits(rounded, rung.step)} {symbol}", float(rounded)


def _compound(number: float, rung: _Rung, dimension: Dimension) -> tuple[str, float]:
    """ "13 lb 8 oz", rounded to the whole minor unit; a rest of nothing is not said."""
    assert rung.minor is not None
    major, minor = find_unit(rung.symbol, dimension), find_unit(rung.minor, dimension)
    assert major is not None
    assert minor is not None
    share = round(major.factor / minor.factor)
    whole, rest = divmod(round(number * share), share)
    parts = [f"{whole} {rung.symbol}"] * (whole > 0) + [f"{rest} {rung.minor}"] * (rest > 0)
    return " ".join(parts) or f"0 {rung.symbol}", whole + rest / share


def _digits(rounded: Fraction, step: Fraction) -> str:
    """Decimals for steps of tenths, a mixed fraction for halves, quarters, eighths."""
    if step.denominator % 5 == 0:
        return f"{float(rounded):.{len(str(step.denominator)) - 1}f}".rstrip("0").rstrip(".")
    whole, rest = divmod(rounded, 1)
    return " ".join(str(part) for part in (whole, rest) if part) or "0"


def _significant(number: float) -> str:
    """Two significant figures; powers of ten only below a ten-thousandth."""
    mantissa, _, exponent = f"{number:.2g}".partition("e")
    return f"{mantissa}e{int(exponent)}" if exponent else mantissa


def _parted(text: str) -> tuple[str, str]:
    """Number and unit of a text with one number; a compound text keeps all, so that it matches no other."""
    number, _, unit = text.partition(" ")
    if unit[:1].isdigit() and "/" in unit.partition(" ")[0]:
        fraction, _, unit = unit.partition(" ")
        number = f"{number} {fraction}"
    return (number, unit) if not any(character.isdigit() for character in unit) else (text, text)
