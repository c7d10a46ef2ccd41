"""The inner loop's short fits against the reference formulations, and the laws of kinetics and sorption."""

from __future__ import annotations

import math

import numpy as np
import pytest

from slowfolio.physics.fast_water import (
    fast_latent_heat_j_kg,
    fast_saturation_pressure_pa,
    saturation_slope_per_k,
)
from slowfolio.physics.kinetics import (
    denaturation_rate_per_s,
    fast_water_kept,
    gelatinisation_rate_per_s,
)
from slowfolio.physics.pit import forced_convection_w_m2_k, natural_convection_w_m2_k
from slowfolio.physics.sorption import moisture_at_activity, monolayer_kg_kg, water_activity
from slowfolio.physics.surfaces import LEWIS_KG_K_J
from slowfolio.physics.water import latent_heat_j_kg, saturation_pressure_pa

pytestmark = pytest.mark.slow

TEMPS = np.linspace(0.5, 149.5, 150)


def test_fast_saturation_pressure_equals_the_reference_within_a_hundredth_of_a_per_cent() -> None:
    """IAPWS-97 in ``water``."""
    assert fast_saturation_pressure_pa(TEMPS) == pytest.approx(saturation_pressure_pa(TEMPS), rel=1e-4)


def test_fast_latent_heat_equals_the_reference_within_a_hundredth_of_a_per_cent() -> None:
    """IAPWS-95 in ``water``."""
    assert fast_latent_heat_j_kg(TEMPS) == pytest.approx(latent_heat_j_kg(TEMPS), rel=1e-4)


def test_saturation_slope_is_the_derivative_of_the_pressure() -> None:
    numeric = (
        np.log(fast_saturation_pressure_pa(TEMPS + 0.01) / fast_saturation_pressure_pa(TEMPS - 0.01)) / 0.02
    )
    assert saturation_slope_per_k(TEMPS) == pytest.approx(numeric, rel=1e-5)


@pytest.mark.parametrize(
    ("speed", "expected"), [(0.3, 5.8), (0.5, 7.5), (1.0, 10.8), (2.0, 15.7), (3.0, 19.6)]
)
def test_forced_convection_matches_churchill_and_bernstein(speed: float, expected: float) -> None:
    """Churchill & Bernstein (1977) for a 0.10 m cylinder, computed values."""
    assert forced_convection_w_m2_k(speed) == pytest.approx(expected, rel=0.05)


@pytest.mark.parametrize(("difference", "low", "high"), [(34.0, 4.7, 5.1), (51.0, 5.2, 5.6), (5.0, 2.8, 3.3)])
def test_natural_convection_matches_churchill_and_chu(difference: float, low: float, high: float) -> None:
    """Churchill & Chu (1975) for a 0.10 m cylinder: 4.9-5.4 at 99-121 °C air, 3.0 in a 65 °C cabinet."""
    assert low <= float(natural_convection_w_m2_k(np.array(difference))) <= high


def test_mass_transfer_follows_the_lewis_relation() -> None:
    """6.9e-8 kg/(m² s Pa) at h = 10 W/(m² K) and one atmosphere (computed)."""
    assert pytest.approx(6.9e-8, rel=0.01) == 10.0 * LEWIS_KG_K_J / 101_325.0


@pytest.mark.parametrize(
    ("temp", "loss"), [(50, 0.68), (60, 6.82), (65, 15.95), (70, 25.88), (80, 33.58), (95, 34.48)]
)
def test_fast_water_loss_follows_the_published_sigmoid(temp: float, loss: float) -> None:
    """van der Sman (2007) / Feyissa et al. (2013): loss in per cent of raw mass at 74.5 % water."""
    assert 74.5 * (1.0 - float(fast_water_kept(np.array(float(temp))))) == pytest.approx(loss, abs=0.02)


@pytest.mark.parametrize(
    ("temp", "per_hour"), [(55, 0.0133), (60, 0.0209), (68, 0.0418), (80, 0.112), (93, 0.301), (100, 0.499)]
)
def test_gelatinisation_rates_match_the_computed_table(temp: float, per_hour: float) -> None:
    assert 3600.0 * float(gelatinisation_rate_per_s(np.array(float(temp)))) == pytest.approx(
        per_hour, rel=0.01
    )


def test_48_hours_at_60_equal_24_hours_at_68() -> None:
    """Common practice, no source: X = 0.63 both ways."""
    x60 = 1.0 - math.exp(-48 * 3600 * float(gelatinisation_rate_per_s(np.array(60.0))))
    x68 = 1.0 - math.exp(-24 * 3600 * float(gelatinisation_rate_per_s(np.array(68.0))))
    assert x60 == pytest.approx(0.633, abs=0.01)
    assert x68 == pytest.approx(x60, abs=0.01)


@pytest.mark.parametrize(
    ("temp", "hours", "low", "high"),
    [(60.0, 24.0, 0.35, 0.45), (60.0, 48.0, 0.58, 0.68), (80.0, 12.0, 0.70, 0.80), (80.0, 24.0, 0.90, 0.96),
     (55.0, 18.0, 0.15, 0.25), (65.0, 18.0, 0.40, 0.48), (75.0, 18.0, 0.70, 0.78)],
)  # fmt: skip
def test_collagen_meets_the_published_constraints(temp: float, hours: float, low: float, high: float) -> None:
    """Beilken et al. 1986 (60 °C), Davey et al. 1976 (80 °C, recalled), Naqvi et al. 2021 (55/65/75 °C, 18
    h).
    """
    converted = 1.0 - math.exp(-3600.0 * hours * float(gelatinisation_rate_per_s(np.array(temp))))
    assert low <= converted <= high


@pytest.mark.parametrize(
    ("temp", "half_s"), [(50, 16 * 3600), (52, 5.2 * 3600), (55, 58 * 60), (58, 660), (60, 222), (62, 76)]
)
def test_collagen_denatures_at_the_published_half_times(temp: float, half_s: float) -> None:
    """Machlik & Draudt (1963): half complete in 11 min at 58 °C; others computed with 500 kJ/mol."""
    assert math.log(2.0) / float(denaturation_rate_per_s(np.array(float(temp)))) == pytest.approx(
        half_s, rel=0.05
    )


@pytest.mark.parametrize(("activity", "moisture"), [(0.5, 0.107), (0.75, 0.218), (0.9, 0.50), (0.95, 0.86)])
def test_isotherm_gives_its_table_and_inverts(activity: float, moisture: float) -> None:
    """GAB with Xm 0.06, C 10, K 0.98 at 30 °C (calibrated constants; values computed)."""
    monolayer = monolayer_kg_kg(np.array(30.0))
    ours = moisture_at_activity(np.array(activity), monolayer)
    assert float(ours) == pytest.approx(moisture, rel=0.02)
    assert float(water_activity(ours, monolayer)) == pytest.approx(activity, abs=1e-9)
