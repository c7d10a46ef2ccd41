"""Making a method's `PlanBasis` from a cook that was simulated anyway, with a few small cooks beside it.

The hold goes on from where the cook ended, to the longest the card allows; the two ends of the card's weight
and the remedies are cooked with few members. Called by `enrich`.
"""

from dataclasses import fields, replace

import numpy as np

from slowfolio.book import model as cards
from slowfolio.forecast.hold_table import HOLD_STEP_S
from slowfolio.forecast.inputs import Conditions
from slowfolio.forecast.planning.basis import AtWeight, PlanBasis
from slowfolio.forecast.planning.from_cards import Forecast, Setup, read_cook
from slowfolio.forecast.planning.remedies import COARSE_STEP_S, remedies_against
from slowfolio.forecast.planning.start import sure_time_s
from slowfolio.forecast.planning.times import Array
from slowfolio.forecast.planning.warmth import HOUR_S
from slowfolio.forecast.run import run_method
from slowfolio.physics.cook import side_by_side
from slowfolio.physics.results import SAMPLES, CookResult, Timeline
from slowfolio.physics.schedule import until_time

FEW = 16
"""Members of the small cooks: the median of their factors is within a few minutes of that of many."""

KNOTS = (0.0, 0.02, 0.06, 0.12, 0.2, 0.35, 0.55, 0.75, 1.0)
"""Where the weight in the hold is kept, parts of the longest hold: close where it falls fast."""

MOST_BOXED = 6
"""More pieces than this in a box without heat are taken to keep warm no longer: the cautious side."""

SHORT_S = 60.0
LIKE_KG = 0.05


def plan_basis(cook: CookResult, method: cards.Method, book: cards.Book, *, seed: int) -> PlanBasis:
    """What a page needs to plan the method; `cook` is the method as its card has it.

    Raises PhysicsInputError and NoForecastError as the planner does.
    """
    longest = held_to_the_end(cook, method)
    told = read_cook(longest, method, Setup(method.id), book)
    cut = book.cuts[method.cut]
    knots = KNOTS if method.hold is not None else KNOTS[:1]
    at_most_s = method.hold.at_most_s if method.hold is not None else 0.0
    held_s = tuple(part * at_most_s for part in knots)
    few = min(FEW, cook.members.count)
    as_written = small_cook(told, told.piece_kg, book, members=few, seed=seed)
    ends = [stage.ends_s for stage in told.times.stages]
    too_cool, rule, out_s = limits(told, book)
    return PlanBasis(
        method=method.id,
        engine=cook.engine_version,
        members=cook.members.count,
        seed=seed,
        piece_kg=told.piece_kg,
        held_kg=told.held_kg(),
        ends_s=tuple(tuple(int(end) for end in np.round(stage)) for stage in ends),
        held_s=held_s,
        cooked=tuple(rounded(told.yield_of(cut, held_s=held).cooked) for held in held_s),
        rules_s=rules_by_pieces(told, book),
        too_cool=too_cool,
        rule=rule,
        out_s=out_s,
        light=at_weight(told, as_written, method.piece.weight_kg.low, book, seed=seed),
        heavy=at_weight(told, as_written, method.piece.weight_kg.high, book, seed=seed),
        remedies=remedies_against(as_written.ends.time_h[-1] * HOUR_S, told, book, members=few, seed=seed),
        notes=told.notes,
    )


def rounded(values: Array) -> tuple[float, ...]:
    """Weights over weights to a hundredth of a per cent."""
    return tuple(round(float(value), 4) for value in values)


def limits(told: Forecast, book: cards.Book) -> tuple[str, str, float]:
    """Which limit of warmth comes first, whose it is, and the median time below it before the hold, s."""
    if told.method.hold is None:
        return "", "", 0.0
    warmth = told.warmth(1, book)
    terms = told.hold_for(1, book)
    return terms.too_cool, terms.rule, sure_time_s(warmth.out_s, 0.5)


