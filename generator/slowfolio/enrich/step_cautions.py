"""Which of the usual cautions belong to which step of a method, by what the step does.

Words and sources are those of `safety.cautions`; a card never has to repeat them. Called by the pages that
show steps: the method, its printed card, the pit.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from slowfolio.book.model import Book, Hold, Method, Pit, Stage, Wrap
from slowfolio.safety.cautions import caution
from slowfolio.safety.hot_hold import NO_LIMIT_C
from slowfolio.safety.piece import POULTRY
from slowfolio.safety.thermometer import boiling_point_at_c

SMOKER_C = (107.0, 149.0)
"""USDA's advice for a smoker, 225 to 300 °F; a step outside of it is told so."""

SAID_HERE = {
    "see allergens_us_eu.csv": "the authorities' own lists, on the Safety page",
    "general": "common practice, no source",
}
"""Sources of the table of cautions that point at another table or at none, as a reader can follow them."""

GASES = frozenset({"propane", "butane", "natural gas", "gas", "bottled gas"})

SHORT = {
    "allergens": "allergens",
    "ash": "hot ash",
    "burns": "hot fat and steam",
    "carbon monoxide": "carbon monoxide",
    "cross-contamination": "raw and cooked apart",
    "grease fire": "grease fire",
    "handwashing": "clean hands",
    "knife safety": "knives",
    "leftovers": "leftovers",
    "oven/smoker temperature": "outside USDA’s range",
    "thawing": "thawed through",
    "thermometer boiling point": "thermometer in boiling water",
    "thermometer critical limit": "allow for the thermometer",
    "thermometer ice point": "thermometer in ice",
    "vulnerable people": "susceptible guests",
    "washing poultry": "no rinsing",
    "where to probe": "probe the coldest spot",
    "wood": "clean wood",
}
"""Each topic in a word or two, where there is no room for the sentence."""


@dataclass(frozen=True, slots=True)
class StepCaution:
    """One usual caution at one step: its topic, what to do, and who says so, how well known.

    `here` is the part of `text` that belongs to this step alone, empty where there is none.
    """

    topic: str
    text: str
    source: str
    standing: str
    here: str = ""

    @property
    def short(self) -> str:
        """The topic in a word or two."""
        return SHORT[self.topic]


@dataclass(frozen=True, slots=True)
class MethodCautions:
    """The usual cautions of a method: before the fire, at each step, at serving, and with what is left.

    `steps` are the stages in order, then the rest and the hold where the method has them.
    """

    before: tuple[StepCaution, ...]
    steps: tuple[tuple[StepCaution, ...], ...]
    serving: tuple[StepCaution, ...]
    after: tuple[StepCaution, ...]


def method_cautions(method: Method, book: Book) -> MethodCautions:
    """Place the usual cautions of a method at its steps."""
    steps = [tuple(_stage(method, book, index)) for index in range(len(method.stages))]
    last_wrap = book.wraps[method.stages[-1].wrap]
    if method.vent is not None:
        steps.append(tuple(_moved(last_wrap, book.wraps[method.vent.wrap])))
        last_wrap = book.wraps[method.vent.wrap]
    if method.hold is not None:
        steps.append(tuple(_held(method.hold, last_wrap, book)))
        last_wrap = book.wraps[method.hold.wrap]
    return MethodCautions(
        before=tuple(_before(method, book)),
        steps=tuple(steps),
        serving=tuple(_serving(method, last_wrap)),
        after=tuple(_after(method, book)),
    )


# --- step by step -----------------------------------------------------------------------------------


def _before(method: Method, book: Book) -> Iterator[StepCaution]:
    yield usual("thawing")
    yield usual("cross-contamination")
    yield usual("handwashing")
    if book.cuts[method.cut].species.strip().lower() in POULTRY:
        yield usual("washing poultry")
    if method.piece.trim:
        yield usual("knife safety")
    if method.allergens:
        yield usual("allergens", f"This method carries {carried(method)}.")
    yield usual("thermometer ice point")
    boiling_c = boiling_point_at_c(book.card.altitude_m)
    here = f"Water boils here at {boiling_c:.1f} °C ({boiling_c * 1.8 + 32.0:.1f} °F)."
    yield usual("thermometer boiling point", here)


