"""The files of a book on disk: which there are, what kind of card each is, and their bytes.

Nothing outside the book's folder is read, whatever links say; devices, pipes and outsized files are refused
before they are read. No YAML is parsed here. Called by `reading` only.
"""

import errno
import hashlib
import os
import stat
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from slowfolio.book.findings import Fault
from slowfolio.book.model import Layer

BOOK_CARD = "book.yaml"
KIND_OF_FOLDER = {
    "cards": "method",
    "cuts": "cut",
    "pits": "pit",
    "wraps": "wrap",
    "holders": "holder",
    "tastings": "tasting",
    "cooks": "cook",
}
LOGS_FOLDER = "cooks"
ADAPTED_FOLDER = "adapted"
ADAPTABLE = frozenset({"cards", "cuts", "pits", "wraps", "holders"})
LOG_SIZE_LIMIT = 64_000_000
"""CALIBRATED: a reading a second over two days in eight columns is about 15 MB."""
SIZE_LIMIT = 1_000_000
FILES_LIMIT = 20_000
CARD_ENDING = ".yaml"
NEARLY_CARD_ENDINGS = frozenset({".yml", ".yaml~", ".json", ".toml"})
NOT_LOGS = frozenset({".yaml", ".yml", ".yaml~", ".toml"})


@dataclass(frozen=True, slots=True)
class CardFile:
    """A file that should be a card: its path inside the book, the kind its folder says, its bytes."""

    file: str
    kind: str
    blob: bytes
    layer: Layer = Layer.OWN


@dataclass(frozen=True, slots=True)
class RawLog:
    """The raw file of a recorded cook, kept beside its card: its path inside the book and its checksum."""

    file: str
    sha256: str


@dataclass(frozen=True, slots=True)
class FileFault:
    """A file or folder that could not be taken as a card, and why."""

    file: str
    fault: Fault


def is_book(folder: Path) -> bool:
    """Whether a folder is the top of a book."""
    return (folder / BOOK_CARD).exists()


def find_root(path: Path) -> Path | None:
    """Return the folder of the book that `path` is, or lies in, by looking upwards for book.yaml."""
    for folder in (path, *path.absolute().parents):
        if folder.is_dir() and is_book(folder):
            return folder
    return None


def read_files(root: Path) -> Iterator[CardFile | RawLog | FileFault]:
    """Yield every card file with its bytes, every raw log with its checksum, in the order of their names,
    and every misfit.

    A link is followed only when it points at a file inside the book.
    """
    inside = os.path.realpath(root)
    for count, path in enumerate(_walk(str(root))):
        file = shown_name(os.path.relpath(path, root))
        if count >= FILES_LIMIT:
            yield FileFault(file, _too_many_files())
            return
        if _is_raw_log(path, file):
            try:
                yield RawLog(file, hashlib.sha256(_read(path, inside, LOG_SIZE_LIMIT)).hexdigest())
            except _RefusedError as refused:
                yield FileFault(file, refused.fault)
            continue
        if (kind := _kind(file)) is None:
            if (misfit := _misplaced(path, file)) is not None:
                yield FileFault(file, misfit)
            continue
        try:
            yield CardFile(file, kind, _read(path, inside, SIZE_LIMIT), layer_of(file))
        except _RefusedError as refused:
            yield FileFault(file, refused.fault)


def shown_name(path: str) -> str:
    """A path with forward slashes and no undecodable bytes, so that every output format can hold it."""
    text = path.encode("utf-8", "surrogateescape").decode("utf-8", "backslashreplace")
    return text.replace(os.sep, "/")


class _RefusedError(Exception):
    def __init__(self, code: str, message: str, advice: str = "") -> None:
        super().__init__(message)
        self.fault = Fault(code, (), message, advice)


def _walk(root: str) -> Iterator[str]:
    folders = [root]
    while folders:
        folder = folders.pop()
        try:
            entries = sorted(os.scandir(folder), key=lambda entry: entry.name)
        except OSError:
            yield folder
            continue
        below: list[str] = []
        for entry in entries:
            if entry.name.startswith("."):
                continue
            if entry.is_dir(follow_symlinks=False) and not entry.name.endswith(CARD_ENDING):
                below.append(entry.path)
            else:
                yield entry.path
        folders.extend(reversed(below))


