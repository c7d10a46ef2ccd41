"""What holding does to a method, and how to set every holder of the book for it: data only.

`pipeline` fills it, `cache` stores it, `site` and the `hold` command show it.
"""

from dataclasses import dataclass, field

from slowfolio.forecast.box_grid import BoxGrid
from slowfolio.forecast.hold_advice import Advice
from slowfolio.forecast.hold_table import HoldTable


@dataclass(frozen=True, slots=True)
class MethodHolds:
    """The hold table of a method and the advice for every holder of the book, in the book's order.

    `boxes` are the hours in each holder without heat, by id, for other bottles than the usual ones.
    """

    method: str
    table: HoldTable
    advice: tuple[Advice, ...]
    boxes: dict[str, BoxGrid] = field(default_factory=dict)
