"""Page models to HTML through the templates of `site_src/templates`.

Templates hold layout only. Autoescape is on and undefined names raise: the text of a card can never become
markup, and a renamed field cannot leave a hole in a page.
"""

from dataclasses import dataclass
from functools import cache
from html.parser import HTMLParser
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from slowfolio.resources import site_sources_folder


def render(template: str, page: object) -> str:
    """The HTML of a page model."""
    return _environment(site_sources_folder() / "templates").get_template(template).render(page=page)


@cache
def _environment(folder: Path) -> Environment:
    return Environment(
        loader=FileSystemLoader(folder),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


class _Reader(HTMLParser):
    """Collects every id, and the second-level headings that have one."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[tuple[str, str]] = []
        self.ids: set[str] = set()
        self._open = ""
        self._words: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        own_id = dict(attrs).get("id") or ""
        self.ids.add(own_id)
        if tag == "h2":
            self._open, self._words = own_id, []

    def handle_data(self, data: str) -> None:
        if self._open:
            self._words.append(data)

    def handle_endtag(self, tag: str) -> None:
        if tag == "h2" and self._open:
            self.found.append((self._open, " ".join("".join(self._words).split())))
            self._open = ""


@dataclass(frozen=True, slots=True)
class Outline:
    """The places on a page: second-level headings (id, text) in order, and every id."""

    headings: tuple[tuple[str, str], ...]
    ids: frozenset[str]


def outline(html: str) -> Outline:
    """The places on a page."""
    reader = _Reader()
    reader.feed(html)
    return Outline(tuple(reader.found), frozenset(reader.ids - {""}))
