"""What the rules need to know of a piece of meat: animal, form, whether its inside was opened, weight, fat.

The rules are written in these words; the size and make-up the engine computes with live in `physics`. Callers
turn a card's cut into one of these.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from slowfolio.safety.history import SafetyInputError


class Species(StrEnum):
    """The animal, in the words of the cut cards."""

    BEEF = "beef"
    VEAL = "veal"
    PORK = "pork"
    LAMB = "lamb"
    MUTTON = "mutton"
    GOAT = "goat"
    VENISON = "venison"
    CHICKEN = "chicken"
    TURKEY = "turkey"
    DUCK = "duck"
    GOOSE = "goose"


POULTRY = frozenset({Species.CHICKEN, Species.TURKEY, Species.DUCK, Species.GOOSE})


class Form(StrEnum):
    """Whether the piece is cooked whole as a roast or in smaller cuts such as ribs and chops."""

    ROAST = "whole roast"
    CUT = "smaller cut"


class Integrity(StrEnum):
    """Whether anything could have carried what is on the surface to the inside."""

    INTACT = "intact"
    OPENED = "injected, tenderised with blades, tumbled, rolled or stuffed"
    GROUND = "ground"


class Cure(StrEnum):
    """Whether nitrite protects the piece while it cools (at least 100 ppm ingoing; FSIS, MEMORY)."""

    UNCURED = "uncured"
    CURED = "cured with nitrite"


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece as the rules see it. `fat_pct` is the raw fat in per cent, None where it is not known."""

    species: Species
    mass_kg: float
    form: Form = Form.ROAST
    integrity: Integrity = Integrity.INTACT
    cure: Cure = Cure.UNCURED
    fat_pct: float | None = None

    def __post_init__(self) -> None:
        """Refuse a weight or a fat content that no piece can have."""
        if not 0.0 < self.mass_kg < 1000.0:
            raise SafetyInputError(f"a piece of {self.mass_kg:g} kg: give a weight from 0 to 1000 kg")
        if self.fat_pct is not None and not 0.0 <= self.fat_pct <= 100.0:
            raise SafetyInputError(
                f"{self.fat_pct:g} % fat: give 0 to 100 per cent, or leave it out if it is not known"
            )

    @property
    def is_poultry(self) -> bool:
        """Whether the bird tables and bird temperatures apply."""
        return self.species in POULTRY


def species_of(word: str) -> Species:
    """Return the species a card names; a clear error for a word the rules do not know."""
    try:
        return Species(word.strip().lower())
    except ValueError:
        known = ", ".join(species.value for species in Species)
        raise SafetyInputError(f"no cooking rule knows the animal {word!r}: write one of {known}") from None
