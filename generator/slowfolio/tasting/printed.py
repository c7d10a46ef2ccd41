"""A tasting design in plain text: what is planned, one sheet for each taster, one for the person who carves.

Only layout; every number comes from `plan`, `sheets` and `carving`. The key stands on the carver's sheet
alone. Called by the command line.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence

from slowfolio.tasting.carving import CarvingPlan, Serving
from slowfolio.tasting.plan import Effect, Sitting, TastingPlan
from slowfolio.tasting.procedure import procedure_of
from slowfolio.tasting.question import Choice, Kind, Question
from slowfolio.tasting.sheets import POINTS, TasterSheet, carver_rows
from slowfolio.tasting.wording import listed, percent, points_text, tasters_text

RULE = "-" * 72
SERVE_ALIKE = (
    "Serve the same part of all, flat with flat and point with point, cut to one thickness.",
    "Hold all equally long and serve them at one temperature, out of sight of the tasters.",
    "Whoever carves keeps the key and does not serve; whoever serves does not know it.",
)
"""Like compared with like (common practice; ISO 6658, MEMORY)."""


def effect_text(choice: Choice, effect: Effect) -> str:
    """The difference looked for, in words."""
    match choice.kind:
        case Kind.RIGHT_OR_WRONG:
            can = "fewer than " if choice.question is Question.SWAP else ""
            return f"{can}{percent(effect.telling)} of eaters can tell"
        case Kind.PREFERENCE | Kind.PREFERENCE_PAIRS:
            return f"{percent(effect.preferring)} of those with a view prefer one"
        case Kind.RANKING:
            return f"first and last stand {effect.d_prime:g} d-prime apart"
        case Kind.SCORES:
            return (
                f"a difference of {points_text(effect.score)}, where tasters' differences "
                f"spread by {effect.score_spread:g}"
            )


def design_lines(plan: TastingPlan) -> tuple[str, ...]:
    """What is planned: test and why, tasters and power, pauses, seed, what to see to."""
    choice = plan.choice
    even = "every order equally often" if plan.balance.even else "orders as even as this number allows"
    return (
        f"Question: {choice.question}",
        f"Products: {listed(plan.products)}",
        f"Test: {procedure_of(choice)} ({choice.reason}).",
        f"Tasters: {plan.tasters}; advised {plan.size.advised}, a multiple of {plan.size.round_of}.",
        f"Power: {round(100 * plan.power)} times in 100 it finds that {effect_text(choice, plan.effect)} "
        f"(alpha {percent(plan.alpha)}).",
        f"Each taster: {sitting_text(plan.sitting)} {even[:1].upper()}{even[1:]}.",
        f"Seed: {plan.seed}. The same seed draws the same orders and codes.",
        *(f"Note: {note}." for note in plan.notes),
        *SERVE_ALIKE,
    )


def sitting_text(sitting: Sitting) -> str:
    """How one taster's sitting runs."""
    minutes = math.ceil(sitting.duration_s / 60)
    rests = f", and {sitting.rest_s / 60:.0f} min after every fourth piece" if sitting.rests else ""
    return (
        f"{sitting.pieces} pieces, {sitting.pause_s:.0f} s with water and cracker between two{rests}; "
        f"about {minutes} min."
    )


def taster_lines(plan: TastingPlan, sheet: TasterSheet) -> tuple[str, ...]:
    """One taster's sheet."""
    ranked = plan.choice.kind is Kind.RANKING
    lines = [RULE, f"Taster {sheet.taster}", "", sheet.task, ""]
    if sheet.attributes:
        width = max(len(_asked(attribute.name, attribute.part)) for attribute in sheet.attributes)
        codes = "".join(f"{row.code:>8}" for row in sheet.rows)
        lines.append(f"{'in this order':<{width}}{codes}")
        for one in sheet.attributes:
            boxes = "    ____" * len(sheet.rows)
            lines.append(f"{_asked(one.name, one.part):<{width}}{boxes}   1 {one.low}, {POINTS} {one.high}")
    else:
        tasted = ", ".join(row.code for row in sheet.rows)
        lines.append(f"Taste in this order: {tasted}")
        if ranked:
            lines.append("Place: " + "   ".join(f"{choice} ____" for choice in sheet.choices))
        else:
            lines.append("Mark one: " + "   ".join(f"[ ] {choice}" for choice in sheet.choices))
    return (*lines, "", *(f"- {reminder}" for reminder in sheet.reminders))


def carver_lines(plan: TastingPlan, carving: CarvingPlan | None) -> tuple[str, ...]:
    """The sheet of the person who carves: which piece of what gets which code on whose plate."""
    lines = [RULE, "For the person who carves. Keep it from tasters and servers.", ""]
    if carving is None:
        plates: dict[int, list[Serving]] = defaultdict(list)
        for serving in plan.servings:
            plates[serving.taster].append(serving)
        for taster, own in sorted(plates.items()):
            lines.append(f"Plate {taster:>3}: " + ", ".join(f"{one.code} {one.product}" for one in own))
        lines += ["", "Give --length of the parts to have every slice placed, like with like."]
        return tuple(lines)
    cuts = carver_rows(carving)
    first = carving.cuts[0]
    lines.append(f"All from the {first.part or 'piece'}, slices counted from the {first.end}.")
    for row in cuts:
        lines.append(
            f"{row.product}: slice {row.slice_number} at {1000 * row.distance_m:.0f} mm, "
            f"piece {row.piece_number} -> code {row.code}, plate {row.taster}, place {row.place}"
        )
    lines += ["", f"{carving.slices} slices of each; {carving.reserve} stay over as reserve."]
    return tuple(lines)


def whole_text(plan: TastingPlan, sheets: Sequence[TasterSheet], carving: CarvingPlan | None) -> str:
    """Design, sheets and key, one after the other."""
    lines = [*design_lines(plan), "", f"Sheets for {tasters_text(plan.tasters)}"]
    for sheet in sheets:
        lines += taster_lines(plan, sheet)
    return "\n".join([*lines, *carver_lines(plan, carving)])


def _asked(name: str, part: str) -> str:
    return f"{name} of {part}" if part else name
