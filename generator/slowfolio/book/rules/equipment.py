"""What a book, cut, pit, wrap or holder card must not say at once."""

from collections.abc import Callable, Iterator, Mapping
from typing import cast

from slowfolio.book.findings import Fault, quoted
from slowfolio.book.model import BookCard, Cut, Holder, Pit, Sourced, Wrap
from slowfolio.book.rules.case import both
from slowfolio.units import Range, System, format_fraction, format_length, format_mass

SHARES = Range(0.99, 1.01)
"""CALIBRATED: shares of the length are written in whole per cent."""
MAKE_UP = Range(0.97, 1.03)
"""READ: rows of the USDA tables sum to 97-103 %, each share being analysed on its own."""
MEAT_DENSITY_KG_M3 = 1060.0
"""MEMORY: raw lean meat, 1040-1090 kg/m3."""
FILL = Range(0.4, 1.25)
"""CALIBRATED: weight of a piece against a box of its length, width and mean thickness."""
ROOM_C = Range(-30.0, 50.0)
ALTITUDE_M = Range(-430.0, 5500.0)
"""CALIBRATED: from the shore of the lowest lake to the highest town."""
WIDE_WEIGHT = 6.0
WIDE_TEMPERATURE_K = 250.0
STEAM_TIGHT_KG_S_M2_PA = 2e-10
"""CALIBRATED: about 3.5 US perms, a crimped edge of foil; butcher paper passes ten times as much."""


def equipment_faults(card: object) -> Iterator[Fault]:
    """Yield every contradiction within a card that is no method."""
    for rule in _RULES[type(card)]:
        yield from rule(card)


def _positive(card: object, fields: Mapping[str, str]) -> Iterator[Fault]:
    for name, key in fields.items():
        value = getattr(card, name)
        number = value.value if isinstance(value, Sourced) else value
        if number <= 0:
            place = (key, "value") if isinstance(value, Sourced) else (key,)
            yield Fault(
                "quantity-zero", place, f"{key} of nothing cannot be", "measure it, or write your best figure"
            )


def _not_negative(card: object, fields: Mapping[str, str]) -> Iterator[Fault]:
    for name, key in fields.items():
        if cast(Sourced, getattr(card, name)).value < 0:
            yield Fault(
                "drift-negative", (key, "value"), "a spread is never below zero", "write it without the minus"
            )


# --- book -------------------------------------------------------------------------------------------


def _book_figures(book: BookCard) -> Iterator[Fault]:
    if book.room_temp_c not in ROOM_C:
        yield Fault(
            "book-figure-implausible",
            ("room", "temperature"),
            f"{both(book.room_temp_c)} is no temperature to stand at a pit in",
            "check the unit: °F or °C",
        )
    if book.altitude_m not in ALTITUDE_M:
        yield Fault(
            "book-figure-implausible",
            ("altitude",),
            f"{book.altitude_m:.0f} m is higher or lower than any town",
            "check the unit: m or ft",
        )


# --- cut --------------------------------------------------------------------------------------------


def _cut_positive(cut: Cut) -> Iterator[Fault]:
    yield from _positive(
        cut,
        {
            "typical_weight_kg": "typical_weight",
            "length_m": "length",
            "width_m": "width",
            "collagen_rate": "collagen_rate",
        },
    )
    for index, region in enumerate(cut.regions):
        if region.thickness_m <= 0:
            yield Fault(
                "quantity-zero", ("regions", index, "thickness"), "a part of no thickness", "measure it"
            )


def _cut_regions(cut: Cut) -> Iterator[Fault]:
    total = sum(region.share_of_length for region in cut.regions)
    if total not in SHARES:
        yield Fault(
            "region-shares-not-whole",
            ("regions",),
            f"the shares of the length add up to {format_fraction(total)}",
            "make them add up to 100 %",
            on_key=True,
        )
    names: set[str] = set()
    for index, region in enumerate(cut.regions):
        if region.name.lower() in names:
            yield Fault(
                "duplicate-region-name",
                ("regions", index, "name"),
                f"there is already a part called {quoted(region.name)}",
                "give each part its own name",
            )
        names.add(region.name.lower())
        if index and region.thickness_m < cut.regions[index - 1].thickness_m:
            yield Fault(
                "regions-not-thin-first",
                ("regions", index, "thickness"),
                f"{region.name} is thinner than {cut.regions[index - 1].name} before it",
                "list the parts from the thin end to the thick end",
            )


