"""Air temperature against relative humidity: where the piece keeps, what the holder gives, the point chosen.

One function from a `HumidityView` to SVG, in one frame that reads on a phone. Called by the method page; the
script of the Holding page draws the same picture in the same classes.
"""

from collections.abc import Callable, Sequence

from markupsafe import Markup

from slowfolio.site.charts.svg import Point, Scale, band, element, group, label, line, picture, polyline
from slowfolio.site.hold_view import HumidityView
from slowfolio.site.shown import both

WIDTH, HEIGHT = 420.0, 366.0
LEFT, RIGHT, TOP, BOTTOM = 50.0, 12.0, 26.0, 48.0
COLDEST_C, HOTTEST_C = 55.0, 85.0
MARK = 7.0


def humidity_chart(view: HumidityView, *, name: str, title: str, finding: str) -> Markup:
    """The chart of one view. `finding` says in words what it shows."""
    across = Scale(COLDEST_C, HOTTEST_C, LEFT, WIDTH - RIGHT)
    up = Scale(0.0, 1.0, HEIGHT - BOTTOM, TOP)
    return picture(
        name=name,
        title=title,
        finding=finding,
        width=WIDTH,
        height=HEIGHT,
        cls="humidity",
        parts=(
            _too_cold(view, across, up),
            *_windows(view, across, up),
            _humidities(up),
            _temperatures(across, 5.0, "u-si", lambda degree: degree, "°C"),
            _temperatures(across, 10.0, "u-us", lambda degree: (degree - 32.0) / 1.8, "°F"),
            _reach(view, across, up),
            _floor(view, across, up),
            _point(view, across, up),
        ),
    )


def _windows(view: HumidityView, across: Scale, up: Scale) -> list[Markup]:
    """The window as one or several bands: it may close over a stretch of air temperatures."""
    bands: list[Markup] = []
    for run in _runs([window.exists for window in view.windows]):
        places = [(across(view.air_temps_c[i]), view.windows[i]) for i in run]
        if len(places) == 1:
            x, window = places[0]
            places = [(x - 4.0, window), (x + 4.0, window)]
        highs = [1.0 if view.tight else window.high for _, window in places]
        lows = [0.0 if view.tight else window.low for _, window in places]
        upper = [(x, up(high)) for (x, _), high in zip(places, highs, strict=True)]
        lower = [(x, up(low)) for (x, _), low in zip(places, lows, strict=True)]
        bands += [
            band(upper, lower, "humidity__window"),
            polyline(upper, "humidity__edge"),
            polyline(lower, "humidity__edge"),
        ]
    return bands


def _runs(present: Sequence[bool]) -> list[list[int]]:
    runs: list[list[int]] = []
    for place, here in enumerate(present):
        if not here:
            continue
        if runs and runs[-1][-1] == place - 1:
            runs[-1].append(place)
        else:
            runs.append([place])
    return runs


def _too_cold(view: HumidityView, across: Scale, up: Scale) -> Markup:
    """The ground left of the floor."""
    edge = [(across(_kept(air)), up(humidity)) for air, humidity in view.floor]
    corners: list[Point] = [(LEFT, HEIGHT - BOTTOM), *edge, (LEFT, TOP)]
    return band(corners, [], "humidity__cold")


def _floor(view: HumidityView, across: Scale, up: Scale) -> Markup:
    edge = [(across(_kept(air)), up(humidity)) for air, humidity in view.floor]
    said = both("temperature", view.floor_c)
    x = edge[-1][0] + 6
    return group(
        (
            polyline(edge, "humidity__floor"),
            label(x, TOP + 16, f"floor {said.us}", "humidity__name u-us"),
            label(x, TOP + 16, f"floor {said.metric}", "humidity__name u-si"),
        )
    )


def _kept(air_temp_c: float) -> float:
    return min(max(air_temp_c, COLDEST_C), HOTTEST_C)


def _reach(view: HumidityView, across: Scale, up: Scale) -> Markup:
    """What the holder can give: its lowest and highest air, one line where there is nothing to set."""
    lows = [(across(row.air_temp_c), up(min(row.low, 1.0))) for row in view.reach]
    highs = [(across(row.air_temp_c), up(min(row.high, 1.0))) for row in view.reach]
    if len(view.reach) == 1:
        x = lows[0][0]
        return line((x, lows[0][1]), (x, highs[0][1]), "humidity__reach")
    parts = [polyline(lows, "humidity__reach")]
    if any(low[1] - high[1] > 2.0 for low, high in zip(lows, highs, strict=True)):
        parts += [
            polyline(highs, "humidity__reach"),
            line(lows[0], highs[0], "humidity__reach"),
            line(lows[-1], highs[-1], "humidity__reach"),
        ]
    return group(parts)


def _point(view: HumidityView, across: Scale, up: Scale) -> Markup:
    air, humidity = view.point
    x, y = across(_kept(air)), up(min(humidity, 1.0))
    said = f"{100 * humidity:.0f} %"
    beside = (x - MARK - 5, "end") if x > WIDTH - 90 else (x + MARK + 5, "start")
    return group(
        (
            element("circle", cx=x, cy=y, r=MARK, cls="humidity__point"),
            line((x - MARK - 4, y), (x + MARK + 4, y), "humidity__cross"),
            line((x, y - MARK - 4), (x, y + MARK + 4), "humidity__cross"),
            label(beside[0], y - 8, said, "humidity__said", beside[1]),
        )
    )


def _humidities(up: Scale) -> Markup:
    parts: list[Markup] = []
    for percent in range(0, 101, 20):
        y = up(percent / 100)
        parts.append(line((LEFT, y), (WIDTH - RIGHT, y), "chart__grid"))
        parts.append(label(LEFT - 7, y + 5, str(percent), "chart__tick", "end"))
    parts.append(label(2, TOP - 10, "relative humidity, %", "chart__tick"))
    return group(parts)


def _temperatures(across: Scale, step: float, cls: str, to_c: Callable[[float], float], unit: str) -> Markup:
    base = HEIGHT - BOTTOM
    parts = [line((LEFT, base), (WIDTH - RIGHT, base), "chart__axis")]
    degree = step * 11
    while to_c(degree) <= COLDEST_C:
        degree += step
    while to_c(degree) < HOTTEST_C:
        x = across(to_c(degree))
        parts.append(line((x, base), (x, base + 6), "chart__axis"))
        parts.append(label(x, base + 22, f"{degree:.0f}", "chart__tick", "middle"))
        degree += step
    parts.append(label(WIDTH - RIGHT, base + 41, f"air, {unit}", "chart__tick", "end"))
    return group(parts, cls=cls)
