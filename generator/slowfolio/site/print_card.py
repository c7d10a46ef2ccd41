"""One method on one small sheet, to be pinned up: what to set, what to look for, what not to do.

Chosen from the card and its result, cut to what one reads at the pit; nothing is computed but how large the
type can be. `print_card.html` lays it out, `card.css` gives it the size of half a letter sheet or A5.
"""

from dataclasses import dataclass, replace
from math import ceil

from slowfolio.book.model import Book, Hold, Method, Stage, Until
from slowfolio.enrich.holds import MethodHolds
from slowfolio.enrich.results import MethodResult
from slowfolio.enrich.step_cautions import MethodCautions, method_cautions
from slowfolio.forecast.authority import rules_of
from slowfolio.safety.verdict import DEFERENCE
from slowfolio.site.holding_page import in_both
from slowfolio.site.links import Links, card_uri
from slowfolio.site.shown import Both, Notes, Shown, both, same, shown
from slowfolio.site.whose import handled_around
from slowfolio.units import format_fraction

SIGNS, CAUTIONS = 2, 2
"""How many signs of a stage and cautions of a method a card prints: those that the author names first."""

FITS = (("large", 34), ("middle", 40), ("small", 43))
"""Type sizes and the lines of text that a card has room for at each (CALIBRATED on printed sheets)."""

LINE_LENGTH = {"large": 70, "middle": 79, "small": 88, "smallest": 100}
"""Characters on a line at each size (CALIBRATED on printed sheets)."""


@dataclass(frozen=True, slots=True)
class CardStage:
    """One stage: its name, what to set and when it ends, the first things to look for, what to mind."""

    name: str
    targets: tuple[Both, ...]
    signs: tuple[str, ...]
    mind: str


@dataclass(frozen=True, slots=True)
class PrintCard:
    """All that the sheet shows. `size` names the type size at which it fills one page at most."""

    title: str
    href: str
    standing: str
    revision: str
    piece: tuple[Both, ...]
    times: tuple[tuple[str, Shown], ...]
    stages: tuple[CardStage, ...]
    vent: tuple[Both, ...]
    hold: tuple[Both, ...]
    floor: Both
    citation: str
    allergens: tuple[str, ...]
    allergens_around: tuple[str, ...]
    mind_later: tuple[str, ...]
    cautions: tuple[str, ...]
    engine: str
    deference: str
    size: str


def print_card_uri(method: Method) -> str:
    """The source address of a method's card."""
    return card_uri("print", method.id)


def print_card(
    book: Book,
    method: Method,
    result: MethodResult | None,
    links: Links,
    holds: MethodHolds | None = None,
) -> PrintCard:
    """The sheet of one method. Without a result it carries the card's own targets and no times."""
    rules = rules_of(book.card)
    usual = method_cautions(method, book)
    mind = tuple(", ".join(one.short for one in step) for step in usual.steps)
    card = PrintCard(
        title=method.title,
        href=links.href(print_card_uri(method), card_uri("methods", method.id)),
        standing=method.status.value,
        revision=f"Revision {method.revision}, reviewed {method.reviewed.isoformat()}, "
        f"review by {method.review_by.isoformat()}. Owner: {method.owner}.",
        piece=_piece(book, method),
        times=_times(result) if result else (),
        stages=tuple(
            _stage(book, method, stage, words) for stage, words in zip(method.stages, mind, strict=False)
        ),
        vent=(*_until(method.vent.until), same(book.wraps[method.vent.wrap].title)) if method.vent else (),
        hold=_hold(book, method.hold, holds) if method.hold else (),
        floor=Both(f"{rules.hot_hold_min_f:g} °F", f"{round(rules.hot_hold_min_c, 1):g} °C"),
        citation=str(rules.hot_hold),
        allergens=method.allergens,
        allergens_around=handled_around(book, method),
        mind_later=mind[len(method.stages) :],
        cautions=_cautions(method, usual),
        engine=result.engine if result else "",
        deference=DEFERENCE,
        size="",
    )
    return replace(card, size=_size(card))


def _piece(book: Book, method: Method) -> tuple[Both, ...]:
    piece = method.piece
    start = both("temperature", piece.start_temp_c)
    thick = [both("length", piece.thickness_m)] if piece.thickness_m is not None else []
    return (
        same(book.cuts[method.cut].title),
        both("mass", piece.weight_kg),
        *(Both(f"{text.us} thick", f"{text.metric} thick") for text in thick),
        Both(f"from {start.us}", f"from {start.metric}"),
        same(f"on {book.pits[method.pit].title}, {method.fuel}"),
    )


