"""The settings of a new method: where they begin, and which is turned when its computed cook misses a rule.

Every knob turns one way and has a last stop, so turning ends. Temperatures and times are common practice, no
source. `trial` cooks and asks; `method_draft` writes the settings down.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from enum import Enum

from slowfolio.book.findings import listed
from slowfolio.book.model import Book, Cut, Holder, Pit, Wrap
from slowfolio.book.rules.case import both
from slowfolio.drafts.choices import Choices
from slowfolio.forecast.authority import rules_of
from slowfolio.units import Range

HOUR_S, MINUTE_S = 3600.0, 60.0
POULTRY = frozenset({"chicken", "turkey", "duck", "goose"})


def from_f(temp_f: float) -> float:
    """The temperature in °C of one written in °F."""
    return (temp_f - 32.0) / 1.8


PIT_SMOKE_C, PIT_FINISH_C = from_f(250.0), from_f(275.0)
PIT_STEP_K = 25.0 / 1.8
PIT_SMOKE_REACH_C = Range(from_f(225.0), from_f(300.0))
TENDER_C, EARLY_TENDER_C, POULTRY_C, SLICING_C = (from_f(temp_f) for temp_f in (195.0, 190.0, 165.0, 145.0))
HOTTEST_LEAN_C, HOTTEST_TENDER_C = from_f(194.0), from_f(205.0)
PIT_ABOVE_CORE_K = 15.0
"""As the engine advises where a stage misses its target: the last degrees take for ever."""
CORE_STEP_K, CORE_PER_COLDEST = 3.0 / 1.8, 1.2
"""CALIBRATED over the starter book: how much hotter the core must be for a coldest spot a kelvin hotter."""
STAGE_S, LONG_STAGE_S = 12 * HOUR_S, 18 * HOUR_S
VENTS_S = (45 * MINUTE_S, 20 * MINUTE_S, 10 * MINUTE_S)
LIGHT_VENTS_S = (15 * MINUTE_S, 10 * MINUTE_S, 5 * MINUTE_S)
LIGHT_KG = 3.0
HOLD_C, HOLD_STEP_K, HOLD_MOST_C = from_f(150.0), 15.0 / 1.8, from_f(165.0)
HOLDS_S, BOX_HOLDS_S = (4 * HOUR_S, 2 * HOUR_S), (2 * HOUR_S, 1 * HOUR_S)


@dataclass(frozen=True, slots=True)
class Knobs:
    """What may be turned. `rest_wrap` covers vent and hold; `hold_c` is None without a hold."""

    smoke_c: float
    finish_c: float
    core_c: float
    stage_s: float
    rest_wrap: str
    vent_s: float
    hold_c: float | None
    hold_s: float


class Part(Enum):
    """Which part of a cook misses something; the order in which parts are mended."""

    PACE = "slow or never done"
    CORE = "too cool at the coldest spot"
    HOLD = "too cool in the hold"


@dataclass(frozen=True, slots=True)
class Missed:
    """What a tried cook misses: the part, the sentence of rule or engine, and by how much it is too cool."""

    part: Part
    message: str
    shortfall_k: float = 0.0


def first_knobs(choices: Choices, book: Book) -> Knobs:
    """The trade's usual settings within what the equipment can do."""
    core_c = first_core_c(choices.cut)
    boxed = choices.holder is not None and not choices.holder.heated
    return Knobs(
        smoke_c=within(PIT_SMOKE_C, choices.pit.pit_temp_c),
        finish_c=within(PIT_FINISH_C, choices.pit.pit_temp_c),
        core_c=core_c,
        stage_s=STAGE_S,
        rest_wrap=tight_wrap(book) if boxed else choices.wrap.id,
        vent_s=vents_s(choices.cut)[0],
        hold_c=None if choices.holder is None else within(HOLD_C, hold_reach(choices.holder, core_c)),
        hold_s=holds_s(choices.holder)[0],
    )


