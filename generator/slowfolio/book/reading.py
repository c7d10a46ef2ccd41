"""Reads a book: files, syntax, schema, decoding, references, contradictions, stage by stage for all cards.

A card with an error goes no further, so one mistake gives one finding. The result is the book of good cards
and everything there is to say. The only entry to the rest of the package for commands and site.
"""

import hashlib
from collections.abc import Callable, Container, Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from itertools import chain, islice
from pathlib import Path
from typing import Any, TypeVar

from slowfolio import __version__
from slowfolio.book.base import (
    NoBase,
    base_files,
    base_folder,
    base_name,
    laid_over,
    leave_out_faults,
    left_out,
    of_the_base,
)
from slowfolio.book.codes import severity
from slowfolio.book.decode import Card, decode
from slowfolio.book.files import BOOK_CARD, KIND_OF_FOLDER, CardFile, FileFault, RawLog, read_files
from slowfolio.book.findings import Fault, Finding, Severity
from slowfolio.book.model import Book, BookCard, Cook, Cut, Holder, KeyPath, Layer, Mark, Method, Pit, Wrap
from slowfolio.book.rules.case import MethodCase
from slowfolio.book.rules.cooks import cook_faults, log_faults
from slowfolio.book.rules.equipment import equipment_faults
from slowfolio.book.rules.holding import holding_faults
from slowfolio.book.rules.promises import promise_faults
from slowfolio.book.rules.references import (
    Known,
    file_stem,
    id_faults,
    known_ids,
    reference_faults,
    references,
)
from slowfolio.book.rules.serving import serving_faults
from slowfolio.book.rules.stages import stage_faults
from slowfolio.book.rules.tastings import tasting_faults
from slowfolio.book.rules.texts import text_faults
from slowfolio.book.schemas import schemas_digest
from slowfolio.book.syntax import SWITCH_WORDS, Document, read_document
from slowfolio.book.tasting_card import Tasting

FINDINGS_LIMIT = 50
"""CALIBRATED: more findings in one card say nothing new."""
Kind = TypeVar("Kind", Cut, Pit, Wrap, Holder, Method, Tasting, Cook)


@dataclass(frozen=True, slots=True)
class ReadResult:
    """What came of reading a book.

    `book` holds the cards without errors; it is None where `book.yaml` itself is missing or wrong. `digest`
    stands for every byte of the cards, the schemas and the day they were checked on. `files` are the cards
    looked at, `texts` the data of each as it is written, by kind and file name, broken ones left out;
    `layers` says whose each card is.
    """

    book: Book | None
    findings: tuple[Finding, ...]
    digest: str
    files: tuple[str, ...]
    texts: Mapping[tuple[str, str], Any] = field(default_factory=dict)
    layers: Mapping[str, Layer] = field(default_factory=dict)

    @property
    def errors(self) -> tuple[Finding, ...]:
        """The findings that keep a card out of the book."""
        return tuple(finding for finding in self.findings if finding.severity is Severity.ERROR)


def nothing_known(_digest: str) -> bool:
    """Trust no digest: check everything."""
    return False


def read_book(
    root: Path,
    *,
    today: date | None = None,
    known_good: Callable[[str], bool] = nothing_known,
    drafts: Iterable[CardFile] = (),
    base: Path | None = None,
) -> ReadResult:
    """Read and check the book in the folder `root`. Never raises for anything a card can hold.

    `drafts` are cards that are not on the disk yet; they are read as if they were in the book. `base` takes
    the place of the base the book names, where it names one.
    `known_good` is asked whether a digest has been read before without any finding; where it says so, the
    cards are only parsed and decoded. The digest changes with the day, because reviews fall due.
    Raises OSError only where `root` itself is no folder that can be listed.
    """
    if not root.is_dir():
        raise NotADirectoryError(f"{root} is not a folder")
    reading = _Reading(today or date.today())
    reading.take_files(chain(read_files(root), drafts))
    reading.take_base(root, base)
    if known_good(reading.digest):
        return reading.trusted_result(root)
    for stage in (
        reading.check_syntax,
        reading.check_schemas,
        reading.decode_cards,
        reading.check_references,
        reading.check_contradictions,
    ):
        stage()
    return reading.result(root)


