"""A recorded cook held against its forecast: which events lie in their windows, what explains the rest best.

The forecast is the method's own for the piece as weighed. Explanations are tried one by one on the engine,
each weighed by how far such a thing usually lies from the card. Called by `log against` and by the site.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slowfolio.book import model as cards
from slowfolio.cooklog.as_run import AsRun, as_run, conditions_of
from slowfolio.cooklog.estimate import Slopes, misfit, solve
from slowfolio.cooklog.observed import Observed, later, observed, predicted
from slowfolio.cooklog.parameters import PARAMETERS, cook_spreads
from slowfolio.cooklog.recording import Recording
from slowfolio.cooklog.variants import Variant, cook_variants
from slowfolio.forecast.run import run_method
from slowfolio.forecast.stall import stall_window_h
from slowfolio.physics.recording import wrap_stage
from slowfolio.physics.results import CookResult
from slowfolio.physics.schedule import StageKind

Array = NDArray[np.float64]
HOUR_S = 3600.0
MEMBERS = 48
TRIED_SHARE = 0.7
"""CALIBRATED: slopes are taken over this part of a usual deviation, so that they see the course bend."""
FARTHEST = 3.5
"""Standard deviations: further than this an explanation is no longer believed."""
WORTH_SHARE = 0.10
"""CALIBRATED: an explanation that takes off less than a tenth of the misfit explains nothing."""
NOTHING_TO_EXPLAIN, INSIDE_SHARE = 1.5, 0.8
"""CALIBRATED: with a mean whitened error below this and four events in five inside, a cook went as
forecast."""


@dataclass(frozen=True, slots=True)
class Window:
    """One event: what it was in the cook, and the forecast's P10, P50 and P90; s, °C or a fraction."""

    what: str
    dimension: str
    measured: float
    low: float
    middle: float
    high: float

    @property
    def inside(self) -> bool:
        """Whether the cook lies where eight in ten should."""
        return self.low <= self.measured <= self.high


@dataclass(frozen=True, slots=True)
class Explanation:
    """One way the cook may have differed from its cards: how far, and what of the misfit it explains.

    `amount` is in the unit of the parameter; `deviation` the same in usual deviations; `explains` the share
    of the misfit that goes when the engine cooks it so, the unlikeliness of the deviation counted.
    """

    parameter: str
    words: str
    amount: float
    deviation: float
    explains: float


@dataclass(frozen=True, slots=True)
class Course:
    """Measured and forecast cores at the same times, for tables and charts; NaN where none was measured."""

    time_s: Array
    measured_c: Array
    low_c: Array
    middle_c: Array
    high_c: Array


@dataclass(frozen=True, slots=True)
class Against:
    """The whole comparison of one cook. `misfit`: mean size of the whitened errors, nothing explained."""

    cook: str
    method: str
    engine: str
    members: int
    windows: tuple[Window, ...]
    explanations: tuple[Explanation, ...]
    together: tuple[Explanation, ...]
    misfit: float
    core_rms_k: float
    course: Course

    @property
    def as_forecast(self) -> bool:
        """Whether there is hardly anything to explain: small errors, and events where they should lie."""
        inside = sum(window.inside for window in self.windows)
        return self.misfit < NOTHING_TO_EXPLAIN and inside >= INSIDE_SHARE * len(self.windows)


def against(
    cook: cards.Cook,
    recording: Recording,
    book: cards.Book,
    *,
    members: int = MEMBERS,
    seed: int = 1,
    progress: Callable[[float], None] = lambda _: None,
) -> Against:
    """Hold a recorded cook against its method. Raises LogError for a log without start or finish,
    PhysicsInputError where card and piece make no cook.
    """
    run = as_run(cook, recording, book)
    forecast = run_method(
        book.methods[cook.method],
        book,
        members=members,
        seed=seed,
        conditions=conditions_of(cook, recording),
        progress=lambda share: progress(0.6 * share),
    )
    data = observed(cook, recording, run)
    explained = explain(cook, book, run, data)
    progress(1.0)
    return Against(
        cook=cook.id,
        method=cook.method,
        engine=forecast.engine_version,
        members=members,
        windows=windows_of(cook, recording, run, forecast),
        explanations=explained[0],
        together=explained[1],
        misfit=explained[2],
        core_rms_k=explained[3],
        course=course_of(recording, run, forecast),
    )


