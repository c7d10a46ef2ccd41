"""The Holding page: pick a method and a holder, see how to set it, what that does, and for how long.

The choices and what the script says in words are laid out here; its figures are in `hold_data`. Without
JavaScript the page is a table of every method's own hold. `holding.html` lays it out.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass

from slowfolio.book.model import Book
from slowfolio.enrich.hold_words import HOUR_S, bottle_text, setting_texts, spray_text, window_text
from slowfolio.enrich.holds import MethodHolds
from slowfolio.forecast.hold_advice import (
    CARD_LIMIT,
    NEVER_WARM,
    NOTHING_TO_SET,
    OVER_SOFT_COLLAGEN,
    STAYS_SOFT,
    Advice,
    what_went_wrong,
)
from slowfolio.forecast.hold_table import HoldTable
from slowfolio.forecast.hold_window import ALLOWED_LOSS, opened_by
from slowfolio.physics.cabinet_course import Spray
from slowfolio.provenance import Figure, Provenance
from slowfolio.site.hold_section import AIR_SOURCE, table_source
from slowfolio.site.links import Link, Links, card_uri
from slowfolio.site.shown import Both, Note, Notes, Shown, Tag, shown
from slowfolio.units import System, format_duration, format_volume

HOLDING = "holding.md"
SYSTEMS = {"us": System.US, "metric": System.METRIC}
SPRAY_ML, SPRAY_MIN = (30, 60, 90, 120, 180, 240), (15, 20, 30, 45, 60, 90, 120)
"""What the page offers to be sprayed at a time, and how many minutes apart."""
MOST_LITRES = 12


@dataclass(frozen=True, slots=True)
class Choice:
    """One value of a choice."""

    value: str
    text: str


@dataclass(frozen=True, slots=True)
class HeldRow:
    """One method in its own holder, as its card asks."""

    method: Link
    holder: Link
    settings: tuple[Both, ...]
    window: str
    why_not: str
    humidity: Shown | None
    loss: Shown | None
    crispness: Shown | None
    coldest: Shown | None
    longest: Shown | None
    ended_by: str


@dataclass(frozen=True, slots=True)
class HoldingPage:
    """All that the page shows without its script, and the words of the script."""

    methods: tuple[Choice, ...]
    holders: tuple[Choice, ...]
    words: str
    sprays: tuple[Choice, ...]
    intervals: tuple[Choice, ...]
    rows: tuple[HeldRow, ...]
    air_tag: Tag
    piece_tag: Tag
    notes: tuple[Note, ...]


def holding_page(book: Book, holds: Mapping[str, MethodHolds], links: Links) -> HoldingPage:
    """Every method that is held, by title."""
    notes = Notes()
    held = sorted((book.methods[name] for name in holds), key=lambda method: method.title.casefold())
    air_tag = notes.tag(Provenance.COMPUTED, AIR_SOURCE)
    tables = [each.table for each in holds.values()]
    piece_source = table_source(tables[0]) if tables else "computed by this build"
    return HoldingPage(
        methods=tuple(Choice(method.id, method.title) for method in held),
        holders=tuple(
            Choice(holder.id, holder.title)
            for holder in sorted(book.holders.values(), key=lambda holder: holder.title.casefold())
        ),
        words=json.dumps(script_words(holds)),
        sprays=tuple(Choice(str(ml), _amount(ml)) for ml in SPRAY_ML),
        intervals=tuple(
            Choice(str(minutes), f"every {format_duration(60.0 * minutes)}") for minutes in SPRAY_MIN
        ),
        rows=tuple(row for method in held for row in _rows(book, holds[method.id], links, notes)),
        air_tag=air_tag,
        piece_tag=notes.tag(Provenance.COMPUTED, piece_source),
        notes=notes.listed(),
    )


def _amount(millilitres: int) -> str:
    us, metric = (format_volume(millilitres * 1e-6, system) for system in (System.US, System.METRIC))
    return f"{us} ({metric})"


def _rows(book: Book, holds: MethodHolds, links: Links, notes: Notes) -> list[HeldRow]:
    method = book.methods[holds.method]
    assert method.hold is not None
    own = [advice for advice in holds.advice if advice.holder == method.hold.holder]
    return [_row(book, advice, holds.table, links, notes) for advice in own]


def _row(book: Book, advice: Advice, table: HoldTable, links: Links, notes: Notes) -> HeldRow:
    method = book.methods[table.method]

    def piece(dimension: str, values: tuple[float, float, float] | None) -> Shown | None:
        if values is None:
            return None
        low, middle, high = values
        figure = Figure(middle, dimension, Provenance.COMPUTED, low, high, table_source(table))
        return shown(figure, notes)

    def single(dimension: str, value: float | None, source: str) -> Shown | None:
        return (
            None
            if value is None
            else shown(Figure(value, dimension, Provenance.COMPUTED, source=source), notes)
        )

    longest_s = None if advice.longest_h is None else advice.longest_h * HOUR_S
    return HeldRow(
        method=Link(method.title, links.href(HOLDING, card_uri("methods", method.id))),
        holder=Link(
            book.holders[advice.holder].title, links.href(HOLDING, card_uri("holders", advice.holder))
        ),
        settings=in_both(advice),
        window="; ".join(
            window_text(window, book) for window in advice.windows if window.wrap == advice.wrap
        ),
        why_not="" if advice.possible else advice.why_not,
        humidity=single("fraction", advice.humidity, AIR_SOURCE),
        loss=piece("fraction", advice.loss),
        crispness=piece("score", advice.crispness),
        coldest=piece("temperature", advice.coldest_c),
        longest=single("duration", longest_s, table_source(table)) if advice.longest_h else None,
        ended_by=advice.ended_by if advice.longest_h != 0.0 else f"not at all: {advice.ended_by}",
    )


def in_both(advice: Advice) -> tuple[Both, ...]:
    """The settings of an advice in both unit systems."""
    us, metric = (setting_texts(advice, system) for system in (System.US, System.METRIC))
    return tuple(Both(*pair) for pair in zip(us, metric, strict=True))


def spray_words() -> dict[str, dict[str, tuple[str, str]]]:
    """What a spray is called, by its millilitres and minutes, in both unit systems."""

    def said(millilitres: int, minutes: int) -> tuple[str, str]:
        spray = Spray(millilitres / 1000.0, 60.0 * minutes)
        return spray_text(spray, System.US), spray_text(spray, System.METRIC)

    return {str(ml): {str(minutes): said(ml, minutes) for minutes in SPRAY_MIN} for ml in SPRAY_ML}


def bottle_words(holds: Mapping[str, MethodHolds]) -> dict[str, dict[str, str]]:
    """How a box is made ready, by the litres that the page and the cards give it; the script says how hot."""
    usual = {each.bottle_litres for one in holds.values() for each in one.advice if each.bottle_litres}
    return {
        f"{litres:g}": {name: bottle_text(litres, "{at}", system) for name, system in SYSTEMS.items()}
        for litres in sorted({*map(float, range(MOST_LITRES + 1)), *usual})
    }


def script_words(holds: Mapping[str, MethodHolds]) -> dict[str, object]:
    """What the script says, in the words of the `hold` command wherever it has them."""
    return {
        "cold": opened_by([0.0], [], [1.0]),
        "soft": opened_by([0.0], [0.0], []),
        "dry": opened_by([], [0.0], [1.0]),
        "damp": opened_by([0.0], [1.0], [0.0]),
        "both": opened_by([1.0], [0.0], [0.0]),
        "ends": endings(),
        "box": "unheated, it stays above the floor for",
        "bottles": bottle_words(holds),
        "inside": "the air in it then stands at",
        "sprays": spray_words(),
        "swings": "It swings from {low} before a spray to {high} after it.",
        "load": "the piece is heavier than it holds",
        "most": "the most this holder reaches here is",
        "least": "with this piece in it the holder does not come below",
        "weak": "The elements may not keep the air this warm.",
        "nothing": f"{_sentence(NOTHING_TO_SET)}.",
        "missing": "The figures for this choice could not be loaded. Keep the site's folder whole.",
    }


def endings() -> dict[str, str]:
    """What ends a hold, by the script's own short names."""
    fine = {
        "loss": (0.0, 0.0, 0.0),
        "crispness": (100.0, 100.0, 100.0),
        "collagen": (0.0, 0.0, 0.0),
        "coldest_c": (80.0, 80.0, 80.0),
    }

    def said(*, fell: bool = False, **changed: float) -> str:
        state = fine | {name: (value, value, value) for name, value in changed.items()}
        return _sentence(what_went_wrong(state, fell=fell, crispness=1.0))

    return {
        "cold": said(fell=True),
        "loss": said(loss=2 * ALLOWED_LOSS),
        "crust": said(crispness=0.0),
        "soft": said(collagen=0.5 * (1.0 + OVER_SOFT_COLLAGEN)),
        "card": _sentence(CARD_LIMIT),
        "never": _sentence(NEVER_WARM),
        "stays": STAYS_SOFT,
    }


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]
