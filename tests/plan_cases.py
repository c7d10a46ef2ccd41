"""Cooks, loads and services made up for the tests of the planner: no engine, no cards, all from a seed."""

from dataclasses import replace

import numpy as np

from slowfolio.forecast.planning.arrange import Load
from slowfolio.forecast.planning.item import LoadWork
from slowfolio.forecast.planning.kitchen import Resources
from slowfolio.forecast.planning.leads import leads_for
from slowfolio.forecast.planning.places import Option, Place, PlaceKind
from slowfolio.forecast.planning.times import NO_HOLD, ActKind, CookTimes, HoldTerms, StageTimes

HOUR_S = 3600.0


def cook_of(ready_h: list[float], *, pit: str = "pit-card", vent_h: float = 0.5) -> CookTimes:
    """A cook whose members are ready after the hours given: three stages on the pit and a vent."""
    ready = np.asarray(ready_h, dtype=np.float64) * HOUR_S
    pulled = ready - vent_h * HOUR_S
    parts = ((ActKind.ON, "Smoke", 0.3), (ActKind.STAGE, "Render", 0.7), (ActKind.WRAP, "Wrap", 1.0))
    stages = [StageTimes(name, act, "", pit, 120.0, share * pulled) for act, name, share in parts]
    return CookTimes((*stages, StageTimes("Vent", ActKind.VENT, "", "", 20.0, ready)))


def hold_of(wanted_h: float, at_most_h: float, *, holder: str = "holder") -> HoldTerms:
    """A hold with no rule on warmth."""
    return HoldTerms(holder, "Holder", wanted_h * HOUR_S, at_most_h * HOUR_S)


def option_of(
    name: str,
    times: CookTimes,
    hold: HoldTerms = NO_HOLD,
    *,
    pit: str = "pit",
    pieces: int = 1,
    kg: float = 6.0,
    m2: float = 0.1,
    serve_h: float = 0.0,
) -> Option:
    """A load on a pit."""
    work = LoadWork(
        name=name,
        method="method",
        title="Method",
        pieces=pieces,
        pit_title="Pit",
        trim="",
        leads=leads_for(bought_kg=kg, pieces=pieces, pit_kind="offset"),
        serve_s=serve_h * HOUR_S,
    )
    return Option(pit, hold.holder, work, times, hold, kg, 0.6 * kg, m2)


def kitchen(
    *,
    cooks: int = 1,
    load_kg: float = 40.0,
    area_m2: float = 0.6,
    held_kg: float = 60.0,
    confidence: float = 0.9,
) -> Resources:
    """One pit and one holder."""
    return Resources(
        {
            "pit": Place("pit", "pit-card", PlaceKind.PIT, "Pit", load_kg, area_m2),
            "holder": Place("holder", "holder-card", PlaceKind.HOLDER, "Holder", held_kg),
        },
        cooks,
        confidence,
    )


def random_cook(rng: np.random.Generator, pit: str, hours: float, members: int = 12) -> CookTimes:
    """One to four stages and mostly a vent, each member faster or slower as a whole."""
    count = int(rng.integers(1, 5))
    ends = np.cumsum(rng.dirichlet([3.0] * count)) * hours * HOUR_S
    pace = np.exp(rng.normal(0.0, rng.uniform(0.01, 0.25), members))
    acts = [ActKind.ON, *rng.choice([ActKind.STAGE, ActKind.WRAP], count - 1)]
    stages = [
        StageTimes(f"stage {i}", ActKind(act), "", pit, float(rng.uniform(90, 170)), end * pace)
        for i, (act, end) in enumerate(zip(acts, ends, strict=True))
    ]
    if rng.random() < 0.8:
        rest = rng.uniform(0.0, 2.0 * HOUR_S, members)
        stages.append(StageTimes("Vent", ActKind.VENT, "", "", 20.0, ends[-1] * pace + rest))
    return CookTimes(tuple(stages))


def random_hold(rng: np.random.Generator, holder: str, members: int = 12) -> HoldTerms:
    """A hold, sometimes one that a rule on warmth cuts short in some members, sometimes none."""
    if rng.random() < 0.15:
        return NO_HOLD
    wanted = float(rng.uniform(0.0, 8.0))
    hold = hold_of(wanted, wanted + float(rng.uniform(0.0, 6.0)), holder=holder)
    if rng.random() < 0.2:
        hold = replace(
            hold, rules_s=rng.choice([0.0, 4 * HOUR_S, np.inf], members), floor_c=57.0, rule="rule"
        )
    return hold


def random_service(seed: int) -> tuple[list[Load], list[Load], Resources]:
    """Items on their own pits, the same on every pit, and what there is."""
    rng = np.random.default_rng(seed)
    pits = [f"pit {i}" for i in range(rng.integers(1, 3))]
    places = {
        name: Place(
            name,
            f"card {i}",
            PlaceKind.PIT,
            name.title(),
            float(rng.uniform(8, 40)),
            float(rng.uniform(0.15, 0.6)),
        )
        for i, name in enumerate(pits)
    }
    for i in range(rng.integers(1, 3)):
        places[f"holder {i}"] = Place(
            f"holder {i}", "held", PlaceKind.HOLDER, "Holder", float(rng.uniform(6, 40))
        )
    holders = [name for name in places if name.startswith("holder")]
    items: list[Load] = []
    for number in range(rng.integers(1, 4)):
        hours, pieces = float(rng.uniform(2, 16)), int(rng.integers(1, 4))
        kg, serve_h = float(rng.uniform(0.8, 8)), float(rng.integers(-4, 5)) / 2
        hold = random_hold(rng, str(rng.choice(holders)))
        items.append(
            tuple(
                option_of(
                    f"item {number}",
                    random_cook(rng, places[pit].card, hours * float(rng.uniform(0.8, 1.2))),
                    hold,
                    pit=pit,
                    pieces=pieces,
                    kg=kg,
                    m2=kg / 50,
                    serve_h=serve_h,
                )
                for pit in rng.permutation(pits).tolist()
            )
        )
    soonest = float(rng.uniform(-40, 2)) * HOUR_S if rng.random() < 0.2 else float("-inf")
    there = Resources(places, int(rng.integers(1, 3)), float(rng.choice([0.6, 0.9, 0.95, 0.99])), soonest)
    return [item[:1] for item in items], items, there
