"""Learning a pit from three logs: how often 90 % intervals hold the truth, what a left-out cook gains.

Pits are drawn from the priors of their card; three cooks are simulated in each with days, animals and hands
of their own, and the fit never sees the truth. Run by `make bench`.
"""

from collections.abc import Iterator
from dataclasses import asdict, dataclass
from pathlib import Path

import numpy as np

from benchmarks.report import Row
from benchmarks.simulated_cooks import TruePit, simulated_cooks
from slowfolio.book.reading import read_book
from slowfolio.cooklog.fit_pit import Case, PitFit, case_of, fit_pit
from slowfolio.cooklog.observed import predicted
from slowfolio.cooklog.parameters import SHARED, pit_priors
from slowfolio.cooklog.variants import cook_variants

METHOD = "hot-and-fast"
PITS, COOKS, SEED = 20, 3, 2026
STATED = 0.90
DIFFERS = 2.0
"""A pit differs from its card where the card misses the courses of its cooks by twice what days alone do."""
BOOK = Path(__file__).parents[1] / "methods"


@dataclass(frozen=True)
class Trial:
    """One pit: its fit, the truth, and how far each course lies from a forecast that knows it, K."""

    fit: PitFit
    true: TruePit
    known_k: tuple[float, ...]

    @property
    def card_k(self) -> float:
        """How far off the card forecasts the courses of the pit's cooks, root mean square."""
        return float(np.sqrt(np.mean([each.core_before_k**2 for each in self.fit.left_out])))

    @property
    def days_k(self) -> float:
        """How far off a forecast is that knows the pit exactly: days, animals and probes."""
        return float(np.sqrt(np.mean(np.square(self.known_k))))


def rows(pits: int = PITS) -> Iterator[Row]:
    """Coverage by parameter and over all, and the left-out errors after over before."""
    trials = list(tried(pits))
    for index, name in enumerate(SHARED):
        inside = [holds(trial.fit, trial.true)[index] for trial in trials]
        yield Row(f"fit: the 90 % interval holds the truth, {name}", 100 * float(np.mean(inside)), "%")
    held = float(np.mean([holds(trial.fit, trial.true) for trial in trials]))
    yield Row("fit: the 90 % interval holds the truth, all parameters", 100 * held, "%")
    yield Row("fit: intervals that miss the truth", 100 * (1 - held), "%", 100 * (1 - STATED) + 5)
    yield from gains("every pit", trials)
    differing = [trial for trial in trials if trial.card_k >= DIFFERS * trial.days_k]
    yield Row("pits that differ from their card", len(differing), f"of {pits}")
    yield from gains("pits that differ", differing, budget=0.5)


def gains(which: str, trials: list[Trial], budget: float | None = None) -> Iterator[Row]:
    """Errors of the left-out cooks by the card, after the fit, and had the pit been known."""
    left = [each for trial in trials for each in trial.fit.left_out]
    core = np.array([(each.core_before_k, each.core_after_k) for each in left])
    finish = np.array([(each.finish_before_s, each.finish_after_s) for each in left]) / 60.0
    known = float(np.sqrt(np.mean(np.square([k for trial in trials for k in trial.known_k]))))
    before, after = np.sqrt(np.mean(core**2, axis=0))
    yield Row(f"left-out cooks, {which}: course by the card", float(before), "K")
    yield Row(f"left-out cooks, {which}: course after the fit", float(after), "K")
    yield Row(f"left-out cooks, {which}: course, had the pit been known", known, "K")
    yield Row(f"left-out cooks, {which}: course, after over before", float(after / before), "", budget)
    before, after = np.sqrt(np.mean(finish**2, axis=0))
    yield Row(f"left-out cooks, {which}: finish by the card", float(before), "min")
    yield Row(f"left-out cooks, {which}: finish after the fit", float(after), "min")


def tried(pits: int) -> Iterator[Trial]:
    """Each pit's fit beside the truth."""
    book = read_book(BOOK).book
    assert book is not None
    pit = book.methods[METHOD].pit
    sds = pit_priors(book.pits[pit])
    rng = np.random.default_rng(SEED)
    for number in range(pits):
        draws = np.clip(rng.standard_normal(len(SHARED)), -2.5, 2.5)
        true = TruePit(**{name: float(draw * sds[name]) for name, draw in zip(SHARED, draws, strict=True)})
        cooks = simulated_cooks(book, METHOD, true, count=COOKS, seed=SEED + number)
        fit = fit_pit(pit, [(each.cook, each.recording) for each in cooks], book)
        cases = [case_of(each.cook, each.recording, book) for each in cooks]
        yield Trial(fit, true, tuple(known_error_k(case, true) for case in cases))


def known_error_k(case: Case, true: TruePit) -> float:
    """The error of a cook's course where the pit is known exactly, K."""
    rows = predicted(case.data, cook_variants(case.run, [asdict(true)]))[:, 0]
    core = np.array([part == "thick" for part in case.data.part])
    return float(np.sqrt(np.mean((rows[core] - case.data.values[core]) ** 2)))


def holds(fit: PitFit, true: TruePit) -> list[bool]:
    """Whether each parameter's interval holds the truth."""
    return [found.low <= getattr(true, found.parameter) <= found.high for found in fit.findings]
