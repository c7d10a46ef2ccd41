"""A tasting design as the JSON the command line prints; see schema/output/tasting-design.schema.json."""

from __future__ import annotations

from typing import Any

from slowfolio.tasting.carving import CarvingPlan
from slowfolio.tasting.plan import TastingPlan
from slowfolio.tasting.printed import SERVE_ALIKE, effect_text
from slowfolio.tasting.procedure import procedure_of
from slowfolio.tasting.question import Kind
from slowfolio.tasting.sheets import TasterSheet, carver_rows

DIGITS = 6


def design_record(plan: TastingPlan, sheets: tuple[TasterSheet, ...], carving: CarvingPlan | None) -> Any:
    """The whole result of `slowfolio tasting design --json`."""
    return {
        "question": plan.choice.question.value,
        "test": procedure_of(plan.choice).value,
        "sides": plan.choice.sides.value,
        "reason": plan.choice.reason,
        "provenance": "computed",
        "products": list(plan.products),
        "seed": plan.seed,
        "alpha": plan.alpha,
        "looked_for": effect_text(plan.choice, plan.effect),
        **_effect(plan),
        "tasters": plan.tasters,
        "tasters_needed": plan.size.needed.stable,
        "tasters_first_enough": plan.size.needed.first,
        "round_of": plan.size.round_of,
        "tasters_advised": plan.size.advised,
        "power": round(plan.power, DIGITS),
        "balanced": plan.balance.even,
        "pieces_each": plan.sitting.pieces,
        "pause_s": plan.sitting.pause_s,
        "rests": plan.sitting.rests,
        "rest_s": plan.sitting.rest_s,
        "sitting_s": plan.sitting.duration_s,
        "notes": list(plan.notes),
        "serve_alike": list(SERVE_ALIKE),
        "servings": [
            {"taster": one.taster, "place": one.place, "product": one.product, "code": one.code}
            for one in plan.servings
        ],
        "sheets": [_sheet(sheet) for sheet in sheets],
        "carving": None if carving is None else _carving(carving),
    }


def _effect(plan: TastingPlan) -> dict[str, float | None]:
    kind, effect = plan.choice.kind, plan.effect
    liked = kind in (Kind.PREFERENCE, Kind.PREFERENCE_PAIRS)
    return {
        "telling": effect.telling if kind is Kind.RIGHT_OR_WRONG else None,
        "preferring": effect.preferring if liked else None,
        "points": effect.score if kind is Kind.SCORES else None,
        "spread": effect.score_spread if kind is Kind.SCORES else None,
        "d_prime": effect.d_prime if kind is Kind.RANKING else None,
    }


def _sheet(sheet: TasterSheet) -> dict[str, Any]:
    return {
        "taster": sheet.taster,
        "task": sheet.task,
        "codes": [row.code for row in sheet.rows],
        "choices": list(sheet.choices),
        "attributes": [
            {"name": one.name, "part": one.part, "low": one.low, "high": one.high, "ask": one.ask}
            for one in sheet.attributes
        ],
        "reminders": list(sheet.reminders),
    }


def _carving(carving: CarvingPlan) -> dict[str, Any]:
    return {
        "slices": carving.slices,
        "reserve": carving.reserve,
        "pieces": [
            {
                "product": row.product,
                "part": row.part,
                "slice": row.slice_number,
                "piece": row.piece_number,
                "distance_m": round(row.distance_m, DIGITS),
                "code": row.code,
                "taster": row.taster,
                "place": row.place,
            }
            for row in carver_rows(carving)
        ],
    }
