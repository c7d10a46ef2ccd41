"""The codes of all findings: how grave each is, why it matters, and a wrong and a right example.

The texts live in codes.yaml beside this module; the site makes its page of checks from `all_codes`, the
tests run every example. Codes are a contract: they are added, never renamed.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import yaml

from slowfolio.book.findings import Severity

CODES_FILE = Path(__file__).with_name("codes.yaml")
PAGE = "checks.html"
_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


@dataclass(frozen=True, slots=True)
class Code:
    """One kind of finding.

    `example` says how `bad` and `good` are written: "method", "cut", "pit", "wrap", "holder", "cook" or
    "book" are fields of such a card that take the place of the same fields of a good one (`without` names
    fields of the good card that the example does without); "text" is written over a method's lines as it
    stands; "words" describes files and folders, not fields.
    """

    name: str
    severity: Severity
    stage: str
    title: str
    why: str
    example: str
    bad: str
    good: str
    without: tuple[str, ...] = ()

    @property
    def page(self) -> str:
        """Where the site explains the code, relative to the top of the site."""
        return f"{PAGE}#{self.name}"


@cache
def all_codes() -> tuple[Code, ...]:
    """Every code, in the order of the stages of a check."""
    table: Mapping[str, Mapping[str, Any]] = yaml.load(CODES_FILE.read_text("utf-8"), Loader=_LOADER)
    return tuple(_code(name, row) for name, row in table.items())


def severity(name: str) -> Severity:
    """How grave a finding of the code `name` is; KeyError for a code that is not registered."""
    return _by_name()[name].severity


@cache
def _by_name() -> Mapping[str, Code]:
    return {code.name: code for code in all_codes()}


def _code(name: str, row: Mapping[str, Any]) -> Code:
    return Code(
        name=name,
        severity=Severity(row["severity"]),
        stage=row["stage"],
        title=row["title"],
        why=" ".join(row["why"].split()),
        example=row["example"],
        bad=row["bad"].rstrip("\n"),
        good=row["good"].rstrip("\n"),
        without=tuple(row.get("without", ())),
    )
