"""The allergens each authority wants declared, in the short names of the cards.

US and EU lists are read from summaries of their laws; Canada, Australia and New Zealand are recalled and say
so. Pages and checks ask `declarable` which of the allergens a rub or binder carries must be named.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from slowfolio.safety.history import SafetyInputError
from slowfolio.safety.standing import Citation, Confidence, Standing


@dataclass(frozen=True, slots=True)
class AllergenList:
    """One authority's list: short name to the wording of the law, in the law's order."""

    name: str
    wording: tuple[tuple[str, str], ...]
    citation: Citation

    @property
    def short_names(self) -> tuple[str, ...]:
        """Return the short names, in the law's order."""
        return tuple(short for short, _ in self.wording)


SHORT_NAMES = frozenset(
    (
        *("milk", "eggs", "fish", "crustaceans", "tree nuts", "peanuts", "wheat", "cereals with gluten"),
        *("soybeans", "sesame", "celery", "mustard", "sulphites", "lupin", "molluscs"),
    )
)
"""The fifteen words a card may use."""

_WIDER = {"wheat": "cereals with gluten"}  # a list without the narrow word declares it under the wider one

US_LIST = AllergenList(
    "US",
    (
        ("milk", "milk"),
        ("eggs", "eggs"),
        ("fish", "fish"),
        ("crustaceans", "crustacean shellfish"),
        ("tree nuts", "tree nuts"),
        ("peanuts", "peanuts"),
        ("wheat", "wheat"),
        ("soybeans", "soybeans"),
        ("sesame", "sesame"),
    ),
    Citation("US FDA", "FALCPA and FASTER Act; Food Code 1-201.10", "2004, 2021; 2022", Standing.READ),
)

EU_LIST = AllergenList(
    "EU",
    (
        ("cereals with gluten", "cereals containing gluten (wheat, spelt, khorasan, rye, barley, oats)"),
        ("crustaceans", "crustaceans"),
        ("eggs", "eggs"),
        ("fish", "fish"),
        ("peanuts", "peanuts"),
        ("soybeans", "soybeans"),
        ("milk", "milk (incl. lactose)"),
        ("tree nuts", "nuts (almond, hazelnut, walnut, cashew, pecan, Brazil, pistachio, macadamia)"),
        ("celery", "celery"),
        ("mustard", "mustard"),
        ("sesame", "sesame seeds"),
        ("sulphites", "sulphur dioxide and sulphites >10 mg/kg or mg/L as SO2"),
        ("lupin", "lupin"),
        ("molluscs", "molluscs"),
    ),
    Citation("European Union", "Regulation (EU) 1169/2011, Annex II", "2011", Standing.READ),
)

CANADA_LIST = AllergenList(
    "Canada",
    tuple(
        (name, name)
        for name in (
            *("eggs", "milk", "mustard", "peanuts", "crustaceans", "molluscs", "fish", "sesame"),
            *("soybeans", "sulphites", "tree nuts", "wheat", "cereals with gluten"),
        )
    ),
    Citation(
        "Health Canada",
        "priority food allergens",
        "Food and Drug Regulations",
        Standing.MEMORY,
        Confidence.MEDIUM,
    ),
)

AUSTRALIA_NEW_ZEALAND_LIST = AllergenList(
    "Australia and New Zealand",
    tuple(
        (name, name)
        for name in (
            *("wheat", "cereals with gluten", "fish", "crustaceans", "molluscs", "eggs", "milk", "lupin"),
            *("peanuts", "soybeans", "sesame", "tree nuts", "sulphites"),
        )
    ),
    Citation("FSANZ", "Standard 1.2.3, Schedule 9", "2021 amendment", Standing.MEMORY, Confidence.MEDIUM),
)


def declarable(allergens: AllergenList, carried: Iterable[str]) -> tuple[str, ...]:
    """Return which of the `carried` short names the authority's list wants named, in the law's order.

    Wheat is declared as a cereal with gluten where the list has no word of its own for it. Raises
    SafetyInputError for a word that is not one of `SHORT_NAMES`.
    """
    words = set(carried)
    if unknown := sorted(words - SHORT_NAMES):
        raise SafetyInputError(
            f"unknown allergen {', '.join(unknown)}: write one of {', '.join(sorted(SHORT_NAMES))}"
        )
    listed = allergens.short_names
    named = {_WIDER.get(word, word) if word not in listed else word for word in words}
    return tuple(name for name in listed if name in named)
