"""The course of a cook and its hold: core temperatures with their spread, pit, stages, stall.

One function from a computed result to SVG, in a wide and a narrow frame. Called by the method page.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import ceil, floor

from markupsafe import Markup

from slowfolio.enrich.results import Band, MethodResult, StageResult
from slowfolio.site.charts.svg import Point, Scale, band, element, group, label, line, picture, polyline
from slowfolio.site.shown import both

HOUR_S = 3600.0
MOST_POINTS = 110


@dataclass(frozen=True, slots=True)
class Frame:
    """The size of a picture and of its margins, in picture units, and the width of one letter."""

    name: str
    width: float
    height: float
    left: float
    right: float
    top: float
    bottom: float
    letter: float


WIDE = Frame("wide", 920, 430, 52, 12, 40, 46, 8.6)
NARROW = Frame("narrow", 372, 400, 44, 8, 36, 44, 7.4)


def timeline(
    result: MethodResult,
    *,
    title: str,
    finding: str,
    frame: Frame,
    over: Callable[[Scale, Scale], Markup] = lambda _across, _up: Markup(""),
) -> Markup:
    """The timeline of one method. `finding` says in words what it shows; `over` draws on top."""
    series = result.series
    end_h = max(series.time_h[-1], result.serve.value / HOUR_S)
    hottest = max(*series.pit_c, *series.thick_c.p90, *series.thin_c.p90)
    across = Scale(0.0, end_h, frame.left, frame.width - frame.right)
    up = Scale(0.0, ceil((hottest + 4) / 10) * 10, frame.height - frame.bottom, frame.top)
    keep = _thinned(len(series.time_h))

    def course(values: Sequence[float]) -> list[Point]:
        return [(across(series.time_h[i]), up(values[i])) for i in keep]

    def spread(values: Band, cls: str) -> Markup:
        return band(course(values.p90), course(values.p10), cls)

    return picture(
        name=f"timeline-{frame.name}",
        title=title,
        finding=finding,
        width=frame.width,
        height=frame.height,
        cls=f"timeline timeline--{frame.name}",
        parts=(
            _stall(result, across, up),
            temperature_grid(up, frame, 25.0, "u-si", lambda degree: degree, "°C"),
            temperature_grid(up, frame, 50.0, "u-us", lambda degree: (degree - 32.0) / 1.8, "°F"),
            hours_axis(across, frame, end_h),
            _stages(result.stages, across, frame),
            polyline(course(series.pit_c), "timeline__pit"),
            spread(series.thin_c, "timeline__thin-band"),
            spread(series.thick_c, "timeline__thick-band"),
            polyline(course(series.thin_c.p50), "timeline__thin"),
            polyline(course(series.thick_c.p50), "timeline__thick"),
            over(across, up),
            _pull(result, across, frame),
        ),
    )


def _thinned(count: int) -> list[int]:
    """At most MOST_POINTS places of a series, first and last among them."""
    if count <= MOST_POINTS:
        return list(range(count))
    step = (count - 1) / (MOST_POINTS - 1)
    return sorted({round(i * step) for i in range(MOST_POINTS)})


def temperature_grid(
    up: Scale, frame: Frame, step: float, cls: str, to_c: Callable[[float], float], unit: str
) -> Markup:
    """Grid lines and labels at round degrees of one system."""
    parts: list[Markup] = []
    degree = 0.0
    while to_c(degree) <= up.high:
        if to_c(degree) >= up.low:
            y = up(to_c(degree))
            parts.append(line((frame.left, y), (frame.width - frame.right, y), "chart__grid"))
            parts.append(label(frame.left - 7, y + 5, f"{degree:.0f}", "chart__tick", "end"))
        degree += step
    parts.append(label(2, frame.top - 20, unit, "chart__tick"))
    return group(parts, cls=cls)


def hours_axis(across: Scale, frame: Frame, end_h: float) -> Markup:
    """The axis of hours with as many ticks as there is room for."""
    room = frame.width - frame.left - frame.right
    step = next((s for s in (1, 2, 4, 6, 12) if room / (end_h / s) >= 46), 24)
    base = frame.height - frame.bottom
    parts = [line((frame.left, base), (frame.width - frame.right, base), "chart__axis")]
    for hour in range(0, floor(end_h) + 1, step):
        x = across(hour)
        parts.append(line((x, base), (x, base + 6), "chart__axis"))
        parts.append(label(x, base + 22, str(hour), "chart__tick", "middle"))
    parts.append(label(across(end_h), base + 40, "hours on", "chart__tick", "end"))
    return group(parts)


def _stages(stages: Sequence[StageResult], across: Scale, frame: Frame) -> Markup:
    """A rule where each stage starts, its number, and its name where there is room for it."""
    parts: list[Markup] = []
    for number, stage in enumerate(stages, start=1):
        start, end = across(stage.start.value / HOUR_S), across(stage.end.value / HOUR_S)
        parts.append(line((start, frame.top - 12), (start, frame.height - frame.bottom), "timeline__stage"))
        text = f"{number} {stage.name}"
        if len(text) * frame.letter > end - start - 6:
            text = str(number)
        if len(text) * frame.letter <= end - start:
            parts.append(label(start + 5, frame.top - 4, text, "timeline__name"))
    return group(parts)


def _pull(result: MethodResult, across: Scale, frame: Frame) -> Markup:
    """Where the piece comes off the pit, with its spread as a bar along the foot of the picture."""
    x = across(result.pull.value / HOUR_S)
    base = frame.height - frame.bottom
    parts = [
        line((x, frame.top), (x, base), "timeline__pull"),
        label(x - 6, base - 10, "off the pit", "timeline__name", "end"),
    ]
    if result.pull.low is not None and result.pull.high is not None:
        low, high = across(result.pull.low / HOUR_S), across(result.pull.high / HOUR_S)
        parts.append(
            element("rect", x=low, y=base - 4, width=high - low, height=4.0, cls="timeline__pull-spread")
        )
    return group(parts)


def _stall(result: MethodResult, across: Scale, up: Scale) -> Markup:
    """The stretch where the thick end hardly warms, shaded and named."""
    if result.stall_start is None or result.stall_end is None:
        return Markup("")
    start, end = (across(edge.value / HOUR_S) for edge in (result.stall_start, result.stall_end))
    top, base = up(up.high), up(up.low)
    return group(
        (
            element(
                "rect", x=start, y=top, width=max(end - start, 1.0), height=base - top, cls="timeline__stall"
            ),
            label((start + end) / 2, base - 28, "stall", "timeline__name", "middle"),
        )
    )


def finding(result: MethodResult) -> str:
    """What the timeline shows, in words, for readers who cannot see it."""
    said = [f"The piece is off the pit after {_time(result.pull.value)}"]
    if result.pull.low is not None and result.pull.high is not None:
        said[0] += f" (8 cooks in 10 between {_time(result.pull.low)} and {_time(result.pull.high)})"
    cooked = [stage for stage in result.stages if stage.kind == "cook"]
    if cooked:
        said.append(f"the thick end is then at {both('temperature', cooked[-1].core_end.value).plain}")
    if result.stall_start is not None and result.stall_end is not None:
        said.append(
            f"the stall lasts from {_time(result.stall_start.value)} to {_time(result.stall_end.value)}"
        )
    said.append(f"it is served {_time(result.serve.value)} after the start")
    return "; ".join(said) + "."


def _time(seconds: float) -> str:
    return both("duration", round(seconds / 600.0) * 600.0).us
