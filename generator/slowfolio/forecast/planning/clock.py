"""Serving times as moments: read in a time zone, moved in elapsed seconds, shown on the wall clock again.

All planning happens in seconds from the serving time, so a change to or from daylight saving time and a
midnight on the way need no care elsewhere. Called by the `plan` command, the service file and the outputs.
"""

import re
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, timezone
from zoneinfo import ZoneInfo, available_timezones

from slowfolio.book.findings import close_match, quoted
from slowfolio.forecast.planning.errors import PlanInputError

EXAMPLE = '"2026-12-05 13:00"'
FIRST_YEAR, LAST_YEAR = 1970, 2200
GRID_S = 300
"""A plan is told to five minutes; a cook keeps no finer time. Common practice, no source."""

_MOMENT = re.compile(
    r"([0-9]{4})-([0-9]{1,2})-([0-9]{1,2})(?:[ T]+([0-9]{1,2}):([0-9]{2})(?::([0-9]{2}))?)?"
    r" *(Z|[+-][0-9]{2}:?[0-9]{2})?"
)


@dataclass(frozen=True, slots=True)
class Moment:
    """A point in time in UTC, and what to tell about how the text was read ("" where nothing is)."""

    utc: datetime
    note: str = ""


@dataclass(frozen=True, slots=True)
class Clock:
    """The wall clock of the kitchen: seconds from the serving time to local times and back."""

    origin_utc: datetime
    zone: ZoneInfo

    def at_utc(self, seconds: float) -> datetime:
        """The moment so many elapsed seconds after the origin, in UTC, to the second."""
        return self.origin_utc + timedelta(seconds=round(seconds))

    def at(self, seconds: float) -> datetime:
        """The same on the wall clock."""
        return self.at_utc(seconds).astimezone(self.zone)

    def seconds_to(self, moment_utc: datetime) -> float:
        """Elapsed seconds from the origin to a moment; negative before it."""
        return (moment_utc - self.origin_utc).total_seconds()

    def shown(self, seconds: float) -> str:
        """ "Sat 5 Dec 13:00", and the zone's abbreviation where the clocks change within a day."""
        local = self.at(seconds)
        text = f"{local:%a} {local.day} {local:%b %H:%M}"
        return f"{text} {local:%Z}" if self._near_change(seconds) else text

    def _near_change(self, seconds: float) -> bool:
        around = (self.at(seconds + hours * 3600.0).utcoffset() for hours in (-24, 0, 24))
        return len(set(around)) > 1


def clock_time(seconds: float, beside_s: float, clock: Clock) -> str:
    """The time of day, with its weekday where that differs from another time's."""
    local, beside = clock.at(seconds), clock.at(beside_s)
    return f"{local:%H:%M}" if local.date() == beside.date() else f"{local:%a %H:%M}"


def zone_named(name: str) -> ZoneInfo:
    """The time zone called `name`, such as "Europe/London"; PlanInputError names the one meant."""
    try:
        return ZoneInfo(name)
    except (KeyError, ValueError, OSError) as error:
        meant = close_match(name, available_timezones()) or _by_city(name)
        advice = (
            f"did you mean {meant}?" if meant else 'write one such as "Europe/London" or "America/Chicago"'
        )
        raise PlanInputError(f"no time zone {quoted(name)}; {advice}") from error


def _by_city(name: str) -> str | None:
    cities = {zone.rpartition("/")[2]: zone for zone in sorted(available_timezones()) if "/" in zone}
    city = close_match(name.strip().replace(" ", "_"), cities)
    return None if city is None else cities[city]


def local_zone() -> ZoneInfo:
    """The time zone of this machine; PlanInputError where the machine does not tell its name."""
    from tzlocal import get_localzone_name

    try:
        name = get_localzone_name()
    except (LookupError, OSError, ValueError) as error:
        raise PlanInputError(
            'this machine does not tell its time zone; add --timezone, such as "Europe/London"'
        ) from error
    return zone_named(name or "UTC")


def read_moment(text: str, zone: ZoneInfo) -> Moment:
    """A date and a time of day on the wall clock of `zone`, or with an offset of its own ("+01:00" or "Z").

    A time that the clocks skip is refused; of one that comes twice the first is taken, which a note tells.
    """
    found = _MOMENT.fullmatch(text.strip())
    if found is None:
        raise PlanInputError(f"{quoted(text)} is no serving time; write date and time of day: {EXAMPLE}")
    year, month, day, hour, minute, second, offset = found.groups()
    if hour is None:
        raise PlanInputError(f'{quoted(text)} has no time of day; write "{year}-{month}-{day} 13:00"')
    try:
        naive = datetime(int(year), int(month), int(day), int(hour), int(minute), int(second or 0))
    except ValueError as error:
        raise PlanInputError(f"{quoted(text)} is on no calendar: {error}; write as in {EXAMPLE}") from error
    if not FIRST_YEAR <= naive.year <= LAST_YEAR:
        raise PlanInputError(f"{quoted(text)} is not a year to cook in; write {FIRST_YEAR} to {LAST_YEAR}")
    if offset is not None:
        return Moment(naive.replace(tzinfo=_fixed(offset, text)).astimezone(UTC))
    return _on_the_wall(naive, zone)


def _fixed(offset: str, text: str) -> timezone:
    if offset == "Z":
        return UTC
    sign = -1 if offset[0] == "-" else 1
    hours, minutes = int(offset[1:3]), int(offset[-2:])
    if hours > 14 or minutes > 59:
        raise PlanInputError(f"{quoted(text)} is off by more than any zone; write an offset such as +01:00")
    return timezone(sign * timedelta(hours=hours, minutes=minutes))


def _on_the_wall(naive: datetime, zone: ZoneInfo) -> Moment:
    first = naive.replace(tzinfo=zone, fold=0)
    second = naive.replace(tzinfo=zone, fold=1)
    back = first.astimezone(UTC).astimezone(zone)
    if back.replace(tzinfo=None) != naive:
        raise PlanInputError(
            f"{naive:%Y-%m-%d %H:%M} is skipped when the clocks go forward in {zone.key}; "
            f'write "{back:%Y-%m-%d %H:%M}"'
        )
    if first.utcoffset() != second.utcoffset():
        note = (
            f"{naive:%Y-%m-%d %H:%M} comes twice, as the clocks go back in {zone.key}; planned for the first "
            f"({first:%Z}). For the second write the offset behind it: {_offset_text(second)}"
        )
        return Moment(first.astimezone(UTC), note)
    return Moment(first.astimezone(UTC))


def _offset_text(local: datetime) -> str:
    digits = f"{local:%z}"
    return f"{digits[:3]}:{digits[3:5]}"


def on_grid_down(seconds: float) -> float:
    """The last grid time at or before `seconds`; a hair of rounding error does not cost a step."""
    return float(GRID_S * int((seconds + 1e-6) // GRID_S))


def on_grid_up(seconds: float) -> float:
    """The first grid time at or after `seconds`."""
    return -on_grid_down(-seconds)


def on_grid(seconds: float) -> float:
    """The nearest grid time, the later one half way."""
    return on_grid_down(seconds + GRID_S / 2)
