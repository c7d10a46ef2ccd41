"""How to set a holder for a method: the humidity window, what to dial in, what it does, how long it may last.

Reads the method's `HoldTable` for the meat and the cabinet model for the air, and brings the two together:
what the meat gives off moistens the air that dries it. Called by `enrich` for every holder and by the `hold`
command.
"""

from dataclasses import dataclass, replace

import numpy as np

from slowfolio.book import model as cards
from slowfolio.forecast.authority import rules_of
from slowfolio.forecast.hold_spray import humidity_swing, sprayed
from slowfolio.forecast.hold_table import LONGEST_H, HoldTable, read_crispness, read_table
from slowfolio.forecast.hold_window import ALLOWED_LOSS, Window, needed_crispness, window_of
from slowfolio.forecast.holders import cabinet_of, room_of
from slowfolio.forecast.inputs import BOX_SKIN_DROP_K, air_offset_k, box_of, hot_water_of
from slowfolio.physics.box import BoxedMeat, HotWater, boxed_hold
from slowfolio.physics.cabinet import Cabinet, Control, Load, Room, Setting, lining_area_m2
from slowfolio.physics.cabinet_course import Spray
from slowfolio.physics.cabinet_reach import NEAR_ENOUGH, pans_of_area, reach, setting_for
from slowfolio.physics.cabinet_reading import air_exchange_from_reading
from slowfolio.physics.cabinet_state import CabinetState, steady_state
from slowfolio.physics.errors import PhysicsInputError
from slowfolio.physics.pan import Pan
from slowfolio.safety.verdict import limit_temperature_text
from slowfolio.units import System, format_area

Percentiles = tuple[float, float, float]

OVER_SOFT_COLLAGEN = 0.85
"""Collagen conversion from which slices fall apart (CALIBRATED, tenderness bands of `kinetics`)."""

CARD_LIMIT = "the card's own limit"
NEVER_WARM = "the coldest point does not come up to the authority's floor"
STAYS_SOFT = "the crust stays softer than the card expects"

FELL = "the coldest point falls below the authority's floor"
DIALS = {Control.VAPOUR_TEMPERATURE: "--vapour-temp", Control.PER_CENT: "--humidity"}

NO_PAN_WITHIN = 0.01
"""Humidity a pan is not worth setting up for (CALIBRATED: the step of the windows)."""

NO_PAN = "no pan: room and meat alone keep it this damp"
NOTHING_TO_SET = "nothing to set: the room, the meat and the air exchange decide"

FLOORS_OF_LINING = 10.0
"""Inner surface of a cabinet twice as tall as wide over its floor (COMPUTED: 2 ends, 4 double sides)."""

TABLE_SLACK_K = 0.5
"""Air this little outside the hold table is read at its edge (CALIBRATED: within any dial's own error)."""

BISECTIONS = 24


@dataclass(frozen=True, slots=True)
class Wish:
    """What a cook asks of a holder in place of the card's own; None leaves it to the computation."""

    air_temp_c: float | None = None
    humidity: float | None = None
    vapour_temp_c: float | None = None
    pan_area_m2: float | None = None
    pan_temp_c: float | None = None
    hours: float | None = None
    wrap: str | None = None
    room_temp_c: float | None = None
    altitude_m: float | None = None
    measured_humidity: float | None = None
    spray: Spray | None = None
    bottle_litres: float | None = None
    bottle_temp_c: float | None = None


