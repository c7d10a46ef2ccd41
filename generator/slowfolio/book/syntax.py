"""From the bytes of a card to plain data, with the place of every value and every key.

One pass over the parser's events, so that nothing is built before its tag, anchor and depth have been seen.
Scalars are read by the YAML 1.2 core rules, as editors read them; what older YAML readers would take for
something else is reported. Knows nothing of schemas. Called by `reading` only.
"""

import hashlib
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import yaml

from slowfolio.book import syntax_faults as say
from slowfolio.book.codes import severity
from slowfolio.book.files import CardFile
from slowfolio.book.findings import EXCERPT_LIMIT, Fault, Finding, visible
from slowfolio.book.model import KeyPath, Layer, Mark, Origin
from slowfolio.book.syntax_errors import explain

Event = Any
"""A parser event; typed as Any because its stubs leave marks and tags open."""

DEPTH_LIMIT = 40
VALUES_LIMIT = 20_000
DIGITS_LIMIT = 18
_PARSER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)

_LINE_BREAK = re.compile("\r\n|[\r\n\x85\u2028\u2029]")
_FORBIDDEN = re.compile("[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_INTEGER = re.compile(r"[-+]?[0-9]+")
_FLOAT = re.compile(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?")
_LEADING_ZERO = re.compile(r"[-+]?0[0-9]+")
_BASE_60 = re.compile(r"[-+]?[0-9][0-9_]*(:[0-5]?[0-9])+(\.[0-9_]*)?")
_WORDS: Mapping[str, bool | None] = {
    **dict.fromkeys(("", "~", "null", "Null", "NULL"), None),
    **dict.fromkeys(("true", "True", "TRUE"), True),
    **dict.fromkeys(("false", "False", "FALSE"), False),
}
SWITCH_WORDS = {"yes": True, "y": True, "on": True, "no": False, "n": False, "off": False}


@dataclass(slots=True)
class Document:
    """A card as read: its data, the marks of its values and keys, its lines, and what reading it showed.

    `faults` carry a mark of their own, because a card that cannot be parsed has no paths. `switch_words`
    are the plain yes, no, on and off, which older YAML readers turn into true and false.
    """

    file: str
    kind: str
    digest: str
    layer: Layer = Layer.OWN
    lines: list[str] = field(default_factory=list)
    data: Any = None
    marks: dict[KeyPath, Mark] = field(default_factory=dict)
    key_marks: dict[KeyPath, Mark] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)
    switch_words: list[KeyPath] = field(default_factory=list)

    @property
    def origin(self) -> Origin:
        """The file, digest and marks as the dataclasses of the book carry them."""
        return Origin(self.file, self.digest, self.marks, self.layer)

    @property
    def start(self) -> Mark:
        """Where the card begins."""
        return self.marks.get((), Mark(1, 1))

    def finding(self, fault: Fault) -> Finding:
        """Put a fault at its place in the file, with the line it is on."""
        mark = fault.mark or self._mark(fault)
        line = self.lines[mark.line - 1] if mark.line <= len(self.lines) else ""
        return Finding(
            code=fault.code,
            severity=severity(fault.code),
            file=self.file,
            mark=mark,
            message=visible(fault.message),
            help=visible(fault.help),
            excerpt=line[:EXCERPT_LIMIT],
        )

    def _mark(self, fault: Fault) -> Mark:
        if fault.on_key and (mark := self.key_marks.get(fault.path)) is not None:
            return mark
        for end in range(len(fault.path), 0, -1):
            path = fault.path[:end]
            mark = self.marks.get(path)
            if mark is not None:
                return mark if end == len(fault.path) else self.key_marks.get(path, mark)
        return self.marks.get((), Mark(1, 1))


def read_document(card: CardFile) -> Document:
    """Parse a card file. Never raises on any bytes: what is wrong is in `faults`."""
    document = Document(card.file, card.kind, hashlib.sha256(card.blob).hexdigest(), card.layer)
    text = _decode(card.blob, document)
    if text is None:
        return document
    document.lines = _LINE_BREAK.split(text)
    if (bad := _FORBIDDEN.search(text)) is not None:
        document.faults.append(say.control_character(bad.group()).at(_mark_at(text, bad.start())))
        return document
    try:
        _build(text, document)
    except _StopReadingError as stop:
        document.faults.append(stop.fault.at(stop.mark))
    except (yaml.YAMLError, RecursionError) as error:
        mark, fault = explain(error, document.lines)
        document.faults.append(fault.at(mark))
    return document


class _StopReadingError(Exception):
    def __init__(self, mark: Mark, fault: Fault) -> None:
        super().__init__(fault.message)
        self.mark = mark
        self.fault = fault


@dataclass(slots=True)
class _Open:
    """A mapping or list whose end has not been seen yet; `key` is the key or index the next value gets."""

    value: dict[str, Any] | list[Any]
    path: KeyPath
    key: str | None = None


def _build(text: str, document: Document) -> None:
    stack: list[_Open] = []
    documents = values = 0
    for event in yaml.parse(text, Loader=_PARSER):
        if isinstance(event, yaml.ScalarEvent | yaml.CollectionStartEvent | yaml.AliasEvent):
            values += 1
            if values > VALUES_LIMIT:
                raise _StopReadingError(_start(event), say.too_many_values(VALUES_LIMIT))
            _take(event, stack, document)
        elif isinstance(event, yaml.CollectionEndEvent):
            stack.pop()
        elif isinstance(event, yaml.DocumentStartEvent):
            documents += 1
            if documents > 1:
                raise _StopReadingError(_start(event), say.several_documents())
    if documents == 0 or (document.data is None and not document.faults):
        raise _StopReadingError(Mark(1, 1), say.empty(document.kind))


def _take(event: Event, stack: list[_Open], document: Document) -> None:
    """Take one scalar, alias or start of a collection as a key or as a value of what is open."""
    parent = stack[-1] if stack else None
    mark = _mark(event)
    if isinstance(parent, _Open) and isinstance(parent.value, dict) and parent.key is None:
        parent.key = _key(event, mark, parent, document)
        return
    path = _path(parent)
    document.marks[path] = mark
    value: Any = None
    if isinstance(event, yaml.ScalarEvent):
        value = _scalar(event, mark, path, document)
        _refuse_marks(event, mark, document)
    elif isinstance(event, yaml.AliasEvent):
        document.faults.append(say.alias(str(event.anchor)).at(mark))
    else:
        value = {} if isinstance(event, yaml.MappingStartEvent) else []
        if len(stack) >= DEPTH_LIMIT:
            raise _StopReadingError(mark, say.too_deep(DEPTH_LIMIT))
        _refuse_marks(event, mark, document)
        stack.append(_Open(value, path))
    _put(value, parent, document)


def _key(event: Event, mark: Mark, parent: _Open, document: Document) -> str:
    if not isinstance(event, yaml.ScalarEvent):
        raise _StopReadingError(mark, say.key_not_text())
    _refuse_marks(event, mark, document)
    key: str = event.value
    path = (*parent.path, key)
    if key == "<<" and not event.style:
        document.faults.append(say.merge_key().at(mark))
    elif path in document.key_marks:
        document.faults.append(say.duplicate(key, document.key_marks[path]).at(mark))
    else:
        document.key_marks[path] = mark
    return key


def _path(parent: _Open | None) -> KeyPath:
    if parent is None:
        return ()
    if isinstance(parent.value, list):
        return (*parent.path, len(parent.value))
    assert parent.key is not None
    return (*parent.path, parent.key)


def _put(value: Any, parent: _Open | None, document: Document) -> None:
    if parent is None:
        document.data = value
    elif isinstance(parent.value, list):
        parent.value.append(value)
    else:
        assert parent.key is not None
        parent.value.setdefault(parent.key, value)
        parent.key = None


def _scalar(event: Event, mark: Mark, path: KeyPath, document: Document) -> Any:
    text: str = event.value
    if event.style:
        return text
    if text in _WORDS:
        return _WORDS[text]
    if text.lower() in SWITCH_WORDS:
        document.switch_words.append(path)
        return text
    if text[0] in "+-.0123456789":
        return _number_or_text(text, mark, document)
    return text


def _number_or_text(text: str, mark: Mark, document: Document) -> int | float | str:
    if (trap := _number_trap(text)) is not None:
        document.faults.append(trap.at(mark))
        return text
    if _INTEGER.fullmatch(text):
        return int(text)
    return float(text) if _FLOAT.fullmatch(text) else text


def _number_trap(text: str) -> Fault | None:
    if _BASE_60.fullmatch(text):
        return say.base_60(text)
    if _LEADING_ZERO.fullmatch(text):
        return say.leading_zero(text)
    if _INTEGER.fullmatch(text) and len(text) > DIGITS_LIMIT:
        return say.too_many_digits(len(text))
    return None


def _refuse_marks(event: Event, mark: Mark, document: Document) -> None:
    if event.anchor is not None:
        document.faults.append(say.anchor(event.anchor).at(mark))
    if getattr(event, "tag", None) is not None:
        document.faults.append(say.tag(event.tag).at(mark))


def _mark(event: Event) -> Mark:
    start, end = event.start_mark, event.end_mark
    past = end.column + 1 if end.line == start.line and end.column > start.column else start.column + 2
    return Mark(start.line + 1, start.column + 1, past)


def _start(event: Event) -> Mark:
    return Mark(event.start_mark.line + 1, event.start_mark.column + 1, event.start_mark.column + 2)


def _mark_at(text: str, index: int) -> Mark:
    before = _LINE_BREAK.split(text[:index])
    column = len(before[-1]) + 1
    return Mark(len(before), column, column + 1)


# --- bytes to text ----------------------------------------------------------------------------------


def _decode(blob: bytes, document: Document) -> str | None:
    try:
        return blob.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        document.lines = list(_LINE_BREAK.split(blob.decode("utf-8-sig", "replace")))
        before = blob[: error.start].decode("utf-8-sig", "replace")
        mark = _mark_at(before, len(before))
        document.faults.append(say.not_utf8(blob, error.start).at(mark))
        return None
