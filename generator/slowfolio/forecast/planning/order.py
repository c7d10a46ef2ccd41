"""What is asked of the planner: items, places, serving times, from the command line or a service file.

Frozen data with the cards' ids still as text; `assemble` looks them up and plans.
"""

from dataclasses import dataclass
from zoneinfo import ZoneInfo

from slowfolio.forecast.planning.errors import PlanInputError
from slowfolio.forecast.planning.leads import Meat
from slowfolio.forecast.planning.portions import (
    LEAST_PORTION_KG,
    MOST_GUESTS,
    MOST_PIECES,
    MOST_PORTION_KG,
)
from slowfolio.forecast.planning.prices import Extra, Price
from slowfolio.units import Range

CONFIDENCE = 0.95
LEAST_CONFIDENCE, MOST_CONFIDENCE = 0.5, 0.999
MOST_COOKS, MOST_ITEMS = 20, 12
ALTITUDE_M = Range(-430.0, 5500.0)
"""From the lowest to the highest town (common knowledge), as for the book's own altitude."""


def checked_confidence(confidence: float) -> float:
    """The chance asked for, refused where it is none worth planning for or none to be had."""
    # Per cent over a hundred is not always the share it stands for, to the last bit.
    share = round(confidence, 9)
    if not LEAST_CONFIDENCE <= share <= MOST_CONFIDENCE:
        raise PlanInputError(f"a confidence of {100 * confidence:g} %; give 50 to 99.9")
    return share


def checked_cooks(cooks: int) -> int:
    """How many cooks there are, refused where that is no kitchen."""
    if not 1 <= cooks <= MOST_COOKS:
        raise PlanInputError(f"{cooks} cooks; give 1 to {MOST_COOKS}")
    return cooks


@dataclass(frozen=True, slots=True)
class OrderItem:
    """One dish. None leaves it to card, book or number of guests; `serve` "" is that of the service."""

    method: str
    name: str = ""
    weight_kg: float | None = None
    pieces: int | None = None
    guests: int | None = None
    portion_kg: float | None = None
    pit: str | None = None
    holder: str | None = None
    serve: str = ""
    price: Price | None = None
    meat: Meat = Meat.FRESH

    def __post_init__(self) -> None:
        """Refuse counts and portions no kitchen plans for."""
        of = f"{self.name or self.method}: "
        if self.pieces is not None and not 1 <= self.pieces <= MOST_PIECES:
            raise PlanInputError(f"{of}{self.pieces} pieces; give 1 to {MOST_PIECES}")
        if self.guests is not None and not 1 <= self.guests <= MOST_GUESTS:
            raise PlanInputError(f"{of}{self.guests} guests; give 1 to {MOST_GUESTS}")
        if self.portion_kg is not None and not LEAST_PORTION_KG <= self.portion_kg <= MOST_PORTION_KG:
            raise PlanInputError(
                f'{of}a portion of {self.portion_kg * 1000:.0f} g; give 20 g to 2 kg, such as "6 oz"'
            )


@dataclass(frozen=True, slots=True)
class PlaceAsked:
    """A pit or holder that is there, by a name of its own and the id of its card."""

    name: str
    card: str


@dataclass(frozen=True, slots=True)
class Order:
    """One service. Without pits and holders named, those of the items' cards are there, one of each."""

    serve: str
    zone: ZoneInfo
    items: tuple[OrderItem, ...]
    confidence: float = CONFIDENCE
    cooks: int = 1
    pits: tuple[PlaceAsked, ...] = ()
    holders: tuple[PlaceAsked, ...] = ()
    altitude_m: float | None = None
    extras: tuple[Extra, ...] = ()

    def __post_init__(self) -> None:
        """Refuse what is no service."""
        if not 1 <= len(self.items) <= MOST_ITEMS:
            raise PlanInputError(f"{len(self.items)} items; give 1 to {MOST_ITEMS}")
        object.__setattr__(self, "confidence", checked_confidence(self.confidence))
        checked_cooks(self.cooks)
        if self.altitude_m is not None and self.altitude_m not in ALTITUDE_M:
            raise PlanInputError(
                f"an altitude of {self.altitude_m:.0f} m is higher or lower than any town; give -430 m to "
                f'5500 m, such as "5280 ft"'
            )
        names = [place.name for place in (*self.pits, *self.holders)]
        if twice := sorted({name for name in names if names.count(name) > 1}):
            raise PlanInputError(f"two places are called {twice[0]!r}; give each a name of its own")
