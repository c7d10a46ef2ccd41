"""A small invented book with computed results, for tests of the site only.

Every number here is made up to fill a page; none is shipped, and none stands for a real cook.
"""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from math import exp, sin

from slowfolio.book.model import (
    Book,
    BookCard,
    Composition,
    Cut,
    Expected,
    FatCap,
    Hold,
    Holder,
    Ingredient,
    Method,
    Origin,
    Piece,
    Pit,
    Region,
    Sourced,
    SourcedRange,
    Spritz,
    Stage,
    Status,
    Until,
    Vent,
    Wrap,
    WrapFace,
)
from slowfolio.enrich.results import (
    AirResult,
    Band,
    Influence,
    MethodResult,
    Section,
    Series,
    StageResult,
)
from slowfolio.provenance import Figure, Provenance
from slowfolio.safety.standing import Citation, Standing
from slowfolio.safety.verdict import Level, Met, Topic, Unit, Verdict
from slowfolio.site.pages import BuildInfo
from slowfolio.units import Range, System

HOUR = 3600.0
ENGINE = "fixture engine 0"
COMPUTED = Provenance.COMPUTED


def origin(file: str) -> Origin:
    return Origin(file, "0" * 64, {})


def guess(value: float) -> Sourced:
    return Sourced(value, Provenance.PRACTICE, "invented for a test")


def guess_range(low: float, high: float) -> SourcedRange:
    return SourcedRange(Range(low, high), Provenance.CLAIMED, "invented for a test, as a range")


def figure(value: float, dimension: str, spread: float = 0.0) -> Figure:
    if not spread:
        return Figure(value, dimension, COMPUTED, source=ENGINE)
    return Figure(value, dimension, COMPUTED, value - spread, value + spread, ENGINE)


BOOK_CARD = BookCard(
    origin=origin("book.yaml"),
    title="Alder Street house book",
    kitchen="Alder Street Commissary",
    summary="How we smoke, hold and serve at Alder Street, a training kitchen that feeds a Saturday market.",
    authority="us-retail",
    altitude_m=120.0,
    units_first=System.US,
    room_temp_c=21.1,
    room_humidity=0.5,
    owner="Pit lead",
)

LEAN = Composition(0.70, 0.20, 0.09, 0.01, Provenance.PUBLISHED, "an invented table, row 1")
FATTY = Composition(0.60, 0.18, 0.21, 0.01, Provenance.PUBLISHED, "an invented table, row 2")

CUTS = (
    Cut(
        origin=origin("cuts/packer-brisket.yaml"),
        id="packer-brisket",
        title="Whole packer brisket",
        also_called=("packer", "full brisket"),
        species="beef",
        summary="The whole breast muscle: a thin, lean flat and a thick, fatty point over one end of it.",
        weight_kg=Range(4.5, 8.2),
        typical_weight_kg=5.9,
        length_m=guess(0.46),
        width_m=guess(0.26),
        regions=(Region("flat", 0.55, 0.045, LEAN), Region("point", 0.45, 0.085, FATTY)),
        fat_cap=FatCap(0.006, 0.8, Provenance.PRACTICE, "trimmed to 1/4 in"),
        bone_fraction=guess(0.0),
        trim_fraction=guess(0.18),
        collagen_rate=guess(1.0),
        tender_by_collagen=True,
        where_to_probe="Thickest part of the flat next to the seam.",
        handling=("Keep below 41 °F until it goes on.",),
        sources=("An invented source",),
    ),
    Cut(
        origin=origin("cuts/turkey-breast.yaml"),
        id="turkey-breast",
        title="Turkey breast",
        also_called=(),
        species="turkey",
        summary="Lean white meat that dries as soon as it is overdone.",
        weight_kg=Range(1.5, 3.5),
        typical_weight_kg=2.5,
        length_m=guess(0.22),
        width_m=guess(0.15),
        regions=(Region("breast", 1.0, 0.07, LEAN),),
        fat_cap=FatCap(0.0, 0.0, Provenance.PRACTICE, "none"),
        bone_fraction=guess(0.0),
        trim_fraction=guess(0.03),
        collagen_rate=guess(1.0),
        tender_by_collagen=False,
        where_to_probe="The middle, from the side.",
        handling=(),
        sources=(),
    ),
)


