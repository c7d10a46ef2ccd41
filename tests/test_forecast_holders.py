"""Pans, sprays and elements of a holder as the hold advice uses them, on the invented holders and tables."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from CoolProp.HumidAirProp import HAPropsSI

import hold_fixture
from slowfolio.book.model import Book
from slowfolio.book.reading import read_book
from slowfolio.enrich.hold_words import box_text
from slowfolio.forecast.hold_advice import Advice, Wish, advise, set_air
from slowfolio.forecast.hold_spray import humidity_swing, sprayed
from slowfolio.forecast.holders import cabinet_of, room_of
from slowfolio.physics.cabinet import Cabinet, Control, Load, Room, Setting, lining
from slowfolio.physics.cabinet_course import Spray
from slowfolio.physics.cabinet_state import steady_state
from slowfolio.physics.errors import PhysicsInputError
from slowfolio.physics.humid_air import atmospheric_pressure_pa
from slowfolio.units import System

pytestmark = pytest.mark.slow

STARTER = Path(__file__).parents[1] / "methods"


@pytest.fixture(scope="module")
def book() -> Book:
    return hold_fixture.book()


@pytest.fixture(scope="module")
def starter() -> Book:
    whole = read_book(STARTER).book
    assert whole is not None
    return whole


def boat(book: Book, holder: str, wish: Wish, **changes: object) -> Advice:
    method = book.methods["boat"]
    card = replace(book.holders[holder], **changes)  # type: ignore[arg-type]
    return advise(hold_fixture.table(method), method, book, card, wish)


SETTINGS = {
    "vapour temperature": [Wish(vapour_temp_c=temp) for temp in (35.0, 45.0, 55.0)],
    "per cent": [Wish(humidity=part) for part in (0.1, 0.3, 0.6, 0.9)],
    "pan": [Wish(pan_area_m2=0.03), Wish(pan_area_m2=0.03, pan_temp_c=62.0)],
    "none": [Wish(), Wish(spray=Spray(0.03, 1800.0))],
}


@pytest.mark.parametrize("holder", sorted(path.stem for path in STARTER.glob("holders/*.yaml")))
@pytest.mark.parametrize(("altitude_m", "air_c"), [(0.0, 65.6), (1609.0, 74.0)])
def test_every_setting_of_every_holder_reports_the_air_of_coolprop(
    book: Book, starter: Book, holder: str, altitude_m: float, air_c: float
) -> None:
    """Humidity within 0.3 %, wet bulb within 0.1 K of CoolProp's humid air at the dew point reported."""
    card, method = starter.holders[holder], book.methods["boat"]
    table, pressure_pa = hold_fixture.table(method), atmospheric_pressure_pa(altitude_m)
    if not card.heated:
        assert advise(table, method, book, card).humidity is None
        return
    room = room_of(replace(book.card, altitude_m=altitude_m))
    for wish in SETTINGS[card.humidity_by]:
        blank = Advice(holder, False, "", table.wraps[0], air_c, 10.0)
        state = set_air(cabinet_of(card), table, blank, room, wish, 0.4).state
        given = ("T", air_c + 273.15, "P", pressure_pa, "D", float(state.dew_point_c) + 273.15)
        assert state.relative_humidity == pytest.approx(HAPropsSI("R", *given), abs=0.003)
        assert state.wet_bulb_c == pytest.approx(HAPropsSI("B", *given) - 273.15, abs=0.1)


def test_a_pan_over_the_element_gives_damper_air_than_the_same_pan_beside_it(book: Book) -> None:
    """The element boils off what convection alone could not; common practice, no source."""
    over, beside = (
        boat(book, "element-pan", Wish(65.6, pan_area_m2=0.05), pan_over_element=where)
        for where in (True, False)
    )
    assert over.humidity is not None
    assert beside.humidity is not None
    assert over.humidity > beside.humidity + 0.05
    assert over.pan_water_c is not None
    assert beside.pan_water_c is not None
    assert over.pan_water_c > beside.pan_water_c


def test_an_area_beyond_one_pan_is_put_into_two(book: Book) -> None:
    one, two = (boat(book, "oven-pan", Wish(65.6, pan_area_m2=area)) for area in (0.03, 0.07))
    assert (one.pan_count, two.pan_count) == (1, 2)
    assert one.humidity is not None
    assert two.humidity is not None
    assert two.humidity > one.humidity


def test_what_the_meat_gives_is_balanced_with_the_spray(book: Book) -> None:
    """A damper holder dries the meat less, so spraying raises the air by less than in an empty one."""
    plain, wet = (boat(book, "dry", Wish(65.6, spray=spray)) for spray in (None, Spray(0.05, 1800.0)))
    assert plain.humidity is not None
    assert wet.humidity is not None
    assert plain.loss is not None
    assert wet.loss is not None
    assert wet.humidity > plain.humidity
    assert wet.loss[1] < plain.loss[1]


def test_a_swing_is_the_closed_solution_of_a_square_pulse() -> None:
    """Linear airing at rate n with pulses of 300 s in 1200 s: highest less lowest by hand."""
    exchange = 12.0 / 3600.0
    cabinet = Cabinet(Control.NONE, 0.12, exchange, 3.5, lining(0.12, heat_loss_w_k=3.5), power_w=2500.0)
    room, setting = Room(), Setting(65.56)
    spray = Spray(0.004, every_s=1200.0, spread_s=300.0)
    state = steady_state(cabinet, sprayed(cabinet, setting, spray), room=room)
    low, high = humidity_swing(
        cabinet, setting, spray, room=room, load=Load(), start_pa=float(state.vapour_pressure_pa)
    )
    rate = exchange * 101_325.0 / (101_325.0 - float(room.vapour_pressure_pa))
    mean_lift = float(state.vapour_pressure_pa) - float(room.vapour_pressure_pa)
    lift = mean_lift * 1200.0 / 300.0
    highest = lift * (1 - np.exp(-rate * 300.0)) / (1 - np.exp(-rate * 1200.0))
    lowest = highest * np.exp(-rate * 900.0)
    saturated = float(state.vapour_pressure_pa) / float(state.relative_humidity)
    assert (high - low) * saturated == pytest.approx(highest - lowest, rel=0.04)
    assert low < float(state.relative_humidity) < high


def test_a_holder_with_a_dial_takes_no_spray(book: Book) -> None:
    with pytest.raises(PhysicsInputError, match="leave the spray out"):
        boat(book, "combi", Wish(65.6, spray=Spray(0.05, 1800.0)))


def test_bottles_are_for_a_holder_without_heat(book: Book) -> None:
    with pytest.raises(PhysicsInputError, match="without heat"):
        boat(book, "dry", Wish(65.6, bottle_litres=4.0))
    few, many = (boat(book, "box", Wish(hours=2.0, bottle_litres=litres)) for litres in (2.0, 8.0))
    assert few.box_hours is not None
    assert many.box_hours is not None
    assert few.box_hours < many.box_hours
    assert "8 L of water at 77 °C" in box_text(many, System.METRIC)
    assert "of water at 171 °F" in box_text(many, System.US)
