"""Several items on shared pits, holders and hands: conflicts told, the least change found, limits kept."""

import itertools
from collections import Counter
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plan_cases import HOUR_S, cook_of, hold_of, kitchen, option_of, random_service
from slowfolio.forecast.planning.changes import ChangeKind
from slowfolio.forecast.planning.conflicts import ConflictKind, conflicts_of
from slowfolio.forecast.planning.errors import PlanInputError
from slowfolio.forecast.planning.hands import Hands
from slowfolio.forecast.planning.kitchen import Resources
from slowfolio.forecast.planning.places import Place, PlaceKind
from slowfolio.forecast.planning.search import Candidate, Problem, Use, least_change, taken
from slowfolio.forecast.planning.service import ServicePlan, plan_service
from slowfolio.forecast.planning.times import NO_HOLD, ActKind

TEN = [8.0, 9.0, 9.5, 10.0, 10.0, 10.5, 11.0, 11.0, 12.0, 13.0]
QUICK = [4.0, 4.2, 4.4, 4.5, 4.5, 4.6, 4.8, 5.0, 5.2, 5.4]


def left_over(plan: ServicePlan, there: Resources) -> tuple[object, ...]:
    return conflicts_of(plan.loads, plan.options, there.places, cooks=there.cooks)


# --- by hand ----------------------------------------------------------------------------------------


def test_one_item_alone_is_in_nobody_s_way() -> None:
    plan = plan_service([(option_of("brisket", cook_of(TEN), hold_of(4, 8)),)], kitchen())
    assert plan.resolved
    assert not plan.conflicts
    assert not plan.changes
    assert plan.least


def test_two_alike_are_moved_apart_by_no_more_than_it_takes_to_carry_one() -> None:
    """Same acts at the same times: one cook puts one on after the other, and slices one after the other.

    The longest act of the cook is the wrap, 10 min, so one start moves by 10 min; no less keeps hands apart.
    """
    items = [(option_of(name, cook_of(TEN), hold_of(4, 8)),) for name in ("one", "two")]
    plan = plan_service(items, kitchen())
    assert plan.resolved
    assert plan.least
    assert any(conflict.kind is ConflictKind.HANDS for conflict in plan.conflicts)
    starts = [change for change in plan.changes if change.kind is ChangeKind.START]
    assert [abs(change.to_s - change.from_s) for change in starts] == [600.0]
    sliced = [change for change in plan.changes if change.what == "Slice"]
    assert [change.to_s - change.from_s for change in sliced] == [-1500.0]
    assert not left_over(plan, kitchen())


def test_a_second_pair_of_hands_leaves_every_start_where_it_was() -> None:
    items = [(option_of(name, cook_of(TEN), hold_of(4, 8)),) for name in ("one", "two")]
    plan = plan_service(items, kitchen(cooks=2))
    assert plan.resolved
    assert not plan.changes


def test_a_full_pit_is_used_in_turn_where_the_hold_is_long_enough() -> None:
    """The pit takes one load; each is on it for five hours at most, and the hold lasts twelve."""
    small = kitchen(load_kg=7.0, cooks=2)
    items = [(option_of(name, cook_of(QUICK), hold_of(1, 12)),) for name in ("one", "two")]
    plan = plan_service(items, small)
    assert plan.resolved
    assert {conflict.kind for conflict in plan.conflicts} == {ConflictKind.LOAD}
    first, second = sorted(load.start_s for load in plan.loads)
    assert second - first >= 4.0 * HOUR_S
    assert not left_over(plan, small)