def turned(knobs: Knobs, missed: Missed, choices: Choices, book: Book) -> Knobs | None:
    """The settings with one knob turned against what was missed; None where no stop is left."""
    match missed.part:
        case Part.PACE:
            turns: tuple[Callable[[], Knobs | None], ...] = (
                lambda: earlier_probing(knobs, choices),
                lambda: hotter_pit(knobs, choices),
                lambda: longer_stages(knobs),
            )
        case Part.CORE:
            turns = (
                lambda: hotter_core(knobs, missed.shortfall_k, choices),
                lambda: covered_rest(knobs, book),
                lambda: gentler_pit(knobs, choices),
            )
        case Part.HOLD:
            turns = (
                lambda: shorter_vent(knobs, choices),
                lambda: warmer_hold(knobs, choices),
                lambda: covered_rest(knobs, book),
                lambda: shorter_hold(knobs, choices),
            )
    return next((found for found in (turn() for turn in turns) if found is not None), None)


# --- one knob at a time -----------------------------------------------------------------------------


def earlier_probing(knobs: Knobs, choices: Choices) -> Knobs | None:
    """Probing from a cooler core: in a damp wrap it stays cooler and turns tender all the same."""
    if not choices.cut.tender_by_collagen or knobs.core_c <= EARLY_TENDER_C:
        return None
    return replace(knobs, core_c=EARLY_TENDER_C)


def longer_stages(knobs: Knobs) -> Knobs | None:
    """More time for each stage."""
    return replace(knobs, stage_s=LONG_STAGE_S) if knobs.stage_s < LONG_STAGE_S else None


def hotter_pit(knobs: Knobs, choices: Choices) -> Knobs | None:
    """The pit one step up in both stages."""
    if knobs.smoke_c + PIT_STEP_K > PIT_SMOKE_REACH_C.high + 0.1:
        return None
    return at_pit(knobs, PIT_STEP_K, choices.pit)


def gentler_pit(knobs: Knobs, choices: Choices) -> Knobs | None:
    """The pit one step down in both stages, which evens a piece out, and the core back at the usual."""
    if knobs.smoke_c - PIT_STEP_K < PIT_SMOKE_REACH_C.low - 0.1:
        return None
    lower = at_pit(knobs, -PIT_STEP_K, choices.pit)
    return None if lower is None else replace(lower, core_c=first_core_c(choices.cut))


def at_pit(knobs: Knobs, step_k: float, pit: Pit) -> Knobs | None:
    """Both stages a step away as far as the pit goes; None where it is at its end already."""
    smoke_c, finish_c = (
        within(temp_c + step_k, pit.pit_temp_c) for temp_c in (knobs.smoke_c, knobs.finish_c)
    )
    moved = replace(knobs, smoke_c=smoke_c, finish_c=finish_c)
    return moved if moved != knobs else None


def hotter_core(knobs: Knobs, shortfall_k: float, choices: Choices) -> Knobs | None:
    """The finish hotter by what brings the coldest spot up by the shortfall."""
    most_c = min(hottest_core_c(choices.cut), knobs.finish_c - PIT_ABOVE_CORE_K)
    core_c = min(knobs.core_c + max(CORE_STEP_K, CORE_PER_COLDEST * shortfall_k), most_c)
    return replace(knobs, core_c=core_c) if core_c > knobs.core_c + 0.1 else None


def warmer_hold(knobs: Knobs, choices: Choices) -> Knobs | None:
    """The holder one step up, below the finish."""
    if choices.holder is None or knobs.hold_c is None or not choices.holder.heated:
        return None
    reach = hold_reach(choices.holder, min(knobs.core_c, HOLD_MOST_C))
    hold_c = within(knobs.hold_c + HOLD_STEP_K, reach)
    return replace(knobs, hold_c=hold_c) if hold_c > knobs.hold_c + 0.1 else None


def shorter_vent(knobs: Knobs, choices: Choices) -> Knobs | None:
    """A shorter rest before the hold."""
    shorter = (vent_s for vent_s in vents_s(choices.cut) if vent_s < knobs.vent_s)
    return next((replace(knobs, vent_s=vent_s) for vent_s in shorter), None)


def covered_rest(knobs: Knobs, book: Book) -> Knobs | None:
    """Rest and hold under the wrap that keeps the steam in."""
    tight = tight_wrap(book)
    return replace(knobs, rest_wrap=tight) if knobs.rest_wrap != tight else None


def shorter_hold(knobs: Knobs, choices: Choices) -> Knobs | None:
    """A shorter hold."""
    shorter = (hold_s for hold_s in holds_s(choices.holder) if hold_s < knobs.hold_s)
    return next((replace(knobs, hold_s=hold_s) for hold_s in shorter), None)


