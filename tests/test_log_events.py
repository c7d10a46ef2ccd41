"""What happened in a cook is found in its log: on, doors, stall, wrap, finish, vent, hold."""

from datetime import timedelta

import numpy as np
import pytest

from log_cases import BEGAN, Curve, curve, rows, text
from slowfolio.cooklog.importing import Wish, import_log
from slowfolio.cooklog.recording import Recording

HOUR = 3600.0
TRUTH = curve()


def recording(made: Curve = TRUTH, *, wrapped: bool = True, **more: object) -> Recording:
    return import_log(text(rows(made, **more)), Wish(wrapped=wrapped)).recording  # type: ignore[arg-type]


def test_the_times_of_wrap_finish_vent_and_hold_are_found_within_ten_minutes() -> None:
    found = recording()
    for what, truth_s in (*TRUTH.happened.items(), ("vent", TRUTH.happened["finish"]), ("meat on", 0.0)):
        at_s = found.event_s(what)
        assert at_s is not None, what
        assert at_s == pytest.approx(truth_s, abs=600.0), what


def test_every_opening_of_the_door_is_found_and_none_besides() -> None:
    doors = [event.at_s / HOUR for event in recording().events if event.what == "door"]
    assert doors == pytest.approx([1.5, 3.0, 5.0], abs=0.05)


def test_the_stall_is_the_flat_stretch_before_the_wrap() -> None:
    """By the forecast's own definition: an hour or more of less than 6 K/h between 55 and 85 °C."""
    found = recording()
    start, end = found.event_s("stall start"), found.event_s("stall end")
    assert start is not None
    assert end is not None
    assert start == pytest.approx(3.2 * HOUR, abs=0.4 * HOUR)
    assert end == pytest.approx(5.0 * HOUR, abs=0.4 * HOUR)


def test_no_wrap_is_found_where_the_method_has_none() -> None:
    assert recording(wrapped=False).event_s("wrap") is None


def test_a_recorder_started_an_hour_before_the_meat_goes_on_gives_when_it_went_on() -> None:
    before = np.arange(0.0, HOUR, 60.0)
    steady = np.random.default_rng(5).normal(0.0, 0.15, (3, before.size))
    dip = np.where(TRUTH.time_s < 1800, 35.0 * np.exp(-TRUTH.time_s / 500), 0.0)
    made = Curve(
        np.concatenate((before, TRUTH.time_s + HOUR)),
        np.concatenate((121.0 + steady[0], TRUTH.pit_c - dip)),
        np.concatenate((22.0 + steady[1], TRUTH.thick_c)),
        np.concatenate((22.0 + steady[2], TRUTH.thin_c)),
    )
    at_s = recording(made).event_s("meat on")
    assert at_s == pytest.approx(HOUR, abs=600.0)


def test_without_an_air_probe_the_finish_is_where_the_core_begins_to_fall() -> None:
    blob = text(rows(TRUTH, columns=("thick", "thin")), "Time,Meat,Flat")
    at_s = import_log(blob).recording.event_s("finish")
    assert at_s == pytest.approx(8.0 * HOUR, abs=900.0)


def test_a_log_that_stops_in_the_middle_has_no_finish_and_says_so() -> None:
    found = import_log(text(rows(TRUTH)[:240])).recording
    assert found.event_s("finish") is None
    assert "no finish" in {remark.kind for remark in found.remarks}


def test_events_do_not_move_with_the_start_of_the_clock() -> None:
    one, other = recording(), recording(began=BEGAN + timedelta(days=30, hours=7))
    assert [(e.what, e.at_s) for e in one.events] == [(e.what, e.at_s) for e in other.events]