def pit(pit_id: str, title: str, kind: str) -> Pit:
    return Pit(
        origin=origin(f"pits/{pit_id}.yaml"),
        id=pit_id,
        title=title,
        also_called=("stick burner",) if kind == "offset" else (),
        kind=kind,
        summary="A steel barrel with a fire in a box at one end and a stack at the other.",
        fuels=("seasoned oak splits",),
        pit_temp_c=Range(93.0, 163.0),
        volume_m3=guess(0.4),
        air_exchange_per_s=guess(120 / 3600),
        draught_m_s=guess(0.6),
        radiant_above_k=guess(2.8),
        radiant_below_k=guess(-8.3),
        drift_k=guess(6.7),
        dew_point_c=guess_range(15.0, 35.0),
        water_pan_dew_point_c=guess_range(32.0, 46.0),
        smoke=guess(1.0),
        grate_area_m2=guess(0.55),
        load_kg=guess(40.0),
        recovery_s=guess(480.0),
        set_up=("Burn the fire down to coals before the meat goes on.", "One split at a time."),
        cautions=("Outdoors only: fire gives off carbon monoxide.",),
        sources=(),
    )


PITS = (pit("offset", "Offset stick-burner", "offset"), pit("oven", "Indoor oven", "indoor oven"))


def wrap(wrap_id: str, title: str, kind: str, *, steam_tight: bool = False) -> Wrap:
    bare = WrapFace(None, guess(0.95), None)
    covered = WrapFace(guess(0.0 if steam_tight or kind == "tray" else 2e-9), guess(0.15), guess(120.0))
    return Wrap(
        origin=origin(f"wraps/{wrap_id}.yaml"),
        id=wrap_id,
        title=title,
        also_called=(),
        kind=kind,
        summary="What stands between the meat and the pit.",
        top=bare if kind in ("none", "tray") else covered,
        bottom=bare if kind == "none" else covered,
        keeps_juice=guess(0.0 if kind == "none" else 0.9),
        steam_tight=steam_tight,
        added_fat="tallow" if "tallow" in wrap_id else "none",
        how_to=("Fold it up round the sides.",),
        cautions=("Steam burns: open it away from you.",) if kind != "none" else (),
        sources=(),
    )


WRAPS = (
    wrap("none", "No wrap", "none"),
    wrap("boat", "Foil boat", "tray"),
    wrap("paper-tallow", "Butcher paper with tallow", "paper"),
)


def holder(holder_id: str, title: str, kind: str, humidity_by: str) -> Holder:
    return Holder(
        origin=origin(f"holders/{holder_id}.yaml"),
        id=holder_id,
        title=title,
        also_called=(),
        kind=kind,
        summary="Keeps the piece warm until it is served.",
        humidity_by=humidity_by,
        heated=True,
        air_temp_c=Range(32.0, 93.0),
        vapour_temp_c=Range(27.0, 90.0) if humidity_by == "vapour temperature" else None,
        relative_humidity=Range(0.0, 1.0) if humidity_by == "per cent" else None,
        volume_m3=guess(0.45),
        air_exchange_per_s=guess(2 / 3600),
        draught_m_s=guess(0.1),
        wall_offset_k=guess(0.0),
        drift_k=guess(1.7),
        heat_loss_w_k=guess(4.0),
        power_w=guess(1500.0),
        pan_area_m2=guess_range(0.03, 0.09) if humidity_by == "pan" else None,
        pan_over_element=False,
        load_kg=guess(60.0),
        set_up=("Warm it through before the first piece goes in.",),
        cautions=("Do not heat cold food in it.",),
        sources=(),
    )


HOLDERS = (
    holder("cabinet", "Humidity-controlled holding cabinet", "humidity cabinet", "vapour temperature"),
    holder("oven-pan", "Oven with a water pan", "oven with pan", "pan"),
)

