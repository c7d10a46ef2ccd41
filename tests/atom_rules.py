"""What RFC 4287 (Nottingham and Sayre, 2005) asks of an Atom feed, as faults with their sections."""

import re
from collections.abc import Iterator
from urllib.parse import urlsplit
from xml.etree import ElementTree
from xml.etree.ElementTree import Element

ATOM = "{http://www.w3.org/2005/Atom}"
RFC_3339 = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?(Z|[+-]\d\d:\d\d)")
METADATA = {"author", "category", "contributor", "id", "link", "rights", "title", "updated"}
IN_FEED = METADATA | {"entry", "generator", "icon", "logo", "subtitle"}
IN_ENTRY = METADATA | {"content", "published", "source", "summary"}
ONCE_AT_MOST = (
    "generator",
    "icon",
    "logo",
    "rights",
    "subtitle",
    "content",
    "published",
    "source",
    "summary",
)


def atom_faults(text: str) -> list[str]:
    """What is wrong with a feed; a text that is no XML raises ParseError."""
    feed = ElementTree.fromstring(text.encode())
    if feed.tag != f"{ATOM}feed":
        return ["2: the document element is no atom:feed"]
    return list(feed_faults(feed))


def feed_faults(feed: Element) -> Iterator[str]:
    """Faults of the feed and of its entries."""
    entries = feed.findall(f"{ATOM}entry")
    yield from common_faults(feed, IN_FEED)
    if feed.find(f"{ATOM}author") is None and any(each.find(f"{ATOM}author") is None for each in entries):
        yield "4.1.1: no author of the feed, and an entry without one"
    if not any(link.get("rel") == "self" for link in feed.findall(f"{ATOM}link")):
        yield "4.1.1: no link to the feed itself"
    ids = [each.findtext(f"{ATOM}id") for each in (feed, *entries)]
    if len(set(ids)) != len(ids):
        yield "4.2.6: an id that stands twice"
    for entry in entries:
        yield from common_faults(entry, IN_ENTRY)
        content = entry.find(f"{ATOM}content")
        if content is None and not alternates(entry):
            yield "4.1.2: an entry with neither content nor an alternate link"
        if content is not None and content.get("type", "text") not in {"text", "html", "xhtml"}:
            yield "4.1.3.1: content of another type"


def common_faults(element: Element, allowed: set[str]) -> Iterator[str]:
    """What feed and entry alike must have."""
    for child in element:
        name = child.tag.removeprefix(ATOM)
        if child.tag.startswith(ATOM) and name not in allowed:
            yield f"4.1: {name} has no place here"
    for name in ("id", "title", "updated"):
        found = element.findall(f"{ATOM}{name}")
        if len(found) != 1:
            yield f"4.1: {len(found)} {name} instead of one"
    for name in ONCE_AT_MOST:
        if len(element.findall(f"{ATOM}{name}")) > 1:
            yield f"4.1: more than one {name}"
    if not urlsplit(element.findtext(f"{ATOM}id", "")).scheme:
        yield "4.2.6: an id that is no absolute IRI"
    if not RFC_3339.fullmatch(element.findtext(f"{ATOM}updated", "")):
        yield "3.3: a date that is none of RFC 3339"
    for author in element.findall(f"{ATOM}author"):
        if len(author.findall(f"{ATOM}name")) != 1 or not author.findtext(f"{ATOM}name"):
            yield "3.2.1: a person without a name"
    if any(not link.get("href") for link in element.findall(f"{ATOM}link")):
        yield "4.2.7.1: a link that leads nowhere"
    kinds = [(link.get("type"), link.get("hreflang")) for link in alternates(element)]
    if len(set(kinds)) != len(kinds):
        yield "4.1.1: two alternate links of one kind"


def alternates(element: Element) -> list[Element]:
    """Links to the same thing in another form; a link without a relation is one."""
    return [link for link in element.findall(f"{ATOM}link") if link.get("rel", "alternate") == "alternate"]
