"""The page of one method as values: head, glance strip, timeline, piece, outcomes, cuts, ranking.

Made from the card, the cards it refers to and its computed result; `method.html` lays it out. Works without
a result (not computed yet, or withdrawn) and then says so. The steps are built by `method_steps`.
"""

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from functools import partial
from math import isfinite

from markupsafe import Markup

from slowfolio.book.model import Book, Expected, Method, Status
from slowfolio.enrich.cooks import NO_COOKS, CookCourse, RecordedCook
from slowfolio.enrich.evidence import evidence_for, evidence_grade
from slowfolio.enrich.holds import MethodHolds
from slowfolio.enrich.remarks import remark_text
from slowfolio.enrich.results import Influence, MethodResult, Remark, Section
from slowfolio.enrich.step_cautions import method_cautions
from slowfolio.enrich.tasting_results import NO_TASTINGS, TastingResult
from slowfolio.provenance import Figure, Provenance
from slowfolio.site.at_the_pit import at_the_pit_uri
from slowfolio.site.charts.bars import score_bar, share_bar
from slowfolio.site.charts.cook_course import measured_lines
from slowfolio.site.charts.section import moisture_shade, scale_key, section_picture, temperature_shade
from slowfolio.site.charts.timeline import NARROW, WIDE, finding, timeline
from slowfolio.site.compare import COMPARE
from slowfolio.site.cook_rows import cook_rows
from slowfolio.site.hold_section import hold_section
from slowfolio.site.holding_page import HOLDING
from slowfolio.site.links import Link, Links, card_uri
from slowfolio.site.method_model import (
    Alternative,
    CourseRow,
    CutPicture,
    Glance,
    MethodPage,
    Outcome,
    RankRow,
    Setting,
)
from slowfolio.site.method_steps import hold_set_up, method_steps
from slowfolio.site.plan_page import PLAN
from slowfolio.site.print_card import print_card_uri
from slowfolio.site.qualities import Lead, clear_of
from slowfolio.site.safety_box import SafetyBox, safety_box
from slowfolio.site.shown import Both, Notes, Shown, Tag, both, grouped, same, shown
from slowfolio.site.step_notes import edges, with_usual
from slowfolio.site.tasting_answers import evidence_rows, evidence_words
from slowfolio.site.whose import card_words, handled_around
from slowfolio.units import System, format_fraction

SCORES = ("bark", "rendering", "juiciness", "smoke", "tenderness")
QUARTER_HOUR_S = 900.0
SAME_HUMIDITY = 0.03
EVERY_HOUR_TO_H = 12
MOMENTS = {"wrap": "at the wrap", "pull": "off the pit", "end": "at the end"}


def method_page(
    book: Book,
    method: Method,
    result: MethodResult | None,
    leading: Sequence[Lead],
    links: Links,
    holds: MethodHolds | None = None,
    tastings: Mapping[str, TastingResult] = NO_TASTINGS,
    cooks: Mapping[str, RecordedCook] = NO_COOKS,
) -> MethodPage:
    """Build the page of one method. `leading` are the methods of its cut that have most of something."""
    notes = Notes()
    origin = card_uri("methods", method.id)
    recorded = [each for each in cooks.values() if each.method == method.id]
    claim = notes.tag(
        Provenance.CLAIMED,
        f"as written on the card by its owner ({method.owner}), revision {method.revision}",
    )
    safety = safety_box(method, result.verdicts, result.engine, notes) if result else None
    glance = (*_glance(method, result, claim, notes), *_rules_met(safety))
    cuts, keys = _cuts(result)
    usual = method_cautions(method, book)
    around = edges(usual, notes)
    steps = with_usual(method_steps(book, method, result, links, origin, notes), usual, notes)
    held = None
    if holds is not None and method.hold is not None:
        held = hold_section(book, method, holds, links, origin, notes, holding=HOLDING)
        steps = (*steps[:-1], replace(steps[-1], remark=_simulated_air(method, result, holds)))
    return MethodPage(
        title=method.title,
        also_called=method.also_called,
        choose_when=method.choose_when,
        status=method.status.value,
        withdrawn=method.status is Status.WITHDRAWN,
        parts=_parts(book, method, links, origin),
        glance=glance,
        computed=result is not None,
        remarks=tuple(remark_in_both(remark) for remark in result.remarks) if result else (),
        timelines=_timelines(method, result, [each.course for each in recorded]),
        timeline_finding=finding(result) if result else "",
        course=_course(result),
        piece=_piece(method),
        seasoning=method.seasoning,
        fuel=method.fuel,
        steps=steps,
        edges=around,
        claim=claim,
        held=held,
        hold=None if held else hold_set_up(book, method, result, links, origin, notes),
        outcomes=_outcomes(method, result, notes),
        details=grouped((_words(name), shown(figure, notes)) for name, figure in _details(result)),
        cuts=cuts,
        cut_keys=keys,
        ranking=_ranking(result.ranking if result else ()),
        ranking_tag=shown(result.pull, notes).tag if result else None,
        safety=safety,
        recorded=cook_rows(book, method, recorded, links, origin, notes),
        evidence=evidence_rows(evidence_for(method.id, book, tastings), links, origin, notes),
        evidence_words=evidence_words(evidence_grade(method.id, book, tastings)),
        alternatives=_alternatives(book, method, result, leading, links, notes),
        compare_href=f"{links.href(origin, COMPARE)}?m={method.id}",
        plan_href=f"{links.href(origin, PLAN)}?m={method.id}" if result and result.plan else "",
        print_href=links.href(origin, print_card_uri(method))
        if method.status is not Status.WITHDRAWN
        else "",
        pit_href=links.href(origin, at_the_pit_uri(method)) if method.status is not Status.WITHDRAWN else "",
        handling=method.handling,
        cautions=method.cautions,
        allergens=method.allergens,
        allergens_around=handled_around(book, method),
        sources=method.sources,
        revision=_revision(method),
        source_card=card_words(method.origin),
        engine=f"cook engine {result.engine}, {result.members} simulated cooks, seed {result.seed}"
        if result
        else "",
        notes=notes.listed(),
    )


