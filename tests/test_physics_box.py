"""The unheated box against the exponential of one node, SciPy, the exact slab and a heat balance."""

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.linalg import expm

from slowfolio.physics.box import (
    LAYERS,
    LONGEST_S,
    BoxedMeat,
    HotWater,
    InsulatedBox,
    ThermalNetwork,
    box_network,
    boxed_hold,
    time_to_floor_s,
)
from slowfolio.physics.errors import PhysicsInputError

CHEST = InsulatedBox(volume_m3=0.05, heat_loss_w_k=0.6)  # figures of the starter book's card
PACKER = BoxedMeat(mass_kg=5.0, thickness_m=0.075, core_c=88.0, skin_c=80.0)
START = np.array([88.0, 87.0, 85.0, 83.0, 81.0, 77.0, 50.0, 50.0])


def test_one_node_cools_by_newton_s_exponential() -> None:
    """T = T_room + (T0 - T_room) exp(-UA t/C), any textbook of heat transfer."""
    capacity, loss = 16_500.0, 0.6
    network = ThermalNetwork(np.array([capacity]), np.zeros((1, 1)), np.array([loss]))
    times = np.array([0.0, 3600.0, 36_000.0])
    found = network.temperatures_c(np.array([85.0]), room_c=20.0, time_s=times)[:, 0]
    np.testing.assert_allclose(found, 20.0 + 65.0 * np.exp(-loss * times / capacity), rtol=1e-12)
    until, falls = time_to_floor_s(network, np.array([85.0]), room_c=20.0, floor_c=60.0, nodes=slice(0, 1))
    assert bool(falls)
    assert until == pytest.approx(capacity / loss * np.log(65.0 / 40.0), rel=1e-12)


def test_the_box_cools_as_scipy_integrates_it() -> None:
    network = box_network(CHEST, PACKER, HotWater(4.0))
    total = network.links_w_k.sum(axis=-1) + network.to_room_w_k

    def slope(_: float, temps: np.ndarray) -> np.ndarray:
        heat = network.links_w_k @ temps - total * temps + network.to_room_w_k * 20.0
        return heat / network.capacity_j_k

    times = np.linspace(0.0, 36_000.0, 21)
    theirs = solve_ivp(slope, (0.0, 36_000.0), START, t_eval=times, method="BDF", rtol=1e-9, atol=1e-9)
    ours = network.temperatures_c(START, room_c=20.0, time_s=times)
    np.testing.assert_allclose(ours, theirs.y.T, atol=1e-4)


def test_the_box_cools_as_scipy_s_matrix_exponential() -> None:
    network = box_network(CHEST, PACKER, HotWater(4.0))
    total = network.links_w_k.sum(axis=-1) + network.to_room_w_k
    matrix = (network.links_w_k - np.diag(total)) / network.capacity_j_k[:, None]
    theirs = 20.0 + expm(matrix * 7200.0) @ (START - 20.0)
    ours = network.temperatures_c(START, room_c=20.0, time_s=np.array([7200.0]))[0]
    np.testing.assert_allclose(ours, theirs, atol=1e-9)


def test_layers_of_the_meat_cool_as_the_exact_slab() -> None:
    """Slab with convection, one-term series (Incropera table 5.1 at Bi = 0.5: z = 0.6533, C = 1.0701).

    Half thickness 37.5 mm, k 0.46, so h = 6.133 W/(m²·K); the air is held at the room by a large conductance.
    """
    meat = BoxedMeat(5.0, 0.075, core_c=80.0, skin_c=80.0, skin_w_m2_k=0.5 * 0.46 / 0.0375)
    network = box_network(CHEST, meat, HotWater(0.0))
    held = ThermalNetwork(
        network.capacity_j_k, network.links_w_k, network.to_room_w_k + np.eye(LAYERS + 3)[-1] * 1e5
    )
    start = np.full(LAYERS + 3, 80.0)
    diffusivity = 0.46 / (1035.0 * 3230.0)
    times = np.array([1.0, 2.0, 4.0]) * 3600.0
    ours = held.temperatures_c(start, room_c=20.0, time_s=times)
    fourier = diffusivity * times / 0.0375**2
    depth = (np.arange(LAYERS) + 0.5) / LAYERS
    exact = 1.0701 * np.exp(-(0.6533**2) * fourier)[:, None] * np.cos(0.6533 * depth)
    np.testing.assert_allclose((ours[:, :LAYERS] - 20.0) / 60.0, exact, rtol=0.02)


def test_heat_lost_to_the_room_equals_heat_given_up() -> None:
    network = box_network(CHEST, PACKER, HotWater(4.0))
    times = np.linspace(0.0, 36_000.0, 20_001)
    course = network.temperatures_c(START, room_c=20.0, time_s=times)
    lost = np.trapezoid(((course - 20.0) * network.to_room_w_k).sum(axis=-1), times)
    given = ((course[0] - course[-1]) * network.capacity_j_k).sum()
    assert lost == pytest.approx(given, rel=1e-5)


