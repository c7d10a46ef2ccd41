"""`slowfolio hold`: how to set a holder for a method, what that does, and for how long."""

from dataclasses import replace
from pathlib import Path

import click
import msgspec

from slowfolio.book.findings import close_match
from slowfolio.cli.book_argument import method_or_usage_error, read_book_or_exit
from slowfolio.cli.quantity import (
    ALTITUDE,
    AREA,
    DURATION,
    FRACTION,
    ROOM_TEMPERATURE,
    TEMPERATURE,
    VOLUME,
    WATER_TEMPERATURE,
)
from slowfolio.enrich.hold_record import hold_record
from slowfolio.enrich.hold_words import advice_lines, origin_lines
from slowfolio.enrich.pipeline import HOLD_MEMBERS, SEED


@click.command("hold")
@click.argument("method_id", metavar="METHOD")
@click.option("--holder", "holder_id", required=True, help="Id of a holder card.")
@click.option("--book", "book_path", type=click.Path(path_type=Path), default="methods", show_default=True)
@click.option("--air-temp", "air_temp_c", type=TEMPERATURE, help='Air in the holder: "150 °F".')
@click.option("--vapour-temp", "vapour_temp_c", type=TEMPERATURE, help="Water-vapour temperature dialled in.")
@click.option("--humidity", type=FRACTION, help='Relative humidity dialled in or wanted: "55 %".')
@click.option("--pan-area", "pan_area_m2", type=AREA, help='Open water in all pans: "900 cm2".')
@click.option(
    "--pan-temp", "pan_temp_c", type=WATER_TEMPERATURE, help="Temperature of the pan's water, if measured."
)
@click.option("--wrap", "wrap", help="Id of the wrap to hold in: the card's own or its counterpart.")
@click.option("--room", "room_temp_c", type=ROOM_TEMPERATURE, help="Room the holder stands in.")
@click.option("--hours", "hours_s", type=DURATION, help='How long: "10 h".')
@click.option("--altitude", "altitude_m", type=ALTITUDE, help='"5280 ft".')
@click.option("--measured-humidity", type=FRACTION, help="What a hygrometer in the holder reads.")
@click.option("--spray", "spray_m3", type=VOLUME, help='Water sprayed in at a time: "60 mL".')
@click.option("--every", "every_s", type=DURATION, help='How often it is sprayed: "30 min".')
@click.option("--bottles", "bottles_m3", type=VOLUME, help='Hot water in an unheated box: "6 L".')
@click.option("--bottle-temp", "bottle_temp_c", type=WATER_TEMPERATURE, help="How hot that water is.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON; see schema/output/hold.schema.json.")
def command(
    method_id: str,
    holder_id: str,
    book_path: Path,
    air_temp_c: float | None,
    vapour_temp_c: float | None,
    humidity: float | None,
    pan_area_m2: float | None,
    pan_temp_c: float | None,
    wrap: str | None,
    room_temp_c: float | None,
    hours_s: float | None,
    altitude_m: float | None,
    measured_humidity: float | None,
    spray_m3: float | None,
    every_s: float | None,
    bottles_m3: float | None,
    bottle_temp_c: float | None,
    as_json: bool,
) -> None:
    """Work out the hold of METHOD in a holder: settings, humidity window, loss, crust, core, how long.

    \b
    Examples:
      slowfolio hold foil-boat-humid-hold --holder humidity-cabinet
      slowfolio hold foil-boat-humid-hold --holder oven-water-pan --pan-area "900 cm2" --hours "6 h"
      slowfolio hold foil-boat-dry-hold --holder dry-oven --spray "60 mL" --every "30 min"
      slowfolio hold foil-tight --holder insulated-box --bottles "6 L" --bottle-temp "180 °F"
    """
    if sum(value is not None for value in (vapour_temp_c, humidity, pan_area_m2)) > 1:
        raise click.UsageError("give one of --vapour-temp, --humidity, --pan-area")
    if pan_temp_c is not None and pan_area_m2 is None:
        raise click.UsageError("--pan-temp goes with --pan-area")
    if (spray_m3 is None) != (every_s is None):
        raise click.UsageError("--spray and --every go together")
    if bottle_temp_c is not None and bottles_m3 is None:
        raise click.UsageError("--bottle-temp goes with --bottles")
    book = read_book_or_exit(book_path)
    method = method_or_usage_error(book, method_id)
    if method.hold is None:
        raise click.UsageError(f"{method_id} has no hold on its card")
    if holder_id not in book.holders:
        meant = close_match(holder_id, book.holders)
        advice = f"did you mean {meant}?" if meant else f"it has {', '.join(sorted(book.holders))}"
        raise click.UsageError(f"no holder {holder_id!r} in this book; {advice}")
    if altitude_m is not None:
        book = replace(book, card=replace(book.card, altitude_m=altitude_m))

    from slowfolio.enrich.cache import Cache, default_folder
    from slowfolio.enrich.pipeline import kept_table
    from slowfolio.forecast.hold_advice import Wish, advise
    from slowfolio.physics.cabinet_course import Spray
    from slowfolio.physics.errors import PhysicsInputError

    try:
        spray = None if spray_m3 is None or every_s is None else Spray(spray_m3 * 1000.0, every_s)
    except PhysicsInputError as error:
        raise click.UsageError(str(error)) from error
    wish = Wish(
        air_temp_c=air_temp_c,
        humidity=humidity,
        vapour_temp_c=vapour_temp_c,
        pan_area_m2=pan_area_m2,
        pan_temp_c=pan_temp_c,
        hours=None if hours_s is None else hours_s / 3600.0,
        wrap=wrap,
        room_temp_c=room_temp_c,
        measured_humidity=measured_humidity,
        spray=spray,
        bottle_litres=None if bottles_m3 is None else bottles_m3 * 1000.0,
        bottle_temp_c=bottle_temp_c,
    )
    try:
        table = kept_table(method, book, HOLD_MEMBERS, SEED, Cache(default_folder()))
        if wrap is not None and wrap not in table.wraps:
            raise click.UsageError(f"the hold is computed for {' and '.join(table.wraps)}, not for {wrap}")
        found = advise(table, method, book, book.holders[holder_id], wish)
    except PhysicsInputError as error:
        raise click.UsageError(f"{holder_id}: {error}") from error
    if as_json:
        record = hold_record(table, found)
        click.echo(msgspec.json.format(msgspec.json.encode(record)).decode())
        return
    system = book.card.units_first
    title = f"{method.title}, in: {book.holders[holder_id].title}"
    origin = origin_lines(table) if found.loss is not None else []
    click.echo("\n".join([title, "", *advice_lines(found, book, system), *origin]))
