"""`slowfolio new`: a complete, commented card that has passed the check, from options or a few questions.

On a terminal whatever no option gives is asked; elsewhere it takes its stated default. Nothing is ever
written over.
"""

import re
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import Any, TypeVar

import click

from slowfolio.book.findings import did_you_mean
from slowfolio.book.model import Book
from slowfolio.cli.book_argument import read_book_or_exit
from slowfolio.cli.log import command as log
from slowfolio.cli.tasting import command as tasting

NO_HOLDER = "none"
Card = TypeVar("Card")
BOOK = click.option(
    "--book", "book_path", type=click.Path(path_type=Path), default="methods", show_default=True
)
ID = click.option("--id", "card_id", help="Name of the card and its file: lower-case, digits, hyphens.")
TITLE = click.option("--title", help="The name shown on pages.")
_ID_WORDS = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")


@click.group("new")
def command() -> None:
    """Start a new card: complete, commented, and already past the check.

    \b
    Examples:
      slowfolio new method
      slowfolio new method --cut pork-shoulder --pit pellet-pit --wrap paper-dry --holder dry-oven
      slowfolio new pit --like pellet-pit --id our-pellet-pit --title "Our pellet pit" --set volume="310 L"
    """


# --- methods ----------------------------------------------------------------------------------------


@command.command("method")
@click.option("--cut", help="Id of a cut card.")
@click.option("--pit", help="Id of a pit card.")
@click.option("--wrap", help="Id of a wrap card for the last stage.  [default: no wrap]")
@click.option("--holder", help="Id of a holder card, or none.  [default: none]")
@ID
@TITLE
@click.option("--owner", help="The role that answers for it.  [default: the book's owner]")
@click.option("--choose-when", help="When to choose this method, in a sentence.")
@BOOK
def method(
    cut: str | None,
    pit: str | None,
    wrap: str | None,
    holder: str | None,
    card_id: str | None,
    title: str | None,
    owner: str | None,
    choose_when: str | None,
    book_path: Path,
) -> None:
    """A method from a cut, a pit, a wrap and a holder.

    Stages, temperatures and hold are the trade's usual ones within what the equipment can do. The cook is
    computed, and rest, cover and hold are changed until the book's rules are met. The card is a draft.
    """
    book = read_book_or_exit(book_path)
    from slowfolio.drafts import method_words as words
    from slowfolio.drafts.card_text import card_text
    from slowfolio.drafts.choices import Choices
    from slowfolio.drafts.places import method_file, refuse_taken, schema_beside, write_new
    from slowfolio.drafts.trial import DraftRefused, draft_method

    the_cut = _chosen("cut", book.cuts, cut)
    the_pit = _chosen("pit", book.pits, pit)
    the_wrap = _chosen("wrap", book.wraps, wrap, _default_wrap(book))
    holders: dict[str, Any] = {NO_HOLDER: None, **book.holders}
    the_holder = _chosen("holder", holders, holder, NO_HOLDER)
    the_title = _told("Title", title, words.title(the_cut, the_wrap, the_holder))
    the_id = _checked_id(_told("Id", card_id, _free_id(book, f"{the_cut.id}-{the_wrap.id}")))
    choices = Choices(
        id=the_id,
        title=the_title,
        owner=_told("Owner (a role)", owner, book.card.owner),
        cut=the_cut,
        pit=the_pit,
        wrap=the_wrap,
        holder=the_holder,
        today=date.today(),
        system=book.card.units_first,
        choose_when=choose_when or "",
    )
    root = Path(book.root)
    file = method_file(book, the_cut, the_id)
    schema_at = schema_beside(root / file, "method")

    def write(data: Mapping[str, Any]) -> str:
        return card_text("method", data, schema_at=schema_at)

    with _refusals():
        refuse_taken(root, "method", file, book.methods)
        click.echo(f"trying {the_title}: the check, then the rules on its computed cook", err=True)
        try:
            draft = draft_method(
                choices,
                book,
                file,
                write,
                tell=lambda why: click.echo(f"  set aside: {why}", err=True),
            )
        except DraftRefused as error:
            raise click.ClickException(f"no card was written: {error}") from error
        path = write_new(root, file, draft.text)
    click.echo(f"wrote {path}")
    click.echo(f"next: open it, change what you do differently, then slowfolio simulate {the_id}")


def _default_wrap(book: Book) -> str | None:
    return next((wrap.id for wrap in book.wraps.values() if wrap.kind == "none"), None)


def _free_id(book: Book, wanted: str) -> str:
    names = (wanted, *(f"{wanted}-{number}" for number in range(2, 1000)))
    return next(name for name in names if name not in book.methods)


# --- equipment and cuts -----------------------------------------------------------------------------


def _equipment_command(kind: str, shelf: str, examples: str) -> click.Command:
    """The command for one kind of card that is taken over from one like it."""

    @click.command(
        kind, help=f"A {kind}, taken over from one like it with what differs written in.\n\n{examples}"
    )
    @click.option("--like", help=f"Id of the {kind} card it is most like.")
    @click.option(
        "--set",
        "settings",
        multiple=True,
        metavar="FIELD=TEXT",
        help="A field that differs, in the card's own words; may be repeated. Lists: items with ; between.",
    )
    @ID
    @TITLE
    @BOOK
    def run(
        like: str | None, settings: tuple[str, ...], card_id: str | None, title: str | None, book_path: Path
    ) -> None:
        book = read_book_or_exit(book_path)
        _new_equipment(kind, book, getattr(book, shelf), like, settings, card_id, title)

    return run


