"""A tasting design as a card to fill in: YAML text with everything that is known before the tasting.

Called by `slowfolio tasting design --card`.
"""

import json
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from slowfolio.tasting.carving import Serving
from slowfolio.tasting.plan import TastingPlan
from slowfolio.tasting.procedure import procedure_of
from slowfolio.tasting.protocols import Sides
from slowfolio.tasting.question import Kind, Question
from slowfolio.units import System, format_duration, format_fraction, format_length, format_temperature

WORDS = {
    Question.DIFFER: "differ",
    Question.SWAP: "swap",
    Question.MORE: "more",
    Question.PREFERRED: "preferred",
    Question.ORDER: "order",
    Question.HOW_MUCH: "how much",
}


@dataclass(frozen=True, slots=True)
class ServedAs:
    """How every product is to be served: alike, so once for all."""

    part: str
    slice_m: float
    held_s: float
    served_c: float
    cooked: int


def card_text(
    plan: TastingPlan,
    *,
    card_id: str,
    methods: Sequence[str],
    served: ServedAs,
    attributes: Sequence[str],
    day: date,
    expected_order: Sequence[str] = (),
) -> str:
    """The card of a plan, with an empty list of results. `methods` are in the order of its products."""
    choice = plan.choice
    title = f"{choice.question} {', '.join(plan.products)}"
    lines = [
        f"id: {card_id}",
        f"title: {_quoted(title)}",
        "why: Say here what is to be decided by this tasting.",
        f"date: {day.isoformat()}",
        "carved_by: Pit lead",
        "blind: neither tasters nor servers knew",
        f"question: {WORDS[choice.question]}",
        f"test: {procedure_of(choice)}",
    ]
    if choice.question is Question.MORE:
        lines.append(f"attribute: {attributes[0]}")
        if choice.sides is Sides.ONE:
            lines.append(f"expected_more: {_quoted(plan.products[-1])}")
    if choice.kind is Kind.SCORES:
        lines.append(f"attributes: [{', '.join(attributes)}]")
    if expected_order:
        lines.append(f"expected_order: [{', '.join(_quoted(name) for name in expected_order)}]")
    lines += [f"looked_for: {{{_looked_for(plan)}}}", f"alpha: {format_fraction(plan.alpha)}", "products:"]
    lines += [_product(name, method, served) for name, method in zip(plan.products, methods, strict=True)]
    lines += [
        "design:",
        f"  seed: {plan.seed}",
        "  servings:",
        *_servings(plan.servings, served.cooked),
        "results: []",
    ]
    return "\n".join([*lines, *_how_to_fill(plan, attributes), ""])


def _looked_for(plan: TastingPlan) -> str:
    effect = plan.effect
    match plan.choice.kind:
        case Kind.RIGHT_OR_WRONG:
            return f"telling: {format_fraction(effect.telling)}"
        case Kind.PREFERENCE | Kind.PREFERENCE_PAIRS:
            return f"preferring: {format_fraction(effect.preferring)}"
        case Kind.RANKING:
            return f"d_prime: {effect.d_prime:g}"
        case Kind.SCORES:
            return f"points: {effect.score:g}, spread: {effect.score_spread:g}"


def _product(name: str, method: str, served: ServedAs) -> str:
    fields = {
        "name": _quoted(name),
        "method": method,
        "cooked": str(served.cooked),
        "part": _quoted(served.part),
        "slice": format_length(served.slice_m, System.METRIC),
        "held": format_duration(served.held_s),
        "served_at": format_temperature(served.served_c, System.US),
    }
    return "  - {" + ", ".join(f"{key}: {text}" for key, text in fields.items()) + "}"


def _servings(servings: Sequence[Serving], cooks: int) -> list[str]:
    """One line a plate; with several cooks, the plates take turns."""
    plates: dict[int, list[Serving]] = defaultdict(list)
    for serving in servings:
        plates[serving.taster].append(serving)
    return [
        f"    - {{taster: {taster}, order: [{', '.join(_quoted(one.product) for one in own)}], "
        f"codes: [{', '.join(one.code for one in own)}]"
        + (f", cook: {(taster - 1) % cooks + 1}}}" if cooks > 1 else "}")
        for taster, own in sorted(plates.items())
    ]


def _how_to_fill(plan: TastingPlan, attributes: Sequence[str]) -> list[str]:
    code = plan.servings[0].code
    match plan.choice.kind:
        case Kind.RANKING:
            example = f"{{taster: 1, marks: [{{code: {code}, rank: 1}}, ...]}}"
        case Kind.SCORES:
            points = ", ".join(f"{name.replace(' ', '_')}: 5" for name in attributes)
            example = f"{{taster: 1, marks: [{{code: {code}, {points}}}, ...]}}"
        case _:
            example = f"{{taster: 1, chose: {code}}}"
    return [f"# After the tasting, one item for each sheet that came in: - {example}"]


def _quoted(text: str) -> str:
    """A text as YAML takes it anywhere: JSON strings are YAML."""
    return text if text.replace(" ", "").replace("-", "").isalpha() else json.dumps(text, ensure_ascii=False)
