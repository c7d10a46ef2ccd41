"""The data of a new method card from a few choices: the equipment's own ranges, the trade's usual figures.

What is written here is a beginning that a cook changes; that it passes check and rules is seen to by `trial`,
which turns the knobs. Temperatures and times are common practice, no source, and the card says so.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any

from slowfolio.book.model import Book, Cut, Holder, Pit, Wrap
from slowfolio.drafts import method_words as words
from slowfolio.units import Range, System, format_duration, format_temperature

HOUR_S = 3600.0
POUND_KG = 0.45359237
"""Exact by the international agreement of 1959 (MEMORY)."""
POULTRY_VENT_S = 15 * 60.0
POULTRY = frozenset({"chicken", "turkey", "duck", "goose"})
START_C = 3.0
SLOW_PITS_C = tuple(((a - 32) / 1.8, (b - 32) / 1.8) for a, b in ((250, 275), (275, 300)))
EVEN_PITS_C = tuple(((a - 32) / 1.8, (b - 32) / 1.8) for a, b in ((250, 275), (225, 250)))
SMOKE_CORE_C, POULTRY_SMOKE_CORE_C = (160 - 32) / 1.8, (120 - 32) / 1.8
TENDER_C, POULTRY_C, SLICING_C = (198 - 32) / 1.8, (165 - 32) / 1.8, (145 - 32) / 1.8
VENT_C = (175 - 32) / 1.8
VENTS_S = (45 * 60.0, 20 * 60.0, 10 * 60.0)
HOTTER_CORES_K = (0.0, 5.6, 11.1)
HOLDS_C = (150 - 32) / 1.8, (165 - 32) / 1.8
"""Common practice, no source: how long a piece rests, how far past the usual core it is cooked where its
coldest point lags, and how warm it is held, in the order tried."""
HELD_S, BOX_HELD_S = 4 * HOUR_S, 2 * HOUR_S
REVIEW_AFTER_MONTHS = 6
TYPICAL_RANGE = 0.12
"""Half width of the written weights about the cut's typical one; the check allows a factor of two in all."""


@dataclass(frozen=True, slots=True)
class Choices:
    """What a contributor chooses: the equipment by its cards, and what the card is called."""

    id: str
    title: str
    owner: str
    cut: Cut
    pit: Pit
    wrap: Wrap
    holder: Holder | None
    today: date
    system: System
    choose_when: str = ""


@dataclass(frozen=True, slots=True)
class Knobs:
    """What may be turned until the computed cook passes the rules."""

    smoke_c: float
    finish_c: float
    core_c: float
    vent_wrap: str
    vent_s: float
    hold_c: float | None
    hold_wrap: str


def candidates(choices: Choices, book: Book) -> Iterator[tuple[Knobs, ...]]:
    """Settings to try in order: for each way to cook it, every way to rest and hold it."""
    own, tight = choices.wrap.id, tight_wrap(book)
    covers = (tight,) if choices.holder is not None and not choices.holder.heated else (own, tight)
    for core_c in finish_cores_c(choices.cut):
        for smoke_c, finish_c in pit_temps(choices.pit, choices.cut):
            yield tuple(
                Knobs(smoke_c, finish_c, core_c, cover, vent_s, hold_c, cover)
                for cover in dict.fromkeys(covers)
                for vent_s in VENTS_S
                for hold_c in hold_temps(choices, core_c)
            )


def pit_temps(pit: Pit, cut: Cut) -> tuple[tuple[float, float], ...]:
    """Pit temperatures of smoke and finish, within what the pit holds; the usual first."""
    pairs = SLOW_PITS_C if cut.tender_by_collagen else EVEN_PITS_C
    return tuple(dict.fromkeys((within(a, pit.pit_temp_c), within(b, pit.pit_temp_c)) for a, b in pairs))


def hold_temps(choices: Choices, core_c: float) -> tuple[float | None, ...]:
    """Air temperatures of the hold, within the holder's reach and below the finish; None without a hold."""
    if choices.holder is None:
        return (None,)
    reach = choices.holder.air_temp_c
    below_finish = Range(reach.low, max(reach.low, min(reach.high, core_c)))
    return tuple(dict.fromkeys(within(temp_c, below_finish) for temp_c in HOLDS_C))


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


def finish_cores_c(cut: Cut) -> tuple[float, ...]:
    """The core temperature the cook ends at, or starts probing at; hotter ones where no probe tells."""
    if cut.tender_by_collagen:
        return (TENDER_C,)
    first_c = POULTRY_C if cut.species in POULTRY else SLICING_C
    return tuple(first_c + step for step in HOTTER_CORES_K)


# --- the card's data --------------------------------------------------------------------------------


