"""A verdict: one rule of one authority, whether a computed cook meets it, the figure, and what to do.

Only the data, the reading of an ensemble and the wording live here; the rooms named after the rules make
verdicts and `assess` collects them. No verdict says more than whether a named rule is met.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from slowfolio.safety.history import FloatArray
from slowfolio.safety.lethality import log_reduction_text
from slowfolio.safety.standing import Citation

DEFERENCE = (
    "These figures are computed, not measured, and a rule met here is not a permit. Your local code, your "
    "inspector and your own licensed procedures decide; measure every piece with a checked thermometer."
)
"""What every rendered report ends with."""

GREEN_SHARE, AMBER_SHARE = 0.95, 0.80
"""Share of computed cooks that must meet a rule for green, and for amber instead of red (CALIBRATED)."""

LOW_QUANTILE, MIDDLE_QUANTILE, HIGH_QUANTILE = 0.1, 0.5, 0.9


class Met(StrEnum):
    """Whether the rule is met. Advisory: shown beside the rules, decides nothing by itself."""

    MET = "met"
    NOT_MET = "not met"
    ADVISORY = "advisory"
    NOT_APPLICABLE = "not applicable"


class Level(StrEnum):
    """What a verdict asks of the book: nothing, a stated reason on the card, or a change."""

    GREEN = "green"
    AMBER = "amber"
    RED = "red"


class Topic(StrEnum):
    """Which part of the work a verdict belongs to."""

    COOKING = "cooking"
    COME_UP = "come-up"
    HUMIDITY = "humidity while cooking"
    HOT_HOLD = "hot holding"
    GROWTH = "growth of spore-formers"
    COOLING = "cooling"
    REHEATING = "reheating"


class Unit(StrEnum):
    """What `Verdict.value` and `Verdict.limit` are in."""

    CELSIUS = "°C"
    SECONDS = "s"
    LOG_REDUCTION = "log10 reduction"
    LOG_GROWTH = "log10 growth"


@dataclass(frozen=True, slots=True)
class Verdict:
    """One rule applied to one computed cook.

    `value` is the median member's figure with its 10th and 90th percentile `low` and `high`, None where it is
    never reached. `probability` is the share of members that meet the rule, None where it does not apply.
    """

    topic: Topic
    rule: str
    citation: Citation
    met: Met
    level: Level
    figure: str
    value: float | None
    low: float | None
    high: float | None
    unit: Unit
    limit: float | None
    limit_text: str
    probability: float | None
    members: int
    explanation: str
    what_to_do: str = ""

    @property
    def authority(self) -> str:
        """Who sets the rule."""
        return self.citation.authority

    @property
    def edition(self) -> str:
        """The edition the figure is from."""
        return self.citation.edition


def level_of(share: float) -> Level:
    """Return the level for the share of members, 0 to 1, that meet a rule."""
    if share >= GREEN_SHARE:
        return Level.GREEN
    return Level.AMBER if share >= AMBER_SHARE else Level.RED


def advised(level: Level) -> tuple[Met, Level]:
    """Return what a figure that is no rule of the authority's can say at most: advice, amber."""
    return Met.ADVISORY, Level.GREEN if level is Level.GREEN else Level.AMBER


def share_of(meets: NDArray[np.bool_]) -> float:
    """Return the share of members, shape (M,), for which something is true."""
    return float(np.mean(meets))


def spread(values: FloatArray) -> tuple[float | None, float | None, float | None]:
    """Return the 10th, 50th and 90th percentile of `values`, shape (M,); None in place of infinity.

    Percentiles are members' own values, so that a member that never gets there does not blur the others.
    """
    quantiles = [LOW_QUANTILE, MIDDLE_QUANTILE, HIGH_QUANTILE]
    found = np.quantile(values, quantiles, method="inverted_cdf")
    low, middle, high = (float(value) if np.isfinite(value) else None for value in found)
    return low, middle, high


