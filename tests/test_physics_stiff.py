"""The engine against SciPy's stiff solver on the same equations, without splitting or step limiters."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from benchmarks.stiff_reference import solve_stiff

from slowfolio.physics.cook import simulate
from slowfolio.physics.ensemble import nominal_members
from slowfolio.physics.joint import build_joint
from slowfolio.physics.schedule import Schedule, Stage, until_time
from slowfolio.physics.validation import HOUR, OFFSET, PACKER
from slowfolio.physics.wraps import foil_tight, no_wrap


@pytest.mark.slow
@pytest.mark.parametrize("wrap", [no_wrap(), foil_tight()], ids=lambda w: w.name)
def test_core_and_weight_agree_with_the_stiff_solver(wrap: object) -> None:
    """SciPy BDF, relative tolerance 1e-3, a coarser joint so that it takes seconds: 3 h at 121 °C."""
    pit = replace(OFFSET, swing_k=0.0)
    stage = Stage("pit", 121.0, until_time(3 * HOUR), environment=pit, wrap=wrap)  # type: ignore[arg-type]
    schedule = Schedule((stage,))
    joint = build_joint(PACKER, 6.2, columns=3, lanes=2, nodes=12)
    exact = solve_stiff(joint, schedule, until_s=3 * HOUR)
    ours = simulate(joint, schedule, nominal_members(1), step_s=15.0)
    line = ours.timeline
    core = np.interp(exact.time_s / 3600.0, line.time_h, line.core_c[:, 0])
    mass = np.interp(exact.time_s / 3600.0, line.time_h, line.mass_kg[:, 0])
    assert core == pytest.approx(exact.core_c, abs=0.7)
    assert mass == pytest.approx(exact.mass_kg, rel=0.004)
