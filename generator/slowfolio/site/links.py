"""Where every page is, and the only way to link from one to another.

A link to a page that is not in the map raises, so a dangling reference fails the build instead of the reader.
"""

import posixpath
import re
from collections.abc import Iterable
from dataclasses import dataclass


class UnknownPage(LookupError):
    """A link to a page that this site does not have."""


@dataclass(frozen=True, slots=True)
class Link:
    """A link to another page of the site."""

    text: str
    href: str


@dataclass(frozen=True, slots=True)
class Links:
    """The source addresses (`pits/kettle.md`) of all pages of the site."""

    uris: frozenset[str]

    @classmethod
    def to(cls, uris: Iterable[str]) -> "Links":
        """A map of these pages."""
        return cls(frozenset(uris))

    def href(self, origin: str, target: str) -> str:
        """The relative address from the page `origin` to the page `target`, an anchor kept."""
        uri, hash_mark, anchor = target.partition("#")
        for page in (origin, uri):
            if page not in self.uris:
                raise UnknownPage(f"no page {page!r} on this site (linked from {origin!r})")
        start = posixpath.dirname(origin) or "."
        return posixpath.relpath(page_address(uri), start) + hash_mark + anchor


def page_address(uri: str) -> str:
    """The address of the built page of a source: `pits/kettle.md` becomes `pits/kettle.html`."""
    return uri.removesuffix(".md") + ".html"


def anchor_of(words: str) -> str:
    """An anchor made of lower-case letters, digits and hyphens, whatever the words hold."""
    return re.sub(r"[^a-z0-9]+", "-", words.casefold()).strip("-") or "part"


def card_uri(kind: str, card_id: str) -> str:
    """The source address of the page of a card; `kind` is the plural: methods, pits, holders, wraps, cuts."""
    return f"{kind}/{card_id}.md"
