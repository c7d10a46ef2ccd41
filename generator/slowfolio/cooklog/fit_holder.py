"""What a holder is really like, learnt from holds recorded in it: offset, draught, lining, moisture, leaks.

Each cook is first brought to the end of its vent as it was run and as its own log explains it best; then its
hold is run in variants side by side. Priors come from the holder's card. Called by `log fit --holder`.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from slowfolio.book import model as cards
from slowfolio.cooklog.as_run import as_run, conditions_of
from slowfolio.cooklog.draught import draught_for
from slowfolio.cooklog.estimate import Slopes, solve
from slowfolio.cooklog.fit_pit import Finding, LeftOut, PitFit, mean_misfit
from slowfolio.cooklog.observed import PROBE_SD_K, block_diagonal, hanging
from slowfolio.cooklog.parameters import SURENESS
from slowfolio.cooklog.recording import Recording, at_times
from slowfolio.cooklog.remarks import LogError
from slowfolio.cooklog.variants import members_of
from slowfolio.forecast.hold_advice import Wish, hand_setting
from slowfolio.forecast.holders import cabinet_of, room_of
from slowfolio.forecast.inputs import middle, schedule_of
from slowfolio.physics.cabinet import Load, Setting
from slowfolio.physics.cabinet_reading import Reading, air_exchange_from_reading
from slowfolio.physics.cook import side_by_side, simulate
from slowfolio.physics.humid_air import saturation_pressure_pa
from slowfolio.physics.results import CookResult
from slowfolio.physics.schedule import Schedule, Stage, StageKind, until_time

Array = NDArray[np.float64]

HOLD_SHARED = ("offset_k", "convection", "wall_k", "humidity")
HOLD_PRIORS = {"offset_k": 5.0, "convection": 0.4, "wall_k": 4.0, "humidity": 0.35}
"""CALIBRATED, no source: how far a holder lies from its card, one standard deviation; dials of small cabinets
are off by 10 °F, and nobody has measured their draught."""
STEPS = {"offset_k": 3.0, "convection": 0.2, "wall_k": 2.0, "humidity": 0.2}
WARMER_K = 6.0
"""How much hotter a pit the second member comes from, for the slope with what the piece brings along."""
COOK_LEFTOVER_SD = 0.5
HOLD_SD_K, HOLD_HANGS_S = 1.0, 2 * 3600.0
HUMIDITY_SD = 0.05
AIR_SD_K = 1.5
SETTLED_S, POINT_S = 1200.0, 1200.0
SHORTEST_HOLD_S = 3600.0
ROUNDS = 2


@dataclass(frozen=True, slots=True)
class HolderFit(PitFit):
    """What the holds say of a holder; `exchange` is what a hygrometer in it tells of its air exchange."""

    exchange: Reading | None = None


@dataclass(frozen=True, slots=True)
class HeldCase:
    """One recorded hold: the piece as it came in, the hold as written, and what the log says of it."""

    cook: cards.Cook
    before: CookResult
    stage: Stage
    part: tuple[str, ...]
    time_s: Array
    values: Array
    covariance: Array
    humidity: float | None

    @property
    def whitener(self) -> Array:
        """The matrix that turns errors into independent ones of size one."""
        return np.asarray(np.linalg.inv(np.linalg.cholesky(self.covariance)), dtype=np.float64)


def fit_holder(
    holder_id: str,
    cooks: Sequence[tuple[cards.Cook, Recording]],
    book: cards.Book,
    *,
    progress: Callable[[float], None] = lambda _: None,
) -> HolderFit:
    """Fit a holder to the holds recorded in it. Raises LogError for a cook that was not held in it or whose
    log does not show the hold.
    """
    holder = book.holders[holder_id]
    cases: list[HeldCase] = []
    for number, (cook, recording) in enumerate(cooks, start=1):
        if cook.holder != holder_id:
            raise LogError(
                f"{cook.id} was held in {cook.holder or 'nothing'}, not in {holder_id}: leave it out"
            )
        cases.append(held_case(cook, recording, book))
        progress(0.6 * number / len(cooks))
    shared_sd = np.array([prior for _, prior in priors_of(holder)])
    shared = np.zeros(len(HOLD_SHARED))
    owns = [np.zeros(1) for _ in cases]
    slopes: list[Slopes] = []
    first = 0.0
    for number in range(ROUNDS):
        slopes = [slopes_at(case, shared, own) for case, own in zip(cases, owns, strict=True)]
        if number == 0:
            first = mean_misfit(slopes)
        found = solve(slopes, shared_sd)
        shared, owns = found.shared, list(found.own)
        progress(0.6 + 0.3 * (number + 1) / ROUNDS)
    after = [each.moved_to(shared, own) for each, own in zip(slopes, owns, strict=True)]
    return HolderFit(
        pit=holder_id,
        cooks=tuple(case.cook.id for case in cases),
        findings=tuple(
            Finding(name, float(shared[index]), float(shared_sd[index]), float(found.sd[index]))
            for index, name in enumerate(HOLD_SHARED)
        ),
        covariance=tuple(tuple(float(value) for value in row) for row in found.covariance),
        left_out=tuple(leave_out(number, cases, slopes, shared_sd) for number in range(len(cases))),
        misfit_before=first,
        misfit_after=mean_misfit(after),
        exchange=exchange_of(holder, cases, book),
    )


def priors_of(holder: cards.Holder) -> list[tuple[str, float]]:
    """The prior standard deviation of each parameter, narrower where the card's figure was measured."""
    known = holder.air_offset_k
    origins = {
        "offset_k": None if known is None else known.provenance,
        "convection": holder.draught_m_s.provenance,
        "wall_k": holder.wall_offset_k.provenance,
        "humidity": None,
    }
    return [
        (name, HOLD_PRIORS[name] * (1.0 if (origin := origins[name]) is None else SURENESS[origin]))
        for name in HOLD_SHARED
    ]


