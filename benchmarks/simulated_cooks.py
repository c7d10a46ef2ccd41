"""Cooks made by the engine in a pit that differs from its card, written down as a recorder would.

For the tests and benchmarks of what is learnt from logs, and for the demonstration cooks of the starter book.
The truth is the engine's, at its own step and with every stage ended by its own target; the recorder adds
noise, a wandering fire, a door that is opened, and what else it is told to.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from slowfolio.book.model import Book, Cook, CookedPiece, CookEvent, LogRecipe, Origin, Weather
from slowfolio.cooklog.recording import Event, Recording
from slowfolio.forecast.inputs import Conditions, joint_of, schedule_of
from slowfolio.physics.cook import simulate
from slowfolio.physics.ensemble import INPUT_SPREADS, Members, nominal_members
from slowfolio.physics.results import CookResult
from slowfolio.physics.schedule import Schedule, StageKind

Array = NDArray[np.float64]

MINUTE_S = 60.0
DIP_K, DIP_S = 30.0, 420.0
WANDER_K, WANDER_S = 2.0, 1800.0
AIR_NOISE_K, CORE_NOISE_K, AIR_PLACE_K = 0.8, 0.3, 1.5
OWN = ("fat", "release", "wrap", "reaction", "collagen", "probe")


@dataclass(frozen=True)
class TruePit:
    """How a pit really differs from its card: K, logarithms, and K at a pit 100 K above the room."""

    offset_k: float = 0.0
    convection: float = 0.0
    humidity: float = 0.0
    above_k: float = 0.0
    below_k: float = 0.0


@dataclass(frozen=True)
class Simulated:
    """One cook: what the recorder wrote, the card beside it, and the true time off the pit."""

    cook: Cook
    recording: Recording
    pull_s: float


def simulated_cooks(
    book: Book,
    method_id: str,
    true: TruePit,
    *,
    count: int,
    seed: int,
    conditions: Conditions | None = None,
    daily: float = 0.6,
) -> list[Simulated]:
    """Several days at one pit. Each day has its own drift, moisture, thickness, animal and hands."""
    rng = np.random.default_rng(seed)
    method = book.methods[method_id]
    given = conditions or Conditions()
    schedule = schedule_of(method, book, given)
    joint = joint_of(method, book, given)
    drawn = drawn_members(schedule, true, count, rng, daily)
    cooked = simulate(joint, true_schedule(schedule, true), drawn)
    return [
        written_down(book, method_id, cooked, member, rng, weight_kg=joint.weight_kg)
        for member in range(count)
    ]


def drawn_members(
    schedule: Schedule, true: TruePit, count: int, rng: np.random.Generator, daily: float
) -> Members:
    """The days: the pit's own habit and each day's deviation from it, the animal, the cook's hands."""
    place = schedule.stages[0].environment
    values: dict[str, Array] = {}
    for name in OWN:
        item = INPUT_SPREADS[name]
        draw = np.clip(rng.standard_normal(count), -2, 2)
        values[name] = item.nominal * np.exp(item.spread * draw) if item.logarithmic else (
            item.nominal + item.spread * draw
        )  # fmt: skip
    values["thickness"] = np.exp(0.03 * rng.standard_normal(count))
    values["convection"] = np.exp(true.convection + 0.08 * rng.standard_normal(count))
    values["pit_drift"] = true.offset_k + daily * place.drift_sd_k * rng.standard_normal(count)
    values["humidity"] = true.humidity + daily * place.humidity_spread * rng.standard_normal(count)
    return replace(nominal_members(count), **values)


def true_schedule(schedule: Schedule, true: TruePit) -> Schedule:
    """The schedule in the true pit; drift and moisture come with the members, in K and as a logarithm."""

    def changed(place: object) -> object:
        return replace(
            place,  # type: ignore[type-var]
            drift_sd_k=1.0,
            humidity_spread=1.0,
            upper_wall_offset_k=place.upper_wall_offset_k + true.above_k,  # type: ignore[attr-defined]
            lower_wall_offset_k=place.lower_wall_offset_k + true.below_k,  # type: ignore[attr-defined]
            flank_wall_offset_k=place.flank_wall_offset_k + 0.5 * (true.above_k + true.below_k),  # type: ignore[attr-defined]
        )

    stages = [
        replace(stage, environment=changed(stage.environment))
        if stage.kind is StageKind.COOK
        else replace(stage, environment=replace(stage.environment, drift_sd_k=0.0, humidity_spread=0.0))
        for stage in schedule.stages
    ]
    return replace(schedule, stages=tuple(stages))


