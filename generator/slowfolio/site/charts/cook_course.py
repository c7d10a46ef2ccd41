"""The course of one recorded cook: measured core and air over the forecast's band, with what happened.

One function from values to SVG, in a wide and a narrow frame; `measured_lines` gives the same cores for
laying over a method's timeline. Called by the page of a cook and by the method page.
"""

from collections.abc import Sequence
from math import ceil

from markupsafe import Markup

from slowfolio.book.model import CookEvent
from slowfolio.enrich.cooks import CookCourse, ForecastCourse
from slowfolio.site.charts.svg import Point, Scale, band, group, label, line, picture, polyline
from slowfolio.site.charts.timeline import HOUR_S, Frame, hours_axis, temperature_grid

NAMED = ("wrap", "finish", "hold")
Values = Sequence[float | None]


def cook_course(
    course: CookCourse,
    forecast: ForecastCourse | None,
    events: Sequence[CookEvent],
    *,
    title: str,
    finding: str,
    frame: Frame,
) -> Markup:
    """The chart of one cook. `finding` says in words what it shows; hours count from meat on."""
    on_s = next((event.at_s for event in events if event.what == "meat on"), 0.0)
    end_h = max(course.time_h[-1], forecast.time_h[-1] if forecast else 0.0)
    rows = (course.pit_c, course.thick_c, course.thin_c)
    known = [value for row in rows for value in row if value is not None]
    hottest = max([*known, *(forecast.high_c if forecast else ())], default=100.0)
    across = Scale(0.0, end_h, frame.left, frame.width - frame.right)
    up = Scale(0.0, ceil((hottest + 4) / 10) * 10, frame.height - frame.bottom, frame.top)
    parts: list[Markup] = [
        temperature_grid(up, frame, 25.0, "u-si", lambda degree: degree, "°C"),
        temperature_grid(up, frame, 50.0, "u-us", lambda degree: (degree - 32.0) / 1.8, "°F"),
        hours_axis(across, frame, end_h),
        marks(events, on_s, across, frame),
    ]
    if forecast is not None:

        def bound(row: Sequence[float]) -> list[Point]:
            return [(across(h), up(value)) for h, value in zip(forecast.time_h, row, strict=True)]

        parts.append(band(bound(forecast.high_c), bound(forecast.low_c), "timeline__thick-band"))
        parts.append(polyline(bound(forecast.middle_c), "cook__forecast"))
    parts += lines(course.time_h, course.pit_c, across, up, "timeline__pit")
    parts += lines(course.time_h, course.thin_c, across, up, "timeline__thin")
    parts += lines(course.time_h, course.thick_c, across, up, "cook__measured")
    return picture(
        name=f"cook-{frame.name}",
        title=title,
        finding=finding,
        width=frame.width,
        height=frame.height,
        cls=f"timeline timeline--{frame.name}",
        parts=parts,
    )


def lines(time_h: Sequence[float], values: Values, across: Scale, up: Scale, cls: str) -> list[Markup]:
    """A measured row as lines, broken where nothing was read."""
    found: list[Markup] = []
    run: list[Point] = []
    for hour, value in zip(time_h, values, strict=True):
        if value is not None and 0.0 <= hour <= across.high:
            run.append((across(hour), up(min(value, up.high))))
            continue
        if len(run) > 1:
            found.append(polyline(run, cls))
        run = []
    return [*found, polyline(run, cls)] if len(run) > 1 else found


def measured_lines(courses: Sequence[CookCourse], across: Scale, up: Scale) -> Markup:
    """The measured cores of several cooks, every second point, for laying over a method's timeline."""
    parts = [
        part
        for course in courses
        for part in lines(course.time_h[::2], course.thick_c[::2], across, up, "timeline__measured")
    ]
    return group(parts) if parts else Markup("")


def marks(events: Sequence[CookEvent], on_s: float, across: Scale, frame: Frame) -> Markup:
    """A rule and a name for wrap, pull and hold; a tick for each opening of the door."""
    parts: list[Markup] = []
    taken = -1.0
    base = frame.height - frame.bottom
    for event in events:
        hour = (event.at_s - on_s) / HOUR_S
        if not 0.0 <= hour <= across.high:
            continue
        x = across(hour)
        if event.what == "door":
            parts.append(line((x, base - 7), (x, base), "cook__door"))
        elif event.what in NAMED:
            parts.append(line((x, frame.top - 12), (x, base), "timeline__stage"))
            if x > taken:
                name = "off the pit" if event.what == "finish" else event.what
                end = x + 5 + len(name) * frame.letter
                anchor = "start" if end <= frame.width else "end"
                aside = 5 if anchor == "start" else -5
                parts.append(label(x + aside, frame.top - 4, name, "timeline__name", anchor))
                taken = end
    return group(parts)
