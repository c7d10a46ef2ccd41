"""Every command that README, DEVELOPERS and the pages show is run as it is written, each in a scratch book.

A command shown as a form, with brackets or words to fill in, is run filled in: every option and every choice
of the form at least once. What cannot run within a test is named here with who runs it.
"""

import os
import re
import shlex
import shutil
import subprocess
from importlib.util import find_spec
from pathlib import Path

import click
import pytest

from git_cases import WHO, edit, git, set_pit
from scratch_project import (
    ONE,
    ROOT,
    copy_project,
    cut_down,
    environment_there,
    served_page,
    shown_steps,
)
from slowfolio.cli import COMMANDS, main

GUIDES = tuple(f"site_src/pages/guides/{path.name}" for path in (ROOT / "site_src/pages/guides").glob("*.md"))
PAGES = ("README.md", "DEVELOPERS.md", "site_src/pages/contribute.md", "site_src/pages/help.md", *GUIDES)
BLOCK = re.compile(r"^ *```[a-z]*\n(.*?)^ *```", re.MULTILINE | re.DOTALL)
SPAN = re.compile(r"`((?:\.venv/bin/)?(?:slowfolio|make|python -m) [^`]+)`")
FORM = re.compile(r"[|\[…]|\b[A-Z]{3,}[A-Z0-9]*\b(?!\s?lb)")
PRODUCTS = "--product boat=foil-boat-dry-hold --product paper=butcher-paper"
COOKS = "saturday-one saturday-two saturday-three"

BY_ANOTHER = {
    "make test": "CI runs it: it is what runs this test",
    "make check": "the first step of make test, which CI runs",
    "make bench": "takes minutes; its benchmarks are imported here",
    "python -m benchmarks.bench_forecast": "takes minutes; imported here",
    "python -m benchmarks.refresh_validation": "writes a table that test_physics_validation recomputes",
    "python -m benchmarks.refresh_tasting_tables": "takes minutes; imported here",
}

PLANS = (
    'slowfolio plan foil-boat-humid-hold --serve "2026-12-05 13:00" --guests 20',
    'slowfolio plan pan-for-eighty --serve "2026-12-05 13:00" --guests 80 --portion "5 oz"'
    ' --price "6.49 USD/lb"',
    "slowfolio plan --service saturday.yaml",
)
"""Plans of the guides, minutes of computing: their arguments are read here, a plan of the README is run, and
`test_plan_command` plans with each of these options."""

FILLED = {
    "slowfolio check [PATH] [--format text|json|github|sarif] [--strict] [--computed]": (
        "slowfolio check methods/pits --format text --strict",
        "slowfolio check --format json",
        "slowfolio check --format github",
        "slowfolio check --format sarif --computed",
    ),
    "slowfolio build [BOOK] --out DIR [--zip FILE] [--dask ADDRESS]": (
        "slowfolio build methods --out public --zip public.zip",
    ),
    "slowfolio build --export-docs DIR": ("slowfolio build --export-docs plain",),
    "slowfolio serve [BOOK]": ("slowfolio serve methods",),
    "slowfolio new method|pit|holder|wrap|cut|tasting|cook …": (
        "slowfolio new method --cut pork-spare-ribs --pit pellet-pit",
        "slowfolio new pit --like pellet-pit",
        "slowfolio new holder --like combi-oven",
        "slowfolio new wrap --like paper-dry",
        "slowfolio new cut --like chuck-roll",
        f"slowfolio new tasting --question swap {PRODUCTS}",
        "slowfolio new cook saturday.csv --method butcher-paper",
    ),
    "slowfolio diff [REV1] [REV2] [--format text|markdown|json]": (
        "slowfolio diff",
        "slowfolio diff main --format text",
        "slowfolio diff main --format markdown",
        "slowfolio diff main main --format json",
    ),
    "slowfolio init DIR [--base shared|FOLDER]": (
        "slowfolio init ours --base shared",
        "slowfolio init ours --base methods",
    ),
    "slowfolio diff --base OLD NEW": ("cd ours && slowfolio diff --base ../methods ../newer",),
    "slowfolio simulate METHOD [--weight] [--pit] [--altitude] … [--json]": (
        'slowfolio simulate foil-tight --weight "11 lb" --pit ceramic-pit --altitude "6000 ft" --json',
    ),
    'slowfolio simulate METHOD --altitude "6500 ft"': ('slowfolio simulate foil-tight --altitude "6500 ft"',),
    "slowfolio hold METHOD --holder ID … [--json]": (
        "slowfolio hold foil-boat-humid-hold --holder combi-oven --json",
    ),
    "slowfolio hold METHOD --holder ID": ("slowfolio hold foil-boat-humid-hold --holder dry-oven",),
    'slowfolio hold METHOD --holder ID --measured-humidity "30 %"': (
        'slowfolio hold foil-boat-humid-hold --holder oven-water-pan --measured-humidity "30 %"',
    ),
    'slowfolio hold foil-boat-humid-hold --air-temp "150 °F" --hours "10 h" --holder …': (
        'slowfolio hold foil-boat-humid-hold --air-temp "150 °F" --hours "10 h" --holder dry-oven',
    ),
    'slowfolio hold foil-boat-humid-hold --holder oven-water-pan --air-temp "155 °F" --pan-area …': (
        'slowfolio hold foil-boat-humid-hold --holder oven-water-pan --air-temp "155 °F"'
        ' --pan-area "1200 cm2"',
    ),
    'slowfolio plan METHOD --serve "2026-12-05 13:00" … [--calendar FILE]': (
        'slowfolio plan ribs-bare-drum --serve "2026-12-05 13:00" --calendar saturday.ics',
    ),
    "slowfolio log import FILE --method METHOD [--map] [--unit] [--start]": (
        'slowfolio log import saturday.csv --method butcher-paper --map "time=Time,pit=Grate,thick=Probe 1,'
        'thin=Probe 2" --unit F --start "2026-09-05 04:40"',
    ),
    "slowfolio log import saturday.csv --method METHOD": (
        "slowfolio log import saturday.csv --method foil-tight",
    ),
    "slowfolio log against METHOD --cook COOK": ("slowfolio log against butcher-paper --cook saturday-one",),
    "slowfolio log fit COOK... --pit PIT": (f"slowfolio log fit {COOKS} --pit my-pit",),
    "slowfolio tasting design --question differ --product A --product B … [--card FILE]": (
        f"slowfolio tasting design --question differ {PRODUCTS} --card one.yaml",
    ),
    "slowfolio tasting analyse FILE|ID [--json]": (
        "slowfolio tasting analyse methods/tastings/boat-or-paper-triangle.yaml --json",
        "slowfolio tasting analyse boat-or-paper-triangle",
    ),
    'slowfolio air --dry-bulb "150 °F" --dew-point "100 °F" [--altitude] [--json]': (
        'slowfolio air --dry-bulb "150 °F" --dew-point "100 °F" --altitude "1600 m" --json',
    ),
}
"""Forms, and what is run for each. `--dask` needs a cluster: `test_cluster` builds with it."""
NEEDS_A_CLUSTER = {"--dask"}


