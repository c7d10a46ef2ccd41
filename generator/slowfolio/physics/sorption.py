"""How tightly dry meat holds its last water: the sorption isotherm between moisture and water activity.

``cook`` asks for the water activity of the crust, ``outcomes`` turns it into crispness. Evaporation itself
lives in ``surfaces``.
"""

from __future__ import annotations

import numpy as np

from slowfolio.physics.calibration import DEFAULT_CALIBRATION, Calibration
from slowfolio.physics.meat import Array

WETTEST_ACTIVITY = 0.995  # fresh meat, 0.99 (MEMORY); keeps the isotherm within its finite part
MONOLAYER_FALL_PER_K = 0.005  # CALIBRATED: the monolayer falls with temperature (READ, no figure)
MONOLAYER_REFERENCE_C = 30.0


def monolayer_kg_kg(temp_c: Array, *, calibration: Calibration = DEFAULT_CALIBRATION) -> Array:
    """Return the GAB monolayer at ``temp_c``, kg water per kg dry lean."""
    fall = np.exp(-MONOLAYER_FALL_PER_K * (np.asarray(temp_c, dtype=np.float64) - MONOLAYER_REFERENCE_C))
    return np.asarray(calibration.gab_monolayer * fall, dtype=np.float64)


def moisture_at_activity(
    activity: Array, monolayer: Array, *, calibration: Calibration = DEFAULT_CALIBRATION
) -> Array:
    """Return kg water per kg dry lean in equilibrium with ``activity`` (0..0.995).

    Guggenheim-Anderson-de Boer: X = Xm C K a / ((1 - K a)(1 - K a + C K a)); the form is found best for
    lean beef by Trujillo, Yeow & Pham (2003), J. Food Eng. 60, 357 (READ, abstract); its constants here
    are CALIBRATED.
    """
    reduced = calibration.gab_k * np.clip(activity, 0.0, WETTEST_ACTIVITY)
    swell = (1.0 - reduced) * (1.0 + (calibration.gab_c - 1.0) * reduced)
    return np.asarray(monolayer * calibration.gab_c * reduced / swell, dtype=np.float64)


def water_activity(
    moisture: Array, monolayer: Array, *, calibration: Calibration = DEFAULT_CALIBRATION
) -> Array:
    """Return the water activity (0..0.995) of dry lean holding ``moisture`` kg/kg: the isotherm solved for a.

    The GAB equation is quadratic in K a: (C-1) X u² + (Xm C - X (C-2)) u - X = 0.
    """
    c = calibration.gab_c
    middle = monolayer * c - moisture * (c - 2.0)
    root = moisture * moisture
    root *= 4.0 * (c - 1.0)
    root += middle * middle
    reduced = (2.0 / calibration.gab_k) * moisture / (middle + np.sqrt(root))
    return np.asarray(np.minimum(reduced, WETTEST_ACTIVITY), dtype=np.float64)
