"""Growth of Clostridium perfringens from spores, as a ranking of how bad a slow fall or a cool hold is.

Published growth models with the lag of Baranyi & Roberts (1994). The published rules decide what is met;
these numbers never do: they over-predict what was observed, and other models erred the other way. Count from
the end of the cook, for the cook kills growing cells and wakes the spores.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike

from slowfolio.safety.history import (
    FloatArray,
    as_temperatures,
    as_times,
    refined,
    running_integral,
)
from slowfolio.safety.piece import POULTRY, Species
from slowfolio.safety.standing import Citation, Confidence, Standing

LN10 = float(np.log(10.0))
START_LOG, MOST_LOG = 2.0, 9.0
"""Spores at the start and the most the meat carries, log10 per g (CALIBRATED, as for the check values)."""

NO_LAG_CAP_LOG = MOST_LOG - START_LOG


class GrowthModel(Protocol):
    """Anything that gives a growth rate at a temperature and a lag."""

    @property
    def name(self) -> str:
        """What the model is called on a page."""

    @property
    def q0(self) -> float | None:
        """Physiological state at the start (Baranyi); None for a model without lag."""

    def rate_per_h(self, temp_c: FloatArray) -> FloatArray:
        """Return the growth rate, natural logs per hour, any shape; 0 outside the growth range."""


@dataclass(frozen=True, slots=True)
class SquareRootModel:
    """mu = (b (T - Tmin))² (1 - exp(c (T - Tmax))), log10 per h (Ratkowsky form)."""

    name: str
    b: float
    min_c: float
    c: float
    max_c: float
    q0: float | None
    citation: Citation

    def rate_per_h(self, temp_c: FloatArray) -> FloatArray:
        """Return the growth rate, natural logs per hour; 0 outside (Tmin, Tmax)."""
        temp = np.clip(temp_c, self.min_c, self.max_c)
        rate = (self.b * (temp - self.min_c)) ** 2 * (1.0 - np.exp(self.c * (temp - self.max_c)))
        return np.asarray(LN10 * rate, dtype=np.float64)


@dataclass(frozen=True, slots=True)
class CardinalModel:
    """The cardinal temperature model of Rosso and others (1993), ln per h: best rate, three temperatures."""

    name: str
    best_rate_per_h: float
    min_c: float
    best_c: float
    max_c: float
    q0: float | None
    citation: Citation

    def rate_per_h(self, temp_c: FloatArray) -> FloatArray:
        """Return the growth rate, natural logs per hour; 0 outside (Tmin, Tmax)."""
        temp = np.clip(temp_c, self.min_c, self.max_c)
        rise = self.best_c - self.min_c
        above = (temp - self.max_c) * (temp - self.min_c) ** 2
        below = rise * (
            rise * (temp - self.best_c) - (self.best_c - self.max_c) * (self.best_c + self.min_c - 2.0 * temp)
        )
        return np.asarray(self.best_rate_per_h * above / below, dtype=np.float64)


@dataclass(frozen=True, slots=True)
class BulkMeatModel:
    """Le Marc and others (2008): temperature, salt in the water phase and pH, ln per h."""

    name: str
    salt_pct: float
    ph: float
    q0: float | None
    citation: Citation
    min_c: float = 12.20
    max_c: float = 54.47

    def rate_per_h(self, temp_c: FloatArray) -> FloatArray:
        """Return the growth rate, natural logs per hour; 0 outside (Tmin, Tmax)."""
        activity = 1.0 - self.salt_pct * (5.2471 + 0.12206 * self.salt_pct) / 1000.0
        make_up = (activity - 0.9755) * (2.0 - activity - 0.9755) * (self.ph - 4.76)
        temp = np.clip(temp_c, self.min_c, self.max_c)
        rate = 7.45 * (temp - self.min_c) ** 2 * (1.0 - np.exp(0.095 * (temp - self.max_c)))
        return np.asarray(np.maximum(make_up, 0.0) * rate, dtype=np.float64)


def _juneja(number: str) -> Citation:
    return Citation(
        "Juneja, Marks, Huang & Thippareddi",
        f"Food Microbiology 28:791-795, model {number}",
        "2011",
        Standing.READ,
        Confidence.MEDIUM,
        "Parameters READ in a model library; the unit, log10 per hour, inferred from a published forecast.",
    )


_ONE_STEP = Citation(
    "Huang and others", "one-step dynamic analysis, Food Control", "abstract", Standing.READ, Confidence.HIGH
)

BEEF = SquareRootModel("cooked uncured beef", 0.05, 10.15, 0.238, 53.0, 0.0699, _juneja("1157/1160"))
CHICKEN = SquareRootModel("cooked uncured chicken", 0.048, 9.74, 0.208, 52.1, 0.0105, _juneja("1158/1161"))
PORK = SquareRootModel("cooked uncured pork", 0.047, 10.69, 0.252, 52.8, 0.0137, _juneja("1159/1162"))
BRAISED_BEEF = CardinalModel("braised beef, no lag", 5.64, 10.3, 43.5, 53.4, None, _ONE_STEP)
ROASTED_CHICKEN = CardinalModel("roasted chicken, no lag", 6.06, 8.8, 46.4, 51.5, None, _ONE_STEP)
BULK_MEAT = BulkMeatModel(
    "bulk meat, 0.5 % salt, pH 6.25",
    salt_pct=0.5,
    ph=6.25,
    q0=0.0699,
    citation=Citation(
        "Le Marc and others",
        "Int. J. Food Microbiol. 128:41-50",
        "2008",
        Standing.READ,
        Confidence.MEDIUM,
        "Read in a model library; lag of the beef model (CALIBRATED).",
    ),
)


def model_for(species: Species) -> SquareRootModel:
    """Return the model for an animal; beef, the quickest, stands in where there is none (CALIBRATED)."""
    if species in POULTRY:
        return CHICKEN
    return PORK if species is Species.PORK else BEEF


def running_growth_log10(model: GrowthModel, time_s: FloatArray, temp_c: FloatArray) -> FloatArray:
    """Return the growth up to each sample of a refined course, log10, shape (M, T).

    Baranyi & Roberts (1994), Int. J. Food Microbiol. 23:277-294 (MEMORY): dq/dt = mu q and
    d ln N/dt = mu q/(1+q) (1 - N/Nmax). Both integrate in closed form over M = ∫ mu dt, which is what is
    summed here. A model without lag grows straight and stops at the cap.
    """
    middle = 0.5 * (temp_c[..., 1:] + temp_c[..., :-1])
    total = running_integral(time_s, model.rate_per_h(middle) / 3600.0)
    if model.q0 is None:
        return np.minimum(total / LN10, NO_LAG_CAP_LOG)
    # ln((1 + q0 e^M) / (1 + q0)), then logistic slowing towards Nmax.
    start = np.log(model.q0)
    adjusted = np.logaddexp(0.0, start + total) - np.logaddexp(0.0, start)
    share = 10.0 ** (START_LOG - MOST_LOG)
    growth = (adjusted - np.log1p(share * np.expm1(adjusted))) / LN10
    return np.asarray(np.maximum(growth, 0.0), dtype=np.float64)


def growth_log10(model: GrowthModel, time_s: ArrayLike, temp_c: ArrayLike) -> FloatArray:
    """Return the growth of each member over a course that starts at the end of the cook, log10, shape (M,).

    `time_s` has shape (T,) or, for intervals clipped by member, (M, T); `temp_c` (M, T) or (T,).
    """
    time = as_times(time_s)
    temp = as_temperatures(temp_c, time.shape[-1])
    return running_growth_log10(model, *refined(time, temp))[:, -1]


def cautious_growth_log10(species: Species, time_s: ArrayLike, temp_c: ArrayLike) -> FloatArray:
    """Return the larger of the animal's own model and the bulk-meat model, log10, shape (M,).

    The bulk-meat model alone grows above 53 °C, up to 54.5 °C, and is the most cautious there.
    """
    own = growth_log10(model_for(species), time_s, temp_c)
    return np.maximum(own, growth_log10(BULK_MEAT, time_s, temp_c))


RANKING = (
    (1.0, "little"),
    (2.5, "about as much as the models give for cooling schedules that meet the rules"),
    (4.0, "more than the models give for any cooling schedule that meets the rules"),
    (float("inf"), "as much as the models give for meat that cools far too slowly"),
)
"""Ranking words up to each log10. CALIBRATED on the models' own growth along the published schedules (up to
2.1 log for beef) and along curves of 4 to 8 h to 21 °C (4 to 7 log)."""


def ranking_word(growth: float) -> str:
    """Return how a predicted growth, log10, ranks. An advisory word, never a pass."""
    return next(word for most, word in RANKING if growth <= most)
