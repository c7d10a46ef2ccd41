"""The ensemble a page takes to the pit: what every simulated cook did when, small enough to be carried.

What is kept, how it is opened, and what the page's script is given; the browser's `carried.js` opens it the
same way. `carry` makes it, `update` moves it by readings. Where it is kept and shown is not known here.
"""

import base64
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

PLACES = ("thick", "thin", "coldest")
TEMP_QUANTUM_C = {"thick": 0.1, "thin": 0.1, "coldest": 0.5}
"""The coldest point falls by 40 K in a quarter of an hour when the piece leaves the pit: a byte must
hold that."""

TIME_QUANTUM_S, INPUT_QUANTUM = 5.0, 1.0 / 30.0


@dataclass(frozen=True, slots=True)
class CarriedStage:
    """One stage up to the hold. `ended_by`: "time", "core", "tender" or "falls"; `target_c` where a
    temperature ends it, or where probing begins. `rate` is how fast the core gets on in it at its border with
    the stage before, relative to the first stage (1). `pit_drift_k` is one standard deviation of the pit
    about its dial.
    """

    name: str
    kind: str
    pit_temp_c: float
    pit_drift_k: float
    ended_by: str
    target_c: float | None
    duration_s: float | None
    rate: float


@dataclass(frozen=True, slots=True)
class Carried:
    """The ensemble of one method as it is kept and sent: figures as text, see `decode`.

    `pull` is the index of the last stage on the pit. `packed` holds bytes in base64: `ends` (stages, members)
    little-endian uint16 in 5 s; `weight` (members) uint16 in 1/65535 of the greatest; one int8 (members,
    points) for each of `PLACES`, the second differences of temperatures in `TEMP_QUANTUM_C`; `inputs`
    (inputs, members) int8 in thirtieths of a standard deviation of the forecast's prior; `surface` (members)
    uint16 in 5 s, when the cooler face of the thick part has passed the range of the come-up rule.
    """

    method: str
    engine: str
    members: int
    seed: int
    start_temp_c: float
    grid_s: float
    points: int
    pull: int
    inputs: tuple[str, ...]
    stages: tuple[CarriedStage, ...]
    packed: dict[str, str]


@dataclass(frozen=True, slots=True, eq=False)
class Ensemble:
    """A carried ensemble opened: S stages, M members, T times of the grid.

    `ends_s` (S, M) are the ends of the stages from the moment the piece goes on; `courses` by place (T, M) in
    °C, after a member's end its last value; `weight` (M,) is the forecast's prior over the prior drawn from,
    adding up to 1; `drawn` by input (M,) in standard deviations of the forecast's prior; `surface_s` (M,)
    when the cooler face has passed the range of the come-up rule.
    """

    carried: Carried
    time_s: Array
    ends_s: Array
    courses: dict[str, Array]
    surface_s: Array
    weight: Array
    drawn: dict[str, Array]

    @property
    def count(self) -> int:
        """Number of members."""
        return int(self.weight.size)

    @property
    def pull_s(self) -> Array:
        """When each member comes off the pit, (M,)."""
        return np.asarray(self.ends_s[self.carried.pull], dtype=np.float64)

    @property
    def ready_s(self) -> Array:
        """When each member has rested, (M,)."""
        return np.asarray(self.ends_s[-1], dtype=np.float64)


def decode(carried: Carried) -> Ensemble:
    """Open a carried ensemble."""
    count, stages = carried.members, len(carried.stages)

    def numbers(name: str, kind: str) -> Array:
        return np.frombuffer(base64.b64decode(carried.packed[name]), dtype=kind).astype(np.float64)

    weight = numbers("weight", "<u2")
    drawn = numbers("inputs", "i1").reshape(len(carried.inputs), count) * INPUT_QUANTUM
    return Ensemble(
        carried=carried,
        time_s=np.arange(carried.points, dtype=np.float64) * carried.grid_s,
        ends_s=numbers("ends", "<u2").reshape(stages, count) * TIME_QUANTUM_S,
        courses={
            place: bent_back(numbers(place, "i1").reshape(count, carried.points), TEMP_QUANTUM_C[place])
            for place in PLACES
        },
        surface_s=numbers("surface", "<u2") * TIME_QUANTUM_S,
        weight=weight / weight.sum(),
        drawn=dict(zip(carried.inputs, drawn, strict=True)),
    )


def bent_back(bends: Array, quantum_c: float) -> Array:
    """Courses (T, M) in °C from their second differences (M, T) in quanta."""
    slopes = np.cumsum(bends, axis=1)
    return np.ascontiguousarray(np.cumsum(slopes, axis=1).T) * quantum_c


def carried_record(carried: Carried) -> dict[str, Any]:
    """What the page's script is given: `Carried` under its own names."""
    return asdict(carried)
