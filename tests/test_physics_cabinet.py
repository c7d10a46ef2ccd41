"""The steady air of holders against CoolProp, design check values, exact balances and common practice."""

import numpy as np
import pytest
from CoolProp.HumidAirProp import HAPropsSI

from slowfolio.physics.cabinet import (
    Cabinet,
    Control,
    Load,
    PanFit,
    Room,
    Setting,
    Surface,
    lining,
    lining_and_glass,
    lining_at_offset,
    room_air,
)
from slowfolio.physics.cabinet_state import CabinetState, steady_state
from slowfolio.physics.errors import PhysicsInputError
from slowfolio.physics.humid_air import (
    atmospheric_pressure_pa,
    moist_air_enthalpy_j_kg,
    saturation_pressure_pa,
)
from slowfolio.physics.pan import Pan, element_share_over

PER_HOUR = 3600.0
HOLD_C = 65.56
BARE_MEAT = Load(area_m2=0.05, temp_c=60.0, water_activity=0.9)


def oven(*, exchanges_per_h: float = 12.0, control: Control = Control.PAN) -> Cabinet:
    """A domestic oven of 120 L; figures of the starter book's card."""
    return Cabinet(
        control,
        volume_m3=0.12,
        air_exchange_per_s=exchanges_per_h / PER_HOUR,
        heat_loss_w_k=3.5,
        surfaces=lining(0.12, heat_loss_w_k=3.5),
        power_w=2500.0,
    )


def vapour_cabinet(**changes: object) -> Cabinet:
    """A full-height cabinet set by vapour temperature; figures of the starter book's card."""
    figures: dict[str, object] = {
        "control": Control.VAPOUR_TEMPERATURE,
        "volume_m3": 0.45,
        "air_exchange_per_s": 2.0 / PER_HOUR,
        "heat_loss_w_k": 4.0,
        "surfaces": lining(0.45, heat_loss_w_k=4.0),
        "power_w": 1500.0,
    }
    return Cabinet(**(figures | changes))  # type: ignore[arg-type]


def combi(**changes: object) -> Cabinet:
    """A six-pan combi oven; figures of the starter book's card."""
    figures: dict[str, object] = {
        "control": Control.PER_CENT,
        "volume_m3": 0.28,
        "air_exchange_per_s": 5.0 / PER_HOUR,
        "heat_loss_w_k": 6.0,
        "surfaces": lining(0.28, heat_loss_w_k=6.0),
        "power_w": 10_000.0,
        "draught_m_s": 1.0,
        "vent_per_s": 0.05,
    }
    return Cabinet(**(figures | changes))  # type: ignore[arg-type]


def over_element(area_m2: float, cabinet: Cabinet) -> Pan:
    return Pan(area_m2, element_share=element_share_over(area_m2, volume_m3=cabinet.volume_m3))


