"""What to do when it runs early or late, each with what it brings, worked out by cooking it.

The same simulated cooks are run again with one thing changed; member by member the difference is the remedy's
and nothing else's. What no run can tell is common practice and says so. Called by `assemble`.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from slowfolio.book import model as cards
from slowfolio.forecast.planning.errors import NoForecastError
from slowfolio.forecast.planning.from_cards import Forecast, forecast_of
from slowfolio.forecast.planning.item import HoldOutlook
from slowfolio.forecast.planning.stage_words import both, both_differences
from slowfolio.forecast.planning.times import Array
from slowfolio.physics.errors import PhysicsInputError
from slowfolio.physics.results import Spread, spread_of
from slowfolio.provenance import Provenance
from slowfolio.units import format_duration

PIT_STEP_K = 14.0
WRAP_STEP_K = 6.0
WRAP_STEP_S = 3600.0
"""25 °F on the pit, about 10 °F or an hour sooner into the wrap: steps a cook would take. CALIBRATED."""

FEWEST_MEMBERS, MOST_MEMBERS = 8, 32
COARSE_STEP_S = 120.0
"""Time step of the cooks that are only compared with each other: what a coarse step moves, it moves in both.
The gains stay within some minutes of those at the engine's own step, at under half the work. CALIBRATED."""

WORTH_S = 300.0
"""What brings less than five minutes is no help, and is said to be none. CALIBRATED."""


class When(StrEnum):
    """For which trouble a remedy is."""

    LATE = "late"
    EARLY = "early"


@dataclass(frozen=True, slots=True)
class Remedy:
    """One thing to do. `gain_s` is what it brings: sooner when late, later when early; None: no time."""

    when: When
    do: str
    gain_s: Spread | None
    provenance: Provenance

    @property
    def helps(self) -> bool:
        """Whether it brings time worth the trouble, or is for when no more time is to be had."""
        return self.gain_s is None or self.gain_s.p50 >= WORTH_S


def remedies_in_order(at_pit: Sequence[Remedy], of_hold: Sequence[Remedy]) -> tuple[Remedy, ...]:
    """What to do first, first: what the hold gives, then the pit from most to least, then the last resort."""
    given = [remedy for remedy in of_hold if remedy.gain_s is not None]
    last = [remedy for remedy in of_hold if remedy.gain_s is None]
    gains = sorted(at_pit, key=lambda remedy: -remedy.gain_s.p50 if remedy.gain_s else 0.0)
    ordered = (*given, *gains, *last)
    return tuple(remedy for when in When for remedy in ordered if remedy.when is when)


def computed_remedies(base: Forecast, book: cards.Book, *, members: int, seed: int) -> tuple[Remedy, ...]:
    """The remedies at the pit, each with what it brings, were it only little."""
    count = min(members, MOST_MEMBERS)
    if count < FEWEST_MEMBERS:
        return ()
    try:
        as_written_s = ready_s(base.method, base, book, members=count, seed=seed)
    except (PhysicsInputError, NoForecastError):
        return ()
    return remedies_against(as_written_s, base, book, members=count, seed=seed)


def remedies_against(
    as_written_s: Array, base: Forecast, book: cards.Book, *, members: int, seed: int
) -> tuple[Remedy, ...]:
    """The same where it is known when the cooks as written, `members` of them, are ready."""
    if members < FEWEST_MEMBERS:
        return ()
    remedies: list[Remedy] = []
    for when, do, method in variants(base, book):
        try:
            sooner = as_written_s - ready_s(method, base, book, members=members, seed=seed)
        except (PhysicsInputError, NoForecastError):
            continue
        gain = sooner if when is When.LATE else -sooner
        remedies.append(Remedy(when, do, spread_of(gain), Provenance.COMPUTED))
    return tuple(remedies)


def ready_s(method: cards.Method, base: Forecast, book: cards.Book, *, members: int, seed: int) -> Array:
    """When each cook is ready; no hold changes that."""
    unheld = replace(method, hold=None)
    cooked = forecast_of(unheld, base.setup, book, members=members, seed=seed, step_s=COARSE_STEP_S)
    return cooked.times.ready_s