def written_down(
    book: Book, method_id: str, cooked: CookResult, member: int, rng: np.random.Generator, *, weight_kg: float
) -> Simulated:
    """One day as the recorder and the scales have it, a reading a minute."""
    ends_s = cooked.ends.time_h[:, member] * 3600.0
    time_s = np.arange(0.0, ends_s[-1], MINUTE_S)
    line_s = cooked.timeline.time_h * 3600.0
    thick = np.interp(time_s, line_s, cooked.timeline.core_c[:, member])
    thin = np.interp(time_s, line_s, cooked.timeline.thin_c[:, member])
    air, doors = air_of(cooked, member, time_s, rng)
    pull_s = float(ends_s[cooked.pull_index])
    events = events_of(cooked, ends_s, doors)
    recording = Recording(
        time_s=time_s,
        pit_c=air,
        thick_c=thick + CORE_NOISE_K * rng.standard_normal(time_s.size),
        thin_c=thin + CORE_NOISE_K * rng.standard_normal(time_s.size),
        humidity=np.full(time_s.size, np.nan),
        began=None,
        events=events,
    )
    method = book.methods[method_id]
    left = float(cooked.ends.mass_kg[cooked.pull_index, member])
    cook = Cook(
        origin=Origin("cooks/simulated.yaml", "", {}),
        id=f"simulated-{member}",
        title="A simulated cook",
        method=method_id,
        date=method.reviewed,
        pit=method.pit,
        holder=method.hold.holder if method.hold else None,
        cooked_by="",
        invented=True,
        piece=CookedPiece(
            weight_before_kg=weight_kg,
            weight_after_kg=left * (1 + 0.004 * float(rng.standard_normal())),
            weighed="off the pit",
            thickness_m=cooked.joint.thickness_m,
            start_temp_c=cooked.schedule.start_temp_c,
        ),
        weather=Weather(),
        log=LogRecipe("", "", "table", "utf-8", "comma", "point", 1, "date and clock", "", "s", "°F", {}),
        events=tuple(CookEvent(event.what, event.at_s, event.found) for event in events),
        corrections=(),
        notes=(),
    )
    return Simulated(cook, recording, pull_s)


def air_of(
    cooked: CookResult, member: int, time_s: Array, rng: np.random.Generator
) -> tuple[Array, list[float]]:
    """The air beside the piece: pit, then room, then holder; with doors, a wandering fire and noise."""
    ends_s = cooked.ends.time_h[:, member] * 3600.0
    starts_s = np.concatenate(([0.0], ends_s[:-1]))
    air = np.full(time_s.shape, cooked.schedule.stages[0].pit_temp_c)
    doors: list[float] = []
    before = cooked.schedule.stages[0]
    for stage, start, end in zip(cooked.schedule.stages, starts_s, ends_s, strict=True):
        at_stage = (time_s >= start) & (time_s < end)
        drift = float(cooked.members.pit_drift[member]) if stage.kind is StageKind.COOK else 0.0
        target = stage.pit_temp_c + drift
        begun = air[max(0, int(np.argmax(at_stage)) - 1)] if start > 0 else target
        response_s = stage.environment.response_s if stage.kind is StageKind.COOK else 90.0
        air[at_stage] = target + (begun - target) * np.exp(-(time_s[at_stage] - start) / response_s)
        if start > 0 and stage.kind is StageKind.COOK and stage.wrap != before.wrap:
            doors.append(float(start))
        before = stage
        for door in stage.doors:
            every = door.every_s or 1e9
            doors += list(np.arange(start + door.first_s, end - 300.0, every))
    for door_s in doors:
        since = time_s - door_s
        air -= np.where(since >= 0, DIP_K * np.exp(-np.maximum(since, 0.0) / DIP_S), 0.0)
    on_pit = time_s < ends_s[cooked.pull_index]
    air += np.where(on_pit, wander(time_s.size, rng), 0.0) + AIR_NOISE_K * rng.standard_normal(time_s.size)
    air += np.where(on_pit, AIR_PLACE_K * float(rng.standard_normal()), 0.0)
    return air, doors


def wander(count: int, rng: np.random.Generator) -> Array:
    """A fire's slow ups and downs, a first-order process."""
    keep = float(np.exp(-MINUTE_S / WANDER_S))
    steps = WANDER_K * np.sqrt(1 - keep**2) * rng.standard_normal(count)
    values = np.zeros(count)
    for index in range(1, count):
        values[index] = keep * values[index - 1] + steps[index]
    return values


def events_of(cooked: CookResult, ends_s: Array, doors: Sequence[float]) -> tuple[Event, ...]:
    """What the cook would note: on, wrap, off, vent, hold, end."""
    stages = cooked.schedule.stages
    events = [Event("meat on", 0.0, "noted"), *(Event("door", float(door)) for door in doors)]
    for index in range(1, len(stages)):
        before, stage = stages[index - 1], stages[index]
        if stage.kind is StageKind.COOK and stage.wrap != before.wrap:
            events.append(Event("wrap", float(ends_s[index - 1]), "noted"))
        if stage.kind is StageKind.HOLD:
            events.append(Event("hold", float(ends_s[index - 1]), "noted"))
    events.append(Event("finish", float(ends_s[cooked.pull_index]), "noted"))
    events.append(Event("end", float(ends_s[-1]), "noted"))
    return tuple(sorted(events, key=lambda event: event.at_s))


def log_text(recording: Recording, stamp: Mapping[int, str]) -> str:
    """A recording as the lines of a table in °F under the headings Time, Grate, Probe 1, Probe 2."""
    lines = ["Time,Grate,Probe 1,Probe 2"]
    for index in range(recording.time_s.size):
        figures = (recording.pit_c[index], recording.thick_c[index], recording.thin_c[index])
        cells = ["" if np.isnan(value) else f"{value * 1.8 + 32:.1f}" for value in figures]
        lines.append(",".join([stamp[index], *cells]))
    return "\n".join(lines) + "\n"
