"""Pits and holders as the meat feels them: air speed, where the heat comes from, how moist the air is.

One dataclass serves pits and holders alike; ``forecast`` fills it from an equipment card. Heat-transfer
coefficients live here too. What sets the vapour pressure of a holder (pans, air exchange) does not: it
arrives here as a number.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from slowfolio.physics.errors import require_between
from slowfolio.physics.meat import Array

STEFAN_BOLTZMANN = 5.670374e-8
ROOM_TEMP_C = 20.0


@dataclass(frozen=True, slots=True)
class PitModel:
    """A pit or holder round the meat.

    ``draught_m_s``: air speed at the meat. Offsets are K at a pit 100 K above the room and scale with that
    difference: ``*_air_offset_k`` of the air at a face against the dial, ``*_wall_offset_k`` of what the face
    radiates to (a fire box lid, coals, or cool walls). ``view``: part of the radiation that reaches the meat.
    ``vapour_pressure_pa``: of the pit air, fuel and room included, water pan and meat not.
    ``response_s``: time constant of the air after a change or an open door. ``swing_k`` / ``swing_period_s``:
    the cycling of fire or thermostat. ``drift_sd_k``: how far the true mean sits from the dial (one sd).
    ``humidity_spread``: log-sd of the vapour pressure about its mean (small where it is controlled).
    ``smoke``: smoke strength against a clean wood fire (0 none, 1 a wood-burning offset).
    """

    name: str = "pit"
    draught_m_s: float = 0.4
    upper_air_offset_k: float = 0.0
    lower_air_offset_k: float = 0.0
    flank_air_offset_k: float = 0.0
    upper_wall_offset_k: float = 0.0
    lower_wall_offset_k: float = 0.0
    flank_wall_offset_k: float = 0.0
    view: float = 1.0
    vapour_pressure_pa: float = 2500.0
    response_s: float = 300.0
    swing_k: float = 0.0
    swing_period_s: float = 1800.0
    drift_sd_k: float = 4.0
    humidity_spread: float = 0.35
    smoke: float = 0.0

    def __post_init__(self) -> None:
        """Check the figures."""
        require_between("air speed", self.draught_m_s, low=0.0, high=15.0, unit="m/s")
        require_between("radiation view", self.view, low=0.0, high=1.0, unit="")
        require_between("vapour pressure", self.vapour_pressure_pa, low=0.0, high=101_325.0, unit="Pa")
        require_between("response time", self.response_s, low=1.0, high=7200.0, unit="s")
        require_between("temperature swing", self.swing_k, low=0.0, high=60.0, unit="K")
        require_between("swing period", self.swing_period_s, low=60.0, high=86_400.0, unit="s")
        require_between("temperature drift", self.drift_sd_k, low=0.0, high=40.0, unit="K")
        require_between("humidity spread", self.humidity_spread, low=0.0, high=1.5, unit="")
        require_between("smoke strength", self.smoke, low=0.0, high=5.0, unit="")
        for name in (
            "upper_air_offset_k",
            "lower_air_offset_k",
            "flank_air_offset_k",
            "upper_wall_offset_k",
            "lower_wall_offset_k",
            "flank_wall_offset_k",
        ):
            require_between(name, getattr(self, name), low=-80.0, high=150.0, unit="K")


def forced_convection_w_m2_k(
    air_speed_m_s: float, *, film_temp_c: float = 85.0, size_m: float = 0.10
) -> float:
    """Return h of a cylinder in cross flow (Churchill & Bernstein 1977, J. Heat Transfer 99, 300; MEMORY).

    Air at one atmosphere; properties by power laws of T (MEMORY, within 2 % of tables over 20-150 °C).
    Reference values: 5.8 at 0.3 m/s, 7.5 at 0.5, 10.8 at 1, 15.7 at 2, 19.6 at 3 m/s for 0.10 m.
    """
    if air_speed_m_s <= 0.0:
        return 0.0
    absolute = film_temp_c + 273.15
    conductivity = 0.0241 * (absolute / 273.15) ** 0.81
    viscosity = 13.3e-6 * (absolute / 273.15) ** 1.76
    prandtl = 0.70
    reynolds = air_speed_m_s * size_m / viscosity
    bracket = (1.0 + (reynolds / 282_000.0) ** 0.625) ** 0.8
    slope = 0.62 * math.sqrt(reynolds) * prandtl ** (1.0 / 3.0)
    nusselt = 0.3 + slope / (1.0 + (0.4 / prandtl) ** (2.0 / 3.0)) ** 0.25 * bracket
    return float(nusselt * conductivity / size_m)


# Natural convection h = 2.0 |ΔT|^0.25: COMPUTED from Churchill & Chu (1975) for a 0.10 m cylinder, which
# gives 4.9-5.4 at 99-121 °C air over 65-70 °C surfaces, 4.0 over 90 °C and 3.0 in a 65 °C cabinet.
NATURAL_COEFFICIENT = 2.05


def natural_convection_w_m2_k(difference_k: Array) -> Array:
    """Return h of natural convection at |ΔT| = ``difference_k`` (Churchill & Chu fit, see above)."""
    return np.asarray(NATURAL_COEFFICIENT * np.sqrt(np.sqrt(np.abs(difference_k) + 1e-3)))
