"""The cook itself against the rules: what the authority asks, log reductions, oven and humidity terms.

Everything is judged at the coldest point of the piece. Come-up has its own room; `assess` calls both.
"""

from __future__ import annotations

from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from slowfolio.safety.come_up import DRY_HEAT_GAP
from slowfolio.safety.history import FloatArray, longest_time_at_or_above_s
from slowfolio.safety.lethality import (
    LISTERIA,
    LISTERIA_TARGET_LOG,
    ROAST_ENVELOPE,
    celsius,
    log_reductions,
    roast_table,
    table_for,
)
from slowfolio.safety.piece import Piece
from slowfolio.safety.profiles import US_RETAIL, Profile
from slowfolio.safety.rules import (
    CookingRule,
    EndPoints,
    PieceClass,
    ReferenceProcess,
    RoastChart,
    piece_class,
)
from slowfolio.safety.standing import Citation, Standing
from slowfolio.safety.verdict import (
    GREEN_SHARE,
    Level,
    Met,
    Topic,
    Unit,
    Verdict,
    advised,
    duration_text,
    figure_text,
    level_of,
    limit_temperature_text,
    share_of,
    verdict,
)

COOK_LONGER = "Cook until the coldest point has met the rule; probe several places and go by the lowest."


class OvenKind(StrEnum):
    """The three kinds of oven that the roast rule tells apart."""

    STILL_DRY = "still dry"
    CONVECTION = "convection"
    HIGH_HUMIDITY = "high humidity"


HEAVY_PIECE_KG = 4.54
"""10 lb: from here on the oven table asks less and FSIS asks no humidity (READ)."""

HOT_OVEN_C = celsius(250.0)
OVEN_MIN_C = {
    OvenKind.STILL_DRY: (celsius(350.0), HOT_OVEN_C),
    OvenKind.CONVECTION: (celsius(325.0), HOT_OVEN_C),
}
"""Oven temperature for roasts under and from 10 lb, Food Code 3-401.11(B)(1) (READ). A high-humidity oven,
above 90 % for an hour or in a tight bag, has a most instead: 250 °F."""

OVEN_TABLE = Citation("US FDA Food Code", "3-401.11(B)(1)", "2022", Standing.READ)
INSTANT_C = 70.0
"""Every class of meat but poultry and game is met here without dwell: 3-401.11(A)(2) and (B) (READ)."""


def oven_table_met(piece: Piece, *, oven: OvenKind, oven_c: float) -> bool:
    """Return whether an oven that stays at `oven_c` or above meets the roast rule's oven table."""
    if oven is OvenKind.HIGH_HUMIDITY:
        return oven_c <= HOT_OVEN_C + 1e-6
    light, heavy = OVEN_MIN_C[oven]
    return oven_c >= (heavy if piece.mass_kg >= HEAVY_PIECE_KG else light) - 1e-6


def cooked_by_chart(
    piece: Piece, time_s: FloatArray, coldest_c: FloatArray, *, oven: OvenKind, oven_c: float | None
) -> NDArray[np.bool_]:
    """Return which members were cooked as the roast rule asks, oven and chart, shape (M,).

    Only they may be held at the lower floor for roasts. An unknown oven temperature counts as not met.
    """
    if piece_class(piece) is not PieceClass.ROAST or oven_c is None:
        return np.zeros(coldest_c.shape[0], dtype=np.bool_)
    if not oven_table_met(piece, oven=oven, oven_c=oven_c):
        return np.zeros(coldest_c.shape[0], dtype=np.bool_)
    return meets_rule(US_RETAIL.cooking[PieceClass.ROAST], time_s, coldest_c)


def meets_rule(rule: CookingRule, time_s: FloatArray, coldest_c: FloatArray) -> NDArray[np.bool_]:
    """Return which members meet a cooking rule at the coldest point, shape (M,)."""
    match rule.standard:
        case RoastChart():
            table = roast_table()
            return log_reductions(table, time_s, coldest_c) >= table.target_log - 1e-9
        case ReferenceProcess():
            return log_reductions(LISTERIA, time_s, coldest_c) >= LISTERIA_TARGET_LOG - 1e-9
        case EndPoints(options):
            met = np.zeros(coldest_c.shape[0], dtype=np.bool_)
            for option in options:
                stay = longest_time_at_or_above_s(time_s, coldest_c, option.temp_c)
                reached = coldest_c.max(axis=1) >= option.temp_c
                met |= reached & (stay >= option.hold_s - 1e-6)
            return met


