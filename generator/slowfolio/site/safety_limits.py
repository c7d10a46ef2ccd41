"""The limits of every authority as rows for the safety page: figure, condition, who says so, how well known.

Only words and order live here; the figures are those of `slowfolio.safety.profiles`. Limits keep both units,
since rules print both.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from slowfolio.safety.profiles import PROFILES, Profile
from slowfolio.safety.published import food_code_sections
from slowfolio.safety.rules import (
    Binding,
    CookingRule,
    CoolingLimit,
    EndPoints,
    ReferenceProcess,
    RoastChart,
)
from slowfolio.safety.standing import Citation, Confidence, Standing
from slowfolio.safety.verdict import duration_text
from slowfolio.site.shown import Both, same

STANDINGS = {
    Standing.READ: "read",
    Standing.MEMORY: "recalled",
    Standing.COMPUTED: "worked out here",
    Standing.CALIBRATED: "a choice of ours",
}
MARKS = {"READ": "read", "MEMORY": "recalled", "CALIBRATED": "a choice of ours"}


@dataclass(frozen=True, slots=True)
class Origin:
    """Who says so, in which edition, how we know, and what there is to add."""

    source: str
    standing: str
    note: str


@dataclass(frozen=True, slots=True)
class Limit:
    """One limit: what it is about, the figure, the condition, and where it comes from.

    `house` is the stricter figure of the book, where it has one.
    """

    name: str
    figure: Both
    condition: str
    origin: Origin
    house: Both | None = None


@dataclass(frozen=True, slots=True)
class Authority:
    """One authority's limits, in the order of the work. `chosen` marks the book's own."""

    id: str
    name: str
    chosen: bool
    limits: tuple[Limit, ...]
    cooking: tuple[Limit, ...]
    no_cooking: str
    allergens: tuple[str, ...]
    allergens_origin: Origin
    notes: tuple[str, ...]


def authorities(own: Profile) -> tuple[Authority, ...]:
    """Every authority, that of the book's own rules first, with the limits of the house beside its own."""
    ordered = sorted(PROFILES.values(), key=lambda profile: profile.id != own.id)
    return tuple(authority(profile, own if profile.id == own.id else None) for profile in ordered)


def authority(profile: Profile, own: Profile | None) -> Authority:
    """One authority's limits. What several sources have to add is said once, under the limits.

    `own` are the book's rules, where this is the authority it works under.
    """
    limits = tuple(_limits(profile)) if own is None else with_house(profile, own)
    cooking = _cooking(profile)
    allergens = origin(profile.allergens.citation)
    added = dict.fromkeys(row.origin.note for row in (*limits, *cooking) if row.origin.note)
    return Authority(
        id=profile.id,
        name=profile.name,
        chosen=own is not None,
        limits=limits,
        cooking=cooking,
        no_cooking=""
        if profile.cooking
        else "Our sources for this authority give no cooking figure: ask the local one.",
        allergens=tuple(wording for _, wording in profile.allergens.wording),
        allergens_origin=allergens,
        notes=tuple(in_plain_words(note) for note in (*profile.notes, *added)),
    )


def with_house(profile: Profile, own: Profile) -> tuple[Limit, ...]:
    """The authority's limits, each with the book's figure where that is another."""
    theirs = {limit.name: limit for limit in _limits(profile)}
    return tuple(_beside(theirs.get(limit.name), limit) for limit in _limits(own))


def _beside(theirs: Limit | None, ours: Limit) -> Limit:
    if theirs is None:
        return replace(ours, figure=same("none"), house=ours.figure)
    return theirs if theirs.figure == ours.figure else replace(theirs, house=ours.figure)


def _cooking(profile: Profile) -> tuple[Limit, ...]:
    """What is asked of each class of piece; classes that are asked the same stand together."""
    classes: dict[tuple[Both, str, Origin], list[str]] = {}
    for kind, rule in profile.cooking.items():
        same_rule = (asked(rule, printed_fahrenheit(profile)), _binding(rule.binding), origin(rule.citation))
        classes.setdefault(same_rule, []).append(kind.value)
    return tuple(
        Limit(sentence("; ".join(kinds)), figure, condition, where)
        for (figure, condition, where), kinds in classes.items()
    )


def printed_fahrenheit(profile: Profile) -> Mapping[float, str]:
    """The °F that the US Food Code prints beside its °C, which are not always the converted ones."""
    if profile.id != "us-retail":
        return {}
    pairs = [
        pair
        for section in food_code_sections()
        for pair in zip(section.temp_c.split(" / "), section.temp_f.split(" / "), strict=False)
    ]
    return {float(c): f for c, f in pairs if c.isdigit() and f.isdigit()}


def _limits(profile: Profile) -> Iterator[Limit]:
    floor = degrees(profile.hot_hold_min_c, f"{profile.hot_hold_min_f:g}")
    yield Limit("Hot holding", _or_above(floor), "", origin(profile.hot_hold))
    if profile.roast_hold_min_c is not None:
        roast = degrees(profile.roast_hold_min_c, "130" if profile.roast_hold_min_c == 54.0 else "")
        condition = "only roasts cooked or reheated by the roast chart"
        yield Limit("Hot holding of roasts", _or_above(roast), condition, origin(profile.hot_hold))
    yield from _allowance(profile)
    yield from _cooling(profile)
    if profile.cold_max_c is not None:
        cold = degrees(profile.cold_max_c)
        at_most = Both(f"{cold.us} or below", f"{cold.metric} or below")
        yield Limit("Cold holding", at_most, "", origin(profile.cold))
    yield from _reheating(profile)


