"""A book as it was at a revision: its files and those of a base beside it, unpacked into a folder and read.

A base inside the same checkout is taken at the same revision; any other is taken as it is now.
"""

import os
from dataclasses import replace
from pathlib import Path, PurePosixPath

from slowfolio.book.base import SHARED, base_name
from slowfolio.book.files import BOOK_CARD, CardFile
from slowfolio.book.syntax import read_document
from slowfolio.changes.programs import NEEDED, PACKAGE, Program, program_in
from slowfolio.changes.revisions import Repository
from slowfolio.changes.sides import Side, read_side


def whole_side_at(repository: Repository, revision: str, folder: Path) -> Side:
    """The book at a revision with the program that came with it. Raises NoHistory."""
    side = side_at(repository, revision, folder)
    return replace(side, program=program_at(repository, revision, folder))


def checkout_side(repository: Repository, name: str, root: Path) -> Side:
    """The book in a checkout as its files are now, with the program there."""
    return replace(read_side(name, root), program=program_in(repository.top))


def side_at(repository: Repository, revision: str, folder: Path) -> Side:
    """The book at a revision, unpacked into `folder`. Raises NoHistory."""
    commit = repository.commit_of(revision)
    repository.unpack(commit, folder, str(repository.book))
    root = folder / repository.book
    name = base_named(root)
    if name is None or name == SHARED:
        return read_side(revision, root)
    beside = PurePosixPath(os.path.normpath(repository.book / name))
    if not beside.is_absolute() and ".." not in beside.parts and repository.has(commit, str(beside)):
        repository.unpack(commit, folder, str(beside))
        return read_side(revision, root)
    return read_side(revision, root, base=repository.top / repository.book / name)


def program_at(repository: Repository, revision: str, folder: Path) -> Program | None:
    """The program that a checkout carried at a revision, unpacked into `folder`; None where it had none."""
    commit = repository.commit_of(revision)
    if not repository.has(commit, PACKAGE):
        return None
    repository.unpack(commit, folder, *NEEDED)
    return program_in(folder)


def base_named(root: Path) -> str | None:
    """The base the book in a folder names."""
    try:
        blob = (root / BOOK_CARD).read_bytes()
    except OSError:
        return None
    return base_name(read_document(CardFile(BOOK_CARD, "book", blob)))
