"""What may differ between a card and a real cook: its name, how far it usually differs, how a cook says it.

The spreads are those of the forecast's own ensemble where it has one; for what belongs to the pit itself they
come from its card. Data only.
"""

from dataclasses import dataclass

from slowfolio.book import model as cards
from slowfolio.forecast.inputs import pit_model
from slowfolio.physics.ensemble import INPUT_SPREADS
from slowfolio.provenance import Provenance

START_SD_K, MEASURED_START_SD_K = 3.0, 1.0
LATE_SD_S = 300.0
MEASURED_THICKNESS_SD = 0.03
DAILY_SHARE, LASTING_SHARE = 0.6, 0.8
DAILY_CONVECTION = 0.08
LASTING_OFFSET_K, LASTING_CONVECTION, LASTING_WALL_K = 8.0, 0.30, 8.0
"""CALIBRATED, no source: how far a pit lies from its card for good (dials off by 15 °F, draughts known to a
factor 1.5), and how its day-to-day spread parts from that: 0.6² + 0.8² = 1."""

SURENESS = {
    Provenance.MEASURED: 0.5,
    Provenance.PUBLISHED: 0.8,
    Provenance.COMPUTED: 0.8,
    Provenance.PRACTICE: 1.0,
    Provenance.CLAIMED: 1.0,
}
"""How much narrower the prior is where the card's figure was measured. CALIBRATED."""


@dataclass(frozen=True, slots=True)
class Parameter:
    """One thing that may differ: its unit ("K", "ln" for a logarithm, "s"), words for more and less."""

    name: str
    unit: str
    more: str
    less: str


PARAMETERS = {
    each.name: each
    for each in (
        Parameter("offset_k", "K", "the pit ran hotter than its dial", "the pit ran cooler than its dial"),
        Parameter("convection", "ln", "more draught past the meat", "less draught past the meat"),
        Parameter("humidity", "ln", "damper air in the pit", "drier air in the pit"),
        Parameter("thickness", "ln", "a thicker piece than said", "a thinner piece than said"),
        Parameter("start_k", "K", "the piece went on warmer", "the piece went on colder"),
        Parameter("fat", "ln", "a fatter piece", "a leaner piece"),
        Parameter("release", "ln", "the meat let go more juice", "the meat let go less juice"),
        Parameter("wrap", "ln", "a tighter wrap", "a looser wrap"),
        Parameter("above_k", "K", "more heat from above", "less heat from above"),
        Parameter("below_k", "K", "more heat from below", "less heat from below"),
        Parameter("wall_k", "K", "a warmer lining", "a cooler lining"),
        Parameter(
            "late_s", "s", "it went on earlier than the log says", "it went on later than the log says"
        ),
    )
}

SHARED = ("offset_k", "convection", "above_k", "below_k", "humidity")
"""What stays with a pit from cook to cook."""


def cook_spreads(cook: cards.Cook, book: cards.Book) -> dict[str, float]:
    """How far each parameter of one cook usually lies from the cards, one standard deviation."""
    pit = pit_model(book.pits[cook.pit])
    piece = cook.piece
    spreads = {
        "offset_k": max(pit.drift_sd_k, 1.0),
        "convection": INPUT_SPREADS["convection"].spread,
        "humidity": pit.humidity_spread,
        "thickness": MEASURED_THICKNESS_SD if piece.thickness_m else INPUT_SPREADS["thickness"].spread,
        "start_k": START_SD_K if piece.start_temp_c is None else MEASURED_START_SD_K,
        "fat": INPUT_SPREADS["fat"].spread,
        "release": INPUT_SPREADS["release"].spread,
        "late_s": LATE_SD_S,
    }
    method = book.methods[cook.method]
    if any(book.wraps[stage.wrap].kind != "none" for stage in method.stages):
        spreads["wrap"] = INPUT_SPREADS["wrap"].spread
    return spreads


def daily_spreads(cook: cards.Cook, book: cards.Book) -> dict[str, float]:
    """The same without what stays with the pit: how far one day differs from the pit's own mean."""
    spreads = cook_spreads(cook, book)
    spreads["offset_k"] *= DAILY_SHARE
    spreads["humidity"] *= DAILY_SHARE
    spreads["convection"] = DAILY_CONVECTION
    return spreads


def pit_priors(pit: cards.Pit) -> dict[str, float]:
    """How far the pit itself may lie from its card, one standard deviation of each shared parameter."""

    def sure(origin: Provenance) -> float:
        return SURENESS[origin]

    known = pit.air_offset_k
    return {
        "offset_k": LASTING_OFFSET_K * (sure(known.provenance) if known is not None else 1.0),
        "convection": LASTING_CONVECTION * sure(pit.draught_m_s.provenance),
        "above_k": LASTING_WALL_K * sure(pit.radiant_above_k.provenance),
        "below_k": LASTING_WALL_K * sure(pit.radiant_below_k.provenance),
        "humidity": LASTING_SHARE * pit_model(pit).humidity_spread * sure(pit.dew_point_c.provenance),
    }
