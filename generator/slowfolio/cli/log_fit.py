"""`slowfolio log fit`: what recorded cooks tell of a pit or holder, as a change proposed to its card."""

from pathlib import Path

import click
import msgspec

from slowfolio.book.model import Book, Cook, Holder, Pit
from slowfolio.cli.book_argument import read_book_or_exit
from slowfolio.cli.log_cooks import cook_or_usage_error, recording_or_usage_error
from slowfolio.cli.waiting import progress_bar
from slowfolio.cooklog.record import fit_record
from slowfolio.cooklog.recording import Recording
from slowfolio.cooklog.remarks import LogError

Recorded = list[tuple[Cook, Recording]]


@click.command("fit")
@click.argument("cook_ids", metavar="COOK...", nargs=-1, required=True)
@click.option("--pit", "pit_id", help="Id of the pit the cooks were cooked in.")
@click.option("--holder", "holder_id", help="Id of the holder the cooks were held in.")
@click.option("--book", "book_path", type=click.Path(path_type=Path), default="methods", show_default=True)
@click.option("--out", "out_path", type=click.Path(path_type=Path, dir_okay=False),
              help="Write the proposed card here.")  # fmt: skip
@click.option("--json", "as_json", is_flag=True, help="Print JSON; see schema/output/log-fit.schema.json.")
def fit_command(
    cook_ids: tuple[str, ...],
    pit_id: str | None,
    holder_id: str | None,
    book_path: Path,
    out_path: Path | None,
    as_json: bool,
) -> None:
    """Learn from recorded cooks what their pit or holder is really like, and propose a change of its card.

    The card is never changed: the patch is printed, and --out writes the card as it would be.

    \b
    Examples:
      slowfolio log fit saturday-one saturday-two saturday-three --pit offset-stick-burner
      slowfolio log fit saturday-one --holder humidity-cabinet --out humidity-cabinet.proposed.yaml
    """
    if (pit_id is None) == (holder_id is None):
        raise click.UsageError("say what to fit: --pit ID or --holder ID")
    if len(set(cook_ids)) < len(cook_ids):
        raise click.UsageError("a cook is named twice: it would count twice")
    book = read_book_or_exit(book_path)
    cooks: Recorded = []
    for cook_id in cook_ids:
        cook = cook_or_usage_error(book, cook_id)
        cooks.append((cook, recording_or_usage_error(cook, book)))
    if out_path is not None and out_path.exists():
        raise click.UsageError(f"{out_path} is there already: name another file")
    card = equipment(book, pit_id, holder_id)
    lines, record, diff, text = fitted(card, cooks, book)
    if out_path is not None and text:
        try:
            with out_path.open("x", encoding="utf-8") as stream:
                stream.write(text)
        except OSError as error:
            raise click.UsageError(f"cannot write {out_path}: {error.strerror or error}") from error
    if as_json:
        click.echo(msgspec.json.format(msgspec.json.encode(record)).decode())
        return
    click.echo("\n".join(lines))
    click.echo("")
    click.echo(diff if diff else "nothing of the card needs a change")
    if diff:
        click.echo("nothing was changed; apply the patch in the book's folder if you agree")


def equipment(book: Book, pit_id: str | None, holder_id: str | None) -> Pit | Holder:
    """The card to fit; another name is a usage error."""
    if pit_id is not None and pit_id in book.pits:
        return book.pits[pit_id]
    if holder_id is not None and holder_id in book.holders:
        return book.holders[holder_id]
    kind, name, cards = (
        ("pit", pit_id, sorted(book.pits)) if pit_id else ("holder", holder_id, sorted(book.holders))
    )
    raise click.UsageError(f"no {kind} {name!r} in this book; it has {', '.join(cards)}")


def fitted(card: Pit | Holder, cooks: Recorded, book: Book) -> tuple[list[str], dict[str, object], str, str]:
    """The fit in words and as JSON, the patch, and the card's text as it would be."""
    from slowfolio.cooklog.fit_holder import fit_holder
    from slowfolio.cooklog.fit_pit import PitFit, fit_pit
    from slowfolio.cooklog.proposal import holder_changes, patch, pit_changes
    from slowfolio.cooklog.words import fit_lines
    from slowfolio.physics.errors import PhysicsInputError

    try:
        with progress_bar() as tell:
            fit: PitFit
            if isinstance(card, Pit):
                fit = fit_pit(card.id, cooks, book, progress=tell)
                changes = pit_changes(fit, book)
            else:
                fit = held = fit_holder(card.id, cooks, book, progress=tell)
                changes = holder_changes(held, book)
        worse = fit.improved is not None and fit.improved >= 1.0
        changes = () if worse else changes
        diff, text = patch(book, card, changes)
    except (LogError, PhysicsInputError) as error:
        raise click.UsageError(str(error)) from error
    return fit_lines(fit, book.card.units_first), fit_record(fit, changes, diff), diff, text
