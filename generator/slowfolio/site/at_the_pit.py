"""The At the pit pages: the steps of a method one to a screen, and what the page's scripts need to know of
them.

Without scripts a page reads as a list of steps. With them it keeps the clock, the timers, the readings and
the log of one or more cooks; `pit.js` does that. The ensemble it forecasts with is a file of its own
(`pit_data`).
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from slowfolio.book.model import Book, Ingredient, Method, Status
from slowfolio.enrich.results import MethodResult
from slowfolio.forecast.authority import rules_of
from slowfolio.forecast.carried import Carried
from slowfolio.forecast.planning.basis import PlanBasis
from slowfolio.forecast.planning.remedies import first_of_the_end
from slowfolio.safety.come_up import COME_UP_RULE, HIGH_C, INTACT_SURFACE_RULE, LIMIT_S, LOW_C
from slowfolio.site.links import Link, Links, card_uri
from slowfolio.site.method_model import Setting, Step
from slowfolio.site.method_steps import method_steps
from slowfolio.site.shown import Notes, both, same

AT_THE_PIT = "at-the-pit.md"


@dataclass(frozen=True, slots=True)
class AtThePit:
    """One method at the pit. `data` is what the scripts read, as JSON; `before` and `after` frame the
    steps."""

    title: str
    method_href: str
    index_href: str
    revision: str
    forecast: bool
    data: str
    piece: tuple[Setting, ...]
    seasoning: tuple[Ingredient, ...]
    steps: tuple[Step, ...]
    handling: tuple[str, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class AtThePitIndex:
    """Where cooks under way are listed and a method is chosen; `known` are the ids that have a page, as
    JSON."""

    methods: tuple[Link, ...]
    known: str


def at_the_pit_uri(method: Method) -> str:
    """The source address of a method's page at the pit."""
    return card_uri("at-the-pit", method.id)


def cookable(book: Book) -> tuple[Method, ...]:
    """The methods that have a page at the pit: all that are not withdrawn."""
    return tuple(method for method in book.methods.values() if method.status is not Status.WITHDRAWN)


def at_the_pit_index(book: Book, links: Links) -> AtThePitIndex:
    """The page that leads to the methods at the pit."""
    methods = cookable(book)
    return AtThePitIndex(
        methods=tuple(
            Link(method.title, links.href(AT_THE_PIT, at_the_pit_uri(method))) for method in methods
        ),
        known=json.dumps({method.id: method.title for method in methods}),
    )


def at_the_pit_page(
    book: Book,
    method: Method,
    result: MethodResult | None,
    carried: Mapping[str, Carried],
    links: Links,
) -> AtThePit:
    """The page of one method at the pit."""
    origin = at_the_pit_uri(method)
    ensemble = carried.get(method.id)
    return AtThePit(
        title=method.title,
        method_href=links.href(origin, card_uri("methods", method.id)),
        index_href=links.href(origin, AT_THE_PIT),
        revision=f"Revision {method.revision}, {method.status.value}. Owner: {method.owner}.",
        forecast=ensemble is not None,
        data=json.dumps(cook_data(book, method, ensemble, None if result is None else result.plan)),
        piece=piece_rows(book, method),
        seasoning=method.seasoning,
        steps=method_steps(book, method, result, links, origin, Notes()),
        handling=method.handling,
        cautions=method.cautions,
    )


def piece_rows(book: Book, method: Method) -> tuple[Setting, ...]:
    """What to have ready before the piece goes on."""
    piece = method.piece
    rows = [
        Setting("Piece", same(book.cuts[method.cut].title)),
        Setting("Weight", both("mass", piece.weight_kg)),
    ]
    if piece.thickness_m is not None:
        rows.append(Setting("Thickest part", both("length", piece.thickness_m)))
    rows.append(Setting("Cold from", both("temperature", piece.start_temp_c)))
    rows.append(Setting("Pit", same(book.pits[method.pit].title)))
    rows.append(Setting("First set to", both("temperature", method.stages[0].pit_temp_c)))
    rows.append(Setting("Fuel", same(method.fuel)))
    return tuple(rows)


# --- what the scripts read ---------------------------------------------------------------------------


