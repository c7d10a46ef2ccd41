"""What the taster's and the carver's sheets hold, as data: questions, scales, rows.

No layout and no printing. Attributes are the trade's; a cook may name others. Called by whoever prints a
`plan`.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from slowfolio.tasting.carving import CarvingPlan, Serving
from slowfolio.tasting.errors import TastingInputError
from slowfolio.tasting.protocols import Protocol
from slowfolio.tasting.question import Choice, Kind, Question


@dataclass(frozen=True, slots=True)
class Attribute:
    """An attribute to score from 1 to 9, with the words at either end and the part it is tasted on."""

    name: str
    part: str
    low: str
    high: str
    ask: str


ATTRIBUTES = (
    Attribute("bark", "", "soft, wet", "crisp, firm", "Bite the crust by itself."),
    Attribute("rendering", "", "solid fat", "melted away", "Press the fat against the palate."),
    Attribute("juiciness", "flat", "dry", "very juicy", "After five chews of the flat."),
    Attribute("juiciness", "point", "dry", "very juicy", "After five chews of the point."),
    Attribute("tenderness", "", "tough", "falls apart", "Chews until ready to swallow."),
    Attribute("smoke", "", "none", "very strong", "Taste of smoke before swallowing."),
)
"""The trade's attributes (common practice, no source). Tenderness has its best place before the end of the
scale."""

LIKING = Attribute("liking", "", "dislike extremely", "like extremely", "Overall, how much do you like it?")
"""The nine-point hedonic scale (common practice; used with ISO 11136)."""

POINTS = 9


@dataclass(frozen=True, slots=True)
class SheetRow:
    """One code on a taster's sheet, in tasting order."""

    place: int
    code: str


@dataclass(frozen=True, slots=True)
class TasterSheet:
    """One taster's sheet. `choices` are the answers allowed; `attributes` are empty unless scores are
    asked."""

    taster: int
    task: str
    rows: tuple[SheetRow, ...]
    choices: tuple[str, ...]
    attributes: tuple[Attribute, ...]
    reminders: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CarverRow:
    """One piece to lay on one plate, for the person who carves and tells nobody."""

    product: str
    part: str
    slice_number: int
    piece_number: int
    distance_m: float
    code: str
    taster: int
    place: int


REMINDERS = (
    "Taste in the order given, from the top of the sheet.",
    "Before each piece, rinse with water and eat a bite of unsalted cracker.",
    "Do not talk or look at other sheets until all are in.",
    "You may go back to a piece.",
)
"""Common practice; rinsing and crackers after the AMSA guidelines (MEMORY)."""


def taster_sheets(
    choice: Choice, servings: Sequence[Serving], *, attributes: Sequence[Attribute] = (), named: str = ""
) -> tuple[TasterSheet, ...]:
    """Return a sheet for each taster.

    `attributes` are what is scored where scores are asked; `named` is the attribute of a paired comparison.
    """
    if choice.kind is Kind.SCORES and not attributes:
        raise TastingInputError("scores are asked but no attribute is named: give at least one, such as bark")
    if choice.question is Question.MORE and not named:
        raise TastingInputError("which has more of what? name the attribute, such as smoke")
    sets: dict[int, list[Serving]] = defaultdict(list)
    for serving in servings:
        sets[serving.taster].append(serving)
    sheets = []
    for taster, own in sorted(sets.items()):
        rows = tuple(SheetRow(one.place, one.code) for one in sorted(own, key=lambda serving: serving.place))
        sheets.append(
            TasterSheet(
                taster,
                _task(choice, rows, named),
                rows,
                _choices(choice, rows),
                tuple(attributes) if choice.kind is Kind.SCORES else (),
                REMINDERS,
            )
        )
    return tuple(sheets)


def carver_rows(plan: CarvingPlan) -> tuple[CarverRow, ...]:
    """Return the carver's list in carving order."""
    return tuple(
        CarverRow(
            cut.serving.product,
            cut.part,
            cut.slice_number,
            cut.piece_number,
            cut.distance_m,
            cut.serving.code,
            cut.serving.taster,
            cut.serving.place,
        )
        for cut in plan.cuts
    )


_PROTOCOL_TASKS = {
    Protocol.TRIANGLE: "Two of the three pieces are the same. Mark the odd one. Guess if you have to.",
    Protocol.DUO_TRIO: "Taste {first} first. Mark the other piece that is the same. Guess if you have to.",
    Protocol.TETRAD: "Sort the four pieces into two pairs of the same kind. Guess if you have to.",
    Protocol.PAIRED_COMPARISON: "Mark the piece with more {named}. Guess if you have to.",
    Protocol.THREE_CHOICE: "Mark the piece with the most {named}. Guess if you have to.",
}
_TASKS = {
    Kind.PREFERENCE: "Mark the piece you prefer, or no preference.",
    Kind.PREFERENCE_PAIRS: "Mark the piece you prefer, or no preference.",
    Kind.RANKING: "Put the pieces in order, best first. Pieces you cannot tell apart may share a place.",
    Kind.SCORES: f"Score each attribute of each piece from 1 to {POINTS}.",
}


def task_templates() -> dict[str, str]:
    """The task of every test by its name, with {first} for the first code and {named} for the attribute."""
    by_protocol = {protocol.value: task for protocol, task in _PROTOCOL_TASKS.items()}
    return by_protocol | {kind.value: task for kind, task in _TASKS.items()}


def _task(choice: Choice, rows: Sequence[SheetRow], named: str) -> str:
    if choice.protocol is None:
        return _TASKS[choice.kind]
    if choice.protocol not in _PROTOCOL_TASKS:
        raise TastingInputError(f"there is no single sheet for a {choice.protocol}: print its two sets apart")
    return _PROTOCOL_TASKS[choice.protocol].format(first=rows[0].code, named=named)


def _choices(choice: Choice, rows: Sequence[SheetRow]) -> tuple[str, ...]:
    codes = tuple(row.code for row in rows)
    if choice.protocol is Protocol.DUO_TRIO:
        return codes[1:]
    if choice.protocol is Protocol.TETRAD:
        first, *others = codes
        return tuple(f"{first} with {other}" for other in others)
    if choice.kind in (Kind.PREFERENCE, Kind.PREFERENCE_PAIRS):
        return (*codes, "no preference")
    return codes
