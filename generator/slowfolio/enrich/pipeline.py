"""Card plus what it refers to -> computed results, kept by content, computed on all cores where missing.

`enrich_book` is what the site and the commands call. A method that cannot be computed is reported with the
place in its card; the others go on.
"""

import os
from collections.abc import Callable, Iterable, Mapping, Sequence
from concurrent.futures import Executor, ProcessPoolExecutor
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass, replace
from multiprocessing import get_context
from typing import TypeVar

from slowfolio.book.model import Book, Method, Status
from slowfolio.enrich.cache import Cache
from slowfolio.enrich.holds import MethodHolds
from slowfolio.enrich.keys import carried_key, holds_key, result_key, table_key
from slowfolio.enrich.results import MethodResult
from slowfolio.forecast.carried import Carried
from slowfolio.forecast.hold_table import HoldTable

MEMBERS = 128
HOLD_MEMBERS = 24
CARRIED_PER_MEMBER = 2
"""Cooks carried to the pit for each one in the results: drawn wider, they need to be more."""
SEED = 1

Kind = TypeVar("Kind")


@dataclass(frozen=True, slots=True)
class Problem:
    """A method the engine refused, and why, in the engine's words."""

    method: str
    message: str


@dataclass(frozen=True, slots=True)
class Enriched:
    """Results, holds and carried ensembles by method id, the problems met, and which methods had to be
    computed now.
    """

    results: Mapping[str, MethodResult]
    holds: Mapping[str, MethodHolds]
    carried: Mapping[str, Carried]
    problems: tuple[Problem, ...]
    computed: tuple[str, ...]


def enrich_book(
    book: Book,
    cache: Cache,
    *,
    members: int = MEMBERS,
    seed: int = SEED,
    executor: Executor | None = None,
) -> Enriched:
    """Compute every method of the book that is not withdrawn, or take its results from the cache.

    `members` simulated cooks for the results, at most `HOLD_MEMBERS` of them for the holds, and
    `CARRIED_PER_MEMBER` times as many to carry to the pit.
    """
    methods = [method for method in book.methods.values() if method.status is not Status.WITHDRAWN]
    held = [method for method in methods if method.hold is not None]
    few = min(members, HOLD_MEMBERS)
    keys = {method.id: result_key(method, book, members=members, seed=seed) for method in methods}
    hold_keys = {method.id: holds_key(method, book, members=few, seed=seed) for method in held}
    many = members * CARRIED_PER_MEMBER
    carried_keys = {method.id: carried_key(method, book, members=many, seed=seed) for method in methods}
    results = known(cache, keys, MethodResult)
    holds = known(cache, hold_keys, MethodHolds)
    carried = known(cache, carried_keys, Carried)
    cooks = [method for method in methods if method.id not in results]
    taken = [method for method in methods if method.id not in carried]
    tables = [method for method in held if method.id not in holds]
    jobs = [Job(compute_result, method, book, members, seed, cache) for method in cooks]
    jobs += [Job(compute_holds, method, book, few, seed, cache) for method in tables]
    jobs += [Job(compute_carried, method, book, many, seed, cache) for method in taken]
    problems: dict[str, Problem] = {}
    for outcome in run_jobs(jobs, executor):
        if isinstance(outcome, Problem):
            problems[outcome.method] = outcome
        elif isinstance(outcome, MethodResult):
            results[outcome.method] = outcome
            cache.write(keys[outcome.method], outcome)
        elif isinstance(outcome, Carried):
            carried[outcome.method] = outcome
            cache.write(carried_keys[outcome.method], outcome)
        else:
            holds[outcome.method] = outcome
            cache.write(hold_keys[outcome.method], outcome)
    return Enriched(
        results={method.id: results[method.id] for method in methods if method.id in results},
        holds={method.id: holds[method.id] for method in held if method.id in holds},
        carried={method.id: carried[method.id] for method in methods if method.id in carried},
        problems=tuple(problems.values()),
        computed=tuple(
            method.id for method in methods if method in cooks or method in tables or method in taken
        ),
    )


def known(cache: Cache, keys: Mapping[str, str], kind: type[Kind]) -> dict[str, Kind]:
    """What the cache holds of these keys, by name."""
    found = {name: cache.read(key, kind) for name, key in keys.items()}
    return {name: value for name, value in found.items() if value is not None}


