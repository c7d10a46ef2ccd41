"""When the piece goes on: sure enough, and not too early for the hold; what a plan then says of each act.

Quantiles are worked out by hand on cooks made up for it, or checked against NumPy.
"""

import csv
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plan_cases import HOUR_S, cook_of, hold_of, option_of, random_cook, random_hold
from slowfolio.forecast.planning.acts import turn_back_s
from slowfolio.forecast.planning.arrange import Asked, seat_of, slicing_due_s
from slowfolio.forecast.planning.clock import GRID_S
from slowfolio.forecast.planning.errors import PlanInputError
from slowfolio.forecast.planning.item import LoadPlan, plan_load
from slowfolio.forecast.planning.leads import LB_KG, Meat, leads_for
from slowfolio.forecast.planning.start import (
    Fit,
    choose_start,
    early_hold_s,
    latest_start_s,
    ready_chance,
    sure_time_s,
)
from slowfolio.forecast.planning.times import NO_HOLD, ActKind, CookTimes, HoldTerms, StageTimes, at_share

TEN = [8.0, 9.0, 9.5, 10.0, 10.0, 10.5, 11.0, 11.0, 12.0, 13.0]
COOKS = st.integers(0, 2**32 - 1).map(np.random.default_rng)


def planned(times: CookTimes, hold: HoldTerms, *, confidence: float = 0.9) -> LoadPlan:
    option = option_of("piece", times, hold)
    by_s = slicing_due_s(option)
    seat = seat_of(0, option, by_s=by_s, asked=Asked(confidence, float("-inf")))
    return plan_load(
        option.work, times, hold, seat.start, start_s=seat.start_s, by_s=by_s, confidence=confidence
    )


def test_ninety_per_cent_of_ten_cooks_are_the_nine_quickest() -> None:
    assert sure_time_s(np.array(TEN), 0.9) == 12.0
    assert latest_start_s(cook_of(TEN), by_s=0.0, confidence=0.9) == -12.0 * HOUR_S
    assert ready_chance(cook_of(TEN), start_s=-12.0 * HOUR_S, by_s=0.0) == 0.9
    assert ready_chance(cook_of(TEN), start_s=-12.0 * HOUR_S + GRID_S, by_s=0.0) == 0.8


@given(st.lists(st.floats(0, 1e6), min_size=1, max_size=60), st.floats(0.01, 1.0))
def test_the_share_that_is_not_exceeded_is_that_of_numpy(values: list[float], share: float) -> None:
    array = np.array(values)
    assert np.mean(array <= at_share(array, share)) >= share - 1e-9
    rank = share * array.size
    if abs(rank - round(rank)) > 1e-6:
        assert at_share(array, share) == np.quantile(array, share, method="inverted_cdf")


def test_the_median_piece_is_held_as_long_as_the_card_wants_where_there_is_room() -> None:
    start = choose_start(cook_of(TEN), hold_of(4.0, 8.0), by_s=0.0, confidence=0.9)
    assert start.fit is Fit.BOTH
    assert start.start_s == -(10.25 + 4.0) * HOUR_S
    assert start.chance == 1.0


def test_a_short_hold_is_lengthened_until_the_piece_is_sure_to_be_ready() -> None:
    start = choose_start(cook_of(TEN), hold_of(0.5, 8.0), by_s=0.0, confidence=0.9)
    assert start.fit is Fit.BOTH
    assert start.start_s == start.latest_s == -12.0 * HOUR_S


def test_the_early_piece_is_not_held_longer_than_the_card_allows() -> None:
    times, hold = cook_of(TEN), hold_of(4.0, 4.5)
    start = choose_start(times, hold, by_s=0.0, confidence=0.9)
    assert start.start_s == start.earliest_s > start.preferred_s
    assert early_hold_s(times, start_s=start.start_s, by_s=0.0) <= 4.5 * HOUR_S


def test_where_both_limits_cannot_hold_being_ready_goes_first_and_the_trade_is_told() -> None:
    start = choose_start(cook_of(TEN), hold_of(1.0, 2.0), by_s=0.0, confidence=0.9)
    assert start.fit is Fit.TRADE
    assert start.start_s == start.latest_s
    assert start.chance >= 0.9
    assert start.instead is not None
    assert start.instead.chance < 0.9
    assert start.instead.early_hold_s <= 2.0 * HOUR_S


