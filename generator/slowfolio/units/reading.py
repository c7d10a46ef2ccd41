"""Texts to SI: "250 °F", "13 lb 8 oz", "79–82 °C". What cannot be read raises `UnitError` with what to write.

Called by card reading and the command line, through the names of the package.
"""

import difflib
import math
import re
import unicodedata
from collections.abc import Callable

from slowfolio.units.table import (
    RULES,
    Dimension,
    Range,
    Rule,
    Unit,
    UnitError,
    find_unit,
    names_of,
    unit_key,
)

Parser = Callable[[str], float]

# Units that may follow one another in one quantity, larger first.
_CHAINS = (
    ("d", "h", "min", "s"),
    ("lb", "oz"),
    ("kg", "g"),
    ("ft", "in"),
    ("m", "cm", "mm"),
    ("gal", "qt", "pt", "cup", "tbsp", "tsp"),
)

# Marks that stand for a unit elsewhere but are no unit here.
_HINTS = {'"': "in", "''": "in", "′′": "in", "'": "ft", "′": "ft", "#": "lb", "hrs.": "h"}


_LONGEST_TEXT = 80
_LONGEST_NUMBER = 15
_LIKENESS = 0.7
_NUMBER = r"(?:[0-9]+ +)?[0-9]+ ?/ ?[0-9]+|(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3}(?![0-9]))?"
_WHOLE = re.compile(rf"([+-]?) *({_NUMBER}) *(.*)")
_PART = re.compile(rf"({_NUMBER}) *([^\W0-9_]+\.?),? *(?:and +)?")
_BETWEEN = re.compile(r" *[–—] *| +to +|(?<=[^\s]) +-+ +|(?<=[0-9a-zA-Z%°.)])(?<![0-9][eE])-(?=[0-9.])")
_CLOCK = re.compile(r"([0-9]{1,3}):([0-5][0-9])(?::[0-5][0-9])?")
_HYPHENATED = re.compile(r"([1-9][0-9]*)-([0-9]+/[0-9]+)(.*)")
_BOTH_UNITS = 'units at both ends: "12 lb – 13 lb 8 oz"'
_COMMA = re.compile(r"[0-9],[0-9]")


def parse_temperature_c(text: str) -> float:
    """Temperature in °C from "250 °F", "250F", "250 deg F" or "121 C"."""
    return _parse(text, Dimension.TEMPERATURE)


def parse_temperature_difference_k(text: str) -> float:
    """Difference of two temperatures in K: "5 °F" is 2.78 K. May be negative."""
    return _parse(text, Dimension.TEMPERATURE_DIFFERENCE)


def parse_duration_s(text: str) -> float:
    """Duration in s from "4 h 30 min", "90 min" or "1.5 h"."""
    return _parse(text, Dimension.DURATION)


def parse_mass_kg(text: str) -> float:
    """Mass in kg from "13 lb 8 oz" or "6.2 kg"."""
    return _parse(text, Dimension.MASS)


def parse_length_m(text: str) -> float:
    """Length in m from "1 1/2 in", "½ in", "38 mm" or "2 ft 6 in"."""
    return _parse(text, Dimension.LENGTH)


def parse_altitude_m(text: str) -> float:
    """Altitude above sea level in m, in the units of length; down to 500 m below the sea."""
    return _parse(text, Dimension.ALTITUDE)


def parse_fraction(text: str) -> float:
    """Fraction from 0 to 1 from "55 %"."""
    return _parse(text, Dimension.FRACTION)


def parse_ratio(text: str) -> float:
    """Ratio to a reference from "140 %", which is 1.4; unlike a fraction it may exceed the whole."""
    return _parse(text, Dimension.RATIO)


def parse_volume_m3(text: str) -> float:
    """Volume in m³ from "1.2 L", "30 mL", "1 qt" or "2 cups"; cups, spoons, pints and gallons are US."""
    return _parse(text, Dimension.VOLUME)


