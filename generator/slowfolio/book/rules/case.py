"""A method with the cards it refers to, as its rules see it, and the few questions they all ask."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from slowfolio.book.model import Cut, Holder, Method, Pit, Stage, Until, Wrap
from slowfolio.units import System, format_temperature


@dataclass(frozen=True, slots=True)
class MethodCase:
    """A method whose references all lead to good cards, and the day it is checked on."""

    method: Method
    cut: Cut
    pits: Mapping[str, Pit]
    wraps: Mapping[str, Wrap]
    holder: Holder | None
    today: date

    def pit_of(self, stage: Stage) -> Pit:
        """The pit a stage is cooked in: its own, or the method's."""
        return self.pits[stage.pit or self.method.pit]

    def wrap_of(self, stage: Stage) -> Wrap:
        """The wrap of a stage."""
        return self.wraps[stage.wrap]

    @property
    def finish_c(self) -> float | None:
        """The core temperature the last stage aims at; None where it ends by the clock."""
        return core_target_c(self.method.stages[-1].until)


def core_target_c(until: Until) -> float | None:
    """The core temperature a stage aims at or starts probing at, if it has one."""
    return until.core_temp_c if until.core_temp_c is not None else until.probe_tender_from_c


def core_target_key(until: Until) -> str:
    """The key the core target of a stage is written under."""
    return "core_temperature" if until.core_temp_c is not None else "probe_tender_from"


def longest_s(until: Until) -> float | None:
    """The longest a stage can take by its card, if the card says."""
    return until.time_s if until.time_s is not None else until.at_most_s


def top_is_bare(wrap: Wrap) -> bool:
    """Whether the upper face is open to the air, so that it dries and takes smoke."""
    return wrap.top.permeance_kg_s_m2_pa is None


def both(temp_c: float) -> str:
    """A temperature as both systems say it: "250 °F (121 °C)"."""
    return f"{format_temperature(temp_c, System.US)} ({format_temperature(temp_c, System.METRIC)})"
