"""`slowfolio diff` where the program beside the book differs: each side computed by its own, or why not."""

import ast
import json
import shutil
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from jsonschema import Draft202012Validator

import hold_fixture
import site_fixture
from git_cases import commit, edit, git, small_book
from slowfolio.book.reading import read_book
from slowfolio.changes.compare import compare_sides
from slowfolio.changes.effect import effect_of
from slowfolio.changes.model import Model, model_changes, model_in, parts_of
from slowfolio.changes.outcome import outcome_of
from slowfolio.changes.printed import printed_outcome
from slowfolio.changes.programs import PACKAGE, program_in
from slowfolio.changes.sides import Side
from slowfolio.cli import main
from slowfolio.enrich.cache import Cache
from slowfolio.enrich.hold_record import hold_record
from slowfolio.enrich.record import simulate_record
from slowfolio.forecast.inputs import joint_of
from slowfolio.physics import ENGINE_VERSION
from slowfolio.physics.calibration import CONSTANTS, Calibration

ROOT = Path(__file__).parents[1]
SCHEMA = ROOT / "schema" / "output" / "diff.schema.json"
CARDS = Path("methods") / "cards" / "brisket"
CALIBRATION = Path(PACKAGE) / "physics" / "calibration.py"
CONDUCTIVITY, LEAST = "    conductivity_factor: float = ", CONSTANTS["conductivity_factor"].low
METHOD_SCHEMA = Path("schema") / "method.schema.json"


