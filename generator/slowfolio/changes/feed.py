"""The recorded changes of a book as a feed in the Atom format (RFC 4287, 2005).

Ids are name-based UUIDs of the commits (RFC 9562, version 5), the same wherever the site lies;
links are relative to it.
"""

import uuid
from datetime import UTC, datetime
from xml.etree import ElementTree

from slowfolio.changes.history import History, Recorded
from slowfolio.changes.words import difference_words
from slowfolio.units import System

ATOM = "http://www.w3.org/2005/Atom"
SPACE = uuid.uuid5(uuid.NAMESPACE_DNS, "slowfolio.invalid")
NEVER = datetime(1970, 1, 1, tzinfo=UTC)


def feed_text(history: History, *, title: str, author: str, page: str, own: str, system: System) -> str:
    """The feed. `page` is the address of the page of changes, `own` that of the feed, both relative."""
    ElementTree.register_namespace("", ATOM)
    feed = ElementTree.Element(f"{{{ATOM}}}feed")
    newest = max((each.when for each in history.changes), default=NEVER)
    first = history.changes[-1].id if history.changes else title
    _add(feed, "id", f"urn:uuid:{uuid.uuid5(SPACE, f'{title} {first}')}")
    _add(feed, "title", f"{title}: what changed")
    _add(feed, "updated", newest.astimezone(UTC).isoformat())
    _add(_add(feed, "author"), "name", author)
    _add(feed, "link", rel="self", href=own, type="application/atom+xml")
    _add(feed, "link", rel="alternate", href=page, type="text/html")
    for each in history.changes:
        _entry(feed, each, page, system)
    return '<?xml version="1.0" encoding="utf-8"?>\n' + ElementTree.tostring(feed, encoding="unicode") + "\n"


def _entry(feed: ElementTree.Element, change: Recorded, page: str, system: System) -> None:
    entry = _add(feed, "entry")
    _add(entry, "id", f"urn:uuid:{uuid.uuid5(SPACE, change.id)}")
    _add(entry, "title", printable(change.subject) or "A change without words")
    _add(entry, "updated", change.when.astimezone(UTC).isoformat())
    _add(entry, "link", rel="alternate", href=f"{page}#{anchor(change)}", type="text/html")
    _add(entry, "content", "\n".join(summary(change, system)), type="text")


def summary(change: Recorded, system: System) -> list[str]:
    """What a change does, a line a method."""
    lines = []
    for each in change.methods:
        effect = change.effects.get(each.method)
        if effect is None:
            lines.append(f"{each.title}: {each.change}")
            continue
        told = [f"{part.name} {difference_words(part, system)}" for part in effect.quantities if part.matters]
        rules = [verdict.rule for verdict in effect.verdicts if verdict.changed]
        told += [f"rule met otherwise: {rule}" for rule in rules]
        lines.append(f"{each.title}: {'; '.join(told) or 'no difference beyond the spread'}")
    return lines or ["No method computes otherwise."]


def anchor(change: Recorded) -> str:
    """Where a change stands on the page."""
    return f"c-{change.id[:10]}"


def printable(text: str) -> str:
    """A text without the characters that XML 1.0 does not allow."""
    return "".join(sign for sign in text if sign in "\t\n" or (sign.isprintable() and sign != "\ufffe"))


def _add(parent: ElementTree.Element, name: str, text: str = "", **attributes: str) -> ElementTree.Element:
    child = ElementTree.SubElement(parent, f"{{{ATOM}}}{name}", attributes)
    child.text = text or None
    return child