SMOKE = Stage(
    name="Smoke",
    pit_temp_c=121.1,
    until=Until(time_s=4 * HOUR),
    wrap="none",
    pit=None,
    fat_side="up",
    water_pan=True,
    spritz=Spritz("water", 45 * 60.0, 2 * HOUR, 30e-6),
    open_every_s=45 * 60.0,
    look_for=("Dark mahogany, and the rub does not smear", "Fat cap gone glassy"),
    why="The surface stays wet and cool, so it takes smoke while the inside creeps up.",
    cautions=(),
)
BOAT = Stage(
    name="Boat",
    pit_temp_c=140.6,
    until=Until(probe_tender_from_c=92.0, at_most_s=9 * HOUR),
    wrap="boat",
    pit=None,
    fat_side="up",
    water_pan=False,
    spritz=None,
    open_every_s=None,
    look_for=("A probe slides in like into soft butter",),
    why="The foil keeps the underside in its own juice; the open top goes on drying and crisping.",
    cautions=("Hot fat pools in the foil: lift it level, with dry gloves.",),
)
VENT = Vent(
    Until(core_temp_c=73.9, at_most_s=5400.0),
    "boat",
    "On a rack, out of the draught.",
    "Carry-over is let off.",
)
HOLD = Hold(
    "cabinet",
    65.6,
    None,
    "boat",
    10 * HOUR,
    14 * HOUR,
    "Collagen goes on turning, and dinner waits for nobody.",
)

BOATED = Method(
    origin=origin("cards/brisket/boat.yaml"),
    id="boat",
    title="Packer brisket in a foil boat, humid hold",
    also_called=("boat brisket", "open tray brisket"),
    choose_when="Choose this for a fixed serving time the next day when you want a crisp top and moist flat, "
    "and have a cabinet that can be set for humidity.",
    status=Status.HOUSE_STANDARD,
    owner="Pit lead",
    revision=3,
    reviewed=date(2026, 10, 3),
    review_by=date(2027, 4, 3),
    cut="packer-brisket",
    piece=Piece(
        Range(5.4, 6.8), Range(0.08, 0.095), 3.3, "Fat cap to 1/4 in, edges rounded.", "Choice or better"
    ),
    seasoning=(
        Ingredient("coarse black pepper", "rub", "1/2 cup", (), ""),
        Ingredient("kosher salt", "rub", "1/4 cup", (), ""),
        Ingredient(
            "yellow mustard", "binder", "2 tbsp", ("mustard",), "Leave out for guests with mustard allergy"
        ),
    ),
    pit="offset",
    fuel="seasoned oak splits",
    stages=(SMOKE, BOAT),
    vent=VENT,
    hold=HOLD,
    expected={
        "bark": Expected("crisp", Provenance.PRACTICE, "Top only; the underside is soft."),
        "juiciness": Expected("juicy", Provenance.CLAIMED, ""),
    },
    handling=("Rest the boat level so that no fat runs out.",),
    cautions=("Fire gives off carbon monoxide: outdoors only.",),
    allergens=("mustard",),
    sources=("House method, Alder Street Commissary (invented)",),
)
PAPERED = replace(
    BOATED,
    origin=origin("cards/brisket/paper.yaml"),
    id="paper",
    title="Brisket in butcher paper with tallow",
    also_called=("tallow brisket",),
    choose_when="Choose this for soft, rich slices on the day, when there is no cabinet to hold in.",
    status=Status.ON_TRIAL,
    seasoning=(*BOATED.seasoning[:2], Ingredient("beef tallow", "paper", "1/2 cup", (), "")),
    stages=(SMOKE, replace(BOAT, name="Paper", wrap="paper-tallow", pit="oven")),
    vent=None,
    hold=replace(
        HOLD,
        holder="oven-pan",
        relative_humidity=0.6,
        for_s=2 * HOUR,
        at_most_s=4 * HOUR,
        wrap="paper-tallow",
    ),
    allergens=(),
)
BARE = replace(
    BOATED,
    origin=origin("cards/brisket/bare.yaml"),
    id="bare",
    title="Unwrapped brisket",
    also_called=(),
    choose_when="Choose this for the heaviest bark, with time to spare and somebody to mind the fire.",
    status=Status.DRAFT,
    stages=(
        SMOKE,
        replace(BOAT, name="Finish", wrap="none", until=Until(core_temp_c=87.0, at_most_s=9 * HOUR)),
    ),
    hold=None,
    vent=None,
    expected={},
)
WITHDRAWN = replace(
    BARE,
    origin=origin("cards/poultry/turkey.yaml"),
    id="old-turkey",
    title="Turkey breast, old way",
    status=Status.WITHDRAWN,
    cut="turkey-breast",
)


