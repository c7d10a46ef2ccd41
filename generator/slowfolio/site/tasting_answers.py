"""Answers of a tasting as pages show them: words, figures with their marks, dot and interval strips.

Used by the page of a tasting and by the evidence on the page of a method. `_tasting.html` lays them out.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from slowfolio.book.tasting_card import Tasting
from slowfolio.enrich.evidence import EvidenceLine
from slowfolio.enrich.tasting_bridge import effect
from slowfolio.enrich.tasting_results import Answer, Reading
from slowfolio.provenance import Provenance
from slowfolio.site.charts.dots import Rule, dot_strip, points_rule, share_rule
from slowfolio.site.links import Link, Links, card_uri
from slowfolio.site.shown import Notes, Tag
from slowfolio.tasting.evidence import Grade
from slowfolio.tasting.verdict import Settled
from slowfolio.tasting.wording import percent

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
    settle: str
    cannot_say: tuple[str, ...]
    anchor: str


@dataclass(frozen=True, slots=True)
class EvidenceRow:
    """What one tasting says of a method, on the page of the method."""

    link: Link
    found: str
    settle: str
    settled: str
    grade: str
    invented: bool
    when: str
    tag: Tag


SETTLED_WORDS = {
    Settled.DIFFERENT: "Found",
    Settled.ALIKE: "Alike",
    Settled.OPEN: "Not settled",
}


def shown_answer(answer: Answer, number: int) -> ShownAnswer:
    """An answer in the form of a page."""
    return ShownAnswer(
        asked=answer.asked,
        settled=SETTLED_WORDS[answer.settled],
        found=answer.found,
        settle=answer.settle,
        cannot_say=answer.cannot_say,
        anchor=f"answer-{number}",
    )


def source_of(card: Tasting) -> str:
    """Where figures of a tasting come from, for their marks."""
    invented = "; invented data" if card.invented else ""
    return f"tasting {card.id}, {card.date.isoformat()}{invented}"


def evidence_rows(
    lines: Sequence[EvidenceLine], links: Links, origin: str, notes: Notes
) -> tuple[EvidenceRow, ...]:
    """The evidence about a method."""
    return tuple(
        EvidenceRow(
            link=Link(line.tasting.title, links.href(origin, card_uri("tastings", line.tasting.id))),
            found=line.answer.found,
            settle=line.answer.settle,
            settled=SETTLED_WORDS[line.answer.settled],
            grade=line.grade.value,
            invented=line.tasting.invented,
            when=f"{line.tasting.date.day} {line.tasting.date:%B %Y}",
            tag=notes.tag(Provenance.MEASURED, source_of(line.tasting)),
        )
        for line in lines
    )


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
        return (_points_plot(card, answers, tag),)
    if not shares:
        return ()
    wanted = effect(card).telling if shares[0].name == TELLING else None
    neutral = None if shares[0].name == TELLING else 0.5
    rule = share_rule(neutral, wanted)
    band = f"shaded: fewer than {percent(wanted)}, the share looked for" if wanted is not None else ""
    ends = ("nobody", "everybody") if wanted is not None else ("nobody", "all")
    return (Plot(tuple(_row(one, rule, one.name) for one in shares), rule.ticks, ends, band, tag),)


def _points_plot(card: Tasting, answers: Sequence[Answer], tag: Tag) -> Plot:
    readings = [
        (answer, reading) for answer in answers for reading in answer.readings if reading.unit == "points"
    ]
    ends = [end for _, one in readings for end in (one.low, one.high) if end is not None]
    wanted = effect(card).score
    rule = points_rule(ends, wanted)
    pairs = {answer.between for answer, _ in readings}
    first, second = next(iter(pairs)) if len(pairs) == 1 else ("the second named", "the first named")
    return Plot(
        rows=tuple(
            _row(reading, rule, _points_name(reading, one_pair=len(pairs) == 1)) for _, reading in readings
        ),
        ticks=rule.ticks,
        ends=(f"more in {second}", f"more in {first}") if len(pairs) == 1 else ("less", "more"),
        band=f"shaded: within {wanted:g} of each other, said beforehand not to matter",
        tag=tag,
    )


def _points_name(reading: Reading, *, one_pair: bool) -> str:
    attribute, _, rest = reading.name.removesuffix(", points").partition(": ")
    if not one_pair:
        return f"{attribute}: {rest}"
    cooks = rest.partition(", over ")[2]
    return f"{attribute}, over {cooks}" if cooks else attribute


def _row(reading: Reading, rule: Rule, name: str) -> PlotRow:
    strip = dot_strip(rule, reading.value, reading.low, reading.high)
    return PlotRow(name[:1].upper() + name[1:], _value(reading), _interval(reading), strip)


def _value(reading: Reading) -> str:
    if reading.value is None:
        return "not bounded"
    return percent(reading.value) if reading.unit == "share" else f"{reading.value:+.1f}"


def _interval(reading: Reading) -> str:
    if reading.unit == "share":
        low, high = reading.low or 0.0, 1.0 if reading.high is None else reading.high
        return f"{100 * low:.0f} to {100 * high:.0f} %"
    low_text = "no lower bound" if reading.low is None else f"{reading.low:+.1f}"
    high_text = "no upper bound" if reading.high is None else f"{reading.high:+.1f}"
    return f"{low_text} to {high_text}"
