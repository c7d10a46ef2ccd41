"""The stall read off a course of temperature, on courses whose stall is known by construction."""

import numpy as np
import pytest

from slowfolio.forecast.stall import stall_window_h

TIME_H = np.linspace(0.0, 20.0, 241)


def course(*points: tuple[float, float]) -> np.ndarray:
    hours, temps = zip(*points, strict=True)
    return np.interp(TIME_H, hours, temps)


def window(values: np.ndarray, pull_h: float) -> tuple[float, float]:
    starts, ends = stall_window_h(TIME_H, values[:, None], np.array([pull_h]))
    return float(starts[0]), float(ends[0])


def test_a_plateau_is_found_with_its_start_and_end() -> None:
    start, end = window(course((0, 5), (4, 68), (8, 72), (11, 95), (20, 95)), 11.0)
    assert start == pytest.approx(4.0, abs=0.5)
    assert end == pytest.approx(8.0, abs=0.5)


def test_a_steady_rise_has_no_stall() -> None:
    start, end = window(course((0, 5), (8, 95), (20, 95)), 8.0)
    assert np.isnan(start)
    assert np.isnan(end)


def test_a_warm_hold_is_no_stall() -> None:
    start, _ = window(course((0, 5), (8, 95), (10, 66), (20, 66)), 8.0)
    assert np.isnan(start)


def test_a_short_hesitation_is_no_stall() -> None:
    start, _ = window(course((0, 5), (4, 68), (4.6, 68), (7, 95), (20, 95)), 7.0)
    assert np.isnan(start)


def test_members_are_judged_each_by_its_own_course() -> None:
    plateau = course((0, 5), (4, 68), (8, 72), (11, 95), (20, 95))
    rise = course((0, 5), (8, 95), (20, 95))
    starts, _ = stall_window_h(TIME_H, np.column_stack([plateau, rise]), np.array([11.0, 8.0]))
    assert np.isfinite(starts[0])
    assert np.isnan(starts[1])
