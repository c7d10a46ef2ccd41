"""How the middle of a piece cools: whole, halved or sliced, in a refrigerator, ice bath or blast chiller.

Exact conduction in a brick that starts at one temperature and meets a cold medium on all faces; evaporation
is left out, so the middle is computed to cool later than it does. `cooling` holds the rules that judge it.
The cook engine's own conduction carries moisture and shrinking with it and is not needed here.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from slowfolio.safety.history import FloatArray, SafetyInputError, require_between
from slowfolio.safety.standing import Standing

CONDUCTIVITY_W_M_K = 0.45
DIFFUSIVITY_M2_S = 1.3e-7
"""Cooked meat (CALIBRATED: middle of the range for beef at 20 to 60 °C from its composition)."""

MEMBERS = 16
"""Members across a medium's range of heat transfer (CALIBRATED)."""

_TERMS = 12
_UNFELT_FOURIER = 0.02  # until then the middle has moved by less than 2 erfc(3.5), a millionth
_HALVINGS = 60
_LONGEST_S = 96 * 3600.0


@dataclass(frozen=True, slots=True)
class Medium:
    """Something cold: its temperature and the range of heat transfer to a piece in it, W/(m²·K)."""

    name: str
    temp_c: float
    low_w_m2_k: float
    high_w_m2_k: float
    standing: Standing
    note: str

    def __post_init__(self) -> None:
        """Refuse a medium that cannot cool."""
        require_between(f"{self.name}: temperature", self.temp_c, low=-60.0, high=40.0, unit="°C")
        if not 0.0 < self.low_w_m2_k <= self.high_w_m2_k < 1e5:
            raise SafetyInputError(f"{self.name}: give heat transfer above 0 W/(m²·K), the lower value first")


REFRIGERATOR = Medium(
    "refrigerator",
    3.0,
    6.0,
    10.0,
    Standing.COMPUTED,
    "Uncovered or loosely covered on a rack, air on all sides, room between pieces.",
)
ICE_BATH = Medium(
    "ice bath",
    0.5,
    100.0,
    300.0,
    Standing.CALIBRATED,
    "Sealed in a bag without air, under water with ice left in it, moved now and then.",
)
BLAST_CHILLER = Medium(
    "blast chiller", -3.0, 20.0, 40.0, Standing.CALIBRATED, "Uncovered on a rack in fast air, not overloaded."
)
MEDIA = (REFRIGERATOR, BLAST_CHILLER, ICE_BATH)


@dataclass(frozen=True, slots=True)
class Brick:
    """A piece as a brick, metres; the order of the sides does not matter to its cooling."""

    name: str
    length_m: float
    width_m: float
    thickness_m: float

    def __post_init__(self) -> None:
        """Refuse sizes that no piece has."""
        for side, value in (
            ("length", self.length_m),
            ("width", self.width_m),
            ("thickness", self.thickness_m),
        ):
            if not 0.001 <= value <= 2.0:
                raise SafetyInputError(f"{side} {value:g} m: give 0.001 to 2 m")


def whole(*, length_m: float, width_m: float, thickness_m: float) -> Brick:
    """Return a piece left whole."""
    return Brick("whole", length_m, width_m, thickness_m)


def halved(piece: Brick) -> Brick:
    """Return one half of a piece cut across its longest side."""
    sides = [piece.length_m, piece.width_m, piece.thickness_m]
    longest = sides.index(max(sides))
    sides[longest] /= 2
    return Brick("halved", *sides)


def sliced(piece: Brick, slice_m: float) -> Brick:
    """Return one slice cut across the longest side, lying alone with cold on both faces."""
    sides = sorted((piece.length_m, piece.width_m, piece.thickness_m))
    if not 0.0 < slice_m <= sides[-1]:
        raise SafetyInputError(f"a slice of {slice_m * 1000:g} mm: give a thickness the piece has")
    return Brick(f"sliced to {slice_m * 1000:g} mm, in a single layer", sides[1], sides[0], slice_m)


@dataclass(frozen=True, slots=True, eq=False)
class CoolDown:
    """The middle of a piece over time: `time_s` (T,), `centre_c` (M, T), from the start of chilling."""

    time_s: FloatArray
    centre_c: FloatArray


def cool_down(piece: Brick, medium: Medium, *, start_c: float) -> CoolDown:
    """Return the middle of a piece that goes into `medium` at `start_c` all through, over 96 h.

    Members are spread evenly over the medium's range of heat transfer.
    """
    require_between("temperature at the start of cooling", start_c, low=medium.temp_c, high=120.0, unit="°C")
    steps = (np.arange(MEMBERS) + 0.5) / MEMBERS
    transfer = medium.low_w_m2_k + steps * (medium.high_w_m2_k - medium.low_w_m2_k)
    return _cool_down(piece, medium.temp_c, transfer, start_c)


def slowest_cool_down(piece: Brick, medium: Medium, *, start_c: float) -> CoolDown:
    """Return the one member at the lower end of the medium's heat transfer."""
    require_between("temperature at the start of cooling", start_c, low=medium.temp_c, high=120.0, unit="°C")
    return _cool_down(piece, medium.temp_c, np.asarray([medium.low_w_m2_k]), start_c)


def with_transfer(medium: Medium, low_w_m2_k: float, high_w_m2_k: float) -> Medium:
    """Return the same medium with a measured range of heat transfer."""
    return replace(medium, low_w_m2_k=low_w_m2_k, high_w_m2_k=high_w_m2_k)


def slab_centre_ratio(biot: ArrayLike, fourier: ArrayLike) -> FloatArray:
    """Return how much of the temperature difference is left in the middle of a slab, shape (M, T).

    Exact series, terms C exp(-z² Fo) with z tan z = Bi and C = 4 sin z / (2 z + sin 2 z); Incropera & DeWitt,
    Fundamentals of Heat and Mass Transfer, ch. 5, transient conduction (MEMORY). `biot` (M,) and
    `fourier` (M, T) use the half thickness.
    """
    bi = np.atleast_1d(np.asarray(biot, dtype=np.float64))[:, None]
    fo = np.atleast_2d(np.asarray(fourier, dtype=np.float64))
    low = np.arange(_TERMS) * math.pi + np.zeros_like(bi)
    high = low + math.pi / 2
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        beyond = middle * np.sin(middle) * np.sign(np.cos(middle)) > bi * np.abs(np.cos(middle))
        low, high = np.where(beyond, low, middle), np.where(beyond, middle, high)
    root = 0.5 * (low + high)
    weight = 4.0 * np.sin(root) / (2.0 * root + np.sin(2.0 * root))
    left = np.einsum("mn,mnt->mt", weight, np.exp(-(root[:, :, None] ** 2) * fo[:, None, :]))
    return np.where(fo > _UNFELT_FOURIER, np.clip(left, 0.0, 1.0), 1.0)


def _cool_down(piece: Brick, medium_c: float, transfer_w_m2_k: FloatArray, start_c: float) -> CoolDown:
    time = np.concatenate([[0.0], np.geomspace(30.0, _LONGEST_S, 400)])
    left = np.ones((transfer_w_m2_k.size, time.size))
    for side in (piece.length_m, piece.width_m, piece.thickness_m):
        half = side / 2.0
        fourier = np.broadcast_to(DIFFUSIVITY_M2_S * time / half**2, left.shape)
        left = left * slab_centre_ratio(transfer_w_m2_k * half / CONDUCTIVITY_W_M_K, fourier)
    return CoolDown(time, medium_c + (start_c - medium_c) * left)