def parse_area_m2(text: str) -> float:
    """Area in m² from "750 in²", "750 sq in" or "0.5 m2"."""
    return _parse(text, Dimension.AREA)


def parse_speed_m_s(text: str) -> float:
    """Speed in m/s from "0.5 m/s" or "1.6 ft/s"."""
    return _parse(text, Dimension.SPEED)


def parse_power_w(text: str) -> float:
    """Power in W from "850 W", "1.5 kW" or "5000 Btu/h"."""
    return _parse(text, Dimension.POWER)


def parse_energy_j(text: str) -> float:
    """Energy in J from "2 kWh", "7.2 MJ" or "100 Btu"."""
    return _parse(text, Dimension.ENERGY)


def parse_pressure_pa(text: str) -> float:
    """Pressure in Pa from "1013 hPa" or "29.92 inHg"."""
    return _parse(text, Dimension.PRESSURE)


def parse_air_changes_per_s(text: str) -> float:
    """Air changes in 1/s from "5 /h" or "5 per hour"."""
    return _parse(text, Dimension.AIR_CHANGES)


def parse_permeance_kg_s_m2_pa(text: str) -> float:
    """Water-vapour permeance in kg/(s·m²·Pa) from "2e-9 kg/(s·m²·Pa)" or US perms, "35 perm"."""
    return _parse(text, Dimension.PERMEANCE)


def parse_conductance_w_m2_k(text: str) -> float:
    """Heat conductance of a face in W/(m²·K)."""
    return _parse(text, Dimension.CONDUCTANCE)


def parse_heat_loss_w_k(text: str) -> float:
    """Heat loss of a cabinet in W/K."""
    return _parse(text, Dimension.HEAT_LOSS)


def parse_range(text: str, parser: Parser) -> Range:
    """Both ends of "79–82 °C", "79-82 °C", "12 lb – 14 lb" or "4 h to 5 h", each read by `parser`.

    The lower end may borrow the unit of the upper. A single value gives equal ends. Raises UnitError for a
    reversed range, a missing unit, and whatever `parser` refuses.
    """
    if not isinstance(text, str):
        return _single(text, parser)
    clean = _clean(text)
    ends = _BETWEEN.split(clean) if len(clean) <= _LONGEST_TEXT else [clean]
    if len(ends) == 1:
        return _single(text, parser)
    if len(ends) > 2 or not all(ends):
        raise UnitError(
            f"{_quoted(text)} does not have two ends", 'a range such as "79–82 °C" or "4 h to 5 h"'
        )
    _refuse_hyphen_in_number(text, clean)
    lower, upper = ends
    if _is_bare(lower) and not _is_bare(upper):
        lower = f"{lower} {_unit_text(upper)}"
    elif _is_bare(upper) and not _is_bare(lower):
        raise UnitError(
            f"the upper end of {_quoted(text)} has no unit", f'"{lower} – {upper} {_unit_text(lower)}"'
        )
    low, high = parser(lower), parser(upper)
    if low > high:
        raise UnitError(f"{_quoted(text)} runs from high to low", f'"{upper} – {lower}"')
    return Range(low, high)


def _single(text: str, parser: Parser) -> Range:
    value = parser(text)
    return Range(value, value)


def _is_bare(text: str) -> bool:
    whole = _WHOLE.fullmatch(text)
    return whole is not None and not whole[3]


def _unit_text(text: str) -> str:
    """The unit of `text`, to lend to the other end of a range; "4 h 30 min" has none that can be lent."""
    whole = _WHOLE.fullmatch(text)
    if whole is None or (len(_PART.findall(text)) > 1 and not _PART.sub("", text)):
        raise UnitError(f"one end of the range has no unit of its own beside {_quoted(text)}", _BOTH_UNITS)
    return whole[3]