def _kind(file: str) -> str | None:
    if file == BOOK_CARD:
        return "book"
    folder, _, rest = file.partition("/")
    if folder == ADAPTED_FOLDER:
        folder, _, rest = rest.partition("/")
        if folder not in ADAPTABLE:
            return None
    return KIND_OF_FOLDER.get(folder) if rest and file.endswith(CARD_ENDING) else None


def layer_of(file: str) -> Layer:
    """Whether a file of a book is a card of its own or changes one of the base's."""
    return Layer.ADAPTED if file.startswith(f"{ADAPTED_FOLDER}/") else Layer.OWN


def _is_raw_log(path: str, file: str) -> bool:
    """Whether a file lies among the recorded cooks and is no card."""
    folder, _, rest = file.partition("/")
    ending = os.path.splitext(file)[1].lower()
    return bool(rest) and folder == LOGS_FOLDER and ending not in NOT_LOGS and not os.path.isdir(path)


def _misplaced(path: str, file: str) -> Fault | None:
    """What is odd about a file that is no card; None for the ordinary company of cards."""
    if os.path.isdir(path):
        if os.path.islink(path):
            return Fault(
                "linked-folder", (), "a link to a folder is not followed", "copy the cards into the book"
            )
        return Fault(
            "file-not-readable", (), "the folder cannot be opened", "give yourself the right to read it"
        )
    ending = os.path.splitext(file)[1].lower()
    folder = file.partition("/")[0]
    if folder in KIND_OF_FOLDER and (ending in NEARLY_CARD_ENDINGS or file.lower().endswith(CARD_ENDING)):
        name = os.path.splitext(os.path.basename(file))[0]
        return Fault(
            "card-file-ending",
            (),
            f"a card's file name ends in .yaml, not {ending}",
            f"rename it to {name}.yaml",
        )
    if ending in {".yaml", ".yml"}:
        folders = ", ".join(f"{name}/" for name in KIND_OF_FOLDER)
        return Fault(
            "card-outside-folders",
            (),
            "this file is in none of the folders for cards",
            f"move it to one of {folders}, or delete it",
        )
    return None


def _read(path: str, inside: str, limit: int) -> bytes:
    real = os.path.realpath(path)
    if os.path.islink(path) and not os.path.lexists(real):
        raise _RefusedError(
            "file-not-readable", "this link points to nothing", "delete it, or write the card"
        )
    if os.path.commonpath([real, inside]) != inside:
        raise _RefusedError(
            "file-outside-book", "this is a link to a file outside the book", "copy the card into the book"
        )
    try:
        descriptor = os.open(real, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
        try:
            return _read_regular(descriptor, limit)
        finally:
            os.close(descriptor)
    except OSError as error:
        raise _RefusedError(
            "file-not-readable",
            f"the file cannot be read: {_reason(error)}",
            "make it readable, or delete it",
        ) from error


def _read_regular(descriptor: int, limit: int) -> bytes:
    status = os.fstat(descriptor)
    if not stat.S_ISREG(status.st_mode):
        what = "folder" if stat.S_ISDIR(status.st_mode) else "pipe, socket or device"
        raise _RefusedError(
            "file-not-regular", f"this is a {what}, not a file", "put a card there, or rename it"
        )
    if status.st_size > limit:
        size = f"{status.st_size / 1e6:.1f} MB"
        raise _RefusedError(
            "file-too-large",
            f"the file has {size}, which is more than {_whose(limit)}, and was not read",
            "keep pictures and logs out of the card",
        )
    blob = bytearray()
    while len(blob) <= limit and (piece := os.read(descriptor, limit + 1 - len(blob))):
        blob += piece
    if len(blob) > limit:
        raise _RefusedError(
            "file-too-large", f"the file grew past {_whose(limit)} while it was read", "check again"
        )
    return bytes(blob)


def _whose(limit: int) -> str:
    """What may have so many bytes, in words."""
    return "a card's 1 MB" if limit == SIZE_LIMIT else f"a log's {limit // 1_000_000} MB"


def _reason(error: OSError) -> str:
    if error.errno == errno.EACCES:
        return "you have no right to read it"
    return (error.strerror or "unknown reason").lower()


def _too_many_files() -> Fault:
    return Fault(
        "too-many-files",
        (),
        f"the book has more than {FILES_LIMIT:,} files; the rest was not read",
        "is this the folder of a book? move what is no card out of it",
    )
