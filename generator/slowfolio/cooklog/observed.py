"""What a log says, as one vector with its errors, and what the engine would have it say.

Cores every quarter of an hour, the pit's air by stage, the weight at the pull. Errors are those of probes
plus what the model leaves out, which hangs together over an hour. Called by `against` and the fits.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slowfolio.book import model as cards
from slowfolio.cooklog.as_run import AsRun
from slowfolio.cooklog.recording import Recording, at_times
from slowfolio.cooklog.variants import Courses

Array = NDArray[np.float64]

QUARTER_S, MOST_POINTS = 900.0, 40
# CALIBRATED choices, no source: a kitchen probe, and what engine and one-place probe leave out of a course.
PROBE_SD_K = 0.5
THICK_SD_K, THICK_HANGS_S = 1.5, 3600.0
THIN_SD_K, THIN_HANGS_S = 4.0, 7200.0
AIR_SD_K, AIR_PLACE_SD_K = 1.5, 2.0
LEFT_SD = 0.015
SETTLED_S = 1800.0
AIR_STEP_S = 300.0


@dataclass(frozen=True, slots=True)
class Observed:
    """The vector of a log: what each part is, values, and the covariance of their errors, (N, N).

    `part` names the series of each value; `time_s` is s after meat on (the end of its stage for the air).
    """

    part: tuple[str, ...]
    time_s: Array
    values: Array
    covariance: Array
    air_windows: tuple[tuple[float, float], ...]

    @property
    def whitener(self) -> Array:
        """The matrix that turns errors into independent ones of size one, (N, N)."""
        return np.asarray(np.linalg.inv(np.linalg.cholesky(self.covariance)), dtype=np.float64)


def observed(cook: cards.Cook, recording: Recording, run: AsRun) -> Observed:
    """The vector of a recorded cook up to its pull."""
    step_s = max(QUARTER_S, run.pull_s / MOST_POINTS)
    grid_s = np.arange(QUARTER_S, run.pull_s, step_s)
    parts: list[str] = []
    times: list[Array] = []
    values: list[Array] = []
    blocks: list[Array] = []
    for role, sd_k, hangs_s in (("thick", THICK_SD_K, THICK_HANGS_S), ("thin", THIN_SD_K, THIN_HANGS_S)):
        found = typed(recording, role, run, grid_s)
        good = np.isfinite(found[1])
        if good.sum() >= 3:
            time_s = found[0][good]
            parts += [role] * time_s.size
            times.append(time_s)
            values.append(found[1][good])
            blocks.append(hanging(time_s, sd_k, hangs_s) + PROBE_SD_K**2 * np.eye(time_s.size))
    windows = air_windows(recording, run)
    if windows:
        parts += ["pit"] * len(windows)
        times.append(np.array([end for _, end in windows]))
        values.append(np.array([air_in(recording, run, window) for window in windows]))
        count = len(windows)
        blocks.append(AIR_SD_K**2 * np.eye(count) + AIR_PLACE_SD_K**2 * np.ones((count, count)))
    piece = cook.piece
    if piece.weight_before_kg and piece.weight_after_kg and piece.weighed == "off the pit":
        parts.append("left")
        times.append(np.array([run.pull_s]))
        values.append(np.array([piece.weight_after_kg / piece.weight_before_kg]))
        blocks.append(np.array([[LEFT_SD**2]]))
    nothing = [np.zeros(0)]
    return Observed(
        tuple(parts),
        np.concatenate(times or nothing),
        np.concatenate(values or nothing),
        block_diagonal(blocks),
        windows,
    )


def typed(recording: Recording, role: str, run: AsRun, grid_s: Array) -> tuple[Array, Array]:
    """Times and values of a core: on the grid, or as they were typed in where there are only a few."""
    series = recording.series(role)
    good = np.isfinite(series)
    if 0 < good.sum() < MOST_POINTS:
        time_s = recording.time_s[good] - run.on_s
        inside = (time_s > 0) & (time_s < run.pull_s)
        return time_s[inside], series[good][inside]
    return grid_s, at_times(recording, role, run.on_s + grid_s)


def predicted(data: Observed, courses: Courses) -> Array:
    """What the engine's courses would have the log say, (N, V)."""
    rows = np.zeros((data.values.size, courses.left.size))
    parts = np.array(data.part)
    for role, series in (("thick", courses.thick_c), ("thin", courses.thin_c)):
        at = np.flatnonzero(parts == role)
        for variant in range(courses.left.size):
            rows[at, variant] = np.interp(data.time_s[at], courses.time_s, series[:, variant])
    for row, window in zip(np.flatnonzero(parts == "pit"), data.air_windows, strict=True):
        inside = (courses.time_s >= window[0]) & (courses.time_s <= window[1])
        rows[row] = np.median(courses.pit_c[inside], axis=0)
    rows[parts == "left"] = courses.left
    return rows


def later(data: Observed, courses: Courses, seconds: float) -> Array:
    """The same for one variant that had been on so much longer, (N,): what a wrong start does."""
    moved = Observed(data.part, data.time_s + seconds, data.values, data.covariance, data.air_windows)
    return np.asarray(predicted(moved, courses)[:, 0], dtype=np.float64)


def air_windows(recording: Recording, run: AsRun) -> tuple[tuple[float, float], ...]:
    """The stretch of each stage in which the pit has settled and was read, s after meat on."""
    if not recording.has("pit"):
        return ()
    starts = (0.0, *run.ends_s[:-1])
    windows = []
    for start, end in zip(starts, run.ends_s, strict=True):
        window = (start + SETTLED_S, end - AIR_STEP_S)
        if window[1] - window[0] >= SETTLED_S and np.isfinite(air_in(recording, run, window)):
            windows.append(window)
    return tuple(windows)


def air_in(recording: Recording, run: AsRun, window: tuple[float, float]) -> float:
    """The middle of the pit's air over a stretch, °C; NaN where it was hardly read."""
    found = at_times(recording, "pit", run.on_s + np.arange(window[0], window[1], AIR_STEP_S))
    good = found[np.isfinite(found)]
    return float(np.median(good)) if good.size >= max(2, found.size // 2) else float("nan")


def hanging(time_s: Array, sd: float, hangs_s: float) -> Array:
    """Covariance of errors that hang together in time: an exponential of their distance."""
    apart_s = np.abs(time_s[:, None] - time_s[None, :])
    return np.asarray(sd**2 * np.exp(-apart_s / hangs_s), dtype=np.float64)


def block_diagonal(blocks: list[Array]) -> Array:
    """Square blocks along the diagonal of one matrix."""
    size = sum(block.shape[0] for block in blocks)
    whole = np.zeros((size, size))
    at = 0
    for block in blocks:
        end = at + block.shape[0]
        whole[at:end, at:end] = block
        at = end
    return whole
