"""What to tell about a plan besides its times: assumptions, limits, what is overdue. Sentences only.

Called by `assemble`; a figure in a sentence is the plan's or the engine's own.
"""

from slowfolio.book import model as cards
from slowfolio.forecast.authority import rules_of
from slowfolio.forecast.planning.lookup import goes_to_all
from slowfolio.forecast.planning.order import Order
from slowfolio.forecast.planning.planned import PlannedItem
from slowfolio.forecast.planning.service import ServicePlan
from slowfolio.forecast.planning.start import sure_time_s
from slowfolio.provenance import Provenance
from slowfolio.units import format_duration, format_mass

OUT_WORTH_S = 600.0
"""Time out of temperature that is worth telling. CALIBRATED."""


def notes_of(order: Order, moment: str, members: int, *, past: bool) -> list[str]:
    """What holds for the whole service."""
    notes = [moment] if moment else []
    if past:
        notes.append("the serving time has passed; planned as it would have been")
    if order.confidence > 1.0 - 1.0 / members:
        notes.append(
            f"{members} simulated cooks cannot tell {100 * order.confidence:g} % from the slowest of them; "
            f"give --members {round(1.0 / (1.0 - order.confidence)) + 1} or more"
        )
    return notes


def item_notes(item: PlannedItem, book: cards.Book) -> list[str]:
    """What was assumed for a dish, and what its weight and its rest ask attention for."""
    said = list(item.forecast.notes)
    method = item.forecast.method
    weight = method.piece.weight_kg
    if not weight.low - 0.05 <= item.forecast.piece_kg <= weight.high + 0.05:
        system = book.card.units_first
        said.append(
            f"the card is written for {format_mass(weight, system)}; "
            f"{format_mass(item.forecast.piece_kg, system)} is outside of it"
        )
    pit = book.pits[item.forecast.pit]
    if not goes_to_all(method, pit.pit_temp_c):
        said.append(f"the {pit.title.lower()} does not go to all the card's temperatures")
    if method.hold is not None and book.holders[method.hold.holder].heated:
        out_s = sure_time_s(item.forecast.warmth(item.portions.pieces, book).out_s, 0.5)
        rules = rules_of(book.card)
        if out_s >= OUT_WORTH_S:
            floor = f"{round(rules.hot_hold_min_c, 1):g} °C ({rules.hot_hold_min_f:g} °F)"
            below = f"below {floor} for {format_duration(out_s)} between pit and hold"
            said.append(
                f"its coldest point is {below} (median): time out of temperature under {rules.hot_hold}"
            )
    return [f"{item.name}: {note}" for note in said]


def overdue(plan: ServicePlan, now_s: float, *, past: bool) -> list[str]:
    """Acts that were due before now, where the serving time still lies ahead."""
    if past:
        return []
    notes: list[str] = []
    for load in plan.loads:
        work = [act for act in load.acts if act.provenance is Provenance.PRACTICE and act.hands_s > 0]
        due = [act.title.lower() for act in work if act.at_s < now_s]
        if due:
            notes.append(f"{load.work.name}: due before now, do it at once: {', '.join(due)}")
    return notes
