"""Lengthwise cuts through the piece, shaded by temperature or by moisture in seven steps of one hue.

Neighbouring cells of one step are drawn as one block and each step is one path, so a picture stays small.
Called by the method page.
"""

from bisect import bisect
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from slowfolio.enrich.results import Section
from slowfolio.site.charts.svg import Scale, element, group, label, num, picture
from slowfolio.site.shown import Both, both

STEPS = 7
DRAWN_COLUMNS, DRAWN_NODES = 32, 24
WIDTH, LEFT, RIGHT, TOP, BOTTOM = 372.0, 4.0, 4.0, 8.0, 8.0


@dataclass(frozen=True, slots=True)
class Shade:
    """What a section is shaded by: name, colour family, how a value is said, and the range of the steps."""

    name: str
    cls: str
    say: Callable[[float], Both]
    low: float
    high: float

    def step(self, value: float) -> int:
        """The step (0 to 6) that a value falls in."""
        share = (value - self.low) / (self.high - self.low)
        return min(STEPS - 1, max(0, int(share * STEPS)))

    def edges(self) -> tuple[Both, ...]:
        """The value at the foot of every step, and at the top of the last, as said."""
        return tuple(self.say(self.low + (self.high - self.low) * i / STEPS) for i in range(STEPS + 1))


def temperature_shade(sections: Sequence[Section]) -> Shade:
    """Steps of whole ten degrees around all temperatures of the sections."""
    values = [value for section in sections for column in section.temp_c for value in column]
    low, high = _rounded(min(values), max(values), 5.0)
    return Shade("Temperature", "heat", lambda value: both("temperature", value), low, high)


def moisture_shade(sections: Sequence[Section]) -> Shade:
    """Steps around all water contents of the sections (share of the present mass)."""
    values = [value for section in sections for column in section.moisture for value in column]
    low, high = _rounded(min(values), max(values), 0.05)
    return Shade("Moisture", "damp", lambda value: both("fraction", value), low, high)


