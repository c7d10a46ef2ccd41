"""A hygrometer reading fed back: the air exchange that explains it, and how far that lies from the card.

The vapour balance is turned round: humidity known, air exchange sought. ``forecast`` replaces the card's
figure by what comes out, where anything does.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

import numpy as np

from slowfolio.physics.arrays import Array, as_array, bracketed_root, require_all_between
from slowfolio.physics.cabinet import Cabinet, Control, Load, Room, Setting
from slowfolio.physics.cabinet_balance import VapourBalance
from slowfolio.physics.errors import PhysicsInputError
from slowfolio.physics.humid_air import saturation_pressure_pa

SLOWEST_PER_S, FASTEST_PER_S = 0.01 / 3600.0, 3600.0 / 3600.0
"""Air exchanges looked at (CALIBRATED): from a jar to a door that stands open."""
UNLIKELY_RATIO = 5.0  # CALIBRATED: further than this from the card, look for another cause first
READING_SPREAD = 0.03
"""Error of a hygrometer of the trade, as a fraction of humidity (CALIBRATED 0.02 to 0.05: capacitive sensors
claim 2 % when new and drift in steam)."""


class Verdict(Enum):
    """What a reading says about the air exchange."""

    EXPLAINED = "an air exchange near the card's explains the reading"
    UNLIKELY = "only an air exchange far from the card's explains it: check hygrometer, pan and door first"
    TOO_DAMP = "no air exchange explains so much moisture: a source is missing, or the hygrometer reads high"
    TOO_DRY = "no air exchange explains so little moisture: a pan ran dry, or the hygrometer reads low"
    REGULATED = "the dial sets the humidity whatever the air exchange: the reading checks the dial only"


@dataclass(frozen=True, slots=True)
class Reading:
    """What one reading says. ``air_exchange_per_s`` is the card's own where the verdict gives no better one.

    ``ratio``: found over the card's. ``lowest_per_s`` and ``highest_per_s``: for a reading off by
    ``READING_SPREAD`` either way. ``off_dial``: reading less the dial's humidity, where there is one.
    """

    verdict: Verdict
    air_exchange_per_s: float
    ratio: float
    lowest_per_s: float
    highest_per_s: float
    off_dial: float | None = None

    @property
    def words(self) -> str:
        """The verdict in words, with the figure."""
        if self.verdict in (Verdict.EXPLAINED, Verdict.UNLIKELY):
            return f"{self.verdict.value}: {3600 * self.air_exchange_per_s:.2g} /h, {self.ratio:.2g} times it"
        return str(self.verdict.value)


def air_exchange_from_reading(
    cabinet: Cabinet,
    setting: Setting,
    measured_humidity: float,
    *,
    room: Room | None = None,
    load: Load | None = None,
) -> Reading:
    """Return the air exchange at which the balance gives ``measured_humidity`` (a fraction).

    One holder at a time. Raises PhysicsInputError for a reading outside 0.1 to 100 %, or above what pure
    steam reads at this air temperature.
    """
    require_all_between("hygrometer reading", measured_humidity, low=0.001, high=1.0, unit="(a fraction)")
    balance = VapourBalance(cabinet, setting, room=room or Room(), load=load or Load())
    if np.broadcast_shapes(balance.air_c.shape, balance.closed_exchange.shape) != ():
        raise PhysicsInputError("a reading is worked out for one holder at a time: give single numbers")
    saturated = saturation_pressure_pa(float(balance.air_c))
    if measured_humidity * saturated > float(balance.ceiling_pa) * (1 + 1e-9):
        highest = float(balance.ceiling_pa) / saturated
        raise PhysicsInputError(
            f"hygrometer reading is {100 * measured_humidity:.0f} %: at this air temperature pure steam reads"
            f" {100 * highest:.0f} %, so give no more than that"
        )
    card = float(balance.closed_exchange)
    off_dial = None
    if cabinet.control in (Control.VAPOUR_TEMPERATURE, Control.PER_CENT):
        dialled = float(balance.dialled_pa()) / saturated
        off_dial = measured_humidity - dialled
        if off_dial > -READING_SPREAD:
            return Reading(Verdict.REGULATED, card, 1.0, card, card, off_dial)
    readings = measured_humidity + READING_SPREAD * np.array([0.0, 1.0, -1.0])
    vapour_pa = np.minimum(np.maximum(readings, 1e-3) * saturated, balance.ceiling_pa)
    found, at_slowest, at_fastest = _exchange_per_s(balance, vapour_pa)
    best, lowest, highest_per_s = (float(value) for value in found)
    if at_slowest[0] < 0:
        return Reading(Verdict.TOO_DAMP, card, 1.0, card, card, off_dial)
    if at_fastest[0] > 0:
        return Reading(Verdict.TOO_DRY, card, 1.0, card, card, off_dial)
    ratio = best / card
    verdict = Verdict.EXPLAINED if 1 / UNLIKELY_RATIO <= ratio <= UNLIKELY_RATIO else Verdict.UNLIKELY
    return Reading(verdict, best, ratio, lowest, highest_per_s, off_dial)


def _exchange_per_s(balance: VapourBalance, vapour_pa: Array) -> tuple[Array, Array, Array]:
    """Air exchange that balances ``vapour_pa``, and the surplus of water at the slowest and the fastest."""
    regulated = balance.cabinet.control in (Control.VAPOUR_TEMPERATURE, Control.PER_CENT)

    def surplus(log_rate: Array) -> Array:
        flows = balance.flows(vapour_pa, exchange=np.exp(log_rate))
        steam = balance.most_steam_kg_s(vapour_pa, flows) if regulated else np.zeros(())
        return as_array(flows.surplus + steam)

    slowest, fastest = (np.full(vapour_pa.shape, np.log(rate)) for rate in (SLOWEST_PER_S, FASTEST_PER_S))
    return np.exp(bracketed_root(surplus, slowest, fastest)), surplus(slowest), surplus(fastest)
