"""Humid air against steam tables, real-gas humid air, the handbook's worked example and its own inverses."""

import csv
import math
from pathlib import Path

import numpy as np
import psychrolib
import pytest
from CoolProp.CoolProp import HAPropsSI, PropsSI
from hypothesis import given, settings
from hypothesis import strategies as st
from iapws import IAPWS95, IAPWS97

from slowfolio.physics import humid_air as air
from slowfolio.physics.humid_air import STANDARD_PRESSURE_PA

REFERENCE = Path(__file__).parent / "reference"
STANDARD_K = 273.15
untimed = settings(deadline=None)


def table(name: str) -> list[dict[str, float]]:
    """The rows of a reference table as numbers; its first line names the source."""
    lines = (REFERENCE / name).read_text(encoding="utf-8").splitlines()
    assert lines[0].startswith("#")
    return [{key: float(value) for key, value in row.items()} for row in csv.DictReader(lines[1:])]


# --- water ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("row", table("iapws_saturation_pressure.csv"), ids=lambda row: f"{row['temp_c']:g}C")
def test_saturation_pressure_matches_the_iapws_table(row: dict[str, float]) -> None:
    """IAPWS-IF97 by the iapws package, and the independent Hyland & Wexler (1983) equation."""
    ours_kpa = air.saturation_pressure_pa(row["temp_c"]) / 1000
    assert ours_kpa == pytest.approx(row["iapws_kpa"], rel=2e-5)
    assert ours_kpa == pytest.approx(row["hyland_wexler_kpa"], rel=2.5e-4)


@pytest.mark.parametrize(
    ("low", "high", "share"), [(0.01, 100.0, 1e-4), (100.0, 150.0, 1.5e-4), (150, 300, 2e-4)]
)
def test_saturation_pressure_is_that_of_the_scientific_formulation(
    low: float, high: float, share: float
) -> None:
    """IAPWS-95 as in CoolProp; 0.05 % is wanted up to 100 °C, 0.007 % is reached."""
    temps_c = np.linspace(low, high, 200)
    theirs = np.array([PropsSI("P", "T", temp + STANDARD_K, "Q", 0, "Water") for temp in temps_c])
    np.testing.assert_allclose(air.saturation_pressure_pa(temps_c), theirs, rtol=share)


@pytest.mark.parametrize("temp_c", [5.0, 37.78, 65.56, 93.33, 100.0, 150.0])
def test_saturation_pressure_agrees_with_the_iapws_package(temp_c: float) -> None:
    """Both formulations of the iapws package, live."""
    ours = air.saturation_pressure_pa(temp_c)
    assert ours == pytest.approx(IAPWS97(T=temp_c + STANDARD_K, x=0).P * 1e6, rel=1e-9)
    assert ours == pytest.approx(IAPWS95(T=temp_c + STANDARD_K, x=0).P * 1e6, rel=1.5e-4)


def test_region_4_reproduces_its_verification_values() -> None:
    """IAPWS-IF97 release, Tables 35 and 36 (recalled): 300 K, 500 K; 0.1 MPa, 1 MPa."""
    assert air.saturation_pressure_pa(300 - STANDARD_K) == pytest.approx(0.353658941e4, rel=1e-8)
    assert air.saturation_pressure_pa(500 - STANDARD_K) == pytest.approx(0.263889776e7, rel=1e-8)
    assert air.saturation_temperature_c(0.1e6) + STANDARD_K == pytest.approx(372.755919, abs=1e-6)
    assert air.saturation_temperature_c(1e6) + STANDARD_K == pytest.approx(453.035632, abs=1e-6)


@pytest.mark.parametrize("temp_c", [-30.0, -20.0, -10.0, -5.0])
def test_supercooled_water_follows_murphy_and_koop(temp_c: float) -> None:
    """Murphy & Koop (2005), Q. J. R. Meteorol. Soc. 131, eq. 10 (recalled)."""
    temp_k = temp_c + STANDARD_K
    log_p = 54.842763 - 6763.22 / temp_k - 4.21 * math.log(temp_k) + 0.000367 * temp_k
    log_p += math.tanh(0.0415 * (temp_k - 218.8)) * (
        53.878 - 1331.22 / temp_k - 9.44523 * math.log(temp_k) + 0.014025 * temp_k
    )
    assert air.saturation_pressure_pa(temp_c) == pytest.approx(math.exp(log_p), rel=6e-4)