# --- stops and reaches ------------------------------------------------------------------------------


def first_core_c(cut: Cut) -> float:
    """The core temperature the cook ends at by practice, or starts probing at."""
    if cut.tender_by_collagen:
        return TENDER_C
    return POULTRY_C if cut.species in POULTRY else SLICING_C


def hottest_core_c(cut: Cut) -> float:
    """The core past which nobody would serve it."""
    return HOTTEST_TENDER_C if cut.tender_by_collagen else HOTTEST_LEAN_C


def vents_s(cut: Cut) -> tuple[float, ...]:
    """Rests before the hold or the board, the usual first."""
    heavy = cut.tender_by_collagen and cut.typical_weight_kg >= LIGHT_KG
    return VENTS_S if heavy else LIGHT_VENTS_S


def holds_s(holder: Holder | None) -> tuple[float, ...]:
    """The longest the hold may last, the usual first."""
    return HOLDS_S if holder is None or holder.heated else BOX_HOLDS_S


def hold_reach(holder: Holder, core_c: float) -> Range:
    """Air temperatures of the hold: within the holder's reach and not above the finish."""
    reach = holder.air_temp_c
    return Range(reach.low, max(reach.low, min(reach.high, core_c)))


def within(temp_c: float, reach: Range) -> float:
    """The temperature, or the end of the range that is nearest to it."""
    return min(max(temp_c, reach.low), reach.high)


def tight_wrap(book: Book) -> str:
    """A wrap that keeps the steam in, foil before others; the first wrap of the book where none does."""
    tight = sorted(book.wraps.values(), key=lambda wrap: (not wrap.steam_tight, wrap.kind != "foil"))
    return tight[0].id


def bare_wrap(book: Book, otherwise: Wrap) -> Wrap:
    """The card of no wrap at all, or `otherwise` in a book without one."""
    return next((wrap for wrap in book.wraps.values() if wrap.kind == "none"), otherwise)


# --- what cannot work, and what to choose instead ---------------------------------------------------


def unfit(choices: Choices, book: Book) -> str | None:
    """Why no setting of this equipment can work, and what to choose instead; None where one may."""
    core_c, pit = first_core_c(choices.cut), choices.pit
    if not hot_enough(pit, choices.cut):
        return (
            f"{pit.title} goes to {both(pit.pit_temp_c.high)} and {choices.cut.title.lower()} is done at "
            f"{both(core_c)} in the core, which takes a pit {PIT_ABOVE_CORE_K * 1.8:.0f} °F "
            f"({PIT_ABOVE_CORE_K:.0f} °C) hotter; {instead(Part.PACE, choices, book)}"
        )
    floor_c = rules_of(book.card).hot_hold_min_c
    holder = choices.holder
    if holder is not None and holder.air_temp_c.high < floor_c:
        return (
            f"{holder.title} goes to {both(holder.air_temp_c.high)}, below the hot-hold floor of "
            f"{both(floor_c)}; {instead(Part.HOLD, choices, book)}"
        )
    return None


def instead(part: Part, choices: Choices, book: Book) -> str:
    """What to choose so that this part can be met."""
    if part is Part.HOLD:
        others = [
            each.id
            for each in book.holders.values()
            if each.heated and each != choices.holder and each.air_temp_c.high >= HOLD_C
        ]
        return f"{one_of('--holder', others)}, or --holder none"
    tight = [each.id for each in book.wraps.values() if each.steam_tight]
    if part is Part.CORE and not choices.wrap.steam_tight and tight:
        return f"{one_of('--wrap', tight)}, which brings all of the piece near one temperature"
    hotter = [
        each.id
        for each in book.pits.values()
        if hot_enough(each, choices.cut) and each.pit_temp_c.high > choices.pit.pit_temp_c.high
    ]
    return (
        one_of("--pit", hotter) if hotter else "choose a smaller cut, or put the pit's real range on its card"
    )


def hot_enough(pit: Pit, cut: Cut) -> bool:
    """Whether the pit goes far enough above the core a cut is done at."""
    return pit.pit_temp_c.high >= first_core_c(cut) + PIT_ABOVE_CORE_K


def one_of(option: str, names: list[str]) -> str:
    """What to write with an option."""
    return f"choose {option} {listed(names)}" if names else f"add a card for another {option.strip('-')}"
