"""Verdicts on a whole cook and its hold: what is met, what is refused, and the words it is told in."""

import ast
import dataclasses
import re
from itertools import chain
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import slowfolio.safety
from safety_cases import HOUR, brisket, straight
from slowfolio.safety.assess import Course, assess_cook, come_up_verdicts, course
from slowfolio.safety.cautions import cautions
from slowfolio.safety.chilling import whole
from slowfolio.safety.cooking import OvenKind, cooked_by_chart, oven_table_met
from slowfolio.safety.cooling import outlook, ways_to_meet, yardstick
from slowfolio.safety.history import SafetyInputError
from slowfolio.safety.piece import Form, Integrity, Piece, Species, species_of
from slowfolio.safety.profiles import PROFILES, profile
from slowfolio.safety.reheat import assess_reheat
from slowfolio.safety.thermometer import boiling_check, ice_check
from slowfolio.safety.verdict import (
    DEFERENCE,
    Level,
    Met,
    Topic,
    Unit,
    Verdict,
    duration_text,
    level_of,
    rendered,
    report,
    temperature_text,
    worst_level,
)

BRISKET = Piece(Species.BEEF, 6.0)
TURKEY = Piece(Species.TURKEY, 3.0, Form.CUT, fat_pct=2.0)
FORBIDDEN = re.compile(r"\b(un)?safe(r|st|ly)?\b", re.IGNORECASE)


def steady_cook(cook_c, hours, hold_c=None, hold_h=0.0, members=3):
    """Two hours up from 30 °C, `hours` at `cook_c`, then a hold; surface, core and coldest point alike."""
    legs = [(0, 30.0), (2, cook_c), (hours, cook_c)]
    if hold_c is not None:
        legs += [(0.1, hold_c), (hold_h, hold_c)]
    time, temp = straight(*legs)
    temps = np.tile(temp, (members, 1))
    start = None if hold_c is None else (2 + hours + 0.1) * HOUR
    return course(time, core_c=temps, coldest_c=temps, surface_c=temps, hold_start_s=start)


def of(verdicts, topic, fragment=""):
    return next(item for item in verdicts if item.topic is topic and fragment in item.rule)


# --- a good cook -------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", PROFILES)
def test_a_hot_brisket_held_at_65_c_meets_every_rule(name):
    verdicts = assess_cook(profile(name), BRISKET, brisket(), oven_c=121.2)
    assert worst_level(verdicts) is Level.GREEN
    assert {item.topic for item in verdicts} >= {Topic.COOKING, Topic.COME_UP, Topic.HOT_HOLD, Topic.GROWTH}
    assert not any(item.met is Met.NOT_MET for item in verdicts)


def test_a_cook_without_a_hold_has_no_verdict_on_holding():
    verdicts = assess_cook(profile("uk"), BRISKET, steady_cook(95.0, 6))
    assert {Topic.HOT_HOLD, Topic.GROWTH}.isdisjoint(item.topic for item in verdicts)


def test_brisket_in_a_low_dry_pit_is_told_of_the_guidelines_gap():
    low = of(assess_cook(profile("us-retail"), BRISKET, brisket(), oven_c=107.0), Topic.HUMIDITY)
    assert (low.met, low.level) == (Met.ADVISORY, Level.GREEN)
    assert "scientific gap" in low.explanation
    hot = of(assess_cook(profile("us-retail"), BRISKET, brisket(), oven_c=121.2), Topic.HUMIDITY)
    assert hot.met is Met.NOT_APPLICABLE
    light = of(
        assess_cook(profile("us-retail"), Piece(Species.BEEF, 3.0), brisket(), oven_c=121.2), Topic.HUMIDITY
    )
    assert light.met is Met.ADVISORY


# --- unsafe in different ways ------------------------------------------------------------------------

