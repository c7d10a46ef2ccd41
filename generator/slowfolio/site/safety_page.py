"""The safety page as values: limits, hazards, hold bands, come-up, tables, cooling, thermometers, cautions.

Everything is read from `slowfolio.safety`; no figure is written here and no text gives a verdict beyond
whether a named rule is met. `safety.html` lays it out.
"""

import re
from collections import Counter
from dataclasses import dataclass

from slowfolio.book.model import Book, Cut
from slowfolio.enrich.step_cautions import SAID_HERE, standing_of
from slowfolio.forecast.authority import rules_of
from slowfolio.safety.cautions import Caution, caution, cautions
from slowfolio.safety.come_up import (
    COME_UP_RULE,
    DRY_HEAT_GAP,
    INTACT_SURFACE_RULE,
    LIMIT_S,
    LONG_COME_UP_GAP,
)
from slowfolio.safety.cooling import yardstick
from slowfolio.safety.growth import BEEF, BULK_MEAT, CHICKEN, PORK, RANKING
from slowfolio.safety.hazards import growth_limits
from slowfolio.safety.hot_hold import (
    BANDS,
    LOW_AT_MOST_S,
    LOWEST_C,
    NO_LIMIT_C,
    WARM_AT_MOST_S,
    WARM_C,
)
from slowfolio.safety.lethality import LethalityTable, organisms, poultry_table, roast_table
from slowfolio.safety.piece import Species
from slowfolio.safety.published import (
    food_code_sections,
    food_code_source,
    humidity_options,
    humidity_source,
)
from slowfolio.safety.thermometer import ACCURACY, ICE, RAISED_LIMIT, Scale, boiling_point_at_c
from slowfolio.safety.verdict import DEFERENCE, duration_text
from slowfolio.site.links import Link, Links
from slowfolio.site.safety_cooling import CoolingOutlook, cooling_outlook
from slowfolio.site.safety_limits import (
    Authority,
    Limit,
    Origin,
    authorities,
    cooling_step,
    degrees,
    origin,
    sentence,
)
from slowfolio.site.shown import Both, both, same

SAFETY = "safety.md"
ALTITUDES_M = (0.0, 500.0, 1000.0, 1500.0, 2000.0, 2500.0, 3000.0)
SHORTEST_IN_MINUTES_S = 60.0
"""Below this the tables print seconds; above it too, unless whole tenths of a minute are meant."""


@dataclass(frozen=True, slots=True)
class Hazard:
    """What heat does to one hazard."""

    name: str
    note: str
    origin: Origin


@dataclass(frozen=True, slots=True)
class GrowthRow:
    """At which temperatures one source says a hazard grows."""

    organism: str
    what: str
    low: Both
    best: Both
    high: Both
    origin: Origin


@dataclass(frozen=True, slots=True)
class Band:
    """One band of warmth of the hold: how long, where, and what happens after."""

    hours: str
    between: Both
    after: str


@dataclass(frozen=True, slots=True)
class TimeTable:
    """A published table of temperatures and times."""

    id: str
    title: str
    rows: tuple[tuple[Both, str], ...]
    origin: Origin


@dataclass(frozen=True, slots=True)
class CautionRow:
    """One caution as its topic, text, figure, when it matters, and source."""

    topic: str
    text: str
    figure: str
    when: str
    origin: Origin


@dataclass(frozen=True, slots=True)
class CodeRow:
    """One section of the US Food Code, or one humidity term of the guideline."""

    section: str
    topic: str
    rule: str
    figures: str


@dataclass(frozen=True, slots=True)
class Ranking:
    """What a predicted growth is called, up to so many log."""

    up_to: str
    words: str


@dataclass(frozen=True, slots=True)
class SafetyPage:
    """All that the safety page shows."""

    own: str
    stricter: int
    why_stricter: str
    authorities: tuple[Authority, ...]
    hazards: tuple[Hazard, ...]
    growth: tuple[GrowthRow, ...]
    bands: tuple[Band, ...]
    bands_origin: Origin
    come_up: tuple[Limit, ...]
    gaps: tuple[Limit, ...]
    tables: tuple[TimeTable, ...]
    cooling: CoolingOutlook
    cooling_steps: tuple[Both, ...]
    cooling_yardstick: Origin
    reheating: tuple[Limit, ...]
    ranking: tuple[Ranking, ...]
    models: tuple[Origin, ...]
    altitude: Both
    boiling: Both
    boiling_rows: tuple[tuple[Both, Both], ...]
    checks: tuple[Limit, ...]
    cautions: tuple[CautionRow, ...]
    vulnerable: CautionRow
    sections: tuple[CodeRow, ...]
    sections_source: str
    humidity: tuple[CodeRow, ...]
    humidity_source: str
    methods: Link
    deference: str


