"""Growth of C. perfringens against the published predictions and the check values of the reference table."""

import re

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_cases import HOUR, reference, straight
from slowfolio.safety.growth import (
    BEEF,
    BRAISED_BEEF,
    BULK_MEAT,
    CHICKEN,
    LN10,
    PORK,
    ROASTED_CHICKEN,
    cautious_growth_log10,
    growth_log10,
    model_for,
    ranking_word,
)
from slowfolio.safety.lethality import celsius
from slowfolio.safety.piece import Species

MODELS = {
    "beef_or_published": BEEF,
    "pork": PORK,
    "chicken": CHICKEN,
    "lemarc": BULK_MEAT,
    "nolag_worst_case": BRAISED_BEEF,
}
CHECKS = [
    row for row in reference("perfringens_growth_check_values") if row["scenario"].startswith("computed")
]


def fahrenheit_legs(*legs):
    return [(hours, celsius(temp)) for hours, temp in legs]


LEGS = {
    "FSIS Opt1": fahrenheit_legs((0, 130), (1.5, 80), (5, 40)),
    "FSIS Opt2": fahrenheit_legs((0, 120), (1, 80), (5, 55), (4, 40)),
    "FSIS slow": fahrenheit_legs((0, 130), (5, 80), (10, 45)),
    "FDA 3-501.14": fahrenheit_legs((0, 135), (2, 70), (4, 41)),
    "FSANZ": [(0, 60.0), (2, 21.0), (4, 5.0)],
    "Canada": [(0, 60.0), (2, 20.0), (4, 4.0)],
    "Slow: 57-21C 4h": [(0, 57.0), (4, 21.0), (6, 5.0)],
    "Slow: 57-21C 6h": [(0, 57.0), (6, 21.0), (8, 5.0)],
    "Juneja check 54.4-27C 1.5h": [(0, 54.4), (1.5, 27.0)],
    "Juneja check 54.4-27C 3h": [(0, 54.4), (3, 27.0)],
}


def course_of(scenario):
    """The course a scenario of the reference table describes."""
    name = scenario.removeprefix("computed: ")
    if hold := re.match(r"Hold ([\d.]+)C(?:\(125F\))? (\d+)h$", name):
        temp, hours = float(hold[1]), float(hold[2])
        return [0.0, hours * HOUR], [temp, temp]
    pattern = r".*exponential: ([\d.]+)->([\d.]+)C in ([\d.]+) h, air (\d+)C, to 5C"
    if newton := re.match(pattern, name):
        start, end, hours, air = (float(newton[number]) for number in range(1, 5))
        rate = np.log((start - air) / (end - air)) / (hours * HOUR)
        time = np.linspace(0.0, np.log((start - air) / (5.0 - air)) / rate, 4000)
        return time, air + (start - air) * np.exp(-rate * time)
    legs = next(legs for key, legs in LEGS.items() if name.startswith(key))
    return straight(*legs)


@pytest.mark.parametrize("row", CHECKS, ids=lambda row: row["scenario"].removeprefix("computed: ")[:30])
def test_growth_equals_the_check_values(row):
    """Within 0.03 log: the check values were stepped, ours are integrated in closed form."""
    time, temp = course_of(row["scenario"])
    for column, model in MODELS.items():
        assert growth_log10(model, time, temp)[0] == pytest.approx(float(row[column]), abs=0.03), column


def test_every_computed_check_value_is_used():
    assert len(CHECKS) == 25
    assert len(reference("perfringens_growth_check_values")) == 29


def test_beef_agrees_with_the_published_prediction_for_cooling_in_1_5_and_3_hours():
    """Juneja 2008 predicted 1.1 (SE 0.08) and 3.6 (SE 0.07) for 54.4 to 27 °C; read in abstracts."""
    assert growth_log10(BEEF, *straight((0, 54.4), (1.5, 27.0)))[0] == pytest.approx(1.1, abs=0.3)
    assert growth_log10(BEEF, *straight((0, 54.4), (3, 27.0)))[0] == pytest.approx(3.6, abs=0.3)


