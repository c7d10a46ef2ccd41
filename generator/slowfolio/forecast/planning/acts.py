"""The acts of one load with their windows: from thawing to serving, in the order they fall due.

Turns a start and the times of the simulated cooks into clock entries in seconds from the serving time, on the
five-minute grid. Chooses nothing; `item` hands it the start, `service` a rule for finding free hands.
"""

from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum

import numpy as np

from slowfolio.forecast.planning.clock import on_grid, on_grid_down, on_grid_up
from slowfolio.forecast.planning.leads import LIGHT_HANDS_S, STAGE_HANDS_S, Leads, Meat
from slowfolio.forecast.planning.start import sure_time_s
from slowfolio.forecast.planning.times import ActKind, Array, CookTimes, HoldTerms, at_share
from slowfolio.provenance import Provenance

Begin = Callable[[float, float], float]
"""From when an act must be done and how long hands are busy with it, to when it begins."""


class Fire(Enum):
    """Whether a load has its pit to light, or finds it hot from another."""

    TO_LIGHT = "to light"
    BURNING = "burning"


@dataclass(frozen=True, slots=True)
class Act:
    """One act: when it is planned, its window, and how long hands are busy with it.

    `at_s` is the planned time, `p10_s` to `p90_s` the window: for acts that the meat decides, where eight of
    ten cooks fall; for work before the cook, from a slow hand to a quick one. `by_s` is the latest time that
    still leaves the asked chance of serving in time; None where there is none to tell.
    """

    kind: ActKind
    title: str
    do: str
    at_s: float
    p10_s: float
    p90_s: float
    hands_s: float
    provenance: Provenance
    by_s: float | None = None

    @property
    def hands_end_s(self) -> float:
        """When hands are free again."""
        return self.at_s + self.hands_s


def just_in_time(end_s: float, hands_s: float) -> float:
    """Begin so as to be done at `end_s`: what one does with nothing else to do."""
    return end_s - hands_s


def prep_acts(
    leads: Leads, *, on_s: float, fire: Fire, pit_title: str, trim: str, begin: Begin = just_in_time
) -> tuple[Act, ...]:
    """Thawing, trimming, rubbing and, where the pit is not yet hot, lighting, before `on_s`."""
    lights = fire is Fire.TO_LIGHT
    light_at = begin(on_s - leads.light_s.high + LIGHT_HANDS_S, LIGHT_HANDS_S) if lights else on_s
    light_by = on_s - leads.light_s.low if lights else on_s
    rub_at = begin(min(light_at, on_s - leads.rub_rests_s.high), leads.rub_s.high)
    rub_by = min(light_by, on_s - leads.rub_rests_s.low) - leads.rub_s.low
    trim_at = begin(rub_at, leads.trim_s.high)
    trim_by = rub_by - leads.trim_s.low
    thaw_at, thaw_by = (on_grid_down(trim_at - span) for span in (leads.thaw_s.high, leads.thaw_s.low))
    acts = [
        prep(ActKind.THAW, "Into the refrigerator to thaw", thaw_at, thaw_by, 0.0, THAW_WORDS[leads.meat]),
        prep(ActKind.TRIM, "Trim", trim_at, trim_by, leads.trim_s.high, trim),
        prep(ActKind.RUB, "Rub", rub_at, rub_by, leads.rub_s.high, "Binder and rub; let it stand until wet."),
    ]
    if lights:
        acts.append(
            prep(
                ActKind.LIGHT,
                f"Light the {pit_title[:1].lower()}{pit_title[1:]}",
                light_at,
                light_by,
                LIGHT_HANDS_S,
                "It must stand at its temperature, read at the grate, when the piece goes on.",
            )
        )
    return tuple(acts)


_THAW = "in a refrigerator, a day for each 4 to 5 lb (2 kg), thawed right through before it is trimmed."
THAW_WORDS = {Meat.FRESH: f"Only if it is frozen: {_THAW}", Meat.FROZEN: f"{_THAW[:1].upper()}{_THAW[1:]}"}


