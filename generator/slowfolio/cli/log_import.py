"""`slowfolio log import`: any log of a cook as a card of the book, the raw file kept beside it."""

import sys
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

import click
import msgspec

from slowfolio.book.findings import close_match
from slowfolio.book.model import Book, CookedPiece, Method
from slowfolio.cli.book_argument import method_or_usage_error, read_book_or_exit
from slowfolio.cli.quantity import LENGTH, MASS, TEMPERATURE
from slowfolio.cooklog.card import NewCook, card_text, checksum, id_for, raw_name, write_cook
from slowfolio.cooklog.columns import told as told_columns
from slowfolio.cooklog.happened import told as told_events
from slowfolio.cooklog.importing import Imported, Wish, import_log
from slowfolio.cooklog.record import import_record
from slowfolio.cooklog.remarks import LogError
from slowfolio.cooklog.wrapping import is_wrapped, wrap_core_c
from slowfolio.drafts.card_text import commented
from slowfolio.drafts.places import schema_beside

MOST_NOTES = 60


@dataclass(frozen=True, slots=True)
class Asked:
    """What the command was told of the cook besides the log."""

    method: str | None
    pit: str | None
    holder: str | None
    out_id: str | None
    piece: CookedPiece


@click.command("import")
@click.argument("log_path", metavar="FILE", type=click.Path(path_type=Path, exists=True, dir_okay=False))
@click.option("--book", "book_path", type=click.Path(path_type=Path), default="methods", show_default=True)
@click.option("--method", "method_id", help="Id of the method that was cooked; asked where it is left out.")
@click.option("--map", "mapping", help='Which column is what: "time=Date,pit=Grate,thick=2".')
@click.option("--time-format", help='"%d.%m.%Y %H:%M:%S"; s, min or h for a plain number; clock or elapsed.')
@click.option("--unit", help="Of the temperatures: F, C or K.")
@click.option("--start", help='Local date and time of the first reading: "2026-09-05 05:10".')
@click.option("--out-id", help="Id of the cook's card.  [default: method and date]")
@click.option("--pit", help="Id of another pit card than the method's.")
@click.option("--holder", help="Id of another holder card than the method's.")
@click.option("--weight-before", "before_kg", type=MASS, help='Raw, trimmed: "13 lb 2 oz".')
@click.option("--weight-after", "after_kg", type=MASS, help="When it was weighed again.")
@click.option(
    "--weighed",
    type=click.Choice(["off the pit", "after the vent", "after the hold"]),
    default="after the hold",
    show_default=True,
    help="When that was.",
)
@click.option("--thickness", "thickness_m", type=LENGTH, help='Of the raw piece: "85 mm".')
@click.option("--start-temp", "start_temp_c", type=TEMPERATURE, help="Core as it went on.")
@click.option("--dry-run", is_flag=True, help="Say what was found and write nothing.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON; see schema/output/log-import.schema.json.")
def import_command(
    log_path: Path,
    book_path: Path,
    method_id: str | None,
    mapping: str | None,
    time_format: str | None,
    unit: str | None,
    start: str | None,
    out_id: str | None,
    pit: str | None,
    holder: str | None,
    before_kg: float | None,
    after_kg: float | None,
    weighed: str,
    thickness_m: float | None,
    start_temp_c: float | None,
    dry_run: bool,
    as_json: bool,
) -> None:
    """Read the log FILE of a cook (CSV, TSV, or the At the pit page's export) and write its card.

    Columns, clock and degrees are found and said; what is open is asked on a terminal, elsewhere taken and
    stated. The raw file is kept unchanged beside the card.

    \b
    Examples:
      slowfolio log import saturday.csv --method foil-boat-humid-hold
      slowfolio log import probes.tsv --method unwrapped --map "time=1,pit=2,thick=3" --unit F --dry-run
    """
    book = read_book_or_exit(book_path)
    asked = Asked(
        method_id,
        pit,
        holder,
        out_id,
        CookedPiece(before_kg, after_kg, weighed, thickness_m, start_temp_c),
    )
    try:
        blob = log_path.read_bytes()
        wish = Wish(told_columns(mapping or ""), time_format or "", unit or "", start_of(start))
        imported = import_log(blob, wish)
        method = method_of(asked, imported, book)
        wish = replace(wish, wrapped=is_wrapped(method, book), wrap_core_c=wrap_core_c(method))
        imported = confirmed(import_log(blob, wish), blob, wish)
        cook = new_cook(asked, imported, method, book, book_path / "cooks")
        cook = replace(cook, log=replace(cook.log, file=raw_name(cook.id, log_path), sha256=checksum(blob)))
        if not dry_run:
            card = book_path / "cooks" / f"{cook.id}.yaml"
            text = commented(
                "cook", card_text(cook, book.card.units_first), schema_at=schema_beside(card, "cook")
            )
            write_cook(book_path / "cooks", cook.id, text, (cook.log.file, blob))
    except LogError as error:
        raise click.UsageError(f"{log_path}: {error}") from error
    except OSError as error:
        raise click.UsageError(f"cannot read {log_path}: {error.strerror or error}") from error
    if as_json:
        record = import_record(cook, imported)
        click.echo(msgspec.json.format(msgspec.json.encode(record)).decode())
        return
    click.echo("\n".join(as_text(cook, imported, book_path, dry_run=dry_run)))


