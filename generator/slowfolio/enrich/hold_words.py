"""The advice for a holder in words and in the reader's units: what to dial in, what it gives, for how long.

The command line prints these lines; the site shows the same figures laid out.
"""

from slowfolio.book.model import Book
from slowfolio.forecast.hold_advice import Advice, Percentiles
from slowfolio.forecast.hold_table import HoldTable
from slowfolio.forecast.hold_window import Window
from slowfolio.physics.cabinet_course import Spray
from slowfolio.units import (
    System,
    format_area,
    format_difference,
    format_duration,
    format_fraction,
    format_mass,
    format_power,
    format_temperature,
    format_volume,
)

HOUR_S = 3600.0
LEVEL_K = 0.05
WATER_KG_M3 = 1000.0


def advice_lines(advice: Advice, book: Book, system: System) -> list[str]:
    """One line a figure, settings first."""
    air = format_temperature(advice.air_temp_c, system)
    hours = format_duration(advice.hours * HOUR_S)
    wrap = book.wraps[advice.wrap].title
    lines = [row("asked for", f"air at {air}, {wrap.lower()}, {hours}")]
    if not advice.possible:
        return [*lines, row("cannot", advice.why_not)]
    lines += [row("set", text) for text in setting_texts(advice, system)]
    if advice.humidity is not None:
        lines += air_rows(advice, system)
    lines += [row("window", window_text(window, book)) for window in advice.windows]
    lines += meat_rows(advice, system)
    if advice.longest_h is not None:
        lines.append(row("hold at most", f"{longest_text(advice.longest_h)}: {advice.ended_by}"))
    if advice.reading_words:
        lines.append(row("reading", advice.reading_words))
    return lines


def longest_text(longest_h: float) -> str:
    """How long a piece may be held, in words."""
    return format_duration(longest_h * HOUR_S) if longest_h else "not at all"


def origin_lines(table: HoldTable) -> list[str]:
    """Where the figures come from and what their spread is."""
    return [
        row(
            "computed", f"engine {table.engine}, {table.members} simulated pieces; air from the holder's card"
        ),
        row("spread", "low – middle – high: 8 pieces in 10 lie between; crispness and tenderness of 100"),
    ]


def setting_texts(advice: Advice, system: System) -> list[str]:
    """What to dial in or put in, in the words of the holder's own controls."""
    if advice.box_hours is not None and advice.box_hours_per_litre is not None:
        return [
            box_text(advice, system),
            f"above the floor for {format_duration(advice.box_hours * HOUR_S)}, and "
            f"{format_duration(advice.box_hours_per_litre * HOUR_S)} more for each litre",
        ]
    texts = [f"air {format_temperature(advice.air_temp_c, system)}"]
    if abs(advice.stands_in_c - advice.air_temp_c) > LEVEL_K:
        texts.append(f"the air in it then stands at {format_temperature(advice.stands_in_c, system)}")
    if advice.vapour_temp_c is not None:
        texts.append(f"water-vapour temperature {format_temperature(advice.vapour_temp_c, system)}")
    if advice.set_humidity is not None:
        texts.append(f"humidity {format_fraction(advice.set_humidity)}")
    if advice.pan_area_m2:
        pans = "one pan" if advice.pan_count == 1 else f"{advice.pan_count} pans"
        texts.append(f"{pans}, {format_area(advice.pan_area_m2, system)} of open water in all")
    if advice.pan_area_m2 and advice.pan_water_c is not None:
        texts.append(f"the water settles at {format_temperature(advice.pan_water_c, system)}")
    if advice.pan_area_m2 and advice.refill_h is not None:
        texts.append(refill_text(advice.refill_h, advice.hours))
    if advice.spray_kg_h:
        texts.append(f"spray {format_mass(advice.spray_kg_h, system)} of water an hour to make up the rest")
    if advice.spray is not None:
        texts.append(spray_text(advice.spray, system))
    if advice.setting_words not in ("within reach", "as set", ""):
        texts.append(advice.setting_words)
    return texts


