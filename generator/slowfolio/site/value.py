"""A site as a value, light to import: pages ready to be written, and what every page shows of the book.

`pages` makes it, `load` keeps it, the adapters `plugin` and `export` hand it on.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from slowfolio.site.outline import Outline


@dataclass(frozen=True, slots=True)
class PageSpec:
    """One page, ready: source address, title, HTML, places on it and what the search should know.

    A `search_boost` of 0 keeps the page out of the search.
    """

    uri: str
    title: str
    html: str
    outline: Outline
    description: str = ""
    source_card: str = ""
    search_boost: float = 1.0


@dataclass(frozen=True, slots=True)
class Site:
    """A whole site as a value: what every page shows of the book, the pages, and files that scripts load."""

    title: str
    kitchen: str
    units_first: str
    version: str
    pages: tuple[PageSpec, ...]
    files: Mapping[str, str] = field(default_factory=dict)
