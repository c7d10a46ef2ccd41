"""`slowfolio diff`: only touched methods are computed; within the spread is no difference."""

import json
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from jsonschema import Draft202012Validator

import hold_fixture
import site_fixture
from git_cases import commit, edit, git, set_pit, under_git
from slowfolio.changes import computed
from slowfolio.changes.effect import Difference, compared, difference
from slowfolio.changes.outcome import Spread
from slowfolio.changes.words import bar, difference_words, escaped
from slowfolio.cli import main
from slowfolio.units import System

SCHEMA = Path(__file__).parents[1] / "schema" / "output" / "diff.schema.json"
FEW = "4"
H = 3600.0


@pytest.fixture
def root(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("SLOWFOLIO_CACHE", str(tmp_path / "cache"))
    return under_git(tmp_path / "project")


@pytest.fixture
def invented(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The methods that would have been cooked; what comes out is invented, a hotter pit being sooner done."""
    seen: list[str] = []

    def make_up(jobs: list[computed.Job], _executor: object) -> list[object]:
        seen.extend(job.method.id for job in jobs)
        return [invented_outcome(job) for job in jobs]

    monkeypatch.setattr(computed, "run_jobs", make_up)
    return seen


def invented_outcome(job: computed.Job) -> object:
    """A made-up result: the finish falls by an hour for each 10 °C of the first stage."""
    if job.work is computed.compute_own_hold:
        some = next(iter(hold_fixture.holds().values()))
        return replace(some, method=job.method.id, advice=some.advice[:1])
    some = next(iter(site_fixture.results().values()))
    pit_c = job.method.stages[0].pit_temp_c
    middle = (22.0 - pit_c / 10.0) * H
    pull = replace(some.pull, value=middle, low=middle - H, high=middle + H)
    return replace(some, method=job.method.id, pull=pull)


@pytest.fixture
def cooked(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The methods that were cooked, in this process so that they can be counted."""
    seen: list[str] = []

    def run_here(jobs: list[computed.Job], _executor: object) -> list[object]:
        seen.extend(job.method.id for job in jobs)
        return [job.run() for job in jobs]

    monkeypatch.setattr(computed, "run_jobs", run_here)
    return seen


def run(root: Path, *arguments: str) -> Result:
    return CliRunner().invoke(main, ["diff", *arguments, "--book", str(root), "--members", FEW])


def record(root: Path, *arguments: str) -> dict[str, object]:
    result = run(root, *arguments, "--format", "json")
    assert result.exit_code == 0, result.output
    found: dict[str, object] = json.loads(result.output)
    Draft202012Validator(json.loads(SCHEMA.read_text("utf-8"))).validate(found)
    return found


def card(root: Path, name: str) -> Path:
    return root / "cards" / "brisket" / f"{name}.yaml"


# --- what is touched --------------------------------------------------------------------------------


def test_a_degree_on_one_card_touches_and_cooks_that_method_alone(root: Path, cooked: list[str]) -> None:
    before = set_pit(card(root, "foil-tight"), "250 °F")
    commit(root.parent, "Round figures")
    set_pit(card(root, "foil-tight"), "251 °F")
    assert before != "251 °F"
    found = record(root)
    (method,) = found["methods"]  # type: ignore[misc]
    assert method["method"] == "foil-tight"
    (field,) = method["through"]
    assert (field["before"], field["after"]) == ("250 °F", "251 °F")
    assert field["field"].startswith("stages[")
    assert set(cooked) == {"foil-tight"}
    assert found["untouched"] == ["butcher-paper", "overnight-low"]
    assert not any(each["beyond_spread"] for each in method["quantities"] if each["name"] == "finish")
    again = list(cooked)
    assert record(root) == found
    assert cooked == again, "what was computed is kept"


def test_a_wrap_touches_the_methods_that_use_it(root: Path, invented: list[str]) -> None:
    edit(root / "wraps" / "paper-dry.yaml", "permeance: {value: 35 perm", "permeance: {value: 90 perm")
    found = record(root)
    users = [each["method"] for each in found["methods"]]  # type: ignore[index,attr-defined]
    assert "butcher-paper" in users
    assert "foil-tight" not in users
    assert set(invented) == set(users)
    assert "wrap paper-dry" in {each["card"] for each in found["methods"][0]["through"]}  # type: ignore[index]


def test_words_touch_nothing_and_cook_nothing(root: Path, cooked: list[str]) -> None:
    edit(card(root, "foil-tight"), "title: ", "title: Our ")
    edit(root / "pits" / "offset-stick-burner.yaml", "title: ", "title: Our ")
    result = run(root)
    assert result.exit_code == 0
    assert "no method differs" in result.output
    assert cooked == []


@pytest.mark.usefixtures("invented")
def test_two_revisions_are_compared_and_the_checkout_is_left_alone(root: Path) -> None:
    project = root.parent
    set_pit(card(root, "foil-tight"), "290 °F")
    commit(project, "Hotter")
    card(root, "butcher-paper").write_text("not yet saved: [", "utf-8")
    before = (git(project, "status", "--porcelain"), git(project, "rev-parse", "HEAD"))
    found = record(root, "HEAD~1", "HEAD")
    assert [each["method"] for each in found["methods"]] == ["foil-tight"]  # type: ignore[index,attr-defined]
    assert (git(project, "status", "--porcelain"), git(project, "rev-parse", "HEAD")) == before


@pytest.mark.usefixtures("invented")
def test_a_new_a_removed_and_a_broken_card_are_named(root: Path) -> None:
    text = card(root, "foil-tight").read_text("utf-8")
    card(root, "foil-twice").write_text(text.replace("id: foil-tight", "id: foil-twice"), "utf-8")
    card(root, "overnight-low").unlink()
    edit(card(root, "butcher-paper"), "revision: ", "revision: minus ")
    result = run(root)
    assert result.exit_code == 1
    assert "foil-twice  added" in result.output
    assert "— → " in result.output, "a new method is shown with what it computes to"
    assert "overnight-low  removed" in result.output
    assert "butcher-paper  no longer passes the check" in result.output
    assert "butcher-paper.yaml did not pass the check" in result.output


@pytest.mark.usefixtures("invented")
def test_markdown_has_a_table_and_a_chart_for_each_method(root: Path) -> None:
    set_pit(card(root, "overnight-low"), "250 °F")
    commit(root.parent, "Round figures")
    set_pit(card(root, "overnight-low"), "295 °F")
    output = run(root, "--format", "markdown").output
    assert "| | before | after | difference |" in output
    assert "```text\nfinish" in output
    assert output.count("●") == 10
    assert "sooner (−2 h 30 min)" in output


# --- what version control cannot answer -------------------------------------------------------------


def test_a_book_outside_version_control_is_told_so(root: Path) -> None:
    (root.parent / ".git").rename(root.parent / "no-git")
    result = run(root)
    assert result.exit_code == 1
    assert "is not under version control; git init" in result.output


def test_an_unknown_revision_is_told_so(root: Path) -> None:
    for revision in ("nowhere", "--help-me", "HEAD~99"):
        result = CliRunner().invoke(main, ["diff", "--book", str(root), "--", revision])
        assert result.exit_code == 1
        assert f"there is no revision {revision!r}" in result.output


def test_a_shallow_clone_is_told_how_to_fetch_the_rest(root: Path, tmp_path: Path) -> None:
    edit(card(root, "foil-tight"), "revision: ", "revision: 1")
    commit(root.parent, "Second")
    git(tmp_path, "clone", "-q", "--depth", "1", root.parent.as_uri(), "shallow")
    result = run(tmp_path / "shallow" / "methods", "HEAD~1")
    assert result.exit_code == 1
    assert "git fetch --unshallow" in result.output


def test_without_git_it_says_that_it_is_not_installed(root: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", "")
    result = run(root)
    assert result.exit_code == 1
    assert "git is not installed" in result.output


def test_a_revision_before_the_book_was_there_is_told_so(root: Path) -> None:
    project = root.parent
    first = git(project, "rev-parse", "HEAD").strip()
    git(project, "mv", "methods", "book")
    commit(project, "Renamed")
    result = run(project / "book", first)
    assert result.exit_code == 1
    assert "there is no book in revision" in result.output


# --- the difference ---------------------------------------------------------------------------------

TEN = Spread("duration", 10 * H, 9 * H, 11 * H)


@pytest.mark.parametrize(
    ("before", "after", "expected"),
    [
        (TEN, Spread("duration", 10 * H, 9 * H, 11 * H), Difference.NONE),
        (TEN, Spread("duration", 10.5 * H, 9.5 * H, 12 * H), Difference.WITHIN),
        (TEN, Spread("duration", 12 * H, 11 * H, 13 * H), Difference.MORE),
        (TEN, Spread("duration", 8 * H, 7 * H, 9 * H), Difference.LESS),
        (TEN, Spread("duration", 10.5 * H, 7 * H, 14 * H), Difference.WIDER),
        (Spread("duration", 10.5 * H, 7 * H, 14 * H), TEN, Difference.NARROWER),
        (Spread("fraction", 0.40), Spread("fraction", 0.405), Difference.WITHIN),
        (Spread("fraction", 0.40), Spread("fraction", 0.45), Difference.MORE),
        (Spread("score", 60.0, 59.9, 60.1), Spread("score", 60.5, 60.4, 60.6), Difference.WITHIN),
        (None, Spread("fraction", 0.4), Difference.NEW),
        (Spread("fraction", 0.4), None, Difference.GONE),
    ],
)
def test_a_difference_counts_only_beyond_the_spread_of_both_sides(
    before: Spread | None, after: Spread | None, expected: Difference
) -> None:
    assert difference(before, after) is expected


def test_a_cook_that_ends_earlier_is_said_to_be_sooner_by_so_much() -> None:
    less = compared("finish", TEN, Spread("duration", 8 * H, 7 * H, 9 * H))
    assert difference_words(less, System.US) == "sooner (−2 h)"
    bark = compared("bark", Spread("score", 60.0, 59.0, 61.0), Spread("score", 70.0, 69.0, 71.0))
    assert difference_words(bark, System.US) == "more (+10.0)"


def test_a_bar_shows_ends_and_median_where_they_lie() -> None:
    assert bar(Spread("score", 50.0, 0.0, 100.0), 0.0, 100.0) == "├" + "─" * 19 + "●" + "─" * 18 + "┤"
    assert bar(Spread("score", 5.0), 5.0, 5.0).count("●") == 1


def test_a_card_cannot_write_markdown_into_the_comment() -> None:
    assert escaped("a <b> [c](d) | `e`\n# f") == "a \\<b\\> \\[c\\](d) \\| \\`e\\` \\# f"
