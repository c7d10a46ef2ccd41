"""What the chart of air temperature against humidity shows for one method in one holder.

Plain values from the method's hold table and the holder's model; `charts.humidity` draws them and the method
page says them in words.
"""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from slowfolio.book.model import Book, Holder, Method
from slowfolio.forecast.authority import rules_of
from slowfolio.forecast.hold_advice import Advice, meat_load
from slowfolio.forecast.hold_table import HoldTable, read_table
from slowfolio.forecast.hold_window import Window, needed_crispness, window_of
from slowfolio.forecast.holders import cabinet_of, room_of
from slowfolio.physics.cabinet_reach import reach
from slowfolio.site.hold_grid import air_steps_c

WINDOW_STEPS = 9


@dataclass(frozen=True, slots=True)
class ReachRow:
    """Lowest and highest humidity of the holder at an air temperature, fractions."""

    air_temp_c: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class HumidityView:
    """Windows over the air temperature, the holder's reach, the floor and the point chosen.

    `floor` are places (air temperature, humidity) from dry to damp at which the coldest point of the piece is
    just at the authority's floor; where the table does not reach so low, the floor itself.
    """

    holder: str
    hours: float
    tight: bool
    air_temps_c: tuple[float, ...]
    windows: tuple[Window, ...]
    reach: tuple[ReachRow, ...]
    floor_c: float
    floor: tuple[tuple[float, float], ...]
    point: tuple[float, float]


def humidity_view(table: HoldTable, method: Method, book: Book, advice: Advice) -> HumidityView:
    """The view of one holder for the wrap and hours of its advice, which must give a humidity."""
    assert advice.humidity is not None
    wrap, hours = advice.wrap, advice.hours
    airs = tuple(
        float(temp) for temp in np.linspace(table.air_temps_c[0], table.air_temps_c[-1], WINDOW_STEPS)
    )
    needed = needed_crispness(method)
    floor_c = rules_of(book.card).hot_hold_min_c
    return HumidityView(
        holder=advice.holder,
        hours=hours,
        tight=table.tight[table.wraps.index(wrap)],
        air_temps_c=airs,
        windows=tuple(
            window_of(table, wrap, needed, air_temp_c=air, hours=hours, floor_c=floor_c) for air in airs
        ),
        reach=reach_rows(table, book, book.holders[advice.holder], advice),
        floor_c=floor_c,
        floor=floor_line(table, wrap, hours=hours, floor_c=floor_c),
        point=(advice.stands_in_c, advice.humidity),
    )


def reach_rows(table: HoldTable, book: Book, holder: Holder, advice: Advice) -> tuple[ReachRow, ...]:
    """The holder's bounds with the piece in it, over the air temperatures that it can be set to."""
    assert advice.humidity is not None
    airs = air_steps_c(holder)
    load = meat_load(table, advice.wrap, advice.stands_in_c, advice.humidity, advice.hours)
    bounds = reach(cabinet_of(holder), air_temp_c=np.asarray(airs), room=room_of(book.card), load=load)
    lows, highs = (
        np.broadcast_to(side, len(airs)) for side in (bounds.lowest_humidity, bounds.highest_humidity)
    )
    return tuple(
        ReachRow(air, float(low), float(high)) for air, low, high in zip(airs, lows, highs, strict=True)
    )


def floor_line(
    table: HoldTable, wrap: str, *, hours: float, floor_c: float
) -> tuple[tuple[float, float], ...]:
    """Where the coldest tenth of the pieces is just at the floor when the hold ends."""
    line = []
    for humidity in table.humidities:
        coldest = [
            read_table(table, "coldest_c", wrap, air_temp_c=air, humidity=humidity, hour=hours)[0]
            for air in table.air_temps_c
        ]
        rising = all(low < high for low, high in pairwise(coldest))
        crossed = rising and coldest[0] < floor_c
        edge = float(np.interp(floor_c, coldest, table.air_temps_c)) if crossed else floor_c
        line.append((max(edge, floor_c), humidity))
    return (line[0][0], 0.0), *line, (line[-1][0], 1.0)
