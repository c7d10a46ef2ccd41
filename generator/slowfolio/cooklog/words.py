"""Comparison and fit in words, for the terminal and the pages: amounts as a cook says them.

Formats only; decides nothing.
"""

import math
from collections.abc import Sequence

from slowfolio.cooklog.against import WORTH_SHARE, Against, Explanation, Window
from slowfolio.cooklog.fit_holder import HolderFit
from slowfolio.cooklog.fit_pit import Finding, PitFit
from slowfolio.cooklog.parameters import PARAMETERS
from slowfolio.physics import ENGINE_VERSION
from slowfolio.units import System, format_duration, format_fraction, format_temperature

HOUR_S = 3600.0
LABELS = {
    "offset_k": "air against the dial",
    "convection": "heat by moving air",
    "above_k": "warmth of what is above",
    "below_k": "warmth of what is below",
    "wall_k": "warmth of the lining",
    "humidity": "moisture of the air",
}


def value_text(value: float, dimension: str, system: System) -> str:
    """A time to the minute, a temperature or a share."""
    if dimension == "duration":
        return format_duration(round(value / 60.0) * 60.0)
    if dimension == "fraction":
        return format_fraction(value)
    return format_temperature(value, system)


def window_text(window: Window, system: System) -> str:
    """One event: measured, the window, and whether it lies in it."""
    low, middle, high = (
        value_text(each, window.dimension, system) for each in (window.low, window.middle, window.high)
    )
    measured = value_text(window.measured, window.dimension, system)
    side = "below" if window.measured < window.low else "above"
    verdict = "inside" if window.inside else side
    return f"{window.what:<18} {measured:>12}   forecast {low} – {middle} – {high}   {verdict}"


def amount_text(parameter: str, amount: float, system: System) -> str:
    """How far a parameter is off, as a cook says it."""
    unit = PARAMETERS[parameter].unit
    if unit == "K":
        shown = f"{abs(amount) * 1.8:.0f} °F" if system is System.US else f"{abs(amount):.1f} °C"
        return f"by {shown}"
    if unit == "s":
        return f"by {abs(amount) / 60:.0f} min"
    return f"by {100 * abs(math.expm1(amount)):.0f} %"


def explanation_text(found: Explanation, system: System) -> str:
    """One explanation with how much it explains."""
    amount = amount_text(found.parameter, found.amount, system)
    return f"{found.words} {amount}: explains {100 * found.explains:.0f} %"


def best(explanations: Sequence[Explanation]) -> tuple[Explanation, ...]:
    """The explanations worth a word, at most three."""
    return tuple(each for each in explanations if each.explains >= WORTH_SHARE)[:3]


def verdict(explanations: Sequence[Explanation], as_forecast: bool, system: System) -> str:
    """What the comparison comes to, in a sentence; nothing needs explaining where it went `as_forecast`."""
    if as_forecast:
        return (
            "The course went as forecast, within what probes and model leave open; nothing needs explaining."
        )
    found = best(explanations)
    if not found:
        return "No single thing explains the difference; look for several at once, or for a fault of the log."
    first = found[0]
    words = f"{first.words[:1].upper()}{first.words[1:]} {amount_text(first.parameter, first.amount, system)}"
    return f"{words}: that alone explains {100 * max(first.explains, 0.0):.0f} % of the difference."


def against_lines(result: Against, system: System) -> list[str]:
    """The comparison for a terminal."""
    inside = sum(window.inside for window in result.windows)
    lines = [
        f"{result.cook} against {result.method}, {result.members} simulated cooks, engine {result.engine}",
        "windows hold 8 cooks in 10: P10 – median – P90",
        "",
        *(window_text(window, system) for window in result.windows),
        "",
        f"{inside} of {len(result.windows)} inside their windows; "
        f"core {result.core_rms_k * 1.8:.1f} °F ({result.core_rms_k:.1f} K) off on average",
        verdict(result.explanations, result.as_forecast, system),
    ]
    worth = best(result.explanations)
    if not result.as_forecast and worth:
        lines += ["", "one at a time", *(f"  {explanation_text(each, system)}" for each in worth)]
    if not result.as_forecast and result.together:
        lines += ["", "the likeliest of all together"]
        lines += [
            f"  {each.words} {amount_text(each.parameter, each.amount, system)}"
            for each in result.together[:5]
        ]
    return lines


def finding_text(found: Finding, system: System) -> str:
    """One figure of a fit with its 90 % interval."""
    unit = PARAMETERS[found.parameter].unit

    def said(value: float) -> str:
        if unit == "K":
            return f"{value * 1.8:+.1f} °F" if system is System.US else f"{value:+.1f} K"
        return f"{100 * math.expm1(value):+.0f} %"

    label = LABELS[found.parameter]
    return (
        f"{label:<26} {said(found.shift):>9}   90 % interval {said(found.low)} to {said(found.high)}   "
        f"learnt {100 * max(found.learnt, 0.0):.0f} %"
    )


def degrees_off(value_k: float, system: System) -> str:
    """An error in degrees, in the reader's unit."""
    return f"{value_k * 1.8:.1f} °F" if system is System.US else f"{value_k:.1f} K"


def fit_lines(fit: PitFit, system: System) -> list[str]:
    """A fit for a terminal."""
    lines = [
        f"{fit.pit}, from {len(fit.cooks)} recorded cooks: {', '.join(fit.cooks)}; engine {ENGINE_VERSION}",
        "",
    ]
    lines += ["against the card (learnt: what the cooks took away of what the card left open)"]
    lines += [f"  {finding_text(found, system)}" for found in fit.findings]
    if isinstance(fit, HolderFit) and fit.exchange is not None:
        lines.append(f"  air exchange               {fit.exchange.words}")
    if fit.improved is None:
        return [*lines, "", "one cook cannot be checked against others; record at least two more"]
    lines += ["", "each cook left out and forecast from the others: error by the card, and after the fit"]
    for each in fit.left_out:
        before, after = (degrees_off(value, system) for value in (each.core_before_k, each.core_after_k))
        line = f"  {each.cook:<32} core {before} -> {after}"
        if math.isfinite(each.finish_before_s):
            line += f", finish {each.finish_before_s / 60:+.0f} min -> {each.finish_after_s / 60:+.0f} min"
        lines.append(line)
    change = fit.improved
    words = "falls to" if change < 1 else "grows to"
    lines.append(f"  the error of the course {words} {100 * change:.0f} % of what it was")
    if change >= 1:
        lines.append("  the card forecasts these cooks better than the fit: leave it as it is")
    return lines
