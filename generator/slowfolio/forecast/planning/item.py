"""The plan of one load: its start, its acts, what the hold gives and takes, and what to tell about it.

Joins `start` and `acts`; still pure. Called by `service`, which plans one item as a service of one.
"""

from dataclasses import dataclass

import numpy as np

from slowfolio.forecast.planning.acts import (
    Act,
    Begin,
    Fire,
    cook_acts,
    just_in_time,
    prep_acts,
    service_acts,
)
from slowfolio.forecast.planning.leads import Leads
from slowfolio.forecast.planning.start import Start
from slowfolio.forecast.planning.times import CookTimes, HoldTerms


@dataclass(frozen=True, slots=True)
class LoadWork:
    """What the planner has to know of a load besides its times: names, leads, when it is wanted.

    `serve_s` is counted from the serving time of the service, 0 for most.
    """

    name: str
    method: str
    title: str
    pieces: int
    pit_title: str
    trim: str
    leads: Leads
    serve_s: float = 0.0


@dataclass(frozen=True, slots=True)
class HoldOutlook:
    """What the hold gives: how long pieces wait in it, and how many cooks pass each of its limits.

    `held_*_s` run from the shortest to the longest hold (P10 to P90 of the holds). `spare_s` is how much
    later than planned the median piece may be and still be in time. Shares are of the simulated cooks.
    """

    terms: HoldTerms
    held_p10_s: float
    held_p50_s: float
    held_p90_s: float
    spare_s: float
    share_late: float
    share_past_card: float
    share_past_rule: float


@dataclass(frozen=True, slots=True)
class LoadPlan:
    """One load from the refrigerator to the plate. `chance` is that of being sliced by the serving time."""

    work: LoadWork
    start: Start
    start_s: float
    by_s: float
    serve_s: float
    chance: float
    hold: HoldOutlook
    acts: tuple[Act, ...]
    members: int


def plan_load(
    work: LoadWork,
    times: CookTimes,
    hold: HoldTerms,
    start: Start,
    *,
    start_s: float,
    by_s: float,
    confidence: float,
    fire: Fire = Fire.TO_LIGHT,
    begin: Begin = just_in_time,
) -> LoadPlan:
    """The acts of a load that goes on at `start_s` and is sliced from `by_s`.

    `begin` finds free hands for the work before the cook.
    """
    before = prep_acts(
        work.leads,
        on_s=start_s,
        fire=fire,
        pit_title=work.pit_title,
        trim=work.trim,
        begin=begin,
    )
    cook = cook_acts(times, work.leads, hold, start_s=start_s, by_s=by_s, confidence=confidence)
    held = f"Out of the {hold.title.lower()}. " if hold.holder else ""
    service = service_acts(times, work.leads, start_s=start_s, by_s=by_s, serve_s=work.serve_s, held=held)
    return LoadPlan(
        work=work,
        start=start,
        start_s=start_s,
        by_s=by_s,
        serve_s=work.serve_s,
        chance=float(np.mean(start_s + times.ready_s <= by_s + 1e-3)),
        hold=hold_outlook(times, hold, start_s=start_s, by_s=by_s),
        acts=(*before, *cook, *service),
        members=times.count,
    )


def hold_outlook(times: CookTimes, hold: HoldTerms, *, start_s: float, by_s: float) -> HoldOutlook:
    """How long pieces are held with this start, against the limits of card and rule."""
    spare = by_s - start_s - times.ready_s
    held = np.maximum(spare, 0.0)
    # The early piece is held longest, so the windows run the other way round.
    high, middle, low = (by_s - start_s - ready for ready in times.ready_window_s)
    rules = np.full_like(held, np.inf) if hold.rules_s is None else hold.rules_s
    return HoldOutlook(
        terms=hold,
        held_p10_s=max(0.0, low),
        held_p50_s=max(0.0, middle),
        held_p90_s=max(0.0, high),
        spare_s=middle,
        share_late=float(np.mean(spare < -1e-3)),
        share_past_card=float(np.mean(held > hold.at_most_s + 1e-3)),
        share_past_rule=float(np.mean(held > rules + 1e-3)),
    )
