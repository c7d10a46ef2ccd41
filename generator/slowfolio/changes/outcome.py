"""What a method computes to, as far as a reviewer wants it compared: quantities and verdicts.

Only values: `effect` compares two of them, `sides` computes them. SI inside; scores from 0 to 100.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from slowfolio.enrich.results import MethodResult
from slowfolio.forecast.hold_advice import Advice
from slowfolio.provenance import Figure
from slowfolio.safety.verdict import Level, Met, Verdict


@dataclass(frozen=True, slots=True)
class Spread:
    """A computed quantity: median with its 10th and 90th percentile where it has a spread."""

    dimension: str
    value: float
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True, slots=True)
class Judged:
    """One rule applied to a computed cook: whether it is met, how grave, and the figure."""

    rule: str
    topic: str
    met: str
    level: str
    figure: str


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a method computes to. `missing` says why there is nothing to compare, else it is empty; `verdicts`
    is None where the program that computed it did not say.
    """

    engine: str
    quantities: Mapping[str, Spread]
    verdicts: tuple[Judged, ...] | None
    missing: str = ""


NOTHING = Outcome("", {}, ())


def outcome_of(result: MethodResult, advice: Advice | None) -> Outcome:
    """The outcome of one computed method and of its own holder."""
    figures = {
        "finish": result.pull,
        "ready": result.ready,
        "yield": result.yield_fraction,
        **{name: result.scores[name] for name in ("bark", "rendering", "juiciness", "smoke", "tenderness")},
    }
    quantities = {name: spread_of(figure) for name, figure in figures.items()}
    if advice is not None:
        quantities |= hold_quantities(advice)
    verdicts = (verdict for verdict in result.verdicts if verdict.met is not Met.NOT_APPLICABLE)
    return Outcome(result.engine, quantities, tuple(judged(verdict) for verdict in verdicts))


def spread_of(figure: Figure) -> Spread:
    """A figure without its origin, which is the same on both sides."""
    return Spread(figure.dimension, figure.value, figure.low, figure.high)


def hold_quantities(advice: Advice) -> dict[str, Spread]:
    """The humidity window in the method's own wrap and holder, and how long the hold may last."""
    found: dict[str, Spread] = {}
    for window in advice.windows:
        if window.wrap == advice.wrap and window.exists:
            found["hold humidity from"] = Spread("fraction", window.low)
            found["hold humidity to"] = Spread("fraction", window.high)
    if advice.longest_h is not None:
        found["hold at most"] = Spread("duration", advice.longest_h * 3600.0)
    if advice.loss is not None:
        low, middle, high = advice.loss
        found["loss in the hold"] = Spread("fraction", middle, low, high)
    return found


def judged(verdict: Verdict) -> Judged:
    """A verdict as it is compared."""
    topic, level = verdict.topic.value, verdict.level
    return Judged(verdict.rule, topic, verdict.met.value, Level(level).value, verdict.figure)