def _parse(text: str, dimension: Dimension) -> float:
    rule = RULES[dimension]
    if not isinstance(text, str):
        raise UnitError(f"{_quoted(repr(text))} is not a text with a unit", rule.examples)
    clean = _clean(text)
    if not clean:
        raise UnitError(f"nothing written where {rule.noun} is wanted", rule.examples)
    if len(clean) > _LONGEST_TEXT:
        raise UnitError(f"{_quoted(text)} is too long for {rule.noun}", rule.examples)
    whole = _WHOLE.fullmatch(clean)
    _refuse_other_notations(text, clean, whole, rule)
    assert whole is not None
    sign, number, unit_text = -1.0 if whole[1] == "-" else 1.0, whole[2], whole[3]
    if not unit_text:
        raise UnitError("no unit", rule.examples)
    unit = find_unit(unit_text, dimension)
    if unit is not None:
        value = (sign * _number(number, text, rule) + unit.shift) * unit.factor
    else:
        value = sign * _compound(clean.lstrip("+- "), unit_text, text, dimension)
    if not rule.least <= value:
        raise UnitError(f"{_quoted(text)} is {rule.below}", rule.examples)
    if not value <= rule.most:
        raise UnitError(f"{_quoted(text)} is {rule.above}", rule.examples)
    return value + 0.0


def _refuse_other_notations(text: str, clean: str, whole: re.Match[str] | None, rule: Rule) -> None:
    """Name the habit behind a text that does not start with one number of ours."""
    if clock := _CLOCK.fullmatch(clean):
        raise UnitError(f"{_quoted(text)} reads like a clock", f'"{int(clock[1])} h {int(clock[2])} min"')
    if comma := _COMMA.search(clean):
        pointed = clean.replace(",", ".")
        joined = clean.replace(",", "")
        thousands = re.fullmatch(r"[0-9]{3}(?![0-9]).*", clean[comma.start() + 2 :])
        advice = f'"{joined}" or "{pointed}"' if thousands else f'"{pointed}"'
        raise UnitError(f"{_quoted(text)} has a comma in a number", advice)
    _refuse_hyphen_in_number(text, clean)
    if len(_BETWEEN.split(clean)) > 1:
        raise UnitError(f"{_quoted(text)} is a range where one value is wanted", rule.examples)
    if whole is None:
        raise UnitError(f"{_quoted(text)} does not start with a number", rule.examples)
    if re.match(r"[0-9.]|/ ?[0-9]", whole[3]):
        raise UnitError(f"the number in {_quoted(text)} cannot be read", rule.examples)


def _refuse_hyphen_in_number(text: str, clean: str) -> None:
    if mixed := _HYPHENATED.match(clean):
        raise UnitError(f"{_quoted(text)} has a hyphen in a number", f'"{mixed[1]} {mixed[2]}{mixed[3]}"')


def _compound(clean: str, unit_text: str, text: str, dimension: Dimension) -> float:
    """The sum of "13 lb 8 oz"; the units fall from one to the next and no part makes up a larger unit."""
    rule = RULES[dimension]
    parts = _PART.findall(clean)
    if len(parts) < 2 or _PART.sub("", clean):
        if parts and re.fullmatch(_NUMBER, _PART.sub("", clean)):
            raise UnitError(f"the last number of {_quoted(text)} has no unit", rule.examples)
        raise _unknown(unit_text, text, dimension)
    units = [_part_unit(name, text, dimension) for _, name in parts]
    numbers = [_number(number, text, rule) for number, _ in parts]
    symbols = [unit.symbol for unit in units]
    if not any(symbols == [symbol for symbol in chain if symbol in symbols] for chain in _CHAINS):
        raise UnitError(f"the units of {_quoted(text)} do not follow one another", rule.examples)
    value = sum(number * unit.factor for number, unit in zip(numbers, units, strict=True))
    if any(number % 1 for number in numbers[:-1]):
        raise UnitError(f"only the last number of {_quoted(text)} may have a fraction", rule.examples)
    for larger, unit, number in zip(units, units[1:], numbers[1:], strict=False):
        if number * unit.factor >= larger.factor * (1 - 1e-12):
            raise UnitError(
                f"{number:g} {unit.symbol} is a whole {larger.symbol} or more", f'"{_said(value, units)}"'
            )
    return value