def cooking_verdicts(
    profile: Profile, piece: Piece, time_s: FloatArray, coldest_c: FloatArray
) -> tuple[Verdict, ...]:
    """Return what the authority asks of the cook, then the log reductions behind it, at the coldest point.

    `time_s` has shape (T,), `coldest_c` (M, T). Where our sources have no figure of the authority's own, the
    first verdict says so and the published tables are what is shown.
    """
    kind = piece_class(piece)
    own = profile.cooking.get(kind)
    salmonella = _salmonella_verdict(piece, time_s, coldest_c)
    listeria = _listeria_verdict(time_s, coldest_c)
    if own is None:
        return _no_figure_verdict(profile, kind, coldest_c), salmonella, listeria
    return _authority_verdict(own, kind, time_s, coldest_c), salmonella, listeria


def _authority_verdict(
    rule: CookingRule, kind: PieceClass, time_s: FloatArray, coldest_c: FloatArray
) -> Verdict:
    meets = meets_rule(rule, time_s, coldest_c)
    level = level_of(share_of(meets))
    met = Met.MET if level is Level.GREEN else Met.NOT_MET
    if not rule.binding:
        met, level = advised(level)
    limit_c, asked = _asked(rule)
    return verdict(
        topic=Topic.COOKING,
        rule=f"cooking temperature and time for {kind.value}",
        citation=rule.citation,
        met=met,
        level=level,
        name="coldest point peaks at",
        values=coldest_c.max(axis=1),
        unit=Unit.CELSIUS,
        limit=limit_c,
        limit_text=asked,
        meets=meets,
        explanation="All parts of the piece count, so the coldest point is judged.",
        what_to_do="" if level is Level.GREEN else COOK_LONGER,
    )


def _asked(rule: CookingRule) -> tuple[float, str]:
    match rule.standard:
        case RoastChart():
            return celsius(
                130.0
            ), "the roast chart, from 54.4 °C (130 °F) for 112 min to 70 °C (158 °F) at once"
        case ReferenceProcess():
            return INSTANT_C, "70 °C (158 °F) for 2 min, or as much at another temperature"
        case EndPoints(options):
            words = (
                f"{limit_temperature_text(option.temp_c)}"
                + (f" for {duration_text(option.hold_s)}" if option.hold_s else " at once")
                for option in options
            )
            return options[0].temp_c, " or ".join(words)


def _no_figure_verdict(profile: Profile, kind: PieceClass, coldest_c: FloatArray) -> Verdict:
    return verdict(
        topic=Topic.COOKING,
        rule=f"cooking temperature and time for {kind.value}",
        citation=profile.citation,
        met=Met.NOT_APPLICABLE,
        level=Level.GREEN,
        name="coldest point peaks at",
        values=coldest_c.max(axis=1),
        unit=Unit.CELSIUS,
        limit=None,
        limit_text="",
        meets=None,
        explanation="Our sources for this authority give no cooking figure for this kind of piece; ask the "
        "local one. The published tables are shown in its place.",
    )


def _salmonella_verdict(piece: Piece, time_s: FloatArray, coldest_c: FloatArray) -> Verdict:
    table = table_for(piece.species, piece.fat_pct)
    reductions = log_reductions(table, time_s, coldest_c)
    meets = reductions >= table.target_log - 1e-9
    level = level_of(share_of(meets))
    explanation = f"Summed along the course at the coldest point from the table for {table.name}."
    if not piece.is_poultry:
        line = log_reductions(ROAST_ENVELOPE, time_s, coldest_c)
        log_text = figure_text("", line, Unit.LOG_REDUCTION)
        explanation += (
            f" A straight line that is never shorter than the table gives {log_text}. Nothing below 54.4 °C "
            "(130 °F) is credited, and at 54.4 °C itself the tabled time could not be confirmed (McMinn and "
            "others, 2018)."
        )
    return verdict(
        topic=Topic.COOKING,
        rule=f"{table.target_log:g}-log reduction of Salmonella",
        citation=table.citation,
        met=Met.MET if level is Level.GREEN else Met.NOT_MET,
        level=level,
        name="log reductions",
        values=reductions,
        unit=Unit.LOG_REDUCTION,
        limit=table.target_log,
        limit_text=f"{table.target_log:g} log",
        meets=meets,
        explanation=explanation,
        what_to_do="" if level is Level.GREEN else COOK_LONGER,
    )


