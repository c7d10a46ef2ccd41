"""Recorded cooks in a row: what the method page and the list of cooks show of each, measured beside computed.

Values in words only; `cook_page` builds the whole page of one.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from slowfolio.book.model import Book, Cook, Method
from slowfolio.cooklog.against import Window
from slowfolio.cooklog.words import value_text, verdict
from slowfolio.enrich.cooks import RecordedCook
from slowfolio.provenance import Provenance
from slowfolio.site.links import Link, Links, card_uri
from slowfolio.site.shown import Both, Notes, Tag, same
from slowfolio.units import System

OFF, YIELD = "off the pit", "yield"


@dataclass(frozen=True, slots=True)
class Beside:
    """One event: measured, computed with its spread, and whether it lies inside."""

    what: str
    measured: Both
    computed: Both
    spread: Both
    verdict: str


@dataclass(frozen=True, slots=True)
class CookRow:
    """One recorded cook: where its page is, when it was, its events beside the forecast, what it comes to."""

    link: Link
    day: str
    invented: bool
    method: str
    off: Beside | None
    left: Beside | None
    inside: str
    verdict: Both
    measured_tag: Tag
    computed_tag: Tag | None


def cook_rows(
    book: Book, method: Method, found: Sequence[RecordedCook], links: Links, origin: str, notes: Notes
) -> tuple[CookRow, ...]:
    """The cooks of one method, newest first."""
    cards = sorted((book.cooks[each.cook] for each in found), key=lambda cook: cook.date, reverse=True)
    by_id = {each.cook: each for each in found}
    return tuple(cook_row(cook, by_id[cook.id], links, origin, notes, method.title) for cook in cards)


def cook_row(
    cook: Cook, found: RecordedCook, links: Links, origin: str, notes: Notes, method: str
) -> CookRow:
    """One cook in a row."""
    inside = sum(window.inside for window in found.windows)
    return CookRow(
        link=Link(cook.title, links.href(origin, card_uri("cooks", cook.id))),
        day=day_text(cook),
        invented=cook.invented,
        method=method,
        off=beside_of(found, OFF),
        left=beside_of(found, YIELD),
        inside=f"{inside} of {len(found.windows)}" if found.windows else "",
        verdict=verdict_of(found),
        measured_tag=measured_tag(cook, notes),
        computed_tag=computed_tag(found, notes),
    )


def day_text(cook: Cook) -> str:
    """The day of a cook as one says it."""
    return f"{cook.date.day} {cook.date:%B %Y}"


def measured_tag(cook: Cook, notes: Notes) -> Tag:
    """The mark of what was measured in a cook."""
    made_up = "; invented data" if cook.invented else ""
    return notes.tag(Provenance.MEASURED, f"log {cook.log.file} of {day_text(cook)}{made_up}")


def computed_tag(found: RecordedCook, notes: Notes) -> Tag | None:
    """The mark of what was forecast for a cook, where it was."""
    if not found.windows:
        return None
    source = f"cook engine {found.engine}, {found.members} cooks of the piece as weighed"
    return notes.tag(Provenance.COMPUTED, source)


def beside_of(found: RecordedCook, what: str) -> Beside | None:
    """One event of a cook beside its forecast."""
    window = next((each for each in found.windows if each.what == what), None)
    return None if window is None else beside(window)


def beside(window: Window) -> Beside:
    """Measured and computed in both unit systems."""
    words = ("sooner", "later") if window.dimension == "duration" else ("below", "above")
    outside = words[0] if window.measured < window.low else words[1]
    said = "inside" if window.inside else outside
    return Beside(
        what=window.what[:1].upper() + window.what[1:],
        measured=in_both(window.measured, window.dimension),
        computed=in_both(window.middle, window.dimension),
        spread=Both(
            *(
                f"{value_text(window.low, window.dimension, system)} – "
                f"{value_text(window.high, window.dimension, system)}"
                for system in (System.US, System.METRIC)
            )
        ),
        verdict=said,
    )


def in_both(value: float, dimension: str) -> Both:
    """A measured or forecast value in both unit systems."""
    return Both(*(value_text(value, dimension, system) for system in (System.US, System.METRIC)))


def verdict_of(found: RecordedCook) -> Both:
    """What the comparison comes to, in both unit systems."""
    if found.why_not:
        return same("Not compared with the forecast.")
    return Both(
        *(verdict(found.explanations, found.as_forecast, system) for system in (System.US, System.METRIC))
    )