def variants(base: Forecast, book: cards.Book) -> Iterator[tuple[When, str, cards.Method]]:
    """The card with one thing changed, and how to say it."""
    method = base.method
    last = first_of_the_end(method)
    ways = [(last, PIT_STEP_K, When.LATE, "hotter"), (last, -PIT_STEP_K, When.EARLY, "cooler")]
    if last > 1:
        ways.insert(0, (1, PIT_STEP_K, When.LATE, "hotter"))
    for first, step_k, when, word in ways:
        moved = from_stage_on(base, book, first, step_k)
        if moved is not None:
            stage = method.stages[first]
            to_c = moved.stages[first].pit_temp_c
            by = both_differences(abs(to_c - stage.pit_temp_c))
            yield when, f"Run the pit {by} {word} from {stage.name.lower()} on, at {both(to_c)}.", moved
    earlier = wrapped_earlier(method, last)
    if earlier is not None:
        until = earlier.stages[last - 1].until
        at = (
            both(until.core_temp_c) if until.core_temp_c is not None else format_duration(until.time_s or 0.0)
        )
        yield When.LATE, f"Wrap earlier, at {at}; the bark will be softer for it.", earlier


def first_of_the_end(method: cards.Method) -> int:
    """The stage from which on time can still be made up: the first new wrap, else the last stage."""
    stages = method.stages
    return next((i for i in range(1, len(stages)) if stages[i].wrap != stages[i - 1].wrap), len(stages) - 1)


def from_stage_on(base: Forecast, book: cards.Book, first: int, step_k: float) -> cards.Method | None:
    """The method with its pit hotter or cooler from a stage on, within what the pit goes to."""
    stages = list(base.method.stages)
    for index in range(first, len(stages)):
        stage = stages[index]
        reach = book.pits[stage.pit or base.pit].pit_temp_c
        temp_c = min(max(stage.pit_temp_c + step_k, reach.low), reach.high)
        stages[index] = replace(stage, pit_temp_c=temp_c)
    if abs(stages[first].pit_temp_c - base.method.stages[first].pit_temp_c) < 1.0:
        return None
    return replace(base.method, stages=tuple(stages))


def wrapped_earlier(method: cards.Method, wrapping: int) -> cards.Method | None:
    """The method with the stage before its wrap cut short, or None where no wrap follows."""
    if wrapping == 0 or method.stages[wrapping].wrap == method.stages[wrapping - 1].wrap:
        return None
    stages = list(method.stages)
    until = stages[wrapping - 1].until
    if until.core_temp_c is not None:
        until = replace(until, core_temp_c=until.core_temp_c - WRAP_STEP_K)
    elif until.time_s is not None and until.time_s > 2 * WRAP_STEP_S:
        until = replace(until, time_s=until.time_s - WRAP_STEP_S)
    else:
        return None
    stages[wrapping - 1] = replace(stages[wrapping - 1], until=until)
    return replace(method, stages=tuple(stages))


def remedies_of_hold(outlook: HoldOutlook) -> tuple[Remedy, ...]:
    """What the hold itself gives, from the plan; and what the trade does when all else is used up."""
    terms = outlook.terms
    remedies: list[Remedy] = []
    if terms.holder and outlook.spare_s >= WORTH_S:
        shorter = Spread(outlook.held_p10_s, outlook.held_p50_s, outlook.held_p90_s)
        do = "Let the hold be shorter; pull when it is done, not before."
        remedies.append(Remedy(When.LATE, do, shorter, Provenance.COMPUTED))
    remedies.append(
        Remedy(
            When.LATE,
            "Later still: slice what is done first (thin end, or the smaller piece), serve it from a covered "
            "pan with its juice, and send the rest after.",
            None,
            Provenance.PRACTICE,
        )
    )
    if terms.holder:
        left = max(0.0, terms.longest_s - outlook.held_p90_s)
        if left >= WORTH_S:
            by_card = terms.at_most_s <= terms.rules_p10_s
            whose = "by the card" if by_card else f"until {terms.too_cool}"
            do = f"Hold it longer: it may be held {format_duration(terms.longest_s)}, {whose}."
            origin = Provenance.CLAIMED if by_card else Provenance.COMPUTED
            remedies.append(Remedy(When.EARLY, do, Spread(left, left, left), origin))
    remedies.append(
        Remedy(
            When.EARLY,
            "Past the longest hold: slice it into a covered pan with its juice, above the hot-hold floor, or "
            "chill it fast and reheat.",
            None,
            Provenance.PRACTICE,
        )
    )
    return tuple(remedies)
