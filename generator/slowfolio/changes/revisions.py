"""Version control asked through the git command: is it there, which commit, the files of a revision.

Reads only: no checkout is touched, nothing is fetched. A revision's files are unpacked into a folder of their
own, regular files alone. Whatever is missing is said with the command that mends it. Called by the
`diff` command and the page of changes.
"""

import io
import os
import shutil
import subprocess
import tarfile
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path, PurePosixPath

SIZE_LIMIT = 400_000_000
"""CALIBRATED: a book with its raw logs, many times over; more is no book."""
FIELD, RECORD = "\x1f", "\x1e"


class NoHistory(Exception):
    """Version control cannot answer; the message says what is missing and what to do about it."""


@dataclass(frozen=True, slots=True)
class Commit:
    """One recorded change: its full id, when and in which words. Who typed it stays in version control."""

    id: str
    when: datetime
    subject: str

    @property
    def short(self) -> str:
        """The id as it is shown."""
        return self.id[:10]


@dataclass(frozen=True, slots=True)
class Repository:
    """A checkout under version control, and where the book lies in it."""

    top: Path
    book: PurePosixPath

    def commit_of(self, revision: str) -> str:
        """The full id of a revision. Raises NoHistory for an unknown one."""
        found = run_git(
            self.top, "rev-parse", "--verify", "--quiet", "--end-of-options", f"{revision}^{{commit}}"
        )
        if found.returncode == 0:
            return found.stdout.decode().strip()
        if self.is_shallow:
            raise NoHistory(
                f"there is no revision {revision!r} in this shallow clone; fetch the rest with "
                "git fetch --unshallow (in a workflow: fetch-depth: 0) and try again"
            )
        raise NoHistory(f"there is no revision {revision!r}; git log --oneline lists what there is")

    @property
    def is_shallow(self) -> bool:
        """Whether older history was left out when this was cloned."""
        return asked(self.top, "rev-parse", "--is-shallow-repository") == "true"

    def unpack(self, commit: str, folder: Path, *paths: str) -> None:
        """Write the files under `paths` as they were at `commit` into `folder`, with the same names.

        Raises NoHistory where none of them was there then.
        """
        there = [path for path in paths if self.has(commit, path)]
        if not there:
            raise NoHistory(f"there is no {' or '.join(paths)} in revision {commit[:10]}")
        done = run_git(self.top, "archive", "--format=tar", commit, "--", *there)
        if done.returncode != 0:
            raise NoHistory(
                f"git cannot read revision {commit[:10]}: {done.stderr.decode(errors='replace').strip()}"
            )
        unpack_files(done.stdout, folder)

    def has(self, commit: str, path: str) -> bool:
        """Whether a path was there at a commit."""
        name = f"{commit}:" if path in {"", "."} else f"{commit}:{path}"
        return run_git(self.top, "cat-file", "-e", name).returncode == 0

    def text(self, commit: str, path: str) -> str | None:
        """A file as it was at a commit; None where it was not there."""
        done = run_git(self.top, "cat-file", "blob", f"{commit}:{path}")
        return done.stdout.decode("utf-8", "replace") if done.returncode == 0 else None

    def commits(self, *paths: str, most: int) -> tuple[Commit, ...]:
        """The latest commits that touched `paths`, newest first; merges are seen through."""
        form = FIELD.join(("%H", "%aI", "%s")) + RECORD
        done = run_git(
            self.top, "log", "--no-merges", f"--max-count={most}", f"--format={form}", "HEAD", "--", *paths
        )
        if done.returncode != 0:
            return ()
        records = done.stdout.decode("utf-8", "replace").split(RECORD)
        return tuple(_commit(record.strip("\n")) for record in records if record.strip())

    def parent(self, commit: str) -> str | None:
        """The first parent of a commit; None for the first one, or where a shallow clone ends."""
        done = run_git(self.top, "rev-parse", "--verify", "--quiet", f"{commit}^1")
        return done.stdout.decode().strip() if done.returncode == 0 else None


def repository_of(book: Path) -> Repository:
    """The checkout a book lies in. Raises NoHistory without git, and for a book that is in no checkout."""
    if shutil.which("git") is None:
        raise NoHistory("git is not installed, so no earlier revision can be read")
    folder = book.resolve()
    top = asked(folder, "rev-parse", "--show-toplevel")
    if top is None:
        raise NoHistory(
            f"{book} is not under version control; git init, git add and git commit start its history"
        )
    inside = os.path.relpath(folder, os.path.realpath(top))
    return Repository(Path(os.path.realpath(top)), PurePosixPath(Path(inside).as_posix()))


def run_git(folder: Path, *arguments: str) -> subprocess.CompletedProcess[bytes]:
    """One git command that only reads, in a locale of its own and without asking for anything."""
    surroundings = {name: value for name, value in os.environ.items() if not name.startswith("GIT_")}
    surroundings |= {"LC_ALL": "C.UTF-8", "GIT_TERMINAL_PROMPT": "0", "GIT_OPTIONAL_LOCKS": "0"}
    command = ["git", "-C", str(folder), *arguments]
    return subprocess.run(
        command, capture_output=True, check=False, env=surroundings, stdin=subprocess.DEVNULL
    )


def asked(folder: Path, *arguments: str) -> str | None:
    """The answer of a git command in a line; None where it fails."""
    done = run_git(folder, *arguments)
    return done.stdout.decode(errors="replace").strip() if done.returncode == 0 else None


def unpack_files(archive: bytes, folder: Path) -> None:
    """Write the regular files of a tar archive below `folder`; links and names that lead out are left out."""
    size = 0
    with tarfile.open(fileobj=io.BytesIO(archive)) as tar:
        for member in tar:
            name = PurePosixPath(member.name)
            source = tar.extractfile(member) if member.isreg() else None
            if source is None or name.is_absolute() or ".." in name.parts:
                continue
            size += member.size
            if size > SIZE_LIMIT:
                raise NoHistory(
                    f"the revision holds more than {SIZE_LIMIT // 1_000_000} MB, which is no book"
                )
            target = folder / name
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(source.read())


def _commit(record: str) -> Commit:
    commit, when, subject = record.split(FIELD, 2)
    return Commit(commit, datetime.fromisoformat(when), subject)
