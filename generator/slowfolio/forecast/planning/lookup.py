"""Looking up what an order names: dishes, places, and each dish cooked in its places.

Ids become cards, cards become the planner's places and options; a method is cooked once for each set of
conditions. Called by `assemble`.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import timedelta

from slowfolio.book import model as cards
from slowfolio.book.findings import did_you_mean
from slowfolio.forecast.planning.clock import Clock, read_moment
from slowfolio.forecast.planning.errors import PlanInputError
from slowfolio.forecast.planning.from_cards import Forecast, Setup, check_ids, forecast
from slowfolio.forecast.planning.item import LoadWork
from slowfolio.forecast.planning.leads import leads_for
from slowfolio.forecast.planning.order import Order, OrderItem, PlaceAsked
from slowfolio.forecast.planning.places import Option, Place, PlaceKind
from slowfolio.forecast.planning.portions import PORTION_KG
from slowfolio.forecast.planning.prices import read_price
from slowfolio.units import Range

PIT_REACH_K = 3.0
"""How far a stage may lie outside a pit's range and still be cooked there: no dial is sharper. CALIBRATED."""


def named(order: Order, book: cards.Book) -> list[OrderItem]:
    """The items with names of their own, their methods checked."""
    items: list[OrderItem] = []
    for item in order.items:
        check_ids(Setup(item.method), book)
        name = item.name or book.methods[item.method].title
        count = sum(other.name == name or other.name.startswith(f"{name} (") for other in items)
        items.append(replace(item, name=f"{name} ({count + 1})" if count else name))
    return items


def with_house_figures(item: OrderItem, book: cards.Book) -> OrderItem:
    """The item with the portion and price of the book's own kitchen where the order leaves them open."""
    serving, cut = book.card.serving, book.methods[item.method].cut
    portion_kg, price = item.portion_kg, item.price
    if portion_kg is None:
        portion_kg = serving.portions_kg.get(cut, serving.portion_kg)
    if price is None and cut in serving.prices:
        price = read_price(serving.prices[cut])
    return replace(item, portion_kg=PORTION_KG if portion_kg is None else portion_kg, price=price)


def serve_s(item: OrderItem, order: Order, clock: Clock) -> float:
    """When an item is wanted, seconds from the serving time of the service."""
    if not item.serve:
        return 0.0
    text = item.serve if len(item.serve) > 5 else f"{clock.at(0.0):%Y-%m-%d} {item.serve}"
    offset = clock.seconds_to(read_moment(text, order.zone).utc)
    if abs(offset) > timedelta(days=2).total_seconds():
        raise PlanInputError(f"{item.name} is served more than two days from the rest; plan it on its own")
    return offset


def places_of(order: Order, items: Sequence[OrderItem], book: cards.Book) -> dict[str, Place]:
    """The pits and holders that are there, and those that a card asks for besides."""
    places: dict[str, Place] = {}
    for asked in order.pits:
        check_ids(Setup(items[0].method, pit=asked.card), book)
        places[asked.name] = pit_place(asked, book)
    for asked in order.holders:
        check_ids(Setup(items[0].method, holder=asked.card), book)
        places[asked.name] = holder_place(asked, book)
    for item in items:
        method = book.methods[item.method]
        if not order.pits:
            card = item.pit or method.pit
            check_ids(Setup(item.method, pit=card), book)
            places.setdefault(card, pit_place(PlaceAsked(card, card), book))
        for stage in method.stages:
            if stage.pit is not None and not any(p.card == stage.pit for p in places.values()):
                places[stage.pit] = pit_place(PlaceAsked(stage.pit, stage.pit), book)
        if not order.holders:
            held = item.holder or (method.hold.holder if method.hold is not None else None)
            if held is not None:
                check_ids(Setup(item.method, holder=held), book)
                places.setdefault(held, holder_place(PlaceAsked(held, held), book))
    return places


def pit_place(asked: PlaceAsked, book: cards.Book) -> Place:
    """A pit card as a place."""
    pit = book.pits[asked.card]
    title = pit.title if asked.name == asked.card else f"{pit.title} ({asked.name})"
    return Place(asked.name, pit.id, PlaceKind.PIT, title, pit.load_kg.value, pit.grate_area_m2.value)


