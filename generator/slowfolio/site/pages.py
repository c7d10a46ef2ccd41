"""The site as a value: a book and its computed results to a tuple of pages.

Pure: reads no file but the templates, imports nothing of the program that turns pages into a site. `plugin`
and `export` are the two adapters.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from types import MappingProxyType
from typing import TypeVar

from slowfolio.book.codes import Code
from slowfolio.book.model import Book, Cut, Holder, Method, Pit, Status, Wrap
from slowfolio.book.tasting_card import Tasting
from slowfolio.changes.feed import feed_text
from slowfolio.changes.history import History
from slowfolio.enrich.cooks import NO_COOKS, RecordedCook
from slowfolio.enrich.holds import MethodHolds
from slowfolio.enrich.results import MethodResult
from slowfolio.enrich.tasting_results import NO_TASTINGS, TastingResult
from slowfolio.forecast.carried import Carried
from slowfolio.physics.calibration import CONSTANTS, Calibration
from slowfolio.site.at_the_pit import AT_THE_PIT, at_the_pit_index, at_the_pit_page, at_the_pit_uri, cookable
from slowfolio.site.card_pages import (
    CUTS,
    EQUIPMENT,
    cut_page,
    cuts_index,
    equipment_index,
    holder_page,
    pit_page,
    wrap_page,
)
from slowfolio.site.changes_page import CHANGES, FEED, changes_page
from slowfolio.site.compare import COMPARE, compare_page
from slowfolio.site.cook_page import COOKS, cook_page, cooks_page
from slowfolio.site.finder import HOME, finder_page
from slowfolio.site.hold_data import data_files
from slowfolio.site.hold_grid import holder_grids
from slowfolio.site.holding_page import HOLDING, holding_page
from slowfolio.site.links import Links, card_uri, page_address
from slowfolio.site.method_page import method_page
from slowfolio.site.numbers_page import NUMBERS, numbers_page
from slowfolio.site.outline import outline
from slowfolio.site.pit_data import cook_data_files
from slowfolio.site.plan_data import plan_files
from slowfolio.site.plan_page import PLAN, plan_page
from slowfolio.site.print_card import print_card, print_card_uri
from slowfolio.site.qualities import Lead, leads
from slowfolio.site.reference_pages import Schema, checks_page, constants_page, fields_page
from slowfolio.site.render import render
from slowfolio.site.safety_page import SAFETY, safety_page
from slowfolio.site.tasting_data import data_file
from slowfolio.site.tasting_page import TASTINGS, tasting_page
from slowfolio.site.tastings_index import tastings_page
from slowfolio.site.trade_table import TRADE, trade_page
from slowfolio.site.value import PageSpec, Site
from slowfolio.site.whose import editable_file

FIELDS, CHECKS, CONSTANTS_TABLE = "fields.md", "checks.md", "constants.md"
HAND_WRITTEN = ("glossary.md", "contribute.md", "help.md")
NO_HOLDS: Mapping[str, MethodHolds] = MappingProxyType({})
NONE_CARRIED: Mapping[str, Carried] = MappingProxyType({})
BOOSTED, LOWERED, UNSEARCHED = 2.0, 0.3, 0.0
"""How methods stand before, and reference tables behind, other pages in a search; no printed card."""

Described = TypeVar("Described", Pit, Holder, Wrap, Cut)
NO_HISTORY = History()


@dataclass(frozen=True, slots=True)
class BuildInfo:
    """What a build knows beside the book: version, the schemas, and the findings a check can report."""

    version: str
    schemas: Mapping[str, Schema] = field(default_factory=dict)
    codes: tuple[Code, ...] = ()
    history: History = NO_HISTORY
    today: date = date.min


def build_site_value(
    book: Book,
    results: Mapping[str, MethodResult],
    build: BuildInfo,
    holds: Mapping[str, MethodHolds] = NO_HOLDS,
    carried: Mapping[str, Carried] = NONE_CARRIED,
    tastings: Mapping[str, TastingResult] = NO_TASTINGS,
    cooks: Mapping[str, RecordedCook] = NO_COOKS,
) -> Site:
    """The site of a book."""
    card = book.card
    grids = holder_grids(tuple(book.holders.values()), card, tuple(holds.values()))
    return Site(
        card.title,
        card.kitchen,
        card.units_first.value,
        build.version,
        build_pages(book, results, build, holds, tastings, carried, cooks),
        data_files(book, holds, grids)
        | plan_files(book, results)
        | cook_data_files(carried)
        | data_file()
        | {FEED: changes_feed(book, build.history)},
    )


def changes_feed(book: Book, history: History) -> str:
    """The recorded changes as a feed, beside their page."""
    card = book.card
    address = page_address(CHANGES)
    return feed_text(
        history,
        title=card.title,
        author=card.owner or card.kitchen,
        page=address,
        own=FEED,
        system=card.units_first,
    )


def build_pages(
    book: Book,
    results: Mapping[str, MethodResult],
    build: BuildInfo,
    holds: Mapping[str, MethodHolds] = NO_HOLDS,
    tastings: Mapping[str, TastingResult] = NO_TASTINGS,
    carried: Mapping[str, Carried] = NONE_CARRIED,
    cooks: Mapping[str, RecordedCook] = NO_COOKS,
) -> tuple[PageSpec, ...]:
    """All pages made from cards, schemas and results. A method without a result gets a page that says so."""
    links = Links.to(page_uris(book))
    pages = [_finder(book, results, links), _index(EQUIPMENT, book, links), _index(CUTS, book, links)]
    pages.append(_spec(COMPARE, "compare.html", compare_page(book, results, links), "Compare methods"))
    leading = leads(book, results)
    pages.append(_spec(PLAN, "plan.html", plan_page(book, results, links), "Plan"))
    changes = changes_page(book, tastings, build.history, build.today, links)
    pages.append(_spec(CHANGES, "changes.html", changes, "What changed"))
    pages.append(_spec(HOLDING, "holding.html", holding_page(book, holds, links), "Holding"))
    pages.append(_spec(SAFETY, "safety.html", safety_page(book, links), "Safety"))
    pages.append(_spec(TASTINGS, "tastings.html", tastings_page(book, tastings, links), "Tastings"))
    pages += [_tasting(book, card, tastings, links) for card in book.tastings.values()]
    pages += [
        _method(book, method, results, holds, leading, links, tastings, cooks)
        for method in book.methods.values()
    ]
    pages.append(_spec(COOKS, "cooks.html", cooks_page(book, cooks, links), "Cooks recorded"))
    pages += [
        _spec(
            card_uri("cooks", cook.id),
            "cook.html",
            cook_page(book, cook, cooks.get(cook.id), links),
            cook.title,
            "",
            editable_file(cook.origin),
            boost=LOWERED,
        )
        for cook in book.cooks.values()
    ]
    pages += [_print_card(book, method, results, holds, links) for method in printable(book)]
    pages.append(
        _spec(AT_THE_PIT, "at_the_pit.html", at_the_pit_index(book, links), "At the pit", boost=LOWERED)
    )
    pages += [_at_the_pit(book, method, results, carried, links) for method in cookable(book)]
    pages += _cards("pits", book, book.pits, pit_page, links)
    pages += _cards("holders", book, book.holders, holder_page, links)
    pages += _cards("wraps", book, book.wraps, wrap_page, links)
    pages += _cards("cuts", book, book.cuts, cut_page, links)
    pages.append(_spec(FIELDS, "fields.html", fields_page(build.schemas), "Field reference", boost=LOWERED))
    pages.append(
        _spec(CHECKS, "checks.html", checks_page(build.codes), "What a check can find", boost=LOWERED)
    )
    titles = {name: method.title for name, method in book.methods.items()}
    pages.append(
        _spec(NUMBERS, "numbers.html", numbers_page(build.version, titles, links), "How the numbers are made")
    )
    constants = constants_page(Calibration(), CONSTANTS)
    pages.append(_spec(CONSTANTS_TABLE, "constants.html", constants, "Calibrated constants", boost=LOWERED))
    trade = trade_page(book, results, holds, links)
    pages.append(_spec(TRADE, "trade.html", trade, "The trade and the computation", boost=LOWERED))
    return tuple(pages)


def page_uris(book: Book) -> tuple[str, ...]:
    """The source address of every page of the site, hand-written ones included."""
    cards = (
        *(card_uri("methods", card_id) for card_id in book.methods),
        *(print_card_uri(method) for method in printable(book)),
        *(at_the_pit_uri(method) for method in cookable(book)),
        AT_THE_PIT,
        *(card_uri("pits", card_id) for card_id in book.pits),
        *(card_uri("holders", card_id) for card_id in book.holders),
        *(card_uri("wraps", card_id) for card_id in book.wraps),
        *(card_uri("cuts", card_id) for card_id in book.cuts),
        *(card_uri("tastings", card_id) for card_id in book.tastings),
        *(card_uri("cooks", card_id) for card_id in book.cooks),
    )
    return (
        HOME,
        COMPARE,
        PLAN,
        HOLDING,
        CHANGES,
        SAFETY,
        NUMBERS,
        TASTINGS,
        COOKS,
        EQUIPMENT,
        CUTS,
        FIELDS,
        CHECKS,
        CONSTANTS_TABLE,
        TRADE,
        *HAND_WRITTEN,
        *cards,
    )


def _spec(
    uri: str,
    template: str,
    page: object,
    title: str,
    description: str = "",
    source_card: str = "",
    *,
    boost: float = 1.0,
) -> PageSpec:
    html = render(template, page)
    return PageSpec(uri, title, html, outline(html), " ".join(description.split()), source_card, boost)


def _finder(book: Book, results: Mapping[str, MethodResult], links: Links) -> PageSpec:
    page = finder_page(book, results, links)
    return _spec(HOME, "finder.html", page, "Methods", book.card.summary, book.card.origin.file)


def _index(uri: str, book: Book, links: Links) -> PageSpec:
    page = equipment_index(book, links) if uri == EQUIPMENT else cuts_index(book, links)
    return _spec(uri, "index_page.html", page, page.title, page.lede)


def _method(
    book: Book,
    method: Method,
    results: Mapping[str, MethodResult],
    holds: Mapping[str, MethodHolds],
    leading: Mapping[str, tuple[Lead, ...]],
    links: Links,
    tastings: Mapping[str, TastingResult],
    cooks: Mapping[str, RecordedCook],
) -> PageSpec:
    leads_of_cut = leading.get(method.cut, ())
    page = method_page(
        book, method, results.get(method.id), leads_of_cut, links, holds.get(method.id), tastings, cooks
    )
    return _spec(
        card_uri("methods", method.id),
        "method.html",
        page,
        method.title,
        method.choose_when,
        editable_file(method.origin),
        boost=BOOSTED,
    )


def _cards(
    kind: str,
    book: Book,
    cards: Mapping[str, Described],
    page: Callable[[Book, Described, Links], object],
    links: Links,
) -> list[PageSpec]:
    """The pages of all cards of one kind of equipment, or of the cuts."""
    return [
        _spec(
            card_uri(kind, card.id),
            "card.html",
            page(book, card, links),
            card.title,
            card.summary,
            editable_file(card.origin),
        )
        for card in cards.values()
    ]


def _tasting(book: Book, card: Tasting, results: Mapping[str, TastingResult], links: Links) -> PageSpec:
    page = tasting_page(book, card, results.get(card.id), links)
    return _spec(card_uri("tastings", card.id), "tasting.html", page, card.title, card.why, card.origin.file)


def printable(book: Book) -> tuple[Method, ...]:
    """The methods that get a card to pin up: all that are not withdrawn."""
    return tuple(method for method in book.methods.values() if method.status is not Status.WITHDRAWN)


def _print_card(
    book: Book,
    method: Method,
    results: Mapping[str, MethodResult],
    holds: Mapping[str, MethodHolds],
    links: Links,
) -> PageSpec:
    page = print_card(book, method, results.get(method.id), links, holds.get(method.id))
    uri, title = print_card_uri(method), f"Card: {method.title}"
    return _spec(uri, "print_card.html", page, title, "", editable_file(method.origin), boost=UNSEARCHED)


def _at_the_pit(
    book: Book,
    method: Method,
    results: Mapping[str, MethodResult],
    carried: Mapping[str, Carried],
    links: Links,
) -> PageSpec:
    page = at_the_pit_page(book, method, results.get(method.id), carried, links)
    title = f"At the pit: {method.title}"
    return _spec(
        at_the_pit_uri(method), "pit.html", page, title, "", editable_file(method.origin), boost=UNSEARCHED
    )