def _times(result: MethodResult) -> tuple[tuple[str, Shown], ...]:
    """Off the pit, ready, served: with their spread; the sheet says once where they come from."""
    notes = Notes()
    named = (("Off the pit", result.pull), ("Ready", result.ready), ("Served", result.serve))
    rows = tuple((name, shown(figure, notes)) for name, figure in named)
    return rows if result.serve.value > result.ready.value else rows[:2]


def _stage(book: Book, method: Method, stage: Stage, mind: str) -> CardStage:
    pit = both("temperature", stage.pit_temp_c)
    where = f" on {book.pits[stage.pit].title}" if stage.pit is not None and stage.pit != method.pit else ""
    targets = [Both(f"pit {pit.us}{where}", f"pit {pit.metric}{where}"), *_until(stage.until)]
    targets.append(same(book.wraps[stage.wrap].title))
    targets += [same("water pan full")] if stage.water_pan else []
    if stage.spritz is not None:
        every, after = both("duration", stage.spritz.every_s), both("duration", stage.spritz.after_s)
        targets.append(same(f"spritz {stage.spritz.liquid} every {every.us} after {after.us}"))
    return CardStage(stage.name, tuple(targets), stage.look_for[:SIGNS], mind)


def _until(until: Until) -> tuple[Both, ...]:
    """What ends a stage, with its limits."""
    rows: list[Both] = []
    if until.time_s is not None:
        rows.append(same(f"for {both('duration', until.time_s).us}"))
    if until.core_temp_c is not None:
        core = both("temperature", until.core_temp_c)
        rows.append(Both(f"until the core reads {core.us}", f"until the core reads {core.metric}"))
    if until.probe_tender_from_c is not None:
        core = both("temperature", until.probe_tender_from_c)
        rows.append(
            Both(
                f"until probe tender, from {core.us} on",
                f"until probe tender, from {core.metric} on",
            )
        )
    if until.at_least_s is not None:
        rows.append(same(f"at least {both('duration', until.at_least_s).us}"))
    if until.at_most_s is not None:
        rows.append(same(f"at most {both('duration', until.at_most_s).us}"))
    return tuple(rows)


def _hold(book: Book, hold: Hold, holds: MethodHolds | None) -> tuple[Both, ...]:
    """How the holder is set, as on the method's page: the card's own air where no hold is computed."""
    holder = book.holders[hold.holder]
    air = both("temperature", hold.air_temp_c)
    rows = [same(holder.title)]
    advice = holds and next((each for each in holds.advice if each.holder == hold.holder), None)
    if advice and advice.possible:
        rows += [text for text in in_both(advice) if text.us != advice.setting_words]
    else:
        rows.append(Both(f"air {air.us}", f"air {air.metric}"))
    if advice and advice.humidity is not None and advice.set_humidity is None:
        rows.append(same(f"which gives {format_fraction(advice.humidity)} humidity"))
    rows.append(same(book.wraps[hold.wrap].title))
    rows.append(same(f"{both('duration', hold.for_s).us}, at most {both('duration', hold.at_most_s).us}"))
    return tuple(rows)


def _cautions(method: Method, usual: MethodCautions) -> tuple[str, ...]:
    """The method's own first, then those of its stages, then the usual ones."""
    all_of_them = [*method.cautions, *(text for stage in method.stages for text in stage.cautions)]
    all_of_them += [one.text for step in usual.steps for one in step]
    return tuple(dict.fromkeys(all_of_them))[:CAUTIONS]


# --- how large the type can be -----------------------------------------------------------------------


def _size(card: PrintCard) -> str:
    """The largest type at which the text takes no more lines than a sheet has."""
    for size, room in FITS:
        if _lines(card, LINE_LENGTH[size]) <= room:
            return size
    return "smallest"


def _lines(card: PrintCard, length: int) -> int:
    """Lines that the text takes at so many characters on a line, each block and sign on lines of its own."""
    blocks = [_joined(card.piece), _joined(card.vent), _joined(card.hold), card.revision, card.deference]
    blocks += [card.citation + " " * 60, ", ".join((*card.allergens, *card.allergens_around)) + " " * 60]
    blocks += [text for stage in card.stages for text in (_joined(stage.targets), *stage.signs)]
    blocks += [
        f"Caution: {words}" for words in (*(stage.mind for stage in card.stages), *card.mind_later) if words
    ]
    blocks += card.cautions
    title = 2 * ceil(len(card.title) / (length / 2))
    return title + 3 + len(card.stages) + sum(ceil(len(text) / length) for text in blocks)


def _joined(parts: tuple[Both, ...]) -> str:
    return ", ".join(max(part.us, part.metric, key=len) for part in parts)