@untimed
@given(st.floats(-39.999, 299.999))
def test_saturation_temperature_inverts_saturation_pressure(temp_c: float) -> None:
    assert air.saturation_temperature_c(air.saturation_pressure_pa(temp_c)) == pytest.approx(temp_c, abs=1e-8)


@pytest.mark.parametrize("row", table("water_latent_heat.csv"), ids=lambda row: f"{row['temp_c']:g}C")
def test_latent_heat_matches_the_steam_table(row: dict[str, float]) -> None:
    assert air.latent_heat_j_kg(row["temp_c"]) / 1000 == pytest.approx(row["latent_heat_kj_kg"], rel=1e-4)


def test_latent_heat_is_that_of_steam_up_to_the_hottest_pit() -> None:
    """Enthalpy of saturated vapour less that of saturated liquid, IAPWS-95 in CoolProp."""
    temps_c = np.linspace(0.01, 300, 100)
    theirs = np.array(
        [
            PropsSI("H", "T", t + STANDARD_K, "Q", 1, "Water")
            - PropsSI("H", "T", t + STANDARD_K, "Q", 0, "Water")
            for t in temps_c
        ]
    )
    np.testing.assert_allclose(air.latent_heat_j_kg(temps_c), theirs, rtol=1e-4)


# --- altitude ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "row", table("boiling_point_altitude.csv"), ids=lambda row: f"{row['altitude_m']:g}m"
)
def test_boiling_point_falls_with_altitude_as_tabulated(row: dict[str, float]) -> None:
    """ISA pressure and the Antoine equation for water; 0.1 K is wanted."""
    pressure_pa = air.atmospheric_pressure_pa(row["altitude_m"])
    assert pressure_pa / 1000 == pytest.approx(row["pressure_kpa"], abs=0.006)
    assert air.boiling_point_c(pressure_pa) == pytest.approx(row["boil_c"], abs=0.1)


def test_water_boils_as_cooks_are_told() -> None:
    """211 °F at 550 ft and about 194 °F at 10,000 ft: cross-checks read beside the reference table."""
    for altitude_ft, boil_f, tolerance_f in ((550, 211.0, 0.3), (10000, 194.0, 0.5)):
        boil_c = air.boiling_point_c(air.atmospheric_pressure_pa(altitude_ft * 0.3048))
        assert boil_c * 1.8 + 32 == pytest.approx(boil_f, abs=tolerance_f)
    assert air.boiling_point_c() == pytest.approx(99.97, abs=0.01)


STANDARD_ATMOSPHERE = [(0, 101325), (1000, 89874.6), (5000, 54019.9), (11000, 22632)]


@pytest.mark.parametrize(("altitude_m", "pressure_pa"), STANDARD_ATMOSPHERE)
def test_atmosphere_is_the_standard_one(altitude_m: float, pressure_pa: float) -> None:
    """ISO 2533:1975, Table 1, by geopotential altitude (recalled)."""
    assert air.atmospheric_pressure_pa(float(altitude_m)) == pytest.approx(pressure_pa, rel=1e-4)


# --- wet bulb ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("row", table("humid_air_wet_bulb.csv"), ids=lambda row: f"{row['dry_bulb_c']:g}C")
@pytest.mark.parametrize("dew_c", [5, 15, 25, 35, 45, 55, 65])
def test_wet_bulb_in_a_pit_matches_the_table(row: dict[str, float], dew_c: int) -> None:
    vapour_pa = air.saturation_pressure_pa(float(dew_c))
    ours = air.wet_bulb_c(row["dry_bulb_c"], vapour_pa, STANDARD_PRESSURE_PA)
    assert ours == pytest.approx(row[f"dew_{dew_c}"], abs=0.05)


