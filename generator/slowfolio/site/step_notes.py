"""The usual cautions of a method as its page shows them: at the steps, before and after, with sources.

Which caution belongs where is decided by `enrich.step_cautions`; here each is written out where it stands
first, and named with a link to that place wherever it counts again: what is read five times is read no more.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from slowfolio.enrich.step_cautions import MethodCautions, StepCaution
from slowfolio.provenance import Provenance
from slowfolio.site.links import Link
from slowfolio.site.method_model import Edges, Step, UsualCaution, UsualCautions
from slowfolio.site.shown import Notes, Tag

BEFORE, SERVING, AFTER = "before-you-start", "serving", "what-is-left"
"""Where the cautions that belong to no step stand on the page."""


def with_usual(steps: Sequence[Step], cautions: MethodCautions, notes: Notes) -> tuple[Step, ...]:
    """The steps with the usual cautions of each."""
    shown = _shown(cautions, notes)
    return tuple(replace(step, usual=shown[f"step-{step.number}"]) for step in steps)


def edges(cautions: MethodCautions, notes: Notes) -> Edges:
    """What stands before the first step and after the last."""
    shown = _shown(cautions, notes)
    return Edges(shown[BEFORE], shown[SERVING], shown[AFTER])


def _shown(cautions: MethodCautions, notes: Notes) -> dict[str, UsualCautions]:
    """The cautions by place, in the order of the page."""
    placed = {
        BEFORE: cautions.before,
        **{f"step-{number}": step for number, step in enumerate(cautions.steps, start=1)},
        SERVING: cautions.serving,
        AFTER: cautions.after,
    }
    first = {one.topic: place for place, group in reversed(placed.items()) for one in group}
    return {place: _at(place, group, first, notes) for place, group in placed.items()}


def _at(place: str, group: Sequence[StepCaution], first: Mapping[str, str], notes: Notes) -> UsualCautions:
    full: list[UsualCaution] = []
    again: list[Link] = []
    for one in group:
        text = one.text if first[one.topic] == place else one.here
        if text:
            full.append(UsualCaution(text, _tag(one, notes)))
        if first[one.topic] != place:
            again.append(Link(one.short, f"#{first[one.topic]}"))
    return UsualCautions(tuple(full), tuple(again))


def _tag(one: StepCaution, notes: Notes) -> Tag:
    if one.source == "common practice, no source":
        return notes.tag(Provenance.PRACTICE, one.source)
    return notes.tag(Provenance.PUBLISHED, f"{one.source} ({one.standing})")
