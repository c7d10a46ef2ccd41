"""What a page needs to plan a method without the engine: the simulated cooks' times, yields and limits.

Plain data that is kept with the results of a method, and its readings as the planner's own inputs; numbers of
the computation only, no words of a card. `basis_of` makes it; the Plan page's script reads the same figures.
"""

import math
from dataclasses import dataclass

import numpy as np

from slowfolio.book import model as cards
from slowfolio.forecast.authority import rules_of
from slowfolio.forecast.planning.from_cards import grate_of_piece_m2
from slowfolio.forecast.planning.portions import PieceYield
from slowfolio.forecast.planning.remedies import Remedy
from slowfolio.forecast.planning.stage_words import (
    falling_words,
    hold_words,
    stage_act,
    stage_title,
    stage_words,
    until_words,
)
from slowfolio.forecast.planning.times import NO_HOLD, ActKind, Array, CookTimes, HoldTerms, StageTimes


@dataclass(frozen=True, slots=True)
class AtWeight:
    """How a piece of another weight differs: each stage's length, and cooked over raw weight, as factors."""

    weight_kg: float
    stretch: tuple[float, ...]
    cooked: float


@dataclass(frozen=True, slots=True)
class PlanBasis:
    """One method on its own pit and in its own holder, M simulated cooks, S stages with the vent.

    `ends_s[stage][member]` counts from on, `cooked[knot][member]` is cooked over trimmed weight after
    `held_s[knot]` in the hold. `rules_s[pieces - 1][member]` is how long the rule on warmth is met, seconds
    from the start of the hold, -1 where no end was found; the last serves for more pieces. `light` and
    `heavy` are the ends of the card's weight, None where it has one weight only. `out_s` is the median time
    below the floor between pit and hold.
    """

    method: str
    engine: str
    members: int
    seed: int
    piece_kg: float
    held_kg: float
    ends_s: tuple[tuple[int, ...], ...]
    held_s: tuple[float, ...]
    cooked: tuple[tuple[float, ...], ...]
    rules_s: tuple[tuple[int, ...], ...]
    too_cool: str
    rule: str
    out_s: float
    light: AtWeight | None
    heavy: AtWeight | None
    remedies: tuple[Remedy, ...]
    notes: tuple[str, ...]


def between(basis: PlanBasis, weight_kg: float) -> AtWeight:
    """The factors for a weight between the light and the heavy end: powers of the weight.

    Times go with a power of the thickness and so of the weight (Heisler charts and their like, MEMORY); the
    power of each stage is what the two ends give.
    """
    light, heavy = basis.light, basis.heavy
    assert light is not None
    assert heavy is not None
    part = math.log(weight_kg / light.weight_kg) / math.log(heavy.weight_kg / light.weight_kg)

    def mixed(low: float, high: float) -> float:
        return math.exp((1.0 - part) * math.log(low) + part * math.log(high))

    stretch = tuple(mixed(low, high) for low, high in zip(light.stretch, heavy.stretch, strict=True))
    return AtWeight(weight_kg, stretch, mixed(light.cooked, heavy.cooked))


def as_written(basis: PlanBasis) -> AtWeight:
    """The piece of the card itself."""
    return AtWeight(basis.piece_kg, (1.0,) * len(basis.ends_s), 1.0)


def times_of(basis: PlanBasis, method: cards.Method, book: cards.Book, at: AtWeight) -> CookTimes:
    """The stages of the card with their ends in the simulated cooks."""
    ends = np.asarray(basis.ends_s, dtype=np.float64)
    lengths = np.diff(ends, axis=0, prepend=0.0) * np.asarray(at.stretch)[:, None]
    stretched = np.cumsum(lengths, axis=0)
    stages = [
        StageTimes(
            name=stage_title(index, method, book),
            act=stage_act(index, method),
            do=stage_words(index, method, book),
            pit=stage.pit or method.pit,
            pit_temp_c=stage.pit_temp_c,
            ends_s=stretched[index],
            ends_when=until_words(stage.until),
        )
        for index, stage in enumerate(method.stages)
    ]
    if method.vent is not None:
        vent = method.vent
        words = falling_words(vent.until)
        room_c = book.card.room_temp_c
        stages.append(
            StageTimes("Vent", ActKind.VENT, vent.where, "", room_c, stretched[len(method.stages)], words)
        )
    return CookTimes(tuple(stages))


def hold_of(basis: PlanBasis, method: cards.Method, book: cards.Book, pieces: int) -> HoldTerms:
    """What the hold offers so many pieces."""
    hold = method.hold
    if hold is None:
        return NO_HOLD
    rules: Array = np.asarray(basis.rules_s[min(pieces, len(basis.rules_s)) - 1], dtype=np.float64)
    holder = book.holders[hold.holder]
    return HoldTerms(
        holder=holder.id,
        title=holder.title,
        wanted_s=hold.for_s,
        at_most_s=hold.at_most_s,
        do=hold_words(hold, book),
        rules_s=np.where(rules < 0, np.inf, rules),
        floor_c=rules_of(book.card).hot_hold_min_c,
        too_cool=basis.too_cool,
        rule=basis.rule,
    )


def yield_of(basis: PlanBasis, cut: cards.Cut, at: AtWeight, *, held_s: float) -> PieceYield:
    """Weights of one piece that is held for `held_s`, linear between the knots."""
    knots = np.asarray(basis.cooked, dtype=np.float64)
    held = min(max(0.0, held_s), basis.held_s[-1])
    cooked = [float(np.interp(held, basis.held_s, member)) for member in knots.T]
    return PieceYield(
        at.weight_kg,
        cut.bone_fraction.value,
        cut.trim_fraction.value,
        np.asarray(cooked, dtype=np.float64) * at.cooked,
    )


def held_kg(basis: PlanBasis, at: AtWeight) -> float:
    """Weight of one piece as it goes into the hold."""
    return basis.held_kg * at.cooked * at.weight_kg / basis.piece_kg


def piece_m2(cut: cards.Cut, at: AtWeight) -> float:
    """The grate one piece asks for."""
    return grate_of_piece_m2(cut, at.weight_kg)