def test_a_rule_on_warmth_shortens_the_hold_like_the_card_does() -> None:
    rules = np.full(10, 3.0 * HOUR_S)
    hold = HoldTerms("box", "Box", 5 * HOUR_S, 8 * HOUR_S, rules_s=rules, floor_c=57.0, rule="rule")
    assert hold.longest_s == 3.0 * HOUR_S
    assert choose_start(cook_of(TEN), hold, by_s=0.0, confidence=0.9).fit is Fit.TRADE


def test_a_method_without_a_hold_has_nothing_to_hold_an_early_piece_in() -> None:
    start = choose_start(cook_of(TEN), NO_HOLD, by_s=0.0, confidence=0.9)
    assert start.fit is Fit.TRADE
    assert start.start_s == -12.0 * HOUR_S


def test_a_start_that_has_passed_is_taken_as_soon_as_it_can_be() -> None:
    start = choose_start(cook_of(TEN), hold_of(4, 8), by_s=0.0, confidence=0.9, not_before_s=-11.0 * HOUR_S)
    assert start.fit is Fit.LATE
    assert start.start_s == -11.0 * HOUR_S
    assert start.chance == 0.8


def test_a_piece_that_can_still_go_on_gives_up_hold_before_it_gives_up_chance() -> None:
    start = choose_start(cook_of(TEN), hold_of(4, 8), by_s=0.0, confidence=0.9, not_before_s=-13.0 * HOUR_S)
    assert start.fit is Fit.BOTH
    assert start.start_s == -13.0 * HOUR_S


@settings(max_examples=150, deadline=None)
@given(COOKS, st.floats(0.5, 0.999), st.floats(-1e5, 1e5))
def test_the_chance_never_grows_with_a_later_start(
    rng: np.random.Generator, confidence: float, by_s: float
) -> None:
    times = random_cook(rng, "pit", float(rng.uniform(2, 16)))
    starts = np.sort(by_s - rng.uniform(0, 24 * HOUR_S, 30))
    chances = [ready_chance(times, start_s=float(start), by_s=by_s) for start in starts]
    assert chances == sorted(chances, reverse=True)
    latest = latest_start_s(times, by_s=by_s, confidence=confidence)
    assert ready_chance(times, start_s=latest, by_s=by_s) >= confidence - 1e-9
    past = ready_chance(times, start_s=latest + GRID_S, by_s=by_s)
    assert past < confidence or ready_chance(times, start_s=latest, by_s=by_s) == past


@settings(max_examples=150, deadline=None)
@given(COOKS, st.floats(0.5, 0.99), st.floats(0.0, 0.4))
def test_more_confidence_never_starts_later(rng: np.random.Generator, confidence: float, more: float) -> None:
    times = random_cook(rng, "pit", 10.0)
    surer = min(0.999, confidence + more)
    assert latest_start_s(times, by_s=0.0, confidence=surer) <= latest_start_s(
        times, by_s=0.0, confidence=confidence
    )


# --- acts -------------------------------------------------------------------------------------------


@settings(max_examples=200, deadline=None)
@given(COOKS, st.floats(0.5, 0.99))
def test_no_act_comes_before_its_predecessor(rng: np.random.Generator, confidence: float) -> None:
    times = random_cook(rng, "pit", float(rng.uniform(1, 18)))
    acts = planned(times, random_hold(rng, "holder"), confidence=confidence).acts
    for times_of in ("at_s", "p10_s", "p90_s"):
        moments = [getattr(act, times_of) for act in acts]
        assert moments == sorted(moments), times_of
    assert all(act.p10_s <= act.at_s <= act.p90_s for act in acts)


@settings(max_examples=100, deadline=None)
@given(COOKS)
def test_work_before_the_cook_is_done_before_the_next_begins(rng: np.random.Generator) -> None:
    acts = planned(random_cook(rng, "pit", 8.0), hold_of(2, 4)).acts
    before = [act for act in acts if act.kind in {ActKind.THAW, ActKind.TRIM, ActKind.RUB, ActKind.LIGHT}]
    on = next(act for act in acts if act.kind is ActKind.ON)
    for act, after in zip(before, [*before[1:], on], strict=True):
        assert act.hands_end_s <= after.at_s


def test_every_act_from_thawing_to_serving_is_there_in_its_order() -> None:
    kinds = [act.kind for act in planned(cook_of(TEN), hold_of(4, 8)).acts]
    assert kinds == list(ActKind)