def test_where_the_pit_is_full_and_time_too_short_the_piece_goes_to_the_other_pit() -> None:
    there = kitchen(load_kg=7.0, cooks=2)
    places = there.places | {"second": Place("second", "other-card", PlaceKind.PIT, "Second", 20.0, 0.5)}
    there = replace(there, places=places)
    items = [(option_of(name, cook_of(TEN), hold_of(4, 5)),) for name in ("one", "two")]

    def elsewhere() -> list[tuple[object, ...]]:
        second = [
            option_of(n, cook_of(TEN, pit="other-card"), hold_of(4, 5), pit="second") for n in ("one", "two")
        ]
        return [(*own, other) for own, other in zip(items, second, strict=True)]

    plan = plan_service(items, there, elsewhere=elsewhere)  # type: ignore[arg-type]
    assert plan.resolved
    assert sorted(option.pit for option in plan.options) == ["pit", "second"]
    moved = [change for change in plan.changes if change.kind is ChangeKind.PIT]
    assert [change.to_pit for change in moved] == ["Second"]


def test_where_nothing_helps_the_reason_names_what_would() -> None:
    small = kitchen(load_kg=7.0, cooks=2)
    items = [(option_of(name, cook_of(TEN), hold_of(1, 5)),) for name in ("one", "two")]
    plan = plan_service(items, small)
    assert not plan.resolved
    assert "the pits are too small" in plan.reason
    assert plan.conflicts


def test_a_holder_that_is_too_small_is_named() -> None:
    items = [(option_of(name, cook_of(TEN), hold_of(4, 8)),) for name in ("one", "two")]
    plan = plan_service(items, kitchen(held_kg=5.0, cooks=2))
    assert "the holders are too small" in plan.reason


def test_more_to_slice_than_one_cook_can_is_said_with_the_cooks_it_takes() -> None:
    items = [(option_of(str(number), cook_of(TEN), hold_of(4, 8)),) for number in range(4)]
    plan = plan_service(items, kitchen())
    assert "1 cook cannot slice all of it" in plan.reason
    assert "it takes 2" in plan.reason


def test_serving_times_apart_let_one_cook_slice() -> None:
    items = [
        (option_of(str(number), cook_of(TEN), hold_of(4, 8), serve_h=number / 2),) for number in range(4)
    ]
    assert plan_service(items, kitchen(load_kg=80.0)).resolved


def test_a_piece_that_no_pit_takes_is_said_to_be_too_large() -> None:
    plan = plan_service([(option_of("ox", cook_of(TEN), hold_of(4, 8), kg=70.0),)], kitchen())
    assert "one piece of ox (70.0 kg" in plan.reason


def test_more_pieces_than_the_pit_takes_go_in_loads() -> None:
    item = (option_of("ribs", cook_of(QUICK), hold_of(1, 14), pieces=5, kg=2.0, m2=0.2),)
    there = kitchen(cooks=2)
    plan = plan_service([item], there)
    assert plan.resolved
    assert [load.work.pieces for load in plan.loads] == [3, 2]
    assert plan.changes[0].kind is ChangeKind.SPLIT
    assert not left_over(plan, there)


def test_only_the_first_load_of_a_dish_is_sliced_before_serving() -> None:
    item = (option_of("ribs", cook_of(QUICK), hold_of(1, 14), pieces=5, kg=2.0, m2=0.2),)
    slicing = [
        next(act for act in load.acts if act.kind is ActKind.SLICE)
        for load in plan_service([item], kitchen(cooks=2)).loads
    ]
    assert slicing[0].hands_s > 0
    assert slicing[1].hands_s == 0


def test_a_pit_that_burns_already_is_not_lit_again() -> None:
    items = [(option_of(name, cook_of(TEN), hold_of(4, 8)),) for name in ("one", "two")]
    plan = plan_service(items, kitchen(cooks=2))
    lit = [act for load in plan.loads for act in load.acts if act.kind is ActKind.LIGHT]
    assert len(lit) == 1


def test_one_fire_asked_for_two_temperatures_is_told() -> None:
    hot = cook_of(TEN)
    hot = replace(hot, stages=tuple(replace(stage, pit_temp_c=160.0) for stage in hot.stages))
    items = [(option_of("one", cook_of(TEN), hold_of(4, 8)),), (option_of("two", hot, hold_of(4, 8)),)]
    plan = plan_service(items, kitchen(cooks=2))
    assert any("120 and 160 °C" in note for note in plan.notes)


