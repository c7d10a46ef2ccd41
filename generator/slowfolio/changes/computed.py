"""What methods compute to on one side or the other: by the running program, or by the side's own.

Only what the cache, which the site shares, does not have yet is computed; and of that, only what is compared:
no plan, no ensemble for the pit, and of a hold table the corners the method's own holder reads.
"""

import os
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor, as_completed
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from slowfolio.changes.cards import leaves
from slowfolio.changes.outcome import Outcome, outcome_of
from slowfolio.changes.printed import printed_outcome
from slowfolio.changes.programs import DoesNotRun, answer
from slowfolio.changes.sides import Side
from slowfolio.enrich.cache import Cache, content_key
from slowfolio.enrich.holds import MethodHolds
from slowfolio.enrich.keys import numbers_of, result_key, table_key, without_plan_key
from slowfolio.enrich.pipeline import (
    HOLD_MEMBERS,
    SEED,
    Job,
    Problem,
    compute_own_hold,
    compute_without_plan,
    run_jobs,
)
from slowfolio.enrich.results import MethodResult

Kept = MethodResult | MethodHolds
Place = tuple[str, str]
"""The name of a side and the id of a method."""
Tell = Callable[[float], None]


# --- by the running program -------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Task:
    """One thing to compute, and the key it is kept under."""

    key: str
    kind: type[MethodResult] | type[MethodHolds]
    job: Job


def outcomes(
    wanted: Sequence[tuple[Side, str]], cache: Cache, *, members: int, tell: Tell
) -> Mapping[Place, Outcome]:
    """The outcomes of methods, each with the advice for its own holder."""
    groups = {(side.name, name): tasks_of(side, name, cache, members) for side, name in wanted}
    tasks = {task.key: task for group in groups.values() for task in group}
    found: dict[str, Kept | Problem | None] = {key: kept(task, cache) for key, task in tasks.items()}
    missing = [task for key, task in tasks.items() if found[key] is None]
    computed = run_jobs([task.job for task in missing], None)
    for number, (task, outcome) in enumerate(zip(missing, computed, strict=True), 1):
        assert isinstance(outcome, MethodResult | MethodHolds | Problem)
        found[task.key] = outcome
        if not isinstance(outcome, Problem):
            cache.write(task.key, outcome)
        tell(number / len(missing))
    return {place: outcome_found([found[task.key] for task in group]) for place, group in groups.items()}


def tasks_of(side: Side, name: str, cache: Cache, members: int) -> list[Task]:
    """The cook of a method and, where it has one, its own hold."""
    method, book = side.methods[name], side.book
    key = without_plan_key(result_key(method, book, members=members, seed=SEED))
    tasks = [Task(key, MethodResult, Job(compute_without_plan, method, book, members, SEED, cache))]
    if method.hold is not None:
        few = min(members, HOLD_MEMBERS)
        bark = method.expected.get("bark")
        key = content_key(
            "own hold",
            table_key(method, book, members=few, seed=SEED),
            numbers_of(book.holders[method.hold.holder]),
            "" if bark is None else bark.level,
        )
        tasks.append(Task(key, MethodHolds, Job(compute_own_hold, method, book, few, SEED, cache)))
    return tasks


def kept(task: Task, cache: Cache) -> Kept | None:
    """What the cache has; the site keeps its cooks with their plans."""
    found = cache.read(task.key, task.kind)
    if found is not None or task.kind is MethodHolds:
        return found
    job = task.job
    return cache.read(result_key(job.method, job.book, members=job.members, seed=job.seed), MethodResult)


def outcome_found(found: Sequence[Kept | Problem | None]) -> Outcome:
    """What was computed for one method on one side."""
    for each in found:
        if isinstance(each, Problem):
            return Outcome("", {}, (), missing=each.message)
    result = next(each for each in found if isinstance(each, MethodResult))
    holds = next((each for each in found if isinstance(each, MethodHolds)), None)
    return outcome_of(result, holds.advice[0] if holds is not None and holds.advice else None)


# --- by the side's own ------------------------------------------------------------------------------


def own_outcomes(
    wanted: Sequence[tuple[Side, str]], cache: Cache, *, members: int, tell: Tell
) -> Mapping[Place, Outcome]:
    """The outcomes of methods by the program each side came with, on all cores."""
    keys = {(side.name, name): own_key(side, name, members) for side, name in wanted}
    known = ((place, cache.read(key, Outcome)) for place, key in keys.items())
    found = {place: outcome for place, outcome in known if outcome is not None}
    missing = [(side, name) for side, name in wanted if (side.name, name) not in found]
    with (
        TemporaryDirectory(prefix="slowfolio-own-") as scratch,
        ThreadPoolExecutor(os.cpu_count() or 1) as workers,
    ):
        running = {
            workers.submit(own_outcome, side, name, members, Path(scratch)): (side.name, name)
            for side, name in missing
        }
        for number, done in enumerate(as_completed(running), 1):
            place, outcome = running[done], done.result()
            found[place] = outcome
            if not outcome.missing:
                cache.write(keys[place], outcome)
            tell(number / len(running))
    return found


def own_key(side: Side, name: str, members: int) -> str:
    """Hash of all the outcome of a method by its side's own program depends on; words left out."""
    assert side.program is not None
    cards = sorted((kind, card, tuple(leaves(text))) for (kind, card), text in side.texts.items())
    return content_key("outcome by its own program", side.program.digest, cards, name, members)


def own_outcome(side: Side, name: str, members: int, scratch: Path) -> Outcome:
    """One method by the program its side came with."""
    assert side.program is not None
    holder = holder_of(side, name)
    try:
        cook = answer(side.program, side.root, ["simulate", name, "--members", str(members)], scratch)
        hold = None
        if holder is not None:
            hold = answer(side.program, side.root, ["hold", name, "--holder", holder], scratch)
    except DoesNotRun as error:
        return Outcome("", {}, (), missing=str(error))
    return printed_outcome(cook, hold)


def holder_of(side: Side, name: str) -> str | None:
    """The holder a method's card names, as written; None where it has no hold."""
    card = side.texts.get(("method", name))
    hold = card.get("hold") if isinstance(card, Mapping) else None
    holder = hold.get("holder") if isinstance(hold, Mapping) else None
    return None if holder is None else str(holder)
