"""Answers of a tasting as pages show them: words, figures with their marks, dot and interval strips.

Used by the page of a tasting and by the evidence on the page of a method. `_tasting.html` lays them out.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor

from markupsafe import Markup

from slowfolio.book.tasting_card import Tasting
from slowfolio.enrich.evidence import EvidenceLine
from slowfolio.enrich.tasting_bridge import effect
from slowfolio.enrich.tasting_results import OVER_COOKS, Answer, Reading
from slowfolio.provenance import Provenance
from slowfolio.site.charts.dots import Rule, dot_strip, points_rule, share_rule
from slowfolio.site.links import Link, Links, card_uri
from slowfolio.site.shown import Notes, Tag
from slowfolio.tasting.evidence import Grade
from slowfolio.tasting.verdict import Settled
from slowfolio.tasting.wording import percent, points_text

TELLING = "share of eaters who can tell"


@dataclass(frozen=True, slots=True)
class PlotRow:
    """One figure: its name, value and interval in words, and the strip."""

    name: str
    value: str
    interval: str
    strip: Markup


@dataclass(frozen=True, slots=True)
class Plot:
    """Figures on one rule. `ends` say what its two ends mean, `band` what the shaded stretch is."""

    title: str
    rows: tuple[PlotRow, ...]
    ticks: tuple[str, ...]
    ends: tuple[str, str]
    band: str
    tag: Tag


@dataclass(frozen=True, slots=True)
class ShownAnswer:
    """One question with its answer. `settled` is in words for the eye: a finding, alike, or open."""

    asked: str
    settled: str
    found: str
    doubt: str
    settle: str
    cannot_say: tuple[str, ...]
    anchor: str


@dataclass(frozen=True, slots=True)
class EvidenceRow:
    """What one tasting says of a method, on the page of the method: each answer with how it came out."""

    link: Link
    says: tuple[tuple[str, str], ...]
    grade: str
    invented: bool
    when: str
    tag: Tag


SETTLED_WORDS = {
    Settled.DIFFERENT: "Found",
    Settled.ALIKE: "Alike",
    Settled.OPEN: "Not settled",
}


def shown_answer(answer: Answer, number: int, said_once: Sequence[str]) -> ShownAnswer:
    """An answer in the form of a page, without what the page says once for all answers."""
    return ShownAnswer(
        asked=answer.asked,
        settled=SETTLED_WORDS[answer.settled],
        found=sentence(answer.found),
        doubt=answer.doubt,
        settle=answer.settle,
        cannot_say=tuple(words for words in answer.cannot_say if words not in said_once),
        anchor=f"answer-{number}",
    )


def source_of(card: Tasting) -> str:
    """Where figures of a tasting come from, for their marks."""
    invented = "; invented data" if card.invented else ""
    return f"tasting {card.id}, {card.date.isoformat()}{invented}"


def evidence_rows(
    lines: Sequence[EvidenceLine], links: Links, origin: str, notes: Notes
) -> tuple[EvidenceRow, ...]:
    """The evidence about a method, one row for each tasting in the order of its first line."""
    found: dict[str, list[EvidenceLine]] = {}
    for line in lines:
        found.setdefault(line.tasting.id, []).append(line)
    return tuple(_evidence_row(own, links, origin, notes) for own in found.values())


def _evidence_row(lines: Sequence[EvidenceLine], links: Links, origin: str, notes: Notes) -> EvidenceRow:
    card = lines[0].tasting
    return EvidenceRow(
        link=Link(card.title, links.href(origin, card_uri("tastings", card.id))),
        says=tuple(verdict_words(line.answer) for line in lines),
        grade=lines[0].grade.value,
        invented=card.invented,
        when=f"{card.date.day} {card.date:%B %Y}",
        tag=notes.tag(Provenance.MEASURED, source_of(card)),
    )


def verdict_words(answer: Answer) -> tuple[str, str]:
    """How an answer came out, and the answer with its doubt and what would settle it."""
    said = (sentence(answer.found), answer.doubt, answer.settle)
    return SETTLED_WORDS[answer.settled], " ".join(words for words in said if words)


def sentence(text: str) -> str:
    """The text with a capital at its start: names of products are written as the card has them."""
    return text[:1].upper() + text[1:]


def evidence_words(grade: Grade | None) -> str:
    """What the evidence about a method comes to."""
    if grade is None:
        return "No tasting has settled anything about this method yet."
    return f"From tastings. Strongest: {grade}."


# --- plots --------------------------------------------------------------------------------------------


def plots(card: Tasting, answers: Sequence[Answer], notes: Notes) -> tuple[Plot, ...]:
    """Every figure of the answers on a rule of its kind."""
    tag = notes.tag(Provenance.MEASURED, source_of(card))
    shares = [
        reading
        for answer in answers
        for reading in answer.readings
        if reading.unit == "share" and reading.name.startswith("share")
    ]
    if card.test == "scores":
        both = (_points_plot(card, answers, unit, tag) for unit in ("points", OVER_COOKS))
        return tuple(plot for plot in both if plot.rows)
    if not shares:
        return ()
    wanted = effect(card).telling if shares[0].name == TELLING else None
    neutral = None if shares[0].name == TELLING else 0.5
    rule = share_rule(neutral, wanted)
    band = f"shaded: fewer than {percent(wanted)}, the share looked for" if wanted is not None else ""
    ends = ("nobody", "everybody") if wanted is not None else ("nobody", "all")
    return (Plot("", tuple(_row(one, rule, one.name) for one in shares), rule.ticks, ends, band, tag),)


def _points_plot(card: Tasting, answers: Sequence[Answer], unit: str, tag: Tag) -> Plot:
    readings = [(answer, one) for answer in answers for one in answer.readings if one.unit == unit]
    wanted = effect(card).score
    rule = points_rule([end for _, one in readings for end in (one.low, one.high) if end is not None], wanted)
    pairs = {answer.between for answer, _ in readings}
    one_pair = len(pairs) == 1
    first, second = next(iter(pairs)) if one_pair else ("the first", "the second")
    named = (
        "" if unit == "points" else f"With the cook as the unit, {_cooks(readings[0][1])}" if readings else ""
    )
    return Plot(
        title=named,
        rows=tuple(
            _row(one, rule, answer.attribute if one_pair else _pair_name(answer)) for answer, one in readings
        ),
        ticks=rule.ticks,
        ends=(f"more in {second}", f"more in {first}"),
        band=f"shaded: within {points_text(wanted)} of each other, the difference looked for",
        tag=tag,
    )


def _cooks(reading: Reading) -> str:
    return reading.name.rpartition(", over ")[2]


def _pair_name(answer: Answer) -> str:
    return f"{answer.attribute}: {' less '.join(answer.between)}"


def _row(reading: Reading, rule: Rule, name: str) -> PlotRow:
    strip = dot_strip(rule, reading.value, reading.low, reading.high)
    return PlotRow(sentence(name), _value(reading), _interval(reading), strip)


def _value(reading: Reading) -> str:
    if reading.value is None:
        return "not bounded"
    return percent(reading.value) if reading.unit == "share" else _signed(reading.value)


def _interval(reading: Reading) -> str:
    """The ends of an interval, rounded outwards, never too narrow."""
    if reading.unit == "share":
        high_share = 1.0 if reading.high is None else reading.high
        return f"{floor(100 * (reading.low or 0.0) + 1e-9)} to {ceil(100 * high_share - 1e-9)} %"
    low = "no lower bound" if reading.low is None else _signed(floor(10 * reading.low + 1e-9) / 10)
    high = "no upper bound" if reading.high is None else _signed(ceil(10 * reading.high - 1e-9) / 10)
    return f"{low} to {high}"


def _signed(points: float) -> str:
    """Points with their sign, and no sign for nothing."""
    return f"{points + 0.0:+.1f}".replace("-", "−").replace("+0.0", "0.0").replace("−0.0", "0.0")