@pytest.mark.parametrize(
    ("items", "there", "message"),
    [
        ([], kitchen(), "at least one item"),
        ([(option_of("one", cook_of(TEN)),)], kitchen(cooks=0), "at least one cook"),
        ([(option_of("one", cook_of(TEN)),)], kitchen(confidence=1.0), "confidence"),
        ([(option_of("one", cook_of(TEN), pit="moon"),)], kitchen(), "moon"),
    ],
)
def test_what_is_no_service_is_refused(items: list[tuple[object]], there: Resources, message: str) -> None:
    with pytest.raises(PlanInputError, match=message):
        plan_service(items, there)  # type: ignore[arg-type]


def test_a_piece_without_weight_is_refused() -> None:
    with pytest.raises(PlanInputError, match="weight"):
        option_of("air", cook_of(TEN), kg=0.0)


# --- the search against brute force -----------------------------------------------------------------


def fits(problem: Problem, chosen: tuple[Candidate, ...]) -> bool:
    """Whether a choice keeps to hands, room and the order of twins, counted slot by slot."""
    for slot in range(problem.slots):
        cooks = len(problem.busy)
        used = sum(mask >> slot & 1 for mask in problem.busy)
        used += sum(candidate.hands >> slot & 1 for candidate in chosen)
        if used > cooks and any(candidate.hands >> slot & 1 for candidate in chosen):
            return False
        for place in range(len(problem.milligrams)):
            here = [
                use for c in chosen for use in c.uses if use.place == place and use.first <= slot < use.past
            ]
            if sum(use.milligrams for use in here) > problem.milligrams[place]:
                return False
            if sum(use.area_mm2 for use in here) > problem.area_mm2[place]:
                return False
    for load, twin in enumerate(problem.twins):
        alike = twin is not None and chosen[twin].option == chosen[load].option
        if alike and twin is not None and chosen[twin].slot > chosen[load].slot:
            return False
    return True


@st.composite
def problems(draw: st.DrawFn) -> Problem:
    slots = draw(st.integers(4, 14))
    places = draw(st.integers(1, 2))

    def candidate(cost: int) -> Candidate:
        uses = []
        for place in range(places):
            first = draw(st.integers(0, slots - 1))
            past = draw(st.integers(first, slots))
            uses.append(Use(place, first, past, draw(st.integers(0, 6)), draw(st.integers(0, 6))))
        return Candidate(
            draw(st.integers(0, 1)), draw(st.integers(0, slots)), cost, draw(st.integers(0, 2**slots - 1))
            & draw(st.integers(0, 2**slots - 1)), tuple(uses),
        )  # fmt: skip

    loads = []
    for _ in range(draw(st.integers(1, 4))):
        costs = sorted(draw(st.lists(st.integers(0, 9), min_size=1, max_size=5)))
        loads.append(tuple(candidate(cost) for cost in costs))
    cooks = draw(st.integers(1, 2))
    busy = taken((0,) * cooks, draw(st.integers(0, 2**slots - 1)) & draw(st.integers(0, 2**slots - 1)))
    return Problem(
        tuple(loads), (draw(st.integers(3, 9)),) * places, (draw(st.integers(3, 9)),) * places, slots, busy,
        tuple(None for _ in loads),
    )  # fmt: skip


@settings(max_examples=400, deadline=None)
@given(problems())
def test_the_search_finds_what_trying_everything_finds(problem: Problem) -> None:
    everything = [chosen for chosen in itertools.product(*problem.loads) if fits(problem, chosen)]
    found = least_change(problem)
    assert found.complete
    if not everything:
        assert found.chosen is None
        return
    assert found.chosen is not None
    assert fits(problem, found.chosen)
    least = min(sum(candidate.cost for candidate in chosen) for chosen in everything)
    assert sum(candidate.cost for candidate in found.chosen) == least


@settings(max_examples=100, deadline=None)
@given(problems())
def test_the_search_always_gives_the_same_answer_and_stops_when_told(problem: Problem) -> None:
    assert least_change(problem) == least_change(problem)
    assert least_change(problem, 3).tries <= 3


