"""Loads in one kitchen: fires lit once, work before the cook where hands are free, how full places get.

Turns seats (a start for each load) into plans; decides no start. Called by `service`.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from slowfolio.forecast.planning.acts import Begin, Fire
from slowfolio.forecast.planning.arrange import Asked, Seat, seat_of, slicing_due_s
from slowfolio.forecast.planning.conflicts import Claim, own_hands, peak, stays_in
from slowfolio.forecast.planning.hands import Hands
from slowfolio.forecast.planning.item import LoadPlan, plan_load
from slowfolio.forecast.planning.leads import RELIGHT_AFTER_S
from slowfolio.forecast.planning.places import Option, Place, pit_stays
from slowfolio.forecast.planning.times import ActKind

PITS_APART_K = 14.0
"""Dials further apart than 25 °F cannot be met by one fire. CALIBRATED, common practice, no source."""

TOGETHER_S = 3600.0
"""For a shorter time together it does not matter. CALIBRATED."""

PREP = frozenset({ActKind.THAW, ActKind.TRIM, ActKind.RUB, ActKind.LIGHT})


@dataclass(frozen=True, slots=True)
class Resources:
    """What there is: places by name, cooks, the chance asked for, the first time work can begin."""

    places: dict[str, Place]
    cooks: int = 1
    confidence: float = 0.95
    not_before_s: float = float("-inf")

    @property
    def asked(self) -> Asked:
        """What every load is planned by."""
        return Asked(self.confidence, self.not_before_s)


@dataclass(frozen=True, slots=True)
class Peak:
    """The most a place is asked to take at a time, beside what it takes."""

    place: Place
    kg: float
    area_m2: float


def independent(options: Sequence[Option], resources: Resources) -> tuple[LoadPlan, ...]:
    """Every load as if it were alone in the kitchen, but for a fire that burns already."""
    alone = [seat_of(0, o, by_s=slicing_due_s(o), asked=resources.asked) for o in options]
    fires = fires_of(options, [seat.start_s for seat in alone], resources.places)
    return tuple(
        plan_load(
            option.work, option.times, option.hold, seat.start, start_s=seat.start_s, by_s=seat.by_s,
            confidence=resources.confidence, fire=fire,
        )
        for option, seat, fire in zip(options, alone, fires, strict=True)
    )  # fmt: skip


def fires_of(
    options: Sequence[Option], starts: Sequence[float], places: dict[str, Place]
) -> tuple[Fire, ...]:
    """Which loads have their pit to light: the first on it, and the first after it stood empty for long."""
    fires = [Fire.TO_LIGHT] * len(options)
    hot_until: dict[str, float] = {}
    for index in sorted(range(len(options)), key=lambda i: (starts[i], i)):
        pit, start = options[index].pit, starts[index]
        if start <= hot_until.get(pit, float("-inf")) + RELIGHT_AFTER_S:
            fires[index] = Fire.BURNING
        for stay in pit_stays(options[index], places):
            hot_until[stay.place] = max(hot_until.get(stay.place, float("-inf")), start + stay.to_s)
    return tuple(fires)


def with_hands(
    options: Sequence[Option], chosen: Sequence[Seat], resources: Resources
) -> tuple[LoadPlan, ...]:
    """Plans in which the work before the cook takes the latest hands that are free."""
    fires = fires_of(options, [seat.start_s for seat in chosen], resources.places)
    hands = Hands(resources.cooks)
    bare = [
        plan_load(
            option.work, option.times, option.hold, seat.start, start_s=seat.start_s, by_s=seat.by_s,
            confidence=resources.confidence, fire=fire,
        )
        for option, seat, fire in zip(options, chosen, fires, strict=True)
    ]  # fmt: skip
    for plan in bare:
        for claim in own_hands(replace(plan, acts=tuple(a for a in plan.acts if a.kind not in PREP))):
            hands.take(claim.from_s, claim.to_s)
    plans: dict[int, LoadPlan] = {}
    for index in sorted(range(len(bare)), key=lambda i: (bare[i].start_s, i)):
        option, seat = options[index], chosen[index]
        plans[index] = plan_load(
            option.work, option.times, option.hold, seat.start, start_s=seat.start_s, by_s=seat.by_s,
            confidence=resources.confidence, fire=fires[index], begin=latest_free(hands),
        )  # fmt: skip
    return tuple(plans[index] for index in range(len(bare)))


def latest_free(hands: Hands) -> Begin:
    """A rule that puts an act where hands are free, as late as it may be, and takes them."""

    def begin(end_s: float, hands_s: float) -> float:
        at_s = hands.latest_free(end_s, hands_s)
        hands.take(at_s, at_s + hands_s)
        return at_s

    return begin


def peaks_of(
    plans: Sequence[LoadPlan], options: Sequence[Option], places: dict[str, Place]
) -> tuple[Peak, ...]:
    """How full each place that is used gets."""
    peaks: list[Peak] = []
    for place in places.values():
        stays = stays_in(place, plans, options, places)
        if stays:
            weights = [Claim(name, stay.from_s, stay.to_s, stay.kg) for name, stay in stays]
            areas = [Claim(name, stay.from_s, stay.to_s, stay.area_m2) for name, stay in stays]
            peaks.append(Peak(place, peak(weights), peak(areas)))
    return tuple(peaks)


def fire_notes(plans: Sequence[LoadPlan], options: Sequence[Option]) -> tuple[str, ...]:
    """Loads that ask one fire for two temperatures for an hour and more."""
    spans = [
        (plan.work, option.pit, *span)
        for plan, option in zip(plans, options, strict=True)
        for span in pit_spans(plan, option)
    ]
    notes: list[str] = []
    for (work, pit, begin, end, temp_c), (other, its_pit, its_begin, its_end, its_c) in combinations(
        spans, 2
    ):
        together_s = min(end, its_end) - max(begin, its_begin)
        if work.name == other.name or pit != its_pit or together_s < TOGETHER_S:
            continue
        if abs(temp_c - its_c) > PITS_APART_K:
            notes.append(
                f"{work.name} and {other.name} lie on the {work.pit_title.lower()} together but ask for "
                f"{temp_c:.0f} and {its_c:.0f} °C; run it between, and expect one later and one sooner"
            )
    return tuple(dict.fromkeys(notes))


def pit_spans(plan: LoadPlan, option: Option) -> list[tuple[float, float, float]]:
    """When each stage on the option's own pit lies, planned, with its temperature."""
    on_pit = [a for a in plan.acts if a.kind in {ActKind.ON, ActKind.STAGE, ActKind.WRAP, ActKind.PULL}]
    own = option.times.on_pit[0].pit
    return [
        (act.at_s, after.at_s, stage.pit_temp_c)
        for act, after, stage in zip(on_pit, on_pit[1:], option.times.on_pit, strict=False)
        if stage.pit == own
    ]