@pytest.mark.parametrize("pressure_pa", [101325.0, 83428.0, 61640.0])
def test_wet_bulb_is_that_of_real_gas_humid_air(pressure_pa: float) -> None:
    """CoolProp HAPropsSI, sea level to 4,000 m, from dry air to dew points hard against dry bulb and boiling.

    0.1 K is wanted; ideal gas and the handbook's heat capacities reach 0.035 K.
    """
    boil_c = air.boiling_point_c(pressure_pa)
    dry, dew = [], []
    for temp_c in range(40, 151, 10):
        near = [temp_c - 0.2, temp_c - 1.0, boil_c - 2.0, boil_c - 5.0]
        for dew_c in (5, 15, 25, 35, 45, 55, 65, 75, 85, *near):
            if dew_c <= min(temp_c - 0.1, boil_c - 1.9):
                dry.append(float(temp_c))
                dew.append(float(dew_c))
    ours = air.wet_bulb_c(np.array(dry), air.saturation_pressure_pa(np.array(dew)), pressure_pa)
    theirs = np.array(
        [
            HAPropsSI("B", "T", t + STANDARD_K, "D", d + STANDARD_K, "P", pressure_pa) - STANDARD_K
            for t, d in zip(dry, dew, strict=True)
        ]
    )
    assert len(theirs) > 90
    np.testing.assert_allclose(ours, theirs, atol=0.035, rtol=0)


def test_wet_bulb_agrees_with_psychrolib_where_psychrolib_converges() -> None:
    """PsychroLib 2.5, below 130 °C."""
    psychrolib.SetUnitSystem(psychrolib.SI)
    for temp_c in (40.0, 65.56, 93.33, 121.11):
        for dew_c in (5.0, 25.0, 35.0):
            theirs = psychrolib.GetTWetBulbFromTDewPoint(temp_c, dew_c, STANDARD_PRESSURE_PA)
            ours = air.wet_bulb_c(temp_c, air.saturation_pressure_pa(dew_c), STANDARD_PRESSURE_PA)
            assert ours == pytest.approx(theirs, abs=0.05)


@pytest.mark.parametrize(("temp_c", "dew_c"), [(135.0, 65.0), (148.89, 55.0), (148.89, 65.0)])
def test_psychrolib_is_no_oracle_for_hot_damp_air(temp_c: float, dew_c: float) -> None:
    """PsychroLib 2.5 returns the dry bulb here, its solver having failed; real-gas air shows what is right.

    If this test fails PsychroLib has been mended, and may serve as an oracle here too.
    """
    psychrolib.SetUnitSystem(psychrolib.SI)
    real = HAPropsSI("B", "T", temp_c + STANDARD_K, "D", dew_c + STANDARD_K, "P", STANDARD_PRESSURE_PA)
    theirs = psychrolib.GetTWetBulbFromTDewPoint(temp_c, dew_c, STANDARD_PRESSURE_PA)
    assert theirs == pytest.approx(temp_c, abs=0.01)
    ours = air.wet_bulb_c(temp_c, air.saturation_pressure_pa(dew_c), STANDARD_PRESSURE_PA)
    assert ours == pytest.approx(real - STANDARD_K, abs=0.05)


def states() -> st.SearchStrategy[tuple[float, float, float]]:
    """Dry bulb, vapour pressure and ambient pressure of any air that can be."""

    def parcel(temp_c: float, share: float, pressure_pa: float) -> tuple[float, float, float]:
        most_pa = min(air.saturation_pressure_pa(temp_c), 0.9999 * pressure_pa)
        return temp_c, share * most_pa, pressure_pa

    return st.builds(parcel, st.floats(0, 300), st.floats(0, 1), st.floats(4e4, 1.1e5))


@untimed
@given(states())
def test_wet_bulb_always_converges_between_dew_point_and_dry_bulb(state: tuple[float, float, float]) -> None:
    temp_c, vapour_pa, pressure_pa = state
    wet_c = air.wet_bulb_c(temp_c, vapour_pa, pressure_pa)
    assert wet_c <= min(temp_c, air.boiling_point_c(pressure_pa)) + 1e-9
    if vapour_pa > 20:
        assert wet_c >= air.dew_point_c(vapour_pa) - 1e-6


