"""The project as a newcomer gets it, in a scratch folder: fewer simulated cooks, its environment set up.

The number of cooks is changed in the copy's own source, so that the commands are run exactly as they are
written. Used by the tests that run what README, DEVELOPERS and the pages for contributors show.
"""

import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from pathlib import Path
from urllib.error import URLError

from git_cases import BLOCKS_OF_THE_HOLD, edit, git

ROOT = Path(__file__).parents[1]
NEEDED = (
    "generator",
    "schema",
    "site_src",
    "methods",
    "Makefile",
    "pyproject.toml",
    "README.md",
    ".gitignore",
)
ONE = "foil-tight"
"""The one method of the small book."""


def copy_project(project: Path) -> Path:
    """This project as it is now, with few simulated cooks."""
    for name in NEEDED:
        if (ROOT / name).is_dir():
            shutil.copytree(ROOT / name, project / name, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copy(ROOT / name, project / name)
    pipeline = project / "generator" / "slowfolio" / "enrich" / "pipeline.py"
    edit(pipeline, "\nMEMBERS = 128\n", "\nMEMBERS = 8\n")
    edit(pipeline, "\nHOLD_MEMBERS = 24\n", "\nHOLD_MEMBERS = 4\n")
    return project


def cut_down(book: Path) -> None:
    """Leave one method without its hold, and nothing that rests on the others."""
    text = (book / "cards" / "brisket" / f"{ONE}.yaml").read_text("utf-8")
    for folder in ("cards", "tastings", "cooks"):
        shutil.rmtree(book / folder, ignore_errors=True)
    (book / "cards" / "brisket").mkdir(parents=True)
    # Its tastings are left behind with the other methods, and a house standard rests on them.
    text = text.replace("status: house standard", "status: on trial")
    (book / "cards" / "brisket" / f"{ONE}.yaml").write_text(BLOCKS_OF_THE_HOLD.sub("", text), "utf-8")


def small_fork(folder: Path) -> Path:
    """A repository to clone from: this project with a book of one method."""
    project = copy_project(folder / "upstream")
    cut_down(project / "methods")
    git(project, "init", "-q", "-b", "main")
    git(project, "add", "-A")
    git(project, "commit", "-q", "-m", "The project")
    git(folder, "clone", "-q", "--bare", str(project), "fork.git")
    return folder / "fork.git"


def environment_there(clone: Path) -> None:
    """What `make` would install on a fresh machine, which CI does before the tests."""
    (clone / ".venv" / "bin").mkdir(parents=True)
    for name in ("python", "slowfolio"):
        program = Path(sys.executable).with_name(name)
        script = f'#!/bin/sh\nPYTHONPATH="{clone}/generator" exec "{program}" "$@"\n'
        (clone / ".venv" / "bin" / name).write_text(script, "utf-8")
        (clone / ".venv" / "bin" / name).chmod(0o755)
    (clone / ".venv" / ".run-installed").touch()


def shown_steps(readme: str, heading: str) -> list[str]:
    """The commands of a section of the README, in order."""
    section = re.search(rf"^## {heading}\n(.*?)^## ", readme, re.MULTILINE | re.DOTALL)
    assert section is not None, heading
    blocks = re.findall(r"^ *```\n(.*?)^ *```", section[1], re.MULTILINE | re.DOTALL)
    return [line.strip() for block in blocks for line in block.splitlines() if line.strip()]


# --- a server ---------------------------------------------------------------------------------------


def free_address() -> str:
    """An address on this machine that nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("localhost", 0))
        return f"localhost:{probe.getsockname()[1]}"


def page_from(address: str, page: str, server: "subprocess.Popen[str]", *, seconds: float = 120.0) -> str:
    """A page of a server that is still starting."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        assert server.poll() is None, server.communicate()
        try:
            with urllib.request.urlopen(f"http://{address}/{page}", timeout=10) as answer:
                text: str = answer.read().decode("utf-8")
                return text
        except (URLError, ConnectionError, TimeoutError):
            time.sleep(0.2)
    raise AssertionError(f"no {page} at {address} within {seconds} s")


def served_page(command: str, where: Path, page: str) -> str:
    """A page of what a command serves at `{address}`, one that is free; then the server is stopped."""
    address = free_address()
    server = subprocess.Popen(
        ["bash", "-c", f"exec {command.format(address=address)}"],
        cwd=where,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        start_new_session=True,
    )
    try:
        return page_from(address, page, server)
    finally:
        os.killpg(server.pid, signal.SIGTERM)
        server.communicate(timeout=30)
