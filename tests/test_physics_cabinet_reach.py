"""What holders can reach, how they are set for a target, and readings fed back: the balance turned round."""

from dataclasses import replace

import numpy as np
import pytest

from slowfolio.physics.cabinet import (
    Cabinet,
    Control,
    Load,
    PanFit,
    Setting,
    lining,
    lining_at_offset,
    room_air,
)
from slowfolio.physics.cabinet_reach import (
    Limit,
    pan_area_for,
    pans_of_area,
    reach,
    setting_for,
    water_temperature_for,
)
from slowfolio.physics.cabinet_reading import Verdict, air_exchange_from_reading
from slowfolio.physics.cabinet_state import steady_state
from slowfolio.physics.errors import PhysicsInputError
from slowfolio.physics.humid_air import saturation_pressure_pa
from slowfolio.physics.pan import Pan

PER_HOUR = 3600.0
HOLD_C = 65.56

# Figures of the starter book's cards.
OVEN = Cabinet(
    Control.PAN,
    volume_m3=0.12,
    air_exchange_per_s=12.0 / PER_HOUR,
    heat_loss_w_k=3.5,
    surfaces=lining(0.12, heat_loss_w_k=3.5),
    power_w=2500.0,
    pans=PanFit(0.05, 0.18, over_element=True),
    air_range_c=(62.8, 121.1),
)
DRY = replace(OVEN, control=Control.NONE, pans=None)
WARMING = Cabinet(
    Control.PAN,
    volume_m3=0.12,
    air_exchange_per_s=2.0 / PER_HOUR,
    heat_loss_w_k=2.0,
    surfaces=lining(0.12, heat_loss_w_k=2.0),
    power_w=900.0,
    pans=PanFit(0.03, 0.10),
)
ROASTER = Cabinet(
    Control.PAN,
    volume_m3=0.02,
    air_exchange_per_s=5.0 / PER_HOUR,
    heat_loss_w_k=2.5,
    surfaces=lining_at_offset(0.02, heat_loss_w_k=2.5, wall_offset_k=8.3),
    power_w=1450.0,
    pans=PanFit(0.04, 0.12, over_element=True),
)
VAPOUR = Cabinet(
    Control.VAPOUR_TEMPERATURE,
    volume_m3=0.45,
    air_exchange_per_s=2.0 / PER_HOUR,
    heat_loss_w_k=4.0,
    surfaces=lining(0.45, heat_loss_w_k=4.0),
    power_w=1500.0,
    vapour_range_c=(26.7, 93.3),
)
COMBI = Cabinet(
    Control.PER_CENT,
    volume_m3=0.28,
    air_exchange_per_s=5.0 / PER_HOUR,
    heat_loss_w_k=6.0,
    surfaces=lining(0.28, heat_loss_w_k=6.0),
    power_w=10_000.0,
    draught_m_s=1.0,
    vent_per_s=0.05,
)
BOX = Cabinet(Control.SEALED, 0.05, 0.5 / PER_HOUR, 0.6, lining(0.05, heat_loss_w_k=0.6), power_w=0.0)
EVERY_KIND = [OVEN, DRY, WARMING, ROASTER, VAPOUR, COMBI, BOX]


# --- reach ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("cabinet", EVERY_KIND, ids=lambda cabinet: cabinet.control.value)
def test_every_setting_lies_between_the_bounds_of_reach(cabinet: Cabinet) -> None:
    air_c = np.array([60.0, HOLD_C, 80.0, 110.0])
    bounds = reach(cabinet, air_temp_c=air_c, load=Load(0.02, 58.0))
    assert (bounds.lowest_humidity <= bounds.highest_humidity + 1e-12).all()
    assert (bounds.lowest_humidity > 0).all()
    assert (bounds.highest_humidity <= 1.0).all()
    assert np.abs(bounds.lowest.balance_residual).max() < 1e-9
    assert np.abs(bounds.highest.balance_residual).max() < 1e-9


