"""Small bars that stand beside a number: a score from 0 to 100, a stretch of hours, a share.

The number itself is always written next to the bar by the template, so these pictures are hidden from
screen readers.
"""

from markupsafe import Markup

from slowfolio.site.charts.svg import Scale, element, line


def score_bar(value: float, low: float | None = None, high: float | None = None) -> Markup:
    """A score on a rule from 0 to 100, with its spread as a thin line through the end."""
    parts = [
        line((0, 9), (100, 9), "bar__rule"),
        element("rect", x=0.0, y=5.0, width=max(value, 0.5), height=8.0, cls="bar__fill"),
    ]
    if low is not None and high is not None:
        parts.append(line((low, 9), (high, 9), "bar__spread"))
        parts += [line((edge, 5.5), (edge, 12.5), "bar__spread") for edge in (low, high)]
    return _bar(parts, 100, 18)


def hours_bar(*, low_h: float, middle_h: float, high_h: float, hold_h: float, most_h: float) -> Markup:
    """A cook on a rule of hours shared by all methods: spread, middle, and the hold as an open stretch."""
    across = Scale(0.0, most_h, 0.0, 200.0)
    parts = [line((0, 9), (200, 9), "bar__rule")]
    if hold_h > 0:
        start = across(middle_h)
        parts.append(
            element(
                "rect", x=start, y=6.0, width=across(middle_h + hold_h) - start, height=6.0, cls="bar__hold"
            )
        )
    parts.append(
        element("rect", x=0.0, y=7.5, width=across(middle_h), height=3.0, cls="bar__fill"),
    )
    parts.append(
        element(
            "rect",
            x=across(low_h),
            y=4.0,
            width=max(across(high_h) - across(low_h), 1.5),
            height=10.0,
            cls="bar__range",
        )
    )
    parts.append(line((across(middle_h), 1), (across(middle_h), 17), "bar__mark"))
    return _bar(parts, 200, 18)


def share_bar(share: float) -> Markup:
    """A share of the whole, 0 to 1."""
    return _bar(
        [element("rect", x=0.0, y=5.0, width=max(100.0 * share, 0.5), height=8.0, cls="bar__fill")], 100, 18
    )


def _bar(parts: list[Markup], width: float, height: float) -> Markup:
    return element(
        "svg",
        Markup("").join(parts),
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {width:g} {height:g}",
        preserveAspectRatio="none",
        cls="bar",
        aria_hidden="true",
        data_search_exclude="",
    )
