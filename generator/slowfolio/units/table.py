"""The nouns of the units package and its one table of units: names, worth in SI, sensible limits.

Factors and limits only; `reading` and `writing` do the work on texts.
"""

import functools
import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType


class System(StrEnum):
    """The two ways of saying a quantity."""

    US = "us"
    METRIC = "metric"


class Dimension(StrEnum):
    """What a quantity measures; the values are the `format` names of the card schemas."""

    TEMPERATURE = "temperature"
    TEMPERATURE_DIFFERENCE = "temperature_difference"
    DURATION = "duration"
    MASS = "mass"
    LENGTH = "length"
    ALTITUDE = "altitude"
    FRACTION = "fraction"
    RATIO = "ratio"
    VOLUME = "volume"
    AREA = "area"
    SPEED = "speed"
    POWER = "power"
    ENERGY = "energy"
    PRESSURE = "pressure"
    AIR_CHANGES = "air_changes"
    PERMEANCE = "permeance"
    CONDUCTANCE = "conductance"
    HEAT_LOSS = "heat_loss"


class UnitError(ValueError):
    """A text that is not the quantity wanted: `problem` says what is wrong, `advice` what to write."""

    def __init__(self, problem: str, advice: str) -> None:
        super().__init__(f"{problem}: write {advice}")
        self.problem = problem
        self.advice = advice


@dataclass(frozen=True, slots=True)
class Range:
    """Two ends of a quantity in SI, `low` <= `high`; a single value has equal ends."""

    low: float
    high: float

    def __post_init__(self) -> None:
        if not self.low <= self.high:
            raise ValueError(f"a range runs from low to high, not from {self.low:g} to {self.high:g}")

    @property
    def middle(self) -> float:
        """The value half-way between the ends."""
        return 0.5 * (self.low + self.high)

    def __contains__(self, value: float) -> bool:
        return self.low <= value <= self.high


@dataclass(frozen=True, slots=True)
class Unit:
    """`si = (number + shift) * factor`; the symbol is what we write, the other names what we also read."""

    symbol: str
    factor: float
    names: tuple[str, ...] = ()
    shift: float = 0.0


def _unit(symbol: str, factor: float, names: str = "", *, shift: float = 0.0) -> Unit:
    return Unit(symbol, factor, tuple(names.split()), shift)


_FAHRENHEIT_NAMES = "F degF degreesF degreeF fahrenheit degreesfahrenheit degreefahrenheit"
_CELSIUS_NAMES = "C degC degreesC degreeC celsius centigrade degreescelsius degreecelsius"

# Factors: NIST SP 811 (2008), Appendix B.8 (MEMORY); exact unless marked. Cups and spoons are US.
_LENGTH_UNITS = (
    _unit("mm", 1e-3, "millimetre millimetres millimeter millimeters"),
    _unit("cm", 1e-2, "centimetre centimetres centimeter centimeters"),
    _unit("m", 1.0, "metre metres meter meters"),
    _unit("in", 0.0254, "inch inches"),
    _unit("ft", 0.3048, "foot feet"),
)
UNITS: Mapping[Dimension, tuple[Unit, ...]] = MappingProxyType(
    {
        Dimension.TEMPERATURE: (
            _unit("°F", 5 / 9, _FAHRENHEIT_NAMES, shift=-32.0),
            _unit("°C", 1.0, _CELSIUS_NAMES),
        ),
        Dimension.TEMPERATURE_DIFFERENCE: (
            _unit("°F", 5 / 9, _FAHRENHEIT_NAMES),
            _unit("°C", 1.0, _CELSIUS_NAMES),
            _unit("K", 1.0, "kelvin"),
        ),
        Dimension.DURATION: (
            _unit("s", 1.0, "sec secs second seconds"),
            _unit("min", 60.0, "mins minute minutes"),
            _unit("h", 3600.0, "hr hrs hour hours"),
            _unit("d", 86400.0, "day days"),
        ),
        Dimension.MASS: (
            _unit("g", 1e-3, "gram grams gramme grammes"),
            _unit("kg", 1.0, "kilo kilos kilogram kilograms"),
            _unit("oz", 0.028349523125, "ounce ounces"),
            _unit("lb", 0.45359237, "lbs pound pounds"),
        ),
        Dimension.LENGTH: _LENGTH_UNITS,
        Dimension.ALTITUDE: _LENGTH_UNITS,
        Dimension.FRACTION: (_unit("%", 0.01, "percent pct"),),
        Dimension.RATIO: (_unit("%", 0.01, "percent pct"),),
        Dimension.VOLUME: (
            _unit("mL", 1e-6, "millilitre millilitres milliliter milliliters"),
            _unit("L", 1e-3, "litre litres liter liters"),
            _unit("m³", 1.0),
            _unit("tsp", 4.92892159375e-6, "teaspoon teaspoons"),
            _unit("tbsp", 1.478676478125e-5, "tablespoon tablespoons"),
            _unit("fl oz", 2.95735295625e-5, "fluidounce fluidounces"),
            _unit("cup", 2.365882365e-4, "cups"),
            _unit("pt", 4.73176473e-4, "pint pints"),
            _unit("qt", 9.46352946e-4, "quart quarts"),
            _unit("gal", 3.785411784e-3, "gallon gallons"),
            _unit("ft³", 0.028316846592, "cuft cubicfoot cubicfeet"),
        ),
        Dimension.AREA: (
            _unit("cm²", 1e-4, "sqcm"),
            _unit("m²", 1.0, "sqm"),
            _unit("in²", 6.4516e-4, "sqin squareinch squareinches"),
            _unit("ft²", 0.09290304, "sqft squarefoot squarefeet"),
        ),
        Dimension.SPEED: (_unit("m/s", 1.0), _unit("ft/s", 0.3048), _unit("ft/min", 0.3048 / 60)),
        Dimension.POWER: (
            _unit("W", 1.0, "watt watts"),
            _unit("kW", 1e3, "kilowatt kilowatts"),
            _unit("Btu/h", 0.2930710701722222, "Btu/hr"),
        ),
        Dimension.ENERGY: (
            _unit("J", 1.0, "joule joules"),
            _unit("kJ", 1e3),
            _unit("MJ", 1e6),
            _unit("kWh", 3.6e6),
            _unit("Btu", 1055.05585262),
        ),
        Dimension.PRESSURE: (
            _unit("Pa", 1.0),
            _unit("hPa", 1e2, "mbar"),
            _unit("kPa", 1e3),
            _unit("inHg", 3386.389),  # rounded in the source
        ),
        Dimension.AIR_CHANGES: (
            _unit("/h", 1 / 3600, "/hr /hour perh perhr perhour anhour ACH airchanges/h airchangesperhour"),
            _unit("/min", 1 / 60, "permin perminute aminute airchanges/min airchangesperminute"),
            _unit("/s", 1.0, "pers persecond"),
        ),
        Dimension.PERMEANCE: (
            _unit("kg/(s·m²·Pa)", 1.0, "kg/(m2.s.Pa) kg/s/m2/Pa kg/m2/s/Pa"),
            _unit("perm", 5.72135e-11, "perms USperm USperms"),  # at 0 °C, rounded in the source
        ),
        Dimension.CONDUCTANCE: (
            _unit("W/(m²·K)", 1.0, "W/m2K W/m2/K W/(m2K) W/m2.K W/(m2.°C)"),
            _unit("Btu/(h·ft²·°F)", 5.678263341113488, "Btu/(hr.ft2.°F) Btu/(h.ft2.F)"),
        ),
        Dimension.HEAT_LOSS: (
            _unit("W/K", 1.0, "W/°C"),
            _unit("Btu/(h·°F)", 0.52752792631, "Btu/h/°F Btu/h/F"),
        ),
    }
)


