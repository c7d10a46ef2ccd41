"""Two states of a book side by side: which methods differ, and what each computes to on both sides.

Only touched methods are computed, and those only where the cache, which the site shares, has no result yet.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from pathlib import Path

from slowfolio.book.model import Book, Method, Status
from slowfolio.book.reading import ReadResult, read_book
from slowfolio.changes.cards import FieldChange, Texts, changes_behind
from slowfolio.changes.effect import Effect, effect_of
from slowfolio.changes.outcome import Outcome, outcome_of
from slowfolio.enrich.cache import Cache, content_key
from slowfolio.enrich.holds import MethodHolds
from slowfolio.enrich.keys import numbers_of, result_key, table_key
from slowfolio.enrich.pipeline import (
    HOLD_MEMBERS,
    SEED,
    Job,
    Problem,
    compute_holds,
    compute_result,
    run_jobs,
)
from slowfolio.enrich.results import MethodResult

Kept = MethodResult | MethodHolds


class Change(StrEnum):
    """What happened to a method between two states of its book."""

    TOUCHED = "touched"
    ADDED = "added"
    REMOVED = "removed"
    WITHDRAWN = "withdrawn"
    BROKEN = "no longer passes the check"
    MENDED = "passes the check again"


COMPUTED = frozenset({Change.TOUCHED, Change.ADDED, Change.MENDED})
"""What has an outcome to look at; that of a method which is gone tells nobody anything."""
NOTHING = Outcome("", {}, ())


@dataclass(frozen=True, slots=True)
class Side:
    """One state of a book: what it is called, the reading of it."""

    name: str
    reading: ReadResult

    @property
    def texts(self) -> Texts:
        """The cards as written, by kind and file name."""
        return self.reading.texts

    @property
    def methods(self) -> Mapping[str, Method]:
        """The good methods that are not withdrawn."""
        if self.reading.book is None:
            return {}
        methods = self.reading.book.methods
        return {name: each for name, each in methods.items() if each.status is not Status.WITHDRAWN}

    @property
    def book(self) -> Book:
        """The book, where it has one."""
        assert self.reading.book is not None
        return self.reading.book


@dataclass(frozen=True, slots=True)
class MethodChange:
    """One method that differs: how, through which fields, and what that does to its outcome."""

    method: str
    title: str
    change: Change
    through: tuple[FieldChange, ...]
    before: Outcome | None
    after: Outcome | None

    @property
    def effect(self) -> Effect | None:
        """The difference of the outcomes; for a new method all of its own is new."""
        before = self.before or (NOTHING if self.change in (Change.ADDED, Change.MENDED) else None)
        if before is None or self.after is None or before.missing or self.after.missing:
            return None
        return effect_of(before, self.after)


@dataclass(frozen=True, slots=True)
class BookChange:
    """Two states of a book compared."""

    before: str
    after: str
    methods: tuple[MethodChange, ...]
    untouched: tuple[str, ...]
    remarks: tuple[str, ...] = ()


def read_side(name: str, root: Path, *, base: Path | None = None) -> Side:
    """A state of a book, read and checked by this copy's schemas, on another base where one is given."""
    return Side(name, read_book(root, base=base))


def compare_sides(before: Side, after: Side, cache: Cache, *, members: int) -> BookChange:
    """Which methods differ, and their outcomes on both sides."""
    kinds = {name: kind_of(name, before, after, members) for name in _names(before, after)}
    differing = {name: kind for name, kind in kinds.items() if kind is not None}
    wanted = [
        (side, name)
        for name, kind in differing.items()
        if kind in COMPUTED
        for side in (before, after)
        if name in side.methods
    ]
    found = outcomes(wanted, cache, members=members)
    changes = tuple(
        _method_change(
            name, kind, before, after, found.get((before.name, name)), found.get((after.name, name))
        )
        for name, kind in differing.items()
    )
    untouched = tuple(name for name, kind in kinds.items() if kind is None)
    return BookChange(before.name, after.name, changes, untouched, tuple(_remarks(before, after)))


