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
from slowfolio.forecast.holders import cabinet_of, room_of
from slowfolio.forecast.inputs import BOX_LITRES, BOX_SKIN_DROP_K, BOX_WATER_C
from slowfolio.physics.box import BoxedMeat, HotWater, InsulatedBox, boxed_hold
from slowfolio.physics.cabinet import Cabinet, Control, Load, Room, Setting
from slowfolio.physics.cabinet_course import Spray
from slowfolio.physics.cabinet_reach import pans_of_area, reach, setting_for
from slowfolio.physics.cabinet_reading import air_exchange_from_reading
from slowfolio.physics.cabinet_state import CabinetState, steady_state
from slowfolio.physics.errors import PhysicsInputError
from slowfolio.physics.pan import Pan
from slowfolio.safety.verdict import limit_temperature_text

Percentiles = tuple[float, float, float]

ALLOWED_LOSS = 0.06
"""Weight a hold may cost, of what went in. CALIBRATED: what a ten-hour hold at 25–30 % costs, the driest the
trade accepts (common practice, no source)."""

CRISPNESS_NEEDED = {"crisp": 60.0, "firm": 40.0, "tender": 0.0, "soft": 0.0}
"""Crispness score that still counts as the bark a card expects. CALIBRATED, on the scale of `outcomes`."""

OVER_SOFT_COLLAGEN = 0.85
"""Collagen conversion from which slices fall apart (CALIBRATED, tenderness bands of `kinetics`)."""

CARD_LIMIT = "the card's own limit"
NEVER_WARM = "the coldest point does not come up to the authority's floor"
STAYS_SOFT = "the crust stays softer than the card expects"

HUMIDITY_STEP = 0.01
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
class Window:
    """The humidities between drying and softening, for one wrap; `low` above `high` means there is none."""

    wrap: str
    low: float
    high: float
    exists: bool
    target: float
    opened_by: str


