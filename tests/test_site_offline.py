"""The one zip file that somebody copies to a device: whole, the same each time, and opened from a folder."""

import zipfile
from pathlib import Path

import pytest

import site_fixture
from slowfolio.site.build import MARKER, write_site
from slowfolio.site.offline import manifest, zip_site
from slowfolio.site.pages import BuildInfo, build_site_value


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    site = build_site_value(site_fixture.book(), site_fixture.results(), BuildInfo("0.0.test"))
    return write_site(site, tmp_path_factory.mktemp("site") / "out")


def test_the_zip_holds_every_file_of_the_site(built: Path, tmp_path: Path) -> None:
    packed = zip_site(built, tmp_path / "house-book.zip")
    with zipfile.ZipFile(packed) as archive:
        assert archive.testzip() is None
        names = {name.removeprefix("house-book/") for name in archive.namelist()}
    files = {path.relative_to(built).as_posix() for path in built.rglob("*") if path.is_file()}
    assert names == files - {MARKER}


def test_the_zip_of_the_same_site_is_the_same(built: Path, tmp_path: Path) -> None:
    one, other = zip_site(built, tmp_path / "a.zip"), tmp_path / "b" / "a.zip"
    other.parent.mkdir()
    assert one.read_bytes() == zip_site(built, other).read_bytes()
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a.zip", "b"]


def test_the_manifest_names_icons_that_are_there(built: Path) -> None:
    import json

    said = json.loads((built / "manifest.webmanifest").read_text("utf-8"))
    assert said["name"] == site_fixture.BOOK_CARD.title
    assert all((built / icon["src"]).is_file() for icon in said["icons"])
    assert json.loads(manifest('Book "of" <cards>'))["name"] == 'Book "of" <cards>'
