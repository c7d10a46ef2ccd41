"""The Plan page: when to do what for a serving time, worked out in the page for the choices made there.

What the script chooses from and says is laid out here; its figures are in `plan_data`. Without JavaScript the
page tells for every method how long before serving each act is due. `plan.html` lays it out.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass

from slowfolio.book.model import Book
from slowfolio.enrich.results import MethodResult
from slowfolio.forecast.planning.acts import Act
from slowfolio.forecast.planning.basis import PlanBasis
from slowfolio.forecast.planning.from_basis import planned_as_written
from slowfolio.forecast.planning.item import LoadPlan
from slowfolio.forecast.planning.run_sheet import shown_share
from slowfolio.forecast.planning.times import ActKind
from slowfolio.provenance import Provenance
from slowfolio.site.links import Link, Links, card_uri
from slowfolio.site.plan_data import facts
from slowfolio.site.shown import Both, Note, Notes, Tag, both
from slowfolio.units import format_duration

PLAN = "plan.md"
DAY_S = 86_400.0
BY_THE_CLOCK = frozenset({ActKind.ON, ActKind.SERVE})


@dataclass(frozen=True, slots=True)
class DishChoice:
    """A method to choose, and what the page must know of it before its figures are loaded."""

    value: str
    text: str


@dataclass(frozen=True, slots=True)
class DueAct:
    """One act of a method as written: what, how long before serving, and the window."""

    title: str
    before: str
    window: str


@dataclass(frozen=True, slots=True)
class PlannedRow:
    """One method as its card has it."""

    method: Link
    weight: Both
    chance: str
    acts: tuple[DueAct, ...]


@dataclass(frozen=True, slots=True)
class PlanPage:
    """All that the page shows without its script, and what the script knows."""

    methods: tuple[DishChoice, ...]
    facts: str
    rows: tuple[PlannedRow, ...]
    tag: Tag | None
    notes: tuple[Note, ...]


def plan_page(book: Book, results: Mapping[str, MethodResult], links: Links) -> PlanPage:
    """Every method that is computed, by title."""
    notes = Notes()
    bases = [result.plan for result in results.values() if result.plan is not None]
    bases.sort(key=lambda basis: book.methods[basis.method].title.casefold())
    tag = notes.tag(Provenance.COMPUTED, source_of(bases[0])) if bases else None
    if bases:
        notes.tag(Provenance.PRACTICE, "thawing, trimming, rubbing, lighting, handling and slicing times")
    return PlanPage(
        methods=tuple(DishChoice(basis.method, book.methods[basis.method].title) for basis in bases),
        facts=json.dumps(facts(), ensure_ascii=True, separators=(",", ":")),
        rows=tuple(planned_row(basis, book, links) for basis in bases),
        tag=tag,
        notes=notes.listed(),
    )


def source_of(basis: PlanBasis) -> str:
    """What a plan is computed with."""
    return f"engine {basis.engine}, {basis.members} simulated cooks, seed {basis.seed}"


def planned_row(basis: PlanBasis, book: Book, links: Links) -> PlannedRow:
    """One piece of a method, counted back from serving."""
    method = book.methods[basis.method]
    plan = planned_as_written(basis, book)
    return PlannedRow(
        method=Link(method.title, links.href(PLAN, card_uri("methods", method.id))),
        weight=both("mass", basis.piece_kg),
        chance=shown_share(plan.chance),
        acts=tuple(due_act(act, plan) for act in plan.acts),
    )


def due_act(act: Act, plan: LoadPlan) -> DueAct:
    """An act as a time before serving, and the window in which eight of ten cooks fall."""
    serve_s = plan.serve_s
    if act.kind is ActKind.SERVE:
        return DueAct(act.title, "at the serving time", "")
    window = ""
    if act.p90_s > act.p10_s and act.kind not in BY_THE_CLOCK:
        window = f"{before(serve_s - act.p10_s)} to {before(serve_s - act.p90_s)}"
    return DueAct(act.title, f"{before(serve_s - act.at_s)} before", window)


def before(seconds: float) -> str:
    """ "13 h 40 min"; from two days on in days and hours."""
    if seconds < 2 * DAY_S:
        return format_duration(max(0.0, seconds))
    days, rest = divmod(round(seconds / 3600.0), 24)
    return f"{days} days {rest} h" if rest else f"{days} days"