BAD_COOKS = {
    "hold below the floor": ("us-retail", BRISKET, brisket(hold_c=55.5), Topic.HOT_HOLD, "57 °C (135 °F)"),
    "hold below the consumer floor": (
        "us-consumer",
        BRISKET,
        brisket(hold_c=58.5),
        Topic.HOT_HOLD,
        "60 °C (140 °F)",
    ),
    "hold below the UK floor": ("uk", BRISKET, brisket(hold_c=62.0), Topic.HOT_HOLD, "63 °C (145.4 °F)"),
    "hold below the German advice": ("eu", BRISKET, brisket(hold_c=59.0), Topic.HOT_HOLD, "60 °C"),
    "hold below the Canadian floor": ("canada", BRISKET, brisket(hold_c=57.0), Topic.HOT_HOLD, "60 °C"),
    "hold below the Australian floor": ("australia", BRISKET, brisket(hold_c=57.0), Topic.HOT_HOLD, "60 °C"),
    "hold where spores grow": ("us-retail", BRISKET, brisket(hold_c=50.0), Topic.HOT_HOLD, "57 °C"),
    "roast pulled raw": ("us-retail", BRISKET, steady_cook(53.0, 3), Topic.COOKING, "roast chart"),
    "roast with too short a dwell": (
        "us-retail",
        BRISKET,
        steady_cook(56.2, 0.3),
        Topic.COOKING,
        "roast chart",
    ),
    "poultry below 74 °C": ("us-retail", TURKEY, steady_cook(72.0, 4), Topic.COOKING, "74 °C (165 °F)"),
    "poultry below 165 °F at home": ("us-consumer", TURKEY, steady_cook(71.0, 4), Topic.COOKING, "73.9 °C"),
    "poultry table not met": ("canada", TURKEY, steady_cook(57.8, 0.5), Topic.COOKING, "7 log"),
    "UK process not met": ("uk", BRISKET, steady_cook(58.0, 0.5), Topic.COOKING, "70 °C (158 °F) for 2 min"),
    "ground meat below 160 °F at home": (
        "us-consumer",
        Piece(Species.BEEF, 1.0, Form.CUT, Integrity.GROUND),
        steady_cook(69.0, 1),
        Topic.COOKING,
        "71.1 °C (160 °F)",
    ),
    "injected cut with a short dwell": (
        "us-retail",
        Piece(Species.PORK, 1.0, Form.CUT, Integrity.OPENED),
        steady_cook(62.9, 3),
        Topic.COOKING,
        "63 °C (145 °F) for 3 min or",
    ),
    "game below 74 °C": (
        "us-retail",
        Piece(Species.VENISON, 2.0),
        steady_cook(70.0, 4),
        Topic.COOKING,
        "74 °C",
    ),
    "surface too long in the range": ("us-retail", BRISKET, brisket(tau_h=40.0), Topic.COME_UP, "6 h"),
    "opened piece with a slow core": (
        "us-retail",
        Piece(Species.BEEF, 6.0, integrity=Integrity.OPENED),
        brisket(tau_h=12.0),
        Topic.COME_UP,
        "6 h",
    ),
}


@pytest.mark.parametrize("case", BAD_COOKS.values(), ids=BAD_COOKS)
def test_a_bad_cook_is_refused_with_rule_and_figure(case):
    name, piece, cook, topic, limit = case
    verdicts = assess_cook(profile(name), piece, cook, oven_c=107.0)
    red = [item for item in verdicts if item.level is Level.RED]
    assert topic in {item.topic for item in red}
    told = next(item for item in red if item.topic is topic and limit in item.limit_text)
    assert told.met is Met.NOT_MET
    assert told.probability == pytest.approx(0.0, abs=0.2)
    assert told.what_to_do
    assert re.search(r"\d", told.figure)
    assert told.citation.section


def test_intact_brisket_with_a_slow_core_is_amber_with_the_gap_stated():
    surface, core = come_up_verdicts(BRISKET, brisket(tau_h=12.0))
    assert (surface.met, surface.level) == (Met.MET, Level.GREEN)
    assert (core.met, core.level) == (Met.ADVISORY, Level.AMBER)
    assert "scientific gap" in core.explanation
    assert "toxin" in core.explanation


def test_a_long_hold_at_58_c_is_amber_although_the_us_floor_is_met():
    verdicts = assess_cook(profile("us-retail"), BRISKET, brisket(hold_c=58.0), oven_c=121.2)
    floor = of(verdicts, Topic.HOT_HOLD, "floor")
    bands = of(verdicts, Topic.HOT_HOLD, "hours")
    assert (floor.met, floor.level) == (Met.MET, Level.GREEN)
    assert (bands.met, bands.level) == (Met.NOT_MET, Level.AMBER)
    assert worst_level(verdicts) is Level.AMBER