@dataclass(frozen=True, slots=True)
class Advice:
    """One holder for one method: settings, the air they give, what it does to the meat, and for how long.

    `air_temp_c` is what is set, `inside_c` what its air is then known to stand at (None: the same).
    `reach_low` and `reach_high` are None where pans or sprays were chosen by hand. Where
    `possible` is False, `why_not` says why and the figures are absent or the nearest there is.
    """

    holder: str
    possible: bool
    why_not: str
    wrap: str
    air_temp_c: float
    hours: float
    inside_c: float | None = None
    windows: tuple[Window, ...] = ()
    humidity: float | None = None
    dew_point_c: float | None = None
    wet_bulb_c: float | None = None
    reach_low: float | None = None
    reach_high: float | None = None
    reached: bool = False
    setting_words: str = ""
    vapour_temp_c: float | None = None
    set_humidity: float | None = None
    pan_area_m2: float | None = None
    pan_count: int | None = None
    pan_water_c: float | None = None
    refill_h: float | None = None
    spray_kg_h: float | None = None
    make_up_kg_h: float | None = None
    heat_w: float | None = None
    loss: Percentiles | None = None
    crispness: Percentiles | None = None
    core_c: Percentiles | None = None
    coldest_c: Percentiles | None = None
    tenderness: Percentiles | None = None
    below_air_k: float | None = None
    longest_h: float | None = None
    ended_by: str = ""
    reading_words: str = ""
    box_hours: float | None = None
    box_hours_per_litre: float | None = None
    spray: Spray | None = None
    humidity_low: float | None = None
    humidity_high: float | None = None
    bottle_litres: float | None = None
    bottle_temp_c: float | None = None

    @property
    def stands_in_c(self) -> float:
        """The air round the meat."""
        return self.air_temp_c if self.inside_c is None else self.inside_c


def advise(
    table: HoldTable,
    method: cards.Method,
    book: cards.Book,
    holder: cards.Holder,
    wish: Wish | None = None,
) -> Advice:
    """Work out one holder for one method. Raises PhysicsInputError for a wish the holder cannot take."""
    wish = wish or Wish()
    assert method.hold is not None
    air_c = method.hold.air_temp_c if wish.air_temp_c is None else wish.air_temp_c
    hours = method.hold.for_s / 3600.0 if wish.hours is None else wish.hours
    wrap = table.wraps[0] if wish.wrap is None else wish.wrap
    if method.hold.wrap in table.wraps and wish.wrap is None:
        wrap = method.hold.wrap
    blank = Advice(holder.id, False, "", wrap, air_c, hours)
    low_c, high_c = holder.air_temp_c.low, holder.air_temp_c.high
    if not low_c - 0.5 <= air_c <= high_c + 0.5:
        return replace(blank, why_not="its air cannot be set to this temperature")
    if method.piece.weight_kg.low > holder.load_kg.value:
        return replace(blank, why_not="the piece is heavier than it holds")
    room = room_of(book.card, room_temp_c=wish.room_temp_c, altitude_m=wish.altitude_m)
    if not holder.heated:
        return boxed(blank, table, book, holder, room, wish)
    if wish.bottle_litres is not None:
        raise PhysicsInputError("it is heated: bottles of hot water are for a holder without heat")
    if not 0.0 < hours <= LONGEST_H:
        raise PhysicsInputError(f"holds are worked out for up to {LONGEST_H} h, not for {hours:.3g} h")
    inside_c = air_c + air_offset_k(holder)
    first_c, last_c = table.air_temps_c[0], table.air_temps_c[-1]
    if not first_c - TABLE_SLACK_K <= inside_c <= last_c + TABLE_SLACK_K:
        ends = f"{limit_temperature_text(first_c)} to {limit_temperature_text(last_c)}"
        return replace(
            blank,
            why_not=f"holds are worked out for air of {ends}; in it the air would be "
            f"{limit_temperature_text(inside_c)}",
        )
    return balanced(replace(blank, inside_c=inside_c), table, method, book, holder, room, wish)


