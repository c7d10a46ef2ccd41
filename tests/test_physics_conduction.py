"""The engine's conduction against exact series, textbook examples and its own order of convergence."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import numpy as np
import pytest
from scipy.special import j0, j1

from physics_cases import brick, conduct, slab
from slowfolio.physics.conduction import solve_tridiagonal

REFERENCE = Path(__file__).parent / "reference" / "conduction_series.csv"
MEAT = {"k": 0.45, "heat_capacity": 1050.0 * 3450.0, "h": 15.0, "start_c": 5.0, "air_c": 107.0}
DRIVING_K = 102.0
STEP_S = 45.0


def series(shape: str, place: str) -> tuple[list[float], list[float]]:
    """Return times (s) and exact temperatures of one body from the reference file."""
    lines = REFERENCE.read_text(encoding="utf-8").splitlines()
    rows = [r for r in csv.DictReader(x for x in lines if not x.startswith("#")) if r["shape"] == shape]
    chosen = [r for r in rows if r["place"] == place]
    return [3600.0 * float(r["hours"]) for r in chosen], [float(r["temp_c"]) for r in chosen]


@pytest.mark.parametrize(("shape", "thickness"), [("slab 50 mm", 0.05), ("slab 90 mm", 0.09)])
def test_slab_centre_and_surface_match_the_exact_series(shape: str, thickness: float) -> None:
    """Exact series, default grid and step: within 0.1 K at the centre and at the surface."""
    joint = slab(thickness)
    times, centre = series(shape, "centre")
    _, surface = series(shape, "surface")
    run = conduct(joint, times_s=times, step_s=STEP_S, **MEAT)
    for (temp, face), exact, exact_face in zip(run, centre, surface, strict=True):
        assert float(joint.in_the_middle(temp, joint.core)) == pytest.approx(exact, abs=0.1)
        assert float(face[0, 0]) == pytest.approx(exact_face, abs=0.1)


def test_brick_centre_matches_the_product_of_series() -> None:
    """Product of three wall series, default columns and lanes: within 2 % of the driving difference."""
    joint = brick(0.35, 0.25, 0.09, columns=5, lanes=2)
    times, centre = series("brick 350x250x90 mm", "centre")
    run = conduct(joint, times_s=times, step_s=STEP_S, **MEAT)
    for (temp, _), exact in zip(run, centre, strict=True):
        assert float(joint.in_the_middle(temp, joint.core)) == pytest.approx(exact, abs=0.02 * DRIVING_K)


def test_finer_lanes_bring_the_brick_within_half_a_per_cent() -> None:
    """The same product of series: the miss of the default grid is its two lanes, not its equations."""
    joint = brick(0.35, 0.25, 0.09, columns=11, lanes=5)
    times, centre = series("brick 350x250x90 mm", "centre")
    run = conduct(joint, times_s=times, step_s=STEP_S, **MEAT)
    for (temp, _), exact in zip(run, centre, strict=True):
        assert float(joint.in_the_middle(temp, joint.core)) == pytest.approx(exact, abs=0.005 * DRIVING_K)


def test_square_bar_of_092_diameters_heats_like_a_cylinder() -> None:
    """Cylinder D 100 mm, L 300 mm, exact product of series; the engine's pieces have square edges."""
    joint = brick(0.3, 0.092, 0.092, columns=5, lanes=4)
    times, centre = series("cylinder 100x300 mm", "centre")
    run = conduct(joint, times_s=times, step_s=STEP_S, **MEAT)
    for (temp, _), exact in zip(run, centre, strict=True):
        assert float(joint.in_the_middle(temp, joint.core)) == pytest.approx(exact, abs=0.02 * DRIVING_K)


@pytest.mark.parametrize(
    ("name", "half_m", "k", "alpha", "h", "start", "air", "seconds", "centre", "surface"),
    [
        ("brass plate, Cengel", 0.02, 110.0, 33.9e-6, 120.0, 20.0, 500.0, 420.0, 277.2, 279.6),
        ("pipe wall, Incropera", 0.04, 63.9, 63.9 / (7832 * 434), 500.0, -20.0, 60.0, 480.0, 43.02, 45.36),
    ],
    ids=lambda v: v if isinstance(v, str) else "",
)
def test_textbook_plane_walls(
    name: str, half_m: float, k: float, alpha: float, h: float, start: float, air: float, seconds: float,
    centre: float, surface: float,
) -> None:  # fmt: skip
    """Çengel, brass plate (book: 282 °C by chart); Incropera, pipe wall (book: 42.9 and 45.2 °C).

    Statements recalled; exact answers from the one-term and full series.
    """
    del name
    joint = slab(2.0 * half_m)
    run = conduct(
        joint, k=k, heat_capacity=k / alpha, h=h, start_c=start, air_c=air, times_s=[seconds], step_s=1.0
    )
    temp, face = run[0]
    assert float(joint.in_the_middle(temp, joint.core)) == pytest.approx(centre, abs=0.3)
    assert float(face[0, 0]) == pytest.approx(surface, abs=0.3)


