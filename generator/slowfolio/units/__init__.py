"""Text quantities to SI and back: "250 °F", "13 lb 8 oz", "79–82 °C".

The one place that reads or writes units: cards, command line and pages cross this edge once, and everything
inside is a plain float in SI (temperatures in °C, durations in s), named with its unit. `table` holds the
units, `reading` turns texts to SI, `writing` SI to texts.
"""

from collections.abc import Callable, Mapping
from functools import partial
from types import MappingProxyType

from slowfolio.units.reading import (
    Parser,
    parse_air_changes_per_s,
    parse_altitude_m,
    parse_area_m2,
    parse_conductance_w_m2_k,
    parse_duration_s,
    parse_energy_j,
    parse_fraction,
    parse_heat_loss_w_k,
    parse_length_m,
    parse_mass_kg,
    parse_permeance_kg_s_m2_pa,
    parse_power_w,
    parse_pressure_pa,
    parse_range,
    parse_ratio,
    parse_speed_m_s,
    parse_temperature_c,
    parse_temperature_difference_k,
    parse_volume_m3,
)
from slowfolio.units.table import Dimension, Range, System, UnitError
from slowfolio.units.writing import (
    format_air_changes,
    format_altitude,
    format_area,
    format_difference,
    format_duration,
    format_fraction,
    format_length,
    format_mass,
    format_power,
    format_quantity,
    format_speed,
    format_temperature,
    format_volume,
)

__all__ = [
    "PARSERS",
    "SINGLE_PARSERS",
    "Dimension",
    "Parser",
    "Range",
    "System",
    "UnitError",
    "format_air_changes",
    "format_altitude",
    "format_area",
    "format_difference",
    "format_duration",
    "format_fraction",
    "format_length",
    "format_mass",
    "format_power",
    "format_quantity",
    "format_speed",
    "format_temperature",
    "format_volume",
    "parse_air_changes_per_s",
    "parse_altitude_m",
    "parse_area_m2",
    "parse_conductance_w_m2_k",
    "parse_duration_s",
    "parse_energy_j",
    "parse_fraction",
    "parse_heat_loss_w_k",
    "parse_length_m",
    "parse_mass_kg",
    "parse_permeance_kg_s_m2_pa",
    "parse_power_w",
    "parse_pressure_pa",
    "parse_range",
    "parse_ratio",
    "parse_speed_m_s",
    "parse_temperature_c",
    "parse_temperature_difference_k",
    "parse_volume_m3",
]

SINGLE_PARSERS: Mapping[str, Parser] = MappingProxyType(
    {
        Dimension.TEMPERATURE: parse_temperature_c,
        Dimension.TEMPERATURE_DIFFERENCE: parse_temperature_difference_k,
        Dimension.DURATION: parse_duration_s,
        Dimension.MASS: parse_mass_kg,
        Dimension.LENGTH: parse_length_m,
        Dimension.ALTITUDE: parse_altitude_m,
        Dimension.FRACTION: parse_fraction,
        Dimension.RATIO: parse_ratio,
        Dimension.VOLUME: parse_volume_m3,
        Dimension.AREA: parse_area_m2,
        Dimension.SPEED: parse_speed_m_s,
        Dimension.POWER: parse_power_w,
        Dimension.ENERGY: parse_energy_j,
        Dimension.PRESSURE: parse_pressure_pa,
        Dimension.AIR_CHANGES: parse_air_changes_per_s,
        Dimension.PERMEANCE: parse_permeance_kg_s_m2_pa,
        Dimension.CONDUCTANCE: parse_conductance_w_m2_k,
        Dimension.HEAT_LOSS: parse_heat_loss_w_k,
    }
)
"""The parser of a single value of every dimension, to a float in SI."""

PARSERS: Mapping[str, Callable[[str], float | Range]] = MappingProxyType(
    {str(name): parser for name, parser in SINGLE_PARSERS.items()}
    | {f"{name}_range": partial(parse_range, parser=parser) for name, parser in SINGLE_PARSERS.items()}
)
"""Every parser by the `format` name of the card schemas: "mass" gives a float, "mass_range" a `Range`."""