def test_growth_is_only_ever_advisory():
    for hold in (45.0, 52.0, 65.0):
        verdicts = assess_cook(profile("us-retail"), BRISKET, brisket(hold_c=hold), oven_c=121.2)
        growth = of(verdicts, Topic.GROWTH)
        assert growth.met is Met.ADVISORY
        assert growth.level is not Level.RED
        assert growth.probability is None


def test_the_hold_does_not_make_up_for_a_short_cook():
    """56 °C for minutes, then ten hours at 60 °C: the cook itself never met the chart."""
    verdicts = assess_cook(profile("us-retail"), BRISKET, steady_cook(56.0, 0.1, hold_c=60.5, hold_h=10.0))
    assert of(verdicts, Topic.COOKING, "whole-meat roast").level is Level.RED


def test_only_a_roast_cooked_by_oven_table_and_chart_may_be_held_at_54_c():
    """Food Code 3-401.11(B) and 3-501.16(A)(1)."""

    def floor_level(**kwargs):
        cook = steady_cook(63.0, 2, hold_c=55.0, hold_h=3.0)
        piece = kwargs.pop("piece", BRISKET)
        return of(assess_cook(profile("us-retail"), piece, cook, **kwargs), Topic.HOT_HOLD, "floor").level

    assert floor_level(oven_c=121.2) is Level.GREEN
    assert floor_level(oven_c=107.0) is Level.AMBER
    assert floor_level() is Level.AMBER
    assert floor_level(oven_c=121.2, piece=Piece(Species.BEEF, 4.0)) is Level.AMBER


@pytest.mark.parametrize(
    ("oven", "mass_kg", "oven_c", "met"),
    [
        (OvenKind.STILL_DRY, 4.6, 121.2, True),
        (OvenKind.STILL_DRY, 4.6, 120.0, False),
        (OvenKind.STILL_DRY, 4.0, 176.0, False),
        (OvenKind.STILL_DRY, 4.0, 177.0, True),
        (OvenKind.CONVECTION, 4.0, 163.0, True),
        (OvenKind.CONVECTION, 4.0, 162.0, False),
        (OvenKind.HIGH_HUMIDITY, 4.0, 100.0, True),
        (OvenKind.HIGH_HUMIDITY, 9.0, 125.0, False),
    ],
)
def test_oven_table_of_the_food_code(oven, mass_kg, oven_c, met):
    """Food Code 3-401.11(B)(1): 350 / 325 / 250 °F, by weight below and from 10 lb."""
    assert oven_table_met(Piece(Species.BEEF, mass_kg), oven=oven, oven_c=oven_c) is met


def test_birds_and_cuts_are_never_cooked_by_the_roast_chart():
    time, temp = np.array([0.0, 1e5]), np.array([[65.0, 65.0]])
    for piece in (TURKEY, Piece(Species.PORK, 2.0, Form.CUT)):
        assert not cooked_by_chart(piece, time, temp, oven=OvenKind.STILL_DRY, oven_c=200.0).any()
    assert cooked_by_chart(BRISKET, time, temp, oven=OvenKind.STILL_DRY, oven_c=121.2).all()


# --- the ensemble ------------------------------------------------------------------------------------


def test_the_probability_is_the_share_of_members_that_meet_the_rule():
    time, temp = straight((0, 30.0), (2, 95.0), (4, 95.0))
    temps = np.tile(temp, (10, 1))
    held = np.concatenate([temps, np.full((10, 2), 65.0)], axis=1)
    held[:3, -1] = 50.0
    time = [*time, time[-1] + HOUR, time[-1] + 11 * HOUR]
    cook = course(time, core_c=held, coldest_c=held, surface_c=held, hold_start_s=time[-2])
    floor = of(assess_cook(profile("eu"), BRISKET, cook), Topic.HOT_HOLD, "floor")
    assert floor.probability == pytest.approx(0.7)
    assert floor.level is Level.RED
    assert "Met in 70 % of 10 computed runs." in rendered(floor)


def test_each_member_may_start_its_hold_at_its_own_time():
    cook = brisket(members=4)
    starts = np.array([13.9, 14.0, 15.0, 20.0]) * HOUR
    own = dataclasses.replace(cook, hold_start_s=starts)
    floor = of(assess_cook(profile("uk"), BRISKET, own, oven_c=121.2), Topic.HOT_HOLD, "floor")
    assert floor.level is Level.GREEN


