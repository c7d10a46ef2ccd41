"""Every command that README, DEVELOPERS and the page Contribute show is one that works as it is written.

The first pull request of the README is run whole in `test_first_pull_request`; CI runs the two for a fresh
machine. Here each command is taken apart: its options exist, and those without a side effect run.
"""

import re
import shutil
import subprocess
from importlib.util import find_spec
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from slowfolio.cli import COMMANDS, main

ROOT = Path(__file__).parents[1]
PAGES = ("README.md", "DEVELOPERS.md", "site_src/pages/contribute.md")
BLOCK = re.compile(r"^ *```[a-z]*\n(.*?)^ *```", re.MULTILINE | re.DOTALL)
SPAN = re.compile(r"`((?:\.venv/bin/)?(?:slowfolio|make|python -m) [^`]+)`")
HARMLESS = {"check", "air"}
"""Commands that compute and write nothing, and so are simply run."""


def shown_commands() -> list[tuple[str, str]]:
    """Every command shown, with the page it is on."""
    found: dict[tuple[str, str], None] = {}
    for page in PAGES:
        text = (ROOT / page).read_text("utf-8")
        lines = [line.strip() for block in BLOCK.findall(text) for line in block.splitlines()]
        spans = SPAN.findall(BLOCK.sub("", text))
        for line in (*lines, *spans):
            command = line.partition("  #")[0].removeprefix(".venv/bin/").replace("\\|", "|").strip()
            if command.startswith(("slowfolio ", "make ", "python -m ")):
                found[page, command] = None
    return list(found)


SHOWN = shown_commands()


def test_commands_are_shown_at_all() -> None:
    assert len(SHOWN) > 20


@pytest.mark.parametrize(("page", "shown"), SHOWN)
def test_a_shown_command_exists_with_the_options_it_names(page: str, shown: str) -> None:
    words = shown.split()
    if words[0] == "make":
        done = subprocess.run(["make", "-n", words[1]], cwd=ROOT, capture_output=True, check=False)
        assert done.returncode == 0, f"{page}: {shown}"
    elif words[0] == "python":
        assert find_spec(words[2]) is not None, f"{page}: {shown}"
    else:
        for name in words[1].split("|"):
            check_options(name, shown, page)


def check_options(name: str, shown: str, page: str) -> None:
    """The command, its subcommands and every option of it that is written exist."""
    command = main.get_command(click.Context(main), name)
    assert command is not None, f"{page}: there is no slowfolio {name}"
    known = {option for parameter in command.params for option in parameter.opts}
    if isinstance(command, click.Group):
        wanted = [word.strip("[]…") for word in shown.split()[2].split("|")]
        for each in wanted:
            assert each in command.commands or not each.isalpha(), f"{page}: no slowfolio {name} {each}"
        known |= {o for sub in command.commands.values() for part in sub.params for o in part.opts}
    for option in re.findall(r"--[a-z][a-z-]*", shown):
        assert option in known | {"--help"}, f"{page}: slowfolio {name} has no {option}"


def test_every_command_there_is_stands_in_the_readme() -> None:
    readme = (ROOT / "README.md").read_text("utf-8")
    there = main.list_commands(click.Context(main))
    assert [name for name in there if f"`slowfolio {name}" not in readme] == []
    assert set(there) <= set(COMMANDS)


@pytest.mark.parametrize(
    "shown",
    sorted({command for _, command in SHOWN if command.split()[1] in HARMLESS and "[" not in command}),
)
def test_a_shown_command_that_only_looks_runs(
    shown: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shutil.copytree(ROOT / "methods", tmp_path / "methods")
    monkeypatch.chdir(tmp_path)
    arguments = [word for word in shown.split()[1:] if word not in {"--computed", "…"}]
    result = CliRunner().invoke(main, arguments)
    assert result.exit_code == 0, f"{shown}: {result.output}"
