"""The data of a new method card from a few choices and the settings that passed.

What is written here is a beginning that a cook changes. Temperatures and times are common practice, no
source, and the card says so. `trial` calls.
"""

from datetime import date
from typing import Any

from slowfolio.book.model import Book, Cut, Holder
from slowfolio.drafts import method_words as words
from slowfolio.drafts.choices import Choices
from slowfolio.drafts.knobs import POULTRY, Knobs, bare_wrap, first_core_c, from_f, within
from slowfolio.units import Range, System, format_duration, format_temperature

POUND_KG = 0.45359237
"""Exact by the international agreement of 1959 (MEMORY)."""
START_C = 3.0
SMOKE_CORE_C, LEAN_SMOKE_CORE_C = from_f(160.0), from_f(120.0)
"""Common practice, no source: the core when the smoke has done its work."""
REVIEW_AFTER_MONTHS = 6
TYPICAL_RANGE = 0.12
"""Half width of the written weights about the cut's typical one; the check allows a factor of two in all."""


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
            "trim": words.POULTRY_TRIM if cut.species in POULTRY else words.TRIM,
        },
        "seasoning": [
            {"item": "coarse salt", "use": "rub", "amount": words.SALT},
            {"item": "coarse black pepper", "use": "rub", "amount": "to cover"},
        ],
        "pit": choices.pit.id,
        "fuel": choices.pit.fuels[0],
        "stages": [smoke_stage(choices, knobs, book), finish_stage(choices, knobs)],
        "vent": vent(knobs),
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
    target_c = SMOKE_CORE_C if choices.cut.tender_by_collagen else LEAN_SMOKE_CORE_C
    return {
        "name": "Smoke",
        "pit_temperature": format_temperature(knobs.smoke_c, choices.system),
        "until": {
            "core_temperature": format_temperature(target_c, choices.system),
            "at_most": format_duration(knobs.stage_s),
        },
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
        "until": {key: core, "at_most": format_duration(knobs.stage_s)},
        "wrap": choices.wrap.id,
        "look_for": finish_signs(choices, knobs),
        "why": words.finish_why(choices.wrap),
        "cautions": [words.LIFTING],
    }


def finish_signs(choices: Choices, knobs: Knobs) -> list[str]:
    """What tells that it is done; a lean cut whose coldest spot lags is read in four places."""
    core = format_temperature(knobs.core_c, choices.system)
    usual_c = first_core_c(choices.cut)
    if choices.cut.tender_by_collagen:
        return words.tender_signs(core)
    if knobs.core_c < usual_c + 0.1:
        return words.lean_signs(core)
    return words.lagging_signs(core, format_temperature(usual_c, choices.system))


def vent(knobs: Knobs) -> dict[str, Any]:
    """The rest before the hold or the board."""
    return {
        "until": {"time": format_duration(knobs.vent_s)},
        "wrap": knobs.rest_wrap,
        "where": words.VENT_WHERE,
        "why": words.VENT_WHY,
    }


def hold(choices: Choices, knobs: Knobs, holder: Holder) -> dict[str, Any]:
    """The hold, short enough for any holder; a cook lengthens it with `slowfolio hold` beside it."""
    assert knobs.hold_c is not None
    return {
        "holder": holder.id,
        "air_temperature": format_temperature(knobs.hold_c, choices.system),
        "humidity": "auto",
        "wrap": knobs.rest_wrap,
        "for": format_duration(knobs.hold_s / 2),
        "at_most": format_duration(knobs.hold_s),
        "why": words.hold_why(holder),
    }


def allergens(choices: Choices, knobs: Knobs, book: Book) -> list[str]:
    """Allergens of the fats in the wraps; the seasoning of a new card carries none."""
    used = {choices.wrap.id, knobs.rest_wrap}
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
