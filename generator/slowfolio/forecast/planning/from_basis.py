"""A method's kept figures as the planner's input, where no engine is at hand: what the Plan page does.

The page's script does the same sums; a test in the browser holds the two together. Called by the Plan page
for its table of methods as written.
"""

from slowfolio.book import model as cards
from slowfolio.forecast.planning import basis as kept
from slowfolio.forecast.planning.arrange import Asked, seat_of, slicing_due_s
from slowfolio.forecast.planning.basis import AtWeight, PlanBasis
from slowfolio.forecast.planning.errors import PlanInputError
from slowfolio.forecast.planning.item import LoadPlan, LoadWork, plan_load
from slowfolio.forecast.planning.leads import Leads, Meat, leads_for
from slowfolio.forecast.planning.order import CONFIDENCE, OrderItem
from slowfolio.forecast.planning.places import Option
from slowfolio.forecast.planning.portions import PORTION_KG, Portions, pieces_for, portions_of
from slowfolio.forecast.planning.times import CookTimes

ANY_TIME = Asked(CONFIDENCE, float("-inf"))


class KeptDish:
    """One dish of a service on its method's own pit and in its own holder.

    Raises PlanInputError for a weight outside the card's, which the kept figures do not cover.
    """

    def __init__(
        self, item: OrderItem, basis: PlanBasis, book: cards.Book, times: CookTimes | None = None
    ) -> None:
        self.item, self.basis, self.book = item, basis, book
        self.method = book.methods[basis.method]
        self.cut = book.cuts[self.method.cut]
        self.at = self.weighed(item.weight_kg)
        self.times = kept.times_of(basis, self.method, book, self.at) if times is None else times

    def weighed(self, weight_kg: float | None) -> AtWeight:
        """The factors of the piece's weight."""
        basis = self.basis
        if weight_kg is None:
            return kept.as_written(basis)
        light, heavy = basis.light, basis.heavy
        if light is None or heavy is None or not light.weight_kg <= weight_kg <= heavy.weight_kg:
            raise PlanInputError(f"{self.item.method}: {weight_kg:g} kg is outside the weights of its card")
        return kept.between(basis, weight_kg)

    def portions(self, asked: Asked, due_s: float = 0.0) -> Portions:
        """The pieces asked for, or as many as the guests need, with what they feed."""
        item = self.item
        leads = leads_for(bought_kg=self.at.weight_kg, pieces=1, pit_kind="", meat=item.meat)
        alone = self._option(item.pieces or 1, leads, due_s)
        by_s = slicing_due_s(alone)
        start_s = seat_of(0, alone, by_s=by_s, asked=asked).start_s
        held_s = by_s - start_s - self.times.ready_window_s[1]
        piece = kept.yield_of(self.basis, self.cut, self.at, held_s=held_s)
        pieces, portion_kg = item.pieces, PORTION_KG if item.portion_kg is None else item.portion_kg
        if pieces is None:
            pieces = 1 if item.guests is None else pieces_for(item.guests, portion_kg, piece)
        return portions_of(piece, pieces=pieces, guests=item.guests, portion_kg=portion_kg)

    def option(self, pieces: int, due_s: float = 0.0) -> Option:
        """So many pieces as a load."""
        leads = leads_for(
            bought_kg=self.at.weight_kg / (1.0 - self.cut.trim_fraction.value),
            pieces=pieces,
            pit_kind=self.book.pits[self.method.pit].kind,
            meat=self.item.meat,
        )
        return self._option(pieces, leads, due_s)

    def _option(self, pieces: int, leads: Leads, due_s: float) -> Option:
        work = LoadWork(
            name=self.item.name or self.method.title,
            method=self.method.id,
            title=self.method.title,
            pieces=pieces,
            pit_title=self.book.pits[self.method.pit].title,
            trim=self.method.piece.trim,
            leads=leads,
            serve_s=due_s,
        )
        return Option(
            pit=self.method.pit,
            holder=self.method.hold.holder if self.method.hold is not None else "",
            work=work,
            times=self.times,
            hold=kept.hold_of(self.basis, self.method, self.book, pieces),
            piece_kg=self.at.weight_kg,
            held_kg=kept.held_kg(self.basis, self.at),
            piece_m2=kept.piece_m2(self.cut, self.at),
        )


def planned_as_written(basis: PlanBasis, book: cards.Book) -> LoadPlan:
    """One piece of the card's own weight, fresh, sliced for a serving at 0 s."""
    dish = KeptDish(OrderItem(basis.method, pieces=1, meat=Meat.FRESH), basis, book)
    option = dish.option(1)
    seat = seat_of(0, option, by_s=slicing_due_s(option), asked=ANY_TIME)
    return plan_load(
        option.work,
        option.times,
        option.hold,
        seat.start,
        start_s=seat.start_s,
        by_s=seat.by_s,
        confidence=ANY_TIME.confidence,
    )
