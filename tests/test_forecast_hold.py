"""Hold tables and the advice read from them: interpolation, windows, holders, what ends a hold."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from slowfolio.book.model import Book, Method, Sourced
from slowfolio.book.reading import read_book
from slowfolio.forecast.authority import rules_of
from slowfolio.forecast.hold_advice import (
    CARD_LIMIT,
    STAYS_SOFT,
    Wish,
    advise,
    longest_hold,
    what_went_wrong,
)
from slowfolio.forecast.hold_table import (
    AIR_TEMPS_C,
    HUMIDITIES,
    QUANTITIES,
    HoldTable,
    bracket,
    hold_table,
    own_corners,
    read_crispness,
    read_table,
)
from slowfolio.forecast.hold_window import ALLOWED_LOSS, Window, needed_crispness, opened_by, window_of
from slowfolio.forecast.holders import cabinet_of
from slowfolio.physics.cabinet import Control
from slowfolio.physics.errors import PhysicsInputError
from slowfolio.provenance import Provenance

STARTER = Path(__file__).parents[1] / "methods"
METHOD = "foil-boat-humid-hold"
HOURS = tuple(float(hour) for hour in range(17))


@pytest.fixture(scope="module")
def book() -> Book:
    whole = read_book(STARTER).book
    assert whole is not None
    return whole


@pytest.fixture(scope="module")
def computed(book: Book) -> HoldTable:
    return hold_table(book.methods[METHOD], book, members=16, seed=1)


def test_the_corners_of_a_methods_own_hold_give_the_advice_of_the_whole_table(
    book: Book, computed: HoldTable
) -> None:
    """What only compares reads no more than its own holder does."""
    method = book.methods[METHOD]
    assert method.hold is not None
    holder = book.holders[method.hold.holder]
    corners = own_corners(method)
    assert (len(corners.wraps), len(corners.air_temps_c)) == (1, 2)
    few = advise(hold_table(method, book, members=16, seed=1, corners=corners), method, book, holder)
    whole = advise(computed, method, book, holder)
    own = tuple(window for window in whole.windows if window.wrap == whole.wrap)
    assert few == replace(whole, windows=own)


def made(loss_per_h: float = 0.004, cold_c: float = 64.0) -> HoldTable:
    """A table by formula: loss and crispness fall linearly with humidity, nothing depends on air."""

    def corner(quantity: str, humidity: float, hour: float) -> float:
        return {
            "loss": loss_per_h * hour * (1.0 - humidity),
            "core_c": 66.0,
            "coldest_c": cold_c,
            "tenderness": 80.0,
            "collagen": 0.5 + 0.02 * hour,
            "water_activity": humidity,
        }[quantity]

    values = {
        name: [[[[[corner(name, rh, hour)] * 3 for hour in HOURS] for rh in HUMIDITIES] for _ in AIR_TEMPS_C]]
        for name in QUANTITIES
    }
    return HoldTable(
        method=METHOD,
        engine="formula",
        members=1,
        wraps=("foil-boat",),
        tight=(False,),
        air_temps_c=AIR_TEMPS_C,
        humidities=HUMIDITIES,
        hours=HOURS,
        weight_in_kg=3.5,
        thickness_m=0.08,
        core_in_c=76.0,
        crispness_scale=((0.0, 1.0), (100.0, 0.0)),
        values=values,
    )


def test_a_table_reads_its_own_corners_and_is_linear_between_them() -> None:
    table = made()
    at_corner = read_table(table, "loss", "foil-boat", air_temp_c=60.0, humidity=0.5, hour=10)
    assert at_corner == pytest.approx((0.02, 0.02, 0.02))
    between = read_table(table, "loss", "foil-boat", air_temp_c=63.3, humidity=0.4, hour=7.5)
    assert between[1] == pytest.approx(0.004 * 7.5 * 0.6)


def test_outside_its_corners_a_table_gives_its_edge() -> None:
    table = made()
    edge = read_table(table, "loss", "foil-boat", air_temp_c=200.0, humidity=1.0, hour=99)
    assert edge[1] == pytest.approx(0.004 * 16 * 0.1)
    crisp = read_crispness(table, "foil-boat", air_temp_c=200.0, humidity=1.0, hour=99)
    assert crisp[1] == pytest.approx(10.0)


@pytest.mark.parametrize(("value", "place"), [(-1.0, (0, 0, 0.0)), (0.5, (0, 1, 0.5)), (9.0, (2, 2, 0.0))])
def test_a_value_is_bracketed_inside_the_grid(value: float, place: tuple[int, int, float]) -> None:
    assert bracket((0.0, 1.0, 2.0), value) == pytest.approx(place)


def test_the_computed_table_follows_the_engine_between_its_corners(book: Book, computed: HoldTable) -> None:
    """Against the same joints held at a humidity and a temperature that are no corners of the table."""
    from slowfolio.forecast import hold_table as room

    fine = replace(
        computed,
        values=rebuilt(book, room, airs=(68.0, 68.1), humidities=(0.40, 0.41)),
        air_temps_c=(68.0, 68.1),
        humidities=(0.40, 0.41),
    )
    for quantity, tolerance in (("loss", 0.002), ("core_c", 0.3), ("coldest_c", 0.4)):
        for hour in (4, 10):
            direct = read_table(fine, quantity, "foil-boat", air_temp_c=68.0, humidity=0.40, hour=hour)
            read = read_table(computed, quantity, "foil-boat", air_temp_c=68.0, humidity=0.40, hour=hour)
            assert read[1] == pytest.approx(direct[1], abs=tolerance), quantity
    direct, read = (
        read_crispness(table, "foil-boat", air_temp_c=68.0, humidity=0.40, hour=10)
        for table in (fine, computed)
    )
    assert read[1] == pytest.approx(direct[1], abs=2.0)


def rebuilt(book: Book, room: object, *, airs: tuple[float, ...], humidities: tuple[float, ...]) -> dict:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(room, "AIR_TEMPS_C", airs)
        patch.setattr(room, "HUMIDITIES", humidities)
        return hold_table(book.methods[METHOD], book, members=16, seed=1).values


def test_ten_hours_open_in_dry_air_lose_clearly_more_than_damp_air_and_wrapped_least(
    computed: HoldTable,
) -> None:
    """At 65.6 °C in the tray, all with their spread. Common practice, no source: 5-8 % at 3-5 % humidity,
    4-6 % at 25 %, 2.5-4 % at 50 %, 1 % or less wrapped, and that crust softens.
    """

    def at(quantity: str, wrap: str, humidity: float) -> tuple[float, float, float]:
        return read_table(computed, quantity, wrap, air_temp_c=65.6, humidity=humidity, hour=10)

    open_air = [at("loss", "foil-boat", rh) for rh in (0.04, 0.25, 0.50)]
    wrapped = at("loss", "foil-tight", 0.0)
    for low, middle, high in (*open_air, wrapped):
        assert 0.0 < low < middle < high
    for place in range(3):
        dry, quarter, half = (spread[place] for spread in open_air)
        assert dry > 1.15 * quarter
        assert quarter > 1.25 * half
        assert half > 2.0 * wrapped[place]
    dry, quarter, half = (spread[1] for spread in open_air)
    assert 0.045 < dry < 0.085
    assert 0.035 < quarter < 0.065
    assert 0.02 < half < 0.045
    assert wrapped[1] < 0.012
    damp, soft = (
        read_crispness(computed, wrap, air_temp_c=65.6, humidity=rh, hour=10)
        for wrap, rh in (("foil-boat", 0.5), ("foil-tight", 0.0))
    )
    assert soft[2] < damp[0]


def test_a_wrapped_piece_does_not_feel_the_humidity(computed: HoldTable) -> None:
    loss = [
        read_table(computed, "loss", "foil-tight", air_temp_c=65.0, humidity=rh, hour=8) for rh in (0.1, 0.9)
    ]
    assert loss[0] == loss[1]


def window(
    table: HoldTable, crispness: float, *, hours: float = 10, floor_c: float = 57.0, air_temp_c: float = 65.0
) -> Window:
    return window_of(table, "foil-boat", crispness, air_temp_c=air_temp_c, hours=hours, floor_c=floor_c)


def chilled(table: HoldTable, dry_c: float, damp_c: float) -> HoldTable:
    """The table with a coldest point that rises straight from `dry_c` at 0 % to `damp_c` at 100 %."""
    rows = [[[dry_c + (damp_c - dry_c) * rh] * 3 for _ in HOURS] for rh in HUMIDITIES]
    return replace(table, values=table.values | {"coldest_c": [[rows for _ in AIR_TEMPS_C]]})


def test_a_window_lies_between_drying_and_softening() -> None:
    """By formula: 10 h lose 6 % at 1 - 0.06/0.09 = 1/3, and crispness falls to 40 at 0.6."""
    found = window(made(loss_per_h=0.009), 40.0)
    assert found.exists
    assert found.low == pytest.approx(1 - ALLOWED_LOSS / 0.09, abs=0.011)
    assert found.high == pytest.approx(0.6, abs=0.011)
    assert found.low < found.target < found.high


def test_a_window_begins_where_the_coldest_point_keeps_to_the_floor() -> None:
    """By formula: 50 °C in dry and 64 °C in damp air are 57 °C at 50 %; loss alone would begin at 33 %."""
    found = window(chilled(made(loss_per_h=0.009), 50.0, 64.0), 40.0)
    assert found.exists
    assert found.low == pytest.approx(0.5, abs=0.011)
    stricter = window(chilled(made(loss_per_h=0.009), 50.0, 64.0), 40.0, floor_c=57.7)
    assert stricter.low == pytest.approx(0.55, abs=0.011), "a higher floor wants damper air"


def test_where_there_is_no_window_it_says_what_would_open_one() -> None:
    shut = window(made(loss_per_h=0.03), 90.0)
    assert not shut.exists
    assert "cooler" in shut.opened_by
    assert "hold it open" in opened_by([0.3], [0.3], [])
    assert "fewer hours" in opened_by([], [0.3], [0.3])
    cold = window(made(cold_c=50.0), 40.0)
    assert not cold.exists
    assert "below the authority's floor in any air: hold it warmer" in cold.opened_by


def test_where_the_floor_and_the_crust_part_the_aim_keeps_to_the_floor() -> None:
    """By formula: the floor is kept from 80 % on, the crust up to 40 %."""
    shut = window(chilled(made(loss_per_h=0.005), 49.0, 59.0), 60.0)
    assert not shut.exists
    assert "keep its coldest point at the floor softens the crust" in shut.opened_by
    assert shut.target == pytest.approx(0.8, abs=0.011)


def test_a_shorter_hold_opens_the_window_wider() -> None:
    table = made(loss_per_h=0.009)
    assert window(table, 40.0, hours=4).low < window(table, 40.0, hours=10).low


def test_what_a_holder_is_set_to_by_itself_never_costs_the_floor(book: Book, computed: HoldTable) -> None:
    """With the humidity left open, a holder that reaches its aim keeps the coldest tenth at the floor."""
    method = book.methods[METHOD]
    assert method.hold is not None
    assert method.hold.relative_humidity is None
    floor_c = rules_of(book.card).hot_hold_min_c
    for holder in book.holders.values():
        advice = advise(computed, method, book, holder)
        if holder.heated and advice.possible and advice.reached and holder.humidity_by != "none":
            assert advice.coldest_c is not None
            assert advice.coldest_c[0] >= floor_c - 0.3, holder.id


def test_a_holder_whose_air_is_off_its_dial_is_judged_by_its_air(book: Book, computed: HoldTable) -> None:
    """5 K warmer than the dial says is the same as a dial 5 K higher on a holder that is not off."""
    method = book.methods[METHOD]
    true = book.holders["combi-oven"]
    off = replace(true, air_offset_k=Sourced(5.0, Provenance.MEASURED, "invented for this test"))
    inside = advise(computed, method, book, true, Wish(air_temp_c=70.0, humidity=0.5))
    dialled = advise(computed, method, book, off, Wish(air_temp_c=65.0, humidity=0.5))
    assert dialled.air_temp_c == 65.0
    assert dialled.inside_c == pytest.approx(70.0)
    assert dialled.coldest_c == pytest.approx(inside.coldest_c)
    assert dialled.dew_point_c == pytest.approx(inside.dew_point_c)
    assert dialled.loss == pytest.approx(inside.loss)
    assert (
        dialled.coldest_c[1]
        > advise(computed, method, book, true, Wish(air_temp_c=65.0, humidity=0.5)).coldest_c[1]
    )


def test_a_hold_outside_the_table_is_refused_and_not_read_at_its_edge(
    book: Book, computed: HoldTable
) -> None:
    oven, method = book.holders["dry-oven"], book.methods[METHOD]
    hot = advise(computed, method, book, oven, Wish(air_temp_c=95.0))
    assert not hot.possible
    assert "60 °C (140 °F) to 85 °C (185 °F)" in hot.why_not
    with pytest.raises(PhysicsInputError, match="up to 16 h"):
        advise(computed, method, book, oven, Wish(hours=40.0))


def test_a_box_takes_the_bottles_of_its_card(book: Book, computed: HoldTable) -> None:
    method, box = book.methods[METHOD], book.holders["insulated-box"]
    said = advise(computed, method, book, box, Wish(hours=4.0))
    assert (said.bottle_litres, said.bottle_temp_c) == pytest.approx((4.0, 76.7), abs=0.1)
    more = replace(box, hot_water_m3=Sourced(0.008, Provenance.PRACTICE, "common practice, no source"))
    longer = advise(computed, method, book, more, Wish(hours=4.0))
    assert longer.bottle_litres == pytest.approx(8.0)
    assert said.box_hours is not None
    assert longer.box_hours is not None
    assert longer.box_hours > said.box_hours


@pytest.mark.parametrize(
    ("state", "fell", "words"),
    [
        ({"loss": 0.2}, False, "lost as much"),
        ({"crispness": 10.0}, False, "crust"),
        ({"collagen": 0.95}, False, "over-soft"),
        ({}, True, "floor"),
        ({}, False, ""),
    ],
)
def test_what_ends_a_hold_is_named(state: dict[str, float], fell: bool, words: str) -> None:
    good = {"loss": 0.01, "crispness": 80.0, "collagen": 0.5, "coldest_c": 64.0} | state
    spread = {name: (value, value, value) for name, value in good.items()}
    assert words in what_went_wrong(spread, fell=fell, crispness=60.0)


def test_a_hold_ends_when_the_allowed_loss_is_reached(book: Book) -> None:
    method = book.methods[METHOD]
    hours, reason = longest_hold(
        made(loss_per_h=0.01), "foil-boat", method, air_temp_c=65.0, humidity=0.02, floor_c=57.0
    )
    assert hours == pytest.approx(ALLOWED_LOSS / 0.0098, abs=0.25)
    assert "lost as much" in reason


def test_a_piece_that_never_comes_up_to_the_floor_cannot_be_held(book: Book) -> None:
    hours, reason = longest_hold(
        made(cold_c=50.0), "foil-boat", book.methods[METHOD], air_temp_c=65.0, humidity=0.3, floor_c=57.0
    )
    assert hours == 0.0
    assert "does not come up" in reason


def with_crust(activity_at: Callable[[float], float]) -> HoldTable:
    """The table by formula with a crust whose water activity depends on the hour alone."""
    table = made(loss_per_h=0.001)
    courses = [[[[[activity_at(hour)] * 3 for hour in HOURS] for _ in HUMIDITIES] for _ in AIR_TEMPS_C]]
    return replace(table, values=table.values | {"water_activity": courses})


def held_for(table: HoldTable, method: Method) -> tuple[float, str]:
    return longest_hold(table, "foil-boat", method, air_temp_c=65.0, humidity=0.3, floor_c=57.0)


def test_a_steamed_crust_that_comes_up_in_the_hold_does_not_end_it(book: Book) -> None:
    """The foil comes off, the crust is at 20 of 60, after some hours it is crisp and stays so."""
    method = book.methods[METHOD]
    assert needed_crispness(method) == 60.0
    hours, reason = held_for(with_crust(lambda hour: max(0.8 - 0.1 * hour, 0.2)), method)
    assert (hours, reason) == (method.hold.at_most_s / 3600.0, CARD_LIMIT)


def test_a_crust_that_comes_up_and_softens_again_ends_the_hold_then(book: Book) -> None:
    hours, reason = held_for(
        with_crust(lambda hour: 0.8 if hour < 1 or hour > 6 else 0.1), book.methods[METHOD]
    )
    assert 4.0 < hours < 10.0
    assert "crust is no longer" in reason


def test_a_crust_that_never_comes_up_is_said_beside_what_ends_the_hold(book: Book) -> None:
    method = book.methods[METHOD]
    hours, reason = held_for(with_crust(lambda _: 0.8), method)
    assert hours == method.hold.at_most_s / 3600.0
    assert reason == f"{CARD_LIMIT}; {STAYS_SOFT}"


def test_every_holder_of_the_starter_book_gives_advice_or_a_reason(book: Book, computed: HoldTable) -> None:
    for holder in book.holders.values():
        advice = advise(computed, book.methods[METHOD], book, holder)
        assert advice.possible or advice.why_not
        if advice.possible and holder.heated:
            assert advice.humidity is not None
            assert 0.0 < advice.humidity <= 1.0
            assert advice.reach_low is not None
            assert advice.reach_high is not None
            assert advice.reach_low - 0.02 <= advice.humidity <= advice.reach_high + 0.02
            assert advice.longest_h is not None


def test_settings_are_in_the_holders_own_terms(book: Book, computed: HoldTable) -> None:
    method = book.methods[METHOD]
    cabinet = advise(computed, method, book, book.holders["humidity-cabinet"])
    combi = advise(computed, method, book, book.holders["combi-oven"])
    pan = advise(computed, method, book, book.holders["oven-water-pan"])
    assert cabinet.vapour_temp_c is not None
    assert cabinet.set_humidity is None
    assert combi.set_humidity is not None
    assert pan.pan_area_m2 is not None
    assert pan.refill_h is not None


def test_thin_mountain_air_needs_a_cooler_vapour_setting_for_no_humidity(
    book: Book, computed: HoldTable
) -> None:
    """Relative humidity is vapour pressure over saturation pressure: the dial does not depend on altitude."""
    method, holder = book.methods[METHOD], book.holders["humidity-cabinet"]
    low, high = (
        advise(computed, method, book, holder, Wish(humidity=0.5, altitude_m=metres)).vapour_temp_c
        for metres in (0.0, 2000.0)
    )
    assert low == pytest.approx(high, abs=0.2)


def test_a_holder_card_becomes_a_cabinet_with_its_own_control(book: Book) -> None:
    for holder in book.holders.values():
        cabinet = cabinet_of(holder)
        assert cabinet.control is Control(holder.humidity_by)
        assert (cabinet.pans is not None) == (holder.pan_area_m2 is not None)
