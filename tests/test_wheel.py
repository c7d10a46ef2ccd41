"""A wheel built from the repository works away from it: schemas and site sources travel inside."""

import os
import shutil
import subprocess
import sys
import venv
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]


@pytest.fixture(scope="module")
def elsewhere(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with an environment of its own: the wheel in it, the libraries borrowed from this one."""
    place = tmp_path_factory.mktemp("elsewhere")
    wheels = place / "wheels"
    build = [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(wheels), str(ROOT)]
    done = subprocess.run(build, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    venv.create(place / "env", with_pip=True)
    python = place / "env" / "bin" / "python"
    install = [python, "-m", "pip", "install", "--quiet", "--no-deps", "--no-index", *wheels.glob("*.whl")]
    subprocess.run(install, check=True, capture_output=True)
    borrowed = [path for path in sys.path if path.endswith("site-packages")]
    packages = next((place / "env" / "lib").glob("python*/site-packages"))
    (packages / "borrowed.pth").write_text("\n".join(borrowed), encoding="utf-8")
    shutil.copytree(
        ROOT / "methods", place / "book", ignore=shutil.ignore_patterns("cards", "tastings", "cooks")
    )
    one = Path("cards", "brisket", "foil-boat-dry-hold.yaml")
    (place / "book" / one).parent.mkdir(parents=True)
    shutil.copy(ROOT / "methods" / one, place / "book" / one)
    return place


def slowfolio(place: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [str(place / "env" / "bin" / "python"), "-P", "-m", "slowfolio", *arguments],
        cwd=place,
        env={**os.environ, "SLOWFOLIO_CACHE": os.environ.get("SLOWFOLIO_CACHE", str(place / "cache"))},
        capture_output=True,
        text=True,
        check=False,
    )


def test_the_package_in_use_is_the_installed_one(elsewhere: Path) -> None:
    where = subprocess.run(
        [elsewhere / "env" / "bin" / "python", "-P", "-c", "import slowfolio; print(slowfolio.__file__)"],
        cwd=elsewhere,
        capture_output=True,
        text=True,
        check=True,
    )
    assert str(elsewhere) in where.stdout


def test_the_installed_package_checks_a_book(elsewhere: Path) -> None:
    done = slowfolio(elsewhere, "check", "book", "--strict")
    assert done.returncode == 0, done.stdout + done.stderr


def test_the_installed_package_builds_a_site(elsewhere: Path) -> None:
    done = slowfolio(elsewhere, "build", "book", "--out", "public")
    assert done.returncode == 0, done.stdout + done.stderr
    assert "foil boat" in (elsewhere / "public" / "index.html").read_text(encoding="utf-8")