@pytest.mark.parametrize(
    ("share", "level"),
    [
        (1.0, Level.GREEN),
        (0.95, Level.GREEN),
        (0.94, Level.AMBER),
        (0.8, Level.AMBER),
        (0.79, Level.RED),
        (0.0, Level.RED),
    ],
)
def test_levels_follow_the_share(share, level):
    assert level_of(share) is level


@settings(max_examples=25, deadline=None)
@given(st.sampled_from(sorted(PROFILES)), st.floats(45.0, 70.0), st.floats(0.0, 4.0))
def test_a_warmer_hold_never_gets_a_worse_verdict(name, hold, warmer):
    order = list(Level)
    worst = [
        max(
            order.index(item.level)
            for item in assess_cook(profile(name), BRISKET, brisket(hold_c=temp, members=5), oven_c=107.0)
            if item.topic is Topic.HOT_HOLD
        )
        for temp in (hold, hold + warmer)
    ]
    assert worst[1] <= worst[0]


# --- the words ---------------------------------------------------------------------------------------


def every_verdict():
    bad = [
        assess_cook(profile(name), piece, cook, oven_c=oven_c)
        for name, piece, cook, _, _ in BAD_COOKS.values()
        for oven_c in (None, 107.0, 121.2)
    ]
    good = [assess_cook(item, BRISKET, brisket()) for item in PROFILES.values()]
    brick = whole(length_m=0.4, width_m=0.28, thickness_m=0.085)
    cooled = [
        case.verdicts for item in PROFILES.values() for case in outlook(item, BRISKET, brick, start_c=65.0)
    ]
    reheated = [
        assess_reheat(item, BRISKET, *straight((0, 4.0), (2.5, temp), (0.1, temp)))
        for item in PROFILES.values()
        for temp in (55.0, 80.0)
    ]
    return list(chain.from_iterable(bad + good + cooled + reheated))


@pytest.fixture(scope="module")
def verdicts() -> list[Verdict]:
    return every_verdict()


def test_no_rendered_text_calls_anything_safe(verdicts):
    texts = [text for item in verdicts for text in report([item])]
    texts += [item.text for item in cautions()]
    texts += [ice_check(2.0).text, boiling_check(98.7, 0.0).text]
    brick = whole(length_m=0.4, width_m=0.28, thickness_m=0.085)
    texts += [
        way.text for item in PROFILES.values() for way in ways_to_meet(yardstick(item), brick, start_c=65.0)
    ]
    assert len(texts) > 500
    assert [text for text in texts if FORBIDDEN.search(text)] == []


def test_no_string_of_the_package_calls_anything_safe():
    package = Path(slowfolio.safety.__file__).parent
    for path in sorted(package.glob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                assert not FORBIDDEN.search(node.value), f"{path.name}:{node.lineno}"


def test_every_report_ends_with_deference_to_local_code(verdicts):
    assert report(verdicts[:3])[-1] == DEFERENCE
    assert report([]) == (DEFERENCE,)
    assert "local code" in DEFERENCE
    assert "licensed" in DEFERENCE


def test_every_verdict_names_rule_authority_edition_and_figure(verdicts):
    for item in verdicts:
        text = rendered(item)
        assert item.authority in text
        assert item.edition in text
        assert item.rule in text
        assert re.search(r"\d|never|not known", item.figure)
        assert "nan" not in text
        assert "inf" not in re.sub(r"inf[a-z]+", "", text)
        if item.level is not Level.GREEN and item.topic is not Topic.GROWTH and "growth" not in item.rule:
            assert item.what_to_do, item.rule


def test_no_figure_is_nan_or_infinite(verdicts):
    for item in verdicts:
        for value in (item.value, item.low, item.high, item.limit, item.probability):
            assert value is None or np.isfinite(value)


def test_a_rule_that_is_met_is_never_red_and_a_missed_one_never_green(verdicts):
    for item in verdicts:
        if item.met is Met.MET:
            assert item.level is Level.GREEN
        if item.met is Met.NOT_MET:
            assert item.level is not Level.GREEN
        if item.met is Met.ADVISORY:
            assert item.level is not Level.RED


def test_temperatures_are_rounded_down_and_durations_up():
    assert temperature_text(59.96) == "59.9 °C (139.9 °F)"
    assert temperature_text(60.0) == "60.0 °C (140.0 °F)"
    assert duration_text(6 * HOUR) == "6 h"
    assert duration_text(6 * HOUR + 1) == "6 h 1 min"
    assert duration_text(45.2) == "46 s"
    assert duration_text(-1e-9) == "0 s"


def test_a_doubt_is_not_rounded_away():
    item = assess_cook(profile("eu"), BRISKET, brisket())[0]
    nearly = dataclasses.replace(item, probability=0.999, members=1000)
    assert "Met in 99 % of 1000" in rendered(nearly)


def test_units_of_value_and_limit_agree(verdicts):
    for item in verdicts:
        if item.unit is Unit.CELSIUS and item.value is not None:
            assert -60 <= item.value <= 400
        if item.unit is Unit.LOG_GROWTH:
            assert item.limit is None


# --- bad input ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"core_c": [[1.0, 2.0]]}, "same number of members"),
        ({"coldest_c": [[1.0, 2.0, 3.0]] * 2}, "coldest point: .* for 2 times"),
        ({"surface_c": [[1.0, float("inf")]] * 2}, "surface temperature: a value is missing"),
        ({"hold_end_s": 50.0}, "the hold has an end but no start"),
        ({"hold_start_s": [1.0, 2.0, 3.0]}, "one for each of the 2 members"),
    ],
)
def test_broken_courses_are_refused(change, message):
    arrays = {name: [[4.0, 70.0]] * 2 for name in ("core_c", "coldest_c", "surface_c")} | change
    with pytest.raises(SafetyInputError, match=message):
        course([0.0, 100.0], **arrays)