def all_kinds_of_state() -> list[CabinetState]:
    """One state of every control, with and without meat, condensation, fog, limits and a second pan."""
    wet = Load(area_m2=0.4, temp_c=62.0)
    cold = Load(area_m2=0.4, temp_c=20.0)
    kitchen = oven()
    pans = (over_element(0.09, kitchen), Pan(0.09), Pan(0.02, held_c=80.0))
    hot_wall = lining_at_offset(0.02, heat_loss_w_k=2.5, wall_offset_k=8.0)
    roaster = Cabinet(Control.PAN, 0.02, 5 / PER_HOUR, 2.5, hot_wall, power_w=1450.0)
    glass = lining_and_glass(0.28, heat_loss_w_k=6.0, glass_m2=0.3)
    sealed = Cabinet(Control.SEALED, 0.05, 0.5 / PER_HOUR, 0.6, lining(0.05, heat_loss_w_k=0.6), power_w=0.0)
    return [
        steady_state(oven(control=Control.NONE), Setting(HOLD_C), load=load) for load in (Load(), wet, cold)
    ] + [
        steady_state(kitchen, Setting(HOLD_C, pans=pans)),
        steady_state(kitchen, Setting(120.0, pans=pans), load=wet),
        steady_state(roaster, Setting(HOLD_C, pans=(over_element(0.12, roaster),))),
        steady_state(vapour_cabinet(), Setting(HOLD_C, vapour_temp_c=51.67), load=BARE_MEAT),
        steady_state(vapour_cabinet(), Setting(HOLD_C, vapour_temp_c=65.0), load=wet),
        steady_state(vapour_cabinet(power_w=230.0), Setting(HOLD_C, vapour_temp_c=60.0)),
        steady_state(vapour_cabinet(bath_m2=0.1), Setting(HOLD_C, vapour_temp_c=60.0)),
        steady_state(combi(), Setting(HOLD_C, relative_humidity=0.05), load=wet),
        steady_state(combi(surfaces=glass), Setting(HOLD_C, relative_humidity=0.9), load=cold),
        steady_state(combi(), Setting(130.0, relative_humidity=0.3)),
        steady_state(sealed, Setting(70.0), load=Load(area_m2=0.3, temp_c=70.0, permeance_kg_s_m2_pa=2e-9)),
    ]


# --- humidity ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("air_c", [50.0, 60.0, HOLD_C, 74.0, 80.0, 93.0])
@pytest.mark.parametrize("below_k", [2.0, 8.0, 14.0, 28.0])
@pytest.mark.parametrize("altitude_m", [0.0, 1609.3])
def test_vapour_settings_give_the_humidity_of_coolprop(
    air_c: float, below_k: float, altitude_m: float
) -> None:
    """Within 0.3 % RH and 0.1 K of CoolProp's real-gas humid air (HAPropsSI) at that dew point."""
    room = room_air(pressure_pa=atmospheric_pressure_pa(altitude_m))
    tight = vapour_cabinet(surfaces=(), power_w=np.inf)
    state = steady_state(tight, Setting(air_c, vapour_temp_c=air_c - below_k), room=room)
    given = ("T", air_c + 273.15, "P", float(state.pressure_pa), "D", air_c - below_k + 273.15)
    assert state.relative_humidity == pytest.approx(HAPropsSI("R", *given), abs=0.003)
    assert state.dew_point_c == pytest.approx(air_c - below_k, abs=1e-6)
    assert state.wet_bulb_c == pytest.approx(HAPropsSI("B", *given) - 273.15, abs=0.1)


@pytest.mark.parametrize("humidity", [0.1, 0.3, 0.5, 0.7, 0.9])
@pytest.mark.parametrize("air_c", [50.0, HOLD_C, 80.0, 90.0])
def test_per_cent_settings_give_the_air_of_coolprop(air_c: float, humidity: float) -> None:
    """Dew point and wet bulb within 0.1 K of CoolProp's humid air at the same dry bulb and humidity."""
    state = steady_state(combi(), Setting(air_c, relative_humidity=humidity))
    given = ("T", air_c + 273.15, "P", 101_325.0, "R", humidity)
    assert state.relative_humidity == pytest.approx(humidity, abs=1e-12)
    assert state.dew_point_c == pytest.approx(HAPropsSI("D", *given) - 273.15, abs=0.1)
    assert state.wet_bulb_c == pytest.approx(HAPropsSI("B", *given) - 273.15, abs=0.1)


def test_pan_and_dry_holders_report_the_air_of_coolprop() -> None:
    """Humidity and wet bulb at each dew point; above boiling the libraries define humidity differently."""
    for state in all_kinds_of_state():
        if bool(state.saturated) or float(state.air_temp_c) > 100.0:
            continue
        dew_k = float(state.dew_point_c) + 273.15
        given = ("T", float(state.air_temp_c) + 273.15, "P", 101_325.0, "D", dew_k)
        assert state.relative_humidity == pytest.approx(HAPropsSI("R", *given), abs=0.003)
        assert state.wet_bulb_c == pytest.approx(HAPropsSI("B", *given) - 273.15, abs=0.1)


