"""The finder, first page of the site: every method in one list, with what narrows and orders it.

Built as a plain list that reads without JavaScript; `finder.js` narrows it and `finder-order.js` orders it
by the values that each entry carries. `finder.html` lays it out.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import ceil

from markupsafe import Markup

from slowfolio.book.model import Book, Method, Status
from slowfolio.enrich.results import MethodResult
from slowfolio.provenance import Figure
from slowfolio.safety.thermometer import boiling_point_at_c
from slowfolio.site.charts.bars import hours_bar, score_bar
from slowfolio.site.links import Links, card_uri
from slowfolio.site.priorities import HANDLING_COUNTS, PRIORITIES, WEIGHTS, Priority
from slowfolio.site.shown import COUNT, Both, Note, Notes, Shown, as_said, both, shown

HOME = "index.md"
HOUR_S = 3600.0
SHOWN_SCORES = ("bark", "rendering", "juiciness", "smoke")
LIMITS_H = (6, 8, 10, 12, 14, 16, 18, 24, 30, 36)
HOLDS_H = (2, 4, 6, 8, 10, 12, 14, 18, 24)
FOOT_M = 0.3048
HEIGHTS_M = (500, 1000, 1500, 2000, 2500, 3000, 3500, 4000)


@dataclass(frozen=True, slots=True)
class Choice:
    """One value of a facet."""

    value: str
    text: str


@dataclass(frozen=True, slots=True)
class Facet:
    """One way to narrow the list. `among` before a choice, or `none`, says which methods are left."""

    name: str
    label: str
    choices: tuple[Choice, ...]
    among: str
    none: str = ""


@dataclass(frozen=True, slots=True)
class Matter:
    """One thing that can matter: its control, and the words that the script says of who leads."""

    key: str
    label: str
    name: str
    most: str
    better: str


@dataclass(frozen=True, slots=True)
class ScoreBar:
    """A quality with its bar and number."""

    name: str
    bar: Markup
    score: Shown


@dataclass(frozen=True, slots=True)
class Entry:
    """One method in the list. `data` becomes the attributes that the script reads."""

    title: str
    href: str
    choose_when: str
    status: str
    parts: tuple[str, ...]
    serve: Shown | None
    hold: str
    hours: Markup
    scores: tuple[ScoreBar, ...]
    data: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class FinderPage:
    """All that the finder shows."""

    title: str
    summary: str
    facets: tuple[Facet, ...]
    limits: tuple[Choice, ...]
    holds: tuple[Choice, ...]
    heights: tuple[Choice, ...]
    own_height: Both
    matters: tuple[Matter, ...]
    weights: tuple[Choice, ...]
    handling: str
    entries: tuple[Entry, ...]
    axis: str
    notes: tuple[Note, ...]


def finder_page(book: Book, results: Mapping[str, MethodResult], links: Links) -> FinderPage:
    """Build the finder for all methods of the book, in the order of their titles."""
    notes = Notes()
    methods = sorted(book.methods.values(), key=_place)
    most_h = _most_hours(results.values())
    entries = tuple(_entry(book, method, results.get(method.id), links, notes, most_h) for method in methods)
    hours = [result.serve.high or result.serve.value for result in results.values()]
    return FinderPage(
        title=book.card.title,
        summary=book.card.summary,
        facets=_facets(book, methods),
        limits=_limits(hours),
        holds=_holds(methods),
        heights=_heights(methods),
        own_height=both("altitude", book.card.altitude_m),
        matters=tuple(_matter(priority) for priority in PRIORITIES) if hours else (),
        weights=tuple(Choice(value, text) for value, text in WEIGHTS),
        handling=HANDLING_COUNTS,
        entries=entries,
        axis=f"Rule from 0 to {most_h:.0f} h. Thick stretch: 8 cooks in 10. Open stretch: the hold."
        if hours
        else "",
        notes=notes.listed(),
    )


def _place(method: Method) -> tuple[bool, str, str]:
    """By title, withdrawn methods last."""
    return method.status is Status.WITHDRAWN, method.title.casefold(), method.id


def _most_hours(results: Iterable[MethodResult]) -> float:
    """The end of the rule of hours that all methods share, a multiple of six."""
    longest = max((result.serve.high or result.serve.value for result in results), default=6 * HOUR_S)
    return ceil(longest / HOUR_S / 6) * 6.0


def _limits(serve_s: Sequence[float]) -> tuple[Choice, ...]:
    """The times on offer: those that at least one method meets and that leave at least one out."""
    if not serve_s:
        return ()
    low, high = min(serve_s) / HOUR_S, max(serve_s) / HOUR_S
    return tuple(Choice(str(hours), f"{hours} h") for hours in LIMITS_H if low <= hours < high)


def _holds(methods: Sequence[Method]) -> tuple[Choice, ...]:
    """The holds on offer: those that at least one method allows and at least one does not."""
    longest = [method.hold.at_most_s / HOUR_S if method.hold else 0.0 for method in methods]
    if not longest:
        return ()
    return tuple(
        Choice(str(hours), f"{hours} h") for hours in HOLDS_H if min(longest) < hours <= max(longest)
    )


def _heights(methods: Sequence[Method]) -> tuple[Choice, ...]:
    """The heights on offer: those at which at least one method works and at least one does not."""
    highest = [height for method in methods if (height := highest_place_m(method)) is not None]
    if not highest:
        return ()
    return tuple(
        Choice(str(height), f"{height} m ({round(height / FOOT_M, -2):.0f} ft)")
        for height in HEIGHTS_M
        if min(highest) < height and (len(highest) < len(methods) or height <= max(highest))
    )


def highest_place_m(method: Method) -> int | None:
    """The highest of `HEIGHTS_M` where water boils above every core target of the card, 0 where none is.

    No core gets hotter than water boils: higher up such a target is never read. None for a card without one.
    """
    targets = [
        target
        for stage in method.stages
        for target in (stage.until.core_temp_c, stage.until.probe_tender_from_c)
        if target is not None
    ]
    if not targets:
        return None
    return max((height for height in HEIGHTS_M if boiling_point_at_c(height) > max(targets)), default=0)


def _matter(priority: Priority) -> Matter:
    quality = priority.quality
    return Matter(quality.key, priority.label, quality.name, quality.most.lower(), quality.better.value)


def _facets(book: Book, methods: Sequence[Method]) -> tuple[Facet, ...]:
    """Facets with the values that the methods of the book use."""
    pits = {pit for method in methods for pit in _pits(method)}
    wraps = {wrap for method in methods for wrap in _wraps(book, method)}
    holders = {method.hold.holder for method in methods if method.hold is not None}
    without = [Choice("none", "No hold")] if any(method.hold is None for method in methods) else []
    bare = [Choice("none", "Not wrapped")] if any(not _wraps(book, method) for method in methods) else []
    statuses = dict.fromkeys(method.status.value for method in methods)
    return (
        Facet("cut", "Cut", _choices({m.cut: book.cuts[m.cut].title for m in methods}), "of"),
        Facet(
            "wrap",
            "Wrap",
            (*bare, *_choices({wrap: book.wraps[wrap].title for wrap in wraps})),
            "in",
            "not wrapped",
        ),
        Facet("pit", "Pit", _choices({pit: book.pits[pit].title for pit in pits}), "on"),
        Facet(
            "holder",
            "Holder",
            (*without, *_choices({h: book.holders[h].title for h in holders})),
            "held in",
            "without a hold",
        ),
        Facet(
            "status",
            "Standing",
            tuple(Choice(status.replace(" ", "-"), status.capitalize()) for status in statuses),
            "with the standing",
        ),
    )


def _choices(titles: Mapping[str, str]) -> tuple[Choice, ...]:
    return tuple(
        Choice(value, text) for value, text in sorted(titles.items(), key=lambda pair: pair[1].casefold())
    )


def _pits(method: Method) -> tuple[str, ...]:
    return tuple(dict.fromkeys([method.pit, *(stage.pit for stage in method.stages if stage.pit)]))


def _wraps(book: Book, method: Method) -> tuple[str, ...]:
    used = dict.fromkeys(stage.wrap for stage in method.stages)
    return tuple(wrap for wrap in used if book.wraps[wrap].kind != "none")


def _entry(
    book: Book, method: Method, result: MethodResult | None, links: Links, notes: Notes, most_h: float
) -> Entry:
    wraps = _wraps(book, method)
    hold = method.hold
    parts = [book.cuts[method.cut].title]
    parts += [book.pits[pit].title for pit in _pits(method)]
    parts += [book.wraps[wrap].title for wrap in wraps] or ["Not wrapped"]
    parts.append(f"held in: {book.holders[hold.holder].title}" if hold else "no hold")
    return Entry(
        title=method.title,
        href=links.href(HOME, card_uri("methods", method.id)),
        choose_when=method.choose_when,
        status=method.status.value,
        parts=tuple(parts),
        serve=shown(result.serve, notes) if result else None,
        hold=f"holds {both('duration', hold.for_s).us}, at most {both('duration', hold.at_most_s).us}"
        if hold
        else "no hold",
        hours=_hours(method, result, most_h) if result else Markup(""),
        scores=_scores(result, notes) if result else (),
        data=_data(book, method, result, parts),
    )


def _hours(method: Method, result: MethodResult, most_h: float) -> Markup:
    ready = result.ready
    return hours_bar(
        low_h=(ready.low if ready.low is not None else ready.value) / HOUR_S,
        middle_h=ready.value / HOUR_S,
        high_h=(ready.high if ready.high is not None else ready.value) / HOUR_S,
        hold_h=method.hold.for_s / HOUR_S if method.hold else 0.0,
        most_h=most_h,
    )


def _scores(result: MethodResult, notes: Notes) -> tuple[ScoreBar, ...]:
    return tuple(
        ScoreBar(name.capitalize(), score_bar(score.value, score.low, score.high), shown(score, notes))
        for name in SHOWN_SCORES
        if (score := result.scores.get(name)) is not None
    )


def _data(
    book: Book, method: Method, result: MethodResult | None, parts: Sequence[str]
) -> tuple[tuple[str, str], ...]:
    """What the script filters and sorts by. Missing numbers are left out and sort last."""
    data = {
        "id": method.id,
        "cut": method.cut,
        "wrap": " ".join(_wraps(book, method)) or "none",
        "pit": " ".join(_pits(method)),
        "holder": method.hold.holder if method.hold else "none",
        "status": method.status.value.replace(" ", "-"),
        "title": method.title.casefold(),
        "text": _text(method, parts),
    }
    if method.hold is not None:
        data["hold"] = f"{method.hold.at_most_s / HOUR_S:.2f}"
    if (highest := highest_place_m(method)) is not None:
        data["altitude"] = str(highest)
    if result is not None:
        data["hours"] = f"{(result.serve.high or result.serve.value) / HOUR_S:.2f}"
        data |= _figures(method, result)
    return tuple(data.items())


def _figures(method: Method, result: MethodResult) -> dict[str, str]:
    """What the script weighs: value, both ends of the spread, and the value as said, by key."""
    figures = {p.quality.key: p.quality.figure(method, result) for p in PRIORITIES}
    return {key: _figure(figure) for key, figure in figures.items() if figure is not None}


def _figure(figure: Figure) -> str:
    ends = (figure.value if end is None else end for end in (figure.value, figure.low, figure.high))
    said = f"{figure.value:.0f} times" if figure.dimension == COUNT else _said(figure)
    return " ".join([*(f"{end:.5g}" for end in ends), said])


def _said(figure: Figure) -> str:
    figure = as_said(figure)
    return both(figure.dimension, figure.value).us


def _text(method: Method, parts: Sequence[str]) -> str:
    """The words that the text filter looks in, lower case."""
    words = [method.title, *method.also_called, method.choose_when, method.fuel, *parts]
    words += [ingredient.item for ingredient in method.seasoning]
    words += [stage.name for stage in method.stages]
    return " ".join(" ".join(words).casefold().split())
