"""The page of all tastings: what each found, and how many tasters a tasting takes. With the design form.

The form's script reads the tables of `tasting_data`; without JavaScript the page is text and a table.
`tastings.html` lays it out.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from slowfolio.book.model import Book
from slowfolio.book.tasting_card import Tasting
from slowfolio.enrich.tasting_results import TastingResult
from slowfolio.site.links import Links, card_uri
from slowfolio.site.tasting_answers import verdict_words
from slowfolio.site.tasting_data import SizeRow, size_rows, words_of_form
from slowfolio.site.tasting_page import TASTINGS, day_text
from slowfolio.tasting.printed import SERVE_ALIKE
from slowfolio.tasting.sheets import REMINDERS

GRADES = (
    ("hint", "not blind, or the pieces were not served alike"),
    ("one cook", "blind and like with like, but each method was cooked once"),
    ("repeated", "the same with two cooks of each or more"),
    ("repeated and powered", "as well, 80 times in 100 it finds the difference that was named beforehand"),
)
"""The grades of evidence in words, weakest first; `slowfolio.tasting.evidence` gives them."""

WORKED_OUT = (
    (
        "Triangle, duo-trio, tetrad, pairs",
        "exact binomial against guessing; the share who can tell and d-prime with exact limits "
        "(ISO 4120, 10399, 5495); alike only if fewer than the share named can tell",
    ),
    (
        "Several sheets of one person",
        "beta-binomial, the person as the unit (Ennis & Bi 1998); refused where no such test exists",
    ),
    (
        "Preference",
        "exact, among those with a view; no preference is told and not split (ISO 5495)",
    ),
    (
        "Preferences in pairs",
        "Bradley–Terry strengths with ties (Davidson 1970); held by a prior, and said so, where wins do not "
        "connect all",
    ),
    (
        "Ranking",
        "Friedman, exact for small panels; pairs after it with Shaffer's correction; Page's test of an order "
        "named beforehand (ISO 8587)",
    ),
    (
        "Scores",
        "differences within tasters, permutation test, Student's interval; all comparisons corrected "
        "together (Holm, Bonferroni); over the cooks with the cook as the unit",
    ),
)
"""How each kind of tasting is analysed, in a line."""


@dataclass(frozen=True, slots=True)
class Listed:
    """One tasting in the list; `says` are the verdicts with how each came out."""

    title: str
    href: str
    day: str
    test: str
    grade: str
    invented: bool
    says: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class TastingsPage:
    """All that the page shows without its script, and the words of the script."""

    tastings: tuple[Listed, ...]
    grades: tuple[tuple[str, str], ...]
    worked_out: tuple[tuple[str, str], ...]
    sizes: tuple[SizeRow, ...]
    serve_alike: tuple[str, ...]
    reminders: tuple[str, ...]
    words: str


def tastings_page(book: Book, results: Mapping[str, TastingResult], links: Links) -> TastingsPage:
    """Every tasting, newest first."""
    newest = sorted(book.tastings.values(), key=lambda card: (-card.date.toordinal(), card.id))
    return TastingsPage(
        tastings=tuple(_listed(card, results.get(card.id), links) for card in newest),
        grades=GRADES,
        worked_out=WORKED_OUT,
        sizes=size_rows(),
        serve_alike=SERVE_ALIKE,
        reminders=REMINDERS,
        words=words_of_form(),
    )


def _listed(card: Tasting, result: TastingResult | None, links: Links) -> Listed:
    says: tuple[tuple[str, str], ...] = (("Not held yet", "No sheet has come in."),)
    if result is not None:
        says = tuple(verdict_words(one) for one in result.answers)
    return Listed(
        title=card.title,
        href=links.href(TASTINGS, card_uri("tastings", card.id)),
        day=day_text(card),
        test=card.test,
        grade=result.grade.value if result else "",
        invented=card.invented,
        says=says,
    )
