"""The difference between two outcomes of a method, and whether a cook would meet it.

Both sides are cooked with the same drawn inputs, so a difference of medians is the change's own; whether it
matters is another question: a difference inside the spread of either side is none that a cook could tell.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from slowfolio.changes.outcome import Judged, Outcome, Spread

SAME = 1e-9
WIDER = 1.5
"""CALIBRATED: a spread that grows or shrinks by half is a difference of its own."""
STEPS = {"fraction": 0.01, "duration": 300.0, "score": 1.0, "temperature": 0.5}
"""What a figure without a spread must move by to count: a per cent, five minutes, a point (CALIBRATED)."""


class Difference(StrEnum):
    """What a change does to one quantity."""

    NONE = "none"
    WITHIN = "within the spread"
    MORE = "more"
    LESS = "less"
    WIDER = "wider spread"
    NARROWER = "narrower spread"
    NEW = "new"
    GONE = "gone"


@dataclass(frozen=True, slots=True)
class Compared:
    """One quantity before and after."""

    name: str
    before: Spread | None
    after: Spread | None
    difference: Difference

    @property
    def matters(self) -> bool:
        """Whether it is more than nothing."""
        return self.difference not in (Difference.NONE, Difference.WITHIN)

    @property
    def shift(self) -> float | None:
        """By how much the median moves; None where there is only one."""
        if self.before is None or self.after is None:
            return None
        return self.after.value - self.before.value


@dataclass(frozen=True, slots=True)
class ComparedVerdict:
    """One rule before and after; None where it did not apply."""

    rule: str
    topic: str
    before: Judged | None
    after: Judged | None

    @property
    def changed(self) -> bool:
        """Whether the rule is met otherwise than before, or more gravely missed."""
        return _standing(self.before) != _standing(self.after)


@dataclass(frozen=True, slots=True)
class Effect:
    """What a change does to a method's computed outcome."""

    quantities: tuple[Compared, ...]
    verdicts: tuple[ComparedVerdict, ...]

    @property
    def matters(self) -> bool:
        """Whether any quantity differs by more than its spread, or any rule is met otherwise."""
        return any(each.matters for each in self.quantities) or any(each.changed for each in self.verdicts)


def effect_of(before: Outcome, after: Outcome) -> Effect:
    """Compare two outcomes, quantity by quantity and rule by rule."""
    names = dict.fromkeys((*before.quantities, *after.quantities))
    quantities = tuple(
        compared(name, before.quantities.get(name), after.quantities.get(name)) for name in names
    )
    return Effect(quantities, tuple(_verdicts(before, after)))


def compared(name: str, before: Spread | None, after: Spread | None) -> Compared:
    """One quantity before and after."""
    return Compared(name, before, after, difference(before, after))


def difference(before: Spread | None, after: Spread | None) -> Difference:
    """None where each median lies within the other's P10 to P90; by its step where there is no spread."""
    if before is None or after is None:
        return Difference.NONE if before is after else Difference.GONE if after is None else Difference.NEW
    shift = after.value - before.value
    if before == after or abs(shift) <= SAME * max(abs(before.value), 1e-12):
        return _width_difference(before, after, otherwise=Difference.NONE)
    if _inside(after.value, before) and _inside(before.value, after):
        return _width_difference(before, after, otherwise=Difference.WITHIN)
    return Difference.MORE if shift > 0 else Difference.LESS


def _inside(value: float, spread: Spread) -> bool:
    step = STEPS.get(spread.dimension, 0.0)
    if spread.low is None or spread.high is None:
        return abs(value - spread.value) < step
    return spread.low <= value <= spread.high or abs(value - spread.value) < step


def _width_difference(before: Spread, after: Spread, *, otherwise: Difference) -> Difference:
    widths = [
        0.0 if each.low is None or each.high is None else each.high - each.low for each in (before, after)
    ]
    if max(widths) < 2.0 * STEPS.get(before.dimension, 0.0) or min(widths) <= 0.0:
        return otherwise
    if widths[1] > WIDER * widths[0]:
        return Difference.WIDER
    return Difference.NARROWER if widths[0] > WIDER * widths[1] else otherwise


def _verdicts(before: Outcome, after: Outcome) -> Iterator[ComparedVerdict]:
    if before.verdicts is None or after.verdicts is None:
        return
    old = {(each.topic, each.rule): each for each in before.verdicts}
    new = {(each.topic, each.rule): each for each in after.verdicts}
    for key in dict.fromkeys((*old, *new)):
        yield ComparedVerdict(key[1], key[0], old.get(key), new.get(key))


def _standing(verdict: Judged | None) -> tuple[str, str] | None:
    return None if verdict is None else (verdict.met, verdict.level)
