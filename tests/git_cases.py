"""A small book under version control, made anew for the tests of what asks git."""

import os
import re
import shutil
import subprocess
from pathlib import Path

STARTER = Path(__file__).parents[1] / "methods"
KEPT = ("overnight-low", "butcher-paper", "foil-tight")
HELD = "butcher-paper"
"""The one that keeps its hold; holds take the most computing."""
BLOCKS_OF_THE_HOLD = re.compile(r"^(hold|reasons):\n(?:[ #].*\n)+", re.MULTILINE)
WHO = {
    "GIT_AUTHOR_NAME": "Pit lead",
    "GIT_AUTHOR_EMAIL": "pit@alder.example",
    "GIT_COMMITTER_NAME": "Pit lead",
    "GIT_COMMITTER_EMAIL": "pit@alder.example",
    "GIT_AUTHOR_DATE": "2026-11-20T08:00:00+00:00",
    "GIT_COMMITTER_DATE": "2026-11-20T08:00:00+00:00",
    "GIT_CONFIG_GLOBAL": os.devnull,
    "GIT_CONFIG_SYSTEM": os.devnull,
}


def git(folder: Path, *arguments: str) -> str:
    """One git command as the invented pit lead."""
    done = subprocess.run(
        ["git", "-C", str(folder), *arguments],
        check=True,
        capture_output=True,
        text=True,
        env={**os.environ, **WHO},
    )
    return done.stdout


def small_book(folder: Path) -> Path:
    """The equipment of the starter book and three of its methods, in a fresh folder."""
    root = folder / "methods"
    for name in ("cuts", "pits", "wraps", "holders"):
        shutil.copytree(STARTER / name, root / name)
    shutil.copy(STARTER / "book.yaml", root / "book.yaml")
    (root / "cards" / "brisket").mkdir(parents=True)
    for name in KEPT:
        text = (STARTER / "cards" / "brisket" / f"{name}.yaml").read_text("utf-8")
        kept = text if name == HELD else BLOCKS_OF_THE_HOLD.sub("", text)
        (root / "cards" / "brisket" / f"{name}.yaml").write_text(kept, "utf-8")
    return root


def under_git(folder: Path) -> Path:
    """The small book, committed once; returns its root."""
    root = small_book(folder)
    git(folder, "init", "-q", "-b", "main")
    commit(folder, "The first three methods")
    return root


def commit(folder: Path, subject: str) -> str:
    """Commit everything; returns the commit's id."""
    git(folder, "add", "-A")
    git(folder, "commit", "-q", "--allow-empty", "-m", subject)
    return git(folder, "rev-parse", "HEAD").strip()


def set_pit(file: Path, temperature: str) -> str:
    """Write another pit temperature in the first stage of a method; returns the one that was there."""
    text = file.read_text("utf-8")
    found = re.search(r"pit_temperature: ([0-9]+ °[FC])", text)
    assert found is not None
    file.write_text(text[: found.start(1)] + temperature + text[found.end(1) :], "utf-8")
    return found[1]


def edit(file: Path, old: str, new: str) -> None:
    """Replace the first place of a text in a card."""
    text = file.read_text("utf-8")
    assert old in text, f"{old!r} is not in {file.name}"
    file.write_text(text.replace(old, new, 1), "utf-8")
