"""The rules of the house, asserted from the source: which package may import which."""

import ast
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[1] / "generator" / "slowfolio"

ALLOWED = {
    "physics": {"physics"},
    "book": {"book", "units", "provenance", "resources"},
    "safety": {"safety", "physics", "units", "provenance"},
    "tasting": {"tasting", "units", "provenance"},
    "forecast": {"forecast", "physics", "safety", "book", "units", "provenance"},
    "enrich": {
        "enrich",
        "cooklog",
        "forecast",
        "safety",
        "tasting",
        "physics",
        "book",
        "units",
        "provenance",
        "resources",
    },
    "changes": {"changes", "enrich", "forecast", "safety", "physics", "book", "units", "provenance"},
    "drafts": {"drafts", "enrich", "forecast", "safety", "physics", "book", "units", "resources"},
    "site": {
        "site",
        "changes",
        "cooklog",
        "enrich",
        "forecast",
        "safety",
        "tasting",
        "physics",
        "book",
        "units",
        "provenance",
        "resources",
    },
    "cooklog": {"cooklog", "forecast", "physics", "book", "units", "provenance"},
    "units": {"units"},
    "provenance": {"provenance"},
    "resources": {"resources"},
}
THIRD_PARTY_OF_PHYSICS = {"numpy"}


def room_of(file: Path) -> str:
    return file.relative_to(PACKAGE).parts[0].removesuffix(".py")


def imported_modules(file: Path) -> set[str]:
    names: set[str] = set()
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names.update(alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{file}: relative import"
            module = node.module or ""
            names.update(
                f"{module}.{alias.name}" if module == "slowfolio" else module for alias in node.names
            )
    return names


def source_files() -> list[Path]:
    return [file for file in sorted(PACKAGE.rglob("*.py")) if "_data" not in file.parts]


@pytest.mark.parametrize("file", source_files(), ids=lambda file: str(file.relative_to(PACKAGE)))
def test_imports_point_one_way(file: Path) -> None:
    room = room_of(file)
    if room not in ALLOWED:  # the command line and the package root may see everything
        return
    own = {name.split(".")[1] for name in imported_modules(file) if name.startswith("slowfolio.")}
    assert own - {"__version__"} <= ALLOWED[room]


def test_physics_needs_numpy_alone() -> None:
    import sys

    for file in (PACKAGE / "physics").rglob("*.py"):
        outside = {name.split(".")[0] for name in imported_modules(file)} - {"slowfolio"}
        assert outside - set(sys.stdlib_module_names) <= THIRD_PARTY_OF_PHYSICS, file


def test_only_the_plugin_and_the_builder_know_mkdocs() -> None:
    users = {
        str(file.relative_to(PACKAGE))
        for file in source_files()
        if any(name.split(".")[0] == "mkdocs" for name in imported_modules(file))
    }
    assert users <= {"site/plugin.py", "site/build.py"}