def _simulated_air(method: Method, result: MethodResult | None, holds: MethodHolds) -> str:
    """A word where the course was simulated in other air than the hold is set up for."""
    assert method.hold is not None
    stage = next((stage for stage in (result.stages if result else ()) if stage.kind == "hold"), None)
    own = next((advice for advice in holds.advice if advice.holder == method.hold.holder), None)
    if stage is None or own is None or own.humidity is None:
        return ""
    simulated = stage.air.relative_humidity.value
    if abs(simulated - own.humidity) < SAME_HUMIDITY:
        return ""
    return (
        f"This course was simulated at {format_fraction(simulated)} humidity; set up as below, the holder "
        f"gives {format_fraction(own.humidity)}."
    )


def _words(name: str) -> str:
    plain = name.replace("_", " ")
    return plain[:1].upper() + plain[1:]


def _revision(method: Method) -> str:
    return (
        f"Revision {method.revision}, {method.status.value}. Reviewed {_day(method.reviewed)}, "
        f"next review by {_day(method.review_by)}. Owner: {method.owner}."
    )


def _day(day: date) -> str:
    return f"{day.day} {day:%B %Y}"


def _details(result: MethodResult | None) -> Sequence[tuple[str, Figure]]:
    """The figures behind the scores; one that does not apply to the piece (no fat cap) is not a number."""
    details = result.details.items() if result else ()
    return tuple((name, figure) for name, figure in details if isfinite(figure.value))


# --- head --------------------------------------------------------------------------------------------


def _parts(book: Book, method: Method, links: Links, origin: str) -> tuple[tuple[str, Link], ...]:
    """Cut, pits, wraps and holder, each once, with a link to its page."""
    pits = dict.fromkeys([method.pit, *(stage.pit for stage in method.stages if stage.pit)])
    wraps = dict.fromkeys(stage.wrap for stage in method.stages)

    def link(kind: str, cards: Mapping[str, object], card_id: str) -> Link:
        title = getattr(cards[card_id], "title")  # noqa: B009 - the four card kinds share no base class
        return Link(title, links.href(origin, card_uri(kind, card_id)))

    parts = [("Cut", link("cuts", book.cuts, method.cut))]
    parts += [("Pit", link("pits", book.pits, pit)) for pit in pits]
    parts += [("Wrap", link("wraps", book.wraps, wrap)) for wrap in wraps if not _bare(book, wrap)]
    if method.hold is not None:
        parts.append(("Holder", link("holders", book.holders, method.hold.holder)))
    return tuple(parts)


def _bare(book: Book, wrap: str) -> bool:
    return book.wraps[wrap].kind == "none"


def _glance(method: Method, result: MethodResult | None, claim: Tag, notes: Notes) -> tuple[Glance, ...]:
    strip: list[Glance] = []
    if result is not None:
        strip += [
            Glance("Off the pit after", shown(result.pull, notes)),
            Glance("Ready to serve after", shown(result.ready, notes), "at the earliest"),
            Glance("Start to serve, as written", shown(result.serve, notes)),
            Glance("Yield", shown(result.yield_fraction, notes), "of the raw piece"),
        ]
    if method.hold is not None:
        held = Shown(both("duration", method.hold.for_s), None, claim)
        strip.append(Glance("Holds", held, f"at most {both('duration', method.hold.at_most_s).us}"))
    return tuple(strip)


def _rules_met(safety: SafetyBox | None) -> tuple[Glance, ...]:
    return (Glance("Food rules met", safety.count, safety.remark),) if safety else ()


def _timelines(
    method: Method, result: MethodResult | None, courses: Sequence[CookCourse]
) -> tuple[Markup, ...]:
    if result is None:
        return ()
    words = finding(result)
    title = f"Temperatures over the cook and the hold: {method.title}"
    return tuple(
        timeline(result, title=title, finding=words, frame=frame, over=partial(measured_lines, courses))
        for frame in (WIDE, NARROW)
    )


