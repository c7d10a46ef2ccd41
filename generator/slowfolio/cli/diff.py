"""`slowfolio diff`: what a change does to the computed outcome of every method it touches."""

from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

import click
import msgspec

from slowfolio.book.files import find_root
from slowfolio.cli.waiting import progress_bar
from slowfolio.enrich.pipeline import MEMBERS

if TYPE_CHECKING:
    from slowfolio.changes.compare import BookChange
    from slowfolio.changes.sides import Side

WORKING_TREE = "the working tree"


@click.command("diff")
@click.argument("rev1", required=False)
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
@click.option(
    "--base",
    "bases",
    nargs=2,
    metavar="OLD NEW",
    help="Compare the book as it is now on two bases: folders, or shared.",
)
@click.option("--members", type=click.IntRange(2, 4096), default=MEMBERS, show_default=True)
def command(
    rev1: str | None,
    rev2: str | None,
    book_path: Path,
    form: str,
    bases: tuple[str, str] | None,
    members: int,
) -> None:
    """Compare what the methods compute to at REV1 (default HEAD) and at REV2 (default: the files as now).

    Only methods whose numbers differ are computed: through their own card, or a pit, wrap, holder, cut or
    the book they refer to. A difference smaller than the spread of the cooks is said to be none. Ends with 1
    where REV2 has cards that do not pass the check.

    Where the checkout holds the program too and its model differs, every method is touched through it, and
    each side is computed by its own program: that code runs here.

    \b
    Examples:
      slowfolio diff
      slowfolio diff main --format markdown
      slowfolio diff HEAD~3 HEAD --format json
      slowfolio diff --base shared ../newer-book/methods
    """
    from slowfolio.changes.record import diff_record
    from slowfolio.changes.words import as_markdown, as_text
    from slowfolio.units import System

    root = find_root(book_path) if book_path.exists() else None
    if root is None:
        raise click.UsageError(f"{book_path} is no book: there is no book.yaml in it or above it")
    if bases is not None and (rev1 is not None or rev2 is not None):
        raise click.UsageError("--base compares the book as it is now on two bases; leave the revisions out")
    states = nullcontext(_bases(root, bases)) if bases is not None else _sides(root, rev1 or "HEAD", rev2)
    with states as (before, after):
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
    from slowfolio.changes.snapshots import checkout_side, whole_side_at

    with TemporaryDirectory(prefix="slowfolio-diff-") as scratch:
        try:
            repository = repository_of(root)
            before = whole_side_at(repository, rev1, Path(scratch) / "1")
            if rev2 is None:
                after = checkout_side(repository, WORKING_TREE, root)
            else:
                after = whole_side_at(repository, rev2, Path(scratch) / "2")
        except NoHistory as error:
            raise click.ClickException(str(error)) from error
        yield before, after


def _bases(root: Path, names: tuple[str, str]) -> "tuple[Side, Side]":
    """The book as it is now on two bases."""
    from slowfolio.book.base import SHARED, NoBase, base_folder
    from slowfolio.changes.sides import read_side

    folders = []
    for name in names:
        try:
            folders.append(base_folder(root, name if name == SHARED else str(Path(name).absolute())))
        except NoBase as error:
            raise click.UsageError(f"--base: {error}") from error
    before, after = (read_side(f"on {name}", root, base=at) for name, at in zip(names, folders, strict=True))
    if before.reading.book is not None and before.book.card.base is None:
        raise click.UsageError(f"{root} stands on no base; --base compares two bases of a book that does")
    return before, after


def _compared(before: "Side", after: "Side", members: int) -> "BookChange":
    from slowfolio.changes.compare import compare_sides
    from slowfolio.enrich.cache import Cache, default_folder

    with progress_bar() as tell:
        return compare_sides(before, after, Cache(default_folder()), members=members, tell=tell)