def test_thick_slab_takes_up_heat_like_a_half_space() -> None:
    """Half-space with convection at 5, 10 and 20 mm after 900 and 3600 s, exact erfc solution (COMPUTED)."""
    joint = slab(0.3, nodes=60)
    run = conduct(joint, times_s=[900.0, 3600.0], step_s=15.0, **MEAT)
    expected = {0: (25.036, 17.185, 8.539), 1: (45.054, 37.445, 25.096)}
    for index, values in expected.items():
        depths = joint.node_depth * 0.3
        for depth, exact in zip((0.005, 0.010, 0.020), values, strict=True):
            ours = float(np.interp(depth, depths, run[index][0][:, 0]))
            assert ours == pytest.approx(exact, abs=0.35)


@pytest.mark.parametrize(
    ("shape", "biot", "root", "coefficient"),
    [
        ("wall", 0.1, 0.3111, 1.0161), ("wall", 1.0, 0.8603, 1.1191), ("wall", 10.0, 1.4289, 1.2620),
        ("cylinder", 0.1, 0.4417, 1.0246), ("cylinder", 1.0, 1.2558, 1.2071),
        ("cylinder", 10.0, 2.1795, 1.5677),
    ],
)  # fmt: skip
def test_reference_eigenvalues_solve_their_equations(
    shape: str, biot: float, root: float, coefficient: float
) -> None:
    """Incropera, table 5.1: the roots behind our reference file solve z tan z = Bi and z J1/J0 = Bi."""
    if shape == "wall":
        assert root * math.tan(root) == pytest.approx(biot, rel=2e-3)
        ours = 4.0 * math.sin(root) / (2.0 * root + math.sin(2.0 * root))
    else:
        assert root * j1(root) / j0(root) == pytest.approx(biot, rel=2e-3)
        ours = 2.0 / root * j1(root) / (j0(root) ** 2 + j1(root) ** 2)
    assert ours == pytest.approx(coefficient, rel=2e-4)


def observed_order(errors: list[float]) -> float:
    """Return the mean order from errors at successive halvings."""
    return float(np.mean(np.log2(np.array(errors[:-1]) / np.array(errors[1:]))))


def test_space_error_falls_with_the_square_of_the_node_size() -> None:
    """Slab 90 mm, centre after 2 h: order about 2 from 12 to 48 nodes, towards the exact series."""
    values = []
    for nodes in (12, 24, 48, 150):
        joint = slab(0.09, nodes=nodes)
        temp, _ = conduct(joint, times_s=[7200.0], step_s=4.0, **MEAT)[0]
        values.append(float(joint.in_the_middle(temp, joint.core)))
    assert values[-1] == pytest.approx(30.635, abs=0.005)
    assert observed_order([abs(v - values[-1]) for v in values[:-1]]) > 1.6


def test_time_error_falls_with_the_step() -> None:
    """Exact series: first order at least, since the theta rule leans to the step's end."""
    joint = slab(0.09, nodes=32)
    values = []
    for step in (360.0, 180.0, 90.0, 45.0):
        temp, _ = conduct(joint, times_s=[14_400.0], step_s=step, **MEAT)[0]
        values.append(float(joint.in_the_middle(temp, joint.core)))
    steps = np.abs(np.diff(values))
    assert 0.8 < observed_order(list(steps)) < 2.2


def test_tridiagonal_solver_agrees_with_dense_algebra() -> None:
    """NumPy's dense solver on random diagonally dominant systems."""
    rng = np.random.default_rng(7)
    link, extra = rng.random((7, 3, 2)), rng.random((8, 3, 2)) + 0.1
    right = rng.normal(size=(8, 3, 2))
    diagonal = extra.copy()
    diagonal[:-1] += link
    diagonal[1:] += link
    ours = solve_tridiagonal(link, diagonal.copy(), right.copy())
    for i in range(3):
        for j in range(2):
            matrix = np.diag(diagonal[:, i, j])
            matrix -= np.diag(link[:, i, j], 1) + np.diag(link[:, i, j], -1)
            assert ours[:, i, j] == pytest.approx(np.linalg.solve(matrix, right[:, i, j]), rel=1e-10)
