"""Thermal properties against CoolProp, computed tables, and measured specific heats."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI

from slowfolio.physics.errors import PhysicsInputError
from slowfolio.physics.meat import (
    CONDUCTIVITY_W_M_K,
    DENSITY_KG_M3,
    SPECIFIC_HEAT_J_KG_K,
    Component,
    Composition,
    FatKind,
    conductivity_parallel_w_m_k,
    conductivity_series_w_m_k,
    density_kg_m3,
    fat_enthalpy_j_kg,
    quadratic,
    solid_fat_fraction,
    specific_heat_j_kg_k,
)

REFERENCE = Path(__file__).parent / "reference"


def rows(name: str) -> list[dict[str, str]]:
    lines = (REFERENCE / name).read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


@pytest.mark.parametrize("row", rows("choi_okos_values.csv"), ids=lambda r: f"{r['component']}-{r['temp_c']}")
def test_component_properties_match_choi_and_okos(row: dict[str, str]) -> None:
    """Choi & Okos (1986), values in the reference file."""
    part, temp = Component(row["component"]), float(row["temp_c"])
    assert quadratic(CONDUCTIVITY_W_M_K[part], temp) == pytest.approx(
        float(row["conductivity_w_m_k"]), rel=1e-4
    )
    assert quadratic(DENSITY_KG_M3[part], temp) == pytest.approx(float(row["density_kg_m3"]), rel=1e-4)
    assert quadratic(SPECIFIC_HEAT_J_KG_K[part], temp) == pytest.approx(
        1e3 * float(row["specific_heat_kj_kg_k"]), rel=1e-4
    )


@pytest.mark.parametrize(
    ("part", "fluid"),
    [(Component.PROTEIN, "FoodProtein"), (Component.FAT, "FoodFat"), (Component.ASH, "FoodAsh")],
)
@pytest.mark.parametrize("temp", [5.0, 40.0, 90.0])
def test_component_properties_match_coolprop(part: Component, fluid: str, temp: float) -> None:
    """CoolProp's incompressible food components, entered from the ASHRAE table."""
    state = ("T", temp + 273.15, "P", 101_325.0, f"INCOMP::{fluid}")
    assert quadratic(CONDUCTIVITY_W_M_K[part], temp) == pytest.approx(PropsSI("L", *state), rel=2e-5)
    assert quadratic(DENSITY_KG_M3[part], temp) == pytest.approx(PropsSI("D", *state), rel=2e-5)
    assert quadratic(SPECIFIC_HEAT_J_KG_K[part], temp) == pytest.approx(PropsSI("C", *state), rel=2e-5)


def test_specific_heat_of_water_is_the_original_and_not_the_misprint() -> None:
    """Steam tables: 4.184 kJ/(kg K) at 20 °C; the ASHRAE print of 4.1289 is 1.3 % low."""
    ours = quadratic(SPECIFIC_HEAT_J_KG_K[Component.WATER], 20.0)
    assert ours == pytest.approx(PropsSI("C", "T", 293.15, "P", 101_325.0, "Water"), rel=0.002)


@pytest.mark.parametrize("row", rows("usda_meat_properties.csv"), ids=lambda r: r["cut"])
def test_mixed_properties_match_the_computed_table(row: dict[str, str]) -> None:
    """Compositions: USDA SR; properties computed independently from the same polynomials."""
    meat = Composition(*(float(row[k]) / 100.0 for k in ("water", "protein", "fat", "ash")))
    assert density_kg_m3(meat) == pytest.approx(float(row["density_20c"]), rel=1e-3)
    assert specific_heat_j_kg_k(meat) == pytest.approx(1e3 * float(row["specific_heat_20c_kj"]), rel=1e-3)
    assert conductivity_parallel_w_m_k(meat) == pytest.approx(float(row["k_parallel_20c"]), abs=6e-4)
    assert conductivity_series_w_m_k(meat) == pytest.approx(float(row["k_series_20c"]), abs=6e-4)


@pytest.mark.parametrize(
    ("water", "protein", "fat", "temp", "measured"),
    [(0.745, 0.215, 0.03, 5.0, 3.60), (0.72, 0.21, 0.06, 50.0, 3.43), (0.51, 0.155, 0.33, 50.0, 2.89)],
    ids=["lean 74.5 % water", "lean 72 % water", "fatty 51 % water"],
)
def test_specific_heat_lies_within_nine_per_cent_of_measured_beef(
    water: float, protein: float, fat: float, temp: float, measured: float
) -> None:
    """James & James, Meat Refrigeration, table 13.2 (after Morley 1972); only the water was published."""
    meat = Composition(water, protein, fat, 0.01)
    assert specific_heat_j_kg_k(meat, temp) == pytest.approx(1e3 * measured, rel=0.09)


@pytest.mark.parametrize(
    ("temp", "solid"), [(10, 0.59), (20, 0.39), (30, 0.22), (35, 0.14), (40, 0.07), (45, 0.02), (50, 0.0)]
)
def test_solid_fat_follows_the_tallow_table(temp: float, solid: float) -> None:
    """Fats and Oils Handbook (1998), table 3.13, and recalled beef values."""
    assert float(solid_fat_fraction(temp)) == pytest.approx(solid, abs=0.013)


def test_melting_roughly_doubles_the_specific_heat_of_cool_fat() -> None:
    """James & James, table 13.3: 3.9-5.5 kJ/(kg K) for beef fat at 5-25 °C against 2.0 for liquid fat."""
    apparent = float(fat_enthalpy_j_kg(25.0) - fat_enthalpy_j_kg(5.0)) / 20.0
    assert 3500.0 < apparent < 5600.0


def test_lard_melts_cooler_than_tallow_and_poultry_fat_cooler_still() -> None:
    """Handbook melting ranges: lard 28-40 °C, chicken 30-32, beef 40-50, sheep 44-55."""
    order = [
        float(solid_fat_fraction(25.0, k))
        for k in (FatKind.POULTRY, FatKind.PORK, FatKind.BEEF, FatKind.LAMB)
    ]
    assert order == sorted(order)
    assert np.all(np.diff(order) > 0)


@pytest.mark.parametrize("parts", [(1.2, 0.1, 0.1, 0.0), (0.3, 0.1, 0.1, 0.0), (float("nan"), 0.2, 0.1, 0.0)])
def test_impossible_compositions_are_refused_with_words(parts: tuple[float, float, float, float]) -> None:
    with pytest.raises(PhysicsInputError, match=r"give|must"):
        Composition(*parts)
