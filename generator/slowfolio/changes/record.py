"""A comparison of two states of a book as JSON; see schema/output/diff.schema.json."""

from typing import Any

from slowfolio.changes.cards import FieldChange
from slowfolio.changes.compare import BookChange, MethodChange, ModelChange
from slowfolio.changes.effect import Compared, ComparedVerdict, Difference
from slowfolio.changes.outcome import Judged, Spread

UNITS = {"duration": ("h", 1 / 3600.0), "fraction": ("%", 100.0), "score": ("score", 1.0)}
DIGITS = 4


def diff_record(change: BookChange, *, members: int) -> dict[str, Any]:
    """The whole comparison."""
    return {
        "before": change.before,
        "after": change.after,
        "provenance": "computed",
        "members": members,
        "methods": [method_record(each) for each in change.methods],
        "untouched": list(change.untouched),
        "remarks": list(change.remarks),
        "model": None if change.model is None else model_record(change.model),
    }


def model_record(model: ModelChange) -> dict[str, Any]:
    """The models of both sides, where they differ."""
    return {
        "before": {"engine_version": model.before.version, "digest": model.before.digest},
        "after": {"engine_version": model.after.version, "digest": model.after.digest},
        "computed": model.shown,
        "parts": [field_record(each) for each in model.parts],
    }


def field_record(change: FieldChange) -> dict[str, str | None]:
    """A field of a card, or a part of the model, before and after."""
    return {"card": change.card, "field": change.field, "before": change.before, "after": change.after}


def method_record(change: MethodChange) -> dict[str, Any]:
    """One method that differs."""
    effect = change.effect
    sides = {"before": change.before, "after": change.after}
    return {
        "method": change.method,
        "title": change.title,
        "change": change.change.value,
        "matters": effect is None or effect.matters,
        "through": [field_record(each) for each in change.through],
        "engine_versions": {
            name: None if side is None else side.engine or None for name, side in sides.items()
        },
        "not_computed": {
            name: side.missing for name, side in sides.items() if side is not None and side.missing
        },
        "quantities": [] if effect is None else [quantity_record(each) for each in effect.quantities],
        "rules": [] if effect is None else [rule_record(each) for each in effect.verdicts],
    }


def quantity_record(each: Compared) -> dict[str, Any]:
    """One quantity before and after, in the unit it names."""
    known = each.before or each.after
    assert known is not None
    unit, factor = UNITS.get(known.dimension, (known.dimension, 1.0))
    shift = None if each.shift is None else round(each.shift * factor, DIGITS)
    return {
        "name": each.name,
        "unit": unit,
        "before": spread_record(each.before, factor),
        "after": spread_record(each.after, factor),
        "shift": shift,
        "difference": each.difference.value,
        "beyond_spread": each.difference not in (Difference.NONE, Difference.WITHIN),
    }


def spread_record(spread: Spread | None, factor: float) -> dict[str, float | None] | None:
    """A median with its percentiles; null where there is none."""
    if spread is None:
        return None
    values = {"p10": spread.low, "p50": spread.value, "p90": spread.high}
    return {name: None if value is None else round(value * factor, DIGITS) for name, value in values.items()}


def rule_record(verdict: ComparedVerdict) -> dict[str, Any]:
    """One rule before and after."""
    return {
        "rule": verdict.rule,
        "topic": verdict.topic,
        "changed": verdict.changed,
        "before": judged_record(verdict.before),
        "after": judged_record(verdict.after),
    }


def judged_record(judged: Judged | None) -> dict[str, str] | None:
    """How a rule stands on one side; null where it does not apply."""
    if judged is None:
        return None
    return {"met": judged.met, "level": judged.level, "figure": judged.figure}
