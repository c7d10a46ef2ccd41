"""Serving times on the wall clock: midnight, both changes of daylight saving time, texts that mean nothing.

The dates of the changes are published: EU directive 2000/84/EC (last Sundays of March and October, 01:00 UTC)
and the US Energy Policy Act of 2005 (second Sunday of March, first of November, 02:00).
"""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
import tzlocal
from hypothesis import given
from hypothesis import strategies as st

from slowfolio.forecast.planning.clock import (
    GRID_S,
    Clock,
    local_zone,
    on_grid,
    on_grid_down,
    on_grid_up,
    read_moment,
    zone_named,
)
from slowfolio.forecast.planning.errors import PlanInputError

LONDON, CHICAGO = ZoneInfo("Europe/London"), ZoneInfo("America/Chicago")
HOUR_S = 3600.0


def clock(text: str, zone: ZoneInfo) -> Clock:
    return Clock(read_moment(text, zone).utc, zone)


def test_a_text_is_read_on_the_wall_clock_of_the_zone() -> None:
    assert read_moment("2026-12-05 13:00", CHICAGO).utc == datetime(2026, 12, 5, 19, 0, tzinfo=UTC)
    assert read_moment("2026-07-04T13:00", CHICAGO).utc == datetime(2026, 7, 4, 18, 0, tzinfo=UTC)


def test_an_offset_of_its_own_goes_before_the_zone() -> None:
    assert read_moment("2026-12-05 13:00+02:00", CHICAGO).utc == datetime(2026, 12, 5, 11, 0, tzinfo=UTC)
    assert read_moment("2026-12-05 13:00Z", CHICAGO).utc == datetime(2026, 12, 5, 13, 0, tzinfo=UTC)


def test_twelve_hours_before_noon_on_the_spring_day_is_an_hour_earlier_on_the_wall() -> None:
    """29 March 2026: the clocks in London go from 01:00 to 02:00."""
    kitchen = clock("2026-03-29 12:00", LONDON)
    assert kitchen.at(-12 * HOUR_S).isoformat() == "2026-03-28T23:00:00+00:00"
    assert kitchen.at(-10.5 * HOUR_S).isoformat() == "2026-03-29T00:30:00+00:00"
    assert kitchen.at(-9.5 * HOUR_S).isoformat() == "2026-03-29T02:30:00+01:00"


def test_twelve_hours_before_noon_on_the_autumn_day_is_an_hour_later_on_the_wall() -> None:
    """1 November 2026: the clocks in Chicago go from 02:00 back to 01:00."""
    kitchen = clock("2026-11-01 12:00", CHICAGO)
    assert kitchen.at(-12 * HOUR_S).isoformat() == "2026-11-01T01:00:00-05:00"
    assert kitchen.at(-11 * HOUR_S).isoformat() == "2026-11-01T01:00:00-06:00"


def test_times_near_a_change_carry_the_name_of_their_zone() -> None:
    assert clock("2026-11-01 12:00", CHICAGO).shown(-11.5 * HOUR_S) == "Sun 1 Nov 01:30 CDT"
    assert clock("2026-11-01 12:00", CHICAGO).shown(-10.5 * HOUR_S) == "Sun 1 Nov 01:30 CST"
    assert clock("2026-12-05 13:00", CHICAGO).shown(-14 * HOUR_S) == "Fri 4 Dec 23:00"


def test_a_time_that_the_clocks_skip_is_refused_with_the_time_that_is_meant() -> None:
    with pytest.raises(PlanInputError, match=r'skipped.*write "2026-03-29 02:30"'):
        read_moment("2026-03-29 01:30", LONDON)


def test_of_a_time_that_comes_twice_the_first_is_taken_and_told() -> None:
    moment = read_moment("2026-10-25 01:30", LONDON)
    assert moment.utc == datetime(2026, 10, 25, 0, 30, tzinfo=UTC)
    assert "comes twice" in moment.note
    assert "+00:00" in moment.note
    assert read_moment("2026-10-25 01:30+00:00", LONDON).utc == datetime(2026, 10, 25, 1, 30, tzinfo=UTC)


@pytest.mark.parametrize(
    ("text", "advice"),
    [
        ("soon", "2026-12-05 13:00"),
        ("2026-12-05", "no time of day"),
        ("2026-02-30 13:00", "no calendar"),
        ("2026-12-05 25:00", "no calendar"),
        ("0026-12-05 13:00", "year"),
        ("2026-12-05 13:00+99:00", "offset"),
        ("5/12/2026 1 pm", "date and time"),
        ("", "date and time"),
    ],
)
def test_a_text_that_is_no_serving_time_says_what_to_write(text: str, advice: str) -> None:
    with pytest.raises(PlanInputError, match=advice.replace("+", r"\+")):
        read_moment(text, LONDON)


@pytest.mark.parametrize(("name", "meant"), [("Londn", "Europe/London"), ("new york", "America/New_York")])
def test_an_unknown_zone_names_the_one_that_was_meant(name: str, meant: str) -> None:
    with pytest.raises(PlanInputError, match=f"did you mean {meant}"):
        zone_named(name)


@pytest.mark.parametrize("name", ["", "../../etc/passwd", "a\0b", "/etc/localtime", "x" * 500])
def test_a_zone_that_is_a_path_or_nonsense_is_refused(name: str) -> None:
    with pytest.raises(PlanInputError, match="no time zone"):
        zone_named(name)


def test_the_zone_of_this_machine_is_known_by_name(monkeypatch: pytest.MonkeyPatch) -> None:
    with monkeypatch.context() as machine:
        machine.setenv("TZ", "America/Chicago")
        tzlocal.reload_localzone()
        assert local_zone().key == "America/Chicago"
    tzlocal.reload_localzone()


@given(st.floats(-1e7, 1e7))
def test_the_grid_is_five_minutes(seconds: float) -> None:
    down, near, up = on_grid_down(seconds), on_grid(seconds), on_grid_up(seconds)
    assert down <= near <= up
    assert down - 1e-3 <= seconds <= up + 1e-3
    assert up - down in (0.0, GRID_S)


@given(
    st.floats(-3e6, 0),
    st.sampled_from(["Europe/London", "America/Chicago", "Asia/Kolkata", "Australia/Lord_Howe"]),
)
def test_the_wall_clock_never_changes_elapsed_time(seconds: float, name: str) -> None:
    kitchen = clock("2026-04-10 13:00", ZoneInfo(name))
    elapsed = kitchen.at(0.0).astimezone(UTC) - kitchen.at(seconds).astimezone(UTC)
    assert elapsed.total_seconds() == pytest.approx(-seconds, abs=1.0)
