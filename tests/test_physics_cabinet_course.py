"""Humidity in time against exponentials, SciPy, an exact periodic solution and the steady state."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from slowfolio.physics.cabinet import Cabinet, Control, Load, Room, Setting, lining, room_air
from slowfolio.physics.cabinet_course import (
    HumidityCourse,
    Spray,
    after_open_door_pa,
    humidity_course,
)
from slowfolio.physics.cabinet_state import steady_state
from slowfolio.physics.errors import PhysicsInputError
from slowfolio.physics.humid_air import latent_heat_j_kg
from slowfolio.physics.pan import Pan, PanAir, pan_evaporation_kg_m2_s, pan_heat_w_m2, stored_heat_j_k

PER_HOUR = 3600.0
HOLD_C = 65.56
DRY = Cabinet(Control.NONE, 0.12, 12.0 / PER_HOUR, 3.5, lining(0.12, heat_loss_w_k=3.5), power_w=2500.0)
PANNED = replace(DRY, control=Control.PAN, air_exchange_per_s=2.0 / PER_HOUR)
VAPOUR = Cabinet(
    Control.VAPOUR_TEMPERATURE, 0.45, 2.0 / PER_HOUR, 4.0, lining(0.45, heat_loss_w_k=4.0), power_w=1500.0
)
ROOM = Room()


def airing_rate_per_s(cabinet: Cabinet) -> float:
    """n P/(P - p_room): flow counted at cabinet conditions takes vapour out and room air in."""
    return float(cabinet.air_exchange_per_s) * 101_325.0 / (101_325.0 - ROOM.vapour_pressure_pa)


def test_a_cabinet_without_water_airs_exponentially() -> None:
    """dp/dt = -n' (p - p_room), exact; backward Euler of 120 steps over eight time constants is near it."""
    rate = airing_rate_per_s(DRY)
    course = humidity_course(DRY, Setting(HOLD_C), duration_s=8.0 / rate, start_pa=8000.0)
    exact = ROOM.vapour_pressure_pa + (8000.0 - ROOM.vapour_pressure_pa) * np.exp(-rate * course.time_s)
    assert np.abs(course.vapour_pressure_pa - exact).max() < 0.015 * (8000.0 - ROOM.vapour_pressure_pa)


def test_the_error_halves_with_the_step() -> None:
    """Backward Euler is of first order (any textbook of numerics)."""
    rate = airing_rate_per_s(DRY)
    errors = []
    for steps in (50, 100, 200):
        course = humidity_course(DRY, Setting(HOLD_C), duration_s=2.0 / rate, start_pa=8000.0, steps=steps)
        exact = ROOM.vapour_pressure_pa + (8000.0 - ROOM.vapour_pressure_pa) * np.exp(-2.0)
        errors.append(abs(float(course.vapour_pressure_pa[-1]) - exact))
    assert errors[0] / errors[1] == pytest.approx(2.0, rel=0.05)
    assert errors[1] / errors[2] == pytest.approx(2.0, rel=0.05)


def test_pan_and_air_fill_up_as_scipy_integrates_them() -> None:
    """Vapour in the air and heat in the water, written out anew for SciPy's stiff solver; no cold walls."""
    pan = Pan(0.06, depth_m=0.03)
    bare = replace(PANNED, surfaces=())
    capacity = float(stored_heat_j_k(pan))
    per_m3_kg_pa = 1.0 / (287.042 / 0.621945 * (HOLD_C + 273.15))

    def slope(_: float, now: np.ndarray) -> list[float]:
        vapour, water = np.asarray(now[0]), np.asarray(now[1])
        air = PanAir(HOLD_C, vapour, HOLD_C, 101_325.0, bare.draught_m_s)
        flux = pan_evaporation_kg_m2_s(pan.equation, water, air)
        heat = 0.06 * (pan_heat_w_m2(pan, water, air) - flux * latent_heat_j_kg(water))
        airing = airing_rate_per_s(bare) * (vapour - ROOM.vapour_pressure_pa)
        return [float(0.06 * flux / (0.12 * per_m3_kg_pa) - airing), float(heat) / capacity]

    at = [600.0, 3600.0, 14_400.0]
    theirs = solve_ivp(slope, (0.0, 14_400.0), [1169.6, 58.0], method="LSODA", rtol=1e-8, t_eval=at)
    ours = humidity_course(
        bare, Setting(HOLD_C, pans=(pan,)), duration_s=14_400.0, pan_start_c=58.0, steps=960
    )
    for k, column in ((40, 0), (240, 1), (960, 2)):
        assert ours.vapour_pressure_pa[k] == pytest.approx(theirs.y[0, column], rel=0.01)
        assert ours.pan_c[0][k] == pytest.approx(theirs.y[1, column], abs=0.1)


