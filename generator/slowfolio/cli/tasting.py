"""`slowfolio tasting design` and `slowfolio tasting analyse`: before and after a tasting."""

import secrets
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click
import msgspec

from slowfolio.book.findings import close_match
from slowfolio.book.single import CardNotReady, read_tasting
from slowfolio.book.tasting_card import Tasting
from slowfolio.cli.book_argument import read_book_or_exit
from slowfolio.cli.quantity import DURATION, FRACTION, LENGTH, TEMPERATURE

if TYPE_CHECKING:
    from slowfolio.enrich.tasting_design import Design

QUESTIONS = ("differ", "swap", "more", "preferred", "order", "how-much")
TESTS = (
    "triangle", "duo-trio", "tetrad", "paired comparison", "paired preference", "preferences in pairs",
    "ranking", "scores",
)  # fmt: skip
ATTRIBUTES = ("bark", "rendering", "juiciness of flat", "juiciness of point", "tenderness", "smoke", "liking")
PRINTED = ("all", "plan", "tasters", "carver")
LARGEST_DRAWN_SEED = 10**9


class Words(click.ParamType[str]):
    """One of a few phrases, with hyphens or spaces between the words."""

    def __init__(self, name: str, phrases: tuple[str, ...]) -> None:
        self.name = name
        self._phrases = phrases

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> str:
        """Return the phrase that is meant, or fail with the list of them."""
        asked = str(value).replace("-", " ").casefold()
        meant = [phrase for phrase in self._phrases if phrase.replace("-", " ") == asked]
        if meant:
            return meant[0]
        return self.fail(f"{value!r} is no {self.name}; write one of: {', '.join(self._phrases)}", param, ctx)


@click.group("tasting")
def command() -> None:
    """Design a tasting, or analyse one."""


