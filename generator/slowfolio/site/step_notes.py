"""The usual cautions of a method as its page shows them: at the steps, before and after, with sources.

Which caution belongs where is decided by `enrich.step_cautions`; here they get the marks of the page's notes.
"""

from collections.abc import Sequence
from dataclasses import replace

from slowfolio.enrich.step_cautions import MethodCautions, StepCaution
from slowfolio.provenance import Provenance
from slowfolio.site.method_model import Edges, Step, UsualCaution
from slowfolio.site.shown import Notes, Tag


def with_usual(steps: Sequence[Step], cautions: MethodCautions, notes: Notes) -> tuple[Step, ...]:
    """The steps with the usual cautions of each."""
    return tuple(
        replace(step, usual=shown_cautions(usual, notes))
        for step, usual in zip(steps, cautions.steps, strict=True)
    )


def edges(cautions: MethodCautions, notes: Notes) -> Edges:
    """What stands before the first step and after the last."""
    groups = (cautions.before, cautions.serving, cautions.after)
    return Edges(*(shown_cautions(group, notes) for group in groups))


def shown_cautions(cautions: Sequence[StepCaution], notes: Notes) -> tuple[UsualCaution, ...]:
    """Cautions with the mark of their source."""
    return tuple(UsualCaution(one.text, _tag(one, notes)) for one in cautions)


def _tag(one: StepCaution, notes: Notes) -> Tag:
    if one.source == "common practice, no source":
        return notes.tag(Provenance.PRACTICE, one.source)
    return notes.tag(Provenance.PUBLISHED, f"{one.source} ({one.standing})")
