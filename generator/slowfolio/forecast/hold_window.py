"""The humidity window of a hold: air that neither dries the meat, nor chills it, nor softens its crust.

Reads the method's `HoldTable` and knows nothing of holders. `hold_advice` aims inside the window, the pages
draw it; the script of the Holding page does the same sums under the same names.
"""

from dataclasses import dataclass

import numpy as np

from slowfolio.book import model as cards
from slowfolio.forecast.hold_table import HoldTable, read_crispness, read_table

ALLOWED_LOSS = 0.06
"""Weight a hold may cost, of what went in. CALIBRATED: what a ten-hour hold at 25–30 % costs, the driest the
trade accepts (common practice, no source)."""

CRISPNESS_NEEDED = {"crisp": 60.0, "firm": 40.0, "tender": 0.0, "soft": 0.0}
"""Crispness score that still counts as the bark a card expects. CALIBRATED, on the scale of `outcomes`."""

HUMIDITY_STEP = 0.01


@dataclass(frozen=True, slots=True)
class Window:
    """The humidities to hold in, for one wrap; `low` above `high` means there is none.

    `target` is where to aim: the middle, and where there is no window at least damp enough for the floor.
    """

    wrap: str
    low: float
    high: float
    exists: bool
    target: float
    opened_by: str


def needed_crispness(method: cards.Method) -> float:
    """The crispness score the card's expected bark asks for."""
    expected = method.expected.get("bark")
    return 0.0 if expected is None else CRISPNESS_NEEDED.get(expected.level, 0.0)


def window_of(
    table: HoldTable, wrap: str, crispness: float, *, air_temp_c: float, hours: float, floor_c: float
) -> Window:
    """From the driest air that keeps loss and coldest point allowed to the dampest that keeps the crust.

    Loss and crust are medians; the coldest tenth of the pieces has to be at `floor_c` when the hold ends, for
    an open surface sits below the air by what it evaporates.
    """
    grid = np.arange(table.humidities[0], table.humidities[-1] + HUMIDITY_STEP / 2, HUMIDITY_STEP).tolist()

    def read(quantity: str, humidity: float) -> tuple[float, float, float]:
        return read_table(table, quantity, wrap, air_temp_c=air_temp_c, humidity=humidity, hour=hours)

    def crust(humidity: float) -> float:
        return read_crispness(table, wrap, air_temp_c=air_temp_c, humidity=humidity, hour=hours)[1]

    moist = [humidity for humidity in grid if read("loss", humidity)[1] <= ALLOWED_LOSS]
    warm = [humidity for humidity in grid if read("coldest_c", humidity)[0] >= floor_c]
    crisp = [humidity for humidity in grid if crust(humidity) >= crispness]
    low = max(moist[0], warm[0]) if moist and warm else 1.0
    high = crisp[-1] if crisp else 0.0
    if low <= high:
        return Window(wrap, low, high, True, 0.5 * (low + high), "")
    target = max(0.5 * (low + high), warm[0] if warm else grid[-1])
    return Window(wrap, low, high, False, target, opened_by(moist, warm, crisp))


def opened_by(moist: list[float], warm: list[float], crisp: list[float]) -> str:
    """What would open a window that is shut, from the humidities at which each demand is met."""
    if not warm:
        return (
            "its coldest point ends below the authority's floor in any air: hold it warmer, or covered tight"
        )
    if not crisp:
        return (
            "the crust is softer than wanted in any air: hold it open, or dry it in a hot pit before serving"
        )
    if not moist:
        return "it loses more than allowed in any air: hold it cooler, covered, or for fewer hours"
    if warm[0] > max(moist[0], crisp[-1]):
        return (
            "air damp enough to keep its coldest point at the floor softens the crust: hold it warmer, or "
            "covered and finish it open"
        )
    return (
        "air damp enough for the meat softens the crust: hold it cooler, for fewer hours, or finish it open"
    )