@dataclass(frozen=True, slots=True)
class Job:
    """One computation for one method, small enough to send to another process."""

    work: Callable[[Method, Book, int, int, Cache], "Outcome"]
    method: Method
    book: Book
    members: int
    seed: int
    cache: Cache

    def run(self) -> "Outcome":
        """Compute; what the engine refuses comes back as a problem."""
        from slowfolio.physics.errors import PhysicsInputError

        try:
            return self.work(self.method, self.book, self.members, self.seed, self.cache)
        except PhysicsInputError as error:
            return Problem(self.method.id, str(error))


Outcome = MethodResult | MethodHolds | Carried | Problem


def run_jobs(jobs: Sequence[Job], executor: Executor | None) -> Iterable[Outcome]:
    """Run jobs, in other processes where there is more than one; each outcome as soon as it is there.

    In order, so that what was done before a stop is kept and the next run goes on from it.
    """
    if not jobs:
        return
    if executor is None and len(jobs) == 1:
        yield jobs[0].run()
        return
    with pool(len(jobs)) if executor is None else nullcontext(executor) as workers:
        yield from workers.map(Job.run, [replace(job, book=book_for(job.method, job.book)) for job in jobs])


def pool(jobs: int) -> AbstractContextManager[Executor]:
    """Worker processes, each with one thread of linear algebra."""
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    return ProcessPoolExecutor(min(jobs, os.cpu_count() or 1), mp_context=get_context("spawn"))


def compute_result(method: Method, book: Book, members: int, seed: int, _: Cache) -> MethodResult:
    """The cook of one method, and what it takes to plan it."""
    from slowfolio.enrich.summary import summarise
    from slowfolio.forecast.planning.basis_of import plan_basis
    from slowfolio.forecast.planning.errors import NoForecastError
    from slowfolio.forecast.run import run_method

    cook = run_method(method, book, members=members, seed=seed)
    result = summarise(method, book, cook, seed=seed)
    try:
        return replace(result, plan=plan_basis(cook, method, book, seed=seed))
    except NoForecastError:
        return result


def compute_without_plan(method: Method, book: Book, members: int, seed: int, _: Cache) -> MethodResult:
    """The cook of one method by itself."""
    from slowfolio.enrich.summary import summarise
    from slowfolio.forecast.run import run_method

    return summarise(method, book, run_method(method, book, members=members, seed=seed), seed=seed)


def compute_holds(method: Method, book: Book, members: int, seed: int, cache: Cache) -> MethodHolds:
    """The hold table of one method, kept on its own, and the advice for every holder."""
    from slowfolio.forecast.box_grid import box_grids
    from slowfolio.forecast.hold_advice import advise

    table = kept_table(method, book, members, seed, cache)
    advice = tuple(advise(table, method, book, holder) for holder in book.holders.values())
    return MethodHolds(method.id, table, advice, box_grids(table, book))


def compute_own_hold(method: Method, book: Book, members: int, seed: int, cache: Cache) -> MethodHolds:
    """The advice for the method's own holder alone, from no more of the hold table than it reads."""
    from slowfolio.forecast.hold_advice import advise
    from slowfolio.forecast.hold_table import hold_table, own_corners

    assert method.hold is not None
    table = cache.read(table_key(method, book, members=members, seed=seed), HoldTable)
    if table is None:
        table = hold_table(method, book, members=members, seed=seed, corners=own_corners(method))
    return MethodHolds(method.id, table, (advise(table, method, book, book.holders[method.hold.holder]),))


def compute_carried(method: Method, book: Book, members: int, seed: int, _: Cache) -> Carried:
    """The ensemble of one method that its page takes to the pit."""
    from slowfolio.forecast.carry import carry

    return carry(method, book, members=members, seed=seed)


def kept_table(method: Method, book: Book, members: int, seed: int, cache: Cache) -> HoldTable:
    """The hold table of a method, computed only where the cache has none."""
    from slowfolio.forecast.hold_table import hold_table

    return cache.fetch(
        table_key(method, book, members=members, seed=seed),
        HoldTable,
        lambda: hold_table(method, book, members=members, seed=seed),
    )


def book_for(method: Method, book: Book) -> Book:
    """The book with no other method in it: what a worker process needs."""
    return Book(
        root=book.root,
        card=book.card,
        cuts=dict(book.cuts),
        pits=dict(book.pits),
        wraps=dict(book.wraps),
        holders=dict(book.holders),
        methods={method.id: method},
    )