@pytest.mark.parametrize(
    ("kwargs", "message"),
    [
        ({"oven_c": 900.0}, "oven temperature is 900 °C"),
        ({"room_c": float("nan")}, "room temperature is nan"),
    ],
)
def test_impossible_surroundings_are_refused(kwargs, message):
    with pytest.raises(SafetyInputError, match=message):
        assess_cook(profile("uk"), BRISKET, brisket(members=2), **kwargs)


def test_a_hold_outside_the_course_is_refused():
    late = dataclasses.replace(brisket(members=2), hold_end_s=np.full(2, 30 * HOUR))
    with pytest.raises(SafetyInputError, match="outside the course"):
        assess_cook(profile("uk"), BRISKET, late)


def rested(low_c: float, minutes_below: float) -> Course:
    """A cook of 10 h, a rest in the room that dips to `low_c`, and a hold at 65 °C up to 24 h."""
    time = np.linspace(0.0, 24 * 3600.0, 24 * 60 + 1)
    dip = minutes_below * 60.0
    temps = np.interp(
        time,
        [0.0, 36000.0, 36000.0 + 0.5 * dip, 36000.0 + dip, 86400.0],
        [5.0, 92.0, low_c, 65.0, 65.0],
    )[None, :]
    return course(
        time,
        core_c=temps,
        coldest_c=temps,
        surface_c=temps,
        rest_start_s=36000.0,
        hold_start_s=36000.0 + 0.5 * dip,
    )


def hot_hold_verdicts(cook: Course) -> dict[str, Verdict]:
    verdicts = assess_cook(profile("us-retail"), Piece(species_of("beef"), 6.0), cook, oven_c=121.2)
    return {one.rule[:5]: one for one in verdicts if one.topic is Topic.HOT_HOLD}


def test_a_short_dip_between_cook_and_hold_is_time_out_of_temperature_not_a_cold_hold() -> None:
    """US FDA Food Code 2022, 3-501.19(B): four hours (READ as adopted)."""
    found = hot_hold_verdicts(rested(40.0, 120.0))
    assert found["hot-h"].level is Level.AMBER
    assert found["hours"].level is Level.GREEN


def test_a_dip_longer_than_the_code_tolerates_is_refused() -> None:
    """US FDA Food Code 2022, 3-501.19(B): four hours (READ as adopted)."""
    assert hot_hold_verdicts(rested(20.0, 600.0))["hot-h"].level is Level.RED


def test_a_piece_that_never_comes_back_is_judged_from_when_it_went_in() -> None:
    time = np.linspace(0.0, 20 * 3600.0, 1201)
    temps = np.interp(time, [0.0, 36000.0, 39600.0, 72000.0], [5.0, 92.0, 50.0, 50.0])[None, :]
    cook = course(
        time, core_c=temps, coldest_c=temps, surface_c=temps, rest_start_s=36000.0, hold_start_s=39600.0
    )
    assert hot_hold_verdicts(cook)["hours"].level is Level.RED
