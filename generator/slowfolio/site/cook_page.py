"""The page of one recorded cook, and the list of them: course, events beside the forecast, what explains it.

`cook.html` and `cooks.html` lay them out. A log that could not be compared still shows what was measured.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from markupsafe import Markup

from slowfolio.book.model import Book, Cook
from slowfolio.cooklog.against import Explanation
from slowfolio.cooklog.remarks import since_start
from slowfolio.cooklog.words import amount_text, best
from slowfolio.enrich.cooks import RecordedCook
from slowfolio.provenance import Provenance
from slowfolio.site.charts.bars import share_bar
from slowfolio.site.charts.cook_course import cook_course
from slowfolio.site.charts.timeline import NARROW, WIDE
from slowfolio.site.cook_rows import (
    Beside,
    CookRow,
    beside,
    computed_tag,
    cook_row,
    day_text,
    in_both,
    measured_tag,
    verdict_of,
)
from slowfolio.site.links import Link, Links, card_uri
from slowfolio.site.shown import Both, Note, Notes, Tag, both, same
from slowfolio.site.whose import card_words
from slowfolio.units import System

COOKS = "cooks.md"
MOST_TOGETHER = 5
NAMES = {"meat on": "Meat on", "finish": "Off the pit", "end": "End of the log"}


@dataclass(frozen=True, slots=True)
class Explained:
    """One thing that may have differed: in words, how far, how unusual that is, and what it explains."""

    words: str
    amount: Both
    unusual: str
    bar: Markup
    share: str


@dataclass(frozen=True, slots=True)
class Happened:
    """One event of the log: when, what, and whether it was found or noted."""

    at: str
    what: str
    found: str


@dataclass(frozen=True, slots=True)
class CookPage:
    """All that the page of a recorded cook shows."""

    title: str
    method: Link
    index_href: str
    day: str
    invented: bool
    facts: tuple[tuple[str, Both, Link | None], ...]
    charts: tuple[Markup, ...]
    finding: Both
    why_not: str
    besides: tuple[Beside, ...]
    inside: str
    off_by: Both | None
    alone: tuple[Explained, ...]
    together: tuple[Explained, ...]
    as_forecast: bool
    happened: tuple[Happened, ...]
    doors: int
    corrections: tuple[str, ...]
    said: tuple[str, ...]
    course: tuple[tuple[str, tuple[Both, ...]], ...]
    measured_tag: Tag
    computed_tag: Tag | None
    claim: Tag
    source_card: str
    log_file: str
    notes: tuple[Note, ...]


@dataclass(frozen=True, slots=True)
class CooksPage:
    """The list of recorded cooks."""

    rows: tuple[CookRow, ...]
    notes: tuple[Note, ...]


def cooks_page(book: Book, found: Mapping[str, RecordedCook], links: Links) -> CooksPage:
    """Every recorded cook of the book, newest first."""
    notes = Notes()
    cards = sorted(book.cooks.values(), key=lambda cook: (cook.date, cook.id), reverse=True)
    rows = tuple(
        cook_row(cook, found[cook.id], links, COOKS, notes, book.methods[cook.method].title)
        for cook in cards
        if cook.id in found
    )
    return CooksPage(rows, notes.listed())


def cook_page(book: Book, cook: Cook, found: RecordedCook | None, links: Links) -> CookPage:
    """Build the page of one recorded cook."""
    notes = Notes()
    origin = card_uri("cooks", cook.id)
    method = book.methods[cook.method]
    finding = verdict_of(found) if found else same("The log of this cook was not read.")
    measured = measured_tag(cook, notes)
    computed = computed_tag(found, notes) if found else None
    claim = notes.tag(Provenance.CLAIMED, "as written on the card of the cook")
    inside = sum(window.inside for window in found.windows) if found else 0
    return CookPage(
        title=cook.title,
        method=Link(method.title, links.href(origin, card_uri("methods", method.id))),
        index_href=links.href(origin, COOKS),
        day=day_text(cook),
        invented=cook.invented,
        facts=facts_of(book, cook, found, links, origin),
        charts=charts_of(cook, found, finding.plain) if found else (),
        finding=finding,
        why_not=found.why_not if found else "",
        besides=tuple(beside(window) for window in found.windows) if found else (),
        inside=f"{inside} of {len(found.windows)} lie where 8 cooks in 10 should" if found else "",
        off_by=off_by(found.core_rms_k) if found and found.windows else None,
        alone=tuple(explained(each) for each in best(found.explanations)) if found else (),
        together=tuple(explained(each) for each in found.together[:MOST_TOGETHER]) if found else (),
        as_forecast=bool(found and found.as_forecast),
        happened=tuple(
            Happened(since_start(event.at_s), NAMES.get(event.what, event.what[:1].upper() + event.what[1:]),
                     "found in the log" if event.found == "log" else "noted by the cook")
            for event in cook.events
            if event.what != "door"
        ),
        doors=sum(event.what == "door" for event in cook.events),
        corrections=tuple(text[:1].upper() + text[1:] for text in cook.corrections),
        said=cook.notes,
        course=course_table(found) if found else (),
        measured_tag=measured,
        computed_tag=computed,
        claim=claim,
        source_card=card_words(cook.origin),
        log_file=cook.log.file,
        notes=notes.listed(),
    )  # fmt: skip


def facts_of(
    book: Book, cook: Cook, found: RecordedCook | None, links: Links, origin: str
) -> tuple[tuple[str, Both, Link | None], ...]:
    """Day, equipment, piece and weather."""
    facts: list[tuple[str, Both, Link | None]] = [("Day", same(day_text(cook)), None)]
    pit = Link(book.pits[cook.pit].title, links.href(origin, card_uri("pits", cook.pit)))
    facts.append(("Pit", same(pit.text), pit))
    if cook.holder is not None:
        holder = book.holders[cook.holder]
        link = Link(holder.title, links.href(origin, card_uri("holders", cook.holder)))
        facts.append(("Holder", same(holder.title), link))
    piece = cook.piece
    quantities = (
        ("Weight, raw", "mass", piece.weight_before_kg),
        (f"Weight, {piece.weighed}", "mass", piece.weight_after_kg),
        ("Thickest part", "length", piece.thickness_m),
        ("Cold from", "temperature", piece.start_temp_c),
    )
    known = [each for each in quantities if each[2] is not None]
    facts += [(name, both(dimension, value or 0.0), None) for name, dimension, value in known]
    if found is not None and found.measured_yield is not None:
        facts.append(("Measured yield", in_both(found.measured_yield, "fraction"), None))
    if cook.weather.temp_c is not None:
        facts.append(("Outside", both("temperature", cook.weather.temp_c), None))
    if cook.weather.note:
        facts.append(("Weather", same(cook.weather.note), None))
    if cook.cooked_by:
        facts.append(("Cooked by", same(cook.cooked_by), None))
    if found is not None:
        facts.append(("Readings", same(f"{found.readings:,} over {found.hours:.1f} h"), None))
    return tuple(facts)


def charts_of(cook: Cook, found: RecordedCook, finding: str) -> tuple[Markup, ...]:
    """The course in a wide and a narrow frame."""
    title = f"Measured and forecast temperatures: {cook.title}"
    return tuple(
        cook_course(found.course, found.forecast, cook.events, title=title, finding=finding, frame=frame)
        for frame in (WIDE, NARROW)
    )


def off_by(error_k: float) -> Both:
    """How far the core lay from the engine's, in both systems."""
    return Both(f"{1.8 * error_k:.1f} °F", f"{error_k:.1f} °C")