def rules_by_pieces(told: Forecast, book: cards.Book) -> tuple[tuple[int, ...], ...]:
    """How long the rule is met, by the number of pieces where that matters: in a box without heat."""
    hold = told.method.hold
    if hold is None:
        return ()
    counts = range(1, 2 if book.holders[hold.holder].heated else MOST_BOXED + 1)
    found = (told.warmth(count, book).rules_s for count in counts)
    return tuple(tuple(int(s) if np.isfinite(s) else -1 for s in rules) for rules in found)


def small_cook(told: Forecast, weight_kg: float, book: cards.Book, *, members: int, seed: int) -> CookResult:
    """The method for a piece of this weight up to its hold, with few members and a coarse step."""
    return run_method(
        replace(told.method, hold=None),
        book,
        members=members,
        seed=seed,
        conditions=Conditions(weight_kg=weight_kg),
        step_s=COARSE_STEP_S,
    )


def at_weight(
    told: Forecast, own: CookResult, weight_kg: float, book: cards.Book, *, seed: int
) -> AtWeight | None:
    """The factors of a piece of this weight, the median over the cooks of `own`, which is the same method at
    its own weight; None for a single weight.
    """
    span = told.method.piece.weight_kg
    if span.high - span.low < LIKE_KG:
        return None
    cook = small_cook(told, weight_kg, book, members=own.members.count, seed=seed)
    count = len(told.times.stages)
    ends, own_ends = cook.ends.time_h[:count] * HOUR_S, own.ends.time_h[:count] * HOUR_S
    lengths, own_lengths = (np.maximum(np.diff(e, axis=0, prepend=0.0), SHORT_S) for e in (ends, own_ends))
    cooked = cook.ends.mass_kg[count - 1] / weight_kg
    own_cooked = own.ends.mass_kg[count - 1] / told.piece_kg
    return AtWeight(
        weight_kg=weight_kg,
        stretch=tuple(round(float(f), 5) for f in np.median(lengths / own_lengths, axis=1)),
        cooked=round(float(np.median(cooked / own_cooked)), 5),
    )


# --- the longest hold -------------------------------------------------------------------------------


def held_to_the_end(cook: CookResult, method: cards.Method) -> CookResult:
    """The same cook with its hold gone on to the longest the card allows."""
    hold = method.hold
    if hold is None or hold.at_most_s - hold.for_s < HOLD_STEP_S:
        return cook
    stage = replace(cook.schedule.stages[-1], until=until_time(hold.at_most_s - hold.for_s))
    more = side_by_side(cook, (stage,), np.arange(cook.members.count), step_s=HOLD_STEP_S)
    end_h = cook.ends.time_h[-1]
    time_h = cook.ends.time_h.copy()
    time_h[-1] = end_h + more.ends.time_h[-1]
    return replace(
        cook,
        timeline=joined(cook.timeline, more.timeline, end_h),
        ends=replace(cook.ends, time_h=time_h),
    )


def joined(first: Timeline, then: Timeline, end_h: Array) -> Timeline:
    """Two courses as one: `then` goes on, member by member, where `first` ends, `end_h` of shape (M,)."""
    last_h = float(end_h.max() + then.time_h[-1])
    before = first.time_h[first.time_h <= end_h.max()]
    time_h = np.union1d(before, np.linspace(float(end_h.min()), last_h, SAMPLES))

    def course(one: Array, other: Array) -> Array:
        columns = [
            np.where(
                time_h <= end,
                np.interp(time_h, first.time_h, one[:, member]),
                np.interp(time_h - end, then.time_h, other[:, member]),
            )
            for member, end in enumerate(end_h)
        ]
        return np.stack(columns, axis=1)

    names = [item.name for item in fields(Timeline) if item.name != "time_h"]
    return Timeline(
        time_h=time_h, **{name: course(getattr(first, name), getattr(then, name)) for name in names}
    )
