"""Sampling, spread and ranking of the uncertain inputs."""

from __future__ import annotations

from statistics import NormalDist

import numpy as np
import pytest

from slowfolio.physics.cook import simulate
from slowfolio.physics.ensemble import (
    INPUT_SPREADS,
    Members,
    nominal_members,
    rank_inputs,
    sample_members,
    sequence_points,
)
from slowfolio.physics.errors import PhysicsInputError
from slowfolio.physics.joint import build_joint
from slowfolio.physics.results import spread_of
from slowfolio.physics.schedule import Schedule
from slowfolio.physics.validation import PACKER, trade_stages
from slowfolio.physics.wraps import foil_boat


def test_the_same_seed_gives_the_same_members_and_another_seed_others() -> None:
    first, again, other = sample_members(64, 5), sample_members(64, 5), sample_members(64, 6)
    assert np.array_equal(first.thickness, again.thickness)
    assert not np.array_equal(first.thickness, other.thickness)


def test_the_sequence_covers_the_unit_interval_more_evenly_than_chance() -> None:
    """Discrepancy of a rank-1 Kronecker sequence: mean within 1/n of 0.5; random points stray by
    0.29/sqrt(n).
    """
    points = sequence_points(256, 10, seed=1)
    assert np.abs(points.mean(axis=0) - 0.5).max() < 0.02
    for column in points.T:
        assert np.abs(np.sort(column) - (np.arange(256) + 0.5) / 256).max() < 0.05


@pytest.mark.parametrize("name", list(INPUT_SPREADS))
def test_sampled_inputs_follow_their_stated_distributions(name: str) -> None:
    """Normal quantiles (Python's NormalDist), tails cut at 2.5 standard deviations."""
    item = INPUT_SPREADS[name]
    values = getattr(sample_members(1024, 2), name)
    deviate = NormalDist().inv_cdf(0.9)
    expected = (
        item.nominal * np.exp(item.spread * deviate)
        if item.logarithmic
        else item.nominal + item.spread * deviate
    )
    scale = item.spread * (item.nominal if item.logarithmic else 1.0)
    assert np.percentile(values, 90) == pytest.approx(expected, abs=0.12 * scale)
    assert np.percentile(values, 50) == pytest.approx(item.nominal, abs=0.08 * scale)


def test_one_member_is_the_nominal_one() -> None:
    assert sample_members(1, 9).reaction[0] == nominal_members(1).reaction[0]


def test_ranking_finds_what_a_known_formula_depends_on() -> None:
    """Sobol-type test function with known shares: y = 3 a + b, so variance 9 : 1."""
    members = sample_members(512, 4)
    a = (members.thickness - members.thickness.mean()) / members.thickness.std()
    b = (members.probe - members.probe.mean()) / members.probe.std()
    ranking = rank_inputs(members, 3.0 * a + b)
    assert [r.name for r in ranking[:2]] == ["thickness", "probe"]
    assert ranking[0].share == pytest.approx(0.9, abs=0.04)
    assert sum(r.share for r in ranking) == pytest.approx(1.0)
    assert ranking[0].effect == pytest.approx(3.0 * 2.56, rel=0.1)


def test_ranking_refuses_too_few_members_and_missing_outcomes() -> None:
    with pytest.raises(PhysicsInputError, match="24 members"):
        rank_inputs(sample_members(8, 0), np.zeros(8))
    with pytest.raises(PhysicsInputError, match="finite outcome"):
        rank_inputs(sample_members(32, 0), np.full(32, np.nan))


def test_an_outcome_that_does_not_vary_ranks_nothing() -> None:
    assert all(r.share == 0.0 for r in rank_inputs(sample_members(32, 0), np.ones(32)))


def test_members_need_one_finite_value_each() -> None:
    good = {name: np.ones(3) for name in INPUT_SPREADS}
    with pytest.raises(PhysicsInputError, match="probe"):
        Members(**{**good, "probe": np.ones(2)})
    with pytest.raises(PhysicsInputError, match="finite"):
        Members(**{**good, "fat": np.array([1.0, np.nan, 1.0])})


def test_finish_of_a_packer_spreads_by_hours_and_thickness_or_pit_leads_the_ranking() -> None:
    """Common practice: the same recipe finishes hours apart; what moves it is piece and pit."""
    members = sample_members(48, 1)
    result = simulate(build_joint(PACKER, 6.2), Schedule(trade_stages(foil_boat())), members, step_s=90.0)
    spread = spread_of(result.finish_h)
    assert 0.8 < spread.p90 - spread.p10 < 6.0
    ranking = rank_inputs(members, result.finish_h)
    assert {r.name for r in ranking[:4]} & {"thickness", "pit_drift", "convection"}
    thickness = next(r for r in ranking if r.name == "thickness")
    assert thickness.effect > 0.2
    assert result.median_member == int(np.argsort(result.finish_h)[23])