def shown_commands() -> list[tuple[str, str]]:
    """Every command shown, with the page it is on."""
    found: dict[tuple[str, str], None] = {}
    for page in PAGES:
        text = (ROOT / page).read_text("utf-8")
        blocks = [re.sub(r" *\\\n *", " ", block) for block in BLOCK.findall(text)]
        lines = [line.strip() for block in blocks for line in block.splitlines()]
        spans = [re.sub(r"\s+", " ", span) for span in SPAN.findall(BLOCK.sub("", text))]
        for line in (*lines, *spans):
            command = line.partition("  #")[0].removeprefix(".venv/bin/").replace("\\|", "|").strip()
            if command.startswith(("slowfolio ", "make ", "python -m ")):
                found[page, command] = None
    return list(found)


SHOWN = shown_commands()
README = (ROOT / "README.md").read_text("utf-8")
NEWCOMERS = [
    step.removeprefix(".venv/bin/")
    for heading in ("Your first card in five minutes", "Your first pull request")
    for step in ("make site", *shown_steps(README, heading))
]
"""Run whole and in order by `test_first_pull_request`."""


def is_name(command: str) -> bool:
    """A command named in a sentence without what it is used on: `slowfolio plan`."""
    found: click.Command | None = main
    for word in command.split()[1:]:
        found = found.get_command(click.Context(found), word) if isinstance(found, click.Group) else None
    return command.startswith("slowfolio") and found is not None


def to_run() -> list[str]:
    """Each command that is run here, once."""
    found: dict[str, None] = {}
    for _, command in SHOWN:
        if command in FILLED:
            found |= dict.fromkeys(FILLED[command])
        elif command not in {*BY_ANOTHER, *NEWCOMERS, *PLANS} and not is_name(command):
            found[command] = None
    return list(found)


# --- what is shown ----------------------------------------------------------------------------------


def test_commands_are_shown_at_all() -> None:
    assert len(SHOWN) > 50


def test_every_command_there_is_stands_in_the_readme() -> None:
    there = main.list_commands(click.Context(main))
    assert [name for name in there if f"`slowfolio {name}" not in README] == []
    assert set(there) <= set(COMMANDS)


def test_a_form_is_filled_in_and_nothing_is_filled_in_that_is_not_shown() -> None:
    shown = {command for _, command in SHOWN}
    unfilled = [command for command in to_run() if FORM.search(re.sub(r'"[^"]*"', "", command))]
    assert unfilled == []
    assert set(FILLED) - shown == set()
    assert {*BY_ANOTHER, *PLANS} - shown == set()


@pytest.mark.parametrize("form", FILLED)
def test_every_option_and_choice_of_a_form_is_run(form: str) -> None:
    ran = " ".join(FILLED[form]).split()
    options = set(re.findall(r"--[a-z][a-z-]*", form)) - NEEDS_A_CLUSTER
    assert options - set(ran) == set()
    for choices in re.findall(r"[a-z]+(?:\|[a-z]+)+", form):
        assert set(choices.split("|")) - set(ran) == set()