def _course(result: MethodResult | None) -> tuple[CourseRow, ...]:
    """The series as a table, at every hour of a short cook and every second hour of a long one."""
    if result is None:
        return ()
    series = result.series
    rows: list[CourseRow] = []
    end_h = int(series.time_h[-1])
    for hour in range(0, end_h + 1, 1 if end_h <= EVERY_HOUR_TO_H else 2):
        at = bisect_left(series.time_h, hour)
        values = (
            series.pit_c[at],
            *(band[at] for band in (series.thick_c.p10, series.thick_c.p50, series.thick_c.p90)),
            *(band[at] for band in (series.thin_c.p10, series.thin_c.p50, series.thin_c.p90)),
            series.surface_c.p50[at],
        )
        rows.append(CourseRow(str(hour), tuple(both("temperature", round(value, 1)) for value in values)))
    return tuple(rows)


def _piece(method: Method) -> tuple[Setting, ...]:
    piece = method.piece
    rows = [Setting("Trimmed weight", both("mass", piece.weight_kg))]
    if piece.thickness_m is not None:
        rows.append(Setting("Thickest part", both("length", piece.thickness_m)))
    rows.append(Setting("Cold from", both("temperature", piece.start_temp_c)))
    if piece.grade:
        rows.append(Setting("Grade", same(piece.grade)))
    rows.append(Setting("Trim", same(piece.trim)))
    return tuple(rows)


# --- results -----------------------------------------------------------------------------------------


def _outcomes(method: Method, result: MethodResult | None, notes: Notes) -> tuple[Outcome, ...]:
    scores = result.scores if result else {}
    named = [*SCORES, *(name for name in (*scores, *method.expected) if name not in SCORES)]
    known = [name for name in dict.fromkeys(named) if name in scores or name in method.expected]
    return tuple(_outcome(name, scores.get(name), method.expected.get(name), notes) for name in known)


def _outcome(name: str, score: Figure | None, expected: Expected | None, notes: Notes) -> Outcome:
    tag = None
    if expected is not None:
        source = expected.note if expected.provenance is not Provenance.PRACTICE else ""
        tag = notes.tag(expected.provenance, source)
    return Outcome(
        name=_words(name),
        bar=score_bar(score.value, score.low, score.high) if score else Markup(""),
        score=shown(score, notes) if score else None,
        level=expected.level if expected else "",
        level_tag=tag,
        note=expected.note if expected else "",
    )


def _cuts(result: MethodResult | None) -> tuple[tuple[CutPicture, ...], tuple[Markup, ...]]:
    if result is None or not result.sections:
        return (), ()
    heat, damp = temperature_shade(result.sections), moisture_shade(result.sections)
    pictures = tuple(
        CutPicture(
            moment=_moment(section),
            temperature=section_picture(
                section, section.temp_c, heat, name=f"cut-{i}-heat", title=f"Temperature {_moment(section)}"
            ),
            moisture=section_picture(
                section, section.moisture, damp, name=f"cut-{i}-damp", title=f"Water {_moment(section)}"
            ),
        )
        for i, section in enumerate(result.sections)
    )
    return pictures, (scale_key(heat, "key-heat"), scale_key(damp, "key-damp"))


def _moment(section: Section) -> str:
    after = both("duration", round(section.time_h * 4) * QUARTER_HOUR_S).us
    return f"{MOMENTS.get(section.name, section.name)}, {after} on"


def _alternatives(
    book: Book,
    method: Method,
    result: MethodResult | None,
    leading: Sequence[Lead],
    links: Links,
    notes: Notes,
) -> tuple[Alternative, ...]:
    """Where to go for more of one thing: only differences beyond the spread."""
    if result is None:
        return ()
    origin = card_uri("methods", method.id)
    found: list[Alternative] = []
    for lead in leading:
        here = lead.quality.figure(method, result)
        if here is None or lead.method == method.id or not clear_of(lead.figure, here, lead.quality.better):
            continue
        link = Link(book.methods[lead.method].title, links.href(origin, card_uri("methods", lead.method)))
        found.append(Alternative(lead.quality.more, link, shown(lead.figure, notes), shown(here, notes)))
    return tuple(found)


def _ranking(ranking: Sequence[Influence]) -> tuple[RankRow, ...]:
    ordered = sorted(ranking, key=lambda influence: -influence.share)
    return tuple(
        RankRow(
            name=_words(influence.name),
            bar=share_bar(influence.share),
            share=f"{100 * influence.share:.0f} %",
            effect=_effect(influence.effect_h),
        )
        for influence in ordered
    )


def _effect(effect_h: float) -> str:
    minutes = round(abs(effect_h) * 12) * 5
    if minutes == 0:
        return "less than 5 min"
    return f"{both('duration', minutes * 60.0).us} {'later' if effect_h > 0 else 'sooner'}"


def remark_in_both(remark: Remark) -> Both:
    """What the engine has to say, in both unit systems."""
    return Both(remark_text(remark, System.US), remark_text(remark, System.METRIC))