def balanced(
    blank: Advice,
    table: HoldTable,
    method: cards.Method,
    book: cards.Book,
    holder: cards.Holder,
    room: Room,
    wish: Wish,
) -> Advice:
    """A heated holder: air and meat in balance at the wished or the best humidity."""
    cabinet = cabinet_of(holder)
    air_c, hours, wrap = blank.stands_in_c, blank.hours, blank.wrap
    floor_c = rules_of(book.card).hot_hold_min_c
    windows = tuple(
        window_of(table, name, needed_crispness(method), air_temp_c=air_c, hours=hours, floor_c=floor_c)
        for name in table.wraps
    )
    reading_words = ""
    if wish.measured_humidity is not None:
        cabinet, reading_words = corrected(cabinet, table, blank, room, wish)
    target = target_humidity(windows, wrap, method, wish)
    settled = set_air(cabinet, table, blank, room, wish, target)
    humidity = float(settled.state.relative_humidity)
    bounds = reach(cabinet, air_temp_c=air_c, room=room, load=meat_load(table, wrap, air_c, humidity, hours))

    def at_end(quantity: str) -> Percentiles:
        return read_table(table, quantity, wrap, air_temp_c=air_c, humidity=humidity, hour=hours)

    by_hand = wish.pan_area_m2 is not None or wish.spray is not None
    longest_h, ended_by = longest_hold(
        table, wrap, method, air_temp_c=air_c, humidity=humidity, floor_c=floor_c
    )
    coldest = at_end("coldest_c")
    state = settled.state
    return replace(
        blank,
        possible=True,
        why_not="",
        windows=windows,
        humidity=humidity,
        dew_point_c=float(state.dew_point_c),
        wet_bulb_c=float(state.wet_bulb_c),
        reach_low=None if by_hand else float(bounds.lowest_humidity),
        reach_high=None if by_hand else float(bounds.highest_humidity),
        reached=settled.reached,
        setting_words=settled.words,
        vapour_temp_c=settled.vapour_temp_c,
        set_humidity=settled.set_humidity,
        pan_area_m2=settled.pan_area_m2,
        pan_count=settled.pan_count,
        pan_water_c=settled.pan_water_c,
        refill_h=float(state.refill_h) if np.isfinite(state.refill_h) else None,
        spray_kg_h=settled.spray_kg_h,
        make_up_kg_h=float(state.water_kg_h.make_up),
        heat_w=float(state.heat_w.total),
        loss=at_end("loss"),
        crispness=read_crispness(table, wrap, air_temp_c=air_c, humidity=humidity, hour=hours),
        core_c=at_end("core_c"),
        coldest_c=coldest,
        tenderness=at_end("tenderness"),
        below_air_k=air_c - coldest[1],
        longest_h=longest_h,
        ended_by=ended_by,
        reading_words=reading_words,
        spray=wish.spray,
        humidity_low=settled.humidity_low,
        humidity_high=settled.humidity_high,
    )


def target_humidity(windows: tuple[Window, ...], wrap: str, method: cards.Method, wish: Wish) -> float:
    """The humidity to aim at: wished, on the card, or the middle of the window."""
    if wish.humidity is not None:
        return wish.humidity
    assert method.hold is not None
    if method.hold.relative_humidity is not None:
        return method.hold.relative_humidity
    window = next(each for each in windows if each.wrap == wrap)
    return min(max(window.target, 0.02), 0.95)


# --- the air ----------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Settled:
    """The holder's steady air and how it was set."""

    state: CabinetState
    reached: bool
    words: str
    vapour_temp_c: float | None = None
    set_humidity: float | None = None
    pan_area_m2: float | None = None
    pan_count: int | None = None
    pan_water_c: float | None = None
    spray_kg_h: float | None = None
    humidity_low: float | None = None
    humidity_high: float | None = None


def meat_load(table: HoldTable, wrap: str, air_c: float, humidity: float, hours: float) -> Load:
    """What one piece gives to the air, as the mean flow of its hold."""
    lost = read_table(table, "loss", wrap, air_temp_c=air_c, humidity=humidity, hour=hours)[1]
    if table.tight[table.wraps.index(wrap)]:
        lost = 0.0
    return Load(given_kg_s=max(lost, 0.0) * table.weight_in_kg / max(hours, 0.5) / 3600.0)


