"""A plan as the JSON the command line prints: keys carry their unit; local times with offset, and UTC.

The contract is schema/output/plan.schema.json; keys are only ever added.
"""

import math
from typing import Any

from slowfolio.forecast.planning.acts import Act
from slowfolio.forecast.planning.changes import Change, ChangeKind
from slowfolio.forecast.planning.clock import Clock
from slowfolio.forecast.planning.conflicts import Conflict, ConflictKind
from slowfolio.forecast.planning.item import HoldOutlook, LoadPlan
from slowfolio.forecast.planning.kitchen import Peak
from slowfolio.forecast.planning.planned import PlannedItem, PlannedService
from slowfolio.forecast.planning.portions import Portions
from slowfolio.forecast.planning.purchase import Purchase
from slowfolio.forecast.planning.remedies import Remedy
from slowfolio.forecast.planning.run_sheet import change_words, conflict_words, load_lines

DIGITS = 4
HOUR_S, MINUTE_S = 3600.0, 60.0


def plan_record(service: PlannedService) -> dict[str, Any]:
    """The whole result of `slowfolio plan --json`."""
    clock, plan, order = service.clock, service.plan, service.order
    return {
        **moment("serve", 0.0, clock),
        "timezone": clock.zone.key,
        "confidence_pct": round(100 * order.confidence, DIGITS),
        "cooks": order.cooks,
        "members": service.members,
        "seed": service.seed,
        "engine_version": service.items[0].forecast.cook.engine_version,
        "authority": service.book.card.authority,
        "resolved": plan.resolved,
        "reason": plan.reason,
        "least_change": plan.least,
        "items": [item_record(item) for item in service.items],
        "loads": [load_record(load, service) for load in plan.loads],
        "conflicts": [conflict_record(conflict, service) for conflict in plan.conflicts],
        "changes": [change_record(change, clock) for change in plan.changes],
        "places": [place_record(peak) for peak in plan.peaks],
        "purchase": purchase_record(service.purchase),
        "notes": list(service.notes),
    }


def item_record(item: PlannedItem) -> dict[str, Any]:
    """One dish."""
    method = item.forecast.method
    return {
        "name": item.name,
        "method": method.id,
        "title": method.title,
        "pit": item.pit,
        "holder": item.holder or None,
        "piece_weight_kg": rounded(item.portions.piece_kg),
        "pieces": item.portions.pieces,
        "portions": portions_record(item.portions),
        "remedies": [remedy_record(remedy) for remedy in item.remedies],
    }


def portions_record(portions: Portions) -> dict[str, Any]:
    """What the pieces feed."""
    return {
        "guests": portions.guests,
        "portion_kg": rounded(portions.portion_kg),
        "bought_piece_kg": rounded(portions.bought_piece_kg),
        "bought_kg": rounded(portions.bought_kg),
        "served_kg_p10": rounded(portions.served_p10_kg),
        "served_kg_p50": rounded(portions.served_p50_kg),
        "served_kg_p90": rounded(portions.served_p90_kg),
        "feeds_portions_p10": portions.feeds,
        "chance_enough_pct": per_cent(portions.chance),
        "lightest_piece_kg": rounded(portions.lightest_piece_kg),
    }


def remedy_record(remedy: Remedy) -> dict[str, Any]:
    """One thing to do when it runs early or late."""
    gain = remedy.gain_s
    return {
        "when": remedy.when.value,
        "do": remedy.do,
        "gain_min_p10": None if gain is None else rounded(gain.p10 / MINUTE_S),
        "gain_min_p50": None if gain is None else rounded(gain.p50 / MINUTE_S),
        "gain_min_p90": None if gain is None else rounded(gain.p90 / MINUTE_S),
        "helps": remedy.helps,
        "provenance": remedy.provenance.value,
    }


def load_record(load: LoadPlan, service: PlannedService) -> dict[str, Any]:
    """One load: its start between its limits, its chance, its hold, its acts."""
    clock, start = service.clock, load.start
    other = start.instead
    instead = None
    if other is not None:
        instead = {
            **moment("start", other.start_s, clock),
            "chance_ready_pct": per_cent(other.chance),
            "early_hold_h": rounded(other.early_hold_s / HOUR_S),
        }
    return {
        "name": load.work.name,
        "item": service.item_of(load).name,
        "pit": load.work.pit_title,
        "pieces": load.work.pieces,
        **moment("serve", load.serve_s, clock),
        **moment("start", load.start_s, clock),
        **moment("earliest_start", start.earliest_s, clock),
        **moment("latest_start", start.latest_s, clock),
        "fit": start.fit.name.lower(),
        "chance_ready_pct": per_cent(load.chance),
        "instead": instead,
        "hold": hold_record(load.hold) if load.hold.terms.holder else None,
        "summary": list(load_lines(load, service)),
        "acts": [act_record(act, clock) for act in load.acts],
    }


