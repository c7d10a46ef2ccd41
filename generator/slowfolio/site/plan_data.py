"""The figures the Plan page's script reads: one small script for each method, loaded when it is chosen.

A page opened from a folder may load a classic script but no data, so each file calls the page's own taker
with a JSON value. Times and yields are the method's `PlanBasis`; titles and what to do are the card's.
"""

import json
from collections.abc import Mapping
from typing import Any

from slowfolio.book.model import Book, Method, Pit
from slowfolio.enrich.results import MethodResult
from slowfolio.forecast.authority import rules_of
from slowfolio.forecast.planning import leads
from slowfolio.forecast.planning.acts import THAW_WORDS
from slowfolio.forecast.planning.basis import AtWeight, PlanBasis, as_written, hold_of, piece_m2, times_of
from slowfolio.forecast.planning.kitchen import PITS_APART_K, TOGETHER_S
from slowfolio.forecast.planning.lookup import with_house_figures
from slowfolio.forecast.planning.order import (
    CONFIDENCE,
    LEAST_CONFIDENCE,
    MOST_CONFIDENCE,
    MOST_COOKS,
    MOST_ITEMS,
    OrderItem,
)
from slowfolio.forecast.planning.portions import (
    BOARD_LOSS,
    LEAST_PORTION_KG,
    MOST_GUESTS,
    MOST_PIECES,
    MOST_PORTION_KG,
    PORTION_KG,
    SURE_SHARE,
)
from slowfolio.forecast.planning.prices import KG_PER, MOST
from slowfolio.forecast.planning.purchase import wrap_titles
from slowfolio.forecast.planning.remarks import OUT_WORTH_S
from slowfolio.forecast.planning.remedies import WORTH_S, Remedy
from slowfolio.forecast.planning.service import MOST_LOADS, SINGLE_PIECES_AT_MOST
from slowfolio.units import Range

FOLDER = "plan-data"


def plan_files(book: Book, results: Mapping[str, MethodResult]) -> dict[str, str]:
    """The scripts by their address on the site."""
    return {
        f"{FOLDER}/{name}.js": script(name, plan_record(book.methods[name], result.plan, book))
        for name, result in results.items()
        if result.plan is not None
    }


def script(name: str, record: Mapping[str, Any]) -> str:
    """A classic script that hands a value to the page. JSON in ASCII cannot end a script or a line."""
    value = json.dumps(record, ensure_ascii=True, separators=(",", ":"), allow_nan=False)
    return f"Slowfolio.plan.take({json.dumps(name)},{value});\n".replace("<", "\\u003c")


def plan_record(method: Method, basis: PlanBasis, book: Book) -> dict[str, Any]:
    """A method as the page plans it."""
    cut = book.cuts[method.cut]
    own = as_written(basis)
    times = times_of(basis, method, book, own)
    pits = {method.pit: book.pits[method.pit]} | {s.pit: book.pits[s.pit] for s in method.stages if s.pit}
    return {
        "id": method.id,
        "title": method.title,
        "cut": cut.title,
        "bone": cut.bone_fraction.value,
        "trimLoss": cut.trim_fraction.value,
        "trim": method.piece.trim,
        **served_record(method, book),
        "piece": basis.piece_kg,
        "heldKg": basis.held_kg,
        "pieceM2": piece_m2(cut, own),
        "light": weight_record(basis.light),
        "heavy": weight_record(basis.heavy),
        "pit": method.pit,
        "pits": {pit.id: pit_record(pit) for pit in pits.values()},
        "stages": [
            {
                "act": stage.act.value,
                "name": stage.name,
                "do": stage.do,
                "pit": stage.pit,
                "pitTemp": round(stage.pit_temp_c, 2),
                "when": stage.ends_when,
            }
            for stage in times.stages
        ],
        "ends": basis.ends_s,
        "held": basis.held_s,
        "cooked": basis.cooked,
        "rules": basis.rules_s,
        "hold": hold_record(basis, method, book),
        "seasoning": [[part.item, part.amount] for part in method.seasoning],
        "wraps": wrap_titles(method, book),
        "remedies": [remedy_record(remedy) for remedy in basis.remedies],
        "notes": list(basis.notes),
        "engine": basis.engine,
        "members": basis.members,
        "seed": basis.seed,
    }


def served_record(method: Method, book: Book) -> dict[str, Any]:
    """The portion and the price of the meat where the order leaves them open, as the command takes them."""
    item = with_house_figures(OrderItem(method.id), book)
    return {"portion": item.portion_kg, "price": book.card.serving.prices.get(method.cut, "")}


