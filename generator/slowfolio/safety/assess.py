"""A cook and its hold against every rule: the one call that the book's check and the method page make.

Cooling and reheating come after service and are asked for on their own, in `cooling` and `reheat`. The course
comes as plain arrays with an ensemble axis; which engine made it, and from which card, is not known here.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from slowfolio.safety import come_up, cooking, growth, hot_hold
from slowfolio.safety.come_up import COME_UP_RULE, INTACT_SURFACE_RULE, LIMIT_S, LONG_COME_UP_GAP
from slowfolio.safety.cooking import OvenKind
from slowfolio.safety.history import (
    FloatArray,
    SafetyInputError,
    as_temperatures,
    as_times,
    clipped,
    first_time_at_or_above_s,
    require_between,
)
from slowfolio.safety.lethality import table_for
from slowfolio.safety.piece import Integrity, Piece
from slowfolio.safety.profiles import Profile
from slowfolio.safety.rules import RoastChart, piece_class
from slowfolio.safety.verdict import (
    GREEN_SHARE,
    Level,
    Met,
    Topic,
    Unit,
    Verdict,
    advised,
    level_of,
    share_of,
    verdict,
)

BACK_BY_K = 0.05
"""A piece is back once past the band's edge by this, so that crossing it is no dip (CALIBRATED)."""


@dataclass(frozen=True, slots=True, eq=False)
class Course:
    """Temperatures of a cook and its hold: `time_s` (T,), the others (M, T), M members.

    `coldest_c` is the lowest anywhere in the piece, `surface_c` the cooler face, `core_c` the thickest part.
    `hold_start_s` and `hold_end_s` are (M,); both None where nothing is held. `rest_start_s`, (M,), is when
    the cook ended and the piece was rested in the room before the hold; None where it went straight in.
    """

    time_s: FloatArray
    core_c: FloatArray
    coldest_c: FloatArray
    surface_c: FloatArray
    hold_start_s: FloatArray | None
    hold_end_s: FloatArray | None
    rest_start_s: FloatArray | None = None


def course(
    time_s: ArrayLike,
    *,
    core_c: ArrayLike,
    coldest_c: ArrayLike,
    surface_c: ArrayLike,
    hold_start_s: ArrayLike | None = None,
    hold_end_s: ArrayLike | None = None,
    rest_start_s: ArrayLike | None = None,
) -> Course:
    """Return a checked course; SafetyInputError says what is wrong with broken arrays.

    A hold without an end lasts to the last sample. Hold times may be one number or one for each member.
    """
    time = as_times(time_s)
    core = as_temperatures(core_c, time.shape[-1], name="core temperature")
    coldest = as_temperatures(coldest_c, time.size, name="coldest point")
    surface = as_temperatures(surface_c, time.size, name="surface temperature")
    members = core.shape[0]
    if not members == coldest.shape[0] == surface.shape[0]:
        raise SafetyInputError("core, coldest point and surface need the same number of members")
    if hold_start_s is None:
        if hold_end_s is not None:
            raise SafetyInputError("the hold has an end but no start: give both, or neither")
        return Course(time, core, coldest, surface, None, None)
    start = _by_member(hold_start_s, members)
    end = _by_member(time[-1] if hold_end_s is None else hold_end_s, members)
    rest = None if rest_start_s is None else np.minimum(_by_member(rest_start_s, members), start)
    return Course(time, core, coldest, surface, start, end, rest)


def assess_cook(
    profile: Profile,
    piece: Piece,
    cook: Course,
    *,
    oven_c: float | None = None,
    oven: OvenKind = OvenKind.STILL_DRY,
    room_c: float = 21.0,
) -> tuple[Verdict, ...]:
    """Return the verdicts on a cook and its hold: cooking, humidity, come-up, hot hold, growth in the hold.

    The cook counts up to the start of the hold. `oven_c` is the lowest temperature the pit is set to, None
    where it is not known; without it no rule that depends on a hot oven is granted. `room_c` matters where an
    authority shortens its time out of temperature in warm air.
    """
    require_between("room temperature", room_c, low=-40.0, high=60.0, unit="°C")
    if oven_c is not None:
        require_between("oven temperature", oven_c, low=0.0, high=400.0, unit="°C")
    time, coldest = _until_hold(cook)
    verdicts = list(cooking.cooking_verdicts(profile, piece, time, coldest))
    rule = profile.cooking.get(piece_class(piece))
    if rule is not None and isinstance(rule.standard, RoastChart):
        verdicts.append(cooking.oven_verdict(piece, coldest, oven=oven, oven_c=oven_c))
    if oven is not OvenKind.HIGH_HUMIDITY:
        verdicts.append(cooking.dry_heat_verdict(piece, coldest, oven_c=oven_c))
    verdicts.extend(come_up_verdicts(piece, cook))
    if cook.hold_start_s is not None and cook.hold_end_s is not None:
        rested_s = cook.hold_start_s if cook.rest_start_s is None else cook.rest_start_s
        after_s, after_c = clipped(cook.time_s, cook.coldest_c, rested_s, cook.hold_end_s)
        held_s, held_c = clipped(cook.time_s, cook.coldest_c, _warm_again_s(cook), cook.hold_end_s)
        by_chart = cooking.cooked_by_chart(piece, time, coldest, oven=oven, oven_c=oven_c)
        verdicts.append(hot_hold.floor_verdict(profile, after_s, after_c, by_chart=by_chart, room_c=room_c))
        verdicts.append(hot_hold.band_verdict(held_s, held_c))
        verdicts.append(growth_verdict(piece, after_s, after_c, topic=Topic.GROWTH))
    return tuple(verdicts)