@untimed
@given(states())
def test_vapour_pressure_from_wet_bulb_inverts_the_wet_bulb(state: tuple[float, float, float]) -> None:
    temp_c, vapour_pa, pressure_pa = state
    wet_c = air.wet_bulb_c(temp_c, vapour_pa, pressure_pa)
    back_pa = air.vapour_pressure_from_wet_bulb_pa(temp_c, wet_c, pressure_pa)
    assert back_pa == pytest.approx(vapour_pa, abs=1e-6 * pressure_pa)


def test_saturated_air_has_its_wet_bulb_at_the_dry_bulb() -> None:
    temps_c = np.linspace(-39, 99.9, 300)
    wet_c = air.wet_bulb_c(temps_c, air.saturation_pressure_pa(temps_c), STANDARD_PRESSURE_PA)
    np.testing.assert_allclose(wet_c, temps_c, atol=1e-9)


def test_air_almost_all_steam_has_its_wet_bulb_at_the_boiling_point() -> None:
    wet_c = air.wet_bulb_c(150.0, 0.999999 * STANDARD_PRESSURE_PA, STANDARD_PRESSURE_PA)
    assert wet_c == pytest.approx(air.boiling_point_c(), abs=1e-3)


# --- humidity ---------------------------------------------------------------------------------------


def test_hot_air_over_water_at_100_f_is_at_25_5_per_cent() -> None:
    """150 °F air over water at 100 °F: common practice in humidity-controlled holding; HAPropsSI agrees."""
    dry_c, water_c = (150 - 32) / 1.8, (100 - 32) / 1.8
    ours = air.relative_humidity(air.saturation_pressure_pa(water_c), dry_c)
    assert ours == pytest.approx(0.255, abs=0.0005)
    theirs = HAPropsSI("R", "T", dry_c + STANDARD_K, "D", water_c + STANDARD_K, "P", STANDARD_PRESSURE_PA)
    assert ours == pytest.approx(theirs, rel=2e-3)


@pytest.mark.parametrize("row", table("humid_air_cabinets.csv"), ids=lambda row: f"{row['dry_bulb_c']:g}C")
def test_cabinet_air_matches_the_table(row: dict[str, float]) -> None:
    """Real-gas air holds a little more water at a given dew point: the ratio is low by under 1 %.

    The enhancement factor cancels in relative humidity below boiling. At 100 °C it does not, which puts
    the library's dew point 0.10 K and wet bulb 0.07 K under ours.
    """
    off_k = 0.05 if row["dry_bulb_c"] < 100 else 0.11
    temp_c, fraction = row["dry_bulb_c"], row["relative_humidity_pct"] / 100
    vapour_pa = air.vapour_pressure_from_relative_humidity_pa(fraction, temp_c)
    state = air.air_state(temp_c, vapour_pa)
    assert vapour_pa / 1000 == pytest.approx(row["vapour_pressure_kpa"], rel=2e-3)
    assert state.dew_point_c == pytest.approx(row["dew_point_c"], abs=off_k)
    assert state.wet_bulb_c == pytest.approx(row["wet_bulb_c"], abs=off_k)
    assert state.humidity_ratio_kg_kg == pytest.approx(row["humidity_ratio_kg_kg"], rel=0.01)
    assert state.relative_humidity == pytest.approx(fraction, rel=1e-9)


def test_the_handbook_example_is_reproduced() -> None:
    """ASHRAE Fundamentals, ch. 1, Example 1 (recalled): 40 °C dry bulb, 20 °C wet bulb, sea level."""
    vapour_pa = air.vapour_pressure_from_wet_bulb_pa(40.0, 20.0, STANDARD_PRESSURE_PA)
    state = air.air_state(40.0, vapour_pa)
    assert state.wet_bulb_c == pytest.approx(20.0, abs=1e-6)
    assert 1000 * state.humidity_ratio_kg_kg == pytest.approx(6.5, abs=0.15)
    assert state.enthalpy_j_kg / 1000 == pytest.approx(56.7, abs=0.1)
    assert state.dew_point_c == pytest.approx(7.0, abs=0.5)
    assert 100 * state.relative_humidity == pytest.approx(14.0, abs=0.1)
    assert 1 / state.dry_air_density_kg_m3 == pytest.approx(0.896, abs=0.001)


