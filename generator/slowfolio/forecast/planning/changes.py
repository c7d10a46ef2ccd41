"""What an arrangement moves against the plan each load would have alone.

Compares plans, makes none. Called by `service`; the words for a person are in `run_sheet`.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from slowfolio.forecast.planning.arrange import Load
from slowfolio.forecast.planning.item import LoadPlan
from slowfolio.forecast.planning.kitchen import PREP
from slowfolio.forecast.planning.places import Option, Place
from slowfolio.forecast.planning.times import ActKind


class ChangeKind(StrEnum):
    """What is moved to make a service go."""

    PIT = "pit"
    START = "start"
    ACT = "act"
    SPLIT = "split"


@dataclass(frozen=True, slots=True)
class Change:
    """One change against the plan each load would have alone: a time, a pit, or pieces in several loads."""

    kind: ChangeKind
    load: str
    what: str
    from_s: float = 0.0
    to_s: float = 0.0
    from_pit: str = ""
    to_pit: str = ""


def splits(items: Sequence[Load], plans: Sequence[LoadPlan]) -> list[Change]:
    """Items that had to go in several loads."""
    changes: list[Change] = []
    for item in items:
        name, pieces = item[0].work.name, item[0].work.pieces
        parts = [p.work.pieces for p in plans if p.work.name == name or p.work.name.startswith(f"{name}, ")]
        if len(parts) > 1 and sum(parts) == pieces:
            changes.append(Change(ChangeKind.SPLIT, name, " + ".join(str(part) for part in parts)))
    return changes


def moves(
    before: Sequence[LoadPlan],
    before_options: Sequence[Option],
    after: Sequence[LoadPlan],
    after_options: Sequence[Option],
    places: dict[str, Place],
) -> list[Change]:
    """What each load does otherwise than it would alone; acts that only follow their start are left out."""
    changes: list[Change] = []
    for old, old_option, new, new_option in zip(before, before_options, after, after_options, strict=True):
        name = new.work.name
        if new_option.pit != old_option.pit:
            pits = places[old_option.pit].title, places[new_option.pit].title
            changes.append(Change(ChangeKind.PIT, name, "pit", from_pit=pits[0], to_pit=pits[1]))
        elif new.start_s != old.start_s:
            changes.append(Change(ChangeKind.START, name, "start", old.start_s, new.start_s))
        shift = new.start_s - old.start_s
        due = {act.kind: act for act in old.acts}
        for act in new.acts:
            was = due.get(act.kind)
            if was is None or (act.kind not in PREP and act.kind is not ActKind.SLICE):
                continue
            follows = shift if act.kind in PREP else 0.0
            if act.kind is not ActKind.THAW and abs(act.at_s - was.at_s - follows) > 1.0:
                changes.append(Change(ChangeKind.ACT, name, act.title, was.at_s + follows, act.at_s))
    return changes