@command.command("design")
@click.option("--question", type=Words("question", QUESTIONS), required=True, help=f"{', '.join(QUESTIONS)}.")
@click.option(
    "--product", "products", multiple=True, required=True, metavar="NAME[=METHOD]", help="Give two or more."
)
@click.option("--test", type=Words("test", TESTS), help=f"{', '.join(TESTS)}.  [default: what suits best]")
@click.option(
    "--attribute", "attributes", multiple=True, type=Words("attribute", ATTRIBUTES), help="What is asked."
)
@click.option("--expected-more", help="The product said beforehand to have more: tests one direction only.")
@click.option(
    "--order-expected", is_flag=True, help="The products are named as they are expected, first to last."
)
@click.option("--tasters", type=click.IntRange(1, 500), help="[default: as many as the power asks for]")
@click.option("--power", type=click.FloatRange(1, 99.9), default=80.0, show_default=True, help="Per cent.")
@click.option("--alpha", type=FRACTION, default="5 %", show_default=True, help="Chance of a false alarm.")
@click.option("--telling", type=FRACTION, help="Looked for: share of eaters who can tell.  [default: 40 %]")
@click.option("--preferring", type=FRACTION, help="Looked for: share who prefer one.  [default: 70 %]")
@click.option("--points", type=float, help="Looked for: difference of scores.  [default: 1]")
@click.option("--spread", type=float, help="Spread of tasters' differences, points.  [default: 2]")
@click.option("--d-prime", type=float, help="Looked for: from first to last of a ranking.  [default: 1.5]")
@click.option(
    "--smoke-lingers", is_flag=True, help="One piece hides the next: choose a test that suffers least."
)
@click.option(
    "--pieces", type=click.IntRange(2, 12), default=6, show_default=True, help="At most, each taster."
)
@click.option("--seed", type=click.IntRange(0, 2**53 - 1), help="[default: drawn by lot, and printed]")
@click.option("--part", default="flat", show_default=True, help="Part of the piece that is served, of all.")
@click.option(
    "--slice", "slice_m", type=LENGTH, default="8 mm", show_default=True, help="Thickness of slices."
)
@click.option(
    "--length", "length_m", type=LENGTH, help="Of the part: places every slice on the carver's sheet."
)
@click.option(
    "--discard", "discard_m", type=LENGTH, default="30 mm", show_default=True, help="Left at each end."
)
@click.option(
    "--across", type=click.IntRange(1, 50), default=4, show_default=True, help="Pieces from one slice."
)
@click.option("--held", "held_s", type=DURATION, default="4 h", show_default=True, help="Of all products.")
@click.option(
    "--served-at", "served_c", type=TEMPERATURE, default="140 °F", show_default=True, help="Of all."
)
@click.option(
    "--cooked", type=click.IntRange(1, 99), default=1, show_default=True, help="Cooks of each method."
)
@click.option("--print", "printed", type=Words("part", PRINTED), default="all", show_default=True)
@click.option(
    "--card", "card_path", type=click.Path(path_type=Path, dir_okay=False), help="Write a card to fill in."
)
@click.option(
    "--json", "as_json", is_flag=True, help="Print JSON; see schema/output/tasting-design.schema.json."
)
def design(
    question: str,
    products: tuple[str, ...],
    test: str | None,
    attributes: tuple[str, ...],
    expected_more: str | None,
    order_expected: bool,
    tasters: int | None,
    power: float,
    alpha: float,
    telling: float | None,
    preferring: float | None,
    points: float | None,
    spread: float | None,
    d_prime: float | None,
    smoke_lingers: bool,
    pieces: int,
    seed: int | None,
    part: str,
    slice_m: float,
    length_m: float | None,
    discard_m: float,
    across: int,
    held_s: float,
    served_c: float,
    cooked: int,
    printed: str,
    card_path: Path | None,
    as_json: bool,
) -> None:
    """Lay out a tasting: which test, how many tasters, who gets what, the sheets and the key.

    \b
    Examples:
      slowfolio tasting design --question differ --product boat --product paper
      slowfolio tasting design --question more --attribute smoke --product boat --product paper --tasters 24
      slowfolio tasting design --question how-much --product boat=foil-boat-humid-hold \\
        --product paper=butcher-paper --attribute bark --card methods/tastings/bark-in-two-wraps.yaml
    """
    from slowfolio.drafts.card_text import commented
    from slowfolio.drafts.places import schema_beside
    from slowfolio.enrich.tasting_card_text import ServedAs, card_text
    from slowfolio.enrich.tasting_design import SCORED, Part, Sought, Wanted, design_tasting
    from slowfolio.tasting.design_record import design_record
    from slowfolio.tasting.errors import TastingInputError
    from slowfolio.tasting.protocols import Sides
    from slowfolio.tasting.question import CarryOver

    names, methods = named_products(products, expected_more)
    if card_path is not None and not all(methods):
        raise click.UsageError("--card needs the method of each product: --product boat=foil-boat-humid-hold")
    if order_expected and question != "order":
        raise click.UsageError("--order-expected goes with the question order")
    wanted = Wanted(
        question=question.replace("-", " "),
        products=names,
        seed=secrets.randbelow(LARGEST_DRAWN_SEED) if seed is None else seed,
        test=test or "",
        attributes=attributes,
        sides=Sides.TWO if expected_more is None else Sides.ONE,
        tasters=tasters,
        power=power / 100.0,
        alpha=alpha,
        sought=Sought(telling, preferring, points, spread, d_prime),
        carry_over=CarryOver.STRONG if smoke_lingers else CarryOver.SLIGHT,
        pieces=pieces,
        part=None if length_m is None else Part(part, length_m, discard_m, slice_m, across),
    )
    try:
        made = design_tasting(wanted)
    except TastingInputError as error:
        raise click.UsageError(str(error)) from error
    if card_path is not None:
        text = card_text(
            made.plan,
            card_id=card_path.stem,
            methods=methods,
            served=ServedAs(part, slice_m, held_s, served_c, cooked),
            attributes=attributes or SCORED,
            day=date.today(),
            expected_order=names if order_expected else (),
        )
        write_card(card_path, commented("tasting", text, schema_at=schema_beside(card_path, "tasting")))
    if as_json:
        record = design_record(made.plan, made.sheets, made.carving)
        click.echo(msgspec.json.format(msgspec.json.encode(record)).decode())
    else:
        click.echo(printed_part(made, printed))


