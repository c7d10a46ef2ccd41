"""A book on top of another: which folder is its base, and how a card of ours is laid over one of the base's.

A card in `adapted/` names only the fields it changes; it is laid over the base's card of its kind and name by
JSON Merge Patch (RFC 7396, 2014): groups are merged, lists and values replaced, null takes a field away. A
card in an ordinary folder takes the whole place of the base's. Called by
`reading`; the gate asks for `of_the_base`.
"""

import hashlib
import os
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path, PurePosixPath
from typing import Any

from slowfolio.book.files import ADAPTED_FOLDER, CardFile, FileFault, RawLog, is_book, read_files, shown_name
from slowfolio.book.findings import Fault, Finding, did_you_mean, quoted
from slowfolio.book.model import Layer
from slowfolio.book.syntax import Document, read_document
from slowfolio.resources import shared_book_folder

SHARED = "shared"
"""The word for the book that comes with the program."""
BASE_KEY = "base"


class NoBase(Exception):
    """The base a book names cannot be used; carries the fault."""

    def __init__(self, fault: Fault) -> None:
        super().__init__(fault.message)
        self.fault = fault


def base_name(book_card: Document | None) -> str | None:
    """The base a book card names, as it is written; None for a book that stands alone or cannot be read."""
    base = (
        book_card.data.get(BASE_KEY) if book_card is not None and isinstance(book_card.data, dict) else None
    )
    name = base.get("book") if isinstance(base, dict) else None
    return name if isinstance(name, str) and name.strip() else None


def left_out(book_card: Document | None) -> tuple[str, ...]:
    """The ids a book card leaves out of its base."""
    base = (
        book_card.data.get(BASE_KEY) if book_card is not None and isinstance(book_card.data, dict) else None
    )
    names = base.get("leave_out") if isinstance(base, dict) else None
    return tuple(name for name in names if isinstance(name, str)) if isinstance(names, list) else ()


def base_folder(root: Path, name: str) -> Path:
    """The folder of a base by its name. Raises NoBase for one that is no book, or is the book itself."""
    place = (BASE_KEY, "book")
    folder = shared_book_folder() if name == SHARED else root / name
    if folder is None or not is_book(folder):
        advice = f'write the folder of a book as seen from this one, such as ../methods, or "{SHARED}"'
        raise NoBase(Fault("base-not-found", place, f"there is no book at {quoted(name)}", advice))
    if os.path.realpath(folder) == os.path.realpath(root):
        raise NoBase(Fault("base-not-found", place, "the book names itself as its base", "name another book"))
    inner = next(
        (each for each in read_files(folder) if isinstance(each, CardFile) and each.kind == "book"), None
    )
    if inner is not None and base_name(read_document(inner)) is not None:
        advice = "stand on the book it stands on, or copy what you need"
        raise NoBase(Fault("base-not-found", place, f"{quoted(name)} stands on another book itself", advice))
    return folder


def leave_out_faults(book_card: Document, below: Iterable[Document]) -> Iterator[Fault]:
    """Yield what is left out of the base and is not in it."""
    there = {_name(document)[1] for document in below}
    for index, name in enumerate(left_out(book_card)):
        if name not in there:
            yield Fault(
                "left-out-not-in-base",
                (BASE_KEY, "leave_out", index),
                f"the base has no card called {quoted(name)}",
                did_you_mean(name, sorted(there)) or "delete it",
            )


def of_the_base(finding: Finding) -> str:
    """What to do about a fault of a card that is not ours to mend."""
    name = PurePosixPath(finding.file).stem
    ours = f"the card is the base's: change it by one in {ADAPTED_FOLDER}/, or leave {name} out in book.yaml"
    return f"{finding.help}; {ours}" if finding.help else ours


def base_files(root: Path, folder: Path) -> Iterator[CardFile | RawLog | FileFault]:
    """The files of the base except its book card, named as seen from our book."""
    for found in read_files(folder):
        if isinstance(found, CardFile) and found.kind == "book":
            continue
        file = _seen_from(root, folder / found.file)
        if isinstance(found, CardFile):
            yield replace(found, file=file, layer=Layer.INHERITED)
        else:
            yield replace(found, file=file)


def _seen_from(root: Path, path: Path) -> str:
    try:
        return shown_name(os.path.relpath(path.absolute(), root.absolute()))
    except ValueError:  # another drive
        return path.absolute().as_posix()


def laid_over(own: Sequence[Document], base: Iterable[Document], leave_out: Sequence[str]) -> list[Document]:
    """All cards of a book: ours, changed or whole, and of the base those that are in nobody's way.

    Records of the base about a method that is left out are left out with it.
    """
    whole = {_name(document) for document in own if document.layer is Layer.OWN}
    below = {_name(document): document for document in base}
    found = [_adapted(each, below.get(_name(each))) if each.layer is Layer.ADAPTED else each for each in own]
    taken = whole | {_name(document) for document in own}
    kept = [each for name, each in below.items() if name not in taken and name[1] not in leave_out]
    return found + [each for each in kept if not _recorded_methods(each) & set(leave_out)]


def _recorded_methods(document: Document) -> set[str]:
    """The methods that a recorded cook or a tasting is about; none for any other card."""
    if document.kind not in {"cook", "tasting"} or not isinstance(document.data, dict):
        return set()
    products = document.data.get("products")
    parts = [document.data, *(products if isinstance(products, list) else [])]
    named = (part.get("method") for part in parts if isinstance(part, dict))
    return {name for name in named if isinstance(name, str)}


def _name(document: Document) -> tuple[str, str]:
    return document.kind, PurePosixPath(document.file).stem


def _adapted(own: Document, below: Document | None) -> Document:
    """Our changes laid over the base's card: its data merged, the places those of our file."""
    if below is None:
        name = _name(own)[1]
        advice = "name the file after the card it changes, or write the whole card in an ordinary folder"
        fault = Fault("adapted-without-base", (), f"the base has no {own.kind} called {quoted(name)}", advice)
        return replace(own, faults=[*own.faults, fault.at(own.start)])
    if own.faults or not isinstance(own.data, dict) or not isinstance(below.data, dict):
        return own
    digest = hashlib.sha256(f"{below.digest}\0{own.digest}".encode()).hexdigest()
    return replace(own, data=merge_patch(below.data, own.data), digest=digest)


def merge_patch(target: Any, patch: Any) -> Any:
    """RFC 7396, section 2: the target with the patch applied; neither is changed."""
    if not isinstance(patch, dict):
        return patch
    merged = dict(target) if isinstance(target, dict) else {}
    for key, value in patch.items():
        if value is None:
            merged.pop(key, None)
        else:
            merged[key] = merge_patch(merged.get(key), value)
    return merged