def test_windows_are_the_percentiles_of_the_simulated_cooks_to_five_minutes() -> None:
    plan = planned(cook_of(TEN), hold_of(4, 8))
    into = next(act for act in plan.acts if act.kind is ActKind.HOLD)
    low, middle, high = np.percentile(np.array(TEN) * HOUR_S, [10, 50, 90])
    assert into.p10_s - plan.start_s == pytest.approx(low, abs=GRID_S)
    assert into.at_s - plan.start_s == pytest.approx(middle, abs=GRID_S)
    assert into.p90_s - plan.start_s == pytest.approx(high, abs=GRID_S)


def test_the_latest_time_of_an_act_leaves_the_chance_to_those_that_are_slow() -> None:
    """Half the cooks wrap at 5 h and need 4 h more, half at 6 h and need 5 h more."""
    begins, ready = np.array([5.0] * 5 + [6.0] * 5) * HOUR_S, np.array([9.0] * 5 + [11.0] * 5) * HOUR_S
    assert turn_back_s(begins, ready, by_s=0.0, confidence=0.9) == -5.0 * HOUR_S


def test_a_late_piece_is_sliced_late_and_the_plan_says_so() -> None:
    times = cook_of(TEN)
    option = option_of("piece", times, hold_of(4, 8))
    by_s = slicing_due_s(option)
    seat = seat_of(0, option, by_s=by_s, asked=Asked(0.9, -8.0 * HOUR_S))
    plan = plan_load(
        option.work, times, option.hold, seat.start, start_s=seat.start_s, by_s=by_s, confidence=0.9
    )
    assert plan.start.fit is Fit.LATE
    slicing = next(act for act in plan.acts if act.kind is ActKind.SLICE)
    assert slicing.at_s > by_s
    assert plan.acts[-1].at_s >= slicing.hands_end_s
    assert plan.chance == plan.start.chance < 0.5


def test_shares_of_the_hold_count_the_cooks_past_each_limit() -> None:
    times = cook_of(TEN)
    hold = HoldTerms("h", "H", 3 * HOUR_S, 3.5 * HOUR_S, rules_s=np.array([np.inf] * 9 + [0.0]))
    outlook = planned(times, hold).hold
    held = np.maximum(planned(times, hold).by_s - planned(times, hold).start_s - times.ready_s, 0.0)
    assert outlook.share_past_card == np.mean(held > 3.5 * HOUR_S)
    assert outlook.share_past_rule == np.mean(held > hold.rules_s)
    assert outlook.held_p10_s <= outlook.held_p50_s <= outlook.held_p90_s


# --- leads and inputs -------------------------------------------------------------------------------


def test_thawing_takes_a_day_for_four_to_five_pounds() -> None:
    """USDA, The Big Thaw, as in the table of handling cautions."""
    path = Path(__file__).parent / "reference" / "handling_cautions.csv"
    lines = [line for line in path.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    figure = next(row["figure"] for row in csv.DictReader(lines) if row["topic"] == "thawing")
    assert figure == "24 h per 4-5 lb in refrigerator"
    leads = leads_for(bought_kg=20 * LB_KG, pieces=1, pit_kind="offset")
    assert leads.thaw_s.low == pytest.approx(4 * 86_400)
    assert leads.thaw_s.high == pytest.approx(5 * 86_400)


def test_a_frozen_piece_cannot_go_on_before_it_is_thawed() -> None:
    fresh, frozen = (leads_for(bought_kg=7.0, pieces=1, pit_kind="pellet", meat=meat) for meat in Meat)
    assert fresh.soonest_on_s == fresh.light_s.low
    assert frozen.soonest_on_s > frozen.thaw_s.low


def test_a_stick_fire_takes_longer_to_light_than_a_pellet_pit() -> None:
    """Common practice, no source."""
    offset, pellet = (leads_for(bought_kg=5.0, pieces=1, pit_kind=kind) for kind in ("offset", "pellet"))
    assert offset.light_s.low > pellet.light_s.high


def test_times_that_are_not_finite_or_run_backwards_are_refused() -> None:
    good = StageTimes("on", ActKind.ON, "", "pit", 120.0, np.array([3600.0, 7200.0]))
    with pytest.raises(PlanInputError, match="finite"):
        CookTimes((StageTimes("on", ActKind.ON, "", "pit", 120.0, np.array([np.nan, 1.0])),))
    with pytest.raises(PlanInputError, match="order"):
        CookTimes((good, StageTimes("wrap", ActKind.WRAP, "", "pit", 120.0, np.array([3000.0, 8000.0]))))
    with pytest.raises(PlanInputError, match="one end for each"):
        CookTimes((good, StageTimes("wrap", ActKind.WRAP, "", "pit", 120.0, np.array([9000.0]))))
    with pytest.raises(PlanInputError, match="begins by going on"):
        CookTimes(())
