"""From a folder of cards to the site as a value: the one seam between the site and the other packages."""

from pathlib import Path

from slowfolio import __version__
from slowfolio.book.codes import all_codes
from slowfolio.book.findings import Severity
from slowfolio.enrich.cache import Cache, default_folder
from slowfolio.enrich.gate import gate_findings
from slowfolio.enrich.opening import BookNotReady, open_book, refusal
from slowfolio.enrich.pipeline import enrich_book
from slowfolio.resources import schema_folder
from slowfolio.site.pages import BuildInfo, Site, build_site_value
from slowfolio.site.reference_pages import read_schemas

__all__ = ["BookNotReady", "load_site"]


def load_site(book_path: Path) -> Site:
    """Read, check and enrich the book at `book_path` and build its pages. Raises BookNotReady."""
    cache = Cache(default_folder())
    book = open_book(book_path, cache)
    enriched = enrich_book(book, cache)
    refused = [finding for finding in gate_findings(book, enriched) if finding.severity is Severity.ERROR]
    if refused:
        raise BookNotReady(refusal(refused))
    build = BuildInfo(version=__version__, schemas=read_schemas(schema_folder()), codes=all_codes())
    return build_site_value(book, enriched.results, build)