def test_150_f_air_over_100_f_water_is_at_25_per_cent() -> None:
    """6.554 kPa over 25.675 kPa (IAPWS steam tables at 37.78 and 65.56 °C): 25.5 %."""
    state = steady_state(vapour_cabinet(), Setting((150 - 32) / 1.8, vapour_temp_c=(100 - 32) / 1.8))
    assert 100 * state.relative_humidity == pytest.approx(25.5, abs=0.05)


# --- make-up water ----------------------------------------------------------------------------------


def test_make_up_water_of_a_100_l_cabinet_is_9_46_and_184_g_h() -> None:
    """Design check values (COMPUTED outside the project with CoolProp): 65.56 °C, 60 %, room 20 °C 50 %."""
    cabinet = Cabinet(Control.PER_CENT, 0.1, np.array([1.0, 5.0, 20.0]) / PER_HOUR, heat_loss_w_k=2.0)
    state = steady_state(
        cabinet, Setting(HOLD_C, relative_humidity=0.6), room=room_air(20.0, relative_humidity=0.5)
    )
    np.testing.assert_allclose(1e3 * state.water_kg_h.make_up, [9.2, 46.0, 184.0], rtol=5e-3)


@pytest.mark.parametrize("humidity", [0.3, 0.6, 0.9])
def test_make_up_water_equals_the_flow_times_the_ratio_difference_of_coolprop(humidity: float) -> None:
    """m = n V rho_da (W_set - W_room), all from CoolProp; its real gas holds up to 0.8 % more vapour."""
    state = steady_state(
        Cabinet(Control.PER_CENT, 0.3, 6.0 / PER_HOUR, heat_loss_w_k=2.0),
        Setting(HOLD_C, relative_humidity=humidity),
        room=room_air(24.0, relative_humidity=0.4),
    )
    inside = ("T", HOLD_C + 273.15, "P", 101_325.0, "R", humidity)
    outside = ("T", 24.0 + 273.15, "P", 101_325.0, "R", 0.4)
    difference = HAPropsSI("W", *inside) - HAPropsSI("W", *outside)
    expected = 6.0 * 0.3 / HAPropsSI("V", *inside) * difference
    assert state.water_kg_h.make_up == pytest.approx(expected, rel=1e-2)


# --- balances ---------------------------------------------------------------------------------------


def test_the_mass_balance_of_every_kind_of_holder_is_closed() -> None:
    for state in all_kinds_of_state():
        flows = state.water_kg_h
        coming = flows.pans + flows.steam + flows.spray + flows.meat
        leaving = flows.vented + flows.condensate + flows.fog
        assert abs(float(state.balance_residual)) < 1e-9
        assert float(coming) == pytest.approx(float(leaving), rel=1e-9, abs=1e-9)


