"""`slowfolio check`: every finding in the cards of a book, or in a part of it, in the format asked for."""

import os
import sys
from dataclasses import replace
from pathlib import Path

import click

from slowfolio.book.files import KIND_OF_FOLDER, find_root, shown_name
from slowfolio.book.findings import Finding, Severity
from slowfolio.book.reading import ReadResult, read_book
from slowfolio.book.report import FORMATS, Report
from slowfolio.enrich.house import with_house_findings


@click.command("check")
@click.argument("path", type=click.Path(path_type=Path), default=Path("methods"))
@click.option(
    "--format",
    "form",
    type=click.Choice(list(FORMATS)),
    default="text",
    show_default=True,
    help="text for people, json for programs, github and sarif for code review.",
)
@click.option("--strict", is_flag=True, help="Fail on warnings too.")
@click.option("--computed", is_flag=True, help="Compute the methods too, and check them against the rules.")
def command(path: Path, form: str, strict: bool, computed: bool) -> None:
    """Check the cards of the book at PATH: the folder of a book, a folder in it, or one card.

    With a folder in a book or a card only their findings are shown; what they refer to is looked up in the
    whole book. PATH is the folder methods where it is left out. Ends with 0 where no card has errors
    (with --strict: nor warnings), with 1 where one has, with 2 where PATH is no book.

    \b
    Examples:
      slowfolio check
      slowfolio check methods/cards/brisket --strict
      slowfolio check methods/pits/ceramic-pit.yaml --format json
    """
    root = _root(path)
    result = _with_tastings(with_house_findings(read_book(root), root))
    if computed:
        result = _with_computed(result)
    report = _report(result, root, path)
    _print(FORMATS[form](report))
    failing = {Severity.ERROR, Severity.WARNING} if strict else {Severity.ERROR}
    if any(finding.severity in failing for finding in report.findings):
        raise SystemExit(1)


def _with_tastings(result: ReadResult) -> ReadResult:
    """The result with what the tastings of the book have to say about its claims."""
    if result.book is None or not result.book.tastings:
        return result
    from slowfolio.enrich.cache import Cache, default_folder
    from slowfolio.enrich.tasting_analysis import analyse_book
    from slowfolio.enrich.tasting_findings import tasting_findings

    analysed = analyse_book(result.book, Cache(default_folder()))
    return _with(result, tasting_findings(result.book, analysed))


def _with(result: ReadResult, more: tuple[Finding, ...]) -> ReadResult:
    found = sorted((*result.findings, *more), key=lambda finding: finding.place)
    return replace(result, findings=tuple(found))


def _with_computed(result: ReadResult) -> ReadResult:
    """The result with what the computed cooks of the good cards have to say."""
    from slowfolio.enrich.cache import Cache, default_folder
    from slowfolio.enrich.cooks import cook_findings
    from slowfolio.enrich.gate import gate_findings
    from slowfolio.enrich.house_standard import house_standard_findings
    from slowfolio.enrich.pipeline import enrich_book
    from slowfolio.enrich.tasting_analysis import analyse_book

    if result.book is None:
        return result
    cache = Cache(default_folder())
    rules = gate_findings(result.book, enrich_book(result.book, cache))
    standards = house_standard_findings(result.book, analyse_book(result.book, cache))
    return _with(result, (*rules, *standards, *cook_findings(result.book)))


def _root(path: Path) -> Path:
    if not os.path.lexists(path):
        raise click.UsageError(
            f"there is no {shown_name(str(path))} here; name the folder of a book, or a card"
        )
    root = find_root(path)
    if root is not None:
        return root
    if path.is_dir() and any((path / folder).is_dir() for folder in KIND_OF_FOLDER):
        return path
    raise click.UsageError(
        f"{shown_name(str(path))} is no book and is in none: there is no book.yaml in it or above it"
    )


def _report(result: ReadResult, root: Path, path: Path) -> Report:
    """The findings of the part of the book that was asked for."""
    part = shown_name(os.path.relpath(path.absolute(), root.absolute()))
    if part == ".":
        return Report(_shown_root(root), result.findings, len(result.files), tuple(result.layers.values()))
    findings = tuple(each for each in result.findings if _within(each.file, part))
    cards = sum(_within(file, part) for file in result.files)
    if not cards and not findings and not path.is_dir():
        raise click.UsageError(f"{shown_name(str(path))} is no card")
    layers = tuple(layer for file, layer in result.layers.items() if _within(file, part))
    return Report(_shown_root(root), findings, cards, layers)


def _within(file: str, part: str) -> bool:
    return file == part or file.startswith(f"{part}/")


def _shown_root(root: Path) -> str:
    """The book's folder as seen from here; in full where it is not below."""
    relative = os.path.relpath(root.absolute())
    return shown_name(str(root.absolute()) if relative.startswith("..") else relative)


def _print(text: str) -> None:
    """Print, with escapes for what the terminal's encoding cannot show."""
    encoding = sys.stdout.encoding or "utf-8"
    click.echo(text.encode(encoding, "backslashreplace").decode(encoding))
