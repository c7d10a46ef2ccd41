"""What can matter to whoever picks a method: the qualities of the comparison, a sure finish, easy handling.

Defines handling and sureness as figures with a spread, so that the finder says who leads only where the
spread separates. `finder` writes them into the page; `finder-order.js` weighs them.
"""

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from math import floor, sqrt

from slowfolio.book.model import Method, Stage
from slowfolio.enrich.results import MethodResult
from slowfolio.provenance import Figure, Provenance
from slowfolio.site.qualities import QUALITIES, Better, Quality
from slowfolio.site.shown import COUNT

P90_DEVIATE = 1.2816
"""The 90th percentile of the standard normal distribution, in standard deviations (READ in any table)."""

P90_DENSITY = 0.1755
"""The density of the standard normal distribution at that percentile (COMPUTED from its formula)."""

WEIGHTS = (("", "Not so much"), ("1", "Matters"), ("3", "Matters most"))
"""What can be said of a priority, and what it then counts (CALIBRATED: most counts as much as three)."""

SHOWN_FIRST = ("bark", "rendering", "juiciness", "smoke", "tenderness", "yield", "time")

HANDLING_COUNTS = (
    "Handling counts what somebody has to do: every stage, rest and hold begun, every change of wrap, every "
    "move to another pit, and every time the pit is opened or the piece sprayed while it cooks."
)


@dataclass(frozen=True, slots=True)
class Priority:
    """One thing that can matter: its quality and the words of its control."""

    label: str
    quality: Quality


def counted_handling(method: Method, result: MethodResult) -> Figure:
    """How often somebody has to do something (a count): see HANDLING_COUNTS.

    Openings follow from the computed length of each stage, hence the spread. Spraying is done at an opening,
    so that of the two schedules of a stage the denser one counts.
    """
    stages = len(method.stages)
    begun = stages + (method.vent is not None) + (method.hold is not None)
    begun += _wrap_changes(method) + _pit_moves(method)
    durations = [stage.duration for stage in result.stages[:stages]]
    openings = [
        [_openings(stage, end) for end in (took.low, took.value, took.high) if end is not None]
        for stage, took in zip(method.stages, durations, strict=True)
    ]
    return Figure(
        begun + sum(counts[len(counts) // 2] for counts in openings),
        COUNT,
        Provenance.COMPUTED,
        begun + sum(counts[0] for counts in openings),
        begun + sum(counts[-1] for counts in openings),
        result.ready.source,
    )


def _wrap_changes(method: Method) -> int:
    wraps = [stage.wrap for stage in method.stages]
    wraps += [part.wrap for part in (method.vent, method.hold) if part is not None]
    return sum(before != after for before, after in pairwise(wraps))


def _pit_moves(method: Method) -> int:
    pits = [stage.pit or method.pit for stage in method.stages]
    return sum(before != after for before, after in pairwise(pits))


def _openings(stage: Stage, duration_s: float) -> int:
    """Times the pit is opened in a stage of this length; the end of the stage is not one of them."""
    opened = _times(stage.open_every_s, duration_s)
    if stage.spritz is None or duration_s <= stage.spritz.after_s:
        return opened
    return max(opened, 1 + _times(stage.spritz.every_s, duration_s - stage.spritz.after_s))


def _times(every_s: float | None, within_s: float) -> int:
    if every_s is None or within_s <= 0.0:
        return 0
    return max(floor((within_s - 1.0) / every_s), 0)


def sureness(_method: Method, result: MethodResult) -> Figure | None:
    """The width of the P10-P90 range of the time it is ready (s): the narrower, the surer.

    Its own spread is what a finite number of simulated cooks leaves open: the standard deviation of the
    range between two quantiles by the asymptotic variance of sample quantiles, taken as normal (Mosteller
    1946, "On some useful inefficient statistics", Annals of Mathematical Statistics 17; MEMORY):
    var(width) = 2 (p q - p^2) sigma^2 / (n f^2), with p = 0.1, q = 0.9, f the density at p.
    """
    ready = result.ready
    if ready.low is None or ready.high is None:
        return None
    width_s = ready.high - ready.low
    sigma_s = width_s / (2 * P90_DEVIATE)
    deviation_s = sqrt(2 * (0.1 * 0.9 - 0.1**2) / result.members) * sigma_s / P90_DENSITY
    blur_s = P90_DEVIATE * deviation_s
    return Figure(
        width_s, "duration", Provenance.COMPUTED, max(width_s - blur_s, 0.0), width_s + blur_s, ready.source
    )


def _lower(
    key: str, name: str, most: str, figure: Callable[[Method, MethodResult], Figure | None]
) -> Quality:
    return Quality(key, name, most, most, Better.LOWER, figure)


_LABELS = {"time": "Short time"}
_BY_KEY = {quality.key: quality for quality in QUALITIES}

PRIORITIES = (
    *(Priority(_LABELS.get(key, _BY_KEY[key].name), _BY_KEY[key]) for key in SHOWN_FIRST),
    Priority("Sure time", _lower("sure", "Finish spreads over", "Surest time", sureness)),
    Priority("Easy handling", _lower("handling", "Handling", "Easiest handling", counted_handling)),
)
"""All of them, in the order of their controls."""