def held_case(cook: cards.Cook, recording: Recording, book: cards.Book) -> HeldCase:
    """A hold ready for the fit: two pieces brought to its start, one of them somewhat hotter."""
    run = as_run(cook, recording, book)
    hold_s, end_s = recording.event_s("hold"), recording.event_s("end")
    if hold_s is None:
        raise LogError(f"{cook.id}: the card does not say when the hold began: add the event hold")
    until_s = (end_s if end_s is not None else float(recording.time_s[-1])) - hold_s
    if until_s < SHORTEST_HOLD_S:
        raise LogError(f"{cook.id}: the log shows less than an hour of the hold: nothing to learn from it")
    schedule = schedule_of(book.methods[cook.method], book, conditions_of(cook, recording))
    hold = next((stage for stage in schedule.stages if stage.kind is StageKind.HOLD), None)
    if hold is None:
        raise LogError(f"{cook.id}: the method {cook.method} has no hold on its card")
    vents = [stage for stage in schedule.stages if stage.kind is StageKind.VENT]
    vent_s = max(60.0, hold_s - run.on_s - run.pull_s)
    stages = [*run.schedule.stages]
    if vents:
        stages.append(replace(vents[0], until=until_time(vent_s)))
    before = simulate(
        run.joint, Schedule(tuple(stages), run.schedule.start_temp_c, run.schedule.pressure_pa,
                            run.schedule.room_temp_c),
        members_of([{}, {"offset_k": WARMER_K}]),
    )  # fmt: skip
    return observed_hold(cook, recording, before, replace(hold, until=until_time(until_s)), hold_s, until_s)


def observed_hold(
    cook: cards.Cook, recording: Recording, before: CookResult, stage: Stage, hold_s: float, until_s: float
) -> HeldCase:
    """What the log says of the hold: the core every twenty minutes, the air, the humidity."""
    grid_s = np.arange(SETTLED_S, until_s, POINT_S)
    parts: list[str] = []
    times: list[Array] = []
    values: list[Array] = []
    blocks: list[Array] = []
    core = at_times(recording, "thick", hold_s + grid_s)
    good = np.isfinite(core)
    if good.sum() >= 2:
        parts += ["thick"] * int(good.sum())
        times.append(grid_s[good])
        values.append(core[good])
        blocks.append(
            hanging(grid_s[good], HOLD_SD_K, HOLD_HANGS_S) + PROBE_SD_K**2 * np.eye(int(good.sum()))
        )
    air = at_times(recording, "pit", hold_s + grid_s)
    if np.isfinite(air).sum() >= 3:
        parts.append("air")
        times.append(np.array([until_s]))
        values.append(np.array([float(np.nanmedian(air))]))
        blocks.append(np.array([[AIR_SD_K**2]]))
    damp = at_times(recording, "humidity", hold_s + grid_s)
    humidity = float(np.nanmedian(damp)) if np.isfinite(damp).sum() >= 3 else None
    if humidity is not None:
        parts.append("humidity")
        times.append(np.array([until_s]))
        values.append(np.array([math.log(max(humidity, 0.01))]))
        blocks.append(np.array([[(HUMIDITY_SD / max(humidity, 0.05)) ** 2]]))
    if not parts:
        raise LogError(f"{cook.id}: the log has no reading in the hold: nothing to learn from it")
    return HeldCase(
        cook,
        before,
        stage,
        tuple(parts),
        np.concatenate(times),
        np.concatenate(values),
        block_diagonal(blocks),
        humidity,
    )


