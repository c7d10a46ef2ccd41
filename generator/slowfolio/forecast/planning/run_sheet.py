"""The run sheet: every act of every load in the order of the clock, and the plan in plain words.

Rows are data for a page to lay out; `as_text` is the same for a terminal or printer. Nothing is decided here.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from slowfolio.forecast.planning.acts import Act
from slowfolio.forecast.planning.changes import Change, ChangeKind
from slowfolio.forecast.planning.clock import Clock, clock_time
from slowfolio.forecast.planning.conflicts import Conflict, ConflictKind
from slowfolio.forecast.planning.item import HoldOutlook, LoadPlan
from slowfolio.forecast.planning.planned import PlannedItem, PlannedService
from slowfolio.forecast.planning.portions import Portions
from slowfolio.forecast.planning.remedies import Remedy, When
from slowfolio.forecast.planning.start import Fit
from slowfolio.forecast.planning.times import ActKind
from slowfolio.units import System, format_duration, format_mass

FIXED = frozenset({ActKind.ON, ActKind.SLICE, ActKind.SERVE})
"""Acts that are done by the clock; all others have a window, or a latest time."""


LOAD_OF = re.compile(r"(.+), load (\d+) of \d+(?:: (.+))?")


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the sheet: the planned time, its window in words, the load, the act and what to do."""

    at_s: float
    at: str
    window: str
    load: str
    act: Act


def rows_of(service: PlannedService) -> tuple[Row, ...]:
    """All acts in the order of the clock, those of one time in the order of the loads."""
    rows = [
        Row(act.at_s, service.clock.shown(act.at_s), window_words(act, service.clock), load.work.name, act)
        for load in service.plan.loads
        for act in load.acts
    ]
    return tuple(sorted(rows, key=lambda row: row.at_s))


def window_words(act: Act, clock: Clock) -> str:
    """ "14:05–17:20", "by 05:30", or "" for what is done by the clock."""
    if act.p90_s <= act.p10_s:
        return ""
    if act.p10_s == act.at_s:
        return f"by {clock_time(act.p90_s, act.at_s, clock)}"
    return f"{clock_time(act.p10_s, act.at_s, clock)}–{clock_time(act.p90_s, act.at_s, clock)}"


def as_text(service: PlannedService) -> str:
    """The whole plan for a terminal."""
    clock, plan, system = service.clock, service.plan, service.book.card.units_first
    lines = [f"Serve {clock.shown(0.0)} ({clock.zone.key})"]
    for item in service.items:
        lines += ["", *item_lines(item, system)]
    if plan.conflicts or plan.changes or not plan.resolved:
        lines += ["", *conflict_lines(service)]
    for load in plan.loads:
        lines += ["", load.work.name, *(f"  {line}" for line in load_lines(load, service))]
    lines += ["", "Run sheet (planned time, window in which eight of ten cooks fall)", *sheet_lines(service)]
    lines += ["", *early_and_late_lines(service)]
    lines += ["", *purchase_lines(service, system)]
    if service.notes:
        lines += ["", *(f"note: {note}" for note in service.notes)]
    return "\n".join(lines)


def item_lines(item: PlannedItem, system: System) -> list[str]:
    """What is cooked, and what it feeds."""
    portions, method = item.portions, item.forecast.method
    pieces = "1 piece" if portions.pieces == 1 else f"{portions.pieces} pieces"
    return [
        f"{item.name}: {pieces} of {format_mass(portions.piece_kg, system)} trimmed "
        f"({format_mass(portions.bought_piece_kg, system)} as bought), method {method.id}",
        *portion_lines(portions, system),
    ]


def portion_lines(portions: Portions, system: System) -> list[str]:
    """Portions with their spread."""
    low, middle, high = (
        format_mass(mass, system)
        for mass in (portions.served_p10_kg, portions.served_p50_kg, portions.served_p90_kg)
    )
    size = format_mass(portions.portion_kg, system)
    feeds = f"{portions.feeds} portions of {size} in nine cooks of ten"
    said = [f"  off the board {low} – {middle} – {high}: {feeds}"]
    if portions.guests is not None and portions.chance is not None:
        said.append(f"  enough for {portions.guests} guests in {shown_share(portions.chance)} of the cooks")
    return said


def load_lines(load: LoadPlan, service: PlannedService) -> Iterator[str]:
    """Chance, start and hold of one load, in sentences."""
    clock, start = service.clock, load.start
    asked = f"{100 * service.order.confidence:g} %"
    on = f"on the {load.work.pit_title.lower()} at {clock.shown(load.start_s)}"
    yield f"{on}; ready in time in {shown_share(load.chance)} of the cooks"
    if start.fit is Fit.BOTH:
        yield (
            f"start from {clock.shown(start.earliest_s)} (before, an early piece outlasts the longest "
            f"hold, {format_duration(load.hold.terms.longest_s)}) "
            f"to {clock.shown(start.latest_s)} (after, it is less than {asked} sure)"
        )
    elif start.fit is Fit.LATE:
        yield f"that is too late for {asked}; it should have gone on by {clock.shown(start.latest_s)}"
    yield from trade_lines(load, service)
    yield from hold_lines(load.hold)