def hold_record(outlook: HoldOutlook) -> dict[str, Any]:
    """What the hold gives and where it ends."""
    terms = outlook.terms
    rules_h = terms.rules_p10_s / HOUR_S
    return {
        "holder": terms.holder,
        "wanted_h": rounded(terms.wanted_s / HOUR_S),
        "at_most_h": rounded(terms.at_most_s / HOUR_S),
        "rule": terms.rule,
        "too_cool": terms.too_cool,
        "rule_floor_c": rounded(terms.floor_c),
        "rule_met_h_p10": rounded(rules_h) if math.isfinite(rules_h) else None,
        "held_h_p10": rounded(outlook.held_p10_s / HOUR_S),
        "held_h_p50": rounded(outlook.held_p50_s / HOUR_S),
        "held_h_p90": rounded(outlook.held_p90_s / HOUR_S),
        "late_pct": per_cent(outlook.share_late),
        "past_at_most_pct": per_cent(outlook.share_past_card),
        "below_rule_pct": per_cent(outlook.share_past_rule),
    }


def act_record(act: Act, clock: Clock) -> dict[str, Any]:
    """One act with its window."""
    by: dict[str, Any] = {"by_local": None, "by_utc": None}
    return {
        "kind": act.kind.value,
        "title": act.title,
        "do": act.do,
        **moment("at", act.at_s, clock),
        **moment("p10", act.p10_s, clock),
        **moment("p90", act.p90_s, clock),
        **(by if act.by_s is None else moment("by", act.by_s, clock)),
        "hands_min": rounded(act.hands_s / MINUTE_S),
        "provenance": act.provenance.value,
    }


def conflict_record(conflict: Conflict, service: PlannedService) -> dict[str, Any]:
    """What was in the way."""
    unit = {ConflictKind.HANDS: "cooks", ConflictKind.LOAD: "kg", ConflictKind.AREA: "m2"}[conflict.kind]
    return {
        "kind": conflict.kind.value,
        "place": conflict.place or None,
        "who": list(conflict.who),
        **moment("from", conflict.from_s, service.clock),
        **moment("to", conflict.to_s, service.clock),
        f"need_{unit}": rounded(conflict.need),
        f"have_{unit}": rounded(conflict.have),
        "words": conflict_words(conflict, service),
    }


def change_record(change: Change, clock: Clock) -> dict[str, Any]:
    """What was changed."""
    timed = change.kind in {ChangeKind.START, ChangeKind.ACT}
    return {
        "kind": change.kind.value,
        "load": change.load,
        "what": change.what,
        "moved_min": rounded((change.to_s - change.from_s) / MINUTE_S) if timed else None,
        "to_local": clock.at(change.to_s).isoformat() if timed else None,
        "to_pit": change.to_pit or None,
        "words": change_words(change, clock),
    }


def place_record(peak: Peak) -> dict[str, Any]:
    """How full a place gets."""
    place = peak.place
    return {
        "name": place.name,
        "card": place.card,
        "kind": place.kind.value,
        "peak_load_kg": rounded(peak.kg),
        "takes_load_kg": rounded(place.load_kg),
        "peak_area_m2": rounded(peak.area_m2) if math.isfinite(place.area_m2) else None,
        "takes_area_m2": rounded(place.area_m2) if math.isfinite(place.area_m2) else None,
    }


def purchase_record(purchase: Purchase) -> dict[str, Any]:
    """What to buy. Money is text, so that no cent is lost."""
    return {
        "lines": [
            {
                "item": line.item or None,
                "what": line.what,
                "pieces": line.pieces,
                "each_kg": rounded(line.each_kg),
                "total_kg": rounded(line.total_kg),
                "amount": line.amount or None,
                "price": line.price or None,
                "cost": None if line.cost is None else str(line.cost),
            }
            for line in purchase.lines
        ],
        "currency": purchase.currency or None,
        "total": None if purchase.total is None else str(purchase.total),
        "per_portion": None if purchase.per_portion is None else str(purchase.per_portion),
        "portions": purchase.portions,
        "unpriced": list(purchase.unpriced),
    }


def moment(key: str, seconds: float, clock: Clock) -> dict[str, str]:
    """A time as `key`_local with its offset and `key`_utc."""
    utc = clock.at_utc(seconds)
    return {f"{key}_local": clock.at(seconds).isoformat(), f"{key}_utc": f"{utc:%Y-%m-%dT%H:%M:%SZ}"}


def per_cent(share: float | None) -> float | None:
    """A share in per cent."""
    return None if share is None else round(100 * share, 2)


def rounded(value: float | None) -> float | None:
    """A figure to four digits."""
    return None if value is None else round(value, DIGITS)