def _stage(method: Method, book: Book, index: int) -> Iterator[StepCaution]:
    stage = method.stages[index]
    before = method.stages[index - 1] if index else None
    pit = pit_of(method, book, stage)
    if before is None or pit_of(method, book, before).id != pit.id:
        yield from _fire(method, pit)
    if not SMOKER_C[0] - 0.5 <= stage.pit_temp_c <= SMOKER_C[1] + 0.5 and burns_fuel(method, pit):
        yield usual("oven/smoker temperature")
    if before is None:
        yield usual("cross-contamination", "From here on, nothing that touched it raw.")
    else:
        yield from _moved(book.wraps[before.wrap], book.wraps[stage.wrap], pan_out=_pan_out(before, stage))
    if probed(stage) and not any(probed(earlier) for earlier in method.stages[:index]):
        yield usual("where to probe")
    if probed(stage) and not any(probed(later) for later in method.stages[index + 1 :]):
        yield usual("thermometer critical limit")


def _fire(method: Method, pit: Pit) -> Iterator[StepCaution]:
    if burns_fuel(method, pit):
        yield usual("carbon monoxide")
    if burns_solid_fuel(method, pit):
        yield usual("wood")
    yield usual("grease fire")


def _moved(before: Wrap, now: Wrap, *, pan_out: bool = False) -> Iterator[StepCaution]:
    """A wrap that is opened, changed or handled with hot juice in it, and a pan of fat that comes out."""
    if pan_out or covers(before) or (covers(now) and now.id != before.id):
        yield usual("burns")


def _held(hold: Hold, before: Wrap, book: Book) -> Iterator[StepCaution]:
    yield from _moved(before, book.wraps[hold.wrap])
    yield usual("where to probe")
    if hold.air_temp_c < NO_LIMIT_C:
        yield usual("vulnerable people")


def _serving(method: Method, wrap: Wrap) -> Iterator[StepCaution]:
    yield usual("cross-contamination")
    yield usual("handwashing")
    if covers(wrap):
        yield usual("burns")
    yield usual("knife safety")
    said = (
        f"This method carries {carried(method)}."
        if method.allergens
        else "The card lists none: read the labels."
    )
    yield usual("allergens", said)
    yield usual("vulnerable people")


def _after(method: Method, book: Book) -> Iterator[StepCaution]:
    yield usual("leftovers")
    pits = [pit_of(method, book, stage) for stage in method.stages]
    if any(burns_solid_fuel(method, pit) for pit in pits):
        yield usual("ash")
        yield usual("carbon monoxide")


# --- what a step does -------------------------------------------------------------------------------


def pit_of(method: Method, book: Book, stage: Stage) -> Pit:
    """The pit a stage is cooked on."""
    return book.pits[stage.pit or method.pit]


def fuels_of(method: Method, pit: Pit) -> tuple[str, ...]:
    """What is burned on a pit: on the method's own what its card says, on another all that it takes."""
    written = (method.fuel,) if pit.id == method.pit else pit.fuels
    return tuple(part.strip().casefold() for fuel in written for part in re.split(r",| with | and ", fuel))


def burns_fuel(method: Method, pit: Pit) -> bool:
    """Whether anything burns or smoulders in the pit."""
    return any("electric" not in fuel for fuel in fuels_of(method, pit))


def burns_solid_fuel(method: Method, pit: Pit) -> bool:
    """Whether wood, charcoal or pellets do, so that there are coals and ash."""
    return any("electric" not in fuel and fuel not in GASES for fuel in fuels_of(method, pit))


def covers(wrap: Wrap) -> bool:
    """Whether a wrap keeps fat, juice or steam that can burn whoever opens it."""
    return wrap.keeps_juice.value > 0.0 or wrap.top.permeance_kg_s_m2_pa is not None


def probed(stage: Stage) -> bool:
    """Whether a core temperature or the feel of a probe ends the stage."""
    return stage.until.core_temp_c is not None or stage.until.probe_tender_from_c is not None


def _pan_out(before: Stage, now: Stage) -> bool:
    return before.water_pan and not now.water_pan


def carried(method: Method) -> str:
    """The allergens of a method, each with what brings it where the seasoning says so."""
    said = []
    for allergen in method.allergens:
        items = [one.item for one in method.seasoning if allergen in one.allergens]
        said.append(f"{allergen} ({', '.join(items)})" if items else allergen)
    return ", ".join(said)


# --- the words --------------------------------------------------------------------------------------


def usual(topic: str, here: str = "") -> StepCaution:
    """The caution on a topic, with what is to be said of it at this step first."""
    item = caution(topic)
    source = SAID_HERE.get(item.source, item.source)
    return StepCaution(topic, f"{here} {item.text}".strip(), source, standing_of(item.provenance), here)


def standing_of(provenance: str) -> str:
    """How a row of a reference table is known; what stands after the first word is its own remark."""
    marks = [words for mark, words in (("READ", "read"), ("MEM", "recalled")) if mark in provenance]
    return " in part, ".join(marks) + (" in part" if len(marks) > 1 else "") if marks else provenance
