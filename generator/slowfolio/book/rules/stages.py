"""What the piece, the stages and the vent of a method must not say at once."""

from collections.abc import Iterator

from slowfolio.book.findings import Fault, listed, quoted
from slowfolio.book.model import KeyPath, Stage, Until
from slowfolio.book.rules.case import MethodCase, both, core_target_c, core_target_key, longest_s, top_is_bare
from slowfolio.units import Range, System, format_duration, format_length, format_mass

ROUNDING_K = 0.3
"""CALIBRATED: ranges are written in whole degrees of either system; half a degree is no contradiction."""

PIT_TOO_HOT_C = 260.0
"""CALIBRATED: 500 °F. Rendered fat smokes from about 190-220 °C and flashes above 250 °C (MEMORY)."""
PIT_TOO_COLD_C = (130.0 - 32.0) / 1.8
"""READ: 130 °F, below which the US FDA Food Code 3-401.11(B) roast chart has no entry."""
PAPER_LIMIT_C = 218.0
"""MEMORY: 424 °F, the low end of published ignition temperatures of paper (218-246 °C)."""
STAGE_LIMIT_S = 48 * 3600.0
"""CALIBRATED: no stage of smoke cooking runs for two days."""
WIDE_THICKNESS = 1.6
"""CALIBRATED: time goes with the square of thickness; 1.6 is two and a half times as long."""
THICKNESS_RATIO = Range(0.5, 1.7)
"""CALIBRATED: thickest part of a real piece against the cut's own card."""
START_C = Range(-3.0, 25.0)
"""CALIBRATED: from half frozen to the warmest room meat is left in."""
WIDE_WEIGHT = 2.0
"""CALIBRATED: cooking time goes at least with weight to the 2/3; twice the weight is no longer one method."""


def stage_faults(case: MethodCase) -> Iterator[Fault]:
    """Yield every contradiction within the piece, the stages and the vent."""
    yield from _piece(case)
    yield from _names(case)
    yield from _fuel(case)
    for index, stage in enumerate(case.method.stages):
        path: KeyPath = ("stages", index)
        yield from _until(stage.until, (*path, "until"))
        yield from _pit(case, stage, path)
        yield from _spraying(case, stage, path)
    yield from _core_targets(case)
    yield from _vent(case)


# --- the piece --------------------------------------------------------------------------------------


def _piece(case: MethodCase) -> Iterator[Fault]:
    piece, cut = case.method.piece, case.cut
    if piece.weight_kg.low < cut.weight_kg.low * 0.999 or piece.weight_kg.high > cut.weight_kg.high * 1.001:
        yield Fault(
            "weight-outside-cut-range",
            ("piece", "weight"),
            f"{cut.title} weighs {_mass(cut.weight_kg)}; the method is for {_mass(piece.weight_kg)}",
            f"write a weight within {_mass(cut.weight_kg)}, or choose another cut",
        )
    if piece.weight_kg.high > WIDE_WEIGHT * piece.weight_kg.low:
        yield Fault(
            "range-too-wide",
            ("piece", "weight"),
            f"{_mass(piece.weight_kg)} is too wide a range for one set of times",
            "write a method for each size, or narrow the range",
        )
    if piece.thickness_m is not None and piece.thickness_m.high > WIDE_THICKNESS * piece.thickness_m.low:
        yield Fault(
            "range-too-wide",
            ("piece", "thickness"),
            f"{format_length(piece.thickness_m, System.METRIC)} is too wide a range for one set of times",
            "write the thickness of the thick end alone",
        )
    elif piece.thickness_m is not None:
        thickest = max(region.thickness_m for region in cut.regions)
        ratio = (piece.thickness_m.low / thickest, piece.thickness_m.high / thickest)
        if ratio[0] < THICKNESS_RATIO.low or ratio[1] > THICKNESS_RATIO.high:
            yield Fault(
                "thickness-implausible",
                ("piece", "thickness"),
                f"{cut.title} is about {format_length(thickest, System.METRIC)} thick at its thickest",
                "measure the thick end, or leave thickness out to take the cut's own",
            )
    if piece.start_temp_c not in START_C:
        yield Fault(
            "start-temperature-implausible",
            ("piece", "start_temperature"),
            f"a piece that starts at {both(piece.start_temp_c)} is {_state(piece.start_temp_c)}",
            "write the core temperature when it goes on, such as 38 °F",
        )


def _state(temp_c: float) -> str:
    return "still frozen" if temp_c < START_C.low else "warm right through before it cooks"


