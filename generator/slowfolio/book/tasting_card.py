"""A tasting as its card says it: what was compared, who got what, and what every taster wrote.

Data only, in SI; the words are those of the schema. Nothing is analysed here: `enrich.tasting_bridge` hands
the card to the statistics. Read by `decode_tasting`, held by `model.Book`.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from slowfolio.book.model import Origin

RIGHT_OR_WRONG = frozenset({"triangle", "duo-trio", "tetrad"})
"""Tests in which one answer is right, whatever the products."""

TEST_QUESTIONS: Mapping[str, tuple[str, ...]] = {
    "triangle": ("differ", "swap"),
    "duo-trio": ("differ", "swap"),
    "tetrad": ("differ", "swap"),
    "paired comparison": ("more",),
    "paired preference": ("preferred",),
    "preferences in pairs": ("preferred",),
    "ranking": ("order", "preferred"),
    "scores": ("how much",),
}
"""Which questions each test answers."""

NO_PREFERENCE = "no preference"


@dataclass(frozen=True, slots=True)
class TastedProduct:
    """One of the things compared; `cooked` counts the separate cooks its pieces came from."""

    name: str
    method: str
    cooked: int
    cooks: tuple[str, ...]
    part: str
    place: str
    slice_m: float
    held_s: float
    served_c: float


@dataclass(frozen=True, slots=True)
class Plate:
    """What one taster got, in tasting order; `person` is empty where every sheet is another taster."""

    taster: int
    order: tuple[str, ...]
    codes: tuple[int, ...]
    cook: int
    person: str


@dataclass(frozen=True, slots=True)
class CodeMark:
    """A rank, or points by attribute, beside one code."""

    code: int
    rank: float | None
    points: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet as it came in: a choice (a code, or `NO_PREFERENCE`) or marks."""

    taster: int
    chose: int | str | None
    marks: tuple[CodeMark, ...]


@dataclass(frozen=True, slots=True)
class LookedFor:
    """The smallest difference worth knowing, named beforehand; None where it was not named."""

    telling: float | None = None
    preferring: float | None = None
    points: float | None = None
    spread: float | None = None
    d_prime: float | None = None


@dataclass(frozen=True, slots=True)
class Tasting:
    """A tasting card. `sheets` are empty before the tasting; `invented` data only show how one is kept."""

    origin: Origin
    id: str
    title: str
    invented: bool
    why: str
    date: date
    carved_by: str
    blind: str
    question: str
    test: str
    attribute: str
    expected_more: str
    attributes: tuple[str, ...]
    expected_order: tuple[str, ...]
    looked_for: LookedFor | None
    alpha: float
    products: tuple[TastedProduct, ...]
    seed: int
    plates: tuple[Plate, ...]
    sheets: tuple[Sheet, ...]
    notes: tuple[str, ...]
    sources: tuple[str, ...]

    @property
    def names(self) -> tuple[str, ...]:
        """The products by name, in the order of the card."""
        return tuple(product.name for product in self.products)
