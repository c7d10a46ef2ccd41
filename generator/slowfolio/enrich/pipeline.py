"""Card plus what it refers to -> computed results, kept by content, computed on all cores where missing.

`enrich_book` is what the site and the commands call. A method that cannot be computed is reported with the
place in its card; the others go on.
"""

import os
from collections.abc import Iterable, Mapping, Sequence
from concurrent.futures import Executor, ProcessPoolExecutor
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass, fields, is_dataclass
from multiprocessing import get_context
from typing import Any

from slowfolio import __version__
from slowfolio.book.model import Book, Method, Status
from slowfolio.enrich.cache import Cache, content_key
from slowfolio.enrich.results import MethodResult
from slowfolio.physics import ENGINE_VERSION

MEMBERS = 256
SEED = 1

PROSE = frozenset(
    {
        "also_called",
        "allergens",
        "cautions",
        "choose_when",
        "expected",
        "fuel",
        "handling",
        "how_to",
        "look_for",
        "origin",
        "owner",
        "provenance",
        "reasons",
        "review_by",
        "reviewed",
        "revision",
        "seasoning",
        "set_up",
        "source",
        "sources",
        "status",
        "summary",
        "title",
        "where",
        "where_to_probe",
        "why",
    }
)
"""Fields no computation reads. All else on a card, with what is added later, is part of the key."""


@dataclass(frozen=True, slots=True)
class Problem:
    """A method the engine refused, and why, in the engine's words."""

    method: str
    message: str


@dataclass(frozen=True, slots=True)
class Enriched:
    """Results by method id, the problems met, and how many results had to be computed now."""

    results: Mapping[str, MethodResult]
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
    """Compute every method of the book that is not withdrawn, or take its result from the cache."""
    methods = [method for method in book.methods.values() if method.status is not Status.WITHDRAWN]
    keys = {method.id: result_key(method, book, members=members, seed=seed) for method in methods}
    kept = {name: cache.read(key, MethodResult) for name, key in keys.items()}
    missing = [method for method in methods if kept[method.id] is None]
    results = {name: result for name, result in kept.items() if result is not None}
    problems: list[Problem] = []
    for outcome in compute_all(missing, book, members=members, seed=seed, executor=executor):
        if isinstance(outcome, Problem):
            problems.append(outcome)
        else:
            results[outcome.method] = outcome
            cache.write(keys[outcome.method], outcome)
    ordered = {method.id: results[method.id] for method in methods if method.id in results}
    return Enriched(ordered, tuple(problems), tuple(method.id for method in missing))


def result_key(method: Method, book: Book, *, members: int, seed: int) -> str:
    """Hash of all a result depends on: the method, the cards it refers to, the book's place, the engine."""
    pits = {method.pit} | {stage.pit for stage in method.stages if stage.pit}
    wraps = {stage.wrap for stage in method.stages}
    if method.vent is not None:
        wraps.add(method.vent.wrap)
    holders = set()
    if method.hold is not None:
        wraps.add(method.hold.wrap)
        holders.add(method.hold.holder)
    card = book.card
    return content_key(
        __version__,
        ENGINE_VERSION,
        members,
        seed,
        numbers_of(method),
        numbers_of(book.cuts[method.cut]),
        [numbers_of(book.pits[name]) for name in sorted(pits)],
        [numbers_of(book.wraps[name]) for name in sorted(wraps)],
        [numbers_of(book.holders[name]) for name in sorted(holders)],
        [card.altitude_m, card.room_temp_c, card.room_humidity, card.authority],
    )


def numbers_of(card: Any) -> Any:
    """A card as plain data without the fields named in `PROSE`."""
    if is_dataclass(card):
        names = (field.name for field in fields(card) if field.name not in PROSE)
        return {name: numbers_of(getattr(card, name)) for name in names}
    if isinstance(card, tuple):
        return [numbers_of(item) for item in card]
    return card


def compute_all(
    methods: Sequence[Method], book: Book, *, members: int, seed: int, executor: Executor | None
) -> Iterable[MethodResult | Problem]:
    """Compute methods in order, in other processes where there is more than one to do."""
    if not methods:
        return ()
    jobs = [(method, book_for(method, book), members, seed) for method in methods]
    if executor is None and len(jobs) == 1:
        return [compute(*jobs[0])]
    with pool(len(jobs)) if executor is None else nullcontext(executor) as workers:
        return list(workers.map(compute, *zip(*jobs, strict=True)))


def pool(jobs: int) -> AbstractContextManager[Executor]:
    """Worker processes, each with one thread of linear algebra."""
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    return ProcessPoolExecutor(min(jobs, os.cpu_count() or 1), mp_context=get_context("spawn"))


def compute(method: Method, book: Book, members: int, seed: int) -> MethodResult | Problem:
    """One method, computed; what the engine refuses comes back as a problem."""
    from slowfolio.enrich.summary import summarise
    from slowfolio.forecast.run import run_method
    from slowfolio.physics.errors import PhysicsInputError

    try:
        cook = run_method(method, book, members=members, seed=seed)
        return summarise(method, book, cook, seed=seed)
    except PhysicsInputError as error:
        return Problem(method.id, str(error))


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