def set_air(
    cabinet: Cabinet, table: HoldTable, blank: Advice, room: Room, wish: Wish, target: float
) -> Settled:
    """The steady air: as wished on the dials or with the pans, or set for the target."""
    air_c, hours, wrap = blank.stands_in_c, blank.hours, blank.wrap
    by_hand = hand_setting(cabinet, air_c, wish)
    if wish.spray is not None:
        by_hand = sprayed(cabinet, by_hand or Setting(air_c), wish.spray)
    if by_hand is not None or cabinet.control in (Control.NONE, Control.SEALED):
        setting = by_hand or Setting(air_c)
        state = balance_with_meat(cabinet, setting, room, table, wrap, hours)
        low, high = (
            (None, None)
            if wish.spray is None
            else humidity_swing(
                cabinet,
                setting,
                wish.spray,
                room=room,
                load=meat_load(table, wrap, air_c, float(state.relative_humidity), hours),
                start_pa=float(state.vapour_pressure_pa),
            )
        )
        return Settled(
            state=state,
            humidity_low=low,
            humidity_high=high,
            reached=wish.humidity is None
            or abs(wish.humidity - float(state.relative_humidity)) <= NEAR_ENOUGH,
            words="as set" if by_hand else nothing_to_set(wish),
            vapour_temp_c=None if setting.vapour_temp_c is None else float(setting.vapour_temp_c),
            set_humidity=None if setting.relative_humidity is None else float(setting.relative_humidity),
            pan_area_m2=wish.pan_area_m2,
            pan_count=len(setting.pans) or None,
            pan_water_c=float(state.pans[0].water_temp_c) if state.pans else None,
        )
    load = meat_load(table, wrap, air_c, target, hours)
    bare = bare_enough(cabinet, target, air_c=air_c, room=room, load=load)
    if bare is not None:
        return Settled(state=bare, reached=True, words=NO_PAN)
    found = setting_for(cabinet, target, air_temp_c=air_c, room=room, load=load)
    return Settled(
        state=found.state,
        reached=found.reached,
        words=found.words,
        vapour_temp_c=found.vapour_temp_c,
        set_humidity=found.relative_humidity,
        pan_area_m2=found.pan_area_m2,
        pan_count=found.pan_count,
        pan_water_c=found.pan_water_c,
        spray_kg_h=found.spray_kg_h,
    )


def bare_enough(
    cabinet: Cabinet, target: float, *, air_c: float, room: Room, load: Load
) -> CabinetState | None:
    """The air without a pan, where that is as good as the target; None where a pan or a dial is to set it."""
    if cabinet.control is not Control.PAN:
        return None
    state = steady_state(cabinet, Setting(air_c), room=room, load=load)
    return state if 0.0 <= target - float(state.relative_humidity) <= NO_PAN_WITHIN else None


def nothing_to_set(wish: Wish) -> str:
    """What is said of a holder without a dial or a pan; a humidity wished of it is not kept quiet about."""
    unheard = "" if wish.humidity is None else f", and not the {100 * wish.humidity:.0f} % asked for"
    return f"{NOTHING_TO_SET}{unheard}"


def hand_setting(cabinet: Cabinet, air_c: float, wish: Wish) -> Setting | None:
    """The setting a cook has typed in, or None where the computation is to find it."""
    if wish.vapour_temp_c is not None:
        return Setting(air_c, vapour_temp_c=wish.vapour_temp_c)
    if wish.humidity is not None and cabinet.control is Control.PER_CENT:
        return Setting(air_c, relative_humidity=wish.humidity)
    if wish.pan_area_m2 is None:
        return None
    if cabinet.control in DIALS:
        raise PhysicsInputError(f"its humidity is set by {cabinet.control.value}: leave --pan-area out")
    most_m2 = most_open_water_m2(cabinet)
    if not 0.0 < wish.pan_area_m2 <= most_m2 * (1 + 1e-9):
        both = " or ".join(format_area(most_m2, system) for system in (System.METRIC, System.US))
        raise PhysicsInputError(f"at most {both} of open water goes into it, and no pan is no --pan-area")
    if cabinet.pans is not None and wish.pan_temp_c is None:
        return Setting(air_c, pans=pans_of_area(cabinet.pans, wish.pan_area_m2, volume_m3=cabinet.volume_m3))
    return Setting(air_c, pans=(Pan(wish.pan_area_m2, held_c=wish.pan_temp_c),))


