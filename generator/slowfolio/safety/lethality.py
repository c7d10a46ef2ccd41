"""Kill by heat: times the published tables ask for, and log reductions along a course of temperatures.

The roast and poultry tables are those of the FSIS Cooking Guideline, read row by row; the envelope is a line
that is never shorter than a row of the roast table. Which rule an authority applies to a piece is `cooking`'s
business. Times in seconds, temperatures in °C; courses as in `history`.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from slowfolio.safety.history import (
    FloatArray,
    SafetyInputError,
    as_temperatures,
    as_times,
    refined,
    running_integral,
)
from slowfolio.safety.piece import POULTRY, Species
from slowfolio.safety.standing import Citation, Confidence, Standing
from slowfolio.safety.tables import rows

CREDIT_FLOOR_C = 54.4
"""130 °F as the tables print it: no row lies below, so nothing is credited there (READ, Table 2)."""

SHOWN_LIMIT = 7.0
"""Log reductions above the highest tabled target are printed as "> 7" (CALIBRATED: no table goes further)."""

GUIDELINE = "Cooking Guideline for Meat and Poultry Products (Revised Appendix A)"
EDITION = "December 2021, FSIS-GD-2021-0014"

_SAME_C = 1e-6  # °F rows fall on odd binary fractions of °C; a reading on a row must find that row


class MeatTarget(Enum):
    """Performance targets of the roast table, with the column of the table file that holds them."""

    ROAST_6_5_LOG = (6.5, "time_s_6p5log")
    MEAT_7_LOG = (7.0, "time_s_7log")
    MEAT_5_LOG = (5.0, "time_s_5log")


@dataclass(frozen=True, slots=True)
class LethalityTable:
    """Time needed at each temperature for a log reduction of Salmonella; the last rows may be 0 s.

    `rows_c` rise; `rows_s` fall, up to a few tenths of a minute of printed rounding. `floor_c` is the lowest
    temperature that is credited at all.
    """

    name: str
    target_log: float
    rows_c: tuple[float, ...]
    rows_s: tuple[float, ...]
    floor_c: float
    citation: Citation

    @property
    def instant_c(self) -> float:
        """Temperature of the first row that asks for no time at all."""
        return self.rows_c[len(self._timed_rows_s)]

    @property
    def _timed_rows_s(self) -> tuple[float, ...]:
        return tuple(time for time in self.rows_s if time > 0)

    def time_needed_s(self, temp_c: ArrayLike) -> FloatArray:
        """Return the seconds needed at `temp_c` (any shape): infinity below the floor, 0 from the 0 s row on.

        Between rows the logarithm of time is interpolated; between the last timed row and the first 0 s row
        the last printed time stands.
        """
        temp = _finite(temp_c)
        return np.where(temp >= self.instant_c - _SAME_C, 0.0, self._rated_time_s(temp))

    def running_log_reductions(self, time_s: FloatArray, temp_c: FloatArray) -> FloatArray:
        """Return the log reductions reached up to each sample of a refined course, shape (M, T).

        Each moment counts as its share of the time needed, times the target. Above the first 0 s row, where
        the table asks for no time, the target is met on arrival and the last printed time rates what follows.
        """
        middle = 0.5 * (temp_c[..., 1:] + temp_c[..., :-1])
        reached = running_integral(time_s, self.target_log / self._rated_time_s(middle))
        instant = np.maximum.accumulate(temp_c, axis=-1) >= self.instant_c - _SAME_C
        return np.where(instant, np.maximum(reached, self.target_log), reached)

    def _rated_time_s(self, temp_c: FloatArray) -> FloatArray:
        timed = self._timed_rows_s
        logs = np.interp(temp_c, self.rows_c[: len(timed)], np.log(timed))
        return np.where(temp_c >= self.floor_c - _SAME_C, np.exp(logs), np.inf)


@dataclass(frozen=True, slots=True)
class ThermalDeath:
    """A straight line of log time on temperature: decimal reduction time at a reference, and its slope."""

    name: str
    d_ref_s: float
    ref_c: float
    z_k: float
    floor_c: float
    citation: Citation

    def decimal_time_s(self, temp_c: ArrayLike) -> FloatArray:
        """Return the seconds for one log reduction at `temp_c` (any shape); infinity below the floor."""
        temp = _finite(temp_c)
        times = self.d_ref_s * 10.0 ** ((self.ref_c - temp) / self.z_k)
        return np.where(temp >= self.floor_c - _SAME_C, times, np.inf)

    def running_log_reductions(self, time_s: FloatArray, temp_c: FloatArray) -> FloatArray:
        """Return the log reductions reached up to each sample of a refined course, shape (M, T)."""
        middle = 0.5 * (temp_c[..., 1:] + temp_c[..., :-1])
        return running_integral(time_s, 1.0 / self.decimal_time_s(middle))


Kill = LethalityTable | ThermalDeath


def log_reductions(kill: Kill, time_s: ArrayLike, temp_c: ArrayLike) -> FloatArray:
    """Return the log reductions of each member over a whole course, shape (M,).

    `time_s` has shape (T,) or (M, T), `temp_c` (M, T) or (T,). Raises SafetyInputError for a broken course.
    """
    time = as_times(time_s)
    temp = as_temperatures(temp_c, time.shape[-1])
    result: FloatArray = kill.running_log_reductions(*refined(time, temp))[:, -1]
    return result


def time_of_log_reductions_s(
    kill: Kill, time_s: ArrayLike, temp_c: ArrayLike, *, target_log: float
) -> FloatArray:
    """Return when each member first has `target_log` log reductions, s, shape (M,); infinity for never."""
    time = as_times(time_s)
    fine_time, fine_temp = refined(time, as_temperatures(temp_c, time.shape[-1]))
    reached = kill.running_log_reductions(fine_time, fine_temp) >= target_log - 1e-9
    first = np.argmax(reached, axis=1)[:, None]
    moments = np.take_along_axis(np.broadcast_to(fine_time, reached.shape), first, axis=1)[:, 0]
    return np.where(reached.any(axis=1), moments, np.inf)


def log_reduction_text(value: float) -> str:
    """Return a log reduction as it is shown: rounded down to a tenth, and "> 7" above seven."""
    if value > SHOWN_LIMIT:
        return "> 7 log"
    return f"{np.floor(value * 10 + 1e-6) / 10:.1f} log"


@cache
def roast_table(target: MeatTarget = MeatTarget.ROAST_6_5_LOG) -> LethalityTable:
    """Return the table for beef, pork, lamb and other meat: Table 2 (6.5 and 7 log), Table 6 (5 log). READ.

    The 6.5-log column holds every row of the roast chart of the US Food Code, 3-401.11(B).
    """
    log_target, column = target.value
    table = rows("fsis_appendix_a_meat_2021")
    return LethalityTable(
        f"meat, {log_target:g}-log",
        log_target,
        tuple(celsius(float(row["temp_f"])) for row in table),
        tuple(float(row[column]) for row in table),
        CREDIT_FLOOR_C,
        _guideline("Table 6" if target is MeatTarget.MEAT_5_LOG else "Table 2"),
    )


@cache
def poultry_table(species: Species, fat_pct: float | None) -> LethalityTable:
    """Return the 7-log table for a bird at its fat content: Table 3 chicken, Table 4 turkey. READ.

    Columns run from 1 to 12 % fat and are interpolated in log time; more or unknown fat takes the 12 %
    column, less the 1 % column, and other birds the longer of both tables (all READ). Where one of two
    neighbouring columns asks for no time and the other does, the printed time stands.
    """
    if species not in POULTRY:
        raise SafetyInputError(f"{species.value} is not poultry: use the roast table")
    birds = (species,) if species in (Species.CHICKEN, Species.TURKEY) else (Species.CHICKEN, Species.TURKEY)
    fat = 12.0 if fat_pct is None else min(max(float(fat_pct), 1.0), 12.0)
    columns = [_poultry_column(bird, fat) for bird in birds]
    temps_c = columns[0][0]
    times = tuple(max(times) for times in zip(*(column[1] for column in columns), strict=True))
    section = {Species.CHICKEN: "Table 3", Species.TURKEY: "Table 4"}.get(species, "longer of Tables 3 and 4")
    name = f"{species.value}, 7-log, {fat:g} % fat"
    return LethalityTable(name, 7.0, temps_c, times, temps_c[0], _guideline(section))


def table_for(species: Species, fat_pct: float | None = None) -> LethalityTable:
    """Return the table of the FSIS target that applies: 7-log for birds, 6.5-log for other meat (READ)."""
    return poultry_table(species, fat_pct) if species in POULTRY else roast_table()


def celsius(temp_f: float) -> float:
    """Return °F as °C."""
    return (temp_f - 32.0) / 1.8


def _poultry_column(bird: Species, fat_pct: float) -> tuple[tuple[float, ...], tuple[float, ...]]:
    table = rows(f"fsis_appendix_a_{bird.value}_2021")
    lean, share = int(fat_pct), fat_pct - int(fat_pct)
    by_fat = {
        fat: [float(row["time_s_7log"]) for row in table if int(row["fat_pct"]) == fat]
        for fat in range(1, 13)
    }
    temps_c = tuple(celsius(float(row["temp_f"])) for row in table if row["fat_pct"] == "1")
    fatter = by_fat[min(lean + 1, 12)]
    pairs = zip(by_fat[lean], fatter, strict=True)
    return temps_c, tuple(_between(low, high, share) for low, high in pairs)


def _between(low_s: float, high_s: float, share: float) -> float:
    if share == 0.0:
        return low_s
    if low_s == 0.0 or high_s == 0.0:
        return max(low_s, high_s)
    return float(np.exp((1 - share) * np.log(low_s) + share * np.log(high_s)))


def _guideline(section: str, note: str = "") -> Citation:
    return Citation("USDA FSIS", f"{GUIDELINE}, {section}", EDITION, Standing.READ, Confidence.HIGH, note)


def _finite(temp_c: ArrayLike) -> FloatArray:
    temp = np.asarray(temp_c, dtype=np.float64)
    if not np.isfinite(temp).all():
        raise SafetyInputError("a temperature is missing or infinite: give °C")
    return temp


ROAST_ENVELOPE = ThermalDeath(
    "Salmonella in meat, conservative line",
    d_ref_s=1.951 * 60,
    ref_c=60.0,
    z_k=10.0 / 1.8,
    floor_c=CREDIT_FLOOR_C,
    citation=Citation(
        "Slowfolio",
        f"line never shorter than a row of Table 2 of the {GUIDELINE}",
        EDITION,
        Standing.COMPUTED,
        note="D at 60 °C 1.951 min, z 10 °F; the row that binds is 142 °F.",
    ),
)
"""Never shorter than any 6.5-log row: t = 126.8 min × 10^((130 - T in °F) / 10). COMPUTED from READ rows."""

LISTERIA = ThermalDeath(
    "Listeria monocytogenes",
    d_ref_s=20.0,
    ref_c=70.0,
    z_k=7.5,
    floor_c=CREDIT_FLOOR_C,
    citation=Citation(
        "UK Food Standards Agency and EU reference process",
        "70 °C for 2 min, 6-log of Listeria monocytogenes, z 7.5 °C",
        "SANCO-derived tables; ACMSF",
        Standing.READ,
        note="70 °C for 2 min READ; z 7.5 °C MEMORY; the credit floor is ours.",
    ),
)
LISTERIA_TARGET_LOG = 6.0


def listeria_equivalent_s(temp_c: ArrayLike) -> FloatArray:
    """Return the seconds at `temp_c` (any shape) equal to 70 °C for 2 min: 120 × 10^((70 - T) / 7.5)."""
    return LISTERIA_TARGET_LOG * LISTERIA.decimal_time_s(temp_c)


@dataclass(frozen=True, slots=True)
class Organism:
    """What heat does to one hazard. `kill` is None where cooking does not remove it, and `note` says why."""

    name: str
    kill: Kill | None
    target_log: float | None
    note: str
    citation: Citation


def organisms(species: Species, fat_pct: float | None = None) -> tuple[Organism, ...]:
    """Return the hazards that are told apart for this meat, the tabled one first.

    Rows without a kill line say what governs instead; none of them is a rule that a cook can meet by heat.
    """
    table = table_for(species, fat_pct)
    study = Citation(
        "McMinn and others", "abstract: roast beef, turkey and ham", "2018", Standing.READ, Confidence.HIGH
    )
    return (
        Organism(
            "Salmonella", table, table.target_log, "The target the tables are made for.", table.citation
        ),
        Organism(
            "Listeria monocytogenes",
            LISTERIA,
            LISTERIA_TARGET_LOG,
            "More heat-tolerant than Salmonella at 54.4 °C.",
            LISTERIA.citation,
        ),
        Organism(
            "Shiga toxin-forming E. coli",
            None,
            None,
            "The tabled times were confirmed for it at 60, 65.6 and 71.1 °C but not at 54.4 °C.",
            study,
        ),
        Organism(
            "Staphylococcus aureus toxin",
            None,
            None,
            "Cooking does not destroy the toxin; only a come-up of at most 6 h keeps it from forming.",
            _guideline("pp. 14-15, Attachment A2"),
        ),
        Organism(
            "Spores of Clostridium perfringens and Bacillus cereus",
            None,
            None,
            "Spores survive the cook; holding hot enough and cooling fast enough keep them from growing.",
            Citation(
                "German Federal Institute for Risk Assessment", "Opinion 037/2020", "2020", Standing.READ
            ),
        ),
    )
