"""The model behind the invented tastings of the starter book, so that their sheets can be drawn again.

Every piece gives a taster a normal sensation with unit deviation about the mean of its product (Thurstone
1927, MEMORY); answers follow by the rule of the test. Draws come from `random.Random.random` alone, whose
sequence Python keeps for a seed.
"""

import random
from collections.abc import Mapping
from dataclasses import dataclass
from statistics import NormalDist
from typing import Any

from slowfolio.book.tasting_card import NO_PREFERENCE, CodeMark, Plate, Sheet, Tasting

NORMAL = NormalDist()


@dataclass(frozen=True)
class Model:
    """The truth behind a demo: means of the products (by attribute where scored), and a seed."""

    seed: int
    means: Mapping[str, Any]
    undecided_within: float = 0.0
    taster_spread: float = 0.0
    score_spread: float = 1.0


MODELS = {
    "boat-or-paper-triangle": Model(seed=11, means={"boat": 0.9, "paper": 0.0}),
    "smoke-bare-or-foiled": Model(seed=12, means={"bare": 1.5, "foiled": 0.0}),
    "three-wraps-in-order": Model(seed=13, means={"boat": 1.3, "paper": 0.9, "foil": 0.0}),
    "dry-or-humid-hold": Model(seed=14, means={"humid": 0.6, "dry": 0.0}, undecided_within=0.3),
    "boat-or-foil-scored": Model(
        seed=15,
        means={
            "boat": {
                "bark": 7.2,
                "rendering": 7.0,
                "juiciness of flat": 5.8,
                "juiciness of point": 7.2,
                "tenderness": 6.7,
                "smoke": 6.0,
            },
            "foil": {
                "bark": 4.0,
                "rendering": 6.2,
                "juiciness of flat": 6.9,
                "juiciness of point": 7.3,
                "tenderness": 7.0,
                "smoke": 4.5,
            },
        },
        taster_spread=0.8,
        score_spread=1.1,
    ),
}


def simulated_sheets(card: Tasting) -> tuple[Sheet, ...]:
    """The sheets that the model of a card gives for its servings."""
    model = MODELS[card.id]
    source = random.Random(model.seed)

    def sensed(mean: float, spread: float = 1.0) -> float:
        return mean + spread * NORMAL.inv_cdf(source.random())

    return tuple(_sheet(card, plate, model, sensed) for plate in card.plates)


def _sheet(card: Tasting, plate: Plate, model: Model, sensed: Any) -> Sheet:
    if card.test == "scores":
        level = sensed(0.0, model.taster_spread)
        marks = [
            CodeMark(
                code,
                None,
                {
                    attribute: float(min(max(round(sensed(mean + level, model.score_spread)), 1), 9))
                    for attribute, mean in model.means[name].items()
                },
            )
            for name, code in zip(plate.order, plate.codes, strict=True)
        ]
        return Sheet(plate.taster, None, tuple(marks))
    felt = {code: sensed(model.means[name]) for name, code in zip(plate.order, plate.codes, strict=True)}
    if card.test == "ranking":
        best_first = sorted(felt, key=lambda code: -felt[code])
        marks = [CodeMark(code, float(best_first.index(code) + 1), {}) for code in plate.codes]
        return Sheet(plate.taster, None, tuple(marks))
    if card.test == "triangle":
        return Sheet(plate.taster, _odd_one(felt), ())
    first, second = plate.codes
    if abs(felt[first] - felt[second]) < model.undecided_within:
        return Sheet(plate.taster, NO_PREFERENCE, ())
    return Sheet(plate.taster, max(felt, key=lambda code: felt[code]), ())


def _odd_one(felt: Mapping[int, float]) -> int:
    """The piece that is not of the closest pair."""
    low, middle, high = sorted(felt, key=lambda code: felt[code])
    return high if felt[middle] - felt[low] < felt[high] - felt[middle] else low
