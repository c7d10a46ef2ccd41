"""The progress bar: drawn on a terminal after a moment, and nowhere else."""

import io

from slowfolio.cli.waiting import progress_bar
from slowfolio.physics.cook import simulate
from slowfolio.physics.ensemble import sample_members
from slowfolio.physics.joint import build_joint
from slowfolio.physics.schedule import Schedule, Stage, until_time
from slowfolio.physics.validation import PACKER


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def drawn(stream: io.StringIO, patience_s: float) -> str:
    with progress_bar(stream, patience_s=patience_s) as tell:
        tell(0.5)
    return stream.getvalue()


def test_a_terminal_sees_the_share_done_and_is_left_clean() -> None:
    text = drawn(Terminal(), 0.0)
    assert "50%" in text
    assert text.endswith(" \r")


def test_quick_work_draws_nothing() -> None:
    assert drawn(Terminal(), 60.0) == ""


def test_a_pipe_sees_nothing() -> None:
    assert drawn(io.StringIO(), 0.0) == ""


def test_the_engine_tells_a_rising_share() -> None:
    heard: list[float] = []
    stages = tuple(Stage(name, 121.0, until_time(3 * 3600.0)) for name in ("first", "second", "third"))
    simulate(build_joint(PACKER, 5.0), Schedule(stages), sample_members(4, 1), progress=heard.append)
    assert len(heard) > 5
    assert heard == sorted(heard)
    assert 0.0 <= heard[0] < 0.5 < heard[-1] <= 1.0
