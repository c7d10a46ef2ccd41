"""The hold on a method page: how every holder of the book is set for the piece, and what that does to it.

The card's own holder comes first and open, the others folded; holders that cannot do it are named with the
reason. Words are those of the `hold` command. `_hold.html` lays it out.
"""

from dataclasses import dataclass

import numpy as np
from markupsafe import Markup

from slowfolio.book.model import Book, Method
from slowfolio.enrich.hold_words import HOUR_S, setting_texts, window_text
from slowfolio.enrich.holds import MethodHolds
from slowfolio.forecast.hold_advice import Advice, Percentiles
from slowfolio.forecast.hold_table import HoldTable
from slowfolio.provenance import Figure, Provenance
from slowfolio.site.charts.humidity import humidity_chart
from slowfolio.site.hold_view import HumidityView, humidity_view
from slowfolio.site.links import Link, Links, card_uri
from slowfolio.site.shown import Both, Group, Notes, Shown, Tag, both, grouped, shown
from slowfolio.units import System, format_fraction

Row = tuple[str, Shown]


@dataclass(frozen=True, slots=True)
class HolderSetUp:
    """One holder that can do it: what to set, the air that gives, what it does to the piece, how long.

    `asked` are the hours asked for where it cannot hold so long, else empty.
    """

    holder: Link
    gist: Both
    settings: tuple[Both, ...]
    reached: bool
    air: Group
    meat: Group
    longest: Shown | None
    asked: str
    ended_by: str
    not_at_all: bool
    set_up: tuple[str, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ChartRow:
    """One air temperature of the chart as a table."""

    air: Both
    window: str
    reach: str


@dataclass(frozen=True, slots=True)
class HoldSection:
    """All that the method page shows of the hold. `own` is None where the card's own holder cannot do it."""

    asked: Both
    windows: tuple[str, ...]
    windows_tag: Tag
    own: HolderSetUp | None
    others: tuple[HolderSetUp, ...]
    cannot: tuple[tuple[Link, Both], ...]
    chart: Markup
    finding: str
    chart_rows: tuple[ChartRow, ...]
    notes_tag: Tag
    holding_href: str


def hold_section(
    book: Book, method: Method, holds: MethodHolds, links: Links, origin: str, notes: Notes, *, holding: str
) -> HoldSection:
    """Build the section. `holding` is the address of the page on which the hold can be tried out."""
    assert method.hold is not None
    own_id = method.hold.holder
    ordered = sorted(holds.advice, key=lambda advice: advice.holder != own_id)
    able = [advice for advice in ordered if advice.possible]
    set_ups = [_set_up(book, advice, holds.table, links, origin, notes) for advice in able]
    own = set_ups[0] if able and able[0].holder == own_id else None
    view = _view(holds, method, book, own_id)
    with_air = [advice for advice in ordered if advice.windows]
    chart, finding = _chart(book, method, view) if view else (Markup(""), "")
    return HoldSection(
        asked=_asked(book, method),
        windows=tuple(window_text(window, book) for window in with_air[0].windows) if with_air else (),
        windows_tag=_meat_tag(holds.table, notes),
        own=own,
        others=tuple(set_ups[1:] if own else set_ups),
        cannot=tuple(
            (_link(book, advice.holder, links, origin), Both(advice.why_not, advice.why_not))
            for advice in ordered
            if not advice.possible
        ),
        chart=chart,
        finding=finding,
        chart_rows=_chart_rows(view) if view else (),
        notes_tag=_air_tag(notes),
        holding_href=f"{links.href(origin, holding)}?m={method.id}",
    )


def _asked(book: Book, method: Method) -> Both:
    assert method.hold is not None
    air, hours = both("temperature", method.hold.air_temp_c), both("duration", method.hold.for_s).us
    wrap = book.wraps[method.hold.wrap].title.lower()
    return Both(*(f"air at {text}, {wrap}, {hours}" for text in (air.us, air.metric)))


def _set_up(
    book: Book, advice: Advice, table: HoldTable, links: Links, origin: str, notes: Notes
) -> HolderSetUp:
    holder = book.holders[advice.holder]
    settings = tuple(
        Both(us, metric)
        for us, metric in zip(
            setting_texts(advice, System.US), setting_texts(advice, System.METRIC), strict=True
        )
    )
    longest = None
    if advice.longest_h is not None:
        figure = Figure(
            advice.longest_h * HOUR_S, "duration", Provenance.COMPUTED, source=table_source(table)
        )
        longest = shown(figure, notes)
    return HolderSetUp(
        holder=_link(book, advice.holder, links, origin),
        gist=gist(advice),
        settings=settings,
        reached=advice.reached or advice.box_hours is not None,
        air=grouped(_air(advice, notes)),
        meat=grouped(_meat(advice, table, notes)),
        longest=longest,
        asked=_hours(advice.hours) if (advice.longest_h or 0.0) < advice.hours else "",
        ended_by=advice.ended_by,
        not_at_all=advice.longest_h == 0.0,
        set_up=holder.set_up,
        cautions=holder.cautions,
    )


def _hours(hours: float) -> str:
    return both("duration", hours * HOUR_S).us


def gist(advice: Advice) -> Both:
    """The figures that tell holders apart, for the line that stands over a folded one."""
    texts = []
    for system in (System.US, System.METRIC):
        spoken = advice.box_hours is not None or not has_dial(advice)
        dials = [] if spoken else setting_texts(advice, system)[1:2]
        if advice.humidity is not None:
            dials.append(f"gives {format_fraction(advice.humidity)}")
        if advice.longest_h is not None:
            dials.append(f"at most {_hours(advice.longest_h)}" if advice.longest_h else "not at all")
        texts.append("; ".join(dials))
    return Both(texts[0], texts[1])


def has_dial(advice: Advice) -> bool:
    """Whether there is a figure to set beside the air temperature."""
    return advice.vapour_temp_c is not None or advice.set_humidity is not None or bool(advice.pan_area_m2)


def _air(advice: Advice, notes: Notes) -> list[Row]:
    """The air it gives; one value each, for the holder's own spread is not known."""
    rows: list[Row] = []

    def add(name: str, dimension: str, value: float | None) -> None:
        if value is not None:
            figure = Figure(value, dimension, Provenance.COMPUTED, source=AIR_SOURCE)
            rows.append((name, shown(figure, notes)))

    add("Relative humidity", "fraction", advice.humidity)
    add("Dew point", "temperature", advice.dew_point_c)
    add("Wet bulb", "temperature", advice.wet_bulb_c)
    add("Lowest it reaches", "fraction", advice.reach_low)
    add("Highest it reaches", "fraction", advice.reach_high)
    add("Water an hour", "mass", advice.make_up_kg_h or None)
    add("Heat it takes", "power", advice.heat_w)
    return rows


def _meat(advice: Advice, table: HoldTable, notes: Notes) -> list[Row]:
    """What the hold does to the piece, with the spread of the simulated joints."""
    rows: list[Row] = []

    def add(name: str, dimension: str, values: Percentiles | None) -> None:
        if values is not None:
            low, middle, high = values
            figure = Figure(middle, dimension, Provenance.COMPUTED, low, high, table_source(table))
            rows.append((name, shown(figure, notes)))

    add("Weight lost", "fraction", advice.loss)
    add("Crispness of the crust", "score", advice.crispness)
    add("Tenderness", "score", advice.tenderness)
    add("Core", "temperature", advice.core_c)
    add("Coldest point", "temperature", advice.coldest_c)
    if advice.below_air_k is not None and advice.below_air_k > 0 and advice.coldest_c is not None:
        low, _, high = advice.coldest_c
        air = advice.stands_in_c
        figure = Figure(
            advice.below_air_k, "temperature_difference", Provenance.COMPUTED, source=table_source(table)
        )
        spread = Figure(
            figure.value, figure.dimension, figure.provenance, max(air - high, 0.0), air - low, figure.source
        )
        rows.append(("Coldest point below the air", shown(spread, notes)))
    return rows


AIR_SOURCE = (
    "balance of water and heat in the holder, from the figures on its card in the book's room; one value, "
    "for the spread of those figures is not known"
)


def table_source(table: HoldTable) -> str:
    """Where the figures of the piece come from."""
    return (
        f"cook engine {table.engine}, {table.members} simulated joints held at the corners of a table of "
        "air, humidity and hours; straight between them"
    )


def _meat_tag(table: HoldTable, notes: Notes) -> Tag:
    return notes.tag(Provenance.COMPUTED, table_source(table))


def _air_tag(notes: Notes) -> Tag:
    return notes.tag(Provenance.COMPUTED, AIR_SOURCE)


def _link(book: Book, holder: str, links: Links, origin: str) -> Link:
    return Link(book.holders[holder].title, links.href(origin, card_uri("holders", holder)))


# --- the chart ---------------------------------------------------------------------------------------


def _view(holds: MethodHolds, method: Method, book: Book, own_id: str) -> HumidityView | None:
    """The own holder's view; None where its air does not decide or it cannot do it."""
    own = next((advice for advice in holds.advice if advice.holder == own_id), None)
    if own is None or not own.possible or own.humidity is None:
        return None
    return humidity_view(holds.table, method, book, own)


def _chart(book: Book, method: Method, view: HumidityView) -> tuple[Markup, str]:
    finding = humidity_finding(view)
    title = (
        f"Air temperature against humidity for the hold: {method.title}, {book.holders[view.holder].title}"
    )
    return humidity_chart(view, name="humidity", title=title, finding=finding), finding


def humidity_finding(view: HumidityView) -> str:
    """What the chart shows, in words."""
    air, humidity = view.point
    said = [f"The point chosen is {both('temperature', air).plain} at {format_fraction(humidity)}"]
    hours = both("duration", view.hours * HOUR_S).us
    if view.tight:
        said.append("wrapped steam-tight, the piece does not feel the humidity")
    else:
        there = [
            (temp, window)
            for temp, window in zip(view.air_temps_c, view.windows, strict=True)
            if window.exists
        ]
        if there:
            (cool, first), (hot, last) = there[0], there[-1]
            said.append(
                f"for {hours} the window is {_span(first.low, first.high)} at "
                f"{both('temperature', cool).plain} and {_span(last.low, last.high)} at "
                f"{both('temperature', hot).plain}"
            )
        else:
            said.append(f"for {hours} no air temperature has a window: {view.windows[0].opened_by}")
    said.append(_floor_words(view))
    return "; ".join(said) + "."


def _floor_words(view: HumidityView) -> str:
    """Where the point chosen lies against the floor."""
    air, humidity = view.point
    edge = float(np.interp(humidity, [h for _, h in view.floor], [temp for temp, _ in view.floor]))
    floor = both("temperature", view.floor_c).plain
    if edge > air:
        return (
            f"it lies on the cold side: at this humidity one piece in ten has its coldest point under the "
            f"floor of {floor} at the end of the hold unless the air is at {both('temperature', edge).plain} "
            "or above"
        )
    return f"it keeps the coldest point above the floor of {floor}"


def _span(low: float, high: float) -> str:
    return f"{100 * low:.0f}–{100 * high:.0f} %"


def _chart_rows(view: HumidityView) -> tuple[ChartRow, ...]:
    rows = []
    airs = [row.air_temp_c for row in view.reach]
    for temp, window in zip(view.air_temps_c, view.windows, strict=True):
        within = airs[0] - 0.05 <= temp <= airs[-1] + 0.05
        nearest = min(view.reach, key=lambda row: abs(row.air_temp_c - temp))
        words = "any" if view.tight and window.exists else _span(window.low, window.high)
        low, high = min(nearest.low, 1.0), min(nearest.high, 1.0)
        bounds = f"{100 * low:.0f} %" if round(low, 2) == round(high, 2) else _span(low, high)
        rows.append(
            ChartRow(
                both("temperature", temp),
                words if window.exists else "none",
                bounds if within else "cannot be set",
            )
        )
    return tuple(rows)
