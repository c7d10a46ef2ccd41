"""The latest recorded changes of a book, each with the methods it touched and, where kept, what that did.

A build must not wait for the past: which methods a commit touched is found by reading the cards of both sides
once, and kept; the computed difference is shown where both results are in the cache, which every build and
`slowfolio diff` fill. Where one is missing the command that computes it is given instead.
"""

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from tempfile import TemporaryDirectory

from slowfolio import __version__
from slowfolio.book.schemas import schemas_digest
from slowfolio.changes.cards import FieldChange
from slowfolio.changes.effect import Effect, effect_of
from slowfolio.changes.outcome import outcome_of
from slowfolio.changes.revisions import Commit, NoHistory, Repository, repository_of
from slowfolio.changes.sides import Change, Side, kind_of, through_of
from slowfolio.changes.snapshots import side_at
from slowfolio.enrich.cache import Cache, content_key
from slowfolio.enrich.keys import result_key, without_plan_key
from slowfolio.enrich.pipeline import MEMBERS, SEED
from slowfolio.enrich.results import MethodResult
from slowfolio.physics import ENGINE_VERSION

MOST_COMMITS = 12
"""CALIBRATED: a few weeks of work; reading a revision takes some tenths of a second, once."""


@dataclass(frozen=True, slots=True)
class TouchedMethod:
    """A method that a commit touched, through which fields, and the keys its results are kept under."""

    method: str
    title: str
    change: str
    through: tuple[FieldChange, ...]
    before_key: str = ""
    after_key: str = ""


@dataclass(frozen=True, slots=True)
class Recorded:
    """One recorded change of the book. `effects` has what is known; `parent` is None for the first."""

    id: str
    when: datetime
    subject: str
    parent: str | None
    methods: tuple[TouchedMethod, ...]
    effects: dict[str, Effect]

    @property
    def command(self) -> str:
        """The command that computes all of it."""
        return f"slowfolio diff {(self.parent or '')[:10]} {self.id[:10]}"


@dataclass(frozen=True, slots=True)
class History:
    """The latest recorded changes, newest first; `missing` says what keeps older or all of them away."""

    changes: tuple[Recorded, ...] = ()
    missing: str = ""


def history_of(book: Path, cache: Cache, *, most: int = MOST_COMMITS) -> History:
    """The history of a book as far as this checkout has it. Never raises."""
    try:
        repository = repository_of(book)
    except NoHistory as reason:
        return History(missing=f"No history is shown: {reason}.")
    commits = repository.commits(str(repository.book), most=most)
    if not commits:
        return History(
            missing="No history is shown: nothing of this book is recorded in version control yet."
        )
    short = "This is a shallow clone: older changes were not fetched; git fetch --unshallow gets them."
    missing = short if repository.is_shallow and len(commits) < most else ""
    return History(tuple(recorded(repository, commit, cache) for commit in commits), missing)


def recorded(repository: Repository, commit: Commit, cache: Cache) -> Recorded:
    """One commit with what it touched, found once, and the differences that are kept."""
    parent = repository.parent(commit.id)
    methods: tuple[TouchedMethod, ...] = ()
    if parent is not None and repository.has(parent, str(repository.book)):
        methods = kept_methods(repository, parent, commit.id, cache)
    else:
        parent = None
    effects = {each.method: effect for each in methods if (effect := kept_effect(each, cache)) is not None}
    return Recorded(commit.id, commit.when, commit.subject, parent, methods, effects)


def kept_methods(repository: Repository, parent: str, commit: str, cache: Cache) -> tuple[TouchedMethod, ...]:
    """The methods a commit touched; found where the cache does not know."""
    key = content_key("touched", commit, parent, __version__, ENGINE_VERSION, MEMBERS, schemas_digest())
    return cache.fetch(key, tuple[TouchedMethod, ...], lambda: touched_by(repository, parent, commit))


def touched_by(repository: Repository, parent: str, commit: str) -> tuple[TouchedMethod, ...]:
    """The methods whose numbers differ between two commits."""
    with TemporaryDirectory(prefix="slowfolio-history-") as scratch:
        try:
            before = side_at(repository, parent, Path(scratch) / "1")
            after = side_at(repository, commit, Path(scratch) / "2")
        except NoHistory:
            return ()
        names = dict.fromkeys((*before.methods, *after.methods))
        kinds = {name: kind_of(name, before, after, MEMBERS) for name in names}
        return tuple(touched(name, kind, before, after) for name, kind in kinds.items() if kind is not None)


def touched(name: str, change: Change, before: Side, after: Side) -> TouchedMethod:
    """One method that differs between two sides."""
    method = after.methods.get(name) or before.methods[name]
    keys = [
        result_key(side.methods[name], side.book, members=MEMBERS, seed=SEED) if name in side.methods else ""
        for side in (before, after)
    ]
    through = through_of(name, before, after) if change is Change.TOUCHED else ()
    return TouchedMethod(name, method.title, change.value, through, *keys)


def kept_result(key: str, cache: Cache) -> MethodResult | None:
    """A cook by the key of its result: as a build leaves it, or a comparison, which plans nothing."""
    found = cache.read(key, MethodResult)
    return cache.read(without_plan_key(key), MethodResult) if found is None else found


def kept_effect(touched: TouchedMethod, cache: Cache) -> Effect | None:
    """The difference of the results, where both are kept."""
    if touched.change != Change.TOUCHED.value:
        return None
    found = [kept_result(key, cache) for key in (touched.before_key, touched.after_key)]
    before, after = (None if each is None else outcome_of(each, None) for each in found)
    return None if before is None or after is None else effect_of(before, after)