@pytest.mark.parametrize(
    ("temp_c", "dew_c"), [(40.0, 7.5), (60.0, 45.0), (65.56, 37.78), (107.0, 45.0), (150.0, 60.0)]
)
def test_ratio_density_and_enthalpy_match_psychrolib_and_real_gas(temp_c: float, dew_c: float) -> None:
    """PsychroLib 2.5 to rounding of constants; HAPropsSI to the enhancement factor left out."""
    psychrolib.SetUnitSystem(psychrolib.SI)
    vapour_pa = air.saturation_pressure_pa(dew_c)
    ratio = air.humidity_ratio_kg_kg(vapour_pa, STANDARD_PRESSURE_PA)
    enthalpy = air.moist_air_enthalpy_j_kg(temp_c, vapour_pa, STANDARD_PRESSURE_PA)
    density = air.dry_air_density_kg_m3(temp_c, vapour_pa, STANDARD_PRESSURE_PA)
    assert ratio == pytest.approx(
        psychrolib.GetHumRatioFromVapPres(vapour_pa, STANDARD_PRESSURE_PA), rel=1e-6
    )
    assert enthalpy == pytest.approx(psychrolib.GetMoistAirEnthalpy(temp_c, ratio), rel=1e-6)
    real = ("T", temp_c + STANDARD_K, "D", dew_c + STANDARD_K, "P", STANDARD_PRESSURE_PA)
    assert ratio == pytest.approx(HAPropsSI("W", *real), rel=0.008)
    assert enthalpy == pytest.approx(HAPropsSI("H", *real), rel=0.008)
    assert 1 / density == pytest.approx(HAPropsSI("Vda", *real), rel=0.0015)


@untimed
@given(states())
def test_humidity_ratio_inverts(state: tuple[float, float, float]) -> None:
    _, vapour_pa, pressure_pa = state
    ratio = air.humidity_ratio_kg_kg(vapour_pa, pressure_pa)
    assert air.vapour_pressure_from_ratio_pa(ratio, pressure_pa) == pytest.approx(
        vapour_pa, rel=1e-9, abs=1e-9
    )


def test_relative_humidity_above_boiling_keeps_its_convention() -> None:
    """Vapour over saturation pressure even where that exceeds the air's: 0.21 for steam at 150 °C."""
    steam = STANDARD_PRESSURE_PA / (IAPWS97(T=150 + STANDARD_K, x=0).P * 1e6)
    assert air.relative_humidity(STANDARD_PRESSURE_PA, 150.0) == pytest.approx(steam, rel=1e-6)
    assert steam == pytest.approx(0.21, abs=0.005)


@pytest.mark.parametrize(
    ("temp_c", "published_m2_s"),
    [(24.85, 0.26e-4), (0.0, 0.2178e-4), (100.0, 0.3829e-4)],
)
def test_diffusivity_is_that_of_the_handbooks(temp_c: float, published_m2_s: float) -> None:
    """Incropera et al., Table A.8, 298 K; Massman (1998), 0 and 100 °C (recalled)."""
    ours = air.vapour_diffusivity_m2_s(temp_c, STANDARD_PRESSURE_PA)
    assert ours == pytest.approx(published_m2_s, rel=0.05)
    assert air.vapour_diffusivity_m2_s(temp_c, STANDARD_PRESSURE_PA / 2) == pytest.approx(2 * ours, rel=1e-12)


# --- shapes and guards ------------------------------------------------------------------------------


