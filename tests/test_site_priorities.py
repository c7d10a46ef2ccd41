"""What can matter in the finder: handling counted by hand, and how sure a finishing time is."""

from dataclasses import replace

import numpy as np
import pytest

import site_fixture
from slowfolio.book.model import Spritz
from slowfolio.enrich.results import MethodResult
from slowfolio.site.priorities import PRIORITIES, counted_handling, sureness

HOUR = 3600.0


def with_openings(every_s: float | None, spritz: Spritz | None) -> tuple[float, float, float]:
    """Handling of the fixture's boat where only the first stage, 4 h give or take half an hour, is opened."""
    first, *rest = site_fixture.BOATED.stages
    stages = (
        replace(first, open_every_s=every_s, spritz=spritz),
        *(replace(stage, open_every_s=None, spritz=None) for stage in rest),
    )
    method = replace(site_fixture.BOATED, stages=stages)
    figure = counted_handling(method, site_fixture.results()["boat"])
    assert figure.low is not None
    assert figure.high is not None
    return figure.value, figure.low, figure.high


def test_handling_counts_beginnings_changes_and_openings() -> None:
    """Smoke, boat, vent and hold are begun (4); the wrap changes once, from none to the boat (1)."""
    begun = 5
    assert with_openings(None, None) == (begun, begun, begun)
    # Every hour within 4 h: at 1, 2 and 3 h; the fourth is the end of the stage.
    assert with_openings(HOUR, None)[0] == begun + 3


def test_spraying_is_done_at_an_opening() -> None:
    """Every 30 min from 2 h on within 4 h: at 2, 2½, 3 and 3½ h, more often than three openings."""
    spritz = Spritz(liquid="water", every_s=HOUR / 2, after_s=2 * HOUR, amount_m3=30e-6)
    bare = with_openings(None, None)[0]
    assert with_openings(HOUR, spritz)[0] == bare + 4
    assert with_openings(HOUR / 4, spritz)[0] == bare + 15


def test_openings_spread_with_the_length_of_the_stage() -> None:
    value, low, high = with_openings(HOUR / 4, None)
    assert low < value < high


def test_the_blur_of_a_range_is_that_of_repeated_samples() -> None:
    """Held against numpy: ranges of 128 normal finishes drawn 20 000 times."""
    drawn = np.random.default_rng(1).normal(0.0, HOUR, (20_000, 128))
    ends = np.quantile(drawn, (0.1, 0.9), axis=1)
    low, high = np.quantile(ends[1] - ends[0], (0.1, 0.9))
    base: MethodResult = site_fixture.results()["boat"]
    width = float(np.mean(ends[1] - ends[0]))
    ready = replace(base.ready, low=base.ready.value - width / 2, high=base.ready.value + width / 2)
    figure = sureness(site_fixture.BOATED, replace(base, ready=ready, members=128))
    assert figure is not None
    assert figure.low == pytest.approx(low, rel=0.03)
    assert figure.high == pytest.approx(high, rel=0.03)


def test_a_time_without_a_spread_is_neither_sure_nor_unsure() -> None:
    base = site_fixture.results()["boat"]
    bare = replace(base, ready=replace(base.ready, low=None, high=None))
    assert sureness(site_fixture.BOATED, bare) is None


def test_every_priority_has_its_own_words() -> None:
    assert len({priority.quality.key for priority in PRIORITIES}) == len(PRIORITIES) == 9
    assert len({priority.label for priority in PRIORITIES}) == 9
