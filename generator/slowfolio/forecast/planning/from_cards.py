"""A method card under a cook's own conditions as the planner's input: one run of the engine, read as arrays.

This is where the planner meets cards and engine. The hold is simulated for as long as the card allows, so
that its limits can be read from the course. Called by `lookup`, `remedies` and `basis_of`.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from slowfolio.book import model as cards
from slowfolio.book.findings import close_match, listed
from slowfolio.forecast.authority import rules_of
from slowfolio.forecast.inputs import Conditions
from slowfolio.forecast.planning.errors import NoForecastError, PlanInputError
from slowfolio.forecast.planning.portions import PieceYield
from slowfolio.forecast.planning.stage_words import (
    both,
    falling_words,
    hold_words,
    stage_act,
    stage_title,
    stage_words,
    until_words,
)
from slowfolio.forecast.planning.times import NO_HOLD, ActKind, Array, CookTimes, HoldTerms, StageTimes
from slowfolio.forecast.planning.warmth import HOUR_S, Warmth, warmth_in_box, warmth_in_course
from slowfolio.forecast.run import run_method
from slowfolio.physics.cook import STEP_S
from slowfolio.physics.results import CookResult
from slowfolio.physics.schedule import StageKind
from slowfolio.units import format_duration

HOLD_AIR_C = 66.0
HOLD_WANTED_S, HOLD_AT_MOST_S = 2 * HOUR_S, 4 * HOUR_S
"""Where a card has no hold but a holder is asked for: 150 °F, 2 h, 4 h at most. Common practice."""


@dataclass(frozen=True, slots=True)
class Setup:
    """What is cooked under which conditions; None keeps the card's own. Runs are shared by it."""

    method: str
    weight_kg: float | None = None
    pit: str | None = None
    holder: str | None = None
    altitude_m: float | None = None


@dataclass(frozen=True, slots=True)
class Forecast:
    """One method as the engine cooks it: the card as planned, the result, and the planner's readings of it.

    `notes` tell what was assumed and what the engine remarked.
    """

    setup: Setup
    method: cards.Method
    cook: CookResult
    times: CookTimes
    piece_kg: float
    grate_m2: float
    notes: tuple[str, ...]

    @property
    def pit(self) -> str:
        """Id of the pit the cook begins on."""
        return self.setup.pit or self.method.pit

    def hold_for(self, pieces: int, book: cards.Book) -> HoldTerms:
        """What the hold offers so many pieces."""
        hold = self.method.hold
        if hold is None:
            return NO_HOLD
        holder, rules = book.holders[hold.holder], rules_of(book.card)
        warmth = self.warmth(pieces, book)
        too_cool, rule = warmth.first_limit(rules)
        return HoldTerms(
            holder=holder.id,
            title=holder.title,
            wanted_s=hold.for_s,
            at_most_s=hold.at_most_s,
            do=hold_words(hold, book),
            rules_s=warmth.rules_s,
            floor_c=rules.hot_hold_min_c,
            too_cool=too_cool,
            rule=rule,
        )

    def warmth(self, pieces: int, book: cards.Book) -> Warmth:
        """How long the hold keeps to the floor of the book's authority."""
        assert self.method.hold is not None
        holder, rules = book.holders[self.method.hold.holder], rules_of(book.card)
        ready = len(self.times.stages) - 1
        if not holder.heated:
            return warmth_in_box(
                self.cook, holder, rules, room_c=book.card.room_temp_c, pieces=pieces, ready=ready
            )
        return warmth_in_course(self.cook, rules, pulled=len(self.times.on_pit) - 1, ready=ready)

    def held_kg(self) -> float:
        """Weight of one piece as it goes into the hold, of the heavier ones (P90)."""
        return float(np.percentile(self.cook.ends.mass_kg[len(self.times.stages) - 1], 90.0))

    def yield_of(self, cut: cards.Cut, *, held_s: float) -> PieceYield:
        """Weights of one piece that is held for `held_s`."""
        at_h = (self.times.ready_s + max(0.0, held_s)) / HOUR_S
        line = self.cook.timeline
        mass = [float(np.interp(h, line.time_h, line.mass_kg[:, i])) for i, h in enumerate(at_h)]
        cooked: Array = np.asarray(mass, dtype=np.float64) / self.piece_kg
        return PieceYield(self.piece_kg, cut.bone_fraction.value, cut.trim_fraction.value, cooked)


def forecast(setup: Setup, book: cards.Book, *, members: int, seed: int) -> Forecast:
    """Cook a method under the conditions of `setup` and read it for the planner.

    Raises PlanInputError for an id that is not in the book, PhysicsInputError for what no kitchen can have,
    NoForecastError where the engine gave no times.
    """
    check_ids(setup, book)
    method, notes = with_holder(book.methods[setup.method], book, setup.holder)
    return forecast_of(method, setup, book, members=members, seed=seed, notes=notes)