def box_text(advice: Advice, system: System) -> str:
    """What goes into a box without heat."""
    assert advice.bottle_litres is not None
    assert advice.bottle_temp_c is not None
    return bottle_text(advice.bottle_litres, format_temperature(advice.bottle_temp_c, system), system)


def bottle_text(litres: float, at: str, system: System) -> str:
    """How a box is made ready with so much water at a temperature in words."""
    if not litres:
        return "warm the box through first; no bottles"
    water = format_volume(litres / WATER_KG_M3, system)
    return f"warm the box through first; {water} of water at {at} in bottles beside the meat"


def spray_text(spray: Spray, system: System) -> str:
    """How much water is sprayed how often, and what that is an hour."""
    every = format_duration(spray.every_s)
    amount = format_volume(spray.mass_kg / WATER_KG_M3, system)
    hourly = format_mass(spray.mean_kg_s * HOUR_S, system)
    return f"spray {amount} every {every}, {hourly} of water an hour"


def refill_text(refill_h: float, hours: float) -> str:
    """When to top the water up, to the quarter hour before it is needed."""
    if refill_h >= hours:
        return "one filling outlasts the hold"
    quarters = max(int(4 * refill_h), 1)
    return f"refill about every {format_duration(quarters * HOUR_S / 4)}"


def air_rows(advice: Advice, system: System) -> list[str]:
    """The air it gives, and the water and heat that takes."""
    assert advice.humidity is not None
    assert advice.dew_point_c is not None
    assert advice.wet_bulb_c is not None
    dew, wet = (format_temperature(value, system) for value in (advice.dew_point_c, advice.wet_bulb_c))
    rows = [row("humidity", f"{format_fraction(advice.humidity)}, dew point {dew}, wet bulb {wet}")]
    if advice.humidity_low is not None and advice.humidity_high is not None:
        low, high = format_fraction(advice.humidity_low), format_fraction(advice.humidity_high)
        rows.append(row("it swings", f"from {low} before a spray to {high} after it"))
    if advice.reach_low is not None and advice.reach_high is not None:
        low, high = format_fraction(advice.reach_low), format_fraction(advice.reach_high)
        rows.append(row("it can reach", low if low == high else f"{low} to {high}"))
    if advice.make_up_kg_h is not None and advice.heat_w is not None:
        water = (
            f"{format_mass(advice.make_up_kg_h, system)} of water an hour"
            if advice.make_up_kg_h
            else "no water"
        )
        rows.append(row("it uses", f"{water}, {format_power(advice.heat_w)}"))
    return rows


def meat_rows(advice: Advice, system: System) -> list[str]:
    """What the hold does to the meat, each with its spread."""
    rows = []
    if advice.loss is not None:
        rows.append(row("loses", f"{spread([format_fraction(v) for v in advice.loss])} of its weight"))
    for name, values in (("crispness", advice.crispness), ("tenderness", advice.tenderness)):
        if values is not None:
            rows.append(row(name, spread([f"{value:.0f}" for value in values])))
    for name, temps in (("core", advice.core_c), ("coldest point", advice.coldest_c)):
        if temps is not None:
            rows.append(row(name, temperatures(temps, system)))
    if advice.below_air_k is not None and advice.below_air_k > 0:
        below = format_difference(advice.below_air_k, system)
        rows.append(row("below the air", f"{below}, as the surface evaporates"))
    return rows


def window_text(window: Window, book: Book) -> str:
    """The humidity window of one wrap."""
    wrap = book.wraps[window.wrap].title
    if window.exists:
        low, high = format_fraction(window.low), format_fraction(window.high)
        return f"{wrap}: {low} to {high}, aim at {format_fraction(window.target)}"
    return f"{wrap}: none; {window.opened_by}"


def temperatures(values: Percentiles, system: System) -> str:
    """A spread of temperatures."""
    return spread([format_temperature(value, system) for value in values])


def spread(texts: list[str]) -> str:
    """Low – median – high, once where all are the same."""
    return texts[1] if len(set(texts)) == 1 else " – ".join(texts)


def row(name: str, text: str) -> str:
    """A named line."""
    return f"{name:<16} {text}"