def _new_equipment(
    kind: str,
    book: Book,
    cards: Mapping[str, Any],
    like: str | None,
    settings: tuple[str, ...],
    card_id: str | None,
    title: str | None,
) -> None:
    from slowfolio.drafts.card_text import card_text
    from slowfolio.drafts.equipment_draft import UnknownField, equipment_data
    from slowfolio.drafts.places import card_file, refuse_taken, schema_beside, write_new
    from slowfolio.drafts.trial import card_data, findings_on, read_with

    source = _chosen(kind, cards, like, option="--like")
    the_title = _told("Title", title, f"Our {source.title.lower()}")
    the_id = _checked_id(_told("Id", card_id, f"our-{source.id}"))
    changes = dict(_setting(text) for text in settings)
    if "summary" not in changes and _asks():
        changes["summary"] = _told("Summary", None, source.summary)
    root, file = Path(book.root), card_file(kind, the_id)
    with _refusals():
        refuse_taken(root, kind, file, cards)
        try:
            data = equipment_data(
                kind, card_data(kind, book, source), card_id=the_id, title=the_title, changes=changes
            )
        except UnknownField as error:
            raise click.UsageError(str(error)) from error
        text = card_text(kind, data, schema_at=schema_beside(root / file, kind))
        found = findings_on(file, read_with(book, file, text, date.today()))
        if found:
            reasons = "\n".join(f"  {each.message}; {each.help}" for each in found)
            raise click.ClickException(f"no card was written, for it would not pass the check:\n{reasons}")
        path = write_new(root, file, text)
    click.echo(f"wrote {path}")
    click.echo(f"next: open it and put in your own figures; every one taken over from {source.id} says so")


for _kind, _shelf, _examples in (
    (
        "pit",
        "pits",
        'slowfolio new pit --like pellet-pit --id our-pit --title "Our pit" --set volume="310 L"',
    ),
    (
        "holder",
        "holders",
        'slowfolio new holder --like dry-oven --id bakery-oven --set air_temperature="120–450 °F"',
    ),
    ("wrap", "wraps", 'slowfolio new wrap --like paper-dry --id parchment --title "Baking parchment"'),
    (
        "cut",
        "cuts",
        'slowfolio new cut --like chuck-roll --id clod --title "Shoulder clod" --set weight="13–21 lb"',
    ),
):
    command.add_command(_equipment_command(_kind, _shelf, _examples))


def _tasting_command() -> click.Command:
    """A tasting is designed before it is a card: the design's options, and a card in any case."""
    design = tasting.commands["design"]

    def run(**given: Any) -> None:
        if given["card_path"] is None:
            names = "-".join(name.partition("=")[0] for name in given["products"])
            stem = re.sub(r"[^a-z0-9]+", "-", f"{given['question']}-{names}".lower()).strip("-")
            folder = Path("methods", "tastings")
            if folder.parent.is_dir():
                folder.mkdir(exist_ok=True)
            given["card_path"] = folder / f"{stem}.yaml"
        click.get_current_context().invoke(design, **given)
        click.echo(f"wrote {given['card_path']}", err=True)

    return click.Command(
        "tasting",
        params=design.params,
        callback=run,
        help="A tasting to fill in: test, tasters, orders, codes and sheets, and its card.\n\n\b\n"
        "Example:\n"
        "  slowfolio new tasting --question differ --product boat=foil-boat-dry-hold"
        " --product paper=butcher-paper",
    )


command.add_command(_tasting_command())
command.add_command(log.commands["import"], "cook")
"""A recorded cook begins with its log."""


def _setting(text: str) -> tuple[str, str]:
    name, equals, value = text.partition("=")
    if not equals or not name.strip() or not value.strip():
        raise click.UsageError(f'--set takes a field and its text, such as volume="310 L", not {text!r}')
    return name.strip(), value.strip()


# --- questions --------------------------------------------------------------------------------------


def _asks() -> bool:
    """Whether there is someone to ask."""
    return sys.stdin.isatty()


def _chosen(
    kind: str, cards: Mapping[str, Card], given: str | None, default: str | None = None, *, option: str = ""
) -> Card:
    """The card of an id that was given, is asked for, or is the default."""
    name = given
    if name is None and _asks():
        click.echo(f"{kind}s: {', '.join(sorted(cards))}", err=True)
        name = click.prompt(
            kind.capitalize(), default=default, err=True, value_proc=lambda text: _known(kind, cards, text)
        )
    name = default if name is None else name
    if name is None:
        raise click.UsageError(f"say which {kind} with {option or f'--{kind}'}: {', '.join(sorted(cards))}")
    return cards[_known(kind, cards, name)]


def _known(kind: str, cards: Mapping[str, Any], text: str) -> str:
    if text not in cards:
        raise click.UsageError(f"no {kind} {text!r} in this book; {did_you_mean(text, sorted(cards))}")
    return text


def _told(words: str, given: str | None, default: str) -> str:
    """A text that was given, is asked for, or is the default."""
    if given is not None:
        return given
    answer: str = click.prompt(words, default=default, err=True) if _asks() else default
    return answer


def _checked_id(text: str) -> str:
    if not _ID_WORDS.fullmatch(text) or len(text) > 80:
        raise click.UsageError(
            f"{text!r} is no id: write lower-case letters, digits and hyphens, as in our-pit"
        )
    return text


@contextmanager
def _refusals() -> Iterator[None]:
    """Turn what keeps a card from being written into a clear end of the command."""
    from slowfolio.drafts.places import CardExists

    try:
        yield
    except CardExists as error:
        raise click.ClickException(str(error)) from error
    except OSError as error:
        raise click.ClickException(f"the card cannot be written: {error}") from error
