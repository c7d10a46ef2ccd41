"""The outcome of a method from what a program printed of it: `simulate --json` and `hold --json`.

Their keys carry unit and percentile and are only ever added to, so programs of other versions are understood.
What an older one does not print is left out. Called by `programs`.
"""

from collections.abc import Mapping
from typing import Any

from slowfolio.changes.outcome import Judged, Outcome, Spread

HOUR_S, PER_CENT = 3600.0, 0.01
TIMES, SCORES = ("finish", "ready"), ("bark", "rendering", "juiciness", "smoke", "tenderness")

Printed = Mapping[str, Any]


def printed_outcome(simulated: Printed, held: Printed | None) -> Outcome:
    """The outcome of a method as printed; `held` is the answer for its own holder, where it has one."""
    found = {name: spread(simulated, f"{name}_h", "duration", HOUR_S) for name in TIMES}
    found["yield"] = spread(simulated, "yield_pct", "fraction", PER_CENT)
    found |= {name: spread(simulated, f"{name}_score", "score", 1.0) for name in SCORES}
    if held is not None:
        found |= hold_spreads(held)
    quantities = {name: each for name, each in found.items() if each is not None}
    return Outcome(str(simulated.get("engine_version", "")), quantities, rules(simulated))


def hold_spreads(held: Printed) -> dict[str, Spread | None]:
    """The window of the hold in its own wrap, how long it may last, and what it costs."""
    found: dict[str, Spread | None] = {}
    for window in held.get("windows", ()):
        if window["wrap"] == held["wrap"] and window["exists"]:
            found["hold humidity from"] = Spread("fraction", window["low_pct"] * PER_CENT)
            found["hold humidity to"] = Spread("fraction", window["high_pct"] * PER_CENT)
    if held.get("longest_h") is not None:
        found["hold at most"] = Spread("duration", held["longest_h"] * HOUR_S)
    found["loss in the hold"] = spread(held, "loss_pct", "fraction", PER_CENT)
    return found


def spread(printed: Printed, key: str, dimension: str, factor: float) -> Spread | None:
    """A figure by its three keys, in SI; None where it was not printed."""
    middle = printed.get(f"{key}_p50")
    if middle is None:
        return None
    low, high = (printed.get(f"{key}_{name}") for name in ("p10", "p90"))
    return Spread(
        dimension,
        middle * factor,
        None if low is None else low * factor,
        None if high is None else high * factor,
    )


def rules(simulated: Printed) -> tuple[Judged, ...] | None:
    """The rules as printed; None from a program that prints none."""
    printed = simulated.get("rules")
    if printed is None:
        return None
    return tuple(
        Judged(each["rule"], each["topic"], each["met"], each["level"], each["figure"]) for each in printed
    )