def _listeria_verdict(time_s: FloatArray, coldest_c: FloatArray) -> Verdict:
    reductions = log_reductions(LISTERIA, time_s, coldest_c)
    meets = reductions >= LISTERIA_TARGET_LOG - 1e-9
    level = Level.GREEN if share_of(meets) >= GREEN_SHARE else Level.AMBER
    return verdict(
        topic=Topic.COOKING,
        rule="6-log reduction of Listeria monocytogenes",
        citation=LISTERIA.citation,
        met=Met.ADVISORY,
        level=level,
        name="log reductions",
        values=reductions,
        unit=Unit.LOG_REDUCTION,
        limit=LISTERIA_TARGET_LOG,
        limit_text="6 log, as 70 °C (158 °F) for 2 min gives",
        meets=meets,
        explanation="Shown for every authority, because it outlasts Salmonella at low temperatures.",
        what_to_do="" if level is Level.GREEN else COOK_LONGER,
    )


def oven_verdict(piece: Piece, coldest_c: FloatArray, *, oven: OvenKind, oven_c: float | None) -> Verdict:
    """Return the verdict of the oven table that goes with the roast chart of the US Food Code.

    Low, slow pits often miss it. A cook that takes the coldest point to 70 °C then meets the end point for
    other meat instead, 3-401.11(A)(2), and is told so; one that does not is amber.
    """
    known = oven_c is not None and oven_table_met(piece, oven=oven, oven_c=oven_c)
    hot = share_of(coldest_c.max(axis=1) >= INSTANT_C) >= GREEN_SHARE
    level = Level.GREEN if known or hot else Level.AMBER
    weight = "10 lb or more" if piece.mass_kg >= HEAVY_PIECE_KG else "less than 10 lb"
    if oven is OvenKind.HIGH_HUMIDITY:
        limit_c, limit_text = HOT_OVEN_C, f"at most {limit_temperature_text(121.0)} at high humidity"
    else:
        limit_c = OVEN_MIN_C[oven][piece.mass_kg >= HEAVY_PIECE_KG]
        limit_text = (
            f"{limit_c:.0f} °C ({limit_c * 1.8 + 32:.0f} °F) or more for a roast of {weight}, {oven.value}"
        )
    return verdict(
        topic=Topic.COOKING,
        rule="oven temperature for whole-meat roasts",
        citation=OVEN_TABLE,
        met=Met.MET if known else Met.ADVISORY,
        level=level,
        name="oven temperature"
        if oven_c is not None
        else "oven temperature not known; coldest point peaks at",
        values=coldest_c.max(axis=1) if oven_c is None else np.asarray([oven_c]),
        unit=Unit.CELSIUS,
        limit=limit_c,
        limit_text=limit_text,
        meets=None,
        explanation=(
            "The oven table is met."
            if known
            else "The oven table is not met, or the oven's temperature is not known. The lower hot-hold "
            "floor for roasts is therefore not used; 70 °C (158 °F) at the coldest point is the end point "
            "for other meat, 3-401.11(A)(2)."
        ),
        what_to_do="" if level is Level.GREEN else "Cook hotter, or finish at 70 °C (158 °F) or above.",
    )


def dry_heat_verdict(piece: Piece, coldest_c: FloatArray, *, oven_c: float | None) -> Verdict:
    """Return the humidity terms of the guideline: exempt, or a cook in its dry-heat gap.

    Exempt is a piece of 10 lb or more in an oven that stays at 250 °F or above (READ). In the gap, a cook
    that ends at 70 °C or above is told so; one that leans on long times at low temperatures is amber.
    """
    exempt = oven_c is not None and piece.mass_kg >= HEAVY_PIECE_KG and oven_c >= HOT_OVEN_C - 1e-6
    hot = coldest_c.max(axis=1) >= INSTANT_C
    level = Level.GREEN if exempt or share_of(hot) >= GREEN_SHARE else Level.AMBER
    return verdict(
        topic=Topic.HUMIDITY,
        rule="moist surface while cooking",
        citation=DRY_HEAT_GAP.citation,
        met=Met.NOT_APPLICABLE if exempt else Met.ADVISORY,
        level=level,
        name="coldest point peaks at",
        values=coldest_c.max(axis=1),
        unit=Unit.CELSIUS,
        limit=None,
        limit_text="",
        meets=None,
        explanation=(
            "A piece of 4.54 kg (10 lb) or more in an oven held at 121 °C (250 °F) or above throughout needs "
            "no added humidity by the guideline."
            if exempt
            else DRY_HEAT_GAP.text
        ),
        what_to_do="" if level is Level.GREEN else "Use a water pan, or finish hotter than 70 °C (158 °F).",
    )
