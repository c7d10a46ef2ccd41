"""The steps of a method and the setting-up of its hold, with the computed figures of each.

Stages, rest and hold are numbered alike in the steps and in the timeline. Called by `method_page`.
"""

from collections.abc import Sequence

from slowfolio.book.model import Book, Hold, Holder, Method, Stage, Until, Vent
from slowfolio.enrich.results import AirResult, MethodResult, StageResult
from slowfolio.site.links import Link, Links, card_uri
from slowfolio.site.method_model import HoldSetUp, Setting, Step
from slowfolio.site.shown import Both, Group, Notes, Shown, both, grouped, same, shown


def method_steps(
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
    settings.append(
        Setting("Wrap", same(wrap.title), Link(wrap.title, links.href(origin, card_uri("wraps", wrap.id))))
    )
    settings.append(Setting("Fat side", same(stage.fat_side)))
    if stage.pit is not None and stage.pit != method.pit:
        other = book.pits[stage.pit]
        settings.insert(
            0,
            Setting(
                "Move to",
                same(other.title),
                Link(other.title, links.href(origin, card_uri("pits", other.id))),
            ),
        )
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
        rows.append(
            Setting("Until probe tender", Both(f"probing from {start.us}", f"probing from {start.metric}"))
        )
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
    book: Book,
    hold: Hold,
    number: int,
    stages: Sequence[StageResult],
    links: Links,
    origin: str,
    notes: Notes,
) -> Step:
    computed = _stage_result(stages, number)
    holder = book.holders[hold.holder]
    wrap = book.wraps[hold.wrap]
    return Step(
        number=number,
        name="Hold",
        settings=(
            Setting(
                "In",
                same(holder.title),
                Link(holder.title, links.href(origin, card_uri("holders", holder.id))),
            ),
            Setting("Air", both("temperature", hold.air_temp_c)),
            Setting("For", both("duration", hold.for_s)),
            Setting("At most", both("duration", hold.at_most_s)),
            Setting(
                "Wrap", same(wrap.title), Link(wrap.title, links.href(origin, card_uri("wraps", wrap.id)))
            ),
        ),
        computed=_stage_figures(computed, notes),
        air=_air(computed, notes),
        look_for=(),
        why=hold.why,
        cautions=(),
        remark="",
    )


def hold_set_up(
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