@pytest.mark.parametrize("control", list(Control))
def test_the_balance_closes_for_any_holder_in_the_range_of_holds(control: Control) -> None:
    """400 holders drawn over the whole range of sizes, leaks, rooms, altitudes and loads; nothing is NaN."""
    rng = np.random.default_rng(5)

    def even(low: float, high: float) -> np.ndarray:
        return rng.uniform(low, high, 400)

    def spread(low: float, high: float) -> np.ndarray:
        return np.exp(rng.uniform(np.log(low), np.log(high), 400))

    volume, pressure = spread(0.005, 2.0), atmospheric_pressure_pa(even(0.0, 3000.0))
    loss = spread(0.2, 1.0) * 6.0 * volume ** (2 / 3)
    cabinet = Cabinet(
        control,
        volume,
        spread(0.05, 200.0) / PER_HOUR,
        loss,
        lining(volume, heat_loss_w_k=loss),
        draught_m_s=even(0.0, 2.0),
        power_w=spread(100.0, 1e4),
        vent_per_s=even(0.0, 0.05),
    )
    pans = (
        Pan(spread(1e-3, 0.5), element_share=even(0.0, 0.9), refill_c=even(0.0, 100.0)),
        Pan(spread(1e-3, 0.3)),
        Pan(spread(1e-3, 0.1), held_c=even(5.0, 89.0)),
    )
    setting = Setting(
        even(45.0, 95.0),
        pans=pans if control is Control.PAN else (),
        vapour_temp_c=even(5.0, 88.0) if control is Control.VAPOUR_TEMPERATURE else None,
        relative_humidity=even(0.0, 1.0) if control is Control.PER_CENT else None,
        spray_kg_s=spread(1e-8, 1e-3),
    )
    room = room_air(even(-10.0, 40.0), relative_humidity=even(0.02, 1.0), pressure_pa=pressure)
    load = Load(spread(1e-3, 1.0), even(5.0, 80.0), even(0.1, 1.0), spread(1e-11, 1e-6), spread(1e-9, 1e-4))
    state = steady_state(cabinet, setting, room=room, load=load)
    assert np.abs(state.balance_residual).max() < 1e-9
    for figures in (state.relative_humidity, state.wet_bulb_c, state.heat_w.total, state.water_kg_h.make_up):
        assert np.isfinite(figures).all()
    assert (state.relative_humidity > 0).all()
    assert (state.relative_humidity <= 1).all()


def test_a_vent_does_not_open_to_moister_room_air() -> None:
    """Cold meat dries the air below the room's vapour; opening the vent would only moisten it."""
    state = steady_state(combi(), Setting(HOLD_C, relative_humidity=0.01), load=Load(2.0, 2.0, 0.9))
    assert state.vapour_pressure_pa < Room().vapour_pressure_pa
    assert state.air_exchange_per_s == pytest.approx(5.0 / PER_HOUR)
    assert abs(float(state.balance_residual)) < 1e-9


def test_heat_of_a_steamed_cabinet_equals_the_enthalpy_it_sends_out() -> None:
    """Energy balance over the whole holder: leakage, and moist air leaving less air and feed entering.

    Enthalpies after ASHRAE Fundamentals ch. 1, of which the steam term is a part; no condensation here.
    """
    cabinet = combi(surfaces=(), heat_loss_w_k=6.0)
    state = steady_state(cabinet, Setting(HOLD_C, relative_humidity=0.5, feed_c=15.0))
    vapour = float(state.vapour_pressure_pa)
    room = Room()
    leaving = moist_air_enthalpy_j_kg(HOLD_C, vapour, 101_325.0)
    entering = moist_air_enthalpy_j_kg(20.0, room.vapour_pressure_pa, 101_325.0)
    volume = 5.0 / PER_HOUR * 0.28
    dry_air = volume * (101_325.0 - vapour) / (287.042 * (HOLD_C + 273.15))
    feed = float(state.water_kg_h.steam) / PER_HOUR * 4187.0 * 15.0
    expected = 6.0 * (HOLD_C - 20.0) + dry_air * (leaving - entering) - feed
    assert float(state.heat_w.total) == pytest.approx(expected, rel=1e-3)


def test_heat_of_condensation_warms_the_wall_and_spares_the_air() -> None:
    """The wall's own balance: heat from the air and from the dew equals what passes on to the room."""
    state = steady_state(vapour_cabinet(), Setting(HOLD_C, vapour_temp_c=64.0))
    dry = steady_state(vapour_cabinet(), Setting(HOLD_C, vapour_temp_c=40.0))
    assert state.water_kg_h.condensate > 0.0
    assert dry.water_kg_h.condensate == 0.0
    assert dry.surface_temp_c[0] < state.surface_temp_c[0] < state.dew_point_c
    assert dry.heat_w.leakage == pytest.approx(4.0 * (HOLD_C - 20.0))
    to_room = 4.0 * (state.surface_temp_c[0] - 20.0) / (dry.surface_temp_c[0] - 20.0) * (HOLD_C - 20.0)
    dew_heat = float(state.water_kg_h.condensate) / PER_HOUR * 2.345e6
    assert float(state.heat_w.leakage) + dew_heat == pytest.approx(float(to_room), rel=2e-3)