@pytest.mark.parametrize(
    ("cabinet", "setting", "load"),
    [
        (PANNED, Setting(HOLD_C, pans=(Pan(0.05, depth_m=0.005),)), Load()),
        (
            PANNED,
            Setting(HOLD_C, pans=(Pan(0.05, depth_m=0.005, element_share=0.15), Pan(0.02, depth_m=0.005))),
            Load(),
        ),
        (PANNED, Setting(HOLD_C, pans=(Pan(0.02, held_c=75.0),)), Load(0.02, 60.0)),
        (DRY, Setting(HOLD_C), Load(0.1, 60.0)),
        (VAPOUR, Setting(HOLD_C, vapour_temp_c=55.0), Load(0.1, 60.0)),
        (replace(VAPOUR, power_w=240.0), Setting(HOLD_C, vapour_temp_c=60.0), Load()),
    ],
)
def test_every_course_ends_in_the_steady_state_with_its_water_accounted_for(
    cabinet: Cabinet, setting: Setting, load: Load
) -> None:
    steady = steady_state(cabinet, setting, load=load)
    course = humidity_course(cabinet, setting, duration_s=12 * PER_HOUR, load=load, steps=300)
    assert course.relative_humidity[-1] == pytest.approx(float(steady.relative_humidity), abs=0.003)
    assert abs(float(course.balance_residual)) < 1e-9


def test_a_saturated_cabinet_drops_the_rest_as_fog() -> None:
    warm_wall = Cabinet(Control.PAN, 0.02, 1.0 / PER_HOUR, 0.5)
    course = humidity_course(warm_wall, Setting(HOLD_C, pans=(Pan(0.05, held_c=95.0),)), duration_s=1800.0)
    assert course.relative_humidity[-1] == pytest.approx(1.0)
    assert abs(float(course.balance_residual)) < 1e-9


def test_boiling_water_fills_a_cabinet_faster_than_cold_water() -> None:
    setting = Setting(HOLD_C, pans=(Pan(0.06),))
    target = 0.25 * 25_675.0
    boiling, cold = (
        humidity_course(PANNED, setting, duration_s=4 * PER_HOUR, pan_start_c=start) for start in (98.0, 15.0)
    )
    assert boiling.time_to_part_s(1.0, of_pa=target) < cold.time_to_part_s(1.0, of_pa=target)
    assert np.isinf(cold.time_to_part_s(1.0, of_pa=20_000.0))


def test_time_to_a_part_of_the_change_is_interpolated() -> None:
    """By hand: half of the way from 1000 to 3000 Pa between the second and the third sample."""
    vapour = np.array([1000.0, 1500.0, 2500.0, 3000.0])
    course = HumidityCourse(np.arange(4.0) * 60.0, vapour, vapour / 25_675.0, (), vapour.mean(), np.zeros(()))
    assert course.time_to_part_s(0.5, of_pa=3000.0) == pytest.approx(90.0)
    assert course.time_to_part_s(0.0, of_pa=3000.0) == 0.0


def test_an_open_door_mixes_room_air_in_exponentially() -> None:
    assert after_open_door_pa(12_000.0, room=ROOM, open_s=0.0) == pytest.approx(12_000.0)
    half = after_open_door_pa(12_000.0, room=ROOM, open_s=np.log(2.0) / 0.05)
    assert half == pytest.approx(0.5 * (12_000.0 + ROOM.vapour_pressure_pa))
    assert after_open_door_pa(12_000.0, room=ROOM, open_s=3600.0) == pytest.approx(ROOM.vapour_pressure_pa)


def test_a_regulated_cabinet_recovers_from_an_open_door_as_fast_as_its_boiler() -> None:
    setting = Setting(HOLD_C, vapour_temp_c=52.0)
    steady = float(steady_state(VAPOUR, setting).vapour_pressure_pa)
    low = after_open_door_pa(steady, room=ROOM, open_s=30.0)
    strong, weak = (
        humidity_course(
            replace(VAPOUR, steam_power_w=power), setting, duration_s=1800.0, start_pa=low, steps=360
        ).time_to_part_s(0.99, of_pa=steady)
        for power in (1000.0, 200.0)
    )
    assert strong < weak < 1800.0
    missing_kg = 0.45 * (steady - float(low)) / (287.042 / 0.621945 * (HOLD_C + 273.15))
    assert strong > missing_kg * 2.54e6 / 1000.0 * 0.98