@pytest.mark.parametrize(
    ("temp", "rate"),
    [(20.0, 0.24), (30.0, 0.98), (40.0, 2.13), (45.0, 2.58), (50.0, 2.03), (52.0, 0.93), (53.0, 0.0)],
)
def test_beef_growth_rates(temp, rate):
    """log10 per hour, no lag, as printed beside the model in the reference text."""
    assert float(BEEF.rate_per_h(np.array(temp))) / LN10 == pytest.approx(rate, abs=0.006)


def test_lag_is_that_of_baranyi():
    """Growth by a tenth of a log begins about ln(1 + 1/q0)/mu after the start."""
    rate = float(CHICKEN.rate_per_h(np.array(45.0)))
    lag_h = np.log(1 + 1 / 0.0105) / rate
    late = growth_log10(CHICKEN, [0, 2 * lag_h * HOUR], [45.0, 45.0])[0]
    assert late == pytest.approx(rate * lag_h / LN10, rel=0.02)


@pytest.mark.parametrize("model", MODELS.values(), ids=lambda model: model.name)
def test_nothing_grows_outside_the_growth_range(model):
    assert (model.rate_per_h(np.array([-5.0, 0.0, 8.0, 55.0, 60.0, 90.0])) == 0.0).all()
    assert growth_log10(model, [0, 1e6], [60.0, 60.0])[0] == 0.0


@given(st.sampled_from(sorted(MODELS)), st.lists(st.floats(0.0, 70.0), min_size=2, max_size=8))
def test_growth_is_never_negative_and_never_passes_its_cap(name, temps):
    grown = growth_log10(MODELS[name], np.arange(len(temps)) * HOUR, temps)[0]
    assert 0.0 <= grown <= 7.0 + 1e-9


@given(st.sampled_from(sorted(MODELS)), st.floats(5.0, 56.0), st.floats(0.1, 10.0))
def test_longer_never_means_less(name, temp, hours):
    model = MODELS[name]
    short = growth_log10(model, [0, hours * HOUR], [temp, temp])[0]
    long = growth_log10(model, [0, 1.5 * hours * HOUR], [temp, temp])[0]
    assert long >= short - 1e-12


def test_roasted_chicken_grows_at_its_published_best_rate_at_its_best_temperature():
    """6.06 ln CFU/g/h at 46.4 °C, one-step analysis of the Huang group (abstract)."""
    assert float(ROASTED_CHICKEN.rate_per_h(np.array(46.4))) == pytest.approx(6.06)
    rates = ROASTED_CHICKEN.rate_per_h(np.linspace(10, 51, 400))
    assert rates.max() <= 6.06 + 1e-9


def test_members_with_times_of_their_own_are_summed_one_by_one():
    time = np.array([[0.0, 2 * HOUR], [0.0, 4 * HOUR]])
    grown = growth_log10(BEEF, time, [[45.0, 45.0], [45.0, 45.0]])
    assert grown.tolist() == pytest.approx([3.98, 7.0], abs=0.03)


def test_the_cautious_figure_is_the_larger_of_two_models():
    assert cautious_growth_log10(Species.BEEF, [0, 16 * HOUR], [53.5, 53.5])[0] == pytest.approx(
        5.66, abs=0.03
    )
    assert cautious_growth_log10(Species.BEEF, [0, 2 * HOUR], [45.0, 45.0])[0] == pytest.approx(
        3.98, abs=0.03
    )
    assert (model_for(Species.DUCK), model_for(Species.PORK), model_for(Species.LAMB)) == (
        CHICKEN,
        PORK,
        BEEF,
    )


def test_ranking_words_rise_with_growth_and_never_pass_anything():
    words = [ranking_word(value) for value in (0.2, 1.8, 3.0, 6.0)]
    assert len(set(words)) == 4
    assert not any("pass" in word or "safe" in word for word in words)
