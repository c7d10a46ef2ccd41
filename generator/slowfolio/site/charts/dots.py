"""Dots with their intervals on one rule: an estimate, how far it may be off, and where "no difference" lies.

The figures stand in words beside each strip, so these pictures are hidden from screen readers. Strips of one
plot share a rule; the ticks under them are text of the page.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from markupsafe import Markup

from slowfolio.site.charts.svg import Scale, element, line

WIDTH, HEIGHT, MIDDLE = 100.0, 28.0, 14.0
CAP = 5.0


@dataclass(frozen=True, slots=True)
class Rule:
    """The rule of a plot: its ends, where neither side is ahead, and what was looked for beforehand.

    `band` is the stretch within which a difference was said not to matter; None where none was named.
    """

    low: float
    high: float
    neutral: float | None
    ticks: tuple[str, ...]
    band: tuple[float, float] | None = None


def share_rule(neutral: float | None, wanted: float | None = None) -> Rule:
    """A rule of shares from 0 to 100 %; `wanted` is the share that was looked for."""
    band = None if wanted is None else (0.0, wanted)
    return Rule(0.0, 1.0, neutral, ("0", "25", "50", "75", "100 %"), band)


def points_rule(ends: Sequence[float], wanted: float | None = None) -> Rule:
    """A rule of differences in points, as far to either side as the intervals reach, in even steps."""
    reach = max(ceil(max((abs(end) for end in ends), default=1.0)), ceil(wanted or 0.0), 2)
    reach += reach % 2
    half = reach // 2
    ticks = (f"−{reach}", f"−{half}", "0", f"+{half}", f"+{reach}")
    return Rule(-float(reach), float(reach), 0.0, ticks, None if wanted is None else (-wanted, wanted))


def dot_strip(rule: Rule, value: float | None, low: float | None, high: float | None) -> Markup:
    """One estimate with its interval; an open end runs to the end of the rule without a cap."""
    at = Scale(rule.low, rule.high, 0.0, WIDTH)
    parts = []
    if rule.band is not None:
        start, end = (at(min(max(edge, rule.low), rule.high)) for edge in rule.band)
        parts.append(element("rect", x=start, y=2.0, width=end - start, height=HEIGHT - 4, cls="dots__band"))
    parts.append(line((0, MIDDLE), (WIDTH, MIDDLE), "dots__rule"))
    if rule.neutral is not None:
        parts.append(line((at(rule.neutral), 0), (at(rule.neutral), HEIGHT), "dots__neutral"))
    ends = [(rule.low if low is None else low, low), (rule.high if high is None else high, high)]
    (start, _), (end, _) = ends
    parts.append(line((at(start), MIDDLE), (at(end), MIDDLE), "dots__interval"))
    parts += [
        line((at(place), MIDDLE - CAP), (at(place), MIDDLE + CAP), "dots__interval")
        for place, given in ends
        if given is not None
    ]
    if value is not None:
        # A line of no length with round ends is a dot that stays round however wide the strip is drawn.
        parts.append(line((at(value), MIDDLE), (at(value), MIDDLE), "dots__dot"))
    return element(
        "svg",
        Markup("").join(parts),
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {WIDTH:g} {HEIGHT:g}",
        preserveAspectRatio="none",
        cls="dots__strip",
        aria_hidden="true",
        data_search_exclude="",
    )