def most_open_water_m2(cabinet: Cabinet) -> float:
    """The most open water a cook can put in: what its card says, else two pans as large as its floor."""
    if cabinet.pans is not None:
        return cabinet.pans.largest_m2
    return 2.0 * float(lining_area_m2(cabinet.volume_m3)) / FLOORS_OF_LINING


def balance_with_meat(
    cabinet: Cabinet, setting: Setting, room: Room, table: HoldTable, wrap: str, hours: float
) -> CabinetState:
    """The humidity at which what the meat gives off is just what keeps the air that damp.

    Damper air dries the meat less, so the state's humidity falls with the humidity assumed, and halving the
    bracket finds where the two agree.
    """
    air_c = float(setting.air_temp_c)
    low, high = 0.0, 1.0
    state = steady_state(cabinet, setting, room=room)
    for _ in range(BISECTIONS):
        assumed = 0.5 * (low + high)
        load = meat_load(table, wrap, air_c, assumed, hours)
        state = steady_state(cabinet, setting, room=room, load=load)
        low, high = (assumed, high) if float(state.relative_humidity) > assumed else (low, assumed)
    return state


def corrected(
    cabinet: Cabinet, table: HoldTable, blank: Advice, room: Room, wish: Wish
) -> tuple[Cabinet, str]:
    """The cabinet with the air exchange that a hygrometer reading tells of, and what the reading says."""
    assert wish.measured_humidity is not None
    setting = hand_setting(cabinet, blank.stands_in_c, wish) or Setting(blank.stands_in_c)
    if setting == Setting(blank.stands_in_c) and cabinet.control in DIALS:
        raise PhysicsInputError(f"to judge the reading, give what was dialled, too: {DIALS[cabinet.control]}")
    load = meat_load(table, blank.wrap, blank.stands_in_c, wish.measured_humidity, blank.hours)
    reading = air_exchange_from_reading(cabinet, setting, wish.measured_humidity, room=room, load=load)
    return replace(cabinet, air_exchange_per_s=reading.air_exchange_per_s), reading.words


# --- how long ---------------------------------------------------------------------------------------


def longest_hold(
    table: HoldTable,
    wrap: str,
    method: cards.Method,
    *,
    air_temp_c: float,
    humidity: float,
    floor_c: float,
) -> tuple[float, str]:
    """Hours until the first thing goes wrong, and what it is; the card's own limit counts too.

    What comes up only in the hold, the coldest point to the floor and a steamed crust to its crispness, ends
    the hold when it falls again. A crust that never comes up is said beside what does end it.
    """
    assert method.hold is not None
    card_h = min(method.hold.at_most_s / 3600.0, float(LONGEST_H))
    quarters = range(1, int(4 * card_h) + 1)

    def coldest_c(hour: float) -> float:
        return read_table(table, "coldest_c", wrap, air_temp_c=air_temp_c, humidity=humidity, hour=hour)[0]

    if not any(coldest_c(quarter / 4) >= floor_c for quarter in quarters):
        return 0.0, NEVER_WARM
    needed = needed_crispness(method)
    warm = False
    crisp = needed <= 0.0
    longest_h, reason = card_h, CARD_LIMIT
    for quarter in quarters:
        state = {
            name: read_table(table, name, wrap, air_temp_c=air_temp_c, humidity=humidity, hour=quarter / 4)
            for name in ("coldest_c", "loss", "collagen")
        }
        state["crispness"] = read_crispness(
            table, wrap, air_temp_c=air_temp_c, humidity=humidity, hour=quarter / 4
        )
        cold = state["coldest_c"][0] < floor_c
        crisp = crisp or state["crispness"][1] >= needed
        wrong = what_went_wrong(state, fell=warm and cold, crispness=needed if crisp else 0.0)
        if wrong:
            longest_h, reason = quarter / 4 - 0.25, wrong
            break
        warm = warm or not cold
    return longest_h, reason if crisp else f"{reason}; {STAYS_SOFT}"


