"""The handling cautions of the trade, each with its figure, source, standing and the steps it belongs to.

Data for pages and for the steps of a cook; nothing is computed. `text` is ours to read at the pit, `summary`
and `figure` are the reference table's own words.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from slowfolio.safety.history import SafetyInputError
from slowfolio.safety.standing import Confidence
from slowfolio.safety.tables import confidence_of, rows


class Moment(StrEnum):
    """When in the work a caution belongs."""

    BUYING_AND_THAWING = "buying and thawing"
    TRIMMING_AND_SEASONING = "trimming and seasoning"
    LIGHTING_THE_FIRE = "lighting and tending the fire"
    COOKING = "cooking and probing"
    WRAPPING_AND_OPENING = "wrapping and opening a wrap"
    HOLDING = "holding"
    SLICING_AND_SERVING = "slicing and serving"
    COOLING_AND_KEEPING = "cooling and keeping"
    CHECKING_THERMOMETERS = "checking thermometers"


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution: what to do in plain words, the figure, who says so and how well that is known."""

    topic: str
    moments: tuple[Moment, ...]
    text: str
    summary: str
    figure: str
    source: str
    provenance: str
    confidence: Confidence


_BUY, _TRIM, _FIRE = Moment.BUYING_AND_THAWING, Moment.TRIMMING_AND_SEASONING, Moment.LIGHTING_THE_FIRE
_COOK, _WRAP, _HOLD = Moment.COOKING, Moment.WRAPPING_AND_OPENING, Moment.HOLDING
_SERVE, _COOL, _CHECK = Moment.SLICING_AND_SERVING, Moment.COOLING_AND_KEEPING, Moment.CHECKING_THERMOMETERS

_WORDS: dict[str, tuple[tuple[Moment, ...], str]] = {
    "cross-contamination": (
        (_TRIM, _WRAP, _SERVE),
        "Keep raw and ready-to-eat apart: a clean board, knife, tongs and tray for cooked meat, fresh gloves "
        "after raw meat, and no used marinade that has not been boiled.",
    ),
    "handwashing": (
        (_TRIM, _SERVE),
        "Wash hands with soap and running water for 20 s after raw meat and before serving.",
    ),
    "washing poultry": ((_TRIM,), "Do not rinse raw poultry; it spreads what is on it around the sink."),
    "thawing": (
        (_BUY,),
        "Thaw in the refrigerator, a day for each 4 to 5 lb (2 kg), or in cold water changed every 30 min "
        "and then cook at once; never on the counter. Thaw right through before smoking.",
    ),
    "oven/smoker temperature": (
        (_FIRE, _COOK),
        "USDA advice is 225 to 300 °F (107 to 149 °C) in a smoker and 325 °F (163 °C) or more in an oven.",
    ),
    "leftovers": ((_COOL,), "Use leftovers within 3 to 4 days at 4.4 °C (40 °F) or below, or freeze them."),
    "allergens": (
        (_TRIM, _SERVE),
        "Say which allergens rub, binder, spritz, sauce and bread carry, and keep them off the boards, "
        "gloves and knives used for guests who must avoid them.",
    ),
    "burns": (
        (_WRAP, _HOLD, _SERVE),
        "Open foil, bags and lids away from your face: the steam and rendered fat inside can be above 95 °C "
        "(203 °F). Wear dry heat gloves, never carry a full pan of fat, and keep water off hot fat.",
    ),
    "grease fire": (
        (_FIRE, _COOK),
        "Grease fire: lid on, cut the air and the fuel, never water. Have a class K (US) or F extinguisher.",
    ),
    "carbon monoxide": (
        (_FIRE, _COOL),
        "Never burn charcoal or wood, or run a gas smoker, in a house, garage, tent or vehicle, not even "
        "with the windows open; coals give off carbon monoxide until cold. Fit an alarm where a pit stands "
        "near a building.",
    ),
    "ash": (
        (_FIRE,),
        "Ash stays hot for a day or two: keep it in a lidded metal container outdoors.",
    ),
    "wood": ((_FIRE,), "Burn no painted, treated, mouldy or resinous wood."),
    "knife safety": (
        (_TRIM, _SERVE),
        "Sharp knife, steady board, dry grip, cut away from the hand; wear a cut-resistant glove to slice "
        "and wash knives on their own.",
    ),
    "thermometer ice point": (
        (_CHECK,),
        "Fill a cup with crushed ice, top up with water, stir, hold the probe in the middle for 30 s: it "
        "must read 0 °C (32 °F) within 1 °C, or 2 °F on a thermometer that shows only Fahrenheit.",
    ),
    "thermometer boiling point": (
        (_CHECK,),
        "In a rolling boil, probe 50 mm (2 in) from bottom and sides: compare with the boiling point at your "
        "altitude, not with 100 °C.",
    ),
    "thermometer critical limit": (
        (_CHECK, _COOK),
        "Raise every limit by the error of the thermometer: one that is good to 1 °F cooks to 166 °F where "
        "the limit is 165 °F.",
    ),
    "where to probe": (
        (_COOK, _HOLD),
        "Probe the coldest spot, in several places, and write down the lowest reading, not the average. "
        "Clean the probe between pieces.",
    ),
    "vulnerable people": (
        (_COOK, _HOLD, _SERVE),
        "For guests who are pregnant, very young, old or have a weak immune system: nothing undercooked and "
        "no long hold below 60 °C (140 °F).",
    ),
}


@cache
def cautions() -> tuple[Caution, ...]:
    """Return every caution, in the order of the reference table."""
    return tuple(
        Caution(
            topic=row["topic"],
            moments=_WORDS[row["topic"]][0],
            text=_WORDS[row["topic"]][1],
            summary=row["caution"],
            figure="" if row["figure"] == "-" else row["figure"],
            source=row["source"],
            provenance=row["provenance"],
            confidence=confidence_of(row),
        )
        for row in rows("handling_cautions")
    )


def caution(topic: str) -> Caution:
    """Return the caution on `topic`; SafetyInputError lists the topics there are."""
    for item in cautions():
        if item.topic == topic:
            return item
    raise SafetyInputError(f"no caution on {topic!r}: write one of {', '.join(_WORDS)}")


def cautions_for(moment: Moment) -> tuple[Caution, ...]:
    """Return the cautions that belong to one moment of the work."""
    return tuple(item for item in cautions() if moment in item.moments)
