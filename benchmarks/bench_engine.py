"""Speed and memory of the cook engine: one member, 256 members, 1,024 members, and SciPy's stiff solver.

`python -m benchmarks engine` prints the rows. Times are processor times, so that a busy machine moves them
little.
"""

from __future__ import annotations

import resource
import time
from collections.abc import Callable, Iterator
from dataclasses import replace

from benchmarks.report import Row
from benchmarks.stiff_reference import solve_stiff
from slowfolio.physics.cook import simulate
from slowfolio.physics.ensemble import sample_members
from slowfolio.physics.joint import build_joint
from slowfolio.physics.pit import PitModel
from slowfolio.physics.schedule import Schedule, Stage, StageKind, until_core_falls, until_time
from slowfolio.physics.validation import HOUR, OFFSET, PACKER, trade_stages
from slowfolio.physics.wraps import foil_boat

STIFF_HOURS = 3.0


def rows() -> Iterator[Row]:
    """A 24 h cook and hold by members; the same three hours by the stiff solver; peak memory."""
    joint, day = build_joint(PACKER, 6.2), whole_day()
    one = processor_s(lambda: simulate(joint, day, sample_members(1)), repeats=3)
    many = processor_s(lambda: simulate(joint, day, sample_members(256, 1)), repeats=2)
    yield Row("24 h cook and hold, one member", one, "s")
    yield Row("24 h cook and hold, 256 members", many, "s")
    yield Row("24 h cook and hold, 256 members / one member", many / one, "x", 8.0)
    stage = Stage("pit", 121.0, until_time(STIFF_HOURS * HOUR), environment=replace(OFFSET, swing_k=0.0))
    short = Schedule((stage,))
    batch = processor_s(lambda: simulate(joint, short, sample_members(256, 1)), repeats=2) / 256.0
    stiff = processor_s(lambda: solve_stiff(joint, short, until_s=STIFF_HOURS * HOUR))
    yield Row(f"{STIFF_HOURS:g} h at the pit, SciPy's stiff solver, one cook", stiff, "s")
    yield Row(f"{STIFF_HOURS:g} h at the pit, engine, each cook of 256", batch, "s")
    yield Row("engine's cook of 256 / stiff solver's cook, same equations", batch / stiff, "x", 0.01)
    simulate(joint, day, sample_members(1024, 1))
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
    yield Row("peak memory with 1,024 members", peak, "MB", 500.0)


def whole_day() -> Schedule:
    """Return a cook of about ten hours, vented, then held: 24 h in all."""
    board = PitModel(name="board", draught_m_s=0.1, vapour_pressure_pa=1200.0)
    holder = PitModel(name="holder", draught_m_s=0.3, vapour_pressure_pa=12_800.0, humidity_spread=0.05)
    wrap = foil_boat()
    vent = Stage("vent", 21.0, until_core_falls(75.0), kind=StageKind.VENT, environment=board, wrap=wrap)
    hold = Stage("hold", 65.6, until_time(12 * HOUR), kind=StageKind.HOLD, environment=holder, wrap=wrap)
    return Schedule((*trade_stages(wrap), vent, hold))


def processor_s(work: Callable[[], object], *, repeats: int = 1) -> float:
    """Return the least processor time of ``repeats`` runs."""
    best = float("inf")
    for _ in range(repeats):
        begin = time.process_time()
        work()
        best = min(best, time.process_time() - begin)
    return best