def test_lining_temperature_follows_from_the_heat_loss() -> None:
    """ISO 6946 (recalled): R_si = 0.13 m²K/W, so the lining is q · 0.13 below the air in still air."""
    cabinet = vapour_cabinet(draught_m_s=0.0)
    state = steady_state(cabinet, Setting(HOLD_C, vapour_temp_c=40.0))
    flux = 4.0 * (HOLD_C - 20.0) / cabinet.surfaces[0].area_m2
    assert HOLD_C - state.surface_temp_c[0] == pytest.approx(0.13 * flux, rel=2e-3)


def test_door_glass_runs_with_water_before_the_lining_does() -> None:
    surfaces = lining_and_glass(0.28, heat_loss_w_k=6.0, glass_m2=0.3)
    state = steady_state(combi(surfaces=surfaces), Setting(HOLD_C, relative_humidity=0.65))
    lining_c, glass_c = state.surface_temp_c
    assert glass_c < lining_c
    assert state.water_kg_h.condensate > 0.0
    plain = steady_state(combi(), Setting(HOLD_C, relative_humidity=0.65))
    assert plain.water_kg_h.condensate == 0.0


# --- what changes what ------------------------------------------------------------------------------


def test_more_pan_gives_more_humidity_up_to_the_whole_floor() -> None:
    areas = np.linspace(0.0, 0.24, 9)
    for share in (np.zeros_like(areas), element_share_over(areas, volume_m3=0.12)):
        setting = Setting(HOLD_C, pans=(Pan(areas, element_share=share),))
        humidity = steady_state(oven(), setting).relative_humidity
        assert (np.diff(humidity) > 0).all()
        assert humidity[-1] < 1.0


def test_more_air_exchange_gives_less_humidity() -> None:
    rates = np.array([0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 60.0])
    cabinet = Cabinet(Control.PAN, 0.12, rates / PER_HOUR, 3.5, lining(0.12, heat_loss_w_k=3.5))
    for pan in (Pan(0.09), Pan(0.09, element_share=0.2), Pan(0.03, held_c=70.0)):
        humidity = steady_state(cabinet, Setting(HOLD_C, pans=(pan,)), load=BARE_MEAT).relative_humidity
        assert (np.diff(humidity) < 0).all()
        assert humidity[0] < 1.0


def test_meat_moistens_the_air_and_a_wrap_holds_it_back() -> None:
    bare, paper, foil, none = (
        steady_state(oven(control=Control.NONE), Setting(HOLD_C), load=load)
        for load in (
            Load(0.25, 60.0),
            Load(0.25, 60.0, permeance_kg_s_m2_pa=2e-9),
            Load(0.25, 60.0, permeance_kg_s_m2_pa=0.0),
            Load(),
        )
    )
    assert bare.relative_humidity > paper.relative_humidity > foil.relative_humidity
    assert foil.relative_humidity == none.relative_humidity
    known = steady_state(oven(control=Control.NONE), Setting(HOLD_C), load=Load(given_kg_s=0.05 / PER_HOUR))
    assert known.water_kg_h.meat == pytest.approx(0.05)


def test_cold_meat_takes_moisture_up_like_a_cold_wall() -> None:
    state = steady_state(vapour_cabinet(), Setting(HOLD_C, vapour_temp_c=55.0), load=Load(0.5, 30.0))
    assert state.water_kg_h.meat < 0.0
    assert state.water_kg_h.steam > -state.water_kg_h.meat


