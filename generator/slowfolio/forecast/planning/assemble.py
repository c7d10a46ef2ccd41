"""From an order to a plan: cards looked up, methods cooked, pieces counted, loads planned, purchases listed.

The one room that knows all the others. Called by the `plan` command.
"""

from collections.abc import Sequence
from datetime import datetime

from slowfolio.book import model as cards
from slowfolio.forecast.planning.arrange import Load, seat_of, slicing_due_s
from slowfolio.forecast.planning.clock import Clock, on_grid_up, read_moment
from slowfolio.forecast.planning.errors import PlanInputError
from slowfolio.forecast.planning.from_cards import Forecast
from slowfolio.forecast.planning.item import LoadPlan, LoadWork
from slowfolio.forecast.planning.kitchen import Resources
from slowfolio.forecast.planning.leads import leads_for
from slowfolio.forecast.planning.lookup import Kitchen, named, places_of, serve_s, with_house_figures
from slowfolio.forecast.planning.order import Order, OrderItem
from slowfolio.forecast.planning.places import Option
from slowfolio.forecast.planning.planned import PlannedItem, PlannedService
from slowfolio.forecast.planning.portions import PORTION_KG, Portions, pieces_for, portions_of
from slowfolio.forecast.planning.purchase import Dish, purchase_of
from slowfolio.forecast.planning.remarks import item_notes, notes_of, overdue
from slowfolio.forecast.planning.remedies import (
    computed_remedies,
    remedies_in_order,
    remedies_of_hold,
)
from slowfolio.forecast.planning.service import ServicePlan, plan_service
from slowfolio.forecast.planning.start import Fit, sure_time_s


def plan_order(order: Order, book: cards.Book, *, members: int, seed: int, now: datetime) -> PlannedService:
    """Plan an order as seen at the moment `now`.

    Raises PlanInputError for what cannot be meant or is impossible, PhysicsInputError and NoForecastError
    where a method cannot be computed.
    """
    moment = read_moment(order.serve, order.zone)
    clock = Clock(moment.utc, order.zone)
    wanted = [with_house_figures(item, book) for item in named(order, book)]
    places = places_of(order, wanted, book)
    kitchen = Kitchen(order, book, places, members, seed)
    later = [serve_s(item, order, clock) for item in wanted]
    seats = [kitchen.own_place(item) for item in wanted]
    ahead_s = clock.seconds_to(now)
    past = max(later) <= ahead_s
    resources = Resources(places, order.cooks, order.confidence, float("-inf") if past else ahead_s)
    options: list[Option] = []
    portions: list[Portions] = []
    for item, seat, due_s in zip(wanted, seats, later, strict=True):
        cooked = kitchen.cooked(item, seat)
        counted = count_pieces(item, cooked, book, resources, due_s)
        options.append(kitchen.option(item, seat, counted.pieces, due_s))
        portions.append(counted)
    refuse_impossible(options, resources, clock)

    def elsewhere() -> Sequence[Load]:
        return [
            (own, *kitchen.others(item, own, due_s))
            for own, item, due_s in zip(options, wanted, later, strict=True)
        ]

    plan = plan_service([(option,) for option in options], resources, elsewhere=elsewhere)
    items = []
    for item, seat, counted, option in zip(wanted, seats, portions, options, strict=True):
        cooked = kitchen.cooked(item, seat)
        # Cooking every dish of a service once more for each remedy takes too long to wait for.
        at_pit = computed_remedies(cooked, book, members=members, seed=seed) if len(wanted) == 1 else ()
        remedies = remedies_in_order(at_pit, remedies_of_hold(tightest_load(plan, item).hold))
        items.append(PlannedItem(item, item.name, cooked, option.pit, option.holder, counted, remedies))
    dishes = [Dish(item.name, item.forecast.method, book, item.portions, item.order.price) for item in items]
    return PlannedService(
        order=order,
        book=book,
        clock=clock,
        members=members,
        seed=seed,
        items=tuple(items),
        plan=plan,
        purchase=purchase_of(dishes, order.extras),
        notes=tuple(dict.fromkeys((*notes_of(order, moment.note, members, past=past),
                                   *(note for item in items for note in item_notes(item, book)),
                                   *overdue(plan, ahead_s, past=past), *plan.notes))),
    )  # fmt: skip


def tightest_load(plan: ServicePlan, item: OrderItem) -> LoadPlan:
    """The load of a dish that has the least hold to give: what helps it helps the others."""
    mine = (
        load
        for load in plan.loads
        if load.work.name == item.name or load.work.name.startswith(f"{item.name}, load ")
    )
    return min(mine, key=lambda load: load.hold.spare_s)


def count_pieces(
    item: OrderItem, cooked: Forecast, book: cards.Book, resources: Resources, due_s: float
) -> Portions:
    """The pieces asked for, or as many as the guests need, with what they feed."""
    cut = book.cuts[cooked.method.cut]
    leads = leads_for(bought_kg=cooked.piece_kg, pieces=1, pit_kind="", meat=item.meat)
    hold = cooked.hold_for(item.pieces or 1, book)
    work = LoadWork(item.name, item.method, "", 1, "", "", leads, due_s)
    alone = Option("", "", work, cooked.times, hold, cooked.piece_kg, cooked.piece_kg, 1.0)
    by_s = slicing_due_s(alone)
    seat = seat_of(0, alone, by_s=by_s, asked=resources.asked)
    held_s = by_s - seat.start_s - cooked.times.ready_window_s[1]
    piece = cooked.yield_of(cut, held_s=held_s)
    pieces, portion_kg = item.pieces, PORTION_KG if item.portion_kg is None else item.portion_kg
    if pieces is None:
        pieces = 1 if item.guests is None else pieces_for(item.guests, portion_kg, piece)
    return portions_of(piece, pieces=pieces, guests=item.guests, portion_kg=portion_kg)


def refuse_impossible(options: Sequence[Option], resources: Resources, clock: Clock) -> None:
    """Refuse a serving time that no simulated cook meets any more."""
    for option in options:
        seat = seat_of(0, option, by_s=slicing_due_s(option), asked=resources.asked)
        if seat.start.fit is not Fit.LATE or seat.start.chance > 0.0:
            continue
        work, ready = option.work, option.times.ready_s
        quickest_s = seat.start_s + float(ready.min()) + work.leads.slice_s
        sure_s = on_grid_up(seat.start_s + sure_time_s(ready, resources.confidence) + work.leads.slice_s)
        thawed = "thawed and " if work.leads.soonest_on_s > work.leads.light_s.low else ""
        raise PlanInputError(
            f"{work.name} cannot be served at {clock.shown(work.serve_s)}: {thawed}on the pit at "
            f"{clock.shown(seat.start_s)} at the soonest, the quickest of {option.times.count} cooks is "
            f"on the board at {clock.shown(quickest_s)}; serve at {clock.shown(sure_s)} or later to be "
            f"{100 * resources.confidence:g} % sure"
        )
