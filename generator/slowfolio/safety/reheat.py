"""Reheating for service: the temperature the authority asks for, for how long, and reached how fast.

Judged at the coldest point of the piece. A US kitchen may reheat an unsliced roast by the roast chart
instead; food for one guest's plate may be served at any temperature there and is not judged here.
"""

from __future__ import annotations

from enum import Enum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from slowfolio.safety.history import (
    FloatArray,
    as_temperatures,
    as_times,
    first_time_at_or_above_s,
    longest_time_at_or_above_s,
)
from slowfolio.safety.lethality import LISTERIA, LISTERIA_TARGET_LOG, log_reductions, roast_table
from slowfolio.safety.piece import Piece
from slowfolio.safety.profiles import Profile
from slowfolio.safety.rules import PieceClass, ReheatRule, piece_class
from slowfolio.safety.verdict import (
    GREEN_SHARE,
    Level,
    Met,
    Topic,
    Unit,
    Verdict,
    duration_text,
    level_of,
    limit_temperature_text,
    share_of,
    verdict,
)

HOTTER = (
    "Reheat until the coldest point has met the rule; never reheat in a holder that is only made for holding."
)


class Slicing(Enum):
    """Whether a roast is reheated whole; the roast chart is only for those that are."""

    SLICED = "sliced or portioned"
    UNSLICED = "unsliced"


def assess_reheat(
    profile: Profile,
    piece: Piece,
    time_s: ArrayLike,
    coldest_c: ArrayLike,
    *,
    slicing: Slicing = Slicing.SLICED,
) -> tuple[Verdict, ...]:
    """Return the verdicts on reheating a cooked and chilled piece, from the cold on.

    `time_s` (T,), `coldest_c` (M, T). To an unsliced roast the US roast chart may apply instead.
    """
    time = as_times(time_s)
    coldest = as_temperatures(coldest_c, time.shape[-1], name="coldest point")
    rule = profile.reheat
    if rule is None:
        return (_no_rule(profile, coldest),)
    hot = _hot_enough(rule, time, coldest)
    by_chart = np.zeros(hot.shape, dtype=np.bool_)
    if (
        slicing is Slicing.UNSLICED
        and rule.roast_chart is not None
        and piece_class(piece) is PieceClass.ROAST
    ):
        by_chart = log_reductions(roast_table(), time, coldest) >= roast_table().target_log - 1e-9
    verdicts = [_temperature_verdict(rule, coldest, hot, by_chart)]
    if rule.within_s is not None:
        verdicts.append(_speed_verdict(profile, rule, time, coldest, by_chart))
    return tuple(verdicts)


def _hot_enough(rule: ReheatRule, time: FloatArray, coldest: FloatArray) -> NDArray[np.bool_]:
    if rule.temp_c is None:
        return log_reductions(LISTERIA, time, coldest) >= LISTERIA_TARGET_LOG - 1e-9
    stay = longest_time_at_or_above_s(time, coldest, rule.temp_c)
    reached: NDArray[np.bool_] = coldest.max(axis=1) >= rule.temp_c
    return reached & (stay >= rule.hold_s - 1e-6)


def _temperature_verdict(
    rule: ReheatRule, coldest: FloatArray, hot: NDArray[np.bool_], by_chart: NDArray[np.bool_]
) -> Verdict:
    meets = hot | by_chart
    level = level_of(share_of(meets))
    chart = share_of(hot) < GREEN_SHARE <= share_of(meets)
    citation = rule.roast_chart if chart and rule.roast_chart is not None else rule.citation
    if rule.temp_c is None:
        asked = "70 °C (158 °F) for 2 min, or as much at another temperature"
    else:
        asked = limit_temperature_text(rule.temp_c)
        asked += f" for {duration_text(rule.hold_s)}" if rule.hold_s else ""
    note = "An unsliced roast was reheated by the roast chart instead." if chart else rule.note
    return verdict(
        topic=Topic.REHEATING,
        rule="reheating temperature",
        citation=citation,
        met=Met.MET if level is Level.GREEN else Met.NOT_MET,
        level=level,
        name="coldest point peaks at",
        values=coldest.max(axis=1),
        unit=Unit.CELSIUS,
        limit=70.0 if rule.temp_c is None else rule.temp_c,
        limit_text=asked,
        meets=meets,
        explanation=note or "All parts count.",
        what_to_do="" if level is Level.GREEN else HOTTER,
    )


def _speed_verdict(
    profile: Profile, rule: ReheatRule, time: FloatArray, coldest: FloatArray, by_chart: NDArray[np.bool_]
) -> Verdict:
    target = 70.0 if rule.temp_c is None else rule.temp_c
    start_c = 5.0 if profile.cold_max_c is None else profile.cold_max_c
    most = np.inf if rule.within_s is None else rule.within_s
    end = first_time_at_or_above_s(time, coldest, target)
    start = first_time_at_or_above_s(time, coldest, start_c)
    taken = np.where(np.isfinite(end), end - np.where(np.isfinite(start), start, 0.0), np.inf)
    meets = (taken <= most) | by_chart
    level = level_of(share_of(meets))
    return verdict(
        topic=Topic.REHEATING,
        rule=f"time from {limit_temperature_text(start_c)} to {limit_temperature_text(target)}",
        citation=rule.citation,
        met=Met.MET if level is Level.GREEN else Met.NOT_MET,
        level=level,
        name="the coldest point takes",
        values=taken,
        unit=Unit.SECONDS,
        limit=rule.within_s,
        limit_text=duration_text(most),
        meets=meets,
        explanation="The roast chart sets no time to reach it."
        if by_chart.all()
        else "Slow reheating lets spores that woke in the cook grow.",
        what_to_do=""
        if level is Level.GREEN
        else "Slice it, add hot liquid, cover it and use a hotter oven.",
    )


def _no_rule(profile: Profile, coldest: FloatArray) -> Verdict:
    return verdict(
        topic=Topic.REHEATING,
        rule="reheating temperature",
        citation=profile.citation,
        met=Met.NOT_APPLICABLE,
        level=Level.GREEN,
        name="coldest point peaks at",
        values=coldest.max(axis=1),
        unit=Unit.CELSIUS,
        limit=None,
        limit_text="",
        meets=None,
        explanation="This authority sets no figure for reheating in our sources; ask the local one.",
    )