def _mass(weight: Range) -> str:
    return f"{format_mass(weight, System.US)} ({format_mass(weight, System.METRIC)})"


# --- stages one by one ------------------------------------------------------------------------------


def _names(case: MethodCase) -> Iterator[Fault]:
    seen: dict[str, int] = {}
    for index, stage in enumerate(case.method.stages):
        first = seen.setdefault(stage.name.lower(), index)
        if first != index:
            yield Fault(
                "duplicate-stage-name",
                ("stages", index, "name"),
                f"stage {first + 1} is already called {quoted(stage.name)}",
                "give each stage its own name; cooks call them out",
            )


def _fuel(case: MethodCase) -> Iterator[Fault]:
    pit = case.pits[case.method.pit]
    known = {word for fuel in pit.fuels for word in _words(fuel)}
    if not known & _words(case.method.fuel):
        yield Fault(
            "fuel-not-of-pit",
            ("fuel",),
            f"{quoted(case.method.fuel)} is none of the fuels of the {pit.title.lower()}",
            f"write one of: {listed(pit.fuels)}; or add it to {pit.origin.file}",
        )


def _words(text: str) -> set[str]:
    return {word.strip(",.;()").lower().removesuffix("s") for word in text.split() if len(word) > 2}


def _until(until: Until, path: KeyPath) -> Iterator[Fault]:
    code = "stage-ends-before-it-starts"
    for key, limit_s in (("time", until.time_s), ("at_most", until.at_most_s)):
        if limit_s is not None and limit_s <= 0:
            yield Fault(code, (*path, key), "the stage is over before it starts", "write a time, such as 4 h")
            return
    longest = longest_s(until)
    if until.at_least_s is not None and longest is not None and longest < until.at_least_s:
        yield Fault(
            code,
            (*path, "at_least"),
            f"it goes on for {format_duration(until.at_least_s)} at least,"
            f" but ends after {format_duration(longest)}",
            "make at_least shorter, or the end later",
        )
    if until.time_s is not None and until.at_most_s is not None and until.at_most_s < until.time_s:
        yield Fault(
            code,
            (*path, "at_most"),
            f"it ends after {format_duration(until.at_most_s)}, before its {format_duration(until.time_s)}",
            "leave at_most out where a stage ends by the clock",
        )
    if longest is not None and longest > STAGE_LIMIT_S:
        key = "time" if until.time_s is not None else "at_most"
        yield Fault(
            "stage-too-long",
            (*path, key),
            f"{format_duration(longest)} is longer than any stage of a cook",
            "check the unit: h is hours, min is minutes, d is days",
        )


def _pit(case: MethodCase, stage: Stage, path: KeyPath) -> Iterator[Fault]:
    pit, temp_c, place = case.pit_of(stage), stage.pit_temp_c, (*path, "pit_temperature")
    reach = pit.pit_temp_c
    if temp_c > PIT_TOO_HOT_C or temp_c < PIT_TOO_COLD_C:
        what = (
            "so hot that dripping fat can catch fire" if temp_c > PIT_TOO_HOT_C else "no cooking temperature"
        )
        yield Fault("pit-temperature-implausible", place, f"{both(temp_c)} is {what}", _unit_swap(temp_c))
    elif not reach.low - ROUNDING_K <= temp_c <= reach.high + ROUNDING_K:
        yield Fault(
            "pit-temperature-out-of-range",
            place,
            f"the {pit.title.lower()} holds {both(reach.low)} to {both(reach.high)}, not {both(temp_c)}",
            "write a temperature the pit holds, or move the stage to another pit",
        )
    if case.wrap_of(stage).kind == "paper" and PAPER_LIMIT_C < temp_c <= PIT_TOO_HOT_C:
        yield Fault(
            "paper-too-hot",
            place,
            f"paper can catch fire at {both(temp_c)}",
            f"stay below {both(PAPER_LIMIT_C)} with paper, or wrap in foil",
        )
    if stage.water_pan and pit.water_pan_dew_point_c is None:
        yield Fault(
            "water-pan-does-not-fit",
            (*path, "water_pan"),
            f"the {pit.title.lower()} has no room for a water pan by its card",
            f"leave water_pan out, or add water_pan_dew_point to {pit.origin.file}",
        )


def _unit_swap(temp_c: float) -> str:
    if temp_c > PIT_TOO_HOT_C and PIT_TOO_COLD_C <= (temp_c - 32.0) / 1.8 <= PIT_TOO_HOT_C:
        return f"did you mean {round(temp_c)} °F?"
    as_celsius = temp_c * 1.8 + 32.0
    if temp_c < PIT_TOO_COLD_C <= as_celsius <= 200.0:
        return f"did you mean {round(as_celsius)} °C?"
    return "write the air temperature at the meat, such as 250 °F"


