"""`slowfolio log against`: a recorded cook beside its forecast."""

from pathlib import Path

import click
import msgspec

from slowfolio.cli.book_argument import method_or_usage_error, read_book_or_exit
from slowfolio.cli.log_cooks import cook_or_usage_error, recording_or_usage_error
from slowfolio.cli.waiting import progress_bar
from slowfolio.cooklog.record import against_record
from slowfolio.cooklog.remarks import LogError


@click.command("against")
@click.argument("method_id", metavar="METHOD")
@click.option("--cook", "cook_id", required=True, help="Id of a recorded cook of METHOD.")
@click.option("--book", "book_path", type=click.Path(path_type=Path), default="methods", show_default=True)
@click.option("--members", type=click.IntRange(8, 4096), default=48, show_default=True)
@click.option("--seed", type=click.IntRange(0), default=1, show_default=True)
@click.option(
    "--json", "as_json", is_flag=True, help="Print JSON; see schema/output/log-against.schema.json."
)
def against_command(
    method_id: str, cook_id: str, book_path: Path, members: int, seed: int, as_json: bool
) -> None:
    """Hold a recorded cook of METHOD against its forecast: which events lie in their windows, and what
    explains the rest best.

    \b
    Example:
      slowfolio log against foil-boat-humid-hold --cook saturday-one
    """
    book = read_book_or_exit(book_path)
    method = method_or_usage_error(book, method_id)
    cook = cook_or_usage_error(book, cook_id)
    if cook.method != method.id:
        raise click.UsageError(f"{cook_id} is a cook of {cook.method}, not of {method_id}")
    recording = recording_or_usage_error(cook, book)

    from slowfolio.cooklog.against import against
    from slowfolio.cooklog.words import against_lines
    from slowfolio.physics.errors import PhysicsInputError

    try:
        with progress_bar() as tell:
            result = against(cook, recording, book, members=members, seed=seed, progress=tell)
    except (LogError, PhysicsInputError) as error:
        raise click.UsageError(f"{cook_id}: {error}") from error
    if as_json:
        click.echo(msgspec.json.format(msgspec.json.encode(against_record(result))).decode())
        return
    click.echo("\n".join(against_lines(result, book.card.units_first)))