def weight_record(at: AtWeight | None) -> dict[str, Any] | None:
    """How a piece at one end of the card's weight differs."""
    return None if at is None else {"weight": at.weight_kg, "stretch": at.stretch, "cooked": at.cooked}


def pit_record(pit: Pit) -> dict[str, Any]:
    """A pit as a place."""
    return {
        "id": pit.id,
        "title": pit.title,
        "kind": pit.kind,
        "load": pit.load_kg.value,
        "area": pit.grate_area_m2.value,
    }


def hold_record(basis: PlanBasis, method: Method, book: Book) -> dict[str, Any] | None:
    """The hold as its card has it, with the limit of warmth; how long that is met is in the rules."""
    if method.hold is None:
        return None
    terms = hold_of(basis, method, book, 1)
    holder = book.holders[method.hold.holder]
    return {
        "holder": terms.holder,
        "title": terms.title,
        "wanted": terms.wanted_s,
        "atMost": terms.at_most_s,
        "do": terms.do,
        "tooCool": terms.too_cool,
        "rule": terms.rule,
        "load": holder.load_kg.value,
        "heated": holder.heated,
        "out": round(basis.out_s),
        "floor": terms.floor_c,
        "floorF": f"{rules_of(book.card).hot_hold_min_f:g}",
        "floorRule": str(rules_of(book.card).hot_hold),
    }


def remedy_record(remedy: Remedy) -> dict[str, Any]:
    """One thing to do at the pit, with what it brings, s."""
    gain = remedy.gain_s
    return {
        "when": remedy.when.value,
        "do": remedy.do,
        "gain": None if gain is None else [round(gain.p10), round(gain.p50), round(gain.p90)],
        "provenance": remedy.provenance.value,
    }


def facts() -> dict[str, Any]:
    """The planner's constants and its fixed words, for the script: written down once, in the planner."""
    return {
        "leads": lead_facts(),
        "confidence": [CONFIDENCE, LEAST_CONFIDENCE, MOST_CONFIDENCE],
        "portion": [PORTION_KG, LEAST_PORTION_KG, MOST_PORTION_KG],
        "boardLoss": BOARD_LOSS,
        "sureShare": SURE_SHARE,
        "mostGuests": MOST_GUESTS,
        "mostPieces": MOST_PIECES,
        "mostItems": MOST_ITEMS,
        "mostCooks": MOST_COOKS,
        "mostPrice": float(MOST),
        "kgPer": {name: float(factor) for name, factor in KG_PER.items()},
        "sliceEarly": leads.SLICE_EARLY_AT_MOST_S,
        "relightAfter": leads.RELIGHT_AFTER_S,
        "together": TOGETHER_S,
        "pitsApart": PITS_APART_K,
        "mostLoads": MOST_LOADS,
        "mostSingle": SINGLE_PIECES_AT_MOST,
        "outWorth": OUT_WORTH_S,
        "worth": WORTH_S,
        "words": {
            "thaw": "Into the refrigerator to thaw",
            "thawFresh": THAW_WORDS[leads.Meat.FRESH],
            "thawFrozen": THAW_WORDS[leads.Meat.FROZEN],
            "trim": "Trim",
            "rub": "Rub",
            "rubDo": "Binder and rub; let it stand until wet.",
            "light": "Light the",
            "lightDo": "It must stand at its temperature, read at the grate, when the piece goes on.",
            "pull": "Pull",
            "pullSign": "off the pit.",
            "pullDone": "Off the pit when it is done.",
            "into": "Into the",
            "outOf": "Out of the",
            "slice": "Slice",
            "sliceFirst": "The first piece now, the others to order.",
            "sliceOrder": "To order.",
            "serve": "Serve",
        },
    }


def lead_facts() -> dict[str, Any]:
    """Lead times, s; ranges from a quick hand to a slow one."""

    def span(value: Range) -> list[float]:
        return [value.low, value.high]

    return {
        "largeKg": leads.LARGE_PIECE_KG,
        "thawPerKg": span(leads.THAW_S_PER_KG),
        "trimLarge": span(leads.TRIM_LARGE_S),
        "trimSmall": span(leads.TRIM_SMALL_S),
        "rub": span(leads.RUB_S),
        "rubRests": span(leads.RUB_RESTS_S),
        "sliceLarge": span(leads.SLICE_LARGE_S),
        "sliceSmall": span(leads.SLICE_SMALL_S),
        "light": {kind: span(value) for kind, value in leads.LIGHT_S.items()},
        "lightOther": span(leads.LIGHT_OTHER_S),
        "lightHands": leads.LIGHT_HANDS_S,
        "stageHands": leads.STAGE_HANDS_S,
        "wrapHands": leads.WRAP_HANDS_S,
        "moveHands": leads.MOVE_HANDS_S,
    }
