"""Remarks of the engine in words: in the reader's units, with how many cooks they concern."""

from dataclasses import replace

import pytest

from slowfolio.enrich.remarks import remark_text
from slowfolio.enrich.results import Remark
from slowfolio.units import System

STALLED = Remark(
    code="held-back-by-evaporation",
    stage="Render",
    share=0.12,
    core_c=74.0,
    target_c=80.0,
    at_most_s=8 * 3600.0,
    pit_c=121.0,
    boiling_c=99.9,
    falling=False,
)


def test_a_remark_speaks_the_readers_units() -> None:
    us, metric = (remark_text(STALLED, system) for system in (System.US, System.METRIC))
    assert "165 °F" in us
    assert "°C" not in us
    assert "74 °C in 8 h instead of 80 °C" in metric
    assert "12 of 100 simulated cooks" in us


@pytest.mark.parametrize(
    ("remark", "words"),
    [
        (replace(STALLED, share=1.0), "nearly every simulated cook"),
        (replace(STALLED, falling=True), "rest it cooler or longer"),
        (replace(STALLED, target_c=None), "not probe tender after 8 h"),
        (replace(STALLED, core_c=110.0), "set the pit hotter"),
        (replace(STALLED, code="target-above-boiling-point", boiling_c=91.7), "water boils at 92 °C"),
        (replace(STALLED, code="target-above-boiling-point", share=0.0), "only a dry, bare piece"),
    ],
)
def test_each_remark_says_what_would_help(remark: Remark, words: str) -> None:
    assert words in remark_text(remark, System.METRIC)
