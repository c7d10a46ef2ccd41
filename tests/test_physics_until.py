"""What ends a stage beyond a time or a temperature: at least so long, and probing only from a core on."""

from dataclasses import replace

import numpy as np
import pytest

from slowfolio.physics.cook import simulate
from slowfolio.physics.ensemble import nominal_members, sample_members
from slowfolio.physics.errors import PhysicsInputError
from slowfolio.physics.joint import build_joint
from slowfolio.physics.results import CookResult
from slowfolio.physics.schedule import Schedule, Stage, Until, until_core, until_tender, until_time
from slowfolio.physics.validation import OFFSET, PACKER
from slowfolio.physics.wraps import foil_tight

HOUR = 3600.0
PIT = replace(OFFSET, swing_k=0.0)


def cook(until: Until, members: int = 1) -> CookResult:
    stages = (
        Stage("Smoke", 121.0, until_time(4 * HOUR), environment=PIT),
        Stage("Foil", 140.0, until, environment=PIT, wrap=foil_tight()),
    )
    drawn = nominal_members(1) if members == 1 else sample_members(members, 1)
    return simulate(build_joint(PACKER, 5.0), Schedule(stages), drawn)


def length_h(result: CookResult) -> float:
    return float(np.median(result.ends.time_h[1] - result.ends.time_h[0]))


def test_a_stage_goes_on_at_least_as_long_as_asked() -> None:
    free, kept = cook(until_core(75.0)), cook(until_core(75.0, at_least_s=5 * HOUR))
    assert length_h(free) < 5.0
    assert length_h(kept) == pytest.approx(5.0, abs=0.2)
    assert bool((kept.ends.reached[1] > 0.5).all())


def test_a_short_least_time_changes_nothing() -> None:
    assert length_h(cook(until_core(75.0, at_least_s=60.0))) == length_h(cook(until_core(75.0)))


def test_probing_from_a_hotter_core_ends_the_stage_hotter() -> None:
    free, waited = cook(until_tender(), members=16), cook(until_tender(from_c=98.0), members=16)
    assert float(free.ends.core_c[1].min()) < 97.5
    assert float(waited.ends.core_c[1].min()) > 97.5
    assert (waited.ends.time_h[1] >= free.ends.time_h[1] - 1e-6).all()
    assert float(np.median(waited.ends.time_h[1])) >= float(np.median(free.ends.time_h[1]))


@pytest.mark.parametrize("least_s", [-1.0, 30 * HOUR, float("nan")])
def test_an_impossible_least_time_is_refused(least_s: float) -> None:
    with pytest.raises(PhysicsInputError, match="shortest stage time"):
        until_core(75.0, at_least_s=least_s)


def test_probing_from_an_impossible_core_is_refused() -> None:
    with pytest.raises(PhysicsInputError, match="probing from"):
        until_tender(from_c=150.0)
