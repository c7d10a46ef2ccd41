"""A newcomer's path as the README writes it, in a scratch clone: site, card, edit, check, diff, push.

The scratch project is this one with a single method and fewer simulated cooks, on a machine where its
environment is set up already.
"""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
import yaml

from git_cases import BLOCKS_OF_THE_HOLD, WHO, edit, git

ROOT = Path(__file__).parents[1]
FORK = "https://code.example/you/slowfolio.git"
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
CARD = "methods/cards/pork-shoulder/my-shoulder.yaml"
PAGE = "site/methods/my-shoulder.html"


def steps() -> list[str]:
    """The commands of the README's section, in order."""
    readme = (ROOT / "README.md").read_text("utf-8")
    section = re.search(r"^## Your first pull request\n(.*?)^## ", readme, re.MULTILINE | re.DOTALL)
    assert section is not None
    blocks = re.findall(r"^ *```\n(.*?)^ *```", section[1], re.MULTILINE | re.DOTALL)
    return [line.strip() for block in blocks for line in block.splitlines() if line.strip()]


@pytest.fixture
def fork(tmp_path: Path) -> Path:
    """A repository to clone from: this project as it is now, its starter book cut down to one method."""
    project = tmp_path / "upstream"
    for name in NEEDED:
        if (ROOT / name).is_dir():
            shutil.copytree(ROOT / name, project / name, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copy(ROOT / name, project / name)
    for folder in ("cards", "tastings", "cooks"):
        shutil.rmtree(project / "methods" / folder, ignore_errors=True)
    brisket = project / "methods" / "cards" / "brisket"
    brisket.mkdir(parents=True)
    text = (ROOT / "methods" / "cards" / "brisket" / "foil-tight.yaml").read_text("utf-8")
    # Its tastings are left behind with the other methods, and a house standard rests on them.
    text = text.replace("status: house standard", "status: on trial")
    (brisket / "foil-tight.yaml").write_text(BLOCKS_OF_THE_HOLD.sub("", text), "utf-8")
    pipeline = project / "generator" / "slowfolio" / "enrich" / "pipeline.py"
    edit(pipeline, "\nMEMBERS = 128\n", "\nMEMBERS = 8\n")
    edit(pipeline, "\nHOLD_MEMBERS = 24\n", "\nHOLD_MEMBERS = 4\n")
    git(project, "init", "-q", "-b", "main")
    git(project, "add", "-A")
    git(project, "commit", "-q", "-m", "The project")
    git(tmp_path, "clone", "-q", "--bare", str(project), "fork.git")
    return tmp_path / "fork.git"


def environment_there(clone: Path) -> None:
    """What `make` would install on a fresh machine, which CI does before the tests."""
    (clone / ".venv" / "bin").mkdir(parents=True)
    for name in ("python", "slowfolio"):
        program = Path(sys.executable).with_name(name)
        script = f'#!/bin/sh\nPYTHONPATH="{clone}/generator" exec "{program}" "$@"\n'
        (clone / ".venv" / "bin" / name).write_text(script, "utf-8")
        (clone / ".venv" / "bin" / name).chmod(0o755)
    (clone / ".venv" / ".run-installed").touch()


@pytest.mark.slow
def test_the_readmes_first_pull_request_works_as_written(fork: Path, tmp_path: Path) -> None:
    said: dict[str, str] = {}
    where = tmp_path
    for step in steps():
        if step.startswith("cd "):
            where = where / step.removeprefix("cd ")
            environment_there(where)
            continue
        command = step.replace(FORK, str(fork))
        done = subprocess.run(
            ["bash", "-ec", command],
            cwd=where,
            env={**os.environ, **WHO},
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode == 0, f"{step}\n{done.stdout}{done.stderr}"
        said[step] = done.stdout
        if " new method " in step:
            edit(where / CARD, "title: ", "title: Yard ")
    assert "Yard Pork shoulder" in (where / PAGE).read_text("utf-8")
    difference = next(text for step, text in said.items() if " diff " in step)
    assert "`my-shoulder`: added" in difference
    assert CARD in git(fork, "show", "--stat=200", "--format=", "my-shoulder")


def test_the_workflow_runs_commands_that_exist_and_needs_no_secret() -> None:
    text = (ROOT / ".github" / "workflows" / "check.yml").read_text("utf-8")
    workflow = yaml.safe_load(text)
    commands = [step["run"] for step in workflow["jobs"]["cards"]["steps"] if "run" in step]
    assert "secrets." not in text
    assert workflow["permissions"] == {"contents": "read"}
    for command in commands:
        for call in re.findall(r"slowfolio (\w+)", command):
            assert call in {"check", "diff", "build"}
    assert any("--format github" in command for command in commands)
    assert any("--format sarif" in command for command in commands)
    checkout = workflow["jobs"]["cards"]["steps"][0]
    assert checkout["with"]["fetch-depth"] == 0, "diff needs the base branch"