@pytest.mark.parametrize("command", BY_ANOTHER)
def test_what_another_runs_is_there(command: str) -> None:
    """`make test`, `check`, `site` and `bench` are rules of the Makefile; the benchmarks can be found."""
    words = command.split()
    if words[0] == "make":
        done = subprocess.run(["make", "-n", words[1]], cwd=ROOT, capture_output=True, text=True, check=False)
        assert done.returncode == 0, done.stderr
    else:
        assert find_spec(words[2]) is not None


@pytest.mark.parametrize("shown", PLANS)
def test_a_plan_of_the_guides_has_options_that_there_are(shown: str) -> None:
    plan = main.get_command(click.Context(main), "plan")
    assert plan is not None
    plan.make_context("plan", shlex.split(shown)[2:])


MADE_LATER = re.compile(r"my-shoulder|<|^site/|adapted/|^\.venv")
"""Files that a reader makes by what is described."""


def test_a_file_that_the_readme_names_is_there() -> None:
    named = re.findall(r"`([\w.-]+(?:/[\w.-]*)+|LICENSE[\w-]*)`|\]\(([^)#:]+)\)", README)
    paths = [span or link for span, link in named]
    there = [path for path in paths if not MADE_LATER.search(path)]
    assert len(there) > 6
    assert [path for path in there if not (ROOT / path).exists()] == []


# --- what is run ------------------------------------------------------------------------------------

SMALL = re.compile(r"--computed|slowfolio (build|serve|diff)\b|init ours --base methods")
"""What computes a whole book is run on one with a single method."""


@pytest.fixture(scope="module")
def project(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The project with few simulated cooks; its cache is shared by all that is run here."""
    made = copy_project(tmp_path_factory.mktemp("project"))
    environment_there(made)
    return made


@pytest.fixture
def place(project: Path, tmp_path: Path) -> Path:
    """A fresh folder with a copy of the book in it."""
    where = tmp_path / "here"
    shutil.copytree(project / "methods", where / "methods")
    return where


def prepare(command: str, where: Path) -> None:
    """What the page around the command says is there: own cards, logs, a service, a repository."""
    book = where / "methods"
    if "my-copy" in command:
        copy_card(book / "cards" / "brisket" / "butcher-paper.yaml", "my-copy")
    if "my-pit" in command and " new " not in command:
        copy_card(book / "pits" / "kettle-or-drum.yaml", "my-pit")
    if "our-boats" in command and "--card" not in command:
        copy_card(book / "tastings" / "boat-or-paper-triangle.yaml", "our-boats")
    if "saturday.csv" in command:
        shutil.copy(book / "cooks" / "alder-paper-one.csv", where / "saturday.csv")
    for cook in COOKS.split():
        if cook in command:
            card = copy_card(book / "cooks" / "alder-paper-one.yaml", cook)
            shutil.copy(book / "cooks" / "alder-paper-one.csv", book / "cooks" / f"{cook}.csv")
            edit(card, "file: alder-paper-one.csv", f"file: {cook}.csv")
            if "my-pit" in command:
                edit(card, "pit: offset-stick-burner", "pit: my-pit")
    if "--service" in command:
        guide = (ROOT / "site_src/pages/guides/feeding-eighty.md").read_text("utf-8")
        service = next(block for block in BLOCK.findall(guide) if "items:" in block)
        (where / "saturday.yaml").write_text(service, "utf-8")
    if SMALL.search(command):
        cut_down(book)
    if " diff" in command:
        git(where, "init", "-q", "-b", "main")
        git(where, "add", "-A")
        git(where, "commit", "-q", "-m", "The book")
    if "cd ours" in command:
        shutil.copytree(book, where / "newer")
        set_pit(where / "newer" / "cards" / "brisket" / f"{ONE}.yaml", "255 °F")
        subprocess.run(["bash", "-ec", "slowfolio init ours --base methods"], cwd=where, check=True)


def copy_card(card: Path, name: str) -> Path:
    """The card under another id."""
    text = re.sub(r"^id: .*$", f"id: {name}", card.read_text("utf-8"), flags=re.MULTILINE)
    (card.parent / f"{name}.yaml").write_text(text, "utf-8")
    return card.parent / f"{name}.yaml"


@pytest.mark.parametrize("command", to_run())
def test_a_shown_command_runs(
    command: str, project: Path, place: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PATH", f"{project / '.venv' / 'bin'}{os.pathsep}{os.environ['PATH']}")
    monkeypatch.setenv("SLOWFOLIO_CACHE", str(project / "cache"))
    for name, value in WHO.items():
        monkeypatch.setenv(name, value)
    prepare(command, place)
    if " serve" in command:
        assert "Foil" in served_page(f"{command} --address {{address}}", place, f"methods/{ONE}.html")
        return
    done = subprocess.run(["bash", "-ec", command], cwd=place, capture_output=True, text=True, check=False)
    assert done.returncode == 0, f"{command}\n{done.stdout}{done.stderr}"
    assert done.stdout or done.stderr
    assert "Traceback" not in done.stderr