def prep(kind: ActKind, title: str, at_s: float, by_s: float, hands_s: float, do: str) -> Act:
    """An act before the cook; its window runs from the planned time to what a quick hand can afford."""
    return Act(kind, title, do, at_s, at_s, max(at_s, by_s), hands_s, Provenance.PRACTICE)


def cook_acts(
    times: CookTimes, leads: Leads, hold: HoldTerms, *, start_s: float, by_s: float, confidence: float
) -> tuple[Act, ...]:
    """From on to into the hold, planned at the median of the simulated cooks."""
    begins = np.stack([np.zeros(times.count), *(stage.ends_s for stage in times.stages)])

    def act(kind: ActKind, title: str, do: str, row: int, hands_s: float) -> Act:
        low, middle, high = (float(value) for value in times.windows_s[row])
        return Act(
            kind,
            title,
            do,
            at_s=start_s + on_grid(middle),
            p10_s=start_s + on_grid_down(low),
            p90_s=start_s + on_grid_up(high),
            hands_s=hands_s,
            provenance=Provenance.COMPUTED,
            by_s=turn_back_s(begins[row], times.ready_s, by_s=by_s, confidence=confidence),
        )

    hands = {
        ActKind.ON: leads.on_hands_s,
        ActKind.STAGE: STAGE_HANDS_S,
        ActKind.WRAP: leads.wrap_hands_s,
    }
    acts = [act(s.act, s.name, s.do, row, hands[s.act]) for row, s in enumerate(times.on_pit)]
    pulled = len(times.on_pit)
    acts.append(act(ActKind.PULL, "Pull", pull_words(times), pulled, leads.pull_hands_s))
    if times.vent is not None:
        acts.append(act(ActKind.VENT, times.vent.name, times.vent.do, pulled, 0.0))
    if hold.holder and start_s + times.ready_window_s[1] < by_s:
        # A piece that goes from the pit straight into the hold is carried once.
        hands_s = leads.hold_hands_s if times.vent is not None else 0.0
        acts.append(
            act(
                ActKind.HOLD,
                f"Into the {hold.title.lower()}",
                into_hold_words(times, hold),
                len(times.stages),
                hands_s,
            )
        )
    return tuple(acts)


def pull_words(times: CookTimes) -> str:
    """The card's own sign that it is done."""
    sign = times.on_pit[-1].ends_when
    return f"{sign}: off the pit." if sign else "Off the pit when it is done."


def into_hold_words(times: CookTimes, hold: HoldTerms) -> str:
    """When it goes into the hold, and how the holder is set."""
    sign = "" if times.vent is None else times.vent.ends_when
    return f"{sign}. {hold.do}".strip() if sign else hold.do


def turn_back_s(begins_s: Array, ready_s: Array, *, by_s: float, confidence: float) -> float:
    """The latest time for an act that still leaves the chance `confidence` of being ready by `by_s`.

    A cook that is late so far is likely to be slow on, so what remains is taken from the slower half of the
    members. Both shapes (M,), seconds from on.
    """
    slow = begins_s >= at_share(begins_s, 0.5)
    return on_grid_down(by_s - sure_time_s((ready_s - begins_s)[slow], confidence))


def service_acts(
    times: CookTimes, leads: Leads, *, start_s: float, by_s: float, serve_s: float, held: str
) -> tuple[Act, ...]:
    """Slicing and serving: on the clock, unless the piece is late."""
    windows = [start_s + ready for ready in times.ready_window_s]
    slicing = [max(by_s, on_grid_up(ready)) for ready in windows]
    serving = [max(serve_s, begun + leads.slice_s) for begun in slicing]

    def act(kind: ActKind, title: str, do: str, window: list[float], hands_s: float) -> Act:
        early, planned, tardy = window
        by = by_s if kind is ActKind.SLICE else None
        return Act(kind, title, do, planned, early, tardy, hands_s, Provenance.COMPUTED, by)

    slice_words = f"{held}The first piece now, the others to order." if leads.slice_s else f"{held}To order."
    return (
        act(ActKind.SLICE, "Slice", slice_words, slicing, leads.slice_s),
        act(ActKind.SERVE, "Serve", "", serving, 0.0),
    )