def test_a_bath_short_of_power_leaves_the_dial_unreached() -> None:
    """All 230 W go: 182 W of leakage and some ventilation leave too little for 60 °C vapour."""
    short = steady_state(vapour_cabinet(power_w=230.0), Setting(HOLD_C, vapour_temp_c=60.0))
    ample = steady_state(vapour_cabinet(), Setting(HOLD_C, vapour_temp_c=60.0))
    assert short.dew_point_c < ample.dew_point_c - 1.0
    assert short.dial_short_pa > 0.0
    assert ample.dial_short_pa == 0.0
    assert short.heat_w.total == pytest.approx(230.0, rel=1e-9)


def test_a_bath_of_finite_area_stays_below_its_water_temperature() -> None:
    """Water gives vapour only to air drier than itself; a larger bath comes nearer."""
    areas = np.array([0.02, 0.1, 0.5])
    state = steady_state(vapour_cabinet(bath_m2=areas), Setting(HOLD_C, vapour_temp_c=60.0))
    assert (np.diff(state.dew_point_c) > 0).all()
    assert (state.dew_point_c < 60.0).all()


def test_a_vent_sheds_what_the_meat_gives_too_much() -> None:
    wet = Load(0.25, 60.0)
    vented = steady_state(combi(), Setting(HOLD_C, relative_humidity=0.3), load=wet)
    shut = steady_state(combi(vent_per_s=0.0), Setting(HOLD_C, relative_humidity=0.3), load=wet)
    assert vented.relative_humidity == pytest.approx(0.3)
    assert vented.air_exchange_per_s > 5.0 / PER_HOUR
    assert shut.relative_humidity > 0.35
    assert shut.dial_over_pa > 0.0


def test_power_needed_is_compared_with_power_there() -> None:
    state = steady_state(oven(), Setting(np.array([65.0, 250.0]), pans=(Pan(0.05),)))
    weak = Cabinet(Control.NONE, 0.12, 12 / PER_HOUR, 3.5, power_w=300.0)
    short = steady_state(weak, Setting(np.array([65.0, 150.0])))
    assert state.heat_w.suffices.all()
    assert short.heat_w.suffices.tolist() == [True, False]
    assert short.heat_w.spare[1] < 0.0


def test_an_ensemble_is_solved_as_one_by_one() -> None:
    rates = np.array([4.0, 12.0, 20.0]) / PER_HOUR
    losses = np.array([[2.5], [4.5]])
    together = steady_state(
        Cabinet(Control.PAN, 0.12, rates, losses, lining(0.12, heat_loss_w_k=losses), power_w=2500.0),
        Setting(HOLD_C, pans=(Pan(0.09, element_share=0.2), Pan(0.05))),
        load=BARE_MEAT,
    )
    assert together.vapour_pressure_pa.shape == (2, 3)
    assert np.abs(together.balance_residual).max() < 1e-9
    for i, loss in enumerate(losses[:, 0]):
        for j, rate in enumerate(rates):
            alone = steady_state(
                Cabinet(Control.PAN, 0.12, rate, loss, lining(0.12, heat_loss_w_k=loss), power_w=2500.0),
                Setting(HOLD_C, pans=(Pan(0.09, element_share=0.2), Pan(0.05))),
                load=BARE_MEAT,
            )
            same = pytest.approx(float(alone.vapour_pressure_pa), rel=1e-9)
            assert together.vapour_pressure_pa[i, j] == same


# --- common practice, no source ---------------------------------------------------------------------


def test_a_domestic_oven_with_one_pan_reaches_25_to_40_per_cent() -> None:
    """Common practice, no source: one roasting tin of 30 x 30 cm over the element, near 150 °F."""
    state = steady_state(oven(), Setting(HOLD_C, pans=(over_element(0.09, oven()),)))
    assert 0.25 < state.relative_humidity < 0.40


