"""`slowfolio diff`: what a change does to the computed outcome of every method it touches."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

import click
import msgspec

from slowfolio.book.files import find_root
from slowfolio.enrich.pipeline import MEMBERS

if TYPE_CHECKING:
    from slowfolio.changes.sides import BookChange, Side

WORKING_TREE = "the working tree"


@click.command("diff")
@click.argument("rev1", default="HEAD")
@click.argument("rev2", required=False)
@click.option("--book", "book_path", type=click.Path(path_type=Path), default="methods", show_default=True)
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "markdown", "json"]),
    default="text",
    show_default=True,
    help="markdown for a review comment; json by schema/output/diff.schema.json.",
)
@click.option("--members", type=click.IntRange(2, 4096), default=MEMBERS, show_default=True)
def command(rev1: str, rev2: str | None, book_path: Path, form: str, members: int) -> None:
    """Compare what the methods compute to at REV1 and at REV2 (default: the files as they are now).

    Only methods whose numbers differ are computed: through their own card, or a pit, wrap, holder, cut or
    the book they refer to. A difference smaller than the spread of the cooks is said to be none. Ends with 1
    where REV2 has cards that do not pass the check.

    \b
    Examples:
      slowfolio diff
      slowfolio diff main --format markdown
      slowfolio diff HEAD~3 HEAD --format json
    """
    from slowfolio.changes.record import diff_record
    from slowfolio.changes.words import as_markdown, as_text
    from slowfolio.units import System

    root = find_root(book_path) if book_path.exists() else None
    if root is None:
        raise click.UsageError(f"{book_path} is no book: there is no book.yaml in it or above it")
    with _sides(root, rev1, rev2) as (before, after):
        change = _compared(before, after, members)
        reading = after.reading
        system = reading.book.card.units_first if reading.book is not None else System.US
    if form == "json":
        record = diff_record(change, members=members)
        click.echo(msgspec.json.format(msgspec.json.encode(record)).decode())
    else:
        click.echo(as_markdown(change, system) if form == "markdown" else as_text(change, system))
    if reading.errors:
        raise SystemExit(1)


@contextmanager
def _sides(root: Path, rev1: str, rev2: str | None) -> "Iterator[tuple[Side, Side]]":
    """Both states of the book, read from version control or, for the latter, from the folder."""
    from slowfolio.changes.revisions import NoHistory, repository_of
    from slowfolio.changes.sides import read_side

    with TemporaryDirectory(prefix="slowfolio-diff-") as scratch:
        try:
            repository = repository_of(root)
            before = read_side(rev1, _unpacked(repository.commit_of(rev1), Path(scratch) / "1", root))
            if rev2 is None:
                after = read_side(WORKING_TREE, root)
            else:
                after = read_side(rev2, _unpacked(repository.commit_of(rev2), Path(scratch) / "2", root))
        except NoHistory as error:
            raise click.ClickException(str(error)) from error
        yield before, after


def _unpacked(commit: str, folder: Path, root: Path) -> Path:
    from slowfolio.changes.revisions import repository_of

    repository = repository_of(root)
    repository.unpack(commit, folder, str(repository.book))
    return folder / repository.book


def _compared(before: "Side", after: "Side", members: int) -> "BookChange":
    from slowfolio.changes.sides import compare_sides
    from slowfolio.enrich.cache import Cache, default_folder

    return compare_sides(before, after, Cache(default_folder()), members=members)