def safety_page(book: Book, links: Links) -> SafetyPage:
    """Build the page for the book's authority, cuts and altitude."""
    own = rules_of(book.card)
    shown = authorities(own)
    altitude = book.card.altitude_m
    rule, limits = yardstick(own), book.card.house_limits
    return SafetyPage(
        own=own.name,
        stricter=sum(limit.house is not None for limit in shown[0].limits),
        why_stricter=limits.why if limits is not None else "",
        authorities=shown,
        hazards=tuple(Hazard(one.name, one.note, origin(one.citation)) for one in organisms(Species.BEEF)),
        growth=_growth(),
        bands=_bands(),
        bands_origin=origin(BANDS),
        come_up=_come_up(),
        gaps=tuple(
            Limit(
                f"Scientific gap {gap.number}", same(sentence(gap.applies_to)), gap.text, origin(gap.citation)
            )
            for gap in (LONG_COME_UP_GAP, DRY_HEAT_GAP)
        ),
        tables=_tables(),
        cooling=cooling_outlook(by_use(book), rule),
        cooling_steps=tuple(cooling_step(limit) for limit in rule.limits),
        cooling_yardstick=origin(rule.citation),
        reheating=tuple(limit for limit in shown[0].limits if limit.name.startswith("Reheating")),
        ranking=tuple(
            Ranking("more" if most == float("inf") else f"up to {most:g} log", words)
            for most, words in RANKING
        ),
        models=tuple(origin(model.citation) for model in (BEEF, PORK, CHICKEN, BULK_MEAT)),
        altitude=both("altitude", altitude),
        boiling=tenths(boiling_point_at_c(altitude)),
        boiling_rows=tuple(
            (both("altitude", height), tenths(boiling_point_at_c(height))) for height in ALTITUDES_M
        ),
        checks=_checks(),
        cautions=tuple(_caution(item) for item in cautions()),
        vulnerable=_caution(caution("vulnerable people")),
        sections=tuple(
            CodeRow(one.section, one.topic, one.rule, _figures(one.temp_f, one.temp_c, one.time))
            for one in food_code_sections()
        ),
        sections_source=food_code_source(),
        humidity=tuple(
            CodeRow(one.option, one.requirement, one.note, f"{one.end_point}; {one.cooking_time}".strip("; "))
            for one in humidity_options()
        ),
        humidity_source=humidity_source(),
        methods=Link("Methods", links.href(SAFETY, "index.md")),
        deference=DEFERENCE,
    )


def by_use(book: Book) -> tuple[Cut, ...]:
    """The book's cuts, those that most of its methods cook first."""
    uses = Counter(method.cut for method in book.methods.values())
    return tuple(sorted(book.cuts.values(), key=lambda cut: (-uses[cut.id], cut.title.casefold())))


def _growth() -> tuple[GrowthRow, ...]:
    def said(temp_c: float | None) -> Both:
        return same("not given") if temp_c is None else tenths(temp_c)

    return tuple(
        GrowthRow(
            row.organism,
            spaced(row.what),
            said(row.min_c),
            in_both_units(row.best),
            said(row.max_c),
            Origin(spaced(row.source), standing_of(row.provenance), ""),
        )
        for row in growth_limits()
    )


def spaced(text: str) -> str:
    """A text of a table with its degrees as the pages print them."""
    return re.sub(r"(?<=\d)([CF])\b", " °\\1", text)


def in_both_units(celsius: str) -> Both:
    """Degrees Celsius as a source words them, "43-47" or "35-40 (40-45)", in both units."""
    if not celsius:
        return same("not given")
    fahrenheit = re.sub(r"[\d.]+", lambda number: f"{float(number.group()) * 1.8 + 32.0:.0f}", celsius)
    there, here = (text.replace("-", "–") for text in (f"{fahrenheit} °F", f"{celsius} °C"))
    return Both(f"{there} ({here})", f"{here} ({there})")


