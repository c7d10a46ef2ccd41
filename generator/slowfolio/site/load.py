"""From a folder of cards to the site as a value: the one seam between the site and the other packages.

A site whose cards, templates and code are those of an earlier build is taken from the cache whole, without
loading what computes and lays out.
"""

from datetime import date
from functools import cache
from pathlib import Path

from slowfolio import __version__
from slowfolio.book.findings import Severity
from slowfolio.book.model import Book
from slowfolio.book.reading import ReadResult
from slowfolio.changes.history import History, history_of
from slowfolio.enrich.cache import Cache, content_key, default_folder
from slowfolio.enrich.opening import BookNotReady, open_reading, refusal
from slowfolio.resources import PACKAGE, schema_folder, site_sources_folder
from slowfolio.site.value import Site

__all__ = ["BookNotReady", "load_site"]

SOURCES = (".py", ".html", ".json", ".yaml", ".csv", ".md", ".yml")


def load_site(book_path: Path) -> Site:
    """Read, check and enrich the book at `book_path` and build its pages. Raises BookNotReady."""
    kept = Cache(default_folder())
    reading = open_reading(book_path, kept)
    assert reading.book is not None
    history = history_of(book_path, kept)
    key = content_key(site_key(reading), history)
    site = kept.read(key, Site)
    if site is None:
        site = compute_site(reading.book, kept, history=history, today=date.today())
        kept.write(key, site)
    return site


def compute_site(book: Book, kept: Cache, *, history: History, today: date) -> Site:
    """Enrich a checked book, hold it against the rules, lay out its pages. Raises BookNotReady.

    `history` is what version control knows of the book, `today` the day reviews are held against.
    """
    from slowfolio.book.codes import all_codes
    from slowfolio.enrich.cooks import enrich_cooks
    from slowfolio.enrich.gate import gate_findings
    from slowfolio.enrich.pipeline import enrich_book
    from slowfolio.enrich.tasting_analysis import analyse_book
    from slowfolio.enrich.tasting_findings import tasting_findings
    from slowfolio.site.pages import BuildInfo, build_site_value
    from slowfolio.site.reference_pages import read_schemas

    enriched = enrich_book(book, kept)
    tastings = analyse_book(book, kept)
    cooks = enrich_cooks(book, kept)
    found = (*gate_findings(book, enriched), *tasting_findings(book, tastings), *cooks.findings)
    refused = [finding for finding in found if finding.severity is Severity.ERROR]
    if refused:
        raise BookNotReady(refusal(refused))
    build = BuildInfo(
        version=__version__,
        schemas=read_schemas(schema_folder()),
        codes=all_codes(),
        history=history,
        today=today,
    )
    return build_site_value(
        book, enriched.results, build, enriched.holds, enriched.carried, tastings, cooks.results
    )


def site_key(reading: ReadResult) -> str:
    """Hash of all a site depends on: the bytes of its cards, and the files that compute and lay out."""
    return content_key("site", reading.digest, sources_digest())


@cache
def sources_digest() -> str:
    """Hash of the names, sizes and times of the package's own files, its templates and its schemas."""
    folders = {PACKAGE, site_sources_folder(), schema_folder()}
    found = sorted(
        (str(path), path.stat().st_size, path.stat().st_mtime_ns)
        for folder in folders
        for path in folder.rglob("*")
        if path.suffix in SOURCES
    )
    return content_key(found)
