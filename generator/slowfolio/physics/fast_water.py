"""Water's saturation pressure and latent heat as short fits for the engine's inner loop.

The reference formulations live in ``water``; these cost a quarter of them and a test holds the two together.
``surfaces``, ``conduction`` and ``juice`` call them thousands of times a cook.
"""

from __future__ import annotations

import numpy as np

from slowfolio.physics.meat import Array

# ln p = A + B/(T + 271) + D T + E T²: COMPUTED fit to ``saturation_pressure_pa`` (IAPWS-97), within 0.003
# % over 0-150 °C; a quarter of its cost in the inner loop. Extrapolates smoothly to the hottest crusts.
_PSAT = (29.2402419, -6185.51428, -0.0115613709, 1.15448088e-5)
# Latent heat, J/kg: COMPUTED fit to ``latent_heat_j_kg`` (IAPWS-95), within 0.005 % over 0-150 °C.
_LATENT = (2.50111909e6, -2396.86755, 0.987080377, -1.48194788e-2)


def fast_saturation_pressure_pa(temp_c: Array) -> Array:
    """Return the saturation pressure of water; see ``_PSAT``."""
    a, b, d, e = _PSAT
    return np.asarray(np.exp(a + b / (temp_c + 271.0) + temp_c * (d + e * temp_c)), dtype=np.float64)


def saturation_slope_per_k(temp_c: Array) -> Array:
    """Return d(ln p_sat)/dT, 1/K: the derivative of the fit above."""
    _, b, d, e = _PSAT
    shifted = temp_c + 271.0
    return np.asarray(-b / (shifted * shifted) + d + 2.0 * e * temp_c, dtype=np.float64)


def fast_latent_heat_j_kg(temp_c: Array) -> Array:
    """Return the latent heat of vaporisation; see ``_LATENT``."""
    a, b, c, d = _LATENT
    return np.asarray(a + temp_c * (b + temp_c * (c + temp_c * d)), dtype=np.float64)