@dataclass(frozen=True, slots=True)
class Rule:
    """How a dimension is named and shown in messages, and the least and greatest value that makes sense."""

    noun: str
    examples: str
    least: float = 0.0
    most: float = 1e9
    below: str = "negative"
    above: str = "too large to be meant"


RULES: Mapping[Dimension, Rule] = MappingProxyType(
    {
        Dimension.TEMPERATURE: Rule(
            "a temperature", '"250 °F" or "121 °C"', -273.15, below="below absolute zero"
        ),
        Dimension.TEMPERATURE_DIFFERENCE: Rule(
            "a temperature difference",
            '"5 °F", "3 °C" or "3 K"',
            -1e4,
            below="too far below zero to be meant",
        ),
        Dimension.DURATION: Rule("a duration", '"4 h 30 min" or "90 min"'),
        Dimension.MASS: Rule("a mass", '"13 lb 8 oz" or "6.2 kg"'),
        Dimension.LENGTH: Rule("a length", '"1 1/2 in" or "38 mm"'),
        Dimension.ALTITUDE: Rule(
            "an altitude", '"5280 ft" or "1609 m"', -500.0, below="lower than any kitchen stands"
        ),
        Dimension.FRACTION: Rule("a percentage", '"55 %"', 0.0, 1.0, above="more than 100 %"),
        Dimension.RATIO: Rule("a ratio in per cent", '"140 %"', 0.0, 100.0),
        Dimension.VOLUME: Rule("a volume", '"2 cups" or "1.2 L"'),
        Dimension.AREA: Rule("an area", '"750 in²" or "0.5 m²"'),
        Dimension.SPEED: Rule("a speed", '"0.5 m/s" or "1.6 ft/s"'),
        Dimension.POWER: Rule("a power", '"850 W" or "1.5 kW"'),
        Dimension.ENERGY: Rule("an energy", '"2 kWh" or "7.2 MJ"'),
        Dimension.PRESSURE: Rule("a pressure", '"1013 hPa" or "29.92 inHg"'),
        Dimension.AIR_CHANGES: Rule("a rate of air changes", '"5 /h" or "5 per hour"'),
        Dimension.PERMEANCE: Rule("a permeance", '"2e-9 kg/(s·m²·Pa)" or "35 perm"'),
        Dimension.CONDUCTANCE: Rule("a heat conductance", '"20 W/(m²·K)"'),
        Dimension.HEAT_LOSS: Rule("a heat loss per degree", '"4 W/K"'),
    }
)


def find_unit(unit_text: str, dimension: Dimension) -> Unit | None:
    """The unit of that name: exact letters first, then any case, but a lone "c" is cups or degrees."""
    key = unit_key(unit_text)
    names = names_of(dimension)
    if key in names or key == "c":
        return names.get(key)
    return next((unit for name, unit in names.items() if name.casefold() == key.casefold()), None)


@functools.cache
def names_of(dimension: Dimension) -> Mapping[str, Unit]:
    """Every name a unit of the dimension is read by, in the spelling of `unit_key`."""
    return {unit_key(name): unit for unit in UNITS[dimension] for name in (unit.symbol, *unit.names)}


def unit_key(unit_text: str) -> str:
    """A unit's name without what varies in writing: spaces, carets, kinds of dot, raised figures."""
    plain = unicodedata.normalize("NFKC", unit_text)
    return re.sub(r"[·⋅∙•*×]", ".", re.sub(r"[\s^]", "", plain)).rstrip(".")
