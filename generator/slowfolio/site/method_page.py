"""The page of one method as values: what is shown, in the order it is shown, already in words.

Made from the card, the cards it refers to and its computed result; `method.html` lays it out. Works without
a result (not computed yet, or the computation refused the card) and then says so.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from markupsafe import Markup

from slowfolio.book.model import Book, Expected, Hold, Holder, Ingredient, Method, Stage, Until, Vent
from slowfolio.enrich.results import AirResult, Influence, MethodResult, StageResult
from slowfolio.provenance import Figure, Provenance
from slowfolio.site.charts.bars import score_bar, share_bar
from slowfolio.site.charts.section import moisture_shade, scale_key, section_picture, temperature_shade
from slowfolio.site.charts.timeline import NARROW, WIDE, finding, timeline
from slowfolio.site.links import Links, card_uri
from slowfolio.site.shown import Both, Group, Note, Notes, Shown, Tag, both, grouped, same, shown

SCORES = ("bark", "rendering", "juiciness", "smoke", "tenderness")
QUARTER_HOUR_S = 900.0
MOMENTS = {"wrap": "at the wrap", "pull": "off the pit", "end": "at the end"}


@dataclass(frozen=True, slots=True)
class Link:
    """A link to another page of the site."""

    text: str
    href: str


@dataclass(frozen=True, slots=True)
class Glance:
    """One figure of the at-a-glance strip."""

    label: str
    figure: Shown
    remark: str = ""


@dataclass(frozen=True, slots=True)
class Setting:
    """One thing to set or to aim for, with its value."""

    label: str
    value: Both
    link: Link | None = None


@dataclass(frozen=True, slots=True)
class Step:
    """One stage of the cook, the rest, or the hold, as a numbered step."""

    number: int
    name: str
    settings: tuple[Setting, ...]
    computed: Group
    air: Group
    look_for: tuple[str, ...]
    why: str
    cautions: tuple[str, ...]
    remark: str


@dataclass(frozen=True, slots=True)
class HoldSetUp:
    """How this hold is set on this holder."""

    holder: Link
    summary: str
    settings: tuple[Setting, ...]
    computed: Group
    set_up: tuple[str, ...]
    cautions: tuple[str, ...]
    why: str


@dataclass(frozen=True, slots=True)
class Outcome:
    """One quality: what the computation gives and what the author expects."""

    name: str
    bar: Markup
    score: Shown | None
    level: str
    level_tag: Tag | None
    note: str


@dataclass(frozen=True, slots=True)
class CutPicture:
    """The piece cut lengthwise at one moment, by temperature and by moisture."""

    moment: str
    temperature: Markup
    moisture: Markup


@dataclass(frozen=True, slots=True)
class RankRow:
    """One uncertain input and how much of the spread of the finish it explains."""

    name: str
    bar: Markup
    share: str
    effect: str


@dataclass(frozen=True, slots=True)
class CourseRow:
    """One row of the table behind the timeline."""

    hour: str
    cells: tuple[Both, ...]


@dataclass(frozen=True, slots=True)
class MethodPage:
    """All that the page of a method shows."""

    title: str
    also_called: tuple[str, ...]
    choose_when: str
    status: str
    withdrawn: bool
    parts: tuple[tuple[str, Link], ...]
    glance: tuple[Glance, ...]
    computed: bool
    remarks: tuple[str, ...]
    timelines: tuple[Markup, ...]
    timeline_finding: str
    course: tuple[CourseRow, ...]
    piece: tuple[Setting, ...]
    seasoning: tuple[Ingredient, ...]
    fuel: str
    steps: tuple[Step, ...]
    claim: Tag
    hold: HoldSetUp | None
    outcomes: tuple[Outcome, ...]
    details: Group
    cuts: tuple[CutPicture, ...]
    cut_keys: tuple[Markup, ...]
    ranking: tuple[RankRow, ...]
    ranking_tag: Tag | None
    handling: tuple[str, ...]
    cautions: tuple[str, ...]
    allergens: tuple[str, ...]
    sources: tuple[str, ...]
    revision: str
    source_card: str
    engine: str
    notes: tuple[Note, ...]


def method_page(book: Book, method: Method, result: MethodResult | None, links: Links) -> MethodPage:
    """Build the page of one method."""
    notes = Notes()
    origin = card_uri("methods", method.id)
    claim = notes.tag(
        Provenance.CLAIMED,
        f"settings and targets as written on the card by its owner ({method.owner}), revision {method.revision}",
    )
    glance = _glance(method, result, claim, notes)
    cuts, keys = _cuts(result)
    return MethodPage(
        title=method.title,
        also_called=method.also_called,
        choose_when=method.choose_when,
        status=method.status.value,
        withdrawn=method.status.value == "withdrawn",
        parts=_parts(book, method, links, origin),
        glance=glance,
        computed=result is not None,
        remarks=result.remarks if result else (),
        timelines=_timelines(method, result),
        timeline_finding=finding(result) if result else "",
        course=_course(result),
        piece=_piece(method),
        seasoning=method.seasoning,
        fuel=method.fuel,
        steps=_steps(book, method, result, links, origin, notes),
        claim=claim,
        hold=_hold(book, method, result, links, origin, notes),
        outcomes=_outcomes(method, result, notes),
        details=grouped((_words(name), shown(figure, notes)) for name, figure in _details(result)),
        cuts=cuts,
        cut_keys=keys,
        ranking=_ranking(result.ranking if result else ()),
        ranking_tag=shown(result.pull, notes).tag if result else None,
        handling=method.handling,
        cautions=method.cautions,
        allergens=method.allergens,
        sources=method.sources,
        revision=_revision(method),
        source_card=method.origin.file,
        engine=f"{result.engine}, {result.members} simulated cooks, seed {result.seed}" if result else "",
        notes=notes.listed(),
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
    return tuple(result.details.items()) if result else ()


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


def _timelines(method: Method, result: MethodResult | None) -> tuple[Markup, ...]:
    if result is None:
        return ()
    words = finding(result)
    title = f"Temperatures over the cook and the hold: {method.title}"
    return tuple(timeline(result, title=title, finding=words, frame=frame) for frame in (WIDE, NARROW))


def _course(result: MethodResult | None) -> tuple[CourseRow, ...]:
    """The series at every full hour, as a table."""
    if result is None:
        return ()
    series = result.series
    rows: list[CourseRow] = []
    for hour in range(int(series.time_h[-1]) + 1):
        at = min(range(len(series.time_h)), key=lambda i: abs(series.time_h[i] - hour))
        values = (series.pit_c[at], series.thick_c.p10[at], series.thick_c.p50[at], series.thick_c.p90[at])
        values += (series.thin_c.p10[at], series.thin_c.p50[at], series.thin_c.p90[at], series.surface_c.p50[at])
        rows.append(CourseRow(str(hour), tuple(both("temperature", value) for value in values)))
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


# --- steps -------------------------------------------------------------------------------------------


def _steps(
    book: Book, method: Method, result: MethodResult | None, links: Links, origin: str, notes: Notes
) -> tuple[Step, ...]:
    """The stages, then the rest, then the hold, in order and numbered alike in chart and text."""
    computed = result.stages if result else ()
    steps = [
        _stage_step(book, method, stage, number, _stage_result(computed, number), links, origin, notes)
        for number, stage in enumerate(method.stages, start=1)
    ]
    if method.vent is not None:
        steps.append(_vent_step(book, method.vent, len(steps) + 1, computed, notes))
    if method.hold is not None:
        steps.append(_hold_step(book, method.hold, len(steps) + 1, computed, links, origin, notes))
    return tuple(steps)


def _stage_result(stages: Sequence[StageResult], number: int) -> StageResult | None:
    return stages[number - 1] if number <= len(stages) else None


def _stage_step(
    book: Book,
    method: Method,
    stage: Stage,
    number: int,
    computed: StageResult | None,
    links: Links,
    origin: str,
    notes: Notes,
) -> Step:
    settings = [Setting("Pit", both("temperature", stage.pit_temp_c))]
    settings += _until(stage.until)
    wrap = book.wraps[stage.wrap]
    settings.append(Setting("Wrap", same(wrap.title), Link(wrap.title, links.href(origin, card_uri("wraps", wrap.id)))))
    settings.append(Setting("Fat side", same(stage.fat_side)))
    if stage.pit is not None and stage.pit != method.pit:
        other = book.pits[stage.pit]
        settings.insert(0, Setting("Move to", same(other.title), Link(other.title, links.href(origin, card_uri("pits", other.id)))))
    if stage.water_pan:
        settings.append(Setting("Water pan", same("full")))
    if stage.spritz is not None:
        spritz = stage.spritz
        every, after = both("duration", spritz.every_s), both("duration", spritz.after_s)
        amount = both("volume", spritz.amount_m3)
        settings.append(
            Setting(
                "Spritz",
                Both(
                    f"{spritz.liquid}, {amount.us} every {every.us} from {after.us} on",
                    f"{spritz.liquid}, {amount.metric} every {every.metric} from {after.metric} on",
                ),
            )
        )
    if stage.open_every_s is not None:
        settings.append(Setting("Open the pit", same(f"every {both('duration', stage.open_every_s).us}")))
    return Step(
        number=number,
        name=stage.name,
        settings=tuple(settings),
        computed=_stage_figures(computed, notes),
        air=_air(computed, notes),
        look_for=stage.look_for,
        why=stage.why,
        cautions=stage.cautions,
        remark=_ended(computed, stage.until),
    )


def _until(until: Until) -> list[Setting]:
    """What ends the stage, and its limits."""
    rows: list[Setting] = []
    if until.time_s is not None:
        rows.append(Setting("For", both("duration", until.time_s)))
    if until.core_temp_c is not None:
        rows.append(Setting("Until the thick part reads", both("temperature", until.core_temp_c)))
    if until.probe_tender_from_c is not None:
        start = both("temperature", until.probe_tender_from_c)
        rows.append(Setting("Until probe tender", Both(f"probing from {start.us}", f"probing from {start.metric}")))
    if until.at_least_s is not None:
        rows.append(Setting("At least", both("duration", until.at_least_s)))
    if until.at_most_s is not None:
        rows.append(Setting("At most", both("duration", until.at_most_s)))
    return rows


def _ended(computed: StageResult | None, until: Until) -> str:
    """A word of warning where most simulated cooks ran into the limit instead of the target."""
    if computed is None or computed.ended_by != "at most" or until.at_most_s is None:
        return ""
    limit = both("duration", until.at_most_s).us
    return f"Most simulated cooks had not reached the target when the limit of {limit} ended this step."


def _stage_figures(computed: StageResult | None, notes: Notes) -> Group:
    if computed is None:
        return grouped(())
    return grouped(
        (
            ("Takes", shown(computed.duration, notes)),
            ("Ends after", shown(computed.end, notes)),
            ("Thick end then", shown(computed.core_end, notes)),
            ("Thin end then", shown(computed.thin_end, notes)),
            ("Weight left", shown(computed.mass_left, notes)),
        )
    )


def _air(computed: StageResult | None, notes: Notes) -> Group:
    if computed is None:
        return grouped(())
    air = computed.air
    return grouped(
        (
            ("Relative humidity", shown(air.relative_humidity, notes)),
            ("Wet bulb", shown(air.wet_bulb, notes)),
            ("Dew point", shown(air.dew_point, notes)),
        )
    )


def _vent_step(book: Book, vent: Vent, number: int, stages: Sequence[StageResult], notes: Notes) -> Step:
    computed = _stage_result(stages, number)
    settings = [*_until(vent.until), Setting("Wrap", same(book.wraps[vent.wrap].title))]
    if vent.where:
        settings.append(Setting("Where", same(vent.where)))
    return Step(
        number=number,
        name="Vent and rest",
        settings=tuple(settings),
        computed=_stage_figures(computed, notes),
        air=grouped(()),
        look_for=(),
        why=vent.why,
        cautions=(),
        remark=_ended(computed, vent.until),
    )


def _hold_step(
    book: Book, hold: Hold, number: int, stages: Sequence[StageResult], links: Links, origin: str, notes: Notes
) -> Step:
    computed = _stage_result(stages, number)
    holder = book.holders[hold.holder]
    wrap = book.wraps[hold.wrap]
    return Step(
        number=number,
        name="Hold",
        settings=(
            Setting("In", same(holder.title), Link(holder.title, links.href(origin, card_uri("holders", holder.id)))),
            Setting("Air", both("temperature", hold.air_temp_c)),
            Setting("For", both("duration", hold.for_s)),
            Setting("At most", both("duration", hold.at_most_s)),
            Setting("Wrap", same(wrap.title), Link(wrap.title, links.href(origin, card_uri("wraps", wrap.id)))),
        ),
        computed=_stage_figures(computed, notes),
        air=_air(computed, notes),
        look_for=(),
        why=hold.why,
        cautions=(),
        remark="",
    )


# --- hold set-up -------------------------------------------------------------------------------------


def _hold(
    book: Book, method: Method, result: MethodResult | None, links: Links, origin: str, notes: Notes
) -> HoldSetUp | None:
    hold = method.hold
    if hold is None:
        return None
    holder = book.holders[hold.holder]
    computed = next((stage for stage in (result.stages if result else ()) if stage.kind == "hold"), None)
    settings = [Setting("Air temperature", both("temperature", hold.air_temp_c))]
    if hold.relative_humidity is not None:
        settings.append(Setting("Relative humidity, as written", both("fraction", hold.relative_humidity)))
    return HoldSetUp(
        holder=Link(holder.title, links.href(origin, card_uri("holders", holder.id))),
        summary=holder.summary,
        settings=tuple(settings),
        computed=grouped(_dials(holder, computed.air, notes) if computed else ()),
        set_up=holder.set_up,
        cautions=holder.cautions,
        why=hold.why,
    )


def _dials(holder: Holder, air: AirResult, notes: Notes) -> tuple[tuple[str, Shown], ...]:
    """What the computed air means on this holder's own controls."""
    humidity = ("Relative humidity in the holder", shown(air.relative_humidity, notes))
    dew_point, wet_bulb = shown(air.dew_point, notes), shown(air.wet_bulb, notes)
    dials = {
        "vapour temperature": (("Set the vapour temperature to", dew_point), humidity),
        "per cent": (("Set the humidity to", humidity[1]), ("Dew point", dew_point)),
        "pan": (humidity, ("Wet bulb, about the pan's own temperature", wet_bulb)),
    }
    return dials.get(holder.humidity_by, (humidity, ("Wet bulb", wet_bulb)))


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
            moment=f"{MOMENTS.get(section.name, section.name)}, {both('duration', round(section.time_h * 4) * QUARTER_HOUR_S).us} on",
            temperature=section_picture(
                section, section.temp_c, heat, name=f"cut-{i}-heat", title=f"Temperature, {MOMENTS.get(section.name, section.name)}"
            ),
            moisture=section_picture(
                section, section.moisture, damp, name=f"cut-{i}-damp", title=f"Moisture, {MOMENTS.get(section.name, section.name)}"
            ),
        )
        for i, section in enumerate(result.sections)
    )
    return pictures, (scale_key(heat, "key-heat"), scale_key(damp, "key-damp"))


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
