"""The invented book of `site_fixture` with more holders, and hold tables made up for its methods.

The courses are smooth formulas chosen to look like a hold; none stands for a real piece. What holders make of
them is worked out by the real `advise`.
"""

from dataclasses import replace
from math import exp

import site_fixture
from site_fixture import guess, guess_range
from slowfolio.book.model import Book, Holder, Method
from slowfolio.enrich.holds import MethodHolds
from slowfolio.forecast.box_grid import box_grids
from slowfolio.forecast.hold_advice import advise
from slowfolio.forecast.hold_table import AIR_TEMPS_C, HUMIDITIES, LONGEST_H, HoldTable
from slowfolio.physics.outcomes import CRISPNESS_SCALE
from slowfolio.units import Range

SPREAD = (0.85, 1.0, 1.2)
WEIGHT_KG = 3.8


def holders() -> tuple[Holder, ...]:
    """One of every kind; the small one is too small for any piece."""
    vapour, pan = site_fixture.HOLDERS
    element = replace(
        pan,
        id="element-pan",
        title="Electric cabinet, pan over the element",
        volume_m3=guess(0.09),
        air_exchange_per_s=guess(4 / 3600),
        heat_loss_w_k=guess(2.0),
        power_w=guess(800.0),
        pan_area_m2=guess_range(0.03, 0.09),
        pan_over_element=True,
    )
    combi = replace(
        vapour,
        id="combi",
        title="Combi oven",
        kind="combi oven",
        humidity_by="per cent",
        vapour_temp_c=None,
        relative_humidity=Range(0.0, 1.0),
        air_exchange_per_s=guess(8 / 3600),
        power_w=guess(6000.0),
    )
    dry = replace(combi, id="dry", title="Oven, dry", humidity_by="none", relative_humidity=None)
    box = replace(
        dry,
        id="box",
        title="Insulated box",
        humidity_by="sealed",
        heated=False,
        volume_m3=guess(0.05),
        heat_loss_w_k=guess(1.6),
        air_exchange_per_s=guess(0.5 / 3600),
        power_w=None,
    )
    warm = replace(combi, id="warm-combi", title="Combi oven, off its dial", air_offset_k=guess(4.0))
    small = replace(dry, id="small", title="A drawer", load_kg=guess(1.0))
    return vapour, pan, element, combi, warm, dry, box, small


def book() -> Book:
    """The invented book with these holders and a steam-tight foil."""
    whole = site_fixture.book()
    foil = site_fixture.wrap("foil", "Tight foil", "foil", steam_tight=True)
    return replace(
        whole,
        holders={holder.id: holder for holder in holders()},
        wraps={**whole.wraps, foil.id: foil},
    )


def corner(quantity: str, air_c: float, humidity: float, hour: float, *, tight: bool) -> list[float]:
    """P10, P50 and P90 of one made-up quantity."""
    dry = 0.25 if tight else 1.0 - humidity
    if quantity == "loss":
        value = 0.011 * hour**0.9 * (0.15 + dry) * exp((air_c - 65.0) / 25.0)
        return [round(part * value, 5) for part in SPREAD]
    if quantity == "water_activity":
        damp = 0.97 if tight else 0.30 + 0.65 * humidity
        value = damp - (damp - 0.55) * exp(-hour / 2.0)
        return [round(value - 0.03, 4), round(value, 4), round(min(value + 0.03, 1.0), 4)]
    if quantity == "tenderness":
        return [min(78.0 + 0.8 * hour + part, 100.0) for part in (-4.0, 0.0, 3.0)]
    if quantity == "collagen":
        return [min(0.55 + 0.012 * hour + part, 1.0) for part in (-0.05, 0.0, 0.05)]
    below = 4.5 * dry if quantity == "coldest_c" else 1.0 * dry
    start = 62.0 if quantity == "coldest_c" else 74.0
    end = air_c - below
    value = end + (start - end) * exp(-hour / 1.3)
    return [round(value - 1.0, 2), round(value, 2), round(value + 0.8, 2)]


def table(method: Method) -> HoldTable:
    """The made-up table of one method."""
    assert method.hold is not None
    wraps, tight = (method.hold.wrap, "foil"), (False, True)
    names = ("loss", "core_c", "coldest_c", "tenderness", "collagen", "water_activity")
    hours = tuple(float(hour) for hour in range(LONGEST_H + 1))
    return HoldTable(
        method=method.id,
        engine=site_fixture.ENGINE,
        members=12,
        wraps=wraps,
        tight=tight,
        air_temps_c=AIR_TEMPS_C,
        humidities=HUMIDITIES,
        hours=hours,
        weight_in_kg=WEIGHT_KG,
        thickness_m=0.075,
        core_in_c=74.0,
        crispness_scale=CRISPNESS_SCALE,
        values={
            name: [
                [
                    [
                        [corner(name, air, humidity, hour, tight=is_tight) for hour in hours]
                        for humidity in (HUMIDITIES[:1] if is_tight else HUMIDITIES)
                    ]
                    for air in AIR_TEMPS_C
                ]
                for is_tight in tight
            ]
            for name in names
        },
    )


def holds(of: Book | None = None) -> dict[str, MethodHolds]:
    """The holds of every method that has one, with the advice for every holder."""
    whole = of or book()
    made = {}
    for method in whole.methods.values():
        if method.hold is not None:
            courses = table(method)
            advice = tuple(advise(courses, method, whole, holder) for holder in whole.holders.values())
            made[method.id] = MethodHolds(method.id, courses, advice, box_grids(courses, whole))
    return made