@dataclass(slots=True)
class _Reading:
    """The cards of one run on their way through the stages; `failed` are the files that dropped out."""

    today: date
    documents: list[Document] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    failed: set[str] = field(default_factory=set)
    cards: dict[str, Card] = field(default_factory=dict)
    digest_parts: list[str] = field(default_factory=list)
    other_names: list[tuple[str, str]] = field(default_factory=list)
    logs: dict[str, str] = field(default_factory=dict)

    # --- stages ---

    def take_files(self, files: Iterable[CardFile | RawLog | FileFault]) -> None:
        for found in files:
            if isinstance(found, FileFault):
                self._add_file_fault(found)
                self.digest_parts.append(f"{found.file}\0{found.fault.code}")
            elif isinstance(found, RawLog):
                self.logs[found.file] = found.sha256
                self.digest_parts.append(f"{found.file}\0{found.sha256}")
            else:
                self.documents.append(document := read_document(found))
                self.digest_parts.append(f"{document.file}\0{document.digest}")

    def take_base(self, root: Path, instead: Path | None) -> None:
        """Lay the cards read so far over those of the base that the book names, if it names one."""
        card = next((document for document in self.documents if document.kind == "book"), None)
        name = base_name(card)
        own, self.documents = self.documents, []
        if card is not None and name is not None:
            try:
                self.take_files(base_files(root, instead or base_folder(root, name)))
            except NoBase as missing:
                card.faults.append(missing.fault)
        below = self.documents
        if card is not None:
            card.faults.extend(leave_out_faults(card, below))
        self.documents = laid_over(own, below, left_out(card))

    @property
    def digest(self) -> str:
        """Stands for every byte that was read, the schemas and the day."""
        parts = (f"{__version__} {schemas_digest()} {self.today}", *self.digest_parts)
        return hashlib.sha256("\0".join(parts).encode()).hexdigest()

    def check_syntax(self) -> None:
        for document in self._standing():
            self._add_all(document, document.faults)
        if not any(document.kind == "book" for document in self.documents) and BOOK_CARD not in self.failed:
            self._add_file_fault(FileFault(BOOK_CARD, _no_book_card()))

    def check_schemas(self) -> None:
        from slowfolio.book.schema_faults import schema_faults

        for document in self._standing():
            spoken = self._add_all(document, schema_faults(document.kind, document.data))
            words = (path for path in document.switch_words if path not in spoken)
            self._add_all(document, (_switch_word(document, path) for path in words))

    def decode_cards(self) -> None:
        for document in self._standing():
            self.cards[document.file] = decode(document.kind, document.data, document.origin)

    def check_references(self) -> None:
        known = self._known_ids()
        standing = self._standing()
        owners = self._owners_of_ids(standing)
        for document in standing:
            card = self.cards[document.file]
            if isinstance(card, BookCard):
                self._add_all(document, serving_faults(card, known))
                continue
            self._add_all(document, id_faults(card, owners[document.kind, card.id]))
            if isinstance(card, Method | Tasting | Cook):
                self._add_all(document, reference_faults(card, known))
            if isinstance(card, Cook):
                self._add_all(document, log_faults(card, self.logs))

    def check_contradictions(self) -> None:
        for document in self._standing():
            self._add_all(document, text_faults(document.data))
            card = self.cards[document.file]
            if isinstance(card, Tasting):
                self._add_all(document, tasting_faults(card, self.today))
            elif isinstance(card, Cook):
                self._add_all(document, cook_faults(card, self.today))
            elif not isinstance(card, Method):
                self._add_all(document, equipment_faults(card))
        shelves = self._shelves()
        for document in self._standing():
            card = self.cards[document.file]
            if isinstance(card, Method) and _is_whole(card, shelves):
                for rules in (stage_faults, holding_faults, promise_faults):
                    self._add_all(document, rules(self._case(card, shelves)))

    # --- results ---

    def trusted_result(self, root: Path) -> ReadResult:
        self.decode_cards()
        return self.result(root)

    def result(self, root: Path) -> ReadResult:
        findings = tuple(sorted(self.findings, key=lambda finding: finding.place))
        files = tuple(document.file for document in self.documents)
        texts = {
            (document.kind, file_stem(document.file)): document.data
            for document in self.documents
            if isinstance(document.data, dict) and not document.faults
        }
        layers = {document.file: document.layer for document in self.documents}
        return ReadResult(self._book(root), findings, self.digest, files, texts, layers)

    def _book(self, root: Path) -> Book | None:
        card = self.cards.get(BOOK_CARD)
        if not isinstance(card, BookCard) or BOOK_CARD in self.failed:
            return None
        shelves = self._shelves()
        methods = self._good_cards(Method)
        whole = {name: method for name, method in methods.items() if _is_whole(method, shelves)}
        return Book(
            root=str(root),
            card=card,
            cuts=shelves.cuts,
            pits=shelves.pits,
            wraps=shelves.wraps,
            holders=shelves.holders,
            methods=whole,
            tastings=self._tastings_of(whole),
            cooks=self._cooks_of(whole, shelves),
        )

    def _tastings_of(self, methods: Mapping[str, Method]) -> dict[str, Tasting]:
        """The good tastings whose methods are all in the book."""
        tastings = self._good_cards(Tasting)
        return {
            name: tasting
            for name, tasting in tastings.items()
            if all(product.method in methods for product in tasting.products)
        }

    def _cooks_of(self, methods: Mapping[str, Method], shelves: "_Shelves") -> dict[str, Cook]:
        """The good recorded cooks whose method and equipment are all in the book."""
        return {
            name: cook
            for name, cook in self._good_cards(Cook).items()
            if cook.method in methods
            and cook.pit in shelves.pits
            and (cook.holder is None or cook.holder in shelves.holders)
        }

    # --- what the stages share ---

    def _standing(self) -> list[Document]:
        return [document for document in self.documents if document.file not in self.failed]

    def _add_all(self, document: Document, faults: Iterable[Fault]) -> set[KeyPath]:
        """Turn faults into findings, up to the limit, and return the places spoken of."""
        shown = list(islice(faults, FINDINGS_LIMIT + 1))
        found = [document.finding(fault) for fault in shown[:FINDINGS_LIMIT]]
        if document.layer is Layer.INHERITED:
            found = [
                replace(each, help=of_the_base(each)) for each in found if each.severity is Severity.ERROR
            ]
        if len(shown) > FINDINGS_LIMIT:
            last = max(finding.mark for finding in found)
            after = Mark(last.line, last.end_column, last.end_column + 1)
            found.append(document.finding(_more_findings().at(after)))
        self.findings.extend(found)
        if any(finding.severity is Severity.ERROR for finding in found):
            self.failed.add(document.file)
        return {fault.path for fault in shown}

    def _add_file_fault(self, found: FileFault) -> None:
        fault = found.fault
        grade = severity(fault.code)
        self.findings.append(Finding(fault.code, grade, found.file, Mark(1, 1, 2), fault.message, fault.help))
        self.other_names.append((found.file.partition("/")[0], found.file))
        if grade is Severity.ERROR:
            self.failed.add(found.file)

    def _known_ids(self) -> Known:
        read: list[tuple[str, str, Any]] = [(each.kind, each.file, each.data) for each in self.documents]
        unread = [
            (KIND_OF_FOLDER[folder], file, None)
            for folder, file in self.other_names
            if folder in KIND_OF_FOLDER
        ]
        return known_ids(read + unread)

    def _owners_of_ids(self, documents: list[Document]) -> dict[tuple[str, str], str]:
        """The file that has the right to each id: the one that is named after it, else the first."""
        owners: dict[tuple[str, str], str] = {}
        for document in sorted(documents, key=lambda each: file_stem(each.file) != each.data.get("id")):
            owners.setdefault((document.kind, document.data.get("id", "")), document.file)
        return owners

    def _good_cards(self, kind: type[Kind]) -> dict[str, Kind]:
        """The cards of a kind that have no error so far, by id."""
        cards = (card for file, card in self.cards.items() if file not in self.failed)
        return {card.id: card for card in cards if isinstance(card, kind)}

    def _shelves(self) -> "_Shelves":
        return _Shelves(
            cuts=self._good_cards(Cut),
            pits=self._good_cards(Pit),
            wraps=self._good_cards(Wrap),
            holders=self._good_cards(Holder),
        )

    def _case(self, method: Method, shelves: "_Shelves") -> MethodCase:
        holder = shelves.holders[method.hold.holder] if method.hold is not None else None
        return MethodCase(method, shelves.cuts[method.cut], shelves.pits, shelves.wraps, holder, self.today)


