"""Checking a thermometer in ice and in boiling water, and setting limits for the error that is left.

The boiling point follows altitude through the standard atmosphere; the day's weather moves it by about half a
degree more. Pages print `ice_check` and `boiling_check` for the book's altitude.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from slowfolio.physics.humid_air import atmospheric_pressure_pa, boiling_point_c
from slowfolio.safety.history import require_between
from slowfolio.safety.standing import Citation, Standing

ICE_POINT_C = 0.0
WEATHER_C = 0.5
"""How far weather moves the boiling point (COMPUTED: about 2 kPa)."""

ACCURACY = Citation("US FDA Food Code", "4-203.11", "2022", Standing.MEMORY)
ICE = Citation(
    "Wisconsin Food Code fact sheet",
    "fact sheet 7: thermometer calibration",
    "state fact sheet",
    Standing.READ,
)
RAISED_LIMIT = Citation(
    "USDA FSIS",
    "Cooking Guideline for Meat and Poultry Products (Revised Appendix A), p. 21",
    "December 2021, FSIS-GD-2021-0014",
    Standing.READ,
)


class Scale(Enum):
    """What a thermometer shows, and the accuracy asked of it, kelvin; one that shows both counts as °C."""

    CELSIUS = 1.0
    FAHRENHEIT_ONLY = 2.0 / 1.8


@dataclass(frozen=True, slots=True)
class ThermometerCheck:
    """A reading at a known temperature: `error_c` is reading minus true, `within` whether accuracy is met."""

    true_c: float
    reading_c: float
    error_c: float
    allowed_c: float
    within: bool
    text: str


def boiling_point_at_c(altitude_m: float) -> float:
    """Return the boiling point of water at `altitude_m`, -500 to 11,000 m, in the standard atmosphere, °C."""
    require_between("altitude", altitude_m, low=-500.0, high=11000.0, unit="m")
    return float(boiling_point_c(float(atmospheric_pressure_pa(altitude_m))))


def ice_check(reading_c: float, scale: Scale = Scale.CELSIUS) -> ThermometerCheck:
    """Return how a reading in a stirred slurry of crushed ice and water compares with 0 °C."""
    return _check(reading_c, ICE_POINT_C, scale.value, "in ice and water")


def boiling_check(reading_c: float, altitude_m: float, scale: Scale = Scale.CELSIUS) -> ThermometerCheck:
    """Return how a reading in a rolling boil compares with the boiling point at `altitude_m`.

    The accuracy asked stays what it is; a reading that misses it by less than the weather can explain is told
    to be checked in ice.
    """
    true_c = boiling_point_at_c(altitude_m)
    check = _check(reading_c, true_c, scale.value, f"in boiling water at {altitude_m:.0f} m")
    if check.within or abs(check.error_c) > check.allowed_c + WEATHER_C:
        return check
    hint = " The day's weather can move the boiling point by half a degree: check in ice too."
    return ThermometerCheck(
        check.true_c, check.reading_c, check.error_c, check.allowed_c, check.within, check.text + hint
    )


def raised_limit_c(limit_c: float, instrument_error_c: float) -> float:
    """Return the reading to cook or hold to, so that the limit is met in spite of the instrument's error.

    FSIS Cooking Guideline 2021 p. 21 (READ): a thermometer good to 1 °F makes 165 °F into 166 °F.
    """
    require_between("instrument error", instrument_error_c, low=0.0, high=20.0, unit="°C")
    return limit_c + instrument_error_c


def lowered_limit_c(limit_c: float, instrument_error_c: float) -> float:
    """Return the reading to chill to, so that a most-allowed temperature is met in spite of the error."""
    require_between("instrument error", instrument_error_c, low=0.0, high=20.0, unit="°C")
    return limit_c - instrument_error_c


def _check(reading_c: float, true_c: float, allowed_c: float, where: str) -> ThermometerCheck:
    require_between("reading", reading_c, low=-60.0, high=400.0, unit="°C")
    error = reading_c - true_c
    within = abs(error) <= allowed_c + 1e-9
    shown = f"Reads {error:+.1f} °C ({error * 1.8:+.1f} °F) {where}, where {_both(true_c)} is right"
    allowed = f"±{allowed_c:.1f} °C (±{allowed_c * 1.8:.0f} °F)"
    text = (
        f"{shown}: within {allowed}."
        if within
        else f"{shown}: outside {allowed}. Adjust it, or do not use it for food."
    )
    return ThermometerCheck(true_c, reading_c, error, allowed_c, within, text)


def _both(temp_c: float) -> str:
    return f"{temp_c:.1f} °C ({temp_c * 1.8 + 32.0:.1f} °F)"
