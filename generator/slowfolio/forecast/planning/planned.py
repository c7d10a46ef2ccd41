"""A whole plan as the outputs get it: items, loads, clock, purchases, notes. Only data lives here."""

from dataclasses import dataclass

from slowfolio.book import model as cards
from slowfolio.forecast.planning.clock import Clock
from slowfolio.forecast.planning.from_cards import Forecast
from slowfolio.forecast.planning.item import LoadPlan
from slowfolio.forecast.planning.order import Order, OrderItem
from slowfolio.forecast.planning.portions import Portions
from slowfolio.forecast.planning.purchase import Purchase
from slowfolio.forecast.planning.remedies import Remedy
from slowfolio.forecast.planning.service import ServicePlan


@dataclass(frozen=True, slots=True)
class PlannedItem:
    """One dish of a planned service: what was asked, how it cooks, what it feeds, what helps its time."""

    order: OrderItem
    name: str
    forecast: Forecast
    pit: str
    holder: str
    portions: Portions
    remedies: tuple[Remedy, ...]


@dataclass(frozen=True, slots=True)
class PlannedService:
    """A whole plan with its clock."""

    order: Order
    book: cards.Book
    clock: Clock
    members: int
    seed: int
    items: tuple[PlannedItem, ...]
    plan: ServicePlan
    purchase: Purchase
    notes: tuple[str, ...]

    def item_of(self, load: LoadPlan) -> PlannedItem:
        """The dish a load belongs to."""
        return next(
            i for i in self.items if load.work.name == i.name or load.work.name.startswith(f"{i.name}, ")
        )
