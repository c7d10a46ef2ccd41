"""Findings as text for a terminal, JSON, GitHub annotations and SARIF 2.1.0: functions from a report to text.

Nothing here checks or prints. File names and values in the output cannot break its form.
"""

import json
import re
import unicodedata
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any
from urllib.parse import quote

from slowfolio import __version__
from slowfolio.book.codes import Code, all_codes
from slowfolio.book.findings import Finding, Severity, visible
from slowfolio.book.model import Layer

SARIF_SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
GITHUB_WORDS = {Severity.ERROR: "error", Severity.WARNING: "warning", Severity.NOTE: "notice"}


@dataclass(frozen=True, slots=True)
class Report:
    """What a check shows: the findings, how many cards were looked at, and the way to the book.

    `shown_root` is put before every file, so that the place can be opened from where the command ran.
    `layers` says whose each card is.
    """

    shown_root: str
    findings: tuple[Finding, ...]
    cards: int
    layers: tuple[Layer, ...] = ()

    def shown_file(self, finding: Finding) -> str:
        """The file of a finding as seen from where the command ran."""
        return finding.file if self.shown_root in {"", "."} else f"{self.shown_root}/{finding.file}"

    def count(self, severity: Severity) -> int:
        """How many findings there are of one severity."""
        return sum(finding.severity is severity for finding in self.findings)


def as_text(report: Report) -> str:
    """Every finding with its line, a caret and what to write; a summary at the end."""
    parts = [_finding_text(report, finding) for finding in report.findings]
    return "\n\n".join([*parts, _summary(report)])


def as_json(report: Report) -> str:
    """The documented form of schema/output/check.schema.json. ASCII only, so that any pipe carries it."""
    stages = {code.name: code for code in all_codes()} if report.findings else {}
    record = {
        "version": __version__,
        "cards": report.cards,
        "errors": report.count(Severity.ERROR),
        "warnings": report.count(Severity.WARNING),
        "notes": report.count(Severity.NOTE),
        "cards_by_layer": {layer.name.lower(): report.layers.count(layer) for layer in Layer},
        "findings": [_finding_record(report, finding, stages[finding.code]) for finding in report.findings],
    }
    return json.dumps(record, indent=2)


def as_github(report: Report) -> str:
    """One workflow command for each finding, then the summary as a plain line."""
    return "\n".join([*(_annotation(report, finding) for finding in report.findings), _summary(report)])


def as_sarif(report: Report) -> str:
    """One run in SARIF 2.1.0, with a rule for each code that was found."""
    found = {finding.code for finding in report.findings}
    rules = [code for code in all_codes() if code.name in found] if found else []
    index = {code.name: number for number, code in enumerate(rules)}
    log = {
        "$schema": SARIF_SCHEMA,
        "version": "2.1.0",
        "runs": [
            {
                "tool": {
                    "driver": {
                        "name": "slowfolio",
                        "version": __version__,
                        "rules": [_rule(code) for code in rules],
                    }
                },
                "columnKind": "unicodeCodePoints",
                "results": [_result(report, finding, index) for finding in report.findings],
            }
        ],
    }
    return json.dumps(log, indent=2)


FORMATS: Mapping[str, Callable[[Report], str]] = {
    "text": as_text,
    "json": as_json,
    "github": as_github,
    "sarif": as_sarif,
}


# --- text -------------------------------------------------------------------------------------------


def _finding_text(report: Report, finding: Finding) -> str:
    mark = finding.mark
    file = visible(report.shown_file(finding))
    lines = [f"{file}:{mark.line}:{mark.column}: {finding.severity}: {finding.code}: {finding.message}"]
    number = str(mark.line).rjust(5)
    margin = " " * len(number)
    if finding.excerpt.strip():
        lines.append(f"{number} | {_printable(finding.excerpt)}")
        if (caret := _caret(finding)) is not None:
            lines.append(f"{margin} | {caret}")
    if finding.help:
        lines.append(f"{margin}   {_advice(finding.help)}")
    return "\n".join(lines)


def _advice(text: str) -> str:
    return f"write: {text[6:]}" if text.startswith("write ") else f"help: {text}"


def _printable(line: str) -> str:
    return visible(line.replace("\t", " ").rstrip())


def _caret(finding: Finding) -> str | None:
    start, end = finding.mark.column - 1, max(finding.mark.end_column - 1, finding.mark.column)
    line = finding.excerpt
    if start > len(line.rstrip()):
        return None
    marked = line[start:end].rstrip() or " "
    return " " * _width(_printable_prefix(line[:start])) + "^" * max(1, _width(_printable_prefix(marked)))