# --- windows ----------------------------------------------------------------------------------------


def windows_of(
    cook: cards.Cook, recording: Recording, run: AsRun, forecast: CookResult
) -> tuple[Window, ...]:
    """Every event that the log has and the forecast has too."""
    line, ends = forecast.timeline, forecast.ends
    pull_h = forecast.finish_h
    stall = stall_window_h(line.time_h, line.core_c, pull_h)
    kinds = [stage.kind for stage in forecast.schedule.stages]
    wrapping = wrap_stage(forecast.schedule)
    times: list[tuple[str, str, Array | None]] = [
        ("stall start", "the stall begins", stall[0]),
        ("stall end", "the stall ends", stall[1]),
        ("wrap", "wrapped", None if wrapping is None or kinds[wrapping + 1] is not StageKind.COOK
         else ends.time_h[wrapping]),
        ("finish", "off the pit", pull_h),
        ("hold", "into the hold", ends.time_h[kinds.index(StageKind.HOLD) - 1] if StageKind.HOLD in kinds
         else None),
    ]  # fmt: skip
    found: list[Window] = []
    for event, words, hours in times:
        at_s = recording.event_s(event)
        if at_s is None or hours is None or np.isfinite(hours).mean() < 0.5:
            continue
        found.append(window(words, "duration", at_s - run.on_s, hours[np.isfinite(hours)] * HOUR_S))
    core = core_at(recording, run.on_s + run.pull_s)
    if core is not None:
        found.append(window("core off the pit", "temperature", core, ends.core_c[forecast.pull_index]))
    left = weighed(cook, forecast)
    if left is not None:
        found.append(window("yield", "fraction", left[0], left[1]))
    return tuple(found)


def window(what: str, dimension: str, measured: float, values: Array) -> Window:
    """A measured value beside the percentiles of the forecast's."""
    low, middle, high = (float(value) for value in np.percentile(values, [10.0, 50.0, 90.0]))
    return Window(what, dimension, float(measured), low, middle, high)


def core_at(recording: Recording, at_s: float) -> float | None:
    """The core as it was read just before a moment."""
    good = np.isfinite(recording.thick_c) & (np.abs(recording.time_s - at_s + 120.0) <= 600.0)
    return float(np.median(recording.thick_c[good])) if good.any() else None


def weighed(cook: cards.Cook, forecast: CookResult) -> tuple[float, Array] | None:
    """The measured yield and the forecast's at the same moment."""
    piece = cook.piece
    if not piece.weight_before_kg or not piece.weight_after_kg:
        return None
    kinds = [stage.kind for stage in forecast.schedule.stages]
    last = {"off the pit": StageKind.COOK, "after the vent": StageKind.VENT, "after the hold": StageKind.HOLD}
    wanted = last[piece.weighed]
    if wanted not in kinds:
        return None
    index = len(kinds) - 1 - kinds[::-1].index(wanted)
    mass = forecast.ends.mass_kg[index] / forecast.joint.weight_kg
    return piece.weight_after_kg / piece.weight_before_kg, mass


def course_of(recording: Recording, run: AsRun, forecast: CookResult) -> Course:
    """Measured and forecast cores over the whole forecast."""
    line = forecast.timeline
    time_s = line.time_h * HOUR_S
    low, middle, high = line.percentiles("core_c")
    good = np.isfinite(recording.thick_c)
    measured = np.full(time_s.shape, np.nan)
    if good.sum() >= 2:
        seconds = recording.time_s[good] - run.on_s
        measured = np.interp(time_s, seconds, recording.thick_c[good], left=np.nan, right=np.nan)
    return Course(time_s, measured, low, middle, high)


