"""Two states of a book compared: which methods differ, through which fields or the model, and in what.

Where the two sides came with programs whose models differ, each side is computed by its own; else, and where
one of the programs does not run here, both by the running one, and that is said.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from slowfolio.changes.cards import FieldChange
from slowfolio.changes.computed import Tell, outcomes, own_outcomes
from slowfolio.changes.effect import Effect, effect_of
from slowfolio.changes.model import CARD, Model, model_changes
from slowfolio.changes.outcome import NOTHING, Outcome
from slowfolio.changes.programs import DoesNotRun, require_running
from slowfolio.changes.sides import Change, Side, kind_of, names_of, through_of
from slowfolio.enrich.cache import Cache
from slowfolio.physics import ENGINE_VERSION

COMPUTED = frozenset({Change.TOUCHED, Change.ADDED, Change.MENDED})
"""What has an outcome to look at; that of a method which is gone tells nobody anything."""


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
class ModelChange:
    """The models of two sides where they differ: what does, and why their own programs do not run, if so."""

    before: Model
    after: Model
    parts: tuple[FieldChange, ...]
    refused: str = ""

    @property
    def shown(self) -> bool:
        """Whether each side is computed by its own program, so that the figures show the difference."""
        return not self.refused

    @property
    def field(self) -> FieldChange:
        """The change as one that touches a method."""
        return FieldChange(CARD, "engine", self.before.name, self.after.name)


@dataclass(frozen=True, slots=True)
class BookChange:
    """Two states of a book compared."""

    before: str
    after: str
    methods: tuple[MethodChange, ...]
    untouched: tuple[str, ...]
    remarks: tuple[str, ...] = ()
    model: ModelChange | None = None


def silent(_share: float) -> None:
    """Tell nobody how much is done."""


def compare_sides(
    before: Side, after: Side, cache: Cache, *, members: int, tell: Tell = silent
) -> BookChange:
    """Which methods differ, and their outcomes on both sides; `tell` hears the share computed."""
    model = model_change(before, after)
    own = model is not None and model.shown
    kinds = {name: kind_of(name, before, after, members) for name in names_of(before, after)}
    if own:
        kinds = {name: kind or Change.TOUCHED for name, kind in kinds.items()}
    differing = {name: kind for name, kind in kinds.items() if kind is not None}
    wanted = [
        (side, name)
        for name, kind in differing.items()
        if kind in COMPUTED
        for side in (before, after)
        if name in side.methods or (own and ("method", name) in side.texts)
    ]
    found = (own_outcomes if own else outcomes)(wanted, cache, members=members, tell=tell)
    changes = tuple(
        MethodChange(
            method=name,
            title=title_of(name, before, after),
            change=kind,
            through=touching(name, before, after, model) if kind is Change.TOUCHED else (),
            before=found.get((before.name, name)),
            after=found.get((after.name, name)),
        )
        for name, kind in differing.items()
    )
    untouched = tuple(name for name, kind in kinds.items() if kind is None)
    remarks = (*reading_remarks(before, after), *model_remarks(model, changes, before, after))
    return BookChange(before.name, after.name, changes, untouched, remarks, model)


def model_change(before: Side, after: Side) -> ModelChange | None:
    """The difference of the models the sides came with; None where there is none, or one has no program."""
    old, new = before.program, after.program
    if old is None or new is None or old.model.digest == new.model.digest:
        return None
    refused = ""
    for side, program in ((before, old), (after, new)):
        try:
            require_running(program)
        except DoesNotRun as error:
            refused = refused or f"the program of {side.name} does not run here ({error})"
    return ModelChange(old.model, new.model, model_changes(old.model, new.model), refused)


def touching(name: str, before: Side, after: Side, model: ModelChange | None) -> tuple[FieldChange, ...]:
    """What touches a method: fields of cards, and the model."""
    through = through_of(name, before, after)
    return (*through, model.field) if model is not None and model.shown else through


def title_of(name: str, before: Side, after: Side) -> str:
    """The title of a method, the later one first."""
    method = after.methods.get(name) or before.methods.get(name)
    assert method is not None
    return method.title


def reading_remarks(before: Side, after: Side) -> list[str]:
    """What a reader has to know of the two readings themselves."""
    remarks = []
    for side in (before, after):
        broken = sorted({finding.file for finding in side.reading.errors})
        if broken:
            remarks.append(f"{side.name}: {', '.join(broken)} did not pass the check, as this version checks")
    return remarks


def model_remarks(
    model: ModelChange | None, changes: Sequence[MethodChange], before: Side, after: Side
) -> list[str]:
    """By which program the figures are, where that is a question."""
    if model is None:
        bare = [side.name for side in (before, after) if side.program is None]
        words = f"came with no program, so both sides are computed by the running engine {ENGINE_VERSION}"
        return [f"{bare[0]} {words}"] if len(bare) == 1 else other_engine(after)
    if not model.shown:
        return [
            f"{model.refused}, so both sides are computed by the running engine {ENGINE_VERSION}: "
            "what the change of the model does is not in these figures"
        ]
    remarks = []
    if model.before.version == model.after.version:
        remarks.append(
            f"the model differs, though both call themselves engine {model.after.version}: raise "
            "ENGINE_VERSION, or results kept from before will be taken for new ones"
        )
    for side, found in (
        (before, [each.before for each in changes]),
        (after, [each.after for each in changes]),
    ):
        if any(outcome is not None and outcome.verdicts is None for outcome in found):
            remarks.append(f"the program of {side.name} prints no rules, so they are not compared")
    return remarks


def other_engine(side: Side) -> list[str]:
    """What is said where the engine that computes is not the one the checkout carries."""
    if side.program is None or side.program.model.version == ENGINE_VERSION:
        return []
    carried = side.program.model.version
    return [f"computed by the running engine {ENGINE_VERSION}; the checkout carries engine {carried}"]