def _allowance(profile: Profile) -> Iterator[Limit]:
    allowed = profile.allowance
    if allowed is None:
        said = "no time with a figure is granted"
        yield Limit("Time below the floor", same("none"), said, origin(profile.citation))
        return
    figure = f"{duration_text(allowed.at_most_s)} at most"
    if allowed.once:
        figure += ", once"
    condition = allowed.condition
    if allowed.in_warm_air_s is not None:
        condition += f"; {duration_text(allowed.in_warm_air_s)} in warm air"
    yield Limit("Time below the floor", same(figure), condition, origin(allowed.citation))


def _cooling(profile: Profile) -> Iterator[Limit]:
    rule = profile.cooling
    if rule.into_cold_within_s is not None:
        figure = same(f"within {duration_text(rule.into_cold_within_s)}")
        yield Limit("Into the cold", figure, rule.note, origin(rule.citation))
    if rule.limits:
        steps = [cooling_step(limit) for limit in rule.limits]
        figure = Both(", and ".join(step.us for step in steps), ", and ".join(step.metric for step in steps))
        name = "Cooling" if rule.binding is Binding.RULE else "Cooling, advice"
        yield Limit(name, figure, rule.note or "from when the middle has fallen to it", origin(rule.citation))


def cooling_step(limit: CoolingLimit) -> Both:
    """A step of a cooling rule in both orders of units."""
    start, end = degrees(limit.from_c), degrees(limit.to_c)
    time = duration_text(limit.at_most_s)
    return Both(f"{start.us} to {end.us} within {time}", f"{start.metric} to {end.metric} within {time}")


def _reheating(profile: Profile) -> Iterator[Limit]:
    rule = profile.reheat
    if rule is None:
        said = "no figure in our sources: ask the local authority"
        yield Limit("Reheating to hold hot", same("none"), said, origin(profile.citation))
        return
    figure = degrees(70.0) if rule.temp_c is None else degrees(rule.temp_c)
    dwell = 120.0 if rule.temp_c is None else rule.hold_s
    if dwell:
        figure = Both(*(f"{text} for {duration_text(dwell)}" for text in (figure.us, figure.metric)))
    within = "" if rule.within_s is None else f"reached within {duration_text(rule.within_s)}"
    condition = ". ".join(text for text in (within, in_plain_words(rule.note).rstrip(".")) if text)
    yield Limit("Reheating to hold hot", figure, condition, origin(rule.citation))


def asked(rule: CookingRule, printed: Mapping[float, str]) -> Both:
    """What a cooking rule asks of the coldest point."""
    match rule.standard:
        case RoastChart():
            low, high = degrees(54.4, "130"), degrees(70.0)
            texts = ((low.us, high.us), (low.metric, high.metric))
            said = [f"The roast chart: {start} for 112 min, to {end} at once" for start, end in texts]
        case ReferenceProcess():
            both_ways = degrees(70.0)
            said = [
                f"{text} for 2 min, or as much at another temperature"
                for text in (both_ways.us, both_ways.metric)
            ]
        case EndPoints(options):
            dwell = [f"for {duration_text(one.hold_s)}" if one.hold_s else "at once" for one in options]
            temps = [degrees(one.temp_c, printed.get(one.temp_c, "")) for one in options]
            said = [
                " or ".join(f"{text} {time}" for text, time in zip(texts, dwell, strict=True))
                for texts in ([temp.us for temp in temps], [temp.metric for temp in temps])
            ]
    return Both(said[0], said[1])


def _binding(binding: bool) -> str:
    return "" if binding else "shown as advice: the law itself sets no figure"


def _or_above(temp: Both) -> Both:
    return Both(f"{temp.us} or above", f"{temp.metric} or above")


def degrees(temp_c: float, temp_f: str = "") -> Both:
    """A limit in both units, the reader's own first; `temp_f` is what the rule prints where it rounds so."""
    celsius, fahrenheit = f"{round(temp_c, 1):g} °C", f"{temp_f or f'{temp_c * 1.8 + 32.0:.0f}'} °F"
    return Both(f"{fahrenheit} ({celsius})", f"{celsius} ({fahrenheit})")


def sentence(text: str) -> str:
    """A text that begins with a capital."""
    return text[:1].upper() + text[1:]


def origin(citation: Citation) -> Origin:
    """A citation as a row shows it."""
    standing = STANDINGS[citation.standing]
    if citation.confidence is not Confidence.HIGH:
        standing += f", {citation.confidence.value} confidence"
    return Origin(str(citation), standing, in_plain_words(citation.note))


def in_plain_words(note: str) -> str:
    """A note with the marks of its figures in the words that the page explains."""
    return re.sub("|".join(MARKS), lambda mark: MARKS[mark.group()], note)