def _cut_make_up(cut: Cut) -> Iterator[Fault]:
    for index, region in enumerate(cut.regions):
        parts = region.composition
        total = parts.water + parts.protein + parts.fat + parts.ash
        if total not in MAKE_UP:
            yield Fault(
                "composition-not-whole",
                ("regions", index, "composition"),
                f"water, protein, fat and ash of {region.name} add up to {100 * total:.1f} %",
                "take all four from one row of one table; they add up to 97 to 103 %",
                on_key=True,
            )


def _cut_size(cut: Cut) -> Iterator[Fault]:
    if cut.typical_weight_kg not in cut.weight_kg:
        yield Fault(
            "typical-weight-outside-range",
            ("typical_weight",),
            f"{_pounds(cut.typical_weight_kg)} is not within {_pounds(cut.weight_kg)}",
            "write a weight within the range of the cut",
        )
    if cut.weight_kg.high > WIDE_WEIGHT * cut.weight_kg.low:
        yield Fault(
            "range-too-wide",
            ("weight",),
            f"{_pounds(cut.weight_kg)} is too wide a range for one cut",
            "write the weights it is sold at",
        )
    thinnest = min(region.thickness_m for region in cut.regions)
    if cut.fat_cap.thickness_m >= thinnest > 0:
        yield Fault(
            "fat-cap-thicker-than-piece",
            ("fat_cap", "thickness"),
            f"the thinnest part is {format_length(thinnest, System.METRIC)} thick, fat included",
            "write the thickness of the fat alone",
        )
    mean_m = sum(region.share_of_length * region.thickness_m for region in cut.regions)
    box_kg = cut.length_m.value * cut.width_m.value * mean_m * MEAT_DENSITY_KG_M3
    if box_kg > 0 and cut.typical_weight_kg > 0 and cut.typical_weight_kg / box_kg not in FILL:
        yield Fault(
            "size-and-weight-disagree",
            ("typical_weight",),
            f"a block of this length, width and thickness would weigh {_pounds(box_kg)}",
            "check length, width, thickness and their units",
        )


def _pounds(mass_kg: float | Range) -> str:
    return format_mass(mass_kg, System.US)


# --- pit --------------------------------------------------------------------------------------------


def _pit_figures(pit: Pit) -> Iterator[Fault]:
    yield from _positive(pit, {"volume_m3": "volume", "grate_area_m2": "grate_area", "load_kg": "load"})
    yield from _not_negative(pit, {"drift_k": "drift"})
    if pit.pit_temp_c.high - pit.pit_temp_c.low > WIDE_TEMPERATURE_K:
        yield Fault(
            "range-too-wide",
            ("pit_temperature",),
            f"{both(pit.pit_temp_c.low)} to {both(pit.pit_temp_c.high)} is wider than a pit holds steadily",
            "write the range it holds, not the range it can be driven to",
        )


def _pit_dew_points(pit: Pit) -> Iterator[Fault]:
    with_pan = pit.water_pan_dew_point_c
    for key, dew_point in (("dew_point", pit.dew_point_c), ("water_pan_dew_point", with_pan)):
        if dew_point is not None and dew_point.value.high >= 100.0:
            yield Fault(
                "dew-point-implausible",
                (key, "value"),
                f"a dew point of {both(dew_point.value.high)} is steam without air",
                "pit air has a dew point of 40 to 140 °F",
            )
            return
    if with_pan is not None and with_pan.value.high < pit.dew_point_c.value.high:
        yield Fault(
            "water-pan-dries-pit",
            ("water_pan_dew_point", "value"),
            "by these figures the air is drier with a water pan than without",
            "write a range above that of dew_point",
        )


