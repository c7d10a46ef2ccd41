"""How well a figure of these rules is known, and where it stands: the citation every rule carries.

Every other room of the package builds its rules with these two types. Reading a source is not agreeing with
it: `Standing` says how the figure came here, `Confidence` how sure we are that the edition named says it.
"""

from dataclasses import dataclass
from enum import StrEnum


class Standing(StrEnum):
    """How a figure came to be here."""

    READ = "read"
    MEMORY = "memory"
    COMPUTED = "computed"
    CALIBRATED = "calibrated"


class Confidence(StrEnum):
    """How sure we are that the named edition prints this figure."""

    HIGH = "high"
    MEDIUM = "medium"
    LOW = "low"


@dataclass(frozen=True, slots=True)
class Citation:
    """Who sets a rule, where it is written, which edition, and how well we know it."""

    authority: str
    section: str
    edition: str
    standing: Standing
    confidence: Confidence = Confidence.HIGH
    note: str = ""

    def __str__(self) -> str:
        """Return "authority, section (edition)" as a page prints it."""
        return f"{self.authority}, {self.section} ({self.edition})"