def _rounded(low: float, high: float, step: float) -> tuple[float, float]:
    start = int(low // step) * step
    end = -int(-high // step) * step
    return start, max(end, start + step)


def section_picture(
    section: Section, fields: Sequence[Sequence[float]], shade: Shade, *, name: str, title: str
) -> Markup:
    """One cut through the piece, thin end at the left, shaded by `fields[column][node]`.

    Drawn finer than it was computed, straight between neighbouring columns and nodes.
    """
    length = section.length_m[-1] + section.length_m[0]
    thickest = max(_thickness(depths) for depths in section.depth_m)
    scale = (WIDTH - LEFT - RIGHT) / length
    foot = TOP + thickest * scale
    across = Scale(0.0, length, LEFT, WIDTH - RIGHT)
    cell = (WIDTH - LEFT - RIGHT) / DRAWN_COLUMNS
    paths: list[list[str]] = [[] for _ in range(STEPS)]
    columns = [_resampled(depths, values) for depths, values in zip(section.depth_m, fields, strict=True)]
    for i in range(DRAWN_COLUMNS):
        thickness, values = _column(section, columns, length * (i + 0.5) / DRAWN_COLUMNS)
        x, tall = LEFT + i * cell, thickness * scale
        for step, first, last in _runs([shade.step(value) for value in values]):
            y = foot - tall * (1 - first / DRAWN_NODES)
            height = tall * (last - first) / DRAWN_NODES
            paths[step].append(
                f"M{num(x)} {num(y)}h{num(cell + 0.3)}v{num(height + 0.3)}h-{num(cell + 0.3)}z"
            )
    return picture(
        name=name,
        title=title,
        finding=_finding(section, fields, shade),
        width=WIDTH,
        height=foot + BOTTOM,
        cls="cut",
        parts=(
            *(
                element("path", d="".join(path), cls=f"{shade.cls}-{i + 1}")
                for i, path in enumerate(paths)
                if path
            ),
            _values(section, fields, shade, across, scale, thickest),
        ),
    )


def _thickness(depths: Sequence[float]) -> float:
    """The thickness of a column from its node depths, which lie as far from the top as from the bottom."""
    return depths[0] + depths[-1]


def _column(section: Section, columns: Sequence[list[float]], place_m: float) -> tuple[float, list[float]]:
    """Thickness and DRAWN_NODES values at a place along the piece, straight between computed columns."""
    lengths = section.length_m
    right = min(max(bisect(lengths, place_m), 1), len(lengths) - 1) if len(lengths) > 1 else 0
    left = max(right - 1, 0)
    span = lengths[right] - lengths[left]
    share = min(max((place_m - lengths[left]) / span, 0.0), 1.0) if span else 0.0
    thickness = _between(_thickness(section.depth_m[left]), _thickness(section.depth_m[right]), share)
    return thickness, [_between(a, b, share) for a, b in zip(columns[left], columns[right], strict=True)]


def _resampled(depths: Sequence[float], values: Sequence[float]) -> list[float]:
    """The values at DRAWN_NODES even depths, straight between the computed nodes."""
    thickness = _thickness(depths)
    drawn: list[float] = []
    for i in range(DRAWN_NODES):
        depth = thickness * (i + 0.5) / DRAWN_NODES
        below = min(max(bisect(depths, depth), 1), len(depths) - 1)
        span = depths[below] - depths[below - 1]
        share = min(max((depth - depths[below - 1]) / span, 0.0), 1.0) if span else 0.0
        drawn.append(_between(values[below - 1], values[below], share))
    return drawn


def _between(start: float, end: float, share: float) -> float:
    return start + (end - start) * share


def _runs(steps: Sequence[int]) -> list[tuple[int, int, int]]:
    """Stretches of neighbouring cells of one step: step, first cell, cell after the last."""
    runs: list[tuple[int, int, int]] = []
    for i, step in enumerate(steps):
        if runs and runs[-1][0] == step:
            runs[-1] = (step, runs[-1][1], i + 1)
        else:
            runs.append((step, i, i + 1))
    return runs


def _values(
    section: Section,
    fields: Sequence[Sequence[float]],
    shade: Shade,
    across: Scale,
    scale: float,
    thickest: float,
) -> Markup:
    """The value in the middle of the thin and of the thick part, written on the picture."""
    parts: list[Markup] = []
    for column in _columns_named(section):
        values = fields[column]
        middle = values[len(values) // 2]
        thickness = _thickness(section.depth_m[column])
        x = across(section.length_m[column])
        y = TOP + (thickest - thickness / 2) * scale + 5.5
        deep = shade.step(middle) >= STEPS // 2 + 1
        said = shade.say(middle)
        cls = "cut__value cut__value--deep" if deep else "cut__value"
        if said.same:
            parts.append(label(x, y, said.us, cls, "middle"))
        else:
            parts.append(label(x, y, said.us, f"{cls} u-us", "middle"))
            parts.append(label(x, y, said.metric, f"{cls} u-si", "middle"))
    return group(parts)


def _columns_named(section: Section) -> tuple[int, int]:
    """The columns whose middle is written: a quarter along, and the thickest."""
    count = len(section.length_m)
    thickest = max(range(count), key=lambda column: _thickness(section.depth_m[column]))
    return count // 4, thickest


def _finding(section: Section, fields: Sequence[Sequence[float]], shade: Shade) -> str:
    thin, thick = (fields[c] for c in _columns_named(section))
    every = [value for column in fields for value in column]
    return (
        f"{shade.name}, {section.name}: middle of the thin end {shade.say(thin[len(thin) // 2]).plain}, "
        f"middle of the thick end {shade.say(thick[len(thick) // 2]).plain}, "
        f"lowest {shade.say(min(every)).plain}, highest {shade.say(max(every)).plain}."
    )


def scale_key(shade: Shade, name: str) -> Markup:
    """The seven steps with the value at every second border."""
    width, left = 372.0, 4.0
    box = (width - 2 * left) / STEPS
    parts: list[Markup] = []
    for i, said in enumerate(shade.edges()):
        x = left + i * box
        if i < STEPS:
            parts.append(element("rect", x=x, y=2.0, width=box, height=16.0, cls=f"{shade.cls}-{i + 1}"))
        anchor = "start" if i == 0 else "end" if i == STEPS else "middle"
        if i % 2 == 0 or i == STEPS:
            if i == STEPS - 1:
                continue
            for text, cls in (
                ((said.us, "u-us"), (said.metric, "u-si")) if not said.same else ((said.us, ""),)
            ):
                parts.append(label(x, 36, text, f"chart__tick {cls}".strip(), anchor))
    return picture(
        name=name,
        title=f"Key: {shade.name.lower()}",
        finding=f"Seven steps from {shade.say(shade.low).plain} to {shade.say(shade.high).plain}.",
        width=width,
        height=42,
        cls="cut-key",
        parts=parts,
    )
