"""A recorded cook as it was run: the card's stages with the lengths the log gives them, up to the pull.

Where the forecast lets a stage end by its target, the comparison of courses holds every stage to the time it
really took, so that what differs is the heat and not the clock. Called by `against` and the fits.
"""

from dataclasses import dataclass, replace

import numpy as np

from slowfolio.book import model as cards
from slowfolio.cooklog.recording import Recording, at_times
from slowfolio.cooklog.remarks import LogError
from slowfolio.forecast.inputs import Conditions, joint_of, schedule_of
from slowfolio.physics.joint import Joint
from slowfolio.physics.schedule import Schedule, Stage, StageKind, until_time

REACTION_S = 420.0
"""The cook acts some minutes after the target is met; the forecast's own median."""
SHORTEST_STAGE_S = 60.0
SHORTEST_COOK_S = 3600.0
MINUTE_S = 60.0


@dataclass(frozen=True, slots=True)
class AsRun:
    """What the engine needs to cook again what was cooked, and where in the log it lies.

    `schedule` holds the stages on the pit only, each timed, with a drift and a moisture spread of one, so
    that members state both directly (K, and the logarithm). `on_s` is when the meat went on, s from the first
    reading.
    """

    cook: str
    joint: Joint
    schedule: Schedule
    on_s: float
    ends_s: tuple[float, ...]

    @property
    def pull_s(self) -> float:
        """How long the piece was on the pit."""
        return self.ends_s[-1]


def conditions_of(cook: cards.Cook, recording: Recording) -> Conditions:
    """The piece and pit as recorded; the start temperature as measured, where it was."""
    start_c = cook.piece.start_temp_c
    if start_c is None:
        start_c = first_core_c(recording)
    return Conditions(
        weight_kg=cook.piece.weight_before_kg,
        thickness_m=cook.piece.thickness_m,
        start_temp_c=start_c,
        pit=cook.pit,
    )


def first_core_c(recording: Recording) -> float | None:
    """The core as it went on, read off the log; None where that is no temperature of raw meat."""
    on_s = recording.event_s("meat on") or 0.0
    early = at_times(recording, "thick", on_s + np.arange(0.0, 900.0, MINUTE_S))
    early = early[np.isfinite(early)]
    if early.size == 0:
        return None
    found = float(np.min(early))
    return found if -1.0 <= found <= 25.0 else None


def as_run(cook: cards.Cook, recording: Recording, book: cards.Book) -> AsRun:
    """The cook as it was run. Raises LogError where the log does not reach from meat on to the finish."""
    method = book.methods[cook.method]
    conditions = conditions_of(cook, recording)
    on_s, finish_s = recording.event_s("meat on"), recording.event_s("finish")
    if on_s is None or finish_s is None:
        raise LogError(
            f"{cook.id}: the card does not say when the piece went on and came off: add the events meat on "
            "and finish"
        )
    if finish_s - on_s < SHORTEST_COOK_S:
        raise LogError(
            f"{cook.id}: meat on and finish are {(finish_s - on_s) / 60:.0f} min apart: check both"
        )
    schedule = schedule_of(method, book, conditions)
    stages = tuple(stage for stage in schedule.stages if stage.kind is StageKind.COOK)
    ends = stage_ends_s(stages, recording, on_s=on_s, pull_s=finish_s - on_s)
    lengths = np.diff(np.concatenate(([0.0], ends)))
    timed = tuple(
        replace(
            stage,
            until=until_time(float(length)),
            environment=replace(stage.environment, drift_sd_k=1.0, humidity_spread=1.0),
        )
        for stage, length in zip(stages, lengths, strict=True)
        if length >= SHORTEST_STAGE_S
    )
    kept = tuple(float(end) for end, length in zip(ends, lengths, strict=True) if length >= SHORTEST_STAGE_S)
    return AsRun(
        cook=cook.id,
        joint=joint_of(method, book, conditions),
        schedule=replace(schedule, stages=timed),
        on_s=on_s,
        ends_s=kept,
    )


def stage_ends_s(
    stages: tuple[Stage, ...], recording: Recording, *, on_s: float, pull_s: float
) -> list[float]:
    """When each stage on the pit ended, s after meat on: noted, by its time, or by the core's own course."""
    wrap_s = recording.event_s("wrap")
    ends: list[float] = []
    for index, stage in enumerate(stages):
        begun = ends[-1] if ends else 0.0
        last = index == len(stages) - 1
        wraps_next = not last and stages[index + 1].wrap != stage.wrap
        if last:
            end = pull_s
        elif wraps_next and wrap_s is not None and wrap_s - on_s > begun:
            end = wrap_s - on_s
        elif stage.until.duration_s is not None:
            end = begun + stage.until.duration_s
        else:
            end = crossing_s(stage, recording, on_s=on_s, after_s=begun, before_s=pull_s)
        ends.append(min(max(end, begun), pull_s))
    return ends


def crossing_s(stage: Stage, recording: Recording, *, on_s: float, after_s: float, before_s: float) -> float:
    """When the measured core first met a stage's target; the stage's longest time where it never did."""
    target_c = stage.until.core_temp_c
    if target_c is not None and recording.has("thick"):
        times = np.arange(after_s, before_s, MINUTE_S)
        met = np.flatnonzero(at_times(recording, "thick", on_s + times) >= target_c)
        if met.size:
            return max(float(times[met[0]]) + REACTION_S, after_s + stage.until.at_least_s)
    return after_s + stage.until.at_most_s