def forecast_of(
    method: cards.Method,
    setup: Setup,
    book: cards.Book,
    *,
    members: int,
    seed: int,
    notes: tuple[str, ...] = (),
    step_s: float = STEP_S,
) -> Forecast:
    """The same for a method that need not be a card of the book: a card with one thing changed."""
    longest = method
    if method.hold is not None:
        longest = replace(method, hold=replace(method.hold, for_s=method.hold.at_most_s))
    conditions = Conditions(weight_kg=setup.weight_kg, pit=setup.pit, altitude_m=setup.altitude_m)
    # A run that goes wrong is told in one sentence below, not in warnings of the array library.
    with np.errstate(all="ignore"):
        cook = run_method(longest, book, members=members, seed=seed, conditions=conditions, step_s=step_s)
    return read_cook(cook, method, setup, book, notes=notes)


def read_cook(
    cook: CookResult, method: cards.Method, setup: Setup, book: cards.Book, *, notes: tuple[str, ...] = ()
) -> Forecast:
    """What the planner reads of a cook that was simulated for as long as the hold may last."""
    weight_kg = cook.joint.weight_kg
    return Forecast(
        setup=setup,
        method=method,
        cook=cook,
        times=cook_times(cook, method, book, setup.pit or method.pit),
        piece_kg=weight_kg,
        grate_m2=grate_of_piece_m2(book.cuts[method.cut], weight_kg),
        notes=(*notes, *(finding.message for finding in cook.findings)),
    )


def grate_of_piece_m2(cut: cards.Cut, weight_kg: float) -> float:
    """The grate one piece asks for: its taped length by its taped width, scaled to its weight.

    The corners that a rounded piece leaves free are the air between it and the next. Common practice.
    """
    scale = math.pow(weight_kg / cut.typical_weight_kg, 2.0 / 3.0)
    return cut.length_m.value * cut.width_m.value * scale


def check_ids(setup: Setup, book: cards.Book) -> None:
    """Refuse ids that are not in the book, with the one that was meant."""
    asked = (
        ("method", setup.method, book.methods),
        ("pit", setup.pit, book.pits),
        ("holder", setup.holder, book.holders),
    )
    for kind, name, known in asked:
        if name is not None and name not in known:
            meant = close_match(name, known) or close_part(name, known)
            advice = f"did you mean {meant}?" if meant else f"it has {listed(sorted(known))}"
            raise PlanInputError(f"no {kind} {name!r} in this book; {advice}")


def close_part(name: str, known: Iterable[str]) -> str | None:
    """The one id that has a word close to `name` in it: "ofset" for "offset-stick-burner"."""
    found = [each for each in known if close_match(name, each.split("-")) is not None]
    return found[0] if len(found) == 1 else None


def with_holder(
    method: cards.Method, book: cards.Book, holder_id: str | None
) -> tuple[cards.Method, tuple[str, ...]]:
    """The method held in another holder, as near to its card as the holder allows, and what was assumed."""
    if holder_id is None or (method.hold is not None and method.hold.holder == holder_id):
        return method, ()
    holder, notes = book.holders[holder_id], []
    hold = method.hold
    if hold is None:
        wrap = method.vent.wrap if method.vent is not None else method.stages[-1].wrap
        hold = cards.Hold(holder_id, HOLD_AIR_C, None, wrap, HOLD_WANTED_S, HOLD_AT_MOST_S, "")
        notes.append(
            f"the card has no hold: planned for {format_duration(HOLD_WANTED_S)}, at most "
            f"{format_duration(HOLD_AT_MOST_S)} (common practice)"
        )
    else:
        notes.append(f"the longest hold is the card's for the {book.holders[hold.holder].title.lower()}")
    air_c = min(max(hold.air_temp_c, holder.air_temp_c.low), holder.air_temp_c.high)
    if abs(air_c - hold.air_temp_c) > 0.5:
        notes.append(f"held at {both(air_c)}, the nearest the {holder.title.lower()} goes to the card's")
    other = replace(hold, holder=holder_id, air_temp_c=air_c, relative_humidity=None)
    return replace(method, hold=other), tuple(notes)


# --- reading the engine -----------------------------------------------------------------------------


def cook_times(cook: CookResult, method: cards.Method, book: cards.Book, pit: str) -> CookTimes:
    """The engine's stage ends with the act that begins each stage, the hold left out."""
    ends_s = cook.ends.time_h * HOUR_S
    kept = [i for i, stage in enumerate(cook.schedule.stages) if stage.kind is not StageKind.HOLD]
    sound = (ends_s[kept], cook.ends.core_c, cook.ends.mass_kg, cook.ends.coldest_c)
    if not all(np.isfinite(values).all() for values in sound):
        raise NoForecastError(
            f"{method.id}: the cook engine gave no finite times or temperatures; nothing can be planned on it"
        )
    stages = [
        StageTimes(
            name=stage_title(index, method, book),
            act=stage_act(index, method),
            do=stage_words(index, method, book),
            pit=stage.pit or pit,
            pit_temp_c=stage.pit_temp_c,
            ends_s=ends_s[index],
            ends_when=until_words(stage.until),
        )
        for index, stage in enumerate(method.stages)
    ]
    if method.vent is not None:
        stages.append(
            StageTimes(
                name="Vent",
                act=ActKind.VENT,
                do=method.vent.where,
                pit="",
                pit_temp_c=book.card.room_temp_c,
                ends_s=ends_s[len(method.stages)],
                ends_when=falling_words(method.vent.until),
            )
        )
    return CookTimes(tuple(stages))