def _printable_prefix(text: str) -> str:
    return visible(text.replace("\t", " "))


def _width(text: str) -> int:
    """How many columns of a terminal a text takes: none for combining marks, two for wide characters."""
    return sum(
        0 if unicodedata.combining(sign) else 2 if unicodedata.east_asian_width(sign) in "WF" else 1
        for sign in text
    )


def _summary(report: Report) -> str:
    cards = _counted(report.cards, "card") + _whose(report)
    if not report.findings:
        return f"{cards} checked, nothing found"
    counts = [
        _counted(report.count(Severity.ERROR), "error"),
        _counted(report.count(Severity.WARNING), "warning"),
    ]
    if notes := report.count(Severity.NOTE):
        counts.append(_counted(notes, "note"))
    files = _counted(len({finding.file for finding in report.findings}), "file")
    return f"{cards} checked: {', '.join(counts)} in {files}"


def _whose(report: Report) -> str:
    """In a book with a base, how many cards are whose."""
    if set(report.layers) <= {Layer.OWN}:
        return ""
    return f" ({', '.join(f'{report.layers.count(layer):,} {layer.value}' for layer in Layer)})"


def _counted(number: int, noun: str) -> str:
    return f"{number:,} {noun}{'' if number == 1 else 's'}"


# --- json -------------------------------------------------------------------------------------------


def _finding_record(report: Report, finding: Finding, code: Code) -> dict[str, Any]:
    return {
        "code": finding.code,
        "severity": str(finding.severity),
        "stage": code.stage,
        "file": report.shown_file(finding),
        "line": finding.mark.line,
        "column": finding.mark.column,
        "end_column": max(finding.mark.end_column, finding.mark.column + 1),
        "message": finding.message,
        "help": finding.help,
        "excerpt": visible(finding.excerpt),
        "page": code.page,
    }


# --- github -----------------------------------------------------------------------------------------


def _annotation(report: Report, finding: Finding) -> str:
    mark = finding.mark
    fields = {
        "file": report.shown_file(finding),
        "line": str(mark.line),
        "col": str(mark.column),
        "endColumn": str(max(mark.end_column, mark.column + 1)),
        "title": finding.code,
    }
    properties = ",".join(f"{key}={_property(value)}" for key, value in fields.items())
    message = f"{finding.message} ({finding.help})" if finding.help else finding.message
    return f"::{GITHUB_WORDS[finding.severity]} {properties}::{_data(message)}"


def _data(text: str) -> str:
    """Escape as GitHub's workflow commands want for the text after the second ::."""
    return text.replace("%", "%25").replace("\r", "%0D").replace("\n", "%0A")


def _property(text: str) -> str:
    return _data(text).replace(":", "%3A").replace(",", "%2C")


# --- sarif ------------------------------------------------------------------------------------------


def _rule(code: Code) -> dict[str, Any]:
    return {
        "id": code.name,
        "shortDescription": {"text": code.title},
        "fullDescription": {"text": code.why},
        "help": {"text": f"{code.why}\n\nWrong:\n{code.bad}\n\nRight:\n{code.good}"},
        "defaultConfiguration": {"level": str(code.severity)},
        "properties": {"page": code.page},
    }


def _result(report: Report, finding: Finding, index: Mapping[str, int]) -> dict[str, Any]:
    mark = finding.mark
    region: dict[str, Any] = {
        "startLine": mark.line,
        "startColumn": mark.column,
        "endColumn": max(mark.end_column, mark.column + 1),
    }
    if finding.excerpt:
        region["snippet"] = {"text": visible(finding.excerpt)}
    return {
        "ruleId": finding.code,
        "ruleIndex": index[finding.code],
        "level": str(finding.severity),
        "message": {
            "text": f"{finding.message}. {finding.help}".strip() if finding.help else finding.message
        },
        "locations": [
            {
                "physicalLocation": {
                    "artifactLocation": {"uri": _uri(report.shown_file(finding))},
                    "region": region,
                }
            }
        ],
    }


def _uri(path: str) -> str:
    """A path as a URI reference; an absolute one gets its scheme."""
    escaped = quote(path, safe="/")
    if re.match(r"[A-Za-z]:/", path):
        return f"file:///{quote(path, safe='/:')}"
    return f"file://{escaped}" if path.startswith("/") else escaped