def test_twins_keep_their_order_and_lose_nothing() -> None:
    """Two loads exactly alike with room for one: the best is the same with and without their order kept."""
    candidates = tuple(
        Candidate(0, slot, abs(slot - 3), 0, (Use(0, slot, slot + 3, 5, 0),))
        for slot in (3, 2, 4, 1, 5, 0, 6)
    )
    free = Problem((candidates, candidates), (5,), (9,), 10, (0,), (None, None))
    kept = replace(free, twins=(None, 0))
    costs = []
    for problem in (free, kept):
        chosen = least_change(problem).chosen
        assert chosen is not None
        costs.append(sum(candidate.cost for candidate in chosen))
    assert costs[0] == costs[1] == 3


@given(st.lists(st.tuples(st.integers(-50, -1), st.integers(1, 6)), max_size=20), st.integers(1, 3))
def test_hands_count_how_many_are_taken(acts: list[tuple[int, int]], cooks: int) -> None:
    hands = Hands(cooks)
    slots: Counter[int] = Counter()
    for begin, length in acts:
        hands.take(begin * 300.0, (begin + length) * 300.0)
        slots.update(range(begin, begin + length))
    for slot in range(-60, 10):
        assert hands.free(slot * 300.0, (slot + 1) * 300.0) == (slots[slot] < cooks)
    at_s = hands.latest_free(0.0, 600.0)
    assert hands.free(at_s, at_s + 600.0)
    assert at_s <= -600.0


# --- random services --------------------------------------------------------------------------------

SERVICES, LOOKS = 10_000, 300


@pytest.mark.slow
def test_ten_thousand_random_services_give_a_plan_or_a_clear_reason() -> None:
    """No act before its predecessor, no place fuller than it takes, no hands in two places; else a reason."""
    outcomes: Counter[str] = Counter()
    for seed in range(SERVICES):
        own, everywhere, there = random_service(seed)
        plan = plan_service(own, there, elsewhere=lambda everywhere=everywhere: everywhere, tries=LOOKS)
        for load in plan.loads:
            for name in ("at_s", "p10_s", "p90_s"):
                moments = [getattr(act, name) for act in load.acts]
                assert moments == sorted(moments), (seed, name)
            assert 0.0 <= load.chance <= 1.0
        if plan.resolved:
            assert not left_over(plan, there), seed
            wanted, got = (
                sum(option.work.pieces for option in options)
                for options in ([load[0] for load in own], plan.options)
            )
            assert wanted == got, seed
            outcomes["changed" if plan.changes else "as it was"] += 1
        else:
            assert len(plan.reason) > 30, seed
            outcomes["no plan"] += 1
    # The services are made so that every outcome is common; else the test would show nothing.
    assert min(outcomes.values()) > SERVICES / 20
    assert len(outcomes) == 3


@settings(max_examples=60, deadline=None)
@given(st.integers(10_000, 2**31))
def test_a_plan_is_the_same_every_time(seed: int) -> None:
    own, everywhere, there = random_service(seed)
    plans = [plan_service(own, there, elsewhere=lambda: everywhere, tries=200) for _ in range(2)]
    assert [load.start_s for load in plans[0].loads] == [load.start_s for load in plans[1].loads]
    assert plans[0].reason == plans[1].reason


def test_a_method_without_a_hold_is_planned_too() -> None:
    plan = plan_service([(option_of("steak", cook_of([1.0, 1.1, 1.2]), NO_HOLD),)], kitchen())
    assert plan.resolved
    assert not any(act.kind is ActKind.HOLD for act in plan.loads[0].acts)


def test_starts_lie_on_the_grid_whatever_the_numbers() -> None:
    times = cook_of(list(np.linspace(7.123, 9.876, 17)))
    plan = plan_service([(option_of("odd", times, hold_of(3.33, 7.77)),)], kitchen())
    assert all(act.at_s % 300 == 0 for act in plan.loads[0].acts)
