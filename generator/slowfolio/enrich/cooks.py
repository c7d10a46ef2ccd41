"""Recorded cooks held against their forecast, kept by content like every other result.

A log that cannot be read as its card says is a finding; one that does not reach from start to finish is shown
without a comparison. Called by the site and, for the findings, by `check --computed`.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from slowfolio.book.codes import severity
from slowfolio.book.findings import Finding
from slowfolio.book.model import Book, Cook
from slowfolio.cooklog.against import MEMBERS, Against, Explanation, Window, against
from slowfolio.cooklog.recording import Recording, at_times
from slowfolio.cooklog.remarks import LogError
from slowfolio.cooklog.stored import stored_recording
from slowfolio.enrich.cache import Cache, content_key
from slowfolio.enrich.keys import cook_parts, numbers_of
from slowfolio.physics.errors import PhysicsInputError

Array = NDArray[np.float64]
SEED = 1
MOST_POINTS = 120
HOUR_S = 3600.0


@dataclass(frozen=True, slots=True)
class CookCourse:
    """What was measured in a cook, thinned, h after meat on; None where nothing was read."""

    time_h: tuple[float, ...]
    pit_c: tuple[float | None, ...]
    thick_c: tuple[float | None, ...]
    thin_c: tuple[float | None, ...]


@dataclass(frozen=True, slots=True)
class ForecastCourse:
    """The core of the forecast for the piece as weighed: 10th, 50th and 90th percentile."""

    time_h: tuple[float, ...]
    low_c: tuple[float, ...]
    middle_c: tuple[float, ...]
    high_c: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class RecordedCook:
    """One recorded cook as pages show it. `why_not` says why there is no comparison, where there is none."""

    cook: str
    method: str
    readings: int
    hours: float
    course: CookCourse
    measured_yield: float | None
    forecast: ForecastCourse | None = None
    windows: tuple[Window, ...] = ()
    explanations: tuple[Explanation, ...] = ()
    together: tuple[Explanation, ...] = ()
    misfit: float = 0.0
    core_rms_k: float = 0.0
    as_forecast: bool = False
    engine: str = ""
    members: int = 0
    why_not: str = ""


@dataclass(frozen=True, slots=True)
class EnrichedCooks:
    """Results by id of the cook, and what could not be read."""

    results: Mapping[str, RecordedCook]
    findings: tuple[Finding, ...] = ()


NO_COOKS: Mapping[str, RecordedCook] = MappingProxyType({})


def enrich_cooks(book: Book, cache: Cache, *, members: int = MEMBERS) -> EnrichedCooks:
    """Every recorded cook of the book, compared now or taken from the cache."""
    results: dict[str, RecordedCook] = {}
    findings: list[Finding] = []
    for name, cook in book.cooks.items():
        key = cook_key(cook, book, members=members)
        kept = cache.read(key, RecordedCook)
        if kept is None:
            try:
                kept = compare(cook, book, members=members)
            except LogError as error:
                findings.append(unreadable(cook, book, str(error)))
                continue
            cache.write(key, kept)
        results[name] = kept
    return EnrichedCooks(results, tuple(findings))


def cook_findings(book: Book) -> tuple[Finding, ...]:
    """The logs of the book that cannot be read as their cards say; nothing is computed."""
    found: list[Finding] = []
    for cook in book.cooks.values():
        try:
            stored_recording(cook, book)
        except LogError as error:
            found.append(unreadable(cook, book, str(error)))
    return tuple(found)


def cook_key(cook: Cook, book: Book, *, members: int) -> str:
    """Hash of all a comparison depends on."""
    method = book.methods[cook.method]
    pit = numbers_of(book.pits[cook.pit])
    said = [numbers_of(part) for part in (cook.piece, cook.events)]
    recipe = cook.log
    log = [recipe.sha256, recipe.unit, recipe.time_kind, recipe.time_format, sorted(recipe.columns.items())]
    return content_key("recorded cook", *cook_parts(method, book), cook.id, pit, said, log, members, SEED)


def compare(cook: Cook, book: Book, *, members: int) -> RecordedCook:
    """One cook with its comparison. Raises LogError where its log cannot be read."""
    recording = stored_recording(cook, book)
    plain = measured_only(cook, recording)
    try:
        found = against(cook, recording, book, members=members, seed=SEED)
    except (LogError, PhysicsInputError) as error:
        return RecordedCook(
            plain.cook, plain.method, plain.readings, plain.hours, plain.course, plain.measured_yield,
            why_not=str(error),
        )  # fmt: skip
    return RecordedCook(
        cook=cook.id,
        method=cook.method,
        readings=plain.readings,
        hours=plain.hours,
        course=plain.course,
        measured_yield=plain.measured_yield,
        forecast=forecast_course(found),
        windows=found.windows,
        explanations=found.explanations,
        together=found.together,
        misfit=found.misfit,
        core_rms_k=found.core_rms_k,
        as_forecast=found.as_forecast,
        engine=found.engine,
        members=found.members,
    )


def measured_only(cook: Cook, recording: Recording) -> RecordedCook:
    """What the log says by itself."""
    on_s = recording.event_s("meat on") or 0.0
    times = np.linspace(on_s, float(recording.time_s[-1]), MOST_POINTS)
    before, after = cook.piece.weight_before_kg, cook.piece.weight_after_kg
    return RecordedCook(
        cook=cook.id,
        method=cook.method,
        readings=int(recording.time_s.size),
        hours=float(recording.time_s[-1] - on_s) / HOUR_S,
        course=CookCourse(
            time_h=tuple(np.round((times - on_s) / HOUR_S, 3).tolist()),
            pit_c=thinned(recording, "pit", times),
            thick_c=thinned(recording, "thick", times),
            thin_c=thinned(recording, "thin", times),
        ),
        measured_yield=after / before if before and after else None,
    )


def thinned(recording: Recording, role: str, times: Array) -> tuple[float | None, ...]:
    """A column at a few times, None where nothing was read."""
    values = at_times(recording, role, times)
    return tuple(round(float(value), 1) if np.isfinite(value) else None for value in values)


def forecast_course(found: Against) -> ForecastCourse:
    """The forecast's core, thinned as the measured one is."""
    course = found.course
    keep = np.unique(np.linspace(0, course.time_s.size - 1, MOST_POINTS).astype(int))

    def row(values: Array, digits: int = 1) -> tuple[float, ...]:
        return tuple(np.round(values[keep], digits).tolist())

    return ForecastCourse(
        time_h=row(course.time_s / HOUR_S, 3),
        low_c=row(course.low_c),
        middle_c=row(course.middle_c),
        high_c=row(course.high_c),
    )


def unreadable(cook: Cook, book: Book, message: str) -> Finding:
    """A log that cannot be read as its card says, at the recipe on the card."""
    code = "cook-log-unreadable"
    mark = cook.origin.at("log")
    try:
        lines = (Path(book.root) / cook.origin.file).read_text(encoding="utf-8").splitlines()
    except OSError:
        lines = []
    line = lines[mark.line - 1] if mark.line <= len(lines) else ""
    advice = "import the raw file anew with slowfolio log import, or correct how the card says to read it"
    return Finding(code, severity(code), cook.origin.file, mark, message, advice, line)
