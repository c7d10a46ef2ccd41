"""What reading a log has to say: errors that stop it, remarks on what was wrong and what was made of it.

Plain values; every other module of this room makes them, the commands and the card of the cook show them.
"""

from dataclasses import dataclass
from math import floor


class LogError(Exception):
    """A log that cannot be read. The message says what is wrong, where, and what to write instead."""


@dataclass(frozen=True, slots=True)
class Remark:
    """Something found in a log: which kind, when (s from its first reading; None: all of it), in words."""

    kind: str
    at_s: float | None
    words: str

    @property
    def text(self) -> str:
        """The remark with its time, as a card and the terminal show it."""
        return self.words if self.at_s is None else f"{since_start(self.at_s)}: {self.words}"


@dataclass(frozen=True, slots=True)
class Assumption:
    """Something a log leaves open: the question, what was taken, and the option that says otherwise."""

    about: str
    taken: str
    why: str
    option: str

    @property
    def text(self) -> str:
        """The assumption in one line."""
        return f"{self.about}: {self.taken} ({self.why}); to say otherwise: {self.option}"


def since_start(seconds: float) -> str:
    """A time since the start as a card writes it: "5 h 10 min", "40 s"."""
    whole = floor(seconds + 0.5)
    hours, minutes, rest = whole // 3600, whole // 60 % 60, whole % 60
    parts = [f"{hours} h"] * (hours > 0) + [f"{minutes} min"] * (minutes > 0) + [f"{rest} s"] * (rest > 0)
    return " ".join(parts) or "0 min"