def come_up_verdicts(piece: Piece, cook: Course) -> tuple[Verdict, ...]:
    """Return the come-up of surface and core, told apart.

    Where the inside is intact the rule may be read at the surface, and a slow core is FSIS's own gap; where
    it was opened, the rule is read at the core.
    """
    table = table_for(piece.species, piece.fat_pct)
    surface, core = (
        come_up.come_up(cook.time_s, temp, kill=table, target_log=table.target_log).first_s
        for temp in (cook.surface_c, cook.core_c)
    )
    intact = piece.integrity is Integrity.INTACT
    return (
        _come_up_verdict("surface", surface, decides=intact, intact=intact),
        _come_up_verdict("core", core, decides=not intact, intact=intact),
    )


def _come_up_verdict(place: str, clock_s: FloatArray, *, decides: bool, intact: bool) -> Verdict:
    meets = clock_s <= LIMIT_S
    level = level_of(share_of(meets))
    if decides:
        met = Met.MET if level is Level.GREEN else Met.NOT_MET
        where = "the surface, as the piece is intact" if intact else "the core, as the inside was opened"
        explanation = f"The rule is read at {where}."
    else:
        # The place that does not decide is shown and asks for a reason, but refuses nothing.
        met, level = advised(level)
        explanation = "Shown beside the place where the rule is read."
    if level is not Level.GREEN:
        explanation = f"{explanation} {LONG_COME_UP_GAP.text}"
    return verdict(
        topic=Topic.COME_UP,
        rule=f"come-up of the {place} from 10 to 54.4 °C (50 to 130 °F) within 6 h",
        citation=INTACT_SURFACE_RULE if place == "surface" and intact else COME_UP_RULE,
        met=met,
        level=level,
        name=f"{place} in that range for",
        values=clock_s,
        unit=Unit.SECONDS,
        limit=LIMIT_S,
        limit_text="6 h, with a new clock only after a lethal temperature and time",
        meets=meets,
        explanation=explanation,
        what_to_do="" if level is Level.GREEN else "Start warmer, or cook a thinner or a smaller piece.",
    )


def growth_verdict(piece: Piece, time_s: FloatArray, temp_c: FloatArray, *, topic: Topic) -> Verdict:
    """Return the predicted growth of C. perfringens from the end of the cook, as an advisory ranking.

    `time_s` (T,) or (M, T), `temp_c` (M, T), from the start of the hold or of the cooling.
    """
    grown = growth.cautious_growth_log10(piece.species, time_s, temp_c)
    model = growth.model_for(piece.species)
    middle = float(np.median(grown))
    return verdict(
        topic=topic,
        rule="predicted growth of Clostridium perfringens if its spores are present",
        citation=model.citation,
        met=Met.ADVISORY,
        level=Level.AMBER if share_of(grown <= 1.0) < GREEN_SHARE else Level.GREEN,
        name="growth",
        values=grown,
        unit=Unit.LOG_GROWTH,
        limit=None,
        limit_text="",
        meets=None,
        explanation=f"Ranking: {growth.ranking_word(middle)}. The models over-predict and only rank; "
        "the published temperatures and times decide. The larger of two models is shown.",
    )


def _warm_again_s(cook: Course) -> FloatArray:
    """When the bands begin to count, (M,): in the hold, once a piece rested in the room is back at 54.4 °C.

    The dip between cook and hold is time out of temperature, judged by the floor's own rule; a piece that
    never comes back is judged from the moment it went in.
    """
    assert cook.hold_start_s is not None
    assert cook.hold_end_s is not None
    if cook.rest_start_s is None:
        return cook.hold_start_s
    inside_s, inside_c = clipped(cook.time_s, cook.coldest_c, cook.hold_start_s, cook.hold_end_s)
    back_s = first_time_at_or_above_s(inside_s, inside_c, hot_hold.LOWEST_C + BACK_BY_K)
    return np.where(np.isfinite(back_s), back_s, cook.hold_start_s)


def _until_hold(cook: Course) -> tuple[FloatArray, FloatArray]:
    # Heat after the oven counts (Food Code 3-401.11(B)(2), READ); a hold does not make up for a short cook.
    if cook.hold_start_s is None:
        return cook.time_s, cook.coldest_c
    return clipped(cook.time_s, cook.coldest_c, cook.time_s[0], cook.hold_start_s)


def _by_member(value: ArrayLike, members: int) -> FloatArray:
    array = np.asarray(value, dtype=np.float64)
    if array.shape not in {(), (members,)}:
        raise SafetyInputError(f"hold times: give one number, or one for each of the {members} members")
    return np.broadcast_to(array, (members,)).copy()