def kind_of(name: str, before: Side, after: Side, members: int) -> Change | None:
    """What happened to a method; None where nothing its computation reads is different."""
    old, new = before.methods.get(name), after.methods.get(name)
    if old is not None and new is not None:
        same = dependence(old, before.book, members) == dependence(new, after.book, members)
        return None if same else Change.TOUCHED
    there = ("method", name)
    if new is None and old is not None:
        if after.reading.book is not None and name in after.book.methods:
            return Change.WITHDRAWN
        return Change.BROKEN if there in after.texts else Change.REMOVED
    if new is not None:
        return Change.MENDED if there in before.texts else Change.ADDED
    return None


def dependence(method: Method, book: Book, members: int) -> str:
    """Hash of all the compared outcome of a method depends on."""
    bark = method.expected.get("bark")
    wanted = bark.level if bark is not None and method.hold is not None else ""
    return content_key(result_key(method, book, members=members, seed=SEED), wanted)


def outcomes(
    wanted: Sequence[tuple[Side, str]], cache: Cache, *, members: int
) -> dict[tuple[str, str], Outcome]:
    """The outcomes of methods, each with the advice for its own holder; what is not kept is computed."""
    groups = {(side.name, name): _tasks(side, name, cache, members) for side, name in wanted}
    tasks = {task.key: task for group in groups.values() for task in group}
    found: dict[str, Kept | Problem | None] = {key: cache.read(key, task.kind) for key, task in tasks.items()}
    missing = [task for key, task in tasks.items() if found[key] is None]
    for task, outcome in zip(missing, run_jobs([task.job for task in missing], None), strict=True):
        assert isinstance(outcome, MethodResult | MethodHolds | Problem)
        found[task.key] = outcome
        if not isinstance(outcome, Problem):
            cache.write(task.key, outcome)
    return {place: _outcome([found[task.key] for task in group]) for place, group in groups.items()}


@dataclass(frozen=True, slots=True)
class _Task:
    """One thing to compute, and the key it is kept under."""

    key: str
    kind: type[MethodResult] | type[MethodHolds]
    job: Job


def _tasks(side: Side, name: str, cache: Cache, members: int) -> list[_Task]:
    method, book = side.methods[name], side.book
    key = result_key(method, book, members=members, seed=SEED)
    tasks = [_Task(key, MethodResult, Job(compute_result, method, book, members, SEED, cache))]
    if method.hold is not None:
        own = replace(book, holders={method.hold.holder: book.holders[method.hold.holder]})
        few = min(members, HOLD_MEMBERS)
        bark = method.expected.get("bark")
        key = content_key(
            "own hold",
            table_key(method, book, members=few, seed=SEED),
            numbers_of(own.holders[method.hold.holder]),
            "" if bark is None else bark.level,
        )
        tasks.append(_Task(key, MethodHolds, Job(compute_holds, method, own, few, SEED, cache)))
    return tasks


def _outcome(found: Sequence[Kept | Problem | None]) -> Outcome:
    """What was computed for one method on one side."""
    for each in found:
        if isinstance(each, Problem):
            return Outcome("", {}, (), missing=each.message)
    result = next(each for each in found if isinstance(each, MethodResult))
    holds = next((each for each in found if isinstance(each, MethodHolds)), None)
    return outcome_of(result, holds.advice[0] if holds is not None and holds.advice else None)


def _method_change(
    name: str, change: Change, before: Side, after: Side, old: Outcome | None, new: Outcome | None
) -> MethodChange:
    method = after.methods.get(name) or before.methods.get(name)
    assert method is not None
    through = through_of(name, before, after) if change is Change.TOUCHED else ()
    return MethodChange(name, method.title, change, through, old, new)


def through_of(name: str, before: Side, after: Side) -> tuple[FieldChange, ...]:
    """The fields through which a method is touched, on its own card and on those it refers to."""
    found = (
        each
        for side in (before, after)
        for each in changes_behind(side.methods[name], before.texts, after.texts)
    )
    return tuple(dict.fromkeys(found))


def _names(before: Side, after: Side) -> list[str]:
    return list(dict.fromkeys((*before.methods, *after.methods)))


def _remarks(before: Side, after: Side) -> list[str]:
    """What a reader has to know of the two readings themselves."""
    remarks = []
    for side in (before, after):
        broken = sorted({finding.file for finding in side.reading.errors})
        if broken:
            remarks.append(f"{side.name}: {', '.join(broken)} did not pass the check, as this version checks")
    return remarks