def explained(found: Explanation) -> Explained:
    """One explanation as the page shows it."""
    share = min(1.0, max(0.0, found.explains))
    return Explained(
        words=found.words[:1].upper() + found.words[1:],
        amount=Both(
            *(amount_text(found.parameter, found.amount, system) for system in (System.US, System.METRIC))
        ),
        unusual=how_unusual(abs(found.deviation)),
        bar=share_bar(share),
        share=f"{100 * share:.0f} %",
    )


def how_unusual(deviation: float) -> str:
    """Standard deviations in words: two cooks in three lie within one, nineteen in twenty within two."""
    if deviation < 1.0:
        return "ordinary"
    return "unusual" if deviation < 2.0 else "rare"


def course_table(found: RecordedCook) -> tuple[tuple[str, tuple[Both, ...]], ...]:
    """The course as a table, an hour a row: core, thin part and air measured, core forecast."""
    course, forecast = found.course, found.forecast
    rows: list[tuple[str, tuple[Both, ...]]] = []
    for hour in range(int(course.time_h[-1]) + 1):
        at = min(range(len(course.time_h)), key=lambda index: abs(course.time_h[index] - hour))
        cells = [temperature(row[at]) for row in (course.thick_c, course.thin_c, course.pit_c)]
        if forecast is not None:
            near = min(range(len(forecast.time_h)), key=lambda index: abs(forecast.time_h[index] - hour))
            within = hour <= forecast.time_h[-1]
            bounds = (forecast.low_c, forecast.middle_c, forecast.high_c)
            cells += [temperature(row[near] if within else None) for row in bounds]
        rows.append((str(hour), tuple(cells)))
    return tuple(rows)


def temperature(value: float | None) -> Both:
    """A temperature in both systems; a dash where nothing was read."""
    return same("–") if value is None else both("temperature", round(value, 1))
