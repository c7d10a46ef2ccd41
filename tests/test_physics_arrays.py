"""The root finder and the guards of ensembles, against SciPy and closed forms."""

import numpy as np
import pytest
from scipy.optimize import brentq

from slowfolio.physics.arrays import bracketed_root, require_all_between
from slowfolio.physics.errors import PhysicsInputError


def test_roots_equal_closed_forms_to_rounding() -> None:
    targets = np.array([2.0, 3.0, 1e6, 0.5])
    found = bracketed_root(lambda x: np.exp(x) - targets, -1.0, 20.0)
    np.testing.assert_allclose(found, np.log(targets), rtol=1e-13)


@pytest.mark.parametrize("power", [1, 3, 9])
def test_flat_and_kinked_functions_are_solved_to_their_known_root(power: int) -> None:
    """(x - r)^n with a kink at r, where quadratic steps mislead; the root is r by construction."""
    roots = np.array([0.013, 0.5, 0.98])

    def kinked(x: np.ndarray) -> np.ndarray:
        return (x - roots) ** power + 50.0 * np.maximum(x - roots, 0.0)

    found = bracketed_root(kinked, 0.0, 1.0)
    assert np.abs(kinked(found)).max() < 1e-12
    np.testing.assert_allclose(found, roots, atol={1: 1e-12, 3: 1e-4, 9: 0.06}[power])


def test_roots_equal_those_of_scipy() -> None:
    """Brent's method of SciPy on Kepler's equation, M = E - e sin E."""
    means, eccentricity = np.array([0.1, 1.0, 3.0]), 0.9
    found = bracketed_root(lambda x: x - eccentricity * np.sin(x) - means, 0.0, 4.0)
    for mean, ours in zip(means, found, strict=True):
        theirs = brentq(lambda x, m=mean: x - eccentricity * np.sin(x) - m, 0.0, 4.0, xtol=1e-14)
        assert ours == pytest.approx(theirs, abs=1e-12)


def test_without_a_change_of_sign_the_nearer_end_is_returned() -> None:
    found = bracketed_root(lambda x: 1.0 - x - np.array([0.25, 1.5, -3.0]), 0.0, 1.0)
    np.testing.assert_allclose(found, [0.75, 0.0, 1.0])


def test_each_member_keeps_its_own_bracket() -> None:
    low, high = np.array([0.0, 2.0]), np.array([[1.0], [9.0]])
    found = bracketed_root(lambda x: x - 3.0, low, high)
    assert found.shape == (2, 2)
    assert found[1, 0] == pytest.approx(3.0)


def test_guards_name_the_first_member_out_of_range() -> None:
    with pytest.raises(PhysicsInputError, match="depth is 7 m: give a value from 0 to 5 m"):
        require_all_between("depth", np.array([1.0, 7.0]), low=0.0, high=5.0, unit="m")
    with pytest.raises(PhysicsInputError, match="depth is nan"):
        require_all_between("depth", float("nan"), low=0.0, high=5.0, unit="m")
    with pytest.raises(PhysicsInputError, match="empty"):
        require_all_between("depth", np.array([]), low=0.0, high=5.0, unit="m")