def test_a_second_free_pan_adds_less_than_the_first() -> None:
    """Common practice, no source: the first pan makes the steam."""
    kitchen = oven()
    first = over_element(0.09, kitchen)
    none, one, two = (
        steady_state(kitchen, Setting(HOLD_C, pans=pans)).relative_humidity
        for pans in ((), (first,), (first, Pan(0.09)))
    )
    assert 0.0 < two - one < 0.5 * (one - none)


def test_a_tight_cabinet_with_its_pan_over_the_element_holds_about_half() -> None:
    """Common practice, no source: about 50 % where it can be set; 90 L, 4 air changes, 300-900 cm²."""
    cabinet = Cabinet(Control.PAN, 0.09, 4 / PER_HOUR, 2.0, lining(0.09, heat_loss_w_k=2.0), power_w=800.0)
    small, large = (
        steady_state(cabinet, Setting(HOLD_C, pans=(over_element(area, cabinet),))).relative_humidity
        for area in (0.03, 0.09)
    )
    assert small < 0.5 < large


def test_a_dry_oven_without_meat_stays_at_the_room_s_vapour() -> None:
    state = steady_state(oven(control=Control.NONE), Setting(HOLD_C))
    assert state.vapour_pressure_pa == pytest.approx(1169.6, rel=1e-9)
    assert state.relative_humidity == pytest.approx(1169.6 / float(saturation_pressure_pa(HOLD_C)))


# --- bad input --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("build", "words"),
    [
        (lambda: oven(exchanges_per_h=0.0), "air exchange"),
        (lambda: oven(exchanges_per_h=float("nan")), "air exchange"),
        (lambda: Room(temp_c=90.0), "room temperature"),
        (lambda: Room(temp_c=10.0, vapour_pressure_pa=2000.0), "at most 100 % humidity"),
        (lambda: Setting(400.0), "air temperature"),
        (lambda: Setting(65.0, relative_humidity=1.2), "humidity setting"),
        (
            lambda: Setting(65.0, pans=(Pan(0.1, element_share=0.1), Pan(0.1, element_share=0.1))),
            "joint area",
        ),
        (lambda: Load(area_m2=-1.0), "meat surface"),
        (lambda: Load(water_activity=0.0), "water activity"),
        (lambda: Surface(0.0, 1.0), "surface area"),
        (lambda: lining_and_glass(0.1, heat_loss_w_k=0.5, glass_m2=0.4), "more than the whole holder"),
        (lambda: PanFit(0.1, 0.05), "largest pan area"),
        (lambda: Cabinet(Control.NONE, 0.1, 1e-3, 1.0, lining(0.1, heat_loss_w_k=2.0)), "heat_loss_w_k"),
        (lambda: steady_state(oven(), Setting(65.0, vapour_temp_c=50.0)), "no vapour temperature to set"),
        (lambda: steady_state(oven(), Setting(65.0, relative_humidity=0.5)), "no humidity to set"),
        (lambda: steady_state(vapour_cabinet(), Setting(65.0)), "set a vapour temperature"),
        (lambda: steady_state(combi(), Setting(65.0)), "set a humidity in per cent"),
        (
            lambda: steady_state(
                vapour_cabinet(),
                Setting(110.0, vapour_temp_c=96.0),
                room=room_air(pressure_pa=atmospheric_pressure_pa(2000.0)),
            ),
            "water boils at 93.3 °C here",
        ),
        (
            lambda: steady_state(
                oven(), Setting(110.0), load=Load(0.1, 97.0, 1.0), room=Room(pressure_pa=80_000.0)
            ),
            "boiling point",
        ),
        (lambda: steady_state(oven_with_thin_wall(), Setting(65.0)), "give it more area"),
    ],
)
def test_impossible_holders_are_refused_with_what_to_give_instead(build: object, words: str) -> None:
    with pytest.raises(PhysicsInputError, match=words):
        build()  # type: ignore[operator]


def oven_with_thin_wall() -> Cabinet:
    return Cabinet(Control.NONE, 0.1, 1e-3, 100.0, (Surface(0.5, 100.0),))
