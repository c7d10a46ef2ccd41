"""Ids and references: each card has an id of its own, its file's name; every reference leads to a card."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from pathlib import PurePosixPath
from typing import Any

from slowfolio.book.files import KIND_OF_FOLDER
from slowfolio.book.findings import Fault, did_you_mean, quoted
from slowfolio.book.model import Cook, Cut, Holder, KeyPath, Method, Pit, Wrap
from slowfolio.book.tasting_card import Tasting

FOLDER_OF = {kind: folder for folder, kind in KIND_OF_FOLDER.items()}
Known = Mapping[str, frozenset[str]]


def file_stem(file: str) -> str:
    """The name of a card's file without its folder and ending."""
    return PurePosixPath(file).stem


def known_ids(cards: Iterable[tuple[str, str, Any]]) -> Known:
    """The ids that exist for each kind, from (kind, file, data) of every card file, broken ones too.

    A reference to a card that exists but cannot be read is not dangling, so file names count as ids.
    """
    ids: defaultdict[str, set[str]] = defaultdict(set)
    for kind, file, data in cards:
        ids[kind].add(file_stem(file))
        if isinstance(data, dict) and isinstance(data.get("id"), str):
            ids[kind].add(data["id"])
    return {kind: frozenset(names) for kind, names in ids.items()}


def id_faults(card: Cut | Pit | Wrap | Holder | Method | Tasting | Cook, first_file: str) -> Iterator[Fault]:
    """Yield what is wrong with a card's own id; `first_file` is where the id was met first."""
    if first_file != card.origin.file:
        yield Fault(
            "duplicate-id",
            ("id",),
            f"{quoted(card.id)} is already the id of {first_file}",
            "give this card an id and a file name of its own",
        )
    elif (stem := file_stem(card.origin.file)) != card.id:
        yield Fault(
            "id-not-file-name",
            ("id",),
            f"the id is {quoted(card.id)} but the file is {stem}.yaml",
            f"write id: {stem}, or rename the file to {card.id}.yaml",
        )


def references(card: Method | Tasting | Cook) -> Iterator[tuple[str, KeyPath, str]]:
    """Yield every reference of a card: the kind of card, where it is written, the id."""
    if isinstance(card, Method):
        yield from _of_method(card)
    elif isinstance(card, Tasting):
        yield from _of_tasting(card)
    else:
        yield from _of_cook(card)


def _of_method(method: Method) -> Iterator[tuple[str, KeyPath, str]]:
    yield "cut", ("cut",), method.cut
    yield "pit", ("pit",), method.pit
    for index, stage in enumerate(method.stages):
        yield "wrap", ("stages", index, "wrap"), stage.wrap
        if stage.pit is not None:
            yield "pit", ("stages", index, "pit"), stage.pit
    if method.vent is not None:
        yield "wrap", ("vent", "wrap"), method.vent.wrap
    if method.hold is not None:
        yield "holder", ("hold", "holder"), method.hold.holder
        yield "wrap", ("hold", "wrap"), method.hold.wrap


def _of_tasting(tasting: Tasting) -> Iterator[tuple[str, KeyPath, str]]:
    for index, product in enumerate(tasting.products):
        yield "method", ("products", index, "method"), product.method
        for number, cook in enumerate(product.cooks):
            yield "cook", ("products", index, "cooks", number), cook


def _of_cook(cook: Cook) -> Iterator[tuple[str, KeyPath, str]]:
    yield "method", ("method",), cook.method
    yield "pit", ("pit",), cook.pit
    if cook.holder is not None:
        yield "holder", ("holder",), cook.holder


def reference_faults(card: Method | Tasting | Cook, known: Known) -> Iterator[Fault]:
    """Yield every reference of a card that leads to no card."""
    for kind, path, name in references(card):
        ids = known.get(kind, frozenset())
        if name not in ids:
            advice = did_you_mean(name, sorted(ids), f"the {kind}s are")
            yield Fault(
                "dangling-reference",
                path,
                f"there is no {kind} called {quoted(name)}",
                advice or f"write a card {FOLDER_OF[kind]}/{name}.yaml first",
            )
