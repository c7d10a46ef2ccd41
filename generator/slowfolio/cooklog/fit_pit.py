"""What a pit is really like, learnt from cooks recorded in it: offset of the air, draught, walls, moisture.

Priors come from the pit's card; each cook brings deviations of its own, which are estimated beside the pit's
and thrown away. Every cook is left out once, to see whether the others forecast it better than the card does.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from slowfolio.book import model as cards
from slowfolio.cooklog.as_run import AsRun, as_run, conditions_of
from slowfolio.cooklog.estimate import Estimate, Slopes, misfit, solve
from slowfolio.cooklog.observed import Observed, later, observed, predicted
from slowfolio.cooklog.parameters import SHARED, daily_spreads, pit_priors
from slowfolio.cooklog.recording import Recording
from slowfolio.cooklog.remarks import LogError
from slowfolio.cooklog.variants import Variant, cook_variants, members_of, with_walls
from slowfolio.forecast.inputs import joint_of, schedule_of
from slowfolio.physics.cook import simulate
from slowfolio.physics.schedule import StageKind

Array = NDArray[np.float64]

ROUNDS = 3
"""COMPUTED: a fourth round moves no parameter by a twentieth of its standard deviation."""
STEP_SHARE = 0.5
LATE_STEP_S = 300.0
NORMAL_90 = 1.6449
"""Half the width of the 90 % interval of a normal distribution, in standard deviations."""


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that stays with the pit: how far from the card, one sd of it before and after, 90 % interval.

    In the units of `PARAMETERS`: K, or a logarithm.
    """

    parameter: str
    shift: float
    prior_sd: float
    sd: float

    @property
    def low(self) -> float:
        """Lower end of the 90 % interval."""
        return self.shift - NORMAL_90 * self.sd

    @property
    def high(self) -> float:
        """Upper end of the 90 % interval."""
        return self.shift + NORMAL_90 * self.sd

    @property
    def learnt(self) -> float:
        """What part of the prior's variance the cooks took away, 0 to 1."""
        return 1.0 - (self.sd / self.prior_sd) ** 2


@dataclass(frozen=True, slots=True)
class LeftOut:
    """One cook forecast without its own log: errors by the card and by what the others taught.

    Finish in s (forecast less measured), the core's course as root mean square in K; NaN for a single cook.
    """

    cook: str
    finish_before_s: float
    finish_after_s: float
    core_before_k: float
    core_after_k: float


@dataclass(frozen=True, slots=True)
class PitFit:
    """What the cooks say of the pit, and how well that forecasts a cook that was left out."""

    pit: str
    cooks: tuple[str, ...]
    findings: tuple[Finding, ...]
    covariance: tuple[tuple[float, ...], ...]
    left_out: tuple[LeftOut, ...]
    misfit_before: float
    misfit_after: float

    @property
    def improved(self) -> float | None:
        """Root mean square of the left-out cores after over before; None where no cook could be left out."""
        return ratio([(each.core_before_k, each.core_after_k) for each in self.left_out])

    def shift(self, parameter: str) -> float:
        """How far one parameter is from the card."""
        return next(finding.shift for finding in self.findings if finding.parameter == parameter)


def ratio(pairs: Sequence[tuple[float, float]]) -> float | None:
    """Root mean square of the second figures over that of the first, where there are any."""
    good = [(before, after) for before, after in pairs if np.isfinite(before) and np.isfinite(after)]
    if not good:
        return None
    before, after = (float(np.sqrt(np.mean(np.square(each)))) for each in zip(*good, strict=True))
    return after / before if before > 0 else None


@dataclass(frozen=True, slots=True)
class Case:
    """One cook ready for the fit."""

    cook: cards.Cook
    recording: Recording
    run: AsRun
    data: Observed
    spreads: Mapping[str, float]

    @property
    def own_names(self) -> tuple[str, ...]:
        """The parameters that are the cook's own."""
        return tuple(self.spreads)

    @property
    def own_sd(self) -> Array:
        """Their prior standard deviations."""
        return np.array([self.spreads[name] for name in self.own_names])


def case_of(cook: cards.Cook, recording: Recording, book: cards.Book) -> Case:
    """A cook ready for the fit. Raises LogError for one without start, finish or readings."""
    run = as_run(cook, recording, book)
    data = observed(cook, recording, run)
    if data.values.size < 3:
        raise LogError(f"{cook.id}: fewer than three readings between meat on and finish: nothing to learn")
    return Case(cook, recording, run, data, daily_spreads(cook, book))