def _spraying(case: MethodCase, stage: Stage, path: KeyPath) -> Iterator[Fault]:
    longest = longest_s(stage.until)
    wrap = case.wrap_of(stage)
    if stage.spritz is not None and not top_is_bare(wrap):
        yield Fault(
            "spritz-while-wrapped",
            (*path, "spritz"),
            f"the {wrap.title.lower()} covers the top, so spray cannot reach the meat",
            "leave spritz out of this stage",
            on_key=True,
        )
    elif stage.spritz is not None and stage.spritz.every_s <= 0:
        yield Fault(
            "spritz-schedule",
            (*path, "spritz", "every"),
            "spraying without a pause",
            "write a time, such as 45 min",
        )
    elif stage.spritz is not None and longest is not None and stage.spritz.after_s >= longest:
        yield Fault(
            "spritz-schedule",
            (*path, "spritz", "after"),
            f"the first spraying is due after {format_duration(stage.spritz.after_s)},"
            " and the stage is over by then",
            "start earlier, or leave spritz out",
        )
    elif stage.spritz is not None and longest is not None and stage.spritz.every_s > longest:
        yield Fault(
            "spritz-schedule",
            (*path, "spritz", "every"),
            f"{format_duration(stage.spritz.every_s)} between sprayings is longer than the stage",
            "write a shorter time, or leave spritz out",
        )
    if stage.open_every_s is not None and (
        stage.open_every_s <= 0 or (longest is not None and stage.open_every_s > longest)
    ):
        yield Fault(
            "door-schedule",
            (*path, "open_every"),
            f"the door cannot be opened every {format_duration(stage.open_every_s)} in this stage",
            "write a time shorter than the stage, or leave open_every out",
        )


# --- core targets from stage to stage ---------------------------------------------------------------


def _core_targets(case: MethodCase) -> Iterator[Fault]:
    reached_c, where = case.method.piece.start_temp_c, "the start"
    for index, stage in enumerate(case.method.stages):
        target_c = core_target_c(stage.until)
        if target_c is None:
            continue
        place: KeyPath = ("stages", index, "until", core_target_key(stage.until))
        if target_c <= case.method.piece.start_temp_c:
            yield Fault(
                "core-target-below-start",
                place,
                f"the piece starts at {both(case.method.piece.start_temp_c)}, already past this target",
                "write a core temperature above the start",
            )
        elif target_c < reached_c - 1e-6 or (target_c <= reached_c + 1e-6 and _ends_at_once(stage.until)):
            yield Fault(
                "core-target-falls",
                place,
                f"{where} already goes to {both(reached_c)}, so this stage is over when it starts",
                f"write a target above {both(reached_c)}, or put the stages in order",
            )
        if target_c >= stage.pit_temp_c >= PIT_TOO_COLD_C:
            yield Fault(
                "core-target-above-pit",
                place,
                f"the core cannot reach {both(target_c)} in a pit at {both(stage.pit_temp_c)}",
                "write a lower target or a hotter pit",
            )
        if stage.until.probe_tender_from_c is not None and not case.cut.tender_by_collagen:
            yield Fault(
                "probe-tender-on-tender-cut",
                place,
                f"{case.cut.title} is tender from the start; no probe tells when it is done",
                "write core_temperature instead",
                on_key=True,
            )
        if target_c > reached_c:
            reached_c, where = target_c, f"stage {index + 1}, {stage.name},"


def _ends_at_once(until: Until) -> bool:
    return until.core_temp_c is not None and until.at_least_s is None


# --- the vent ---------------------------------------------------------------------------------------


def _vent(case: MethodCase) -> Iterator[Fault]:
    vent = case.method.vent
    if vent is None:
        return
    yield from _until(vent.until, ("vent", "until"))
    target_c, finish_c = vent.until.core_temp_c, case.finish_c
    if vent.until.probe_tender_from_c is not None:
        yield Fault(
            "vent-until-probe-tender",
            ("vent", "until", "probe_tender_from"),
            "a piece does not turn tender on the counter",
            "write the core temperature it comes down to, or a time",
            on_key=True,
        )
    elif target_c is not None and finish_c is not None and target_c >= finish_c:
        yield Fault(
            "vent-above-finish",
            ("vent", "until", "core_temperature"),
            f"the piece leaves the pit at {both(finish_c)}; it cannot rest down to {both(target_c)}",
            "write a core temperature below the finish",
        )