def slopes_at(case: HeldCase, shared: Array, own: Array) -> Slopes:
    """The errors of one hold at a point, and how they move with every parameter, on the engine."""
    here = dict(zip(HOLD_SHARED, shared.tolist(), strict=True))
    variants = [here, *({**here, name: here[name] + STEPS[name]} for name in HOLD_SHARED)]
    rows = hold_rows(case, variants)
    whiten = case.whitener
    middle, brought = rows[:, 0, 0], rows[:, 0, 1] - rows[:, 0, 0]
    by_shared = np.column_stack(
        [(rows[:, at, 0] - middle) / STEPS[name] for at, name in enumerate(HOLD_SHARED, start=1)]
    )
    return Slopes(
        residual=whiten @ (case.values - middle - own[0] * brought),
        by_shared=whiten @ by_shared,
        by_own=(whiten @ brought)[:, None],
        shared_at=shared.copy(),
        own_at=own.copy(),
        own_sd=np.array([COOK_LEFTOVER_SD]),
    )


def hold_rows(case: HeldCase, variants: Sequence[dict[str, float]]) -> Array:
    """What the log would say of every variant, for the piece as cooked and for the hotter one, (N, V, 2)."""
    stages = tuple(changed(case.stage, variant) for variant in variants)
    held = side_by_side(case.before, stages, np.array([0, 1]))
    line_s = held.timeline.time_h * 3600.0
    rows = np.zeros((len(case.part), len(variants), 2))
    for at, variant in enumerate(variants):
        for member in (0, 1):
            course = held.timeline.core_c[:, 2 * at + member]
            for row, part in enumerate(case.part):
                if part == "thick":
                    rows[row, at, member] = np.interp(case.time_s[row], line_s, course)
                elif part == "air":
                    rows[row, at, member] = stages[at].pit_temp_c
                else:
                    rows[row, at, member] = math.log(humidity_in(stages[at], case.stage, variant))
    return rows


def humidity_in(stage: Stage, written: Stage, variant: dict[str, float]) -> float:
    """The relative humidity a hygrometer reads in a variant, at the air it really has."""
    vapour_pa = written.environment.vapour_pressure_pa * math.exp(variant["humidity"])
    return min(1.0, max(0.01, vapour_pa / float(saturation_pressure_pa(stage.pit_temp_c))))


def changed(stage: Stage, variant: dict[str, float]) -> Stage:
    """The hold in a holder so changed."""
    place = stage.environment
    draught = draught_for(place.draught_m_s, variant["convection"])
    ceiling = 0.9 * 101_325.0
    return replace(
        stage,
        pit_temp_c=stage.pit_temp_c + variant["offset_k"],
        environment=replace(
            place,
            draught_m_s=draught,
            upper_wall_offset_k=place.upper_wall_offset_k + variant["wall_k"],
            lower_wall_offset_k=place.lower_wall_offset_k + variant["wall_k"],
            flank_wall_offset_k=place.flank_wall_offset_k + variant["wall_k"],
            vapour_pressure_pa=min(place.vapour_pressure_pa * math.exp(variant["humidity"]), ceiling),
            drift_sd_k=0.0,
            humidity_spread=0.0,
        ),
    )


def leave_out(number: int, cases: Sequence[HeldCase], slopes: Sequence[Slopes], shared_sd: Array) -> LeftOut:
    """Forecast one hold by the card and by what the others taught; its own log is not used."""
    case = cases[number]
    others = [each for index, each in enumerate(slopes) if index != number]
    nothing = float("nan")
    if not others:
        return LeftOut(case.cook.id, nothing, nothing, nothing, nothing)
    taught = dict(zip(HOLD_SHARED, solve(others, shared_sd).shared.tolist(), strict=True))
    rows = hold_rows(case, [dict.fromkeys(HOLD_SHARED, 0.0), taught])[:, :, 0]
    core = np.array([part == "thick" for part in case.part])
    if not core.any():
        return LeftOut(case.cook.id, nothing, nothing, nothing, nothing)
    errors = [float(np.sqrt(np.mean((rows[core, at] - case.values[core]) ** 2))) for at in (0, 1)]
    return LeftOut(case.cook.id, nothing, nothing, errors[0], errors[1])


def exchange_of(holder: cards.Holder, cases: Sequence[HeldCase], book: cards.Book) -> Reading | None:
    """What a hygrometer tells of the air exchange: the holder's balance turned round, the meat's share in it.

    Only where nothing regulates the humidity; pans are taken to be of the middle size the card gives.
    """
    read = [case for case in cases if case.humidity is not None]
    if not read or holder.humidity_by not in {"none", "sealed", "pan"}:
        return None
    case = read[0]
    air_c = case.stage.pit_temp_c
    wish = Wish(pan_area_m2=None if holder.pan_area_m2 is None else middle(holder.pan_area_m2.value))
    cabinet = cabinet_of(holder)
    held = side_by_side(case.before, (case.stage,), np.array([0]))
    lost_kg = float(case.before.ends.mass_kg[-1, 0] - held.ends.mass_kg[-1, 0])
    load = Load(given_kg_s=max(0.0, lost_kg) / (float(held.ends.time_h[-1, 0]) * 3600.0))
    return air_exchange_from_reading(
        cabinet,
        hand_setting(cabinet, air_c, wish) or Setting(air_c),
        float(np.median([each.humidity for each in read if each.humidity is not None])),
        room=room_of(book.card),
        load=load,
    )