def cook_data(
    book: Book, method: Method, ensemble: Carried | None, basis: PlanBasis | None
) -> dict[str, Any]:
    """Stages with their ends and recurring tasks, what helps early and late, and the limits that are checked
    anew. SI; keys carry units."""
    rules = rules_of(book.card)
    return {
        "method": method.id,
        "title": method.title,
        "revision": method.revision,
        "engine": None if ensemble is None else ensemble.engine,
        "members": 0 if ensemble is None else ensemble.members,
        "pit": method.pit,
        "pull": len(method.stages) - 1,
        "weight_kg": [method.piece.weight_kg.low, method.piece.weight_kg.high],
        "stages": stage_data(method),
        "remedies": [] if basis is None else remedy_data(method, basis),
        "come_up": {
            "low_c": LOW_C,
            "high_c": HIGH_C,
            "limit_s": LIMIT_S,
            "surface": str(INTACT_SURFACE_RULE),
            "core": str(COME_UP_RULE),
        },
        "floor": {
            "temp_c": rules.hot_hold_min_c,
            "temp_f": rules.hot_hold_min_f,
            "rule": str(rules.hot_hold),
            "allowance": "" if rules.allowance is None else rules.allowance.condition,
        },
    }


def remedy_data(method: Method, basis: PlanBasis) -> list[dict[str, Any]]:
    """What was computed to bring time at the pit, with the last stage in which it can still be begun."""
    wrapping = first_of_the_end(method)
    return [
        {
            "when": remedy.when.value,
            "do": remedy.do,
            "gain_s": None
            if remedy.gain_s is None
            else [round(remedy.gain_s.p10), round(remedy.gain_s.p50), round(remedy.gain_s.p90)],
            "provenance": remedy.provenance.value,
            "last_stage": next(
                (i for i, stage in enumerate(method.stages) if f"from {stage.name.lower()} on" in remedy.do),
                wrapping - 1,
            ),
        }
        for remedy in basis.remedies
    ]


def stage_data(method: Method) -> list[dict[str, Any]]:
    """The stages of the card in order, rest and hold included, in the terms of the cook's log."""
    rows = [
        {
            "name": stage.name,
            "kind": "cook",
            "pit_temp_c": stage.pit_temp_c,
            "time_s": stage.until.time_s,
            "core_c": stage.until.core_temp_c,
            "tender_from_c": stage.until.probe_tender_from_c,
            "at_least_s": stage.until.at_least_s,
            "at_most_s": stage.until.at_most_s,
            "tasks": tasks(
                ("Spritz", stage.spritz.after_s, stage.spritz.every_s) if stage.spritz else None,
                ("Open the pit and look", stage.open_every_s, stage.open_every_s)
                if stage.open_every_s
                else None,
            ),
        }
        for stage in method.stages
    ]
    if method.vent is not None:
        until = method.vent.until
        rows.append(
            {
                "name": "Vent and rest",
                "kind": "vent",
                "pit_temp_c": None,
                "time_s": until.time_s,
                "core_c": until.core_temp_c,
                "tender_from_c": None,
                "at_least_s": until.at_least_s,
                "at_most_s": until.at_most_s,
                "tasks": [],
            }
        )
    if method.hold is not None:
        rows.append(
            {
                "name": "Hold",
                "kind": "hold",
                "pit_temp_c": method.hold.air_temp_c,
                "time_s": method.hold.for_s,
                "core_c": None,
                "tender_from_c": None,
                "at_least_s": None,
                "at_most_s": method.hold.at_most_s,
                "tasks": tasks(("Read the coldest point and log it", HOLD_LOG_S, HOLD_LOG_S)),
            }
        )
    return rows


HOLD_LOG_S = 7200.0
"""How often a hold is read: common practice, no source; half of the four hours that 3-501.19 of the Food Code
gives, so that one missed reading is no loss."""


def tasks(*wanted: tuple[str, float, float] | None) -> list[dict[str, Any]]:
    """Recurring tasks of a stage: name, first after, then every, in seconds."""
    return [
        {"name": name, "first_s": first_s, "every_s": every_s}
        for name, first_s, every_s in filter(None, wanted)
    ]
