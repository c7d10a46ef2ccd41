"""The few SVG elements that charts are made of, with numbers rounded and text escaped.

Knows nothing of cooking. Every chart function returns `Markup`, ready for a template.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from markupsafe import Markup, escape

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Scale:
    """A straight map from values to picture units."""

    low: float
    high: float
    start: float
    end: float

    def __call__(self, value: float) -> float:
        """The place of a value in the picture."""
        return self.start + (value - self.low) / (self.high - self.low) * (self.end - self.start)


def num(value: float) -> str:
    """A coordinate to a tenth, as short as it can be written."""
    text = f"{value:.1f}"
    return text.removesuffix(".0") if text != "-0.0" else "0"


def element(name: str, content: Markup | str = "", **attributes: str | float) -> Markup:
    """One element; `cls` stands for class and underscores for hyphens."""
    written = " ".join(
        f'{"class" if key == "cls" else key.replace("_", "-")}="{escape(_written(value))}"'
        for key, value in attributes.items()
    )
    opened = f"{name} {written}" if written else name
    inner = escape(content)
    return Markup(f"<{opened}>{inner}</{name}>" if inner else f"<{opened}/>")


def _written(value: str | float) -> str:
    return value if isinstance(value, str) else num(value)


def polyline(points: Sequence[Point], cls: str) -> Markup:
    """An open line through points."""
    return element("polyline", points=_points(points), cls=cls)


def band(upper: Sequence[Point], lower: Sequence[Point], cls: str) -> Markup:
    """The area between two lines of equal length."""
    return element("polygon", points=_points([*upper, *reversed(lower)]), cls=cls)


def line(start: Point, end: Point, cls: str) -> Markup:
    """A straight line."""
    return element("line", x1=start[0], y1=start[1], x2=end[0], y2=end[1], cls=cls)


def label(x: float, y: float, content: str, cls: str = "", anchor: str = "start") -> Markup:
    """A piece of text; `anchor` is start, middle or end."""
    return element("text", content, x=x, y=y, cls=cls or "chart__text", text_anchor=anchor)


def group(parts: Iterable[Markup], **attributes: str | float) -> Markup:
    """Several elements under one class."""
    return element("g", Markup("").join(parts), **attributes)


def picture(
    *,
    name: str,
    title: str,
    finding: str,
    width: float,
    height: float,
    parts: Iterable[Markup],
    cls: str = "",
) -> Markup:
    """A whole picture: `title` says what it is, `finding` says in words what it shows.

    `name` must be unique on the page. The search index leaves the picture out.
    """
    described = Markup("").join(
        (element("title", title, id=f"{name}-title"), element("desc", finding, id=f"{name}-desc"))
    )
    return element(
        "svg",
        described + Markup("").join(parts),
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {num(width)} {num(height)}",
        role="img",
        aria_labelledby=f"{name}-title {name}-desc",
        cls=f"chart {cls}".strip(),
        data_search_exclude="",
    )


def _points(points: Sequence[Point]) -> str:
    return " ".join(f"{num(x)},{num(y)}" for x, y in points)
