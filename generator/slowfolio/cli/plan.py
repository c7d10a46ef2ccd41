"""`slowfolio plan`: clock times backwards from serving, for one method or for a service of several."""

from datetime import UTC, datetime
from pathlib import Path

import click
import msgspec

from slowfolio.cli.book_argument import read_book_or_exit
from slowfolio.cli.quantity import ALTITUDE, MASS
from slowfolio.enrich.pipeline import SEED
from slowfolio.forecast.planning.assemble import plan_order
from slowfolio.forecast.planning.clock import local_zone, zone_named
from slowfolio.forecast.planning.errors import NoForecastError, PlanInputError
from slowfolio.forecast.planning.leads import Meat
from slowfolio.forecast.planning.order import Order, OrderItem
from slowfolio.forecast.planning.planned import PlannedService
from slowfolio.forecast.planning.prices import Extra, Price, read_price_or_extra
from slowfolio.forecast.planning.record import plan_record
from slowfolio.forecast.planning.run_sheet import as_text
from slowfolio.forecast.planning.service_file import read_service_file
from slowfolio.physics.errors import PhysicsInputError

MEMBERS = 128
FEWEST_MEMBERS = 8

NOT_WITH_FILE = (
    "serve", "weight_kg", "pieces", "guests", "portion_kg", "pit", "holder", "confidence", "cooks",
    "altitude_m", "prices", "frozen",
)  # fmt: skip
"""What a service file says itself."""


@click.command("plan")
@click.argument("method_id", metavar="[METHOD]", required=False)
@click.option("--serve", help='Date and time of serving: "2026-12-05 13:00".')
@click.option(
    "--service", "service_path", type=click.Path(path_type=Path), help="Plan the service in this YAML file."
)
@click.option("--weight", "weight_kg", type=MASS, help='Of one trimmed raw piece: "13 lb 8 oz".')
@click.option("--pieces", type=int, help="How many pieces; without it as many as the guests need.")
@click.option("--guests", type=int, help="How many eat.")
@click.option(
    "--portion", "portion_kg", type=MASS, help="Cooked, boneless.  [default: the book's, else 6 oz]"
)
@click.option("--pit", help="Id of another pit card.")
@click.option("--holder", help="Id of another holder card.")
@click.option(
    "--confidence", type=float, default=95.0, show_default=True, help="Chance of being ready, per cent."
)
@click.option("--cooks", type=int, default=1, show_default=True, help="Pairs of hands.")
@click.option("--altitude", "altitude_m", type=ALTITUDE, help='"5280 ft".')
@click.option(
    "--price", "prices", multiple=True, help='Of the meat, "6.49 USD/lb"; of anything else, "fuel=25 USD".'
)
@click.option("--frozen", is_flag=True, help="The piece is frozen and must be thawed first.")
@click.option("--timezone", "zone_name", help='"Europe/London".  [default: of this machine]')
@click.option("--book", "book_path", type=click.Path(path_type=Path), default="methods", show_default=True)
@click.option("--members", type=click.IntRange(FEWEST_MEMBERS, 4096), default=MEMBERS, show_default=True)
@click.option("--seed", type=click.IntRange(0), default=SEED, show_default=True)
@click.option("--json", "as_json", is_flag=True, help="Print JSON; see schema/output/plan.schema.json.")
@click.option(
    "--calendar",
    "calendar_path",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Write this .ics file too.",
)
@click.pass_context
def command(
    context: click.Context,
    method_id: str | None,
    serve: str | None,
    service_path: Path | None,
    weight_kg: float | None,
    pieces: int | None,
    guests: int | None,
    portion_kg: float | None,
    pit: str | None,
    holder: str | None,
    confidence: float,
    cooks: int,
    altitude_m: float | None,
    prices: tuple[str, ...],
    frozen: bool,
    zone_name: str | None,
    book_path: Path,
    members: int,
    seed: int,
    as_json: bool,
    calendar_path: Path | None,
) -> None:
    """Plan METHOD, or the service of a file, backwards from serving: when to do what, and how sure it is.

    Ends with 1 where several items get in each other's way and nothing resolves it, with 2 where what is
    asked cannot be meant or is impossible.

    \b
    Examples:
      slowfolio plan foil-boat-humid-hold --serve "2026-12-05 13:00" --guests 20
      slowfolio plan foil-tight --serve "2026-12-05 18:00" --weight "12 lb" --price "6.49 USD/lb"
      slowfolio plan --service saturday.yaml --calendar saturday.ics

    \b
    A service file:
      serve: 2026-12-05 13:00
      timezone: Europe/London
      pits: {big: offset-stick-burner, small: kettle-or-drum}
      holders: [humidity-cabinet]
      items:
        - {method: foil-boat-humid-hold, weight: 14 lb, pieces: 2, pit: big}
        - {method: hot-and-fast, guests: 12, pit: small, holder: humidity-cabinet, price: 6.49 USD/lb}
    An item also takes name, portion, serve and frozen; the file confidence, cooks, altitude and extras.
    """
    now = datetime.now(UTC)
    try:
        zone = zone_named(zone_name) if zone_name is not None else None
        if service_path is not None:
            refuse_beside_file(context, method_id)
            order = read_service_file(service_path, zone)
        else:
            if method_id is None or serve is None:
                raise PlanInputError(
                    'give a method and --serve "2026-12-05 13:00", or --service with a service file'
                )
            meat_price, extras = sorted_prices(prices)
            item = OrderItem(
                method=method_id,
                weight_kg=weight_kg,
                pieces=pieces,
                guests=guests,
                portion_kg=portion_kg,
                pit=pit,
                holder=holder,
                price=meat_price,
                meat=Meat.FROZEN if frozen else Meat.FRESH,
            )
            order = Order(
                serve=serve,
                zone=zone or local_zone(),
                items=(item,),
                confidence=confidence / 100.0,
                cooks=cooks,
                altitude_m=altitude_m,
                extras=extras,
            )
        book = read_book_or_exit(book_path)
        planned = plan_order(order, book, members=members, seed=seed, now=now)
    except (PlanInputError, PhysicsInputError) as error:
        raise click.UsageError(str(error)) from error
    except NoForecastError as error:
        raise click.ClickException(str(error)) from error
    if calendar_path is not None:
        write_calendar(planned, calendar_path, now)
    if as_json:
        click.echo(msgspec.json.format(msgspec.json.encode(plan_record(planned))).decode())
    else:
        click.echo(as_text(planned))
    if not planned.plan.resolved:
        context.exit(1)


