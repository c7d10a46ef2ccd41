"""What a contributor chooses for a new method: the equipment by its cards, and what the card is called."""

from dataclasses import dataclass
from datetime import date

from slowfolio.book.model import Cut, Holder, Pit, Wrap
from slowfolio.units import System


@dataclass(frozen=True, slots=True)
class Choices:
    """The choices; `holder` is None where the piece is served after its rest."""

    id: str
    title: str
    owner: str
    cut: Cut
    pit: Pit
    wrap: Wrap
    holder: Holder | None
    today: date
    system: System
    choose_when: str = ""