def printed_part(made: "Design", part: str) -> str:
    """The part of a design that is asked for, as text."""
    from slowfolio.tasting.printed import carver_lines, design_lines, taster_lines, whole_text

    if part == "plan":
        return "\n".join(design_lines(made.plan))
    if part == "tasters":
        return "\n".join(line for sheet in made.sheets for line in taster_lines(made.plan, sheet))
    if part == "carver":
        return "\n".join(carver_lines(made.plan, made.carving))
    return whole_text(made.plan, made.sheets, made.carving)


def named_products(
    products: tuple[str, ...], expected_more: str | None
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Names and method ids (empty where not given); a product expected to have more comes last."""
    split = [product.partition("=") for product in products]
    pairs = [(name.strip(), method.strip()) for name, _, method in split]
    if expected_more is not None:
        if expected_more not in [name for name, _ in pairs]:
            raise click.UsageError(f"--expected-more {expected_more!r} is none of the products")
        pairs.sort(key=lambda pair: pair[0] == expected_more)
    return tuple(name for name, _ in pairs), tuple(method for _, method in pairs)


def write_card(path: Path, text: str) -> None:
    """Write a new card; one that is there is never overwritten."""
    if path.suffix != ".yaml":
        raise click.UsageError(f"{path}: a card's file name ends in .yaml")
    try:
        with path.open("x", encoding="utf-8") as file:
            file.write(text)
    except FileExistsError as error:
        raise click.UsageError(f"{path} is there already; name another file") from error
    except OSError as error:
        raise click.UsageError(f"cannot write {path}: {error.strerror or error}") from error


@command.command("analyse")
@click.argument("what", metavar="FILE|ID")
@click.option("--book", "book_path", type=click.Path(path_type=Path), default="methods", show_default=True)
@click.option(
    "--json", "as_json", is_flag=True, help="Print JSON; see schema/output/tasting-analysis.schema.json."
)
def analyse_command(what: str, book_path: Path, as_json: bool) -> None:
    """Say what a tasting found, with its uncertainty, and no more than that.

    FILE is a tasting card; ID the id of one in the book. Ends with 1 where the card has errors, with 2 where
    there is no such tasting or nothing to analyse.

    \b
    Examples:
      slowfolio tasting analyse boat-or-paper-triangle
      slowfolio tasting analyse mine.yaml --json
    """
    from slowfolio.enrich.tasting_analysis import analyse
    from slowfolio.enrich.tasting_record import analysis_lines, analysis_record

    card = tasting_of(what, book_path)
    if not card.sheets:
        raise click.UsageError(f"{card.id} has no results yet: write down the sheets, then analyse")
    result = analyse(card)
    if result.refused:
        raise click.UsageError(f"{card.id}: {result.refused}")
    if as_json:
        click.echo(msgspec.json.format(msgspec.json.encode(analysis_record(card, result))).decode())
    else:
        click.echo("\n".join(analysis_lines(card, result)))


def tasting_of(what: str, book_path: Path) -> Tasting:
    """The tasting of a file, or of an id in the book."""
    path = Path(what)
    if path.suffix == ".yaml" or path.is_file():
        try:
            return read_tasting(path)
        except CardNotReady as error:
            lines = [
                f"  {one.file}:{one.mark.line}:{one.mark.column}: {one.message} ({one.help})"
                for one in error.findings
            ]
            raise click.ClickException("\n".join(["the card has errors:", *lines])) from error
        except OSError as error:
            raise click.UsageError(f"cannot read {what}: {error.strerror or error}") from error
    book = read_book_or_exit(book_path)
    if what in book.tastings:
        return book.tastings[what]
    meant = close_match(what, book.tastings)
    known = ", ".join(sorted(book.tastings)) or "none"
    advice = f"did you mean {meant}?" if meant else f"it has {known}"
    raise click.UsageError(f"no tasting {what!r} in this book; {advice}")