@dataclass(frozen=True, slots=True)
class Advice:
    """One holder for one method: settings, the air they give, what it does to the meat, and for how long.

    Where `possible` is False, `why_not` says why and the figures are absent or the nearest there is.
    """

    holder: str
    possible: bool
    why_not: str
    wrap: str
    air_temp_c: float
    hours: float
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
    return balanced(blank, table, method, book, holder, room, wish)


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
    air_c, hours, wrap = blank.air_temp_c, blank.hours, blank.wrap
    windows = tuple(
        window_of(table, name, needed_crispness(method), air_temp_c=air_c, hours=hours)
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

    floor_c = rules_of(book.card).hot_hold_min_c
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
        reach_low=float(bounds.lowest_humidity),
        reach_high=float(bounds.highest_humidity),
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


# --- the window -------------------------------------------------------------------------------------


def needed_crispness(method: cards.Method) -> float:
    """The crispness score the card's expected bark asks for."""
    expected = method.expected.get("bark")
    return 0.0 if expected is None else CRISPNESS_NEEDED.get(expected.level, 0.0)


def window_of(table: HoldTable, wrap: str, crispness: float, *, air_temp_c: float, hours: float) -> Window:
    """From the driest air that keeps the loss allowed to the dampest that keeps the crust, on the medians."""
    grid = np.arange(table.humidities[0], table.humidities[-1] + HUMIDITY_STEP / 2, HUMIDITY_STEP)

    def loss(humidity: float) -> float:
        return read_table(table, "loss", wrap, air_temp_c=air_temp_c, humidity=humidity, hour=hours)[1]

    def crust(humidity: float) -> float:
        return read_crispness(table, wrap, air_temp_c=air_temp_c, humidity=humidity, hour=hours)[1]

    moist = [float(value) for value in grid if loss(float(value)) <= ALLOWED_LOSS]
    crisp = [float(value) for value in grid if crust(float(value)) >= crispness]
    if moist and crisp and moist[0] <= crisp[-1]:
        low, high = moist[0], crisp[-1]
        return Window(wrap, low, high, True, 0.5 * (low + high), "")
    low = moist[0] if moist else 1.0
    high = crisp[-1] if crisp else 0.0
    return Window(wrap, low, high, False, 0.5 * (low + high), opened_by(moist, crisp))


def opened_by(moist: list[float], crisp: list[float]) -> str:
    """What would open a window that is shut."""
    if not crisp:
        return (
            "the crust is softer than wanted in any air: hold it open, or dry it in a hot pit before serving"
        )
    if not moist:
        return "it loses more than allowed in any air: hold it cooler, covered, or for fewer hours"
    return (
        "air damp enough for the meat softens the crust: hold it cooler, for fewer hours, or finish it open"
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
    air_c, hours, wrap = blank.air_temp_c, blank.hours, blank.wrap
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
            reached=True,
            words="as set" if by_hand else "nothing to set: the room, the meat and the air exchange decide",
            vapour_temp_c=None if setting.vapour_temp_c is None else float(setting.vapour_temp_c),
            set_humidity=None if setting.relative_humidity is None else float(setting.relative_humidity),
            pan_area_m2=wish.pan_area_m2,
            pan_count=len(setting.pans) or None,
            pan_water_c=float(state.pans[0].water_temp_c) if state.pans else None,
        )
    load = meat_load(table, wrap, air_c, target, hours)
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


def hand_setting(cabinet: Cabinet, air_c: float, wish: Wish) -> Setting | None:
    """The setting a cook has typed in, or None where the computation is to find it."""
    if wish.vapour_temp_c is not None:
        return Setting(air_c, vapour_temp_c=wish.vapour_temp_c)
    if wish.humidity is not None and cabinet.control is Control.PER_CENT:
        return Setting(air_c, relative_humidity=wish.humidity)
    if wish.pan_area_m2 is None:
        return None
    if cabinet.pans is not None and wish.pan_temp_c is None:
        return Setting(air_c, pans=pans_of_area(cabinet.pans, wish.pan_area_m2, volume_m3=cabinet.volume_m3))
    return Setting(air_c, pans=(Pan(wish.pan_area_m2, held_c=wish.pan_temp_c),))


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
    setting = hand_setting(cabinet, blank.air_temp_c, wish) or Setting(blank.air_temp_c)
    load = meat_load(table, blank.wrap, blank.air_temp_c, wish.measured_humidity, blank.hours)
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
        return "the coldest point falls below the authority's floor"
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
    floor_c = rules_of(book.card).hot_hold_min_c
    litres = BOX_LITRES if wish.bottle_litres is None else wish.bottle_litres
    water_c = BOX_WATER_C if wish.bottle_temp_c is None else wish.bottle_temp_c
    result = boxed_hold(
        InsulatedBox(
            volume_m3=holder.volume_m3.value,
            heat_loss_w_k=holder.heat_loss_w_k.value,
            air_exchange_per_s=holder.air_exchange_per_s.value,
        ),
        BoxedMeat(
            mass_kg=table.weight_in_kg,
            thickness_m=table.thickness_m,
            core_c=table.core_in_c,
            skin_c=table.core_in_c - BOX_SKIN_DROP_K,
        ),
        HotWater(litres=litres, temp_c=water_c),
        floor_c=floor_c,
        room_c=float(room.temp_c),
        lining_c=BOX_WATER_C,
    )
    hours = float(result.coldest_s) / 3600.0
    tight = next(
        (name for name, is_tight in zip(table.wraps, table.tight, strict=True) if is_tight), blank.wrap
    )
    return replace(
        blank,
        possible=hours >= blank.hours,
        why_not=""
        if hours >= blank.hours
        else f"unheated, it stays above the floor for {hours:.1f} h, not {blank.hours:g} h",
        wrap=tight,
        longest_h=min(hours, float(LONGEST_H)),
        ended_by="the coldest point falls below the authority's floor",
        setting_words=f"warm the box through first; {litres:g} L of water at "
        f"{limit_temperature_text(water_c)} in bottles beside the meat",
        bottle_litres=litres,
        bottle_temp_c=water_c,
        box_hours=hours,
        box_hours_per_litre=float(result.per_litre_s) / 3600.0,
    )