def what_went_wrong(state: dict[str, Percentiles], *, fell: bool, crispness: float) -> str:
    """What ends a hold in this state, or nothing. The floor by the coldest tenth, the rest by medians."""
    if fell:
        return FELL
    if state["loss"][1] > ALLOWED_LOSS:
        return "the meat has lost as much as is allowed"
    if state["crispness"][1] < crispness:
        return "the crust is no longer as the card expects"
    if state["collagen"][1] > OVER_SOFT_COLLAGEN:
        return "the meat becomes over-soft"
    return ""


def boxed(
    blank: Advice, table: HoldTable, book: cards.Book, holder: cards.Holder, room: Room, wish: Wish
) -> Advice:
    """An unheated box: how long the coldest layer stays above the floor, and what a litre more adds."""
    refuse_heated_settings(wish, table)
    floor_c = rules_of(book.card).hot_hold_min_c
    usual = hot_water_of(holder)
    water = HotWater(
        litres=usual.litres if wish.bottle_litres is None else wish.bottle_litres,
        temp_c=usual.temp_c if wish.bottle_temp_c is None else wish.bottle_temp_c,
    )
    result = boxed_hold(
        box_of(holder),
        boxed_piece(table),
        water,
        floor_c=floor_c,
        room_c=float(room.temp_c),
        lining_c=usual.temp_c,
    )
    hours = float(result.coldest_s) / 3600.0
    tight = next(
        (name for name, is_tight in zip(table.wraps, table.tight, strict=True) if is_tight), blank.wrap
    )
    enough = hours >= blank.hours
    return replace(
        blank,
        possible=enough,
        why_not=""
        if enough
        else f"unheated, it stays above the floor for {hours:.1f} h, not {blank.hours:g} h",
        wrap=tight,
        longest_h=min(hours, float(LONGEST_H)),
        ended_by=FELL,
        setting_words="warm the box through first; bottles of hot water beside the meat",
        bottle_litres=float(water.litres),
        bottle_temp_c=float(water.temp_c),
        box_hours=hours,
        box_hours_per_litre=float(result.per_litre_s) / 3600.0,
    )


def boxed_piece(table: HoldTable) -> BoxedMeat:
    """The piece as it goes into a box."""
    return BoxedMeat(
        mass_kg=table.weight_in_kg,
        thickness_m=table.thickness_m,
        core_c=table.core_in_c,
        skin_c=table.core_in_c - BOX_SKIN_DROP_K,
    )


def refuse_heated_settings(wish: Wish, table: HoldTable) -> None:
    """Raise PhysicsInputError for a wish that only a heated holder can take."""
    asked = {
        "air temperature": wish.air_temp_c,
        "humidity": wish.humidity,
        "vapour temperature": wish.vapour_temp_c,
        "pan": wish.pan_area_m2,
        "spray": wish.spray,
        "hygrometer reading": wish.measured_humidity,
    }
    named = [name for name, value in asked.items() if value is not None]
    if named:
        raise PhysicsInputError(f"it has no heat, so no {' and no '.join(named)}: give its bottles instead")
    if wish.wrap is not None and not table.tight[table.wraps.index(wish.wrap)]:
        raise PhysicsInputError("without heat it is worked out for a steam-tight wrap only")
