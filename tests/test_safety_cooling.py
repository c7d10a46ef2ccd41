"""Cooling: conduction against exact tables, the two-step rules, and what would meet them."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from safety_cases import HOUR, straight
from slowfolio.safety.chilling import (
    BLAST_CHILLER,
    ICE_BATH,
    MEDIA,
    REFRIGERATOR,
    Brick,
    Medium,
    cool_down,
    halved,
    slab_centre_ratio,
    sliced,
    slowest_cool_down,
    whole,
    with_transfer,
)
from slowfolio.safety.cooling import (
    assess_cooling,
    cooling_time_s,
    cooling_verdicts,
    outlook,
    thickest_slice_m,
    ways_to_meet,
    yardstick,
)
from slowfolio.safety.history import SafetyInputError, first_time_at_or_below_s
from slowfolio.safety.piece import Cure, Piece, Species
from slowfolio.safety.profiles import PROFILES, US_RETAIL, profile
from slowfolio.safety.rules import CoolingLimit
from slowfolio.safety.standing import Standing
from slowfolio.safety.verdict import Level, Met, Topic

BRISKET = Piece(Species.BEEF, 6.0)
PACKER = whole(length_m=0.40, width_m=0.28, thickness_m=0.085)


@pytest.mark.parametrize(
    ("biot", "root", "weight"),
    [
        (0.01, 0.0998, 1.0017),
        (0.1, 0.3111, 1.0161),
        (1.0, 0.8603, 1.1191),
        (10.0, 1.4289, 1.2620),
        (100.0, 1.5552, 1.2731),
    ],
)
def test_late_slab_cooling_follows_the_first_root_of_the_handbook_table(biot, root, weight):
    """Incropera & DeWitt, Table 5.1, coefficients of the one-term solution (recalled)."""
    fourier = np.array([[1.0, 2.0]])
    expected = weight * np.exp(-(root**2) * fourier)
    assert slab_centre_ratio(biot, fourier) == pytest.approx(expected, rel=2e-3)


@pytest.mark.parametrize(
    ("thickness", "hours", "expected"),
    [(0.05, 1, 36.017), (0.05, 4, 89.250), (0.09, 1, 13.431), (0.09, 4, 57.340), (0.09, 8, 86.043)],
)
def test_slab_of_meat_meets_the_exact_series(thickness, hours, expected):
    """k 0.45, alpha 1.24224e-7, h 15, 5 to 107 °C: values computed from the transcendental equations."""
    fourier = 1.24224e-7 * hours * HOUR / (thickness / 2) ** 2
    left = slab_centre_ratio(15.0 * thickness / 2 / 0.45, [[fourier]])[0, 0]
    assert 107.0 - 102.0 * left == pytest.approx(expected, abs=0.002)


def test_brick_is_the_product_of_three_slabs():
    """350 x 250 x 90 mm in the same case: 59.028 °C after 4 h and 90.107 °C after 8 h."""
    for hours, expected in ((4, 59.028), (8, 90.107)):
        left = 1.0
        for side in (0.35, 0.25, 0.09):
            fourier = 1.24224e-7 * hours * HOUR / (side / 2) ** 2
            left *= slab_centre_ratio(15.0 * side / 2 / 0.45, [[fourier]])[0, 0]
        assert 107.0 - 102.0 * left == pytest.approx(expected, abs=0.002)


def test_slab_agrees_with_roots_found_by_scipy():
    biot, fourier = 0.62, 0.35
    roots = [
        brentq(lambda z: z * np.sin(z) - biot * np.cos(z), n * np.pi, n * np.pi + np.pi / 2)
        for n in range(30)
    ]
    total = sum(4 * np.sin(z) / (2 * z + np.sin(2 * z)) * np.exp(-(z**2) * fourier) for z in roots)
    assert slab_centre_ratio(biot, [[fourier]])[0, 0] == pytest.approx(total, rel=1e-10)


def test_seven_centimetre_slab_takes_five_to_eight_hours_to_21_c():
    """7 cm slab at 60 °C in 3 °C air, h 6 to 10 W/m2K, alpha 1.3e-7: 5 to 8 h (reference text)."""
    slab = whole(length_m=2.0, width_m=2.0, thickness_m=0.07)
    course = cool_down(slab, with_transfer(REFRIGERATOR, 6.0, 10.0), start_c=60.0)
    hours = first_time_at_or_below_s(course.time_s, course.centre_c, 21.0) / HOUR
    assert hours.min() > 5.0
    assert hours.max() < 8.0
    assert hours.max() - hours.min() > 2.0


@pytest.mark.parametrize("name", PROFILES)
def test_a_whole_brisket_misses_every_rule_in_a_refrigerator(name):
    case = outlook(profile(name), BRISKET, PACKER, start_c=65.0)[0]
    assert (case.brick.name, case.medium.name) == ("whole", "refrigerator")
    assert case.level is Level.RED
    growth = case.verdicts[-1]
    assert growth.value is not None
    assert growth.value > 6.0
    assert growth.met is Met.ADVISORY


def test_thin_slices_meet_the_food_code_in_every_medium():
    cases = outlook(US_RETAIL, BRISKET, PACKER, start_c=65.0)
    assert len(cases) == 9
    assert all(case.level is Level.GREEN for case in cases if case.brick.name.startswith("sliced"))


def test_halving_a_flat_piece_hardly_helps_in_a_refrigerator():
    course, half = (slowest_cool_down(cut, REFRIGERATOR, start_c=65.0) for cut in (PACKER, halved(PACKER)))
    limit = US_RETAIL.cooling.limits[0]
    full_s, half_s = (cooling_time_s(limit, item.time_s, item.centre_c)[0] for item in (course, half))
    assert 0.7 * full_s < half_s < full_s
    assert half_s > limit.at_most_s


def test_media_rank_refrigerator_blast_chiller_ice_bath():
    limit = US_RETAIL.cooling.limits[0]
    times = []
    for medium in (REFRIGERATOR, BLAST_CHILLER, ICE_BATH):
        course = slowest_cool_down(PACKER, medium, start_c=65.0)
        times.append(cooling_time_s(limit, course.time_s, course.centre_c)[0])
    assert times[0] > 2 * times[1] > 2 * times[2]


@pytest.mark.parametrize("name", PROFILES)
def test_the_slice_it_recommends_meets_the_rule_and_a_thicker_one_does_not(name):
    rule = yardstick(profile(name))
    thickest = thickest_slice_m(rule, PACKER, REFRIGERATOR, start_c=65.0)
    assert thickest is not None
    for thickness, expected in ((thickest, True), (thickest + 0.001, False)):
        course = slowest_cool_down(sliced(PACKER, thickness), REFRIGERATOR, start_c=65.0)
        met = [
            cooling_time_s(limit, course.time_s, course.centre_c)[0] <= limit.at_most_s
            for limit in rule.limits
        ]
        assert all(met) is expected


def test_a_thin_slice_cools_as_one_lump():
    """Lumped 10 mm slice, both faces: t = rho c L ln(ratio) / h with Bi 0.07 and rho c = k / alpha."""
    slab = Brick("slice", 2.0, 2.0, 0.01)
    course = slowest_cool_down(slab, REFRIGERATOR, start_c=57.0)
    expected = 0.45 / 1.3e-7 * 0.005 / 6.0 * np.log(54.0 / 18.0)
    taken = first_time_at_or_below_s(course.time_s, course.centre_c, 21.0)[0]
    assert taken == pytest.approx(expected, rel=0.04)


def test_ways_say_what_to_do_in_each_medium():
    ways = ways_to_meet(US_RETAIL.cooling, PACKER, start_c=65.0)
    assert [way.medium for way in ways] == list(MEDIA)
    assert "In the refrigerator slices of" in ways[0].text
    assert "mm" in ways[0].text
    assert ways[2].text == "In the ice bath the whole piece meets the steps."


def test_nothing_is_promised_of_a_medium_warmer_than_the_target():
    warm = Medium("cellar", 12.0, 8.0, 10.0, Standing.CALIBRATED, "")
    assert thickest_slice_m(US_RETAIL.cooling, PACKER, warm, start_c=65.0) is None


def test_the_clock_runs_between_the_two_figures_of_a_step():
    time, temp = (np.array(values) for values in straight((0, 87.0), (1, 57.0), (2, 21.0), (4, 5.0)))
    first, total = US_RETAIL.cooling.limits
    centre = temp[None, :]
    assert cooling_time_s(first, time, centre)[0] == pytest.approx(2 * HOUR)
    assert cooling_time_s(total, time, centre)[0] == pytest.approx(6 * HOUR)
    assert cooling_time_s(CoolingLimit(57.0, 4.0, 1.0), time, centre)[0] == np.inf


def test_the_food_code_schedule_itself_is_met_and_a_minute_more_is_not():
    exact = straight((0, 57.0), (2, 21.0), (4, 5.0))
    late = straight((0, 57.0), (2 + 1 / 60, 21.0), (4, 5.0))
    met = [item for item in cooling_verdicts(US_RETAIL, BRISKET, *exact) if "Food Code" in item.authority]
    missed = [item for item in cooling_verdicts(US_RETAIL, BRISKET, *late) if "Food Code" in item.authority]
    assert [item.met for item in met] == [Met.MET, Met.MET]
    assert [item.level for item in missed] == [Level.RED, Level.RED]
    assert "2 h 1 min" in missed[0].figure


def test_cured_meat_is_shown_against_the_cured_option_only():
    cured = cooling_verdicts(
        US_RETAIL, Piece(Species.BEEF, 5.0, cure=Cure.CURED), *straight((0, 57.0), (9, 4.0))
    )
    plain = cooling_verdicts(US_RETAIL, BRISKET, *straight((0, 57.0), (9, 4.0)))
    assert next(item for item in cured if "FSIS" in item.authority).citation.section.endswith("option 3")
    assert next(item for item in plain if "FSIS" in item.authority).citation.section.endswith("option 1")


def test_authorities_without_a_figure_only_advise():
    own = assess_cooling(profile("uk"), BRISKET, PACKER, start_c=65.0)[0]
    assert (own.met, own.level) == (Met.ADVISORY, Level.AMBER)
    assert "our reading" in own.explanation


def test_us_consumer_is_judged_by_the_time_before_the_refrigerator():
    def waited(seconds, room_c=21.0):
        verdicts = assess_cooling(
            profile("us-consumer"), BRISKET, PACKER, start_c=65.0, into_cold_after_s=seconds, room_c=room_c
        )
        return next(item for item in verdicts if "time out" in item.rule).level

    assert waited(2 * HOUR) is Level.GREEN
    assert waited(2.1 * HOUR) is Level.RED
    assert waited(1.5 * HOUR, room_c=35.0) is Level.RED


def test_growth_while_cooling_is_filed_under_cooling():
    verdicts = assess_cooling(US_RETAIL, BRISKET, PACKER, start_c=65.0)
    assert {item.topic for item in verdicts} == {Topic.COOLING}


@settings(max_examples=30, deadline=None)
@given(
    st.floats(0.02, 0.3),
    st.floats(0.02, 0.3),
    st.floats(0.005, 0.15),
    st.floats(40.0, 95.0),
    st.sampled_from(MEDIA),
)
def test_centres_fall_steadily_towards_the_medium(length, width, thickness, start, medium):
    course = cool_down(Brick("any", length, width, thickness), medium, start_c=start)
    assert course.centre_c[:, 0] == pytest.approx(start)
    assert (np.diff(course.centre_c, axis=1) <= 1e-4).all()
    assert (course.centre_c >= medium.temp_c - 1e-9).all()
    assert (np.diff(course.centre_c, axis=0) <= 1e-9).all()  # more heat transfer, colder


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: whole(length_m=0.3, width_m=0.2, thickness_m=0.0), "thickness 0 m: give 0.001 to 2 m"),
        (lambda: sliced(PACKER, 0.0), "a slice of 0 mm"),
        (lambda: sliced(PACKER, 0.9), "a slice of 900 mm"),
        (lambda: cool_down(PACKER, REFRIGERATOR, start_c=1.0), "temperature at the start of cooling is 1 °C"),
        (lambda: cool_down(PACKER, REFRIGERATOR, start_c=float("nan")), "temperature at the start"),
        (lambda: with_transfer(REFRIGERATOR, 10.0, 6.0), "the lower value first"),
        (lambda: Medium("oven", 90.0, 5.0, 6.0, Standing.CALIBRATED, ""), "oven: temperature is 90 °C"),
        (
            lambda: cooling_verdicts(US_RETAIL, BRISKET, [0, 1], [50, 40], into_cold_after_s=-1.0),
            "time before chilling",
        ),
    ],
)
def test_bad_input_is_refused(call, message):
    with pytest.raises(SafetyInputError, match=message):
        call()
