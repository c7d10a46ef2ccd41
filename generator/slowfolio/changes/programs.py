"""The program a revision carries: what decides its outcomes, whether it runs here, what it prints.

A program is asked in a process of its own, through its commands alone. So a change of the engine shows as
one, and the cards of old revisions are read by the program they were written for. `computed` and `compare`
ask.
"""

import hashlib
import json
import subprocess
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from os import environ
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from slowfolio.changes.model import Model, model_in
from slowfolio.enrich.cache import content_key

FOLDER = "generator"
PACKAGE = f"{FOLDER}/slowfolio"
NEEDED = (FOLDER, "schema", "site_src", "methods")
"""What a program needs beside it to run from a folder."""
SOURCES = frozenset({".py", ".json", ".csv"})
LONGEST_S = 1800.0
"""CALIBRATED: no method of a book takes a tenth of it."""
PROBE = (
    "import slowfolio.cli.simulate, slowfolio.cli.hold, slowfolio.enrich.summary, slowfolio.forecast.run, "
    "slowfolio.forecast.hold_advice, slowfolio; print(slowfolio.__file__)"
)
ERROR = "Error: "


class DoesNotRun(Exception):
    """A revision's program, or what was asked of it, fails here; the message says why."""


@dataclass(frozen=True, slots=True)
class Program:
    """A program in a folder: what decides its outcomes, and a hash of all its source."""

    folder: Path
    model: Model
    digest: str


def program_in(top: Path) -> Program | None:
    """The program of the checkout at `top`; None where it carries none."""
    package = top / PACKAGE
    if not (package / "physics" / "__init__.py").is_file():
        return None
    files = sorted(
        path for name in (FOLDER, "schema") for path in (top / name).rglob("*") if path.suffix in SOURCES
    )
    sources = [(str(path.relative_to(top)), hashlib.sha256(path.read_bytes()).hexdigest()) for path in files]
    return Program(top / FOLDER, model_in(package), content_key("program", sources))


def require_running(program: Program) -> None:
    """Raise DoesNotRun where the program, started from its own folder, fails or is another one."""
    with TemporaryDirectory(prefix="slowfolio-probe-") as scratch:
        taken = Path(started(program, ["-c", PROBE], Path(scratch)).strip())
    if not taken.is_relative_to(program.folder):
        raise DoesNotRun("this Python takes another copy of slowfolio first")


def answer(program: Program, book: Path, words: Sequence[str], scratch: Path) -> Mapping[str, Any]:
    """What a command of the program prints of a book as JSON. Raises DoesNotRun."""
    said = started(program, ["-m", "slowfolio", *words, "--json", "--book", str(book.resolve())], scratch)
    try:
        found: Mapping[str, Any] = json.loads(said)
    except ValueError as error:
        raise DoesNotRun("its program printed no JSON") from error
    return found


def started(program: Program, words: Sequence[str], scratch: Path) -> str:
    """What one process of a program prints; what it computes is kept in `scratch`. Raises DoesNotRun."""
    surroundings = {
        **environ,
        "PYTHONPATH": str(program.folder),
        "PYTHONIOENCODING": "utf-8",
        "SLOWFOLIO_CACHE": str(scratch / program.digest),
        "OPENBLAS_NUM_THREADS": "1",
    }
    try:
        done = subprocess.run(
            [sys.executable, "-P", *words],
            capture_output=True,
            check=False,
            cwd=scratch,
            encoding="utf-8",
            env=surroundings,
            errors="replace",
            stdin=subprocess.DEVNULL,
            timeout=LONGEST_S,
        )
    except subprocess.TimeoutExpired as error:
        raise DoesNotRun(f"its program took more than {LONGEST_S / 60:.0f} min") from error
    if done.returncode != 0:
        raise DoesNotRun(reason(done.stderr))
    return done.stdout


def reason(complaint: str) -> str:
    """What a failed process said, in one line."""
    lines = [line.strip() for line in complaint.splitlines() if line.strip()]
    for line in lines:
        if line.startswith(ERROR):
            return line.removeprefix(ERROR)
    return lines[-1] if lines else "its program stopped without a word"
