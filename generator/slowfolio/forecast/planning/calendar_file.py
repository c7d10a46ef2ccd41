"""The plan as a calendar file in the open standard (RFC 5545), with an alarm before every act.

All times are in UTC, which every calendar shows on its own clock; identifiers depend on what the act is and
not on when, so a plan made anew replaces the old one. Called by the `plan` command.
"""

from datetime import datetime, timedelta
from uuid import NAMESPACE_URL, uuid5

from icalendar import Alarm, Calendar, Event

from slowfolio import __version__
from slowfolio.forecast.planning.acts import Act
from slowfolio.forecast.planning.clock import clock_time
from slowfolio.forecast.planning.item import LoadPlan
from slowfolio.forecast.planning.planned import PlannedService
from slowfolio.forecast.planning.times import ActKind

ALARM_BEFORE = timedelta(minutes=10)
SHORTEST_EVENT_S = 300.0
"""What takes no time at all is still shown as five minutes. CALIBRATED."""

NAMESPACE = uuid5(NAMESPACE_URL, "https://slowfolio.invalid/plan")


def calendar_bytes(service: PlannedService, *, stamp: datetime) -> bytes:
    """The calendar file, every act of every load an event; `stamp` is when it was made (UTC)."""
    calendar = Calendar()
    calendar.add("prodid", f"-//Slowfolio//Plan {__version__}//EN")
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("x-wr-calname", f"Cook for {service.clock.shown(0.0)}")
    for load in service.plan.loads:
        met: dict[ActKind, int] = {}
        for act in load.acts:
            met[act.kind] = met.get(act.kind, 0) + 1
            calendar.add_component(event_of(act, met[act.kind], load, service, stamp))
    return bytes(calendar.to_ical())


def event_of(act: Act, number: int, load: LoadPlan, service: PlannedService, stamp: datetime) -> Event:
    """One act; an act that the meat decides spans its window, any other the time it takes."""
    begin_s, end_s = span_s(act)
    several = len(service.plan.loads) > 1
    event = Event()
    event.add("uid", uid_of(act, number, load, service))
    event.add("dtstamp", stamp)
    event.add("dtstart", service.clock.at_utc(begin_s))
    event.add("dtend", service.clock.at_utc(end_s))
    summary = f"{load.work.name}: {act.title}" if several else act.title
    event.add("summary", summary)
    event.add("description", description(act, load, service))
    event.add("categories", [act.kind.value])
    event.add_component(alarm_of(summary))
    return event


def alarm_of(text: str) -> Alarm:
    """A reminder that shows a text."""
    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("description", text)
    alarm.add("trigger", -ALARM_BEFORE)
    return alarm


def span_s(act: Act) -> tuple[float, float]:
    """From when to when an event lasts."""
    if act.p10_s < act.at_s and act.p90_s > act.p10_s:
        return act.p10_s, act.p90_s
    return act.at_s, act.at_s + max(act.hands_s, SHORTEST_EVENT_S)


def uid_of(act: Act, number: int, load: LoadPlan, service: PlannedService) -> str:
    """The identifier of an act: the same for the same act of the same load on the same day of service."""
    day = service.clock.at(0.0).date().isoformat()
    key = "/".join((day, load.work.method, load.work.name, act.kind.value, str(number)))
    return f"{uuid5(NAMESPACE, key)}@slowfolio.invalid"


def description(act: Act, load: LoadPlan, service: PlannedService) -> str:
    """What to do, the planned time, and until when it is still sure."""
    clock = service.clock
    said = [act.do, f"Planned for {clock.shown(act.at_s)}."]
    if act.p10_s < act.at_s:
        said.append(f"Eight of ten cooks: {clock.shown(act.p10_s)} to {clock.shown(act.p90_s)}.")
    if act.by_s is not None and act.kind not in {ActKind.ON, ActKind.SLICE}:
        asked = f"{100 * service.order.confidence:g} %"
        said.append(f"Still {asked} sure until {clock_time(act.by_s, act.at_s, clock)}.")
    if load.work.pieces > 1:
        said.append(f"{load.work.pieces} pieces.")
    return " ".join(text for text in said if text)