def refuse_beside_file(context: click.Context, method_id: str | None) -> None:
    """Refuse what the service file says itself."""
    if method_id is not None:
        raise PlanInputError("give either a method or --service; the file names its methods")
    for parameter in context.command.params:
        source = context.get_parameter_source(parameter.name or "")
        if parameter.name in NOT_WITH_FILE and source is click.core.ParameterSource.COMMANDLINE:
            raise PlanInputError(f"{parameter.opts[0]} does not go with --service; write it into the file")


def sorted_prices(texts: tuple[str, ...]) -> tuple[Price | None, tuple[Extra, ...]]:
    """The price of the meat, at most one, and what else is paid for."""
    read = [read_price_or_extra(text) for text in texts]
    meat = [price for price in read if isinstance(price, Price)]
    if len(meat) > 1:
        raise PlanInputError('two prices for the meat; name what the other is for: "fuel=25 USD"')
    return (meat[0] if meat else None), tuple(extra for extra in read if isinstance(extra, Extra))


def write_calendar(planned: PlannedService, path: Path, now: datetime) -> None:
    """Write the calendar file, whole or not at all."""
    # The calendar library is loaded by those who want a calendar only.
    from slowfolio.forecast.planning.calendar_file import calendar_bytes

    blob = calendar_bytes(planned, stamp=now.replace(microsecond=0))
    try:
        path.write_bytes(blob)
    except OSError as error:
        raise click.UsageError(f"cannot write {path}: {error.strerror or error}") from error
