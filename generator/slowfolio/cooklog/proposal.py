"""What a fit would change on a card: new figures with their origin, as a patch to look at, never by itself.

Works on the card's text at the places its figures were read from, so that all else stays as it was written.
"""

import difflib
import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from slowfolio.book.model import Book, Holder, KeyPath, Origin, Pit
from slowfolio.cooklog.draught import draught_for
from slowfolio.cooklog.fit_holder import HolderFit
from slowfolio.cooklog.fit_pit import Finding, PitFit
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
    pit, system, source = book.pits[fit.pit], book.card.units_first, source_words(fit.cooks)
    differences = {
        "above_k": ("radiant_above", pit.radiant_above_k.value),
        "below_k": ("radiant_below", pit.radiant_below_k.value),
    }
    changes = card_changes(fit, pit, differences, system)
    for found in learnt(fit):
        if found.parameter == "humidity":
            old, new = pit.dew_point_c.value, damper(pit, found.shift)
            changes.append(Change("dew_point", spoken(old, system), spoken(new, system), source))
    return tuple(change for change in changes if change.before != change.after)


def holder_changes(fit: HolderFit, book: Book) -> tuple[Change, ...]:
    """The figures of a holder that its holds tell otherwise, and the air exchange its hygrometer tells of."""
    holder, system = book.holders[fit.pit], book.card.units_first
    changes = card_changes(fit, holder, {"wall_k": ("wall_offset", holder.wall_offset_k.value)}, system)
    if fit.exchange is not None and fit.exchange.verdict is Verdict.EXPLAINED:
        now, then = holder.air_exchange_per_s.value, fit.exchange.air_exchange_per_s
        changes.append(Change("air_exchange", per_hour(now), per_hour(then), source_words(fit.cooks)))
    return tuple(change for change in changes if change.before != change.after)


def learnt(fit: PitFit) -> list[Finding]:
    """What the cooks tell well enough to be proposed."""
    return [found for found in fit.findings if found.learnt >= LEARNT_SHARE]


def card_changes(
    fit: PitFit, card: Pit | Holder, differences: Mapping[str, tuple[str, float]], system: System
) -> list[Change]:
    """What pits and holders have in common: the air against the dial, the draught, how warm surfaces are.

    `differences` are the key and the present figure, K, of each warmth by the name of its parameter.
    """
    source = source_words(fit.cooks)
    changes = []
    for found in learnt(fit):
        if found.parameter == "offset_k":
            changes.append(offset_change(card, found.shift, found.sd, system, source))
        elif found.parameter == "convection":
            changes.append(draught_change(card.draught_m_s.value, found.shift, source))
        elif found.parameter in differences:
            key, old_k = differences[found.parameter]
            changes.append(difference_change(key, old_k, found.shift, system, source))
    return changes


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