def start_of(text: str | None) -> datetime | None:
    """The option --start as a moment. Raises LogError for what is none."""
    if text is None:
        return None
    try:
        return datetime.fromisoformat(text.strip())
    except ValueError as error:
        raise LogError(f'--start: "{text}" is no date and time: write "2026-09-05 05:10"') from error


def method_of(asked: Asked, imported: Imported, book: Book) -> Method:
    """The method that was cooked: told, named by the export, or asked."""
    name = asked.method or (imported.export.method if imported.export else None)
    if not name and sys.stdin.isatty():
        name = click.prompt("which method was cooked", type=click.Choice(sorted(book.methods)))
    if not name:
        raise click.UsageError(
            f"say which method was cooked with --method: {', '.join(sorted(book.methods))}"
        )
    return method_or_usage_error(book, name)


def confirmed(imported: Imported, blob: bytes, wish: Wish) -> Imported:
    """The import with each assumption confirmed on a terminal; elsewhere they are stated as they are."""
    if not sys.stdin.isatty():
        return imported
    for assumption in imported.assumptions:
        if click.confirm(
            f"{assumption.about}: {assumption.taken} ({assumption.why}). Is that so?", default=True
        ):
            continue
        if "unit of the temperatures" in assumption.about:
            unit = click.prompt("the unit", type=click.Choice(["F", "C", "K"]))
            return import_log(blob, replace(wish, unit=unit))
        raise LogError(f"run it again with {assumption.option}")
    return imported


def new_cook(asked: Asked, imported: Imported, method: Method, book: Book, folder: Path) -> NewCook:
    """What goes on the card."""
    recording, export = imported.recording, imported.export
    if recording.began is None:
        raise LogError('the log tells no date: say when it began with --start "2026-09-05 05:10"')
    day = recording.began.date()
    pit = known(asked.pit or (export.pit if export else None) or method.pit, book.pits, "pit")
    holder = asked.holder or (method.hold.holder if method.hold is not None else None)
    piece = asked.piece
    if export is not None and piece.weight_before_kg is None:
        piece = replace(piece, weight_before_kg=export.weight_kg)
    corrections = tuple(remark.text for remark in recording.remarks)
    corrections += tuple(assumption.text for assumption in imported.assumptions)
    title = export.label if export and export.label else method.title
    return NewCook(
        id=asked.out_id or id_for(method.id, day, folder),
        title=f"{title}, {day.day} {day:%B %Y}"[:160],
        method=method.id,
        day=day,
        pit=pit,
        holder=known(holder, book.holders, "holder") if holder else None,
        piece=piece,
        log=imported.recipe,
        events=recording.events,
        corrections=corrections[:MOST_NOTES],
        notes=export.notes[:MOST_NOTES] if export else (),
    )


def known(name: str, cards: object, kind: str) -> str:
    """A card's id that the book has; another is a usage error."""
    assert hasattr(cards, "keys")
    names = sorted(cards.keys())
    if name in names:
        return name
    meant = close_match(name, names)
    advice = f"did you mean {meant}?" if meant else f"it has {', '.join(names)}"
    raise click.UsageError(f"no {kind} {name!r} in this book; {advice}")


def as_text(cook: NewCook, imported: Imported, book_path: Path, *, dry_run: bool) -> list[str]:
    """What was found, for a terminal."""
    recording = imported.recording
    hours = recording.time_s[-1] / 3600.0
    recipe = imported.recipe
    lines = [f"{recording.time_s.size:,} readings over {hours:.1f} h, temperatures in {recipe.unit}"]
    lines.append("columns  " + ", ".join(f"{role}: {name}" for role, name in recipe.columns.items()))
    lines += [f"assumed  {assumption.text}" for assumption in imported.assumptions]
    if recording.remarks:
        lines += ["", "found wrong or odd", *(f"  {remark.text}" for remark in recording.remarks)]
    if recording.events:
        lines += ["", "happened", *told_events(recording.events)]
    before, after = cook.piece.weight_before_kg, cook.piece.weight_after_kg
    if before and after:
        lines += ["", f"measured yield {100 * after / before:.1f} % {cook.piece.weighed}"]
    where = book_path / "cooks" / f"{cook.id}.yaml"
    lines += [
        "",
        "nothing written (--dry-run)" if dry_run else f"written  {where} and {cook.log.file} beside it",
    ]
    return lines
