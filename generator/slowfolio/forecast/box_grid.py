"""How long an unheated box holds a piece, over litres and temperature of its bottles.

The Holding page reads it for bottles other than the usual ones; `hold_advice.boxed` works out single cases of
the same physics. Called by `enrich.pipeline`, which keeps it with the hold table.
"""

from dataclasses import dataclass

import numpy as np

from slowfolio.book.model import Book, Holder
from slowfolio.forecast.authority import rules_of
from slowfolio.forecast.hold_advice import boxed_piece
from slowfolio.forecast.hold_table import HoldTable
from slowfolio.forecast.holders import room_of
from slowfolio.forecast.inputs import box_of, hot_water_of
from slowfolio.physics.box import HotWater, boxed_hold

LITRES = tuple(float(litres) for litres in range(14))
WATER_C = (50.0, 55.0, 60.0, 65.0, 70.0, 75.0, 80.0, 85.0, 90.0, 95.0)
"""Places of the grid; straight between them is within 1 % of the exact hours, and of what a litre adds."""


@dataclass(frozen=True, slots=True)
class BoxGrid:
    """Hours above the authority's floor, `hours[litres][water temperature]`."""

    litres: tuple[float, ...]
    water_c: tuple[float, ...]
    hours: tuple[tuple[float, ...], ...]


def box_grids(table: HoldTable, book: Book) -> dict[str, BoxGrid]:
    """The grids of all holders of a book that have no heat, by id."""
    return {name: box_grid(table, book, holder) for name, holder in book.holders.items() if not holder.heated}


def box_grid(table: HoldTable, book: Book, holder: Holder) -> BoxGrid:
    """The hours of one piece in one box, warmed through as for the usual bottles."""
    litres, water_c = np.meshgrid(LITRES, WATER_C, indexing="ij")
    found = boxed_hold(
        box_of(holder),
        boxed_piece(table),
        HotWater(litres=litres, temp_c=water_c),
        floor_c=rules_of(book.card).hot_hold_min_c,
        room_c=float(room_of(book.card).temp_c),
        lining_c=hot_water_of(holder).temp_c,
    )
    hours = np.round(found.coldest_s / 3600.0, 4)
    return BoxGrid(LITRES, WATER_C, tuple(tuple(float(value) for value in row) for row in hours))