def _said(value: float, units: list[Unit]) -> str:
    """`value` in the units given, each but the last in whole numbers."""
    words = []
    for unit in units[:-1]:
        count = math.floor(value / unit.factor + 1e-9)
        value -= count * unit.factor
        words.append(f"{count} {unit.symbol}")
    return " ".join([*words, f"{round(value / units[-1].factor, 3):g} {units[-1].symbol}"])


def _part_unit(name: str, text: str, dimension: Dimension) -> Unit:
    unit = find_unit(name, dimension)
    if unit is None:
        raise _unknown(name, text, dimension)
    return unit


def _number(digits: str, text: str, rule: Rule) -> float:
    if sum(character.isdigit() for character in digits) > _LONGEST_NUMBER:
        raise UnitError(f"{_quoted(text)} has more digits than can be meant", rule.examples)
    if "/" not in digits:
        return float(digits)
    *whole, fraction = digits.replace(" /", "/").replace("/ ", "/").split()
    numerator, denominator = (int(part) for part in fraction.split("/"))
    if denominator == 0:
        raise UnitError(f"{_quoted(text)} divides by zero", rule.examples)
    return sum(int(part) for part in whole) + numerator / denominator


def _unknown(unit_text: str, text: str, dimension: Dimension) -> UnitError:
    rule = RULES[dimension]
    if unit_text == "c":
        amount = text.rstrip()[:-1].rstrip()
        return UnitError(f"{_quoted(text)} may be degrees or cups", f'"{amount} °C" or "{amount} cups"')
    if unit_text.casefold().rstrip("s") in ("°", "deg", "degree"):
        return UnitError(f"{_quoted(text)} does not say which degrees", rule.examples)
    for other in Dimension:
        if (unit := find_unit(unit_text, other)) is not None:
            problem = f"{_quoted(text)} is {RULES[other].noun} ({unit.symbol}) where {rule.noun} is wanted"
            return UnitError(problem, rule.examples)
    meant = _HINTS.get(unit_text) or _nearest(unit_text, dimension)
    if meant is None:
        return UnitError(f"unknown unit {_quoted(unit_text)}", rule.examples)
    corrected = re.sub(rf" *{re.escape(unit_text)}", f" {meant}", _clean(text), count=1)
    return UnitError(f'unknown unit {_quoted(unit_text)} (did you mean "{meant}"?)', f'"{corrected}"')


def _nearest(unit_text: str, dimension: Dimension) -> str | None:
    symbols = {name.casefold(): unit.symbol for name, unit in names_of(dimension).items()}
    near = difflib.get_close_matches(unit_key(unit_text).casefold(), symbols, n=1, cutoff=_LIKENESS)
    return symbols[near[0]] if near else None


def _clean(text: str) -> str:
    """One spelling for look-alikes: spaces, minus signs, degree signs, fractions, full-width digits."""
    text = text[: 4 * _LONGEST_TEXT]
    text = re.sub(r"[º˚]", "°", text).replace("\N{MINUS SIGN}", "-")
    text = re.sub(r"(?<=[0-9])(?=[¼-¾⅐-⅞])", " ", text)
    text = (
        unicodedata.normalize("NFKC", text)
        .replace("\N{FRACTION SLASH}", "/")
        .replace("\N{DIVISION SLASH}", "/")
    )
    return re.sub(r"\s+", " ", re.sub(r"[‐‑]", "-", text)).strip()


def _quoted(text: str) -> str:
    """`text` as shown in a message: short, and without characters that could upset a terminal."""
    shown = "".join(character if character.isprintable() else " " for character in text[: _LONGEST_TEXT // 2])
    return f'"{shown}…"' if len(text) > len(shown) else f'"{shown}"'