def trade_lines(load: LoadPlan, service: PlannedService) -> Iterator[str]:
    """The trade between being sure and a hold that is too long."""
    other = load.start.instead
    if other is None:
        return
    terms, clock = load.hold.terms, service.clock
    early = format_duration(load.hold.held_p90_s)
    if not terms.holder:
        limit = "and the card has no hold; --holder gives it one"
    else:
        limit = f"longer than the {format_duration(terms.longest_s)} {limit_words(load.hold)}"
    yield f"both limits cannot hold: an early piece (P10) then waits {early}, {limit}"
    sooner = f"on at {clock.shown(other.start_s)} it waits {format_duration(other.early_hold_s)}"
    yield f"the trade: {sooner}, but is in time in only {shown_share(other.chance)} of the cooks"


def limit_words(outlook: HoldOutlook) -> str:
    """Whose limit the longest hold is."""
    terms = outlook.terms
    if terms.rules_p10_s < terms.at_most_s:
        return f"until {terms.too_cool} in one cook of ten ({terms.rule})"
    return "that the card allows for the bark"


def hold_lines(outlook: HoldOutlook) -> Iterator[str]:
    """What buffer the hold gives and where it ends."""
    terms = outlook.terms
    if not terms.holder:
        yield "no hold: nothing is left for a late piece but to serve late"
        return
    low, middle, high = (
        format_duration(held) for held in (outlook.held_p10_s, outlook.held_p50_s, outlook.held_p90_s)
    )
    wanted = format_duration(terms.wanted_s)
    yield f"held {low} – {middle} – {high} in the {terms.title.lower()} (card: {wanted})"
    yield f"too short: {shown_share(outlook.share_late)} of the cooks come after slicing is due"
    yield (
        f"too long for the bark (card: at most {format_duration(terms.at_most_s)}): "
        f"{shown_share(outlook.share_past_card)} of the cooks"
    )
    if terms.rules_s is not None:
        share = shown_share(outlook.share_past_rule)
        yield f"too cool ({terms.too_cool}; {terms.rule}): {share} of the cooks"


def conflict_lines(service: PlannedService) -> list[str]:
    """What is in the way, and what is changed so that it is not."""
    plan = service.plan
    lines = []
    if plan.conflicts:
        lines += ["In each other's way, each planned as if alone"]
        lines += [f"  {conflict_words(conflict, service)}" for conflict in plan.conflicts]
    if not plan.resolved:
        return [*lines, f"NOT RESOLVED: {plan.reason}"]
    if plan.changes:
        least = (
            "Least change that resolves it"
            if plan.least
            else "A change that resolves it; a smaller one may exist"
        )
        lines += [least, *(f"  {change_words(change, service.clock)}" for change in plan.changes)]
    return lines


def conflict_words(conflict: Conflict, service: PlannedService) -> str:
    """One conflict in a sentence."""
    clock, system = service.clock, service.book.card.units_first
    when = f"{clock.shown(conflict.from_s)}–{clock_time(conflict.to_s, conflict.from_s, clock)}"
    who = who_words(conflict.who)
    if conflict.kind is ConflictKind.HANDS:
        return f"{when}: {conflict.need:.0f} pairs of hands wanted, {conflict.have:.0f} there ({who})"
    place = next(peak.place.title for peak in service.plan.peaks if peak.place.name == conflict.place)
    if conflict.kind is ConflictKind.LOAD:
        need, have = (format_mass(kg, system) for kg in (conflict.need, conflict.have))
    else:
        need, have = (f"{area:.2f} m² of grate" for area in (conflict.need, conflict.have))
    return f"{when}: {place.lower()} asked for {need}, takes {have} ({who})"


def who_words(who: tuple[str, ...]) -> str:
    """The loads of one dish taken together: "Pork, loads 1, 2 and 4: trim, rub"."""
    said: dict[str, tuple[list[str], list[str]]] = {}
    for name in who:
        found = LOAD_OF.fullmatch(name)
        loads, acts = said.setdefault(found[1] if found else name, ([], []))
        if found is not None:
            loads += [found[2]] if found[2] not in loads else []
            acts += [found[3]] if found[3] and found[3] not in acts else []
    return "; ".join(
        f"{dish}{loads_words(loads)}{': ' if acts else ''}{', '.join(acts)}"
        for dish, (loads, acts) in said.items()
    )


def loads_words(numbers: list[str]) -> str:
    """ ", load 2", or ", loads 1, 2 and 3"."""
    if len(numbers) < 2:
        return "".join(f", load {number}" for number in numbers)
    return f", loads {', '.join(numbers[:-1])} and {numbers[-1]}"