@pytest.fixture
def project(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A checkout with the program and a book of two methods without holds, not yet committed."""
    monkeypatch.setenv("SLOWFOLIO_CACHE", str(tmp_path / "cache"))
    top = tmp_path / "project"
    small_book(top)
    (top / CARDS / "butcher-paper.yaml").unlink()
    for name in ("generator", "schema"):
        shutil.copytree(ROOT / name, top / name, ignore=shutil.ignore_patterns("__pycache__"))
    (top / "site_src").mkdir()
    (top / "site_src" / "mkdocs.yml").touch()
    git(top, "init", "-q", "-b", "main")
    return top


def record(top: Path) -> dict[str, Any]:
    """What diff finds between the last commit and the files as they are."""
    arguments = ["diff", "--book", str(top / "methods"), "--members", "2", "--format", "json"]
    result = CliRunner().invoke(main, arguments)
    assert result.exit_code == 0, result.output
    found: dict[str, Any] = json.loads(result.output)
    Draft202012Validator(json.loads(SCHEMA.read_text("utf-8"))).validate(found)
    return found


def conductivity_now() -> str:
    """The constant that is changed, as written."""
    return f"{Calibration().conductivity_factor:g}"


def median(method: dict[str, Any], side: str, name: str = "finish") -> float:
    quantity = next(each for each in method["quantities"] if each["name"] == name)
    return float(quantity[side]["p50"])


# --- two programs -----------------------------------------------------------------------------------


def test_a_calibrated_constant_shows_as_the_models_and_each_program_reads_its_own_cards(
    project: Path,
) -> None:
    """Meat that conducts less heat is done later; both methods cook to a core temperature or by feel."""
    schema, old_card = project / METHOD_SCHEMA, project / CARDS / "overnight-low.yaml"
    kept = {path: path.read_text("utf-8") for path in (schema, old_card)}
    fields = json.loads(kept[schema])
    fields["properties"]["nickname"] = fields["properties"]["title"]
    schema.write_text(json.dumps(fields), "utf-8")
    old_card.write_text(f"nickname: Sleeper\n{kept[old_card]}", "utf-8")
    commit(project, "A field that is gone today")
    for path, text in kept.items():
        path.write_text(text, "utf-8")
    now = conductivity_now()
    edit(project / CALIBRATION, f"{CONDUCTIVITY}{now}", f"{CONDUCTIVITY}{LEAST}")
    found = record(project)
    assert found["model"]["computed"]
    (part,) = found["model"]["parts"]
    assert part["field"] == "physics.calibration.Calibration.conductivity_factor"
    assert (part["before"], part["after"]) == (now, str(LEAST))
    methods = {each["method"]: each for each in found["methods"]}
    tight, low = methods["foil-tight"], methods["overnight-low"]
    assert [each["card"] for each in tight["through"]] == ["model"]
    assert median(tight, "after") > median(tight, "before")
    assert low["change"] == "passes the check again"
    assert median(low, "after", "ready") > median(low, "before", "ready"), (
        "read by the program it was written for"
    )
    assert tight["rules"]
    assert not found["untouched"]
    assert any("raise ENGINE_VERSION" in remark for remark in found["remarks"])


def test_a_program_that_does_not_run_here_is_said_and_nothing_is_blamed_on_the_cards(project: Path) -> None:
    cook = project / PACKAGE / "physics" / "cook.py"
    kept = cook.read_text("utf-8")
    cook.write_text(f"{kept}\nimport a_package_nobody_has\nSLOWER = 2.0\n", "utf-8")
    commit(project, "Needs what is not there")
    cook.write_text(kept, "utf-8")
    found = record(project)
    assert found["methods"] == []
    assert not found["model"]["computed"]
    (remark,) = found["remarks"]
    assert "the program of HEAD does not run here (ModuleNotFoundError: No module named 'a_package" in remark
    assert "what the change of the model does is not in these figures" in remark


def test_words_and_layout_of_a_program_are_no_change_of_its_model(project: Path) -> None:
    commit(project, "As it was")
    now = conductivity_now()
    edit(project / CALIBRATION, '"""', '"""Said otherwise. ')
    edit(project / CALIBRATION, f"{CONDUCTIVITY}{now}", f"{CONDUCTIVITY}{now}  # so")
    found = record(project)
    assert found["model"] is None
    assert found["methods"] == []
    assert found["remarks"] == []


def test_a_side_without_a_program_is_said(project: Path, tmp_path: Path) -> None:
    root = project / "methods"
    bare = Side("before", root, read_book(root))
    change = compare_sides(
        bare, replace(bare, name="after", program=program_in(project)), Cache(tmp_path), members=2
    )
    assert change.methods == ()
    assert change.remarks[0].startswith("before came with no program, so both sides are computed by")


def test_a_running_engine_that_is_not_the_checkouts_is_said(project: Path, tmp_path: Path) -> None:
    version = project / PACKAGE / "physics" / "__init__.py"
    version.write_text(version.read_text("utf-8").replace(ENGINE_VERSION, "0.9.9"), "utf-8")
    root = project / "methods"
    side = Side("before", root, read_book(root), program_in(project))
    change = compare_sides(side, replace(side, name="after"), Cache(tmp_path), members=2)
    assert change.remarks == (
        f"computed by the running engine {ENGINE_VERSION}; the checkout carries engine 0.9.9",
    )


# --- what decides a model ---------------------------------------------------------------------------


def parts(source: str) -> Model:
    return Model(dict(parts_of(ast.parse(source))))


def test_the_parts_of_a_model_are_its_constants_as_written_and_its_code_by_hash() -> None:
    before = parts("LOW = 2.0\ndef mean(a, b):\n    'Half the sum.'\n    return 0.5 * (a + b)\n")
    after = parts("LOW = 2.5  # more\ndef mean(a, b):\n    'Otherwise.'\n\n    return (a + b) * 0.5\n")
    low, mean = model_changes(before, after)
    assert (low.field, low.before, low.after) == ("LOW", "2.0", "2.5")
    assert mean.field == "mean"
    assert mean.before is not None
    assert mean.before.startswith("code ")
    assert model_changes(before, parts("LOW = 2.0\n\ndef mean(a, b): return 0.5 * (a + b)\n")) == ()


def test_a_module_this_python_cannot_read_is_still_a_part(tmp_path: Path) -> None:
    (tmp_path / "forecast").mkdir()
    (tmp_path / "forecast" / "run.py").write_text("print 'as it was once written'", "utf-8")
    assert list(model_in(tmp_path).parts) == ["forecast.run.unreadable"]


def test_the_model_reaches_from_the_summary_down_to_the_humid_air_and_leaves_plans_out() -> None:
    rooms = {name.rpartition(".")[0] for name in model_in(ROOT / PACKAGE).parts}
    assert {"physics.humid_air", "physics.cook", "safety.lethality", "forecast.hold_table"} <= rooms
    assert not any(name.startswith("forecast.planning") for name in rooms)


# --- what a program prints --------------------------------------------------------------------------


def test_an_outcome_that_was_printed_is_the_one_that_was_computed() -> None:
    """To the four digits that are printed."""
    book, result = site_fixture.book(), next(iter(site_fixture.results().values()))
    method = book.methods[result.method]
    holds = hold_fixture.holds()[method.id]
    advice = next(each for each in holds.advice if each.possible)
    computed = outcome_of(result, advice)
    printed = printed_outcome(
        simulate_record(result, joint_of(method, book)), hold_record(holds.table, advice)
    )
    assert list(printed.quantities) == list(computed.quantities)
    for name, spread in printed.quantities.items():
        whole = computed.quantities[name]
        for one, other in zip(
            (spread.low, spread.value, spread.high), (whole.low, whole.value, whole.high), strict=True
        ):
            assert one == (None if other is None else pytest.approx(other, rel=1e-3, abs=1e-6))
    assert printed.verdicts == computed.verdicts
    assert not effect_of(computed, printed).matters


def test_rules_that_an_older_program_does_not_print_are_not_compared() -> None:
    book, result = site_fixture.book(), next(iter(site_fixture.results().values()))
    simulated = simulate_record(result, joint_of(book.methods[result.method], book))
    del simulated["rules"]
    older = printed_outcome(simulated, None)
    assert older.verdicts is None
    assert effect_of(older, outcome_of(result, None)).verdicts == ()
