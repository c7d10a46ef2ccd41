"""What a fit would change on a card: new figures with their origin, as a patch to look at, never by itself.

Works on the card's text at the places its figures were read from, so that all else stays as it was written.
"""

import difflib
import json
import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from slowfolio.book.model import Book, Holder, KeyPath, Origin, Pit
from slowfolio.cooklog.draught import draught_for
from slowfolio.cooklog.fit_holder import HolderFit
from slowfolio.cooklog.fit_pit import PitFit
from slowfolio.cooklog.remarks import LogError
from slowfolio.physics.cabinet_reading import Verdict
from slowfolio.physics.humid_air import dew_point_c, saturation_pressure_pa
from slowfolio.units import Range, System, format_temperature

HIGHEST_DEW_POINT_C = 99.0
LEARNT_SHARE = 0.25
"""CALIBRATED: a figure is proposed only where the cooks took away a quarter of its prior variance."""


@dataclass(frozen=True, slots=True)
class Change:
    """One figure of a card that would change: its key, the text now ("" where it is new), then, and why."""

    key: str
    before: str
    after: str
    why: str


def pit_changes(fit: PitFit, book: Book) -> tuple[Change, ...]:
    """The figures of a pit that its cooks tell otherwise, in the book's units."""
    pit, system = book.pits[fit.pit], book.card.units_first
    source = source_words(fit.cooks)
    changes: list[Change] = []
    for found in fit.findings:
        if found.learnt < LEARNT_SHARE:
            continue
        if found.parameter == "offset_k":
            changes.append(offset_change(pit, found.shift, found.sd, system, source))
        elif found.parameter == "convection":
            changes.append(draught_change(pit.draught_m_s.value, found.shift, source))
        elif found.parameter == "above_k":
            old_k = pit.radiant_above_k.value
            changes.append(difference_change("radiant_above", old_k, found.shift, system, source))
        elif found.parameter == "below_k":
            old_k = pit.radiant_below_k.value
            changes.append(difference_change("radiant_below", old_k, found.shift, system, source))
        elif found.parameter == "humidity":
            old, new = pit.dew_point_c.value, damper(pit, found.shift)
            changes.append(Change("dew_point", spoken(old, system), spoken(new, system), source))
    return tuple(change for change in changes if change.before != change.after)


def holder_changes(fit: HolderFit, book: Book) -> tuple[Change, ...]:
    """The figures of a holder that its holds tell otherwise, and the air exchange its hygrometer tells of."""
    holder, system = book.holders[fit.pit], book.card.units_first
    source = source_words(fit.cooks)
    changes: list[Change] = []
    for found in fit.findings:
        if found.learnt < LEARNT_SHARE:
            continue
        if found.parameter == "offset_k":
            changes.append(offset_change(holder, found.shift, found.sd, system, source))
        elif found.parameter == "convection":
            changes.append(draught_change(holder.draught_m_s.value, found.shift, source))
        elif found.parameter == "wall_k":
            old_k = holder.wall_offset_k.value
            changes.append(difference_change("wall_offset", old_k, found.shift, system, source))
    if fit.exchange is not None and fit.exchange.verdict is Verdict.EXPLAINED:
        now, then = holder.air_exchange_per_s.value, fit.exchange.air_exchange_per_s
        changes.append(Change("air_exchange", per_hour(now), per_hour(then), source))
    return tuple(change for change in changes if change.before != change.after)


def draught_change(draught_m_s: float, shift: float, source: str) -> Change:
    """The air speed that gives the heat transfer found."""
    then = draught_for(draught_m_s, shift)
    return Change("draught", f"{draught_m_s:.2g} m/s", f"{then:.2g} m/s", source)


def difference_change(key: str, old_k: float, shift_k: float, system: System, source: str) -> Change:
    """A temperature difference of the card, moved."""
    return Change(key, difference(old_k, system), difference(old_k + shift_k, system), source)