def change_words(change: Change, clock: Clock) -> str:
    """One change in a sentence."""
    if change.kind is ChangeKind.SPLIT:
        return f"{change.load}: in loads of {change.what} pieces"
    if change.kind is ChangeKind.PIT:
        return f"{change.load}: to the {change.to_pit.lower()} instead of the {change.from_pit.lower()}"
    moved = change.to_s - change.from_s
    word = "later" if moved > 0 else "earlier"
    what = "on" if change.kind is ChangeKind.START else change.what.lower()
    return f"{change.load}: {what} {format_duration(abs(moved))} {word}, at {clock.shown(change.to_s)}"


def sheet_lines(service: PlannedService) -> list[str]:
    """The acts as lines."""
    rows = rows_of(service)
    several = len(service.plan.loads) > 1
    at, window = max(len(row.at) for row in rows), max(len(row.window) for row in rows)
    lines = []
    for row in rows:
        who = f"{row.load}: " if several else ""
        by = "" if row.act.by_s is None or row.act.kind in FIXED else latest_words(row, service.clock)
        do = f" {row.act.do}" if row.act.do else ""
        lines.append(f"  {row.at:<{at}}  {row.window:<{window}}  {who}{row.act.title}.{do}{by}")
    return lines


def latest_words(row: Row, clock: Clock) -> str:
    """Until when the act leaves the asked chance."""
    assert row.act.by_s is not None
    return f" [still sure until {clock_time(row.act.by_s, row.at_s, clock)}]"


def early_and_late_lines(service: PlannedService) -> list[str]:
    """What to do early and late, under each dish's name where there are several."""
    if len(service.items) == 1:
        return remedy_lines(list(service.items[0].remedies))
    lines = ["Early or late; what the pit gives is computed for one dish at a time: slowfolio plan METHOD"]
    for item in service.items:
        lines += [f"  {item.name}", *(f"    {line}" for line in remedy_lines(list(item.remedies)))]
    return lines


def remedy_lines(remedies: list[Remedy]) -> list[str]:
    """What to do early and late; what brings nothing is named, so that nobody tries it."""
    lines = []
    for when in dict.fromkeys(remedy.when for remedy in remedies):
        lines.append(f"If it runs {when.value}")
        these = [remedy for remedy in remedies if remedy.when is when]
        lines += [f"  {r.do}{gain_words(r)} [{r.provenance.value}]" for r in these if r.helps]
        lines += [f"  No help: {r.do}{gain_words(r)} [{r.provenance.value}]" for r in these if not r.helps]
    return lines


GAIN_VERBS = {When.LATE: "Saves", When.EARLY: "Puts it off by"}


def gain_words(remedy: Remedy) -> str:
    """What a remedy brings."""
    gain = remedy.gain_s
    if gain is None:
        return ""
    verb = GAIN_VERBS[remedy.when]
    if gain.p10 == gain.p90:
        return f" {verb} up to {in_minutes(gain.p50)}."
    low, middle, high = (in_minutes(value) for value in (gain.p10, gain.p50, gain.p90))
    return f" {verb} {middle} ({low} to {high})."


def in_minutes(seconds: float) -> str:
    """A gain to the minute; what brings nothing, or less, brings 0 min."""
    minutes = max(0, round(seconds / 60.0))
    return format_duration(60.0 * minutes) if minutes >= 10 else f"{minutes} min"


def shown_share(share: float) -> str:
    """A share in whole per cent; 0 and 100 only where it is none or all of the simulated cooks."""
    if 0.0 < share < 0.01:
        return "less than 1 %"
    if 0.99 < share < 1.0:
        return "more than 99 %"
    return f"{100 * share:.0f} %"


def purchase_lines(service: PlannedService, system: System) -> list[str]:
    """What to buy."""
    purchase = service.purchase
    lines = ["To buy"]
    for line in purchase.lines:
        if line.each_kg is not None and line.total_kg is not None:
            each, total = format_mass(line.each_kg, system), format_mass(line.total_kg, system)
            amount = f"{line.pieces} of {each}, {total} in all"
        elif line.amount:
            amount = line.amount if line.pieces == 1 else f"{line.amount} a piece, {line.pieces} pieces"
        elif line.item:
            amount = f"for {line.pieces}"
        else:
            amount = ""
        if line.item and len(service.items) > 1:
            amount = f"{amount}  ({line.item})"
        cost = f"  {line.cost} {purchase.currency}" if line.cost is not None else ""
        lines.append(f"  {line.what}  {amount}{cost}".rstrip())
    if purchase.total is not None:
        each = (
            f", {purchase.per_portion} for each of {purchase.portions} portions"
            if purchase.per_portion is not None
            else ""
        )
        lines.append(f"  total {purchase.total} {purchase.currency}{each}")
        if purchase.unpriced:
            lines.append(f"  without a price: {', '.join(purchase.unpriced)}")
    return lines