def test_floats_give_floats_and_arrays_broadcast() -> None:
    temps_c = np.array([[60.0], [107.0], [150.0]])
    dews_pa = air.saturation_pressure_pa(np.array([5.0, 25.0, 45.0, 55.0]))
    wet_c = air.wet_bulb_c(temps_c, dews_pa, STANDARD_PRESSURE_PA)
    assert wet_c.shape == (3, 4)
    assert type(air.wet_bulb_c(60.0, 2000.0, STANDARD_PRESSURE_PA)) is float
    assert type(air.saturation_pressure_pa(60.0)) is float
    assert wet_c[1, 2] == air.wet_bulb_c(107.0, float(dews_pa[2]), STANDARD_PRESSURE_PA)
    assert air.air_state(60.0, 2000.0).latent_heat_j_kg == air.latent_heat_j_kg(
        air.air_state(60.0, 2000.0).wet_bulb_c
    )


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: air.saturation_pressure_pa(-41.0), "water temperature -41 °C is outside -40 to 300 °C"),
        (lambda: air.saturation_pressure_pa(float("nan")), "water temperature nan °C is outside"),
        (lambda: air.saturation_pressure_pa(np.array([20.0, np.inf])), "water temperature inf °C is outside"),
        (lambda: air.saturation_temperature_c(-1.0), "vapour pressure -1 Pa is outside"),
        (lambda: air.boiling_point_c(0.0), "vapour pressure 0 Pa is outside"),
        (lambda: air.dew_point_c(0.0), "vapour pressure 0 Pa is outside"),
        (lambda: air.atmospheric_pressure_pa(20000.0), "altitude 20000 m is outside -500 to 11000 m"),
        (
            lambda: air.wet_bulb_c(20.0, 2400.0, 101325.0),
            "air at 20.00 °C cannot hold a vapour pressure of 2400 Pa, only 2339 Pa",
        ),
        (lambda: air.relative_humidity(2400.0, 20.0), "the dew point must not be above the air temperature"),
        (
            lambda: air.air_state(150.0, 101325.0),
            "the dew point must stay below the boiling point, 99.97 °C here",
        ),
        (
            lambda: air.air_state(150.0, 70000.0, 61640.0),
            "the dew point must stay below the boiling point, 86.62 °C here",
        ),
        (lambda: air.air_state(60.0, 0.0), "vapour pressure 0 Pa is outside"),
        (lambda: air.wet_bulb_c(60.0, -1.0, 101325.0), "vapour pressure -1 Pa is outside"),
        (lambda: air.wet_bulb_c(60.0, 2000.0, 0.0), "air pressure 0 Pa is outside 20000 to 120000 Pa"),
        (lambda: air.wet_bulb_c(-39.9, 0.0, 101325.0), "wet bulb below -40 °C"),
        (lambda: air.humidity_ratio_kg_kg(101325.0, 101325.0), "reaches the air pressure 101325 Pa"),
        (lambda: air.vapour_pressure_from_ratio_pa(-0.1, 101325.0), "humidity ratio -0.1 kg/kg is outside"),
        (lambda: air.vapour_pressure_from_relative_humidity_pa(55.0, 60.0), "relative humidity 55"),
        (
            lambda: air.vapour_pressure_from_wet_bulb_pa(20.0, 40.0, 101325.0),
            "the wet bulb is above the dry bulb",
        ),
        (
            lambda: air.vapour_pressure_from_wet_bulb_pa(150.0, 110.0, 101325.0),
            "at or above the boiling point",
        ),
        (
            lambda: air.vapour_pressure_from_wet_bulb_pa(60.0, 5.0, 101325.0),
            "the wet bulb is too low for this dry bulb",
        ),
        (lambda: air.vapour_diffusivity_m2_s(500.0, 101325.0), "air temperature 500 °C is outside"),
        (lambda: air.moist_air_enthalpy_j_kg(20.0, 2400.0, 101325.0), "cannot hold"),
        (lambda: air.dry_air_density_kg_m3(120.0, 101325.0, 101325.0), "reaches the air pressure"),
    ],
)
def test_impossible_air_is_refused_with_its_reason(call: object, message: str) -> None:
    assert callable(call)
    with pytest.raises(ValueError, match=r".") as refused:
        call()
    assert message in str(refused.value)