# --- spraying ---------------------------------------------------------------------------------------


def test_pulses_add_up_to_their_mass_whatever_the_spread() -> None:
    """By hand, every 20 minutes from minute 5: eleven pulses done, or eight and 0.8 + 0.4 of two more."""
    short = Spray(0.02, every_s=1200.0, first_s=300.0, spread_s=60.0)
    long = Spray(0.02, every_s=1200.0, first_s=300.0, spread_s=3000.0)
    assert short.evaporated_kg(300.0) == long.evaporated_kg(300.0) == 0.0
    assert short.evaporated_kg(300.0 + 10 * 1200.0 + 60.0) == pytest.approx(11 * 0.02)
    assert long.evaporated_kg(300.0 + 10 * 1200.0) == pytest.approx(9.2 * 0.02)
    for spray in (short, long):
        steps = np.diff(spray.evaporated_kg(np.linspace(0.0, 20_000.0, 4001)))
        assert (steps >= -1e-15).all()
        assert spray.mean_kg_s == pytest.approx(0.06 / PER_HOUR)


def test_spraying_gives_the_exact_periodic_course() -> None:
    """Linear airing with a square pulse each period has a closed periodic solution (worked out by hand)."""
    spray = Spray(0.004, every_s=1200.0, spread_s=300.0)
    course = humidity_course(DRY, Setting(HOLD_C), duration_s=6 * 1200.0, spray=spray, steps=1440)
    rate = airing_rate_per_s(DRY)
    stored_kg_pa = 0.12 / (287.042 / 0.621945 * (HOLD_C + 273.15))
    lift = 0.004 / 300.0 / stored_kg_pa / rate
    highest = lift * (1.0 - np.exp(-rate * 300.0)) / (1.0 - np.exp(-rate * 1200.0))
    lowest = highest * np.exp(-rate * 900.0)
    last = course.vapour_pressure_pa[-241:] - ROOM.vapour_pressure_pa
    assert last.max() == pytest.approx(highest, rel=0.01)
    assert last.min() == pytest.approx(lowest, abs=0.01 * highest)


def test_the_mean_of_spraying_is_that_of_the_steady_flow() -> None:
    spray = Spray(0.004, every_s=600.0)
    sprayed = humidity_course(DRY, Setting(HOLD_C), duration_s=8 * 600.0, spray=spray, steps=960)
    mean = sprayed.vapour_pressure_pa[-121:].mean()
    steady = steady_state(DRY, Setting(HOLD_C, spray_kg_s=spray.mean_kg_s))
    assert mean == pytest.approx(float(steady.vapour_pressure_pa), rel=0.02)
    assert steady.water_kg_h.spray == pytest.approx(0.024)


def test_courses_run_over_an_ensemble_as_one_by_one() -> None:
    rates = np.array([2.0, 6.0, 12.0]) / PER_HOUR
    setting = Setting(HOLD_C, pans=(Pan(0.05),))
    together = humidity_course(
        replace(PANNED, air_exchange_per_s=rates), setting, duration_s=3600.0, steps=40
    )
    assert together.vapour_pressure_pa.shape == (41, 3)
    assert together.pan_c[0].shape == (41, 3)
    for i, rate in enumerate(rates):
        alone = humidity_course(
            replace(PANNED, air_exchange_per_s=rate), setting, duration_s=3600.0, steps=40
        )
        np.testing.assert_allclose(together.vapour_pressure_pa[:, i], alone.vapour_pressure_pa, rtol=1e-9)


@pytest.mark.parametrize(
    ("build", "words"),
    [
        (lambda: Spray(-0.1, every_s=600.0), "spray"),
        (lambda: Spray(0.1, every_s=0.0), "spray interval"),
        (lambda: Spray(0.1, every_s=600.0, spread_s=0.0), "time a spray takes"),
        (lambda: humidity_course(DRY, Setting(HOLD_C), duration_s=0.0), "duration"),
        (lambda: humidity_course(DRY, Setting(HOLD_C), duration_s=600.0, steps=1), "steps"),
        (lambda: humidity_course(DRY, Setting(HOLD_C), duration_s=600.0, start_pa=float("nan")), "start"),
        (lambda: after_open_door_pa(5000.0, room=room_air(), open_s=-1.0), "door is open"),
    ],
)
def test_impossible_courses_are_refused_with_the_allowed_range(build: object, words: str) -> None:
    with pytest.raises(PhysicsInputError, match=f"{words}.*give a value from"):
        build()  # type: ignore[operator]
