"""`slowfolio init`: a kitchen's own book on top of a shared one, in a new folder."""

from pathlib import Path

import click

from slowfolio.book.base import SHARED
from slowfolio.book.files import is_book
from slowfolio.book.schemas import schema
from slowfolio.cli.quantity import ALTITUDE

AUTHORITIES = tuple(schema("book")["properties"]["authority"]["enum"])
NO_BASE = "none"


@click.command("init")
@click.argument("folder", metavar="DIR", type=click.Path(path_type=Path))
@click.option(
    "--base",
    default=SHARED,
    show_default=True,
    help="The book ours stands on: shared for the one that comes with the program, a folder, or none.",
)
@click.option("--title", help="Title of the book.  [default: the kitchen's house book]")
@click.option("--kitchen", default="Our kitchen", show_default=True)
@click.option("--authority", type=click.Choice(AUTHORITIES), default=AUTHORITIES[0], show_default=True)
@click.option("--altitude", default="100 m", show_default=True, help='Height of the kitchen: "5280 ft".')
@click.option("--units", type=click.Choice(["US", "metric"]), default="US", show_default=True)
@click.option("--owner", default="Pit lead", show_default=True, help="The role that answers for the book.")
def command(
    folder: Path,
    base: str,
    title: str | None,
    kitchen: str,
    authority: str,
    altitude: str,
    units: str,
    owner: str,
) -> None:
    """Start a book of your own in DIR: all cards of the base are in it, and yours change or add to them.

    \b
    Examples:
      slowfolio init our-book --kitchen "Harbour Street Kitchen" --authority uk --units metric
      slowfolio init our-book --base ../shared-book/methods
    """
    from slowfolio.drafts.new_book import BookChoices, FolderInTheWay, base_text, make_book

    ALTITUDE.convert(altitude, None, click.get_current_context())
    if base not in (SHARED, NO_BASE) and not is_book(Path(base)):
        raise click.UsageError(
            f"there is no book.yaml at {base}; write a book's folder, {SHARED} or {NO_BASE}"
        )
    choices = BookChoices(
        title=title or f"{kitchen}: house book",
        kitchen=kitchen,
        authority=authority,
        altitude=altitude,
        units_first=units,
        owner=owner,
        base=None if base == NO_BASE else base_text(folder, base),
    )
    try:
        made = make_book(folder, choices)
    except FolderInTheWay as error:
        raise click.ClickException(str(error)) from error
    except OSError as error:
        raise click.ClickException(f"the book cannot be written: {error}") from error
    click.echo(f"made {made}")
    click.echo(f"next: cd {folder}, then slowfolio check, and slowfolio new pit --like a pit of the base")