def test_reach_is_the_state_without_pan_and_with_the_largest_pans() -> None:
    bounds = reach(OVEN, air_temp_c=HOLD_C)
    none = steady_state(OVEN, Setting(HOLD_C))
    most = steady_state(OVEN, Setting(HOLD_C, pans=pans_of_area(OVEN.pans, 0.18, volume_m3=0.12)))
    assert bounds.lowest_humidity == none.relative_humidity
    assert bounds.highest_humidity == most.relative_humidity


def test_a_dial_of_vapour_temperature_reaches_saturation_and_no_lower_than_its_end() -> None:
    """26.7 °C vapour in 65.56 °C air: 3.50 over 25.68 kPa (steam tables), 13.7 %."""
    bounds = reach(VAPOUR, air_temp_c=HOLD_C)
    assert 100 * bounds.lowest_humidity == pytest.approx(13.65, abs=0.05)
    assert bounds.highest_humidity == pytest.approx(1.0)


def test_the_roaster_is_nearly_as_wet_as_foil() -> None:
    """Common practice, no source: water in the well and the lid shut."""
    assert reach(ROASTER, air_temp_c=HOLD_C).highest_humidity > 0.9


def test_an_oven_with_two_pans_stays_between_dry_and_half() -> None:
    """Common practice, no source: a vented domestic oven with all the water it takes, about 40 %."""
    assert 0.30 < reach(OVEN, air_temp_c=HOLD_C).highest_humidity < 0.50


def test_without_an_oven_pan_holders_say_what_is_missing() -> None:
    with pytest.raises(PhysicsInputError, match="give its pans"):
        reach(replace(OVEN, pans=None), air_temp_c=HOLD_C)


# --- settings ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("cabinet", "target"),
    [
        (OVEN, 0.15),
        (OVEN, 0.33),
        (WARMING, 0.3),
        (ROASTER, 0.6),
        (VAPOUR, 0.3),
        (VAPOUR, 0.8),
        (replace(VAPOUR, bath_m2=0.1), 0.5),
        (COMBI, 0.05),
        (COMBI, 0.5),
        (DRY, 0.0456),
        (BOX, 0.0456),
    ],
)
def test_a_setting_within_reach_gives_its_target(cabinet: Cabinet, target: float) -> None:
    advice = setting_for(cabinet, target, air_temp_c=HOLD_C)
    assert advice.limit in (Limit.REACHED, Limit.HEAT_TOO_WEAK)
    assert advice.state.relative_humidity == pytest.approx(target, abs=1e-4)
    again = steady_state(cabinet, advice.setting)
    assert again.relative_humidity == pytest.approx(target, abs=1e-4)


def test_the_vapour_temperature_to_dial_is_the_dew_point() -> None:
    """50 % at 65.56 °C: dew point 50.79 °C (design check value, CoolProp)."""
    advice = setting_for(VAPOUR, 0.5, air_temp_c=HOLD_C)
    assert advice.vapour_temp_c == pytest.approx(50.79, abs=0.02)
    bath = setting_for(replace(VAPOUR, bath_m2=0.1), 0.5, air_temp_c=HOLD_C)
    assert bath.vapour_temp_c is not None
    assert bath.vapour_temp_c > 50.79 + 0.5


def test_a_higher_target_needs_more_pan_and_then_a_second_one() -> None:
    areas = [setting_for(OVEN, target, air_temp_c=HOLD_C) for target in (0.15, 0.25, 0.32, 0.38)]
    assert all(np.diff([advice.pan_area_m2 for advice in areas]) > 0)
    assert [advice.pan_count for advice in areas] == [1, 1, 1, 2]


def test_pan_areas_are_found_for_an_ensemble() -> None:
    rates = np.array([8.0, 12.0, 16.0]) / PER_HOUR
    target_pa = 0.25 * saturation_pressure_pa(HOLD_C)
    areas = pan_area_for(
        replace(OVEN, air_exchange_per_s=rates), target_pa, air_temp_c=HOLD_C, room=room_air(), load=Load()
    )
    assert (np.diff(areas) > 0).all()


