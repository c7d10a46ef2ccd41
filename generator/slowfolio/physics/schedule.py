"""Schedules: the stages of a cook, vent and hold, with the condition that ends each and what happens on
the way.

Frozen data only; ``cook`` walks through it. Temperatures in °C, times in s, masses in kg.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum

from slowfolio.physics.errors import PhysicsInputError, require_between, require_finite
from slowfolio.physics.pit import ROOM_TEMP_C, PitModel
from slowfolio.physics.wraps import WrapModel, no_wrap

LONGEST_STAGE_S = 48.0 * 3600.0
ONE_ATMOSPHERE_PA = 101_325.0


class StageKind(Enum):
    """What a stage is for: cooking, resting and venting, or holding for service."""

    COOK = "cook"
    VENT = "vent"
    HOLD = "hold"


class FatSide(Enum):
    """Which way the fat cap looks."""

    UP = "up"
    DOWN = "down"


class Probe(Enum):
    """Where the probe that ends a stage sits: in the thickest part, or in the middle of the thin part
    (flat).
    """

    THICK = "thick"
    THIN = "thin"


@dataclass(frozen=True, slots=True)
class Until:
    """What ends a stage; build it with ``until_time``, ``until_core``, ``until_core_falls`` or
    ``until_tender``.

    Exactly one of ``duration_s``, ``core_temp_c``, ``core_falls_to_c`` and ``probe_tender`` is set.
    ``at_most_s`` ends the stage in any case and is then reported as a finding; before ``at_least_s`` nothing
    does. ``tender_from_c``: core temperature from which the cook probes at all; tender before it goes unseen.
    """

    duration_s: float | None = None
    core_temp_c: float | None = None
    core_falls_to_c: float | None = None
    probe_tender: bool = False
    at_most_s: float = 24.0 * 3600.0
    probe: Probe = Probe.THICK
    at_least_s: float = 0.0
    tender_from_c: float | None = None

    def __post_init__(self) -> None:
        """Check that one condition is given and possible."""
        given = [self.duration_s is not None, self.core_temp_c is not None, self.core_falls_to_c is not None]
        if sum(given) + self.probe_tender != 1:
            raise PhysicsInputError(
                "a stage ends by exactly one condition: a duration, a core temperature or probe tender"
            )
        if self.duration_s is not None:
            require_between("stage duration", self.duration_s, low=0.0, high=LONGEST_STAGE_S, unit="s")
        if self.core_temp_c is not None:
            require_between("core target", self.core_temp_c, low=10.0, high=105.0, unit="°C")
        if self.core_falls_to_c is not None:
            require_between("core falls to", self.core_falls_to_c, low=5.0, high=100.0, unit="°C")
        require_between("longest stage time", self.at_most_s, low=60.0, high=LONGEST_STAGE_S, unit="s")
        require_between("shortest stage time", self.at_least_s, low=0.0, high=self.at_most_s, unit="s")
        if self.tender_from_c is not None:
            require_between("probing from", self.tender_from_c, low=40.0, high=105.0, unit="°C")


def until_time(duration_s: float) -> Until:
    """Return the condition "after ``duration_s``"."""
    return Until(duration_s=duration_s)


def until_core(
    core_temp_c: float,
    *,
    at_most_s: float = 24.0 * 3600.0,
    at_least_s: float = 0.0,
    probe: Probe = Probe.THICK,
) -> Until:
    """Return the condition "when the probe reads ``core_temp_c``, but not before ``at_least_s``"."""
    return Until(core_temp_c=core_temp_c, at_most_s=at_most_s, at_least_s=at_least_s, probe=probe)


def until_core_falls(core_temp_c: float, *, at_most_s: float = 6.0 * 3600.0) -> Until:
    """Return the condition "when the core has fallen to ``core_temp_c``" (resting, venting)."""
    return Until(core_falls_to_c=core_temp_c, at_most_s=at_most_s)


def until_tender(
    *,
    at_most_s: float = 24.0 * 3600.0,
    at_least_s: float = 0.0,
    from_c: float | None = None,
    probe: Probe = Probe.THICK,
) -> Until:
    """Return the condition "when a probe slides in", tried from a core of ``from_c`` on; see
    ``CutShape.tender_conversion``.
    """
    return Until(
        probe_tender=True, at_most_s=at_most_s, at_least_s=at_least_s, tender_from_c=from_c, probe=probe
    )


@dataclass(frozen=True, slots=True)
class Spritz:
    """A spray of ``mass_kg_m2`` of water on the bare faces, first after ``first_s`` and then every
    ``every_s``.
    """

    every_s: float
    first_s: float = 0.0
    mass_kg_m2: float = 0.05

    def __post_init__(self) -> None:
        """Check the figures."""
        require_between("spritz interval", self.every_s, low=300.0, high=86_400.0, unit="s")
        require_between("first spritz", self.first_s, low=0.0, high=LONGEST_STAGE_S, unit="s")
        require_between("spritz mass", self.mass_kg_m2, low=0.0, high=0.5, unit="kg/m²")


@dataclass(frozen=True, slots=True)
class DoorOpening:
    """The door stands open for ``open_s``, first after ``first_s``, then every ``every_s`` (None: once)."""

    first_s: float
    open_s: float = 60.0
    every_s: float | None = None

    def __post_init__(self) -> None:
        """Check the figures."""
        require_between("first door opening", self.first_s, low=0.0, high=LONGEST_STAGE_S, unit="s")
        require_between("time the door is open", self.open_s, low=1.0, high=3600.0, unit="s")
        if self.every_s is not None:
            require_between("door interval", self.every_s, low=120.0, high=86_400.0, unit="s")


@dataclass(frozen=True, slots=True)
class Refuel:
    """Fuel is added every ``every_s``: the air dips by ``dip_k`` and comes back over ``lasting_s``."""

    every_s: float
    dip_k: float = 10.0
    lasting_s: float = 900.0

    def __post_init__(self) -> None:
        """Check the figures."""
        require_between("refuelling interval", self.every_s, low=300.0, high=86_400.0, unit="s")
        require_between("refuelling dip", self.dip_k, low=0.0, high=80.0, unit="K")
        require_between("refuelling recovery", self.lasting_s, low=10.0, high=7200.0, unit="s")


@dataclass(frozen=True, slots=True)
class Stage:
    """One stage: the surroundings, the wrap, what is done meanwhile and when it ends.

    ``pit_temp_c`` is what the dial reads (air temperature of a holder, room temperature on a board).
    ``ramp_s``: time over which the dial moves from the previous stage's setting, or from ``ramp_from_c``
    where that is given (a holder without heat cools from its own start). ``water_pan_vapour_pa``
    adds to the vapour pressure of ``environment``. ``doors`` are openings besides those of spritzing.
    """

    name: str
    pit_temp_c: float
    until: Until
    kind: StageKind = StageKind.COOK
    environment: PitModel = field(default_factory=PitModel)
    wrap: WrapModel = field(default_factory=no_wrap)
    fat_side: FatSide = FatSide.UP
    ramp_s: float = 0.0
    ramp_from_c: float | None = None
    water_pan_vapour_pa: float = 0.0
    spritz: Spritz | None = None
    doors: tuple[DoorOpening, ...] = ()
    refuel: Refuel | None = None

    def __post_init__(self) -> None:
        """Check that the stage is possible in itself."""
        require_between(f"{self.name}: pit temperature", self.pit_temp_c, low=-5.0, high=260.0, unit="°C")
        require_between(f"{self.name}: ramp", self.ramp_s, low=0.0, high=LONGEST_STAGE_S, unit="s")
        if self.ramp_from_c is not None:
            require_between(f"{self.name}: ramp from", self.ramp_from_c, low=-5.0, high=260.0, unit="°C")
        require_between(
            f"{self.name}: vapour of the pan", self.water_pan_vapour_pa, low=0.0, high=9e4, unit="Pa"
        )
        target = self.until.core_temp_c
        if target is not None and self.pit_temp_c <= target:
            raise PhysicsInputError(
                f"{self.name}: the core cannot reach {target:g} °C in a pit at {self.pit_temp_c:g} °C: "
                "set the pit hotter or the target lower"
            )
        if self.until.probe_tender and self.pit_temp_c < 55.0:
            raise PhysicsInputError(
                f"{self.name}: collagen does not soften at {self.pit_temp_c:g} °C: set at least 55 °C"
            )
        falls = self.until.core_falls_to_c
        if falls is not None and self.pit_temp_c >= falls:
            raise PhysicsInputError(
                f"{self.name}: the core cannot fall to {falls:g} °C in air at {self.pit_temp_c:g} °C: "
                "set cooler surroundings or a higher target"
            )


@dataclass(frozen=True, slots=True)
class Schedule:
    """The stages in order, the meat's temperature at the start, the air pressure and the room."""

    stages: tuple[Stage, ...]
    start_temp_c: float = 4.0
    pressure_pa: float = ONE_ATMOSPHERE_PA
    room_temp_c: float = ROOM_TEMP_C

    def __post_init__(self) -> None:
        """Check the order and the surroundings."""
        if not self.stages:
            raise PhysicsInputError("the schedule has no stages: give at least one")
        if len(self.stages) > 40:
            raise PhysicsInputError("the schedule has more than 40 stages: join some of them")
        require_between("start temperature of the meat", self.start_temp_c, low=-1.0, high=60.0, unit="°C")
        require_between("air pressure", self.pressure_pa, low=5.0e4, high=1.1e5, unit="Pa")
        require_between("room temperature", self.room_temp_c, low=-30.0, high=50.0, unit="°C")
        require_finite("room temperature", self.room_temp_c)
        first = self.stages[0]
        if first.kind is StageKind.COOK and first.pit_temp_c <= self.start_temp_c:
            raise PhysicsInputError(
                f"{first.name}: the pit at {first.pit_temp_c:g} °C is not hotter than the meat at "
                f"{self.start_temp_c:g} °C: set the pit hotter"
            )