def method_data(choices: Choices, knobs: Knobs, book: Book) -> dict[str, Any]:
    """The card, field by field in the order of the schema."""
    cut, wrap = choices.cut, choices.wrap
    data: dict[str, Any] = {
        "id": choices.id,
        "title": choices.title,
        "choose_when": choices.choose_when or words.choose_when(cut, wrap, choices.holder),
        "status": "draft",
        "owner": choices.owner,
        "revision": 1,
        "reviewed": choices.today,
        "review_by": months_after(choices.today, REVIEW_AFTER_MONTHS),
        "cut": cut.id,
        "piece": {
            "weight": weights_text(cut, choices.system),
            "start_temperature": format_temperature(START_C, choices.system),
            "trim": words.TRIM,
        },
        "seasoning": [
            {"item": "coarse salt", "use": "rub", "amount": "1/4 cup"},
            {"item": "coarse black pepper", "use": "rub", "amount": "1/4 cup"},
        ],
        "pit": choices.pit.id,
        "fuel": choices.pit.fuels[0],
        "stages": [smoke_stage(choices, knobs, book), finish_stage(choices, knobs)],
        "vent": vent(choices, knobs),
    }
    if choices.holder is not None and knobs.hold_c is not None:
        data["hold"] = hold(choices, knobs, choices.holder)
    data |= {
        "expect": words.expectations(cut, wrap, choices.pit),
        "handling": words.handling(cut),
        "cautions": words.cautions(choices.pit, cut),
        "allergens": allergens(choices, knobs, book),
        "sources": [words.SOURCE],
    }
    return data


def smoke_stage(choices: Choices, knobs: Knobs, book: Book) -> dict[str, Any]:
    """Bare in the smoke until the bark is set."""
    poultry = choices.cut.species in POULTRY
    target_c = POULTRY_SMOKE_CORE_C if poultry or not choices.cut.tender_by_collagen else SMOKE_CORE_C
    return {
        "name": "Smoke",
        "pit_temperature": format_temperature(knobs.smoke_c, choices.system),
        "until": {"core_temperature": format_temperature(target_c, choices.system), "at_most": "12 h"},
        "wrap": bare_wrap(book, choices.wrap).id,
        "look_for": words.smoke_signs(choices.pit),
        "why": words.SMOKE_WHY,
    }


def finish_stage(choices: Choices, knobs: Knobs) -> dict[str, Any]:
    """In the chosen wrap until it is done."""
    core = format_temperature(knobs.core_c, choices.system)
    key = "probe_tender_from" if choices.cut.tender_by_collagen else "core_temperature"
    return {
        "name": words.stage_name(choices.wrap),
        "pit_temperature": format_temperature(knobs.finish_c, choices.system),
        "until": {key: core, "at_most": "12 h"},
        "wrap": choices.wrap.id,
        "look_for": words.finish_signs(choices.cut, core),
        "why": words.finish_why(choices.wrap),
        "cautions": [words.LIFTING],
    }


def vent(choices: Choices, knobs: Knobs) -> dict[str, Any]:
    """The rest before the hold or the board."""
    if choices.cut.tender_by_collagen:
        until = {
            "core_temperature": format_temperature(VENT_C, choices.system),
            "at_most": format_duration(knobs.vent_s),
        }
    else:
        until = {"time": format_duration(min(knobs.vent_s, POULTRY_VENT_S))}
    return {"until": until, "wrap": knobs.vent_wrap, "where": words.VENT_WHERE, "why": words.VENT_WHY}


def hold(choices: Choices, knobs: Knobs, holder: Holder) -> dict[str, Any]:
    """The hold, short enough for any holder; a cook lengthens it with `slowfolio hold` beside it."""
    assert knobs.hold_c is not None
    planned = HELD_S if holder.heated else BOX_HELD_S
    return {
        "holder": holder.id,
        "air_temperature": format_temperature(knobs.hold_c, choices.system),
        "humidity": "auto",
        "wrap": knobs.hold_wrap,
        "for": format_duration(planned / 2),
        "at_most": format_duration(planned),
        "why": words.hold_why(holder),
    }


def allergens(choices: Choices, knobs: Knobs, book: Book) -> list[str]:
    """Allergens of the fats in the wraps; the seasoning of a new card carries none."""
    used = {choices.wrap.id, knobs.vent_wrap, knobs.hold_wrap}
    fats = {book.wraps[name].added_fat for name in used if name in book.wraps}
    return ["milk"] if "clarified butter" in fats else []


def weights_text(cut: Cut, system: System) -> str:
    """Weights about the cut's typical one, to the half pound or tenth of a kilogram, in the cut's range."""
    unit, step, unit_kg = ("lb", 0.5, POUND_KG) if system is System.US else ("kg", 0.1, 1.0)
    low, high = (
        within(
            round(cut.typical_weight_kg * share / unit_kg / step) * step, _in_units(cut.weight_kg, unit_kg)
        )
        for share in (1 - TYPICAL_RANGE, 1 + TYPICAL_RANGE)
    )
    return f"{low:.4g}–{high:.4g} {unit}"


def _in_units(weight: Range, unit_kg: float) -> Range:
    return Range(weight.low / unit_kg, weight.high / unit_kg)


def months_after(day: date, months: int) -> date:
    """The same day some months on; the 28th at the latest."""
    year, month = divmod(day.month - 1 + months, 12)
    return date(day.year + year, month + 1, min(day.day, 28))
