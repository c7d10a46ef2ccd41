"""`slowfolio air`: the humid air in a pit, a cabinet or a kitchen from any two readings."""

import json

import click

from slowfolio.cli.quantity import ALTITUDE, FRACTION, TEMPERATURE
from slowfolio.physics.humid_air import (
    AirState,
    air_state,
    atmospheric_pressure_pa,
    boiling_point_c,
    saturation_pressure_pa,
    vapour_pressure_from_relative_humidity_pa,
    vapour_pressure_from_wet_bulb_pa,
)
from slowfolio.physics.water import WATER_MAX_C, WATER_MIN_C
from slowfolio.units import System, format_temperature

ONE_OF = "give exactly one of --dew-point, --wet-bulb, --humidity, --water"


@click.command("air")
@click.option("--dry-bulb", "dry_bulb_c", type=TEMPERATURE, required=True, help='Air temperature: "150 °F".')
@click.option("--dew-point", "dew_point_c", type=TEMPERATURE, help="Dew point of the air.")
@click.option("--wet-bulb", "wet_bulb_c", type=TEMPERATURE, help="Reading of a thermometer in a wet wick.")
@click.option("--humidity", "humidity", type=FRACTION, help='Relative humidity: "55 %".')
@click.option("--water", "water_c", type=TEMPERATURE, help="Water temperature that sets the vapour.")
@click.option("--altitude", "altitude_m", type=ALTITUDE, default="0 m", show_default=True, help='"5280 ft".')
@click.option("--json", "as_json", is_flag=True, help="Print JSON; keys carry their units.")
def command(
    dry_bulb_c: float,
    dew_point_c: float | None,
    wet_bulb_c: float | None,
    humidity: float | None,
    water_c: float | None,
    altitude_m: float,
    as_json: bool,
) -> None:
    """Work out humid air: relative humidity, dew point, wet bulb, vapour pressure, boiling point.

    \b
    Example: a cabinet at 150 °F whose water is kept at 100 °F
      slowfolio air --dry-bulb "150 °F" --water "100 °F"
    """
    if sum(value is not None for value in (dew_point_c, wet_bulb_c, humidity, water_c)) != 1:
        raise click.UsageError(ONE_OF)
    saturated_c = dew_point_c if dew_point_c is not None else water_c
    refuse_impossible(
        dry_bulb_c, altitude_m, saturated_c=saturated_c, wet_bulb_c=wet_bulb_c, humidity=humidity
    )
    try:
        pressure_pa = atmospheric_pressure_pa(altitude_m)
        if saturated_c is not None:
            vapour_pa = saturation_pressure_pa(saturated_c)
        elif humidity is not None:
            vapour_pa = vapour_pressure_from_relative_humidity_pa(humidity, dry_bulb_c)
        else:
            assert wet_bulb_c is not None
            vapour_pa = vapour_pressure_from_wet_bulb_pa(dry_bulb_c, wet_bulb_c, pressure_pa)
        state = air_state(dry_bulb_c, vapour_pa, pressure_pa)
    except ValueError as error:
        raise click.UsageError(str(error)) from error
    click.echo(json.dumps(as_record(state, altitude_m), indent=2) if as_json else as_text(state))


def refuse_impossible(
    dry_bulb_c: float,
    altitude_m: float,
    *,
    saturated_c: float | None,
    wet_bulb_c: float | None,
    humidity: float | None,
) -> None:
    """Raise a usage error in the words of the readings for air that cannot be."""
    if not WATER_MIN_C <= dry_bulb_c <= WATER_MAX_C:
        raise click.UsageError(f"--dry-bulb: give {both(WATER_MIN_C)} to {both(WATER_MAX_C)}")
    for name, temp_c in (("dew point", saturated_c), ("wet bulb", wet_bulb_c)):
        if temp_c is not None and temp_c > dry_bulb_c:
            raise click.UsageError(
                f"the {name}, {both(temp_c)}, cannot be above the air, {both(dry_bulb_c)}: check the two"
            )
        if temp_c is not None and temp_c < WATER_MIN_C:
            raise click.UsageError(
                f"the {name} is worked out from {both(WATER_MIN_C)} on, not at {both(temp_c)}"
            )
    if humidity is None:
        return
    boils_c = float(boiling_point_c(atmospheric_pressure_pa(altitude_m)))
    if dry_bulb_c > boils_c and humidity >= saturation_pressure_pa(boils_c) / saturation_pressure_pa(
        dry_bulb_c
    ):
        most = 100 * saturation_pressure_pa(boils_c) / saturation_pressure_pa(dry_bulb_c)
        steam = f"even pure steam stays below {most:.1f} % at {both(dry_bulb_c)}"
        raise click.UsageError(f"above boiling, {both(boils_c)} here, {steam}")
    if humidity * saturation_pressure_pa(dry_bulb_c) < saturation_pressure_pa(WATER_MIN_C):
        raise click.UsageError('no kitchen\'s air is that dry: give --humidity as read, such as "5 %"')


def as_record(state: AirState, altitude_m: float) -> dict[str, float]:
    """The state as JSON keys that carry their units; see schema/output/air.schema.json."""
    return {
        "dry_bulb_c": round(state.temp_c, 3),
        "altitude_m": round(altitude_m, 1),
        "pressure_pa": round(state.pressure_pa, 1),
        "relative_humidity_pct": round(100 * state.relative_humidity, 2),
        "dew_point_c": round(state.dew_point_c, 3),
        "wet_bulb_c": round(state.wet_bulb_c, 3),
        "vapour_pressure_pa": round(state.vapour_pressure_pa, 1),
        "humidity_ratio_kg_kg": round(state.humidity_ratio_kg_kg, 6),
        "enthalpy_j_kg": round(state.enthalpy_j_kg, 1),
        "boiling_point_c": round(state.boiling_point_c, 3),
    }


def as_text(state: AirState) -> str:
    """The state in words, both unit systems, one figure to a line."""
    rows = (
        ("air", both(state.temp_c)),
        ("relative humidity", f"{100 * state.relative_humidity:.1f} %"),
        ("dew point", both(state.dew_point_c)),
        ("wet bulb", both(state.wet_bulb_c)),
        ("vapour pressure", f"{state.vapour_pressure_pa:.0f} Pa"),
        ("water per dry air", f"{1000 * state.humidity_ratio_kg_kg:.1f} g/kg"),
        ("water boils at", both(state.boiling_point_c)),
    )
    return "\n".join(f"{name:<18} {text}" for name, text in rows)


def both(temp_c: float) -> str:
    """A temperature in both systems: "150 °F (66 °C)"."""
    return f"{format_temperature(temp_c, System.US)} ({format_temperature(temp_c, System.METRIC)})"
