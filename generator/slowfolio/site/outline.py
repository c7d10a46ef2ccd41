"""The places on a finished page, and what of it the search should read: HTML of our own templates."""

import re
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Outline:
    """The places on a page: second-level headings (id, text) in order, and every id."""

    headings: tuple[tuple[str, str], ...]
    ids: frozenset[str]


ID = re.compile(r'\sid="([^"]+)"')
HEADING = re.compile(r'<h2 id="([^"]+)">(.*?)</h2>', re.DOTALL)
TAG = re.compile(r"<[^>]*>")


def outline(html: str) -> Outline:
    """The places on a page that our own templates made: ids in double quotes, text escaped."""
    headings = ((name, " ".join(TAG.sub("", text).split())) for name, text in HEADING.findall(html))
    return Outline(tuple(headings), frozenset(ID.findall(html)))


LEFT_OUT = re.compile(r"<(\w+)\b[^>]*\sdata-search-exclude\b[^>]*>.*?</\1>", re.DOTALL)


UNREAD = re.compile(
    r"</?(?:a|b|dd|details|div|dl|dt|em|nav|section|small|span|strong|summary|table|tbody|td|th|thead|tr)\b[^>]*>"
)
"""Tags that the search drops while keeping their text: dropped here, they cost it no time."""

GAPS = re.compile(r"\s{2,}")


def searched(html: str) -> str:
    """What the search should read of a page: all but the elements marked `data-search-exclude`.

    Such an element holds none of its own kind (a test sees to it), so the first closing tag is its own.
    """
    return GAPS.sub(" ", UNREAD.sub("", LEFT_OUT.sub("", html)))