# --- wrap -------------------------------------------------------------------------------------------


def _wrap_steam(wrap: Wrap) -> Iterator[Fault]:
    faces = (wrap.top.permeance_kg_s_m2_pa, wrap.bottom.permeance_kg_s_m2_pa)
    tight = all(face is not None and face.value <= STEAM_TIGHT_KG_S_M2_PA for face in faces)
    if wrap.steam_tight and not tight:
        yield Fault(
            "steam-tight-disagrees",
            ("steam_tight",),
            "a face is bare or lets vapour through, so steam does leave",
            "write false, or correct the permeance of the faces",
        )
    elif tight and not wrap.steam_tight:
        yield Fault(
            "steam-tight-disagrees",
            ("steam_tight",),
            "no vapour passes either face, so steam stays in",
            "write true, or correct the permeance of the faces",
        )


def _wrap_kind(wrap: Wrap) -> Iterator[Fault]:
    bare = (wrap.top.permeance_kg_s_m2_pa is None, wrap.bottom.permeance_kg_s_m2_pa is None)
    wanted = {
        "none": ((True, True), "both faces bare"),
        "tray": ((True, False), "the top bare, the bottom covered"),
    }
    faces, words = wanted.get(wrap.kind, ((False, False), "both faces covered"))
    if bare != faces:
        yield Fault(
            "wrap-kind-disagrees",
            ("kind",),
            f"a wrap of the kind {wrap.kind} has {words}",
            "choose another kind, or correct top and bottom",
        )


# --- holder -----------------------------------------------------------------------------------------


def _holder_figures(holder: Holder) -> Iterator[Fault]:
    yield from _positive(holder, {"volume_m3": "volume", "load_kg": "load"})
    yield from _not_negative(holder, {"drift_k": "drift"})


def _holder_humidity(holder: Holder) -> Iterator[Fault]:
    settings = {
        "vapour temperature": ("vapour_temperature", holder.vapour_temp_c),
        "per cent": ("relative_humidity", holder.relative_humidity),
    }
    for way, (key, setting) in settings.items():
        if holder.humidity_by == way and setting is None:
            yield Fault(
                "humidity-setting-missing",
                ("humidity_by",),
                f"where {way} sets the humidity, the card gives its range",
                f"add {key}:",
            )
        elif holder.humidity_by != way and setting is not None:
            yield Fault(
                "humidity-setting-unused",
                (key,),
                f"the humidity is set by {holder.humidity_by}, so {key} has no effect",
                f"delete it, or write humidity_by: {way}",
                on_key=True,
            )
    if holder.humidity_by == "pan" and holder.pan_area_m2 is None:
        yield Fault(
            "humidity-setting-missing",
            ("humidity_by",),
            "where a pan makes the humidity, the card gives the area of the pans that fit",
            "add pan_area:",
        )
    if holder.pan_over_element and holder.pan_area_m2 is None:
        yield Fault(
            "humidity-setting-missing",
            ("pan_over_element",),
            "a pan over the element has an area",
            "add pan_area:, or write false",
        )


def _holder_heat(holder: Holder) -> Iterator[Fault]:
    if not holder.heated and holder.power_w is not None:
        yield Fault(
            "heat-disagrees",
            ("power",),
            "the holder is not heated, yet has an element",
            "delete power, or write heated: true",
            on_key=True,
        )
    elif holder.heated and holder.power_w is None:
        yield Fault(
            "heat-disagrees",
            ("heated",),
            "a heated holder has an element",
            "add power:, or write heated: false",
        )


_RULES: Mapping[type, tuple[Callable[..., Iterator[Fault]], ...]] = {
    BookCard: (_book_figures,),
    Cut: (_cut_positive, _cut_regions, _cut_make_up, _cut_size),
    Pit: (_pit_figures, _pit_dew_points),
    Wrap: (_wrap_steam, _wrap_kind),
    Holder: (_holder_figures, _holder_humidity, _holder_heat),
}
