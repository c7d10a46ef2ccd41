"""How the numbers are made, as values: engine, equations, spread, and how it stands against what is known.

The rows are those of `physics/validation.json`, which the tests recompute; a miss is said to be one. Figures
of forecasts after readings come from `forecast/calibration.json` where that is there.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources import files
from math import exp
from statistics import NormalDist
from typing import Any

from slowfolio.enrich.pipeline import HOLD_MEMBERS, MEMBERS
from slowfolio.physics import ENGINE_VERSION
from slowfolio.physics.calibration import CONSTANTS, DEFAULT_CALIBRATION
from slowfolio.physics.ensemble import INPUT_SPREADS, InputSpread
from slowfolio.physics.validation import Check, load_checks
from slowfolio.site.links import Links
from slowfolio.site.model_equations import Equation, equations
from slowfolio.site.shown import Both, same

NUMBERS = "numbers.md"
PROBE, REACTION = "probe", "reaction"
"""Inputs that are no factor: a place within the piece, and a time."""

FORECAST_FIGURES = "calibration.json"
KINDS = (
    ("published", "Published cooks", "Figures of other people’s cooks and of laboratories."),
    ("computed", "Other computations", "Worked out by other means than the engine’s."),
    ("practice", "The trade", "Common practice, no source: what people who cook for a living expect."),
)


@dataclass(frozen=True, slots=True)
class CheckRow:
    """One figure that is known from elsewhere: theirs, ours, how far apart, and whether that is a miss."""

    what: str
    theirs: Both
    ours: Both
    difference: Both
    met: bool
    source: str
    remark: str


@dataclass(frozen=True, slots=True)
class CheckGroup:
    """Rows of one standing, with how many are met."""

    title: str
    words: str
    met: int
    rows: tuple[CheckRow, ...]


@dataclass(frozen=True, slots=True)
class SpreadRow:
    """One uncertain input, and between which figures eight of ten members lie."""

    words: str
    middle_8_in_10: str


@dataclass(frozen=True, slots=True)
class ForecastRow:
    """One promise of the forecast, what was asked of it, what was found, and whether that is a miss."""

    what: str
    asked: str
    found: str
    met: bool
    remark: str


@dataclass(frozen=True, slots=True)
class ForecastFigures:
    """How forecasts held against simulated cooks drawn apart from them."""

    engine: str
    note: str
    rows: tuple[ForecastRow, ...]


@dataclass(frozen=True, slots=True)
class NumbersPage:
    """All that the page shows beside its words."""

    version: str
    engine: str
    members: int
    hold_members: int
    equations: tuple[Equation, ...]
    spreads: tuple[SpreadRow, ...]
    groups: tuple[CheckGroup, ...]
    finding: str
    forecast: ForecastFigures | None
    constants: int
    constants_href: str
    trade_href: str
    safety_href: str


def numbers_page(version: str, titles: Mapping[str, str], links: Links) -> NumbersPage:
    """The page of this build; `titles` are those of the methods, by id."""
    groups = check_groups(load_checks())
    return NumbersPage(
        version=version,
        engine=ENGINE_VERSION,
        members=MEMBERS,
        hold_members=HOLD_MEMBERS,
        equations=equations(DEFAULT_CALIBRATION),
        spreads=tuple(SpreadRow(one.words, spread_words(name, one)) for name, one in INPUT_SPREADS.items()),
        groups=groups,
        finding=finding(groups),
        forecast=forecast_figures(titles),
        constants=len(CONSTANTS),
        constants_href=links.href(NUMBERS, "constants.md"),
        trade_href=links.href(NUMBERS, "trade.md"),
        safety_href=links.href(NUMBERS, "safety.md"),
    )


# --- against what is known --------------------------------------------------------------------------


def check_groups(checks: tuple[Check, ...]) -> tuple[CheckGroup, ...]:
    """The rows by standing, in their order; a standing without rows is left out."""
    groups = []
    for kind, title, words in KINDS:
        rows = tuple(check_row(check) for check in checks if check.provenance == kind)
        if rows:
            groups.append(CheckGroup(title, words, sum(row.met for row in rows), rows))
    return tuple(groups)


def check_row(check: Check) -> CheckRow:
    """One row in words and units."""
    theirs = in_unit(check.unit, check.low)
    if check.high != check.low:
        high = in_unit(check.unit, check.high)
        theirs = Both(f"{bare(theirs.us)} to {high.us}", f"{bare(theirs.metric)} to {high.metric}")
    return CheckRow(
        what=check.what,
        theirs=theirs,
        ours=in_unit(check.unit, check.ours),
        difference=difference(check),
        met=check.met,
        source=check.source,
        remark=check.remark,
    )


def difference(check: Check) -> Both:
    """How far ours lies outside theirs, and how far we allow it to."""
    if check.difference == 0.0:
        return same("inside")
    side = "above" if check.difference > 0 else "below"
    apart = in_unit(check.unit, abs(check.difference), is_difference=True)
    allowed = in_unit(check.unit, check.tolerance, is_difference=True)
    if check.tolerance == 0.0:
        return Both(f"{apart.us} {side}", f"{apart.metric} {side}")
    return Both(
        f"{apart.us} {side}; we allow {allowed.us}", f"{apart.metric} {side}; we allow {allowed.metric}"
    )


def in_unit(unit: str, value: float, *, is_difference: bool = False) -> Both:
    """A figure of the table in its unit; temperatures in both systems."""
    if unit == "°C":
        fahrenheit = value * 1.8 + (0.0 if is_difference else 32.0)
        return Both(f"{fahrenheit:.1f} °F", f"{value:.1f} °C")
    if unit == "0-1":
        return same(f"{value:.2f}")
    return same(f"{value:.1f} {unit}")


def bare(text: str) -> str:
    """A figure without its unit, as the low end of a range is said."""
    return text.split(" ", maxsplit=1)[0]


def finding(groups: tuple[CheckGroup, ...]) -> str:
    """How many rows are met, in one sentence."""
    total, met = sum(len(group.rows) for group in groups), sum(group.met for group in groups)
    missed = total - met
    if missed == 0:
        return f"All {total} figures are met."
    are = "is" if missed == 1 else "are"
    return f"{met} of {total} figures are met; {missed} {are} missed, and marked as such."


def spread_words(name: str, spread: InputSpread) -> str:
    """Between which figures eight in ten of an input's draws lie."""
    reach = NormalDist().inv_cdf(0.9) * spread.spread
    if name == PROBE:
        return f"± {100 * reach:.0f} % of the thickness"
    if not spread.logarithmic:
        return f"± {reach:.1f} times the spread on the pit’s own card"
    low, high = spread.nominal * exp(-reach), spread.nominal * exp(reach)
    return f"{low / 60:.0f} to {high / 60:.0f} min" if name == REACTION else f"× {low:.2f} to × {high:.2f}"


# --- forecasts --------------------------------------------------------------------------------------


def forecast_figures(titles: Mapping[str, str]) -> ForecastFigures | None:
    """The figures beside the forecast's code, None before there are any.

    `{"engine": text, "note": text, "rows": [{"what", "asked", "found": text, "met": bool, "remark": text}]}`
    """
    file = files("slowfolio.forecast").joinpath(FORECAST_FIGURES)
    if not file.is_file():
        return None
    kept: dict[str, Any] = json.loads(file.read_text(encoding="utf-8"))
    rows = tuple(ForecastRow(**(row | {"what": with_title(row["what"], titles)})) for row in kept["rows"])
    return ForecastFigures(kept["engine"], kept["note"], rows)


def with_title(what: str, titles: Mapping[str, str]) -> str:
    """A row's words with the title of the method whose id they begin with."""
    name, comma, rest = what.partition(",")
    return f"{titles.get(name, name)}{comma}{rest}"
