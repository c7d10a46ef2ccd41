"""A holder without heat: its air cools over the hold, and the meat with it."""

from dataclasses import replace
from pathlib import Path

import pytest

from slowfolio.book.reading import read_book
from slowfolio.forecast.inputs import joint_of, schedule_of
from slowfolio.physics.cook import simulate
from slowfolio.physics.ensemble import nominal_members
from slowfolio.physics.errors import PhysicsInputError
from slowfolio.physics.joint import build_joint
from slowfolio.physics.pit import PitModel
from slowfolio.physics.schedule import Schedule, Stage, StageKind, until_time
from slowfolio.physics.validation import PACKER
from slowfolio.physics.wraps import foil_tight

STARTER = Path(__file__).parents[1] / "methods"
STEADY = PitModel(name="box", draught_m_s=0.1, drift_sd_k=0.0, response_s=1.0)


def hold(start_c: float | None) -> Stage:
    return Stage(
        "hold", 60.0, until_time(4 * 3600.0), kind=StageKind.HOLD, environment=STEADY, wrap=foil_tight(),
        ramp_s=4 * 3600.0, ramp_from_c=start_c,
    )  # fmt: skip


def test_the_air_falls_in_a_straight_line_from_where_the_ramp_starts() -> None:
    line = simulate(build_joint(PACKER, 5.0), Schedule((hold(80.0),)), nominal_members(1)).timeline
    for hours, air_c in ((1.0, 75.0), (2.0, 70.0), (3.0, 65.0)):
        place = int(abs(line.time_h - hours).argmin())
        assert line.pit_c[place, 0] == pytest.approx(air_c, abs=0.5)


def test_without_a_start_the_ramp_begins_at_the_stage_before() -> None:
    line = simulate(build_joint(PACKER, 5.0), Schedule((hold(None),)), nominal_members(1)).timeline
    assert line.pit_c[5, 0] == pytest.approx(60.0, abs=0.1)


def test_a_ramp_from_nowhere_is_refused() -> None:
    with pytest.raises(PhysicsInputError, match="ramp from"):
        replace(hold(80.0), ramp_from_c=900.0)


def test_an_unheated_box_cools_over_its_hold_and_a_heated_holder_does_not() -> None:
    """The box's own network gives start and end of its air; see tests/test_physics_box.py for its checks."""
    book = read_book(STARTER).book
    assert book is not None
    boxed, heated = (schedule_of(book.methods[n], book).stages[-1] for n in ("foil-tight", "butcher-paper"))
    assert heated.ramp_from_c is None
    assert boxed.ramp_from_c is not None
    assert 45.0 < boxed.pit_temp_c < boxed.ramp_from_c < 80.0
    assert boxed.ramp_s == boxed.until.duration_s
    heavy = book.methods["foil-tight"]
    assert joint_of(heavy, book).weight_kg > 5.0