def test_the_whole_box_loses_what_its_card_says() -> None:
    """With everything as warm, the first loss is heat loss and air exchange times the difference."""
    network = box_network(CHEST, PACKER, HotWater(4.0))
    start = np.full(LAYERS + 3, 70.0)
    start[LAYERS + 1] = 70.0 - 50.0 * 0.6 / (7.7 * 6.3 * 0.05 ** (2 / 3))  # lining at its steady offset
    heat = float(((start - 20.0) * network.to_room_w_k).sum())
    assert heat == pytest.approx(50.0 * (0.6 + 0.5 / 3600.0 * 0.05 * 1050.0), rel=1e-3)


def test_hot_bottles_add_hours_and_each_litre_adds_less_than_the_last() -> None:
    hold = boxed_hold(CHEST, PACKER, HotWater(np.array([0.0, 2.0, 4.0, 8.0])))
    assert (np.diff(hold.coldest_s) > 0).all()
    assert (hold.per_litre_s > 0).all()
    assert (np.diff(hold.per_litre_s) < 0).all()
    assert hold.per_litre_s[1] == pytest.approx(float(np.diff(hold.coldest_s)[1]) / 2.0, rel=0.05)


def test_a_warmed_box_a_lower_floor_and_a_warmer_room_hold_longer() -> None:
    plain = boxed_hold(CHEST, PACKER, HotWater(4.0)).coldest_s
    assert boxed_hold(CHEST, PACKER, HotWater(4.0), lining_c=60.0).coldest_s > plain
    assert boxed_hold(CHEST, PACKER, HotWater(4.0), floor_c=57.2).coldest_s > plain
    assert boxed_hold(CHEST, PACKER, HotWater(4.0), room_c=35.0).coldest_s > plain


def test_the_skin_reaches_the_floor_before_the_core() -> None:
    hold = boxed_hold(CHEST, PACKER, HotWater(4.0))
    assert hold.coldest_s < hold.core_s
    assert hold.core_c[0] == pytest.approx(88.0, abs=0.2)
    assert np.interp(float(hold.core_s), hold.time_s, hold.core_c) == pytest.approx(60.0, abs=0.02)


def test_a_boxed_packer_holds_for_hours_and_not_for_days() -> None:
    """Common practice, no source: a wrapped packer with hot bottles keeps 4 to 14 h in an ordinary chest."""
    hold = boxed_hold(CHEST, PACKER, HotWater(4.0, temp_c=77.0), floor_c=60.0, lining_c=50.0)
    assert 4.0 < hold.coldest_s / 3600.0 < 14.0


def test_meat_below_the_floor_has_no_hold_and_a_hot_room_has_no_end() -> None:
    cold = boxed_hold(CHEST, BoxedMeat(5.0, 0.075, 58.0, 55.0), HotWater(4.0), floor_c=60.0)
    assert cold.coldest_s == 0.0
    endless = boxed_hold(CHEST, PACKER, HotWater(4.0), floor_c=40.0, room_c=45.0, lining_c=45.0)
    assert not endless.falls
    assert endless.coldest_s == LONGEST_S


def test_boxes_of_an_ensemble_cool_as_one_by_one() -> None:
    losses, cores = np.array([0.4, 0.6, 0.9]), np.array([[75.0], [90.0]])
    together = boxed_hold(
        InsulatedBox(0.05, losses), BoxedMeat(5.0, 0.075, cores, cores - 5.0), HotWater(3.0), floor_c=63.0
    )
    assert together.coldest_s.shape == (2, 3)
    assert together.core_c.shape == (200, 2, 3)
    for i, core in enumerate(cores[:, 0]):
        for j, loss in enumerate(losses):
            alone = boxed_hold(
                InsulatedBox(0.05, loss), BoxedMeat(5.0, 0.075, core, core - 5.0), HotWater(3.0), floor_c=63.0
            )
            assert together.coldest_s[i, j] == pytest.approx(float(alone.coldest_s), rel=1e-9)


@pytest.mark.parametrize(
    ("build", "words"),
    [
        (lambda: InsulatedBox(0.05, 0.0), "heat loss"),
        (lambda: InsulatedBox(0.05, 40.0), "lower heat_loss_w_k"),
        (lambda: BoxedMeat(0.0, 0.07, 80.0, 80.0), "mass of the meat"),
        (lambda: BoxedMeat(5.0, 0.07, float("nan"), 80.0), "core of the meat"),
        (lambda: HotWater(-1.0), "hot water"),
        (lambda: boxed_hold(CHEST, PACKER, HotWater(1.0), floor_c=120.0), "floor"),
        (
            lambda: ThermalNetwork(np.ones(2), np.array([[0.0, 1.0], [2.0, 0.0]]), np.ones(2)),
            "not symmetric",
        ),
    ],
)
def test_impossible_boxes_are_refused_with_what_to_give_instead(build: object, words: str) -> None:
    with pytest.raises(PhysicsInputError, match=words):
        build()  # type: ignore[operator]