def test_the_smallest_pan_is_covered_where_it_gives_too_much() -> None:
    advice = setting_for(ROASTER, 0.3, air_temp_c=HOLD_C)
    assert advice.reached
    assert "cover the smallest pan" in advice.words


def test_kept_water_needs_to_be_warmer_for_more_humidity_and_fails_openly() -> None:
    targets = np.array([0.3, 0.5, 0.6, 0.9])
    warm = water_temperature_for(WARMING, targets, area_m2=0.06, air_temp_c=HOLD_C)
    assert (np.diff(warm) > 0).all()
    state = steady_state(WARMING, Setting(HOLD_C, pans=(Pan(0.06, held_c=warm[1]),)))
    assert state.relative_humidity == pytest.approx(0.5, abs=1e-9)
    assert np.isinf(water_temperature_for(OVEN, 0.9, area_m2=0.001, air_temp_c=HOLD_C))


def test_the_spray_named_makes_up_what_the_pans_leave() -> None:
    for cabinet in (OVEN, DRY):
        advice = setting_for(cabinet, 0.5, air_temp_c=HOLD_C)
        assert advice.limit in (Limit.PAN_TOO_SMALL, Limit.NO_WATER)
        assert advice.spray_kg_h is not None
        sprayed = replace(advice.setting, spray_kg_s=advice.spray_kg_h / PER_HOUR)
        assert steady_state(cabinet, sprayed).relative_humidity == pytest.approx(0.5, abs=1e-6)


def test_the_air_exchange_named_brings_damp_air_down() -> None:
    wet = Load(0.25, 60.0)
    advice = setting_for(DRY, 0.30, air_temp_c=HOLD_C, load=wet)
    assert advice.limit is Limit.TOO_DAMP
    assert advice.air_exchange_per_s is not None
    vented = replace(DRY, air_exchange_per_s=advice.air_exchange_per_s)
    assert steady_state(vented, Setting(HOLD_C), load=wet).relative_humidity == pytest.approx(0.30, abs=1e-6)


@pytest.mark.parametrize(
    ("cabinet", "target", "air_c", "limit"),
    [
        (DRY, 0.5, HOLD_C, Limit.NO_WATER),
        (BOX, 0.5, HOLD_C, Limit.NO_WATER),
        (WARMING, 0.8, HOLD_C, Limit.PAN_TOO_SMALL),
        (replace(ROASTER, surfaces=lining(0.02, heat_loss_w_k=2.5)), 0.95, HOLD_C, Limit.WALLS_RUN),
        (replace(VAPOUR, vapour_range_c=(26.7, 50.0)), 0.8, HOLD_C, Limit.DIAL_TOO_LOW),
        (replace(VAPOUR, power_w=225.0), 0.8, HOLD_C, Limit.TOO_LITTLE_POWER),
        (VAPOUR, 0.05, HOLD_C, Limit.DIAL_TOO_HIGH),
        (replace(COMBI, humidity_range=(0.1, 0.9)), 0.05, HOLD_C, Limit.DIAL_TOO_HIGH),
        (DRY, 0.02, HOLD_C, Limit.ROOM_TOO_DAMP),
        (OVEN, 0.3, 50.0, Limit.AIR_TEMPERATURE),
        (COMBI, 0.9, 120.0, Limit.ABOVE_BOILING),
        (replace(OVEN, power_w=190.0), 0.3, HOLD_C, Limit.HEAT_TOO_WEAK),
    ],
)
def test_what_cannot_be_reached_is_explained(
    cabinet: Cabinet, target: float, air_c: float, limit: Limit
) -> None:
    advice = setting_for(cabinet, target, air_temp_c=air_c)
    assert advice.limit is limit
    assert not advice.reached
    assert len(advice.words) > 20
    assert np.isfinite(float(advice.state.relative_humidity))


