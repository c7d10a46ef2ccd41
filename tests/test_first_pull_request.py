"""Two paths of a newcomer as the README writes them, in a scratch clone: first card, first pull request.

The scratch project is this one with a single method and fewer simulated cooks, on a machine where its
environment is set up already.
"""

import os
import re
import subprocess
from pathlib import Path

import pytest
import yaml

from git_cases import WHO, edit, git, set_pit
from scratch_project import (
    ROOT,
    environment_there,
    served_page,
    shown_steps,
    small_fork,
)

README = (ROOT / "README.md").read_text("utf-8")
FORK = "https://code.example/you/slowfolio.git"
CARD = "methods/cards/pork-shoulder/my-shoulder.yaml"
PAGE = "methods/my-shoulder.html"


@pytest.fixture(scope="module")
def fork(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A repository to clone from."""
    return small_fork(tmp_path_factory.mktemp("host"))


def run(command: str, where: Path) -> str:
    """A shown command as it is written; what it printed."""
    done = subprocess.run(
        ["bash", "-ec", command],
        cwd=where,
        env={**os.environ, **WHO},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, f"{command}\n{done.stdout}{done.stderr}"
    return done.stdout


def test_the_readmes_first_card_becomes_a_page_as_written(fork: Path, tmp_path: Path) -> None:
    """Clone, make site, new method, edit, check, simulate, serve, build: nothing between but the edit."""
    git(tmp_path, "clone", "-q", str(fork), "slowfolio")
    clone = tmp_path / "slowfolio"
    environment_there(clone)
    assert "make site" in README.partition("\n## ")[0]
    run("make site", clone)
    assert not (clone / "site" / PAGE).exists()
    steps = shown_steps(README, "Your first card in five minutes")
    said: dict[str, str] = {}
    for step in steps:
        said[step] = (
            served_page(f"{step} ADDRESS={{address}}", clone, PAGE)
            if step == "make serve"
            else run(step, clone)
        )
        if " new method " in step:
            edit(clone / CARD, "title: ", "title: Yard ")
            set_pit(clone / CARD, "255 °F")
    assert [step.split()[1] for step in steps] == ["new", "check", "simulate", "serve"]
    assert "nothing found" in said[steps[1]]
    assert "Smoke" in said[steps[2]]
    assert "Yard Pork shoulder" in said["make serve"]
    run("make site", clone)
    built = (clone / "site" / PAGE).read_text("utf-8")
    assert "Yard Pork shoulder" in built
    assert re.search(r"255\s*°F", re.sub(r"<[^>]+>", "", built))
    assert f'href="{PAGE}' in (clone / "site" / "index.html").read_text("utf-8")


def test_the_readmes_first_pull_request_works_as_written(fork: Path, tmp_path: Path) -> None:
    said: dict[str, str] = {}
    where = tmp_path
    for step in shown_steps(README, "Your first pull request"):
        if step.startswith("cd "):
            where = where / step.removeprefix("cd ")
            environment_there(where)
            continue
        said[step] = run(step.replace(FORK, str(fork)), where)
        if " new method " in step:
            edit(where / CARD, "title: ", "title: Yard ")
    assert "Yard Pork shoulder" in (where / "site" / PAGE).read_text("utf-8")
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