def holder_place(asked: PlaceAsked, book: cards.Book) -> Place:
    """A holder card as a place."""
    holder = book.holders[asked.card]
    title = holder.title if asked.name == asked.card else f"{holder.title} ({asked.name})"
    return Place(asked.name, holder.id, PlaceKind.HOLDER, title, holder.load_kg.value)


@dataclass(frozen=True, slots=True)
class Spot:
    """Where an item goes: names of its pit and its holder, "" for no hold."""

    pit: str
    holder: str


class Kitchen:
    """Cooks each method once for each set of conditions, and turns it into options."""

    def __init__(
        self, order: Order, book: cards.Book, places: dict[str, Place], members: int, seed: int
    ) -> None:
        self.order, self.book, self.places = order, book, places
        self.members, self.seed = members, seed
        self.made: dict[Setup, Forecast] = {}

    def own_place(self, item: OrderItem) -> Spot:
        """The places an item names, or those of its card."""
        method = self.book.methods[item.method]
        pit = self.find(PlaceKind.PIT, item, item.pit or method.pit)
        wanted = item.holder or (method.hold.holder if method.hold is not None else "")
        return Spot(pit, self.find(PlaceKind.HOLDER, item, wanted) if wanted else "")

    def find(self, kind: PlaceKind, item: OrderItem, wanted: str) -> str:
        """The place called `wanted`, or the first with that card."""
        there = {name: place for name, place in self.places.items() if place.kind is kind}
        if wanted in there:
            return wanted
        for name, place in there.items():
            if place.card == wanted:
                return name
        advice = did_you_mean(wanted, list(there), otherwise="there is")
        raise PlanInputError(
            f"{item.name} goes to the {kind} {wanted!r}, which is not in this service; {advice}"
        )

    def cooked(self, item: OrderItem, spot: Spot) -> Forecast:
        """The item cooked in its places."""
        method = self.book.methods[item.method]
        pit = self.places[spot.pit].card
        holder = self.places[spot.holder].card if spot.holder else None
        own_holder = method.hold.holder if method.hold is not None else None
        setup = Setup(
            method=item.method,
            weight_kg=item.weight_kg,
            pit=None if pit == method.pit else pit,
            holder=None if holder == own_holder else holder,
            altitude_m=self.order.altitude_m,
        )
        if setup not in self.made:
            self.made[setup] = forecast(setup, self.book, members=self.members, seed=self.seed)
        return self.made[setup]

    def option(self, item: OrderItem, spot: Spot, pieces: int, due_s: float) -> Option:
        """The item as a load in its places."""
        cooked = self.cooked(item, spot)
        pit = self.book.pits[self.places[spot.pit].card]
        cut = self.book.cuts[cooked.method.cut]
        work = LoadWork(
            name=item.name,
            method=item.method,
            title=cooked.method.title,
            pieces=pieces,
            pit_title=self.places[spot.pit].title,
            trim=cooked.method.piece.trim,
            leads=leads_for(
                bought_kg=cooked.piece_kg / (1.0 - cut.trim_fraction.value),
                pieces=pieces,
                pit_kind=pit.kind,
                meat=item.meat,
            ),
            serve_s=due_s,
        )
        return Option(
            pit=spot.pit,
            holder=spot.holder,
            work=work,
            times=cooked.times,
            hold=cooked.hold_for(pieces, self.book),
            piece_kg=cooked.piece_kg,
            held_kg=cooked.held_kg(),
            piece_m2=cooked.grate_m2,
        )

    def others(self, item: OrderItem, own: Option, due_s: float) -> list[Option]:
        """The item on every other pit that is there and goes to the card's temperatures."""
        method = self.book.methods[item.method]
        options: list[Option] = []
        for name, place in self.places.items():
            if place.kind is not PlaceKind.PIT or name == own.pit:
                continue
            if goes_to_all(method, self.book.pits[place.card].pit_temp_c):
                options.append(self.option(item, Spot(name, own.holder), own.work.pieces, due_s))
        return options


def goes_to_all(method: cards.Method, reach: Range) -> bool:
    """Whether a pit of this range goes to every temperature the method has on its own pit."""
    temps = [stage.pit_temp_c for stage in method.stages if stage.pit is None]
    return all(reach.low - PIT_REACH_K <= temp <= reach.high + PIT_REACH_K for temp in temps)