def test_targets_outside_0_to_100_per_cent_and_ensembles_of_holders_are_refused() -> None:
    with pytest.raises(PhysicsInputError, match="humidity asked for"):
        setting_for(OVEN, 1.2, air_temp_c=HOLD_C)
    with pytest.raises(PhysicsInputError, match="one holder at a time"):
        setting_for(replace(OVEN, heat_loss_w_k=np.array([3.5, 4.0])), 0.3, air_temp_c=HOLD_C)


# --- readings ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("exchanges_per_h", [4.0, 8.0, 12.0, 25.0])
@pytest.mark.parametrize("cabinet", [OVEN, WARMING])
def test_the_air_exchange_behind_a_reading_is_found_again(cabinet: Cabinet, exchanges_per_h: float) -> None:
    """The reading is made with one air exchange and handed to a card that says another."""
    truth = replace(cabinet, air_exchange_per_s=exchanges_per_h / PER_HOUR)
    setting = Setting(HOLD_C, pans=pans_of_area(cabinet.pans, 0.08, volume_m3=0.12))
    load = Load(0.03, 60.0)
    measured = float(steady_state(truth, setting, load=load).relative_humidity)
    reading = air_exchange_from_reading(cabinet, setting, measured, load=load)
    assert reading.air_exchange_per_s * PER_HOUR == pytest.approx(exchanges_per_h, rel=1e-6)
    assert reading.ratio == pytest.approx(exchanges_per_h / PER_HOUR / cabinet.air_exchange_per_s, rel=1e-6)
    assert reading.lowest_per_s < reading.air_exchange_per_s < reading.highest_per_s
    far = not 1 / 5 <= reading.ratio <= 5
    assert reading.verdict is (Verdict.UNLIKELY if far else Verdict.EXPLAINED)
    assert "times it" in reading.words


def test_readings_that_no_air_exchange_explains_keep_the_card_s_figure() -> None:
    setting = Setting(HOLD_C, pans=pans_of_area(OVEN.pans, 0.08, volume_m3=0.12))
    damp = air_exchange_from_reading(OVEN, setting, 0.95)
    dry = air_exchange_from_reading(OVEN, setting, 0.03)
    assert damp.verdict is Verdict.TOO_DAMP
    assert dry.verdict is Verdict.TOO_DRY
    for reading in (damp, dry):
        assert reading.air_exchange_per_s == OVEN.air_exchange_per_s
        assert reading.ratio == 1.0
        assert "hygrometer" in reading.words


def test_a_dial_hides_the_air_exchange_unless_it_is_not_reached() -> None:
    setting = Setting(HOLD_C, vapour_temp_c=52.0)
    on_dial = air_exchange_from_reading(VAPOUR, setting, 0.53)
    assert on_dial.verdict is Verdict.REGULATED
    assert on_dial.off_dial == pytest.approx(0.53 - 13.611 / 25.675, abs=1e-3)
    leaky = replace(VAPOUR, air_exchange_per_s=60.0 / PER_HOUR, power_w=900.0)
    short = float(steady_state(leaky, setting).relative_humidity)
    tight = replace(leaky, air_exchange_per_s=40.0 / PER_HOUR)
    found = air_exchange_from_reading(tight, setting, short)
    assert found.air_exchange_per_s * PER_HOUR == pytest.approx(60.0, rel=1e-6)


def test_impossible_readings_are_refused() -> None:
    with pytest.raises(PhysicsInputError, match="hygrometer reading"):
        air_exchange_from_reading(OVEN, Setting(HOLD_C), 1.3)
    with pytest.raises(PhysicsInputError, match="pure steam reads"):
        air_exchange_from_reading(DRY, Setting(120.0), 0.9)
    with pytest.raises(PhysicsInputError, match="one holder at a time"):
        air_exchange_from_reading(DRY, Setting(np.array([60.0, 70.0])), 0.3)
