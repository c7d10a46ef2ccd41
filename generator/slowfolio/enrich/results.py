"""What the computation says about one method: the values that JSON output, the cache and pages are made of.

Only data lives here. `pipeline` fills it, `cache` stores it, `site` and `cli` show it. A `Figure` is SI with
its dimension (times are "duration", seconds from the moment the piece goes on the pit); plain floats carry
their unit in the name; scores run from 0 to 100.
"""

from dataclasses import dataclass

from slowfolio.forecast.planning.basis import PlanBasis
from slowfolio.provenance import Figure
from slowfolio.safety.verdict import Verdict


@dataclass(frozen=True, slots=True)
class AirResult:
    """The humid air around the meat in one stage or in the hold."""

    dry_bulb: Figure
    dew_point: Figure
    relative_humidity: Figure
    wet_bulb: Figure
    vapour_pressure: Figure
    humidity_ratio: Figure
    boiling_point_c: float


@dataclass(frozen=True, slots=True)
class StageResult:
    """One stage as computed: when it starts and ends, and what the piece is like at its end.

    `kind` is "cook", "vent" or "hold". `ended_by` says which condition ended it for most members: "time",
    "core temperature", "probe tender" or "at most".
    """

    name: str
    kind: str
    start: Figure
    end: Figure
    duration: Figure
    core_end: Figure
    thin_end: Figure
    mass_left: Figure
    ended_by: str
    air: AirResult


@dataclass(frozen=True, slots=True)
class Band:
    """A computed course over time: 10th, 50th and 90th percentile at the times of the series."""

    p10: tuple[float, ...]
    p50: tuple[float, ...]
    p90: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Series:
    """Courses over the cook and the hold, sampled at the same times (h)."""

    time_h: tuple[float, ...]
    pit_c: tuple[float, ...]
    thick_c: Band
    thin_c: Band
    surface_c: Band


@dataclass(frozen=True, slots=True)
class Section:
    """A lengthwise cross-section of the piece at one moment, for the median member.

    `length_m` are the column centres from the thin end, `depth_m[column]` the node depths from the top,
    `temp_c[column][node]` and `moisture[column][node]` (kg water per kg of present mass) the fields.
    """

    name: str
    time_h: float
    length_m: tuple[float, ...]
    depth_m: tuple[tuple[float, ...], ...]
    temp_c: tuple[tuple[float, ...], ...]
    moisture: tuple[tuple[float, ...], ...]


@dataclass(frozen=True, slots=True)
class Influence:
    """How much of the spread of the finish one uncertain input explains (0 to 1), and the change of the
    finish in hours from its 10th to its 90th percentile."""

    name: str
    share: float
    effect_h: float


@dataclass(frozen=True, slots=True)
class Remark:
    """A stage that did not go as the card asks, in some or all of the simulated cooks.

    `code` is a `FindingCode` of the engine, `share` the part of the cooks it concerns, `core_c` their median
    core temperature then, `target_c` what the card asks (None: probe tender), `at_most_s` how long it was
    given.
    """

    code: str
    stage: str
    share: float
    core_c: float
    target_c: float | None
    at_most_s: float
    pit_c: float
    boiling_c: float
    falling: bool


@dataclass(frozen=True, slots=True)
class MethodResult:
    """Everything computed for one method on its own equipment at the book's altitude.

    `plan` is what the Plan page plans with; commands, which plan with the engine, go without.
    """

    method: str
    engine: str
    members: int
    seed: int
    stages: tuple[StageResult, ...]
    pull: Figure
    ready: Figure
    serve: Figure
    stall_start: Figure | None
    stall_end: Figure | None
    yield_fraction: Figure
    evaporated: Figure
    dripped: Figure
    rendered: Figure
    scores: dict[str, Figure]
    details: dict[str, Figure]
    series: Series
    sections: tuple[Section, ...]
    ranking: tuple[Influence, ...]
    remarks: tuple[Remark, ...]
    verdicts: tuple[Verdict, ...] = ()
    plan: PlanBasis | None = None