def temperature_text(temp_c: float) -> str:
    """Return a temperature in both scales, rounded down to a tenth: rounding must not meet a limit."""
    return f"{_down(temp_c):.1f} °C ({_down(temp_c * 1.8 + 32.0):.1f} °F)"


def limit_temperature_text(temp_c: float) -> str:
    """Return a limit as rules print it: in °C to a tenth where it has one, in whole °F."""
    return f"{round(temp_c, 1):g} °C ({temp_c * 1.8 + 32.0:.0f} °F)"


def duration_text(seconds: float) -> str:
    """Return a duration in hours and minutes, rounded up, or in seconds below two minutes."""
    if seconds < 120:
        return f"{max(int(np.ceil(seconds - 1e-6)), 0)} s"
    minutes = int(np.ceil(seconds / 60 - 1e-6))
    hours, rest = divmod(minutes, 60)
    if hours == 0:
        return f"{rest} min"
    return f"{hours} h {rest} min" if rest else f"{hours} h"


def value_text(value: float | None, unit: Unit) -> str:
    """Return a value of a verdict in words."""
    if value is None:
        return "never"
    match unit:
        case Unit.CELSIUS:
            return temperature_text(value)
        case Unit.SECONDS:
            return duration_text(value)
        case Unit.LOG_REDUCTION:
            return log_reduction_text(value)
        case Unit.LOG_GROWTH:
            return f"{value:.1f} log"


def figure_text(name: str, values: FloatArray, unit: Unit) -> str:
    """Return "name: median (low to high)", the range left out where it reads the same as the median."""
    low, middle, high = (value_text(value, unit) for value in spread(values))
    if low == middle == high:
        return f"{name} {middle}".strip()
    return f"{name} {middle} (10th to 90th percentile {low} to {high})".strip()


def verdict(
    *,
    topic: Topic,
    rule: str,
    citation: Citation,
    met: Met,
    level: Level,
    name: str,
    values: FloatArray,
    unit: Unit,
    limit: float | None,
    limit_text: str,
    meets: NDArray[np.bool_] | None,
    explanation: str,
    what_to_do: str = "",
) -> Verdict:
    """Return a verdict over the members' `values` and whether each `meets` the rule, both of shape (M,)."""
    low, middle, high = spread(values)
    return Verdict(
        topic=topic,
        rule=rule,
        citation=citation,
        met=met,
        level=level,
        figure=figure_text(name, values, unit),
        value=middle,
        low=low,
        high=high,
        unit=unit,
        limit=limit,
        limit_text=limit_text,
        probability=None if meets is None else share_of(meets),
        members=int(values.size),
        explanation=explanation,
        what_to_do=what_to_do,
    )


def rendered(item: Verdict) -> str:
    """Return a verdict as one paragraph of plain text."""
    figure = item.figure[:1].upper() + item.figure[1:]
    parts = [f"{item.topic.capitalize()}: {item.rule}. {item.citation}: {item.met.value}.", f"{figure}."]
    if item.limit_text:
        parts.append(f"Limit: {item.limit_text}.")
    if item.probability is not None and item.members > 1:
        parts.append(f"Met in {_percent(item.probability)} of {item.members} computed runs.")
    parts.append(item.explanation)
    if item.what_to_do:
        parts.append(f"What to do: {item.what_to_do}")
    return " ".join(parts)


def report(verdicts: Iterable[Verdict]) -> tuple[str, ...]:
    """Return the paragraphs of all verdicts, ending with `DEFERENCE`."""
    return (*(rendered(item) for item in verdicts), DEFERENCE)


def worst_level(verdicts: Iterable[Verdict]) -> Level:
    """Return the highest level among the verdicts; green where there are none."""
    order = tuple(Level)
    return max((item.level for item in verdicts), key=order.index, default=Level.GREEN)


def _down(value: float) -> float:
    return float(np.floor(value * 10 + 1e-6) / 10)


def _percent(share: float) -> str:
    # Never round a doubt away: 99.7 % is not "100 %".
    if 0.0 < share < 1.0:
        return f"{min(max(round(share * 100), 1), 99)} %"
    return f"{share * 100:.0f} %"
