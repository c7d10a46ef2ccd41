"""The ensemble a page carries: it is what the engine computed, it is small, and its weights lead back to the
forecast's own prior.
"""

import gzip
from dataclasses import replace

import msgspec
import numpy as np
import pytest

from carried_fixture import MEMBERS, METHOD, SEED, book, carried, ensemble
from slowfolio.forecast.carried import PLACES, TEMP_QUANTUM_C, Carried, decode
from slowfolio.forecast.carry import STEP_S, WIDENED, members_at, prior_over_drawn, widened_deviates
from slowfolio.forecast.inputs import joint_of, schedule_of
from slowfolio.physics.cook import simulate
from slowfolio.site.pit_data import cook_data

SIZE_LIMIT_BYTES = 60_000
FULL = 256


@pytest.fixture(scope="module")
def cook() -> object:
    method = book().methods[METHOD]
    schedule = schedule_of(method, book())
    before_hold = replace(schedule, stages=schedule.stages[:-1])
    members = members_at(widened_deviates(MEMBERS, SEED))
    return simulate(joint_of(method, book()), before_hold, members, step_s=STEP_S)


def test_what_is_carried_is_what_the_engine_computed(cook) -> None:  # type: ignore[no-untyped-def]
    opened = ensemble()
    assert np.abs(opened.ends_s - cook.ends.time_h * 3600.0).max() <= 2.5 + 1e-6
    for place, course in zip(
        PLACES, (cook.timeline.core_c, cook.timeline.thin_c, cook.timeline.coldest_c), strict=True
    ):
        for member in range(0, MEMBERS, 7):
            wanted = np.interp(opened.time_s, cook.timeline.time_h * 3600.0, course[:, member])
            rounding = 0.51 * TEMP_QUANTUM_C[place]
            assert np.abs(opened.courses[place][:, member] - wanted).max() <= rounding


def test_a_bend_too_great_for_a_byte_is_made_up_for() -> None:
    from slowfolio.forecast.carried import bent_back
    from slowfolio.forecast.carry import second_differences

    course = np.array([[4.0], [4.0], [40.0], [40.0], [40.0], [40.0], [40.0], [40.0], [40.0], [40.0]])
    back = bent_back(second_differences(course, 0.1), 0.1)
    assert np.abs(back[-3:] - 40.0).max() < 0.051


def test_drawn_inputs_are_wider_and_their_weights_lead_back_to_the_prior() -> None:
    """A standard normal has variance 1 and 90 % quantile 1.2816 (any table of the normal distribution)."""
    drawn = widened_deviates(4096, 5)
    weight = prior_over_drawn(drawn)
    assert weight.sum() == pytest.approx(1.0)
    for name, values in drawn.items():
        assert values.std() == pytest.approx(WIDENED.get(name, 1.0), rel=0.06)
        assert np.sum(weight * values**2) == pytest.approx(1.0, abs=0.09)
        order = np.argsort(values)
        quantile = np.interp(0.9, np.cumsum(weight[order]), values[order])
        assert quantile == pytest.approx(1.2816, abs=0.09)


def test_all_members_of_a_page_fit_in_sixty_kilobytes_compressed() -> None:
    """Courses of more members do not compress worse each, so the few cooked here are scaled up."""
    few = len(gzip.compress(cook_data(carried()).encode(), 6))
    assert few * FULL / MEMBERS < SIZE_LIMIT_BYTES


def test_it_survives_being_kept_as_json() -> None:
    kept = msgspec.json.decode(msgspec.json.encode(carried()), type=Carried)
    assert kept == carried()
    assert np.array_equal(decode(kept).ends_s, ensemble().ends_s)


def test_stages_are_those_up_to_the_hold_with_their_own_targets() -> None:
    method = book().methods[METHOD]
    stages = carried().stages
    assert [stage.name for stage in stages] == [*(stage.name for stage in method.stages), "Vent"]
    assert [stage.ended_by for stage in stages] == ["time", "core", "tender", "falls"]
    assert stages[1].target_c == pytest.approx(method.stages[1].until.core_temp_c, abs=1e-3)
    assert carried().pull == len(method.stages) - 1
    assert np.all(np.diff(ensemble().ends_s, axis=0) >= 0)