def per_hour(rate_per_s: float) -> str:
    """An air exchange as a card writes it."""
    return f"{3600.0 * rate_per_s:.2g} /h"


def offset_change(card: Pit | Holder, shift_k: float, sd_k: float, system: System, source: str) -> Change:
    """The air against the dial: what the card says, and the fit on top of it."""
    known = card.air_offset_k
    before = "" if known is None else difference(known.value, system)
    after = difference((0.0 if known is None else known.value) + shift_k, system)
    spread = difference(sd_k, system).removeprefix("+")
    return Change("air_offset", before, after, f"{source}; one standard deviation {spread}")


def damper(pit: Pit, shift: float) -> Range:
    """The range of dew points with every vapour pressure exp(`shift`) times as high."""
    factor = math.exp(shift)
    span = pit.dew_point_c.value
    low, high = (
        float(dew_point_c(factor * float(saturation_pressure_pa(end)))) for end in (span.low, span.high)
    )
    return Range(low, min(high, 99.0))


def difference(value_k: float, system: System) -> str:
    """A temperature difference as a card writes it, to the whole degree."""
    return f"{round(value_k * 1.8)} °F" if system is System.US else f"{round(value_k, 1):g} °C"


def spoken(span: Range, system: System) -> str:
    """A range of temperatures as a card writes it."""
    return format_temperature(span, system)


def source_words(cooks: Sequence[str]) -> str:
    """Where the new figures come from."""
    return f"fitted to the recorded cooks {', '.join(cooks)}"


# --- the card's text --------------------------------------------------------------------------------


def proposed_text(text: str, origin: Origin, changes: Sequence[Change]) -> str:
    """The card's text with the changes made. Raises LogError where a figure is not where it was read."""
    lines = text.split("\n")
    places = [edit for change in changes if change.before for edit in edits_of(change, origin)]
    for line, start, end, new in sorted(places, reverse=True):
        row = lines[line - 1]
        if end <= start or start > len(row):
            raise LogError(f"{origin.file}:{line}: the card was changed while it was read: try again")
        lines[line - 1] = row[: start - 1] + new + row[end - 1 :]
    for change in changes:
        if not change.before:
            after = origin.at("drift", "source").line
            why = json.dumps(change.why, ensure_ascii=False)
            parts = f"value: {change.after}, provenance: measured, source: {why}"
            lines.insert(after, f"{change.key}: {{{parts}}}")
    return "\n".join(lines)


def edits_of(change: Change, origin: Origin) -> list[tuple[int, int, int, str]]:
    """Value, provenance and source of one figure: line, column, column past the end, new text."""
    new = {
        "value": change.after,
        "provenance": "measured",
        "source": json.dumps(change.why, ensure_ascii=False),
    }
    found: list[tuple[int, int, int, str]] = []
    for part, text in new.items():
        path: KeyPath = (change.key, part)
        if path not in origin.marks:
            raise LogError(f"{origin.file}: {change.key} has no {part} to change: write it by hand")
        mark = origin.marks[path]
        found.append((mark.line, mark.column, mark.end_column, text))
    return found


def patch(book: Book, card: Pit | Holder, changes: Sequence[Change]) -> tuple[str, str]:
    """The unified diff of a card and its text with the changes; both empty where nothing changes.

    Raises LogError where the card cannot be read.
    """
    if not changes:
        return "", ""
    path = Path(book.root) / card.origin.file
    try:
        before = path.read_text(encoding="utf-8")
    except OSError as error:
        raise LogError(f"cannot read {path}: {error.strerror or error}") from error
    after = proposed_text(before, card.origin, changes)
    diff = difflib.unified_diff(
        before.splitlines(keepends=True),
        after.splitlines(keepends=True),
        fromfile=f"a/{card.origin.file}",
        tofile=f"b/{card.origin.file}",
    )
    return "".join(diff), after
