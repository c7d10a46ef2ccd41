"""The air speed that stands for a heat transfer: the engine's own formula turned round."""

import math

from slowfolio.physics.pit import forced_convection_w_m2_k

SLOWEST_M_S, FASTEST_M_S = 0.01, 15.0


def draught_for(draught_m_s: float, shift: float) -> float:
    """The air speed at which forced convection is exp(`shift`) times what it is now, by bisection."""
    target = forced_convection_w_m2_k(max(draught_m_s, SLOWEST_M_S)) * math.exp(shift)
    low, high = 0.0, FASTEST_M_S
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if forced_convection_w_m2_k(middle) < target else (low, middle)
    return 0.5 * (low + high)