@dataclass(frozen=True, slots=True)
class _Shelves:
    """The good cards that methods refer to."""

    cuts: dict[str, Cut]
    pits: dict[str, Pit]
    wraps: dict[str, Wrap]
    holders: dict[str, Holder]


def _is_whole(method: Method, shelves: _Shelves) -> bool:
    """Whether every card a method refers to is good; a broken one has been reported itself."""
    of_kind: Mapping[str, Container[str]] = {
        "cut": shelves.cuts,
        "pit": shelves.pits,
        "wrap": shelves.wraps,
        "holder": shelves.holders,
    }
    return all(name in of_kind[kind] for kind, _, name in references(method))


def _switch_word(document: Document, path: tuple[str | int, ...]) -> Fault:
    value: Any = document.data
    for key in path:
        value = value[key]
    meant = str(SWITCH_WORDS[value.lower()]).lower()
    return Fault(
        "yes-no-word", path, f"some YAML readers take {value} as {meant}", f'write "{value}" in quotes'
    )


def _no_book_card() -> Fault:
    return Fault(
        "book-card-missing",
        (),
        "the folder has no book.yaml, so it is no book",
        "write book.yaml with the title, authority and altitude of the book",
    )


def _more_findings() -> Fault:
    return Fault(
        "more-findings",
        (),
        f"there are more than {FINDINGS_LIMIT} findings in this card; the rest is not shown",
        "mend the ones above and check again",
    )