def fit_pit(
    pit_id: str,
    cooks: Sequence[tuple[cards.Cook, Recording]],
    book: cards.Book,
    *,
    progress: Callable[[float], None] = lambda _: None,
) -> PitFit:
    """Fit a pit to its cooks. Raises LogError for a cook of another pit or without start and finish."""
    pit = book.pits[pit_id]
    for cook, _ in cooks:
        if cook.pit != pit_id:
            raise LogError(f"{cook.id} was cooked in {cook.pit}, not in {pit_id}: leave it out")
    cases = [case_of(cook, recording, book) for cook, recording in cooks]
    priors = pit_priors(pit)
    shared_sd = np.array([priors[name] for name in SHARED])
    shared = np.zeros(len(SHARED))
    owns = [np.zeros(len(case.own_names)) for case in cases]
    first = 0.0
    slopes: list[Slopes] = []
    estimate: Estimate | None = None
    for round_number in range(ROUNDS):
        slopes = []
        for number, case in enumerate(cases):
            slopes.append(slopes_at(case, shared, owns[number], shared_sd))
            progress((round_number + (number + 1) / len(cases)) / (ROUNDS + 1))
        if round_number == 0:
            first = mean_misfit(slopes)
        estimate = solve(slopes, shared_sd)
        shared, owns = estimate.shared, list(estimate.own)
    assert estimate is not None
    left_out = tuple(leave_out(number, cases, slopes, shared_sd, book) for number in range(len(cases)))
    progress(1.0)
    after = [each.moved_to(shared, own) for each, own in zip(slopes, owns, strict=True)]
    return PitFit(
        pit=pit_id,
        cooks=tuple(case.cook.id for case in cases),
        findings=tuple(
            Finding(name, float(estimate.shared[index]), float(shared_sd[index]), float(estimate.sd[index]))
            for index, name in enumerate(SHARED)
        ),
        covariance=tuple(tuple(float(value) for value in row) for row in estimate.covariance),
        left_out=left_out,
        misfit_before=first,
        misfit_after=mean_misfit(after),
    )


def mean_misfit(slopes: Sequence[Slopes]) -> float:
    """The mean size of the whitened errors of all cooks."""
    total = sum(misfit(each.residual) for each in slopes)
    return float(np.sqrt(total / sum(each.residual.size for each in slopes)))


def slopes_at(case: Case, shared: Array, own: Array, shared_sd: Array) -> Slopes:
    """The errors of one cook at a point, and how they move with every parameter, on the engine."""
    here = variant_at(case, shared, own)
    names = [name for name in dict.fromkeys((*SHARED, *case.own_names)) if name != "late_s"]
    steps = {name: STEP_SHARE * float(sd) for name, sd in zip(SHARED, shared_sd, strict=True)}
    steps |= {name: STEP_SHARE * sd for name, sd in case.spreads.items() if name not in steps}
    variants: list[Variant] = [here]
    variants += [{**here, name: here.get(name, 0.0) + steps[name]} for name in names]
    courses = cook_variants(case.run, variants)
    late_s = own[case.own_names.index("late_s")]
    whiten = case.data.whitener
    moved = Observed(
        case.data.part,
        case.data.time_s + late_s,
        case.data.values,
        case.data.covariance,
        case.data.air_windows,
    )
    rows = predicted(moved, courses)
    by = {
        name: whiten @ (rows[:, column] - rows[:, 0]) / steps[name]
        for column, name in enumerate(names, start=1)
    }
    by["late_s"] = whiten @ (later(moved, courses.one(0), LATE_STEP_S) - rows[:, 0]) / LATE_STEP_S
    return Slopes(
        residual=whiten @ (case.data.values - rows[:, 0]),
        by_shared=np.column_stack([by[name] for name in SHARED]),
        by_own=np.column_stack([by[name] for name in case.own_names]),
        shared_at=shared.copy(),
        own_at=own.copy(),
        own_sd=case.own_sd,
    )


def variant_at(case: Case, shared: Array, own: Array) -> dict[str, float]:
    """Pit and day together as one variant."""
    found = dict(zip(SHARED, shared.tolist(), strict=True))
    for name, value in zip(case.own_names, own.tolist(), strict=True):
        if name != "late_s":
            found[name] = found.get(name, 0.0) + value
    return found


# --- cooks left out ---------------------------------------------------------------------------------


def leave_out(
    number: int, cases: Sequence[Case], slopes: Sequence[Slopes], shared_sd: Array, book: cards.Book
) -> LeftOut:
    """Forecast one cook by the card, and by what the other cooks taught; its own log is not used."""
    case = cases[number]
    others = [each for index, each in enumerate(slopes) if index != number]
    if not others:
        nothing = float("nan")
        return LeftOut(case.cook.id, nothing, nothing, nothing, nothing)
    taught = dict(zip(SHARED, solve(others, shared_sd).shared.tolist(), strict=True))
    rows = predicted(case.data, cook_variants(case.run, [{}, taught]))
    core = np.array([part == "thick" for part in case.data.part])
    errors = [float(np.sqrt(np.mean((rows[core, at] - case.data.values[core]) ** 2))) for at in (0, 1)]
    before_s, after_s = (finish_s(case, book, variant) for variant in ({}, taught))
    pull_s = case.run.pull_s
    return LeftOut(case.cook.id, before_s - pull_s, after_s - pull_s, errors[0], errors[1])


def finish_s(case: Case, book: cards.Book, variant: Variant) -> float:
    """When the method as written comes off the pit in a pit so changed, s: the nominal cook."""
    method, conditions = book.methods[case.cook.method], conditions_of(case.cook, case.recording)
    schedule = schedule_of(method, book, conditions)
    walls = (variant.get("above_k", 0.0), variant.get("below_k", 0.0))
    stages = []
    for stage in schedule.stages:
        if stage.kind is StageKind.COOK:
            place = replace(stage.environment, drift_sd_k=1.0, humidity_spread=1.0)
            stages.append(with_walls(replace(stage, environment=place), walls))
    cooked = simulate(
        joint_of(method, book, conditions), replace(schedule, stages=tuple(stages)), members_of([variant])
    )
    return float(cooked.finish_h[0]) * 3600.0