def _bands() -> tuple[Band, ...]:
    def between(low_c: float, high_c: float) -> Both:
        low, high = degrees(low_c), degrees(high_c)
        return Both(f"{low.us} to {high.us}", f"{low.metric} to {high.metric}")

    hottest, lowest = degrees(NO_LIMIT_C), degrees(LOWEST_C)
    longer = "a card that holds longer has to give a reason"
    return (
        Band("No limit", Both(f"{hottest.us} or above", f"{hottest.metric} or above"), ""),
        Band(f"{duration_text(WARM_AT_MOST_S)} at most", between(WARM_C, NO_LIMIT_C), longer),
        Band(f"{duration_text(LOW_AT_MOST_S)} at most", between(LOWEST_C, WARM_C), longer),
        Band("Not at all", Both(f"Below {lowest.us}", f"Below {lowest.metric}"), "a card is refused"),
    )


def _come_up() -> tuple[Limit, ...]:
    span = Both("50 to 130 °F (10 to 54.4 °C)", "10 to 54.4 °C (50 to 130 °F)")
    return (
        Limit(
            f"At most {duration_text(LIMIT_S)}",
            span,
            "all time in that range counts; the clock starts anew only after a lethal temperature and time",
            origin(COME_UP_RULE),
        ),
        Limit(
            "Where",
            same("At the surface of an intact piece, at the core of one that was opened"),
            "",
            origin(INTACT_SURFACE_RULE),
        ),
    )


def _tables() -> tuple[TimeTable, ...]:
    return (
        _time_table("roast", "Beef, pork, lamb and other meat, 6.5 log of Salmonella", roast_table()),
        _time_table("chicken", "Chicken, 12 % fat, 7 log", poultry_table(Species.CHICKEN, None)),
        _time_table("turkey", "Turkey, 12 % fat, 7 log", poultry_table(Species.TURKEY, None)),
    )


def _time_table(name: str, title: str, table: LethalityTable) -> TimeTable:
    rows = tuple(
        (degrees(round(temp, 1)), tabled_time(time))
        for temp, time in zip(table.rows_c, table.rows_s, strict=True)
    )
    return TimeTable(name, title, rows, origin(table.citation))


def tabled_time(seconds: float) -> str:
    """A time of a published table to the digit it prints: seconds, or minutes and their tenths."""
    if seconds == 0:
        return "at once"
    tenths_of_minutes = round(seconds / 6.0)
    if abs(seconds - 6.0 * tenths_of_minutes) > 0.01 or seconds < SHORTEST_IN_MINUTES_S:
        return f"{seconds:g} s"
    return f"{tenths_of_minutes / 10:g} min"


def _checks() -> tuple[Limit, ...]:
    return (
        Limit("In ice and water", degrees(0.0), caution("thermometer ice point").text, origin(ICE)),
        Limit(
            "Accuracy asked for",
            same(f"±{Scale.CELSIUS.value:g} °C, or ±2 °F where only Fahrenheit is shown"),
            "",
            origin(ACCURACY),
        ),
        Limit(
            "Limits with an error left",
            same("The limit and the error on top"),
            caution("thermometer critical limit").text,
            origin(RAISED_LIMIT),
        ),
    )


def _caution(item: Caution) -> CautionRow:
    return CautionRow(
        topic=sentence(item.topic),
        text=item.text,
        figure="" if item.figure.endswith(".csv") else item.figure,
        when="; ".join(moment.value for moment in item.moments),
        origin=Origin(SAID_HERE.get(item.source, item.source), standing_of(item.provenance), ""),
    )


def _figures(temp_f: str, temp_c: str, time: str) -> str:
    temps = f"{temp_f} °F ({temp_c} °C)" if temp_f and temp_c else ""
    return "; ".join(text for text in (temps, time) if text)


def tenths(temp_c: float) -> Both:
    """A temperature to a tenth, in both units."""
    celsius, fahrenheit = f"{temp_c:.1f} °C", f"{temp_c * 1.8 + 32.0:.1f} °F"
    return Both(f"{fahrenheit} ({celsius})", f"{celsius} ({fahrenheit})")
