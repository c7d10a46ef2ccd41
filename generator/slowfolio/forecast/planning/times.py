"""What the planner is given: when each stage ends in each simulated cook, and what the hold allows.

Plain frozen data over arrays, checked once when built; M is the number of simulated cooks. `from_cards` makes
it from the engine's result, tests make it up.
"""

import math
from dataclasses import dataclass, field
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from slowfolio.forecast.planning.errors import PlanInputError

Array = NDArray[np.float64]


class ActKind(StrEnum):
    """The acts of a cook, in the order in which one piece meets them; stages and wraps may repeat."""

    THAW = "thaw"
    TRIM = "trim"
    RUB = "rub"
    LIGHT = "light"
    ON = "on"
    STAGE = "stage"
    WRAP = "wrap"
    PULL = "pull"
    VENT = "vent"
    HOLD = "hold"
    SLICE = "slice"
    SERVE = "serve"


def at_share(values: Array, share: float) -> float:
    """The smallest of `values`, shape (M,), that at least `share` of them do not exceed."""
    rank = math.ceil(share * values.size - 1e-9)
    return float(np.sort(values)[min(max(rank, 1), values.size) - 1])


@dataclass(frozen=True, slots=True)
class StageTimes:
    """One stage on a pit or the vent: the act that begins it, and when it ends, seconds from on, shape (M,).

    `pit` is the id of the pit the piece lies in, "" on the board; `pit_temp_c` what its dial is set to;
    `ends_when` the sign that ends the stage, in words.
    """

    name: str
    act: ActKind
    do: str
    pit: str
    pit_temp_c: float
    ends_s: Array
    ends_when: str = ""


@dataclass(frozen=True, slots=True)
class CookTimes:
    """The stages of a cook in order, one or more on a pit and at most one vent after them.

    `windows_s`, shape (S + 1, 3), are the P10, P50 and P90 of the begin of each stage and of being ready,
    seconds from on. Raises PlanInputError for ends that are not finite or run backwards.
    """

    stages: tuple[StageTimes, ...]
    windows_s: Array = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Check order and shapes, and find the windows."""
        acts = [stage.act for stage in self.stages]
        if not acts or acts[0] is not ActKind.ON or ActKind.VENT in acts[:-1]:
            raise PlanInputError("a cook begins by going on the pit and has its vent last")
        if any(act not in {ActKind.STAGE, ActKind.WRAP, ActKind.VENT} for act in acts[1:]):
            raise PlanInputError("after going on, a cook has stages, wraps and a vent")
        shape = self.stages[0].ends_s.shape
        if len(shape) != 1 or not shape[0] or any(stage.ends_s.shape != shape for stage in self.stages):
            raise PlanInputError("every stage needs one end for each simulated cook")
        ends = np.stack([stage.ends_s for stage in self.stages])
        if not np.isfinite(ends).all() or (np.diff(ends, axis=0, prepend=0.0) < 0).any():
            raise PlanInputError("the ends of the stages must be finite and in order")
        begins = np.concatenate([np.zeros((1, ends.shape[1])), ends])
        object.__setattr__(self, "windows_s", np.percentile(begins, [10.0, 50.0, 90.0], axis=1).T)

    @property
    def count(self) -> int:
        """How many simulated cooks there are."""
        return int(self.stages[0].ends_s.size)

    @property
    def vent(self) -> StageTimes | None:
        """The vent, where there is one."""
        return self.stages[-1] if self.stages[-1].act is ActKind.VENT else None

    @property
    def on_pit(self) -> tuple[StageTimes, ...]:
        """The stages on a pit."""
        return self.stages if self.vent is None else self.stages[:-1]

    @property
    def ready_window_s(self) -> tuple[float, float, float]:
        """P10, P50 and P90 of `ready_s`."""
        low, middle, high = (float(value) for value in self.windows_s[-1])
        return low, middle, high

    @property
    def pull_s(self) -> Array:
        """Seconds from on until the piece comes off the pit, shape (M,)."""
        return self.on_pit[-1].ends_s

    @property
    def ready_s(self) -> Array:
        """Seconds from on until the piece can be held or sliced, shape (M,)."""
        return self.stages[-1].ends_s


@dataclass(frozen=True, slots=True)
class HoldTerms:
    """What a hold offers: wanted and longest time by the card, and how long the rule on warmth is met.

    `rules_s`, shape (M,), is when the meat gets too cool by `rule`, seconds from the start of the hold;
    infinity where it does not, None where nothing is held or nothing was computed. `too_cool` says in words
    which limit comes first, `floor_c` is the authority's floor.
    """

    holder: str
    title: str
    wanted_s: float
    at_most_s: float
    do: str = ""
    rules_s: Array | None = None
    floor_c: float | None = None
    too_cool: str = ""
    rule: str = ""

    @property
    def rules_p10_s(self) -> float:
        """How long the rule is met in nine of ten cooks; infinity where no end was found."""
        if self.rules_s is None:
            return float("inf")
        return at_share(self.rules_s, 0.1)

    @property
    def longest_s(self) -> float:
        """The longest hold that card and rule both allow in nine of ten cooks."""
        return max(0.0, min(self.at_most_s, self.rules_p10_s))


NO_HOLD = HoldTerms(holder="", title="", wanted_s=0.0, at_most_s=0.0)
"""A method without a hold: what is ready early waits, and has no card that says for how long."""