def book(*methods: Method) -> Book:
    chosen = methods or (BOATED, PAPERED, BARE, WITHDRAWN)
    return Book(
        root="book",
        card=BOOK_CARD,
        cuts={card.id: card for card in CUTS},
        pits={card.id: card for card in PITS},
        wraps={card.id: card for card in WRAPS},
        holders={card.id: card for card in HOLDERS},
        methods={method.id: method for method in chosen},
    )


def air(dry_c: float, dew_c: float, humidity: float) -> AirResult:
    return AirResult(
        dry_bulb=figure(dry_c, "temperature"),
        dew_point=figure(dew_c, "temperature", 2.0),
        relative_humidity=figure(humidity, "fraction", humidity / 10),
        wet_bulb=figure(dew_c + 3, "temperature", 1.5),
        vapour_pressure=figure(6000.0, "pressure"),
        humidity_ratio=figure(0.06, "ratio"),
        boiling_point_c=99.6,
    )


def result_of(method: Method, *, stretch: float = 1.0) -> MethodResult:
    """Courses that look like a cook: a rise, a stall, a finish, a cooling and a hold."""
    finish = 12.5 * stretch
    hold = method.hold.for_s / HOUR if method.hold else 0.0
    rest = 1.2 if method.vent else 0.0
    end = finish + rest + hold
    times = tuple(end * i / 150 for i in range(151))

    def core(hour: float, pace: float) -> float:
        if hour <= finish:
            rise = 3.3 + 66 * (1 - exp(-hour / (2.2 * pace * stretch)))
            return rise + 27 / (1 + exp(-(hour - 9.5 * pace * stretch) / (0.8 * stretch)))
        return 65.6 + (core(finish, pace) - 65.6) * exp(-(hour - finish) / 1.6)

    def band(pace: float) -> Band:
        middle = tuple(core(hour, pace) for hour in times)
        return Band(
            tuple(core(hour, pace * 1.13) - 0.4 for hour in times),
            middle,
            tuple(core(hour, pace * 0.88) + 0.4 for hour in times),
        )

    pit_c = tuple(
        (121.1 if hour < 4 else 140.6) + 3 * sin(5 * hour)
        if hour <= finish
        else 65.6
        if method.hold
        else 22.0
        for hour in times
    )
    edges = [0.0, 4.0, finish, *([finish + rest] if method.vent else []), *([end] if method.hold else [])]
    names = [
        *(stage.name for stage in method.stages),
        *(["Vent"] if method.vent else []),
        *(["Hold"] if method.hold else []),
    ]
    kinds = ["cook"] * len(method.stages) + ["vent"] * bool(method.vent) + ["hold"] * bool(method.hold)
    stages = tuple(
        StageResult(
            name=name,
            kind=kind,
            start=figure(edges[i] * HOUR, "duration", 0.0 if i == 0 else 0.4 * HOUR),
            end=figure(edges[i + 1] * HOUR, "duration", 0.7 * HOUR),
            duration=figure((edges[i + 1] - edges[i]) * HOUR, "duration", 0.5 * HOUR),
            core_end=figure(core(edges[i + 1], 1.0), "temperature", 2.2),
            thin_end=figure(core(edges[i + 1], 0.85), "temperature", 1.8),
            mass_left=figure(0.9 - 0.1 * i, "fraction", 0.02),
            ended_by="time" if i == 0 else "at most" if method.id == "bare" and i == 1 else "probe tender",
            air=air(121.1, 38.0, 0.04) if kind == "cook" else air(65.6, 57.0, 0.68),
        )
        for i, (name, kind) in enumerate(zip(names, kinds, strict=True))
    )
    return MethodResult(
        method=method.id,
        engine=ENGINE,
        members=256,
        seed=1,
        stages=stages,
        pull=figure(finish * HOUR, "duration", 1.1 * HOUR),
        ready=figure((finish + rest) * HOUR, "duration", 1.2 * HOUR),
        serve=figure(end * HOUR, "duration", 1.2 * HOUR),
        stall_start=figure(5.2 * stretch * HOUR, "duration", 0.5 * HOUR),
        stall_end=figure(8.1 * stretch * HOUR, "duration", 0.6 * HOUR),
        yield_fraction=figure(0.58, "fraction", 0.02),
        evaporated=figure(0.29, "fraction", 0.02),
        dripped=figure(0.13, "fraction", 0.02),
        rendered=figure(0.55, "fraction", 0.05),
        scores={
            "bark": figure(78.0 - 20 * (stretch - 1), "score", 7.0),
            "rendering": figure(71.0, "score", 6.0),
            "juiciness": figure(64.0, "score", 5.0),
            "smoke": figure(58.0, "score", 8.0),
            "tenderness": figure(82.0, "score", 4.0),
        },
        details={
            "crust_thickness": figure(0.0042, "length", 0.0006),
            "fat_rendered": figure(0.55, "fraction", 0.05),
        },
        series=Series(times, pit_c, band(1.0), band(0.85), band(0.6)),
        sections=tuple(
            section(name, hour, core(hour, 1.0))
            for name, hour in (("at the wrap", 4.0), ("off the pit", finish))
        ),
        ranking=(
            Influence("Thickness of the piece", 0.46, 1.9),
            Influence("Pit temperature", 0.27, -1.3),
            Influence("Humidity of the pit air", 0.11, -0.6),
            Influence("Where the probe sits", 0.04, 0.02),
        ),
        remarks=(),
        verdicts=(
            rule_verdict(Met.MET, Level.GREEN, 1.0),
            rule_verdict(Met.NOT_MET, Level.RED, 0.4),
            rule_verdict(Met.ADVISORY, Level.AMBER, 0.9),
        ),
    )