# --- explanations -----------------------------------------------------------------------------------


def explain(
    cook: cards.Cook, book: cards.Book, run: AsRun, data: Observed
) -> tuple[tuple[Explanation, ...], tuple[Explanation, ...], float, float]:
    """Explanations alone, best first; all together; the misfit and the error of the core before them."""
    spreads = cook_spreads(cook, book)
    names = [name for name in spreads if name != "late_s"]
    tried: list[Variant] = [{}, *({name: TRIED_SHARE * spreads[name]} for name in names)]
    first = cook_variants(run, tried)
    rows, whiten = predicted(data, first), data.whitener
    error = whiten @ (data.values - rows[:, 0])
    slopes = {
        name: whiten @ (rows[:, column] - rows[:, 0]) / (TRIED_SHARE * spreads[name])
        for column, name in enumerate(names, start=1)
    }
    base = first.one(0)
    slopes["late_s"] = whiten @ (later(data, base, 300.0) - rows[:, 0]) / 300.0
    before = misfit(error)
    alone = tuple(single(name, spreads[name], slopes[name], error) for name in (*names, "late_s"))
    second = cook_variants(run, [{name: amount} for name, amount in alone if name != "late_s"])
    cooked = whiten @ (data.values[:, None] - predicted(data, second))
    places = {name: column for column, name in enumerate(n for n, _ in alone if n != "late_s")}
    found = []
    for name, amount in alone:
        deviation = amount / spreads[name]
        if name == "late_s":
            after = misfit(whiten @ (data.values - later(data, base, amount)))
        else:
            after = misfit(cooked[:, places[name]])
        found.append(
            explanation(name, amount, deviation, (before - after - deviation**2) / max(before, 1e-9))
        )
    found.sort(key=lambda each: -each.explains)
    together = all_at_once([*names, "late_s"], spreads, slopes, error)
    core = np.array([part == "thick" for part in data.part])
    rms = float(np.sqrt(np.mean((data.values - rows[:, 0])[core] ** 2))) if core.any() else float("nan")
    return tuple(found), together, float(np.sqrt(before / max(data.values.size, 1))), rms


def single(name: str, spread: float, slope: Array, error: Array) -> tuple[str, float]:
    """How far one parameter alone moves towards the log, its usual spread held against it."""
    amount = float(slope @ error / (slope @ slope + 1.0 / spread**2))
    return name, float(np.clip(amount, -FARTHEST * spread, FARTHEST * spread))


def all_at_once(
    names: Sequence[str], spreads: dict[str, float], slopes: dict[str, Array], error: Array
) -> tuple[Explanation, ...]:
    """The likeliest deviations of all parameters together, those worth a word, furthest first."""
    own = np.column_stack([slopes[name] for name in names])
    sd = np.array([spreads[name] for name in names])
    cook = Slopes(error, np.zeros((error.size, 1)), own, np.zeros(1), np.zeros(sd.size), sd)
    amounts = solve([cook], np.ones(1)).own[0]
    before = misfit(error)
    found = []
    for index, name in enumerate(names):
        kept = amounts.copy()
        kept[index] = 0.0
        worth = misfit(error - own @ kept) - misfit(error - own @ amounts)
        found.append(
            explanation(name, float(amounts[index]), float(amounts[index] / sd[index]), worth / before)
        )
    found.sort(key=lambda each: -abs(each.deviation))
    return tuple(each for each in found if abs(each.deviation) >= 0.5)


def explanation(name: str, amount: float, deviation: float, explains: float) -> Explanation:
    """An explanation with its words."""
    parameter = PARAMETERS[name]
    words = parameter.more if amount > 0 else parameter.less
    return Explanation(name, words, amount, deviation, explains)
