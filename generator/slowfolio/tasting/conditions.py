"""Like compared with like: do the products differ in anything but what is being compared.

Same part, same cut, equal hold, equal serving temperature. A tasting of a warm flat against a cool point says
nothing about the methods. Called by `plan`, before the tasting, and by `verdict`, after it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

from slowfolio.tasting.errors import TastingInputError, require_inside, require_range

HOLD_TOLERANCE_S = 1800.0
"""Holds this alike count as equal: half an hour (CALIBRATED; holds run to many hours)."""

SERVING_TOLERANCE_C = 3.0
"""Serving temperatures this alike count as equal (CALIBRATED)."""

THICKNESS_TOLERANCE = 0.15
"""Slices this alike, as a share of the thicker, count as equal (CALIBRATED)."""

WARM_SERVING_C = 57.0
"""Hot-holding line of the FDA Food Code 3-501.16(A)(1), 135 °F (READ)."""


@dataclass(frozen=True, slots=True)
class Conditions:
    """How one product comes to the tasters."""

    product: str
    cook: str
    part: str
    slice_thickness_m: float
    held_s: float
    served_c: float


@dataclass(frozen=True, slots=True)
class Unlike:
    """One way in which two products differ beside the method; `remedy` says what to do about it."""

    first: str
    second: str
    what: str
    remedy: str


def unlike_conditions(given: Sequence[Conditions]) -> tuple[Unlike, ...]:
    """Return every way in which the products are not served alike; empty when like meets like."""
    if len(given) < 2:
        raise TastingInputError("a comparison needs the conditions of at least two products")
    for one in given:
        require_inside(f"the slice thickness of {one.product}", one.slice_thickness_m, high=0.2)
        require_range(f"the hold of {one.product}", one.held_s, low=0.0, high=7 * 86400.0)
        require_range(f"the serving temperature of {one.product}", one.served_c, low=-5.0, high=100.0)
    return tuple(found for a, b in combinations(given, 2) for found in _unlike(a, b))


def below_hot_holding(given: Sequence[Conditions]) -> tuple[str, ...]:
    """Return the products served below the hot-holding line, for whom the time rule of 4 h applies.

    Source: FDA Food Code 3-501.19(B), time as a public health control (READ).
    """
    return tuple(one.product for one in given if one.served_c < WARM_SERVING_C)


def _unlike(a: Conditions, b: Conditions) -> list[Unlike]:
    found = []
    if a.part != b.part:
        found.append(
            Unlike(
                a.product,
                b.product,
                f"{a.part or 'whole piece'} against {b.part or 'whole piece'}",
                "serve the same part of both: flat with flat, point with point",
            )
        )
    if abs(a.held_s - b.held_s) > HOLD_TOLERANCE_S:
        hours = abs(a.held_s - b.held_s) / 3600.0
        found.append(
            Unlike(
                a.product,
                b.product,
                f"{hours:.1f} h more hold for one",
                "stagger the cooks so holds are equal",
            )
        )
    if abs(a.served_c - b.served_c) > SERVING_TOLERANCE_C:
        gap = abs(a.served_c - b.served_c)
        found.append(
            Unlike(
                a.product, b.product, f"served {gap:.0f} °C apart", "bring both to one serving temperature"
            )
        )
    thicker = max(a.slice_thickness_m, b.slice_thickness_m)
    if abs(a.slice_thickness_m - b.slice_thickness_m) > THICKNESS_TOLERANCE * thicker:
        found.append(
            Unlike(a.product, b.product, "slices of different thickness", "carve both to one thickness")
        )
    return found