def rule_verdict(met: Met, level: Level, share: float) -> Verdict:
    return Verdict(
        topic=Topic.HOT_HOLD,
        rule=f"an invented rule that is {met.value}",
        citation=Citation("Invented authority", "section 1", "2026", Standing.MEMORY),
        met=met,
        level=level,
        figure="coldest point 62.0 °C (143.6 °F)",
        value=62.0,
        low=61.0,
        high=63.0,
        unit=Unit.CELSIUS,
        limit=57.0,
        limit_text="57 °C (135 °F)",
        probability=share,
        members=256,
        explanation="An invented explanation.",
        what_to_do="" if met is Met.MET else "Hold warmer.",
    )


def section(name: str, hour: float, core_c: float, columns: int = 12, nodes: int = 15) -> Section:
    """A slab that is thicker at one end, hot and dry outside."""
    width = 0.46 / columns
    lengths = tuple(width * (i + 0.5) for i in range(columns))
    thick = [0.045 if i < 6 else 0.045 + 0.04 * min(1.0, (i - 5) / 3) for i in range(columns)]
    depths = tuple(tuple(t * (n + 0.5) / nodes for n in range(nodes)) for t in thick)
    outside = [[abs(2 * (n + 0.5) / nodes - 1) ** 2 for n in range(nodes)] for _ in range(columns)]
    temps = tuple(
        tuple(core_c + (8 if i < 6 else 0) + (88 - core_c) * share * 0.8 for share in outside[i])
        for i in range(columns)
    )
    water = tuple(
        tuple(0.62 - (0.05 if i >= 6 else 0.0) - 0.35 * share**2 for share in outside[i])
        for i in range(columns)
    )
    return Section(name, hour, lengths, depths, temps, water)


def results() -> Mapping[str, MethodResult]:
    """Results for the methods that are not withdrawn."""
    stretches = {"boat": (BOATED, 1.0), "paper": (PAPERED, 0.9), "bare": (BARE, 1.25)}
    return {name: result_of(method, stretch=stretch) for name, (method, stretch) in stretches.items()}


def build_info() -> BuildInfo:
    return BuildInfo(version="0.0.test")
