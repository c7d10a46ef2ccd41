"""Building to a folder: strict, swapped in whole, the old site standing whatever happens; plain export."""

import re
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from urllib.request import urlopen

import pytest
from mkdocs.commands.build import build as mkdocs_build
from mkdocs.config import load_config

import site_fixture
from scratch_project import free_address
from slowfolio.resources import schema_folder, site_sources_folder
from slowfolio.site import build as building
from slowfolio.site.build import MARKER, SiteNotBuilt, write_site
from slowfolio.site.export import write_docs
from slowfolio.site.outline import outline
from slowfolio.site.pages import BuildInfo, PageSpec, Site, build_site_value
from slowfolio.site.reference_pages import read_schemas

CHECKOUT = Path(__file__).parents[1]


@pytest.fixture(scope="module")
def site() -> Site:
    build = BuildInfo("0.0.test", read_schemas(schema_folder()))
    return build_site_value(site_fixture.book(), site_fixture.results(), build)


@pytest.fixture(scope="module")
def built(site: Site, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_site(site, tmp_path_factory.mktemp("site") / "out")


def listing(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def article(html: str) -> str:
    """The content of a page without the frame, white space aside."""
    found = re.search(r"<article[^>]*>(.*)</article>", html, re.DOTALL)
    assert found is not None
    return re.sub(r">\s+<", "><", " ".join(found.group(1).split()))


def test_every_page_is_in_the_folder(site: Site, built: Path) -> None:
    for page in site.pages:
        assert (built / page.uri.replace(".md", ".html")).is_file()
    for name in ("glossary.html", "numbers.html", "contribute.html", "help.html", "404.html", MARKER):
        assert (built / name).is_file()


def test_two_builds_are_the_same_byte_for_byte(site: Site, built: Path, tmp_path: Path) -> None:
    again = listing(write_site(site, tmp_path / "again"))
    first = listing(built)
    assert set(again) == set(first)
    assert [name for name in first if first[name] != again[name]] == []


def test_nothing_generated_is_written_beside_the_sources(built: Path) -> None:  # noqa: ARG001 - wants it built
    assert not list(site_sources_folder().rglob("methods"))
    assert not list((CHECKOUT / "methods").rglob("*.html"))


def test_every_link_of_the_built_site_leads_somewhere(built: Path) -> None:
    for path in built.rglob("*.html"):
        if path.name == "404.html":
            continue
        html = path.read_text("utf-8")
        for link in re.findall(r'(?:href|src)="([^"#?]+)[#"]', html):
            if not link.startswith(("http:", "https:", "data:")):
                assert (path.parent / link).resolve().is_file(), f"{link} on {path.relative_to(built)}"


def test_a_page_needs_no_inline_script_or_style_and_asks_no_other_host(built: Path) -> None:
    for path in built.rglob("*.html"):
        html = path.read_text("utf-8")
        assert "Content-Security-Policy" in html
        assert re.findall(r"<script(?![^>]*\bsrc=)(?![^>]*application/json)", html) == [], path
        assert re.findall(r"<style|\sstyle=|\son\w+=\"", html) == [], path
        assert re.findall(r'(?:src|href)="(?:https?:)?//', html) == [], path
        assert 'class="mermaid"' not in html


def test_the_policy_comes_before_the_first_script(built: Path) -> None:
    html = (built / "index.html").read_text("utf-8")
    assert html.index("Content-Security-Policy") < html.index("<script")


def test_the_page_does_not_grow_with_the_book(tmp_path: Path) -> None:
    def size(copies: int) -> int:
        many = [replace(site_fixture.BOATED, id=f"boat-{i}") for i in range(copies)]
        book = site_fixture.book(site_fixture.BOATED, *many)
        made = build_site_value(book, site_fixture.results(), BuildInfo("0.0.test"))
        return (write_site(made, tmp_path / str(copies)) / "methods/boat.html").stat().st_size

    assert size(2) == size(40)


def with_page(site: Site, page: PageSpec) -> Site:
    return replace(site, pages=(*site.pages, page))


def test_a_page_that_collides_with_a_hand_written_one_is_an_error(site: Site, tmp_path: Path) -> None:
    twice = with_page(site, PageSpec("glossary.md", "Glossary", "<p>another</p>", outline("")))
    with pytest.raises(SiteNotBuilt, match=r"glossary\.md is both a page of the book and a file"):
        write_site(twice, tmp_path / "out")
    assert not (tmp_path / "out").exists()


@pytest.fixture
def own_sources(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of the site sources that a test may break."""
    sources = tmp_path / "site_src"
    shutil.copytree(site_sources_folder(), sources)
    monkeypatch.setattr(building, "site_sources_folder", lambda: sources)
    return sources


@pytest.mark.parametrize(
    "planted",
    ["[gone](no-such-page.md)", "[gone](glossary.md#no-such-word)", "[gone](/methods/boat.html)"],
    ids=["missing page", "missing anchor", "absolute link"],
)
def test_a_bad_link_on_a_hand_written_page_fails_the_build(
    site: Site, own_sources: Path, tmp_path: Path, planted: str
) -> None:
    with (own_sources / "pages" / "help.md").open("a", encoding="utf-8") as page:
        page.write(f"\n{planted}\n")
    with pytest.raises(SiteNotBuilt, match=r"no-such|boat"):
        write_site(site, tmp_path / "out")


def test_hand_written_pages_may_link_to_pages_of_the_book(
    site: Site, own_sources: Path, tmp_path: Path
) -> None:
    with (own_sources / "pages" / "help.md").open("a", encoding="utf-8") as page:
        page.write("\n[boat](methods/boat.md#steps)\n")
    out = write_site(site, tmp_path / "out")
    assert 'href="methods/boat.html#steps"' in (out / "help.html").read_text("utf-8")


def test_a_new_site_takes_the_place_of_the_old_one_whole(site: Site, tmp_path: Path) -> None:
    out = write_site(site, tmp_path / "out")
    (out / "left-over.html").write_text("old", encoding="utf-8")
    write_site(replace(site, title="Another book"), out)
    assert not (out / "left-over.html").exists()
    assert "Another book" in (out / "index.html").read_text("utf-8")
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


def test_a_build_that_fails_leaves_the_old_site_standing(site: Site, tmp_path: Path) -> None:
    out = write_site(site, tmp_path / "out")
    before = listing(out)
    with pytest.raises(SiteNotBuilt):
        write_site(with_page(site, PageSpec("glossary.md", "Glossary", "", outline(""))), out)
    assert listing(out) == before
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


def test_a_swap_that_fails_half_way_puts_the_old_site_back(
    site: Site, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = write_site(site, tmp_path / "out")
    before = listing(out)
    rename = Path.rename

    def full_disk(path: Path, target: Path) -> Path:
        if target == out and not path.parent.name.startswith(".out-old"):
            raise OSError("no space left on device")
        return rename(path, target)

    monkeypatch.setattr(Path, "rename", full_disk)
    with pytest.raises(OSError, match="no space"):
        write_site(site, out)
    monkeypatch.undo()
    assert listing(out) == before


@pytest.mark.parametrize("kind", ["folder", "file"])
def test_what_is_not_a_site_of_ours_is_never_replaced(site: Site, tmp_path: Path, kind: str) -> None:
    out = tmp_path / "out"
    if kind == "folder":
        out.mkdir()
        (out / "thesis.txt").write_text("years of work", encoding="utf-8")
    else:
        out.write_text("years of work", encoding="utf-8")
    with pytest.raises(SiteNotBuilt, match="left alone"):
        write_site(site, out)
    kept = out / "thesis.txt" if kind == "folder" else out
    assert kept.read_text("utf-8") == "years of work"


def test_an_empty_folder_may_be_filled(site: Site, tmp_path: Path) -> None:
    (tmp_path / "out").mkdir()
    assert (write_site(site, tmp_path / "out") / MARKER).is_file()


KILLED = """
import sys
sys.path[:0] = [{tests!r}]
from pathlib import Path
import site_fixture
from slowfolio.site import build
from slowfolio.site.pages import BuildInfo, build_site_value

run = build._run_mkdocs

def run_then_wait(site, folder):
    run(site, folder)
    print("ready", flush=True)
    sys.stdin.read()

build._run_mkdocs = run_then_wait
build.write_site(build_site_value(site_fixture.book(), {{}}, BuildInfo("0.0.test")), Path({out!r}))
"""


def test_a_killed_build_leaves_the_old_site_standing(site: Site, tmp_path: Path) -> None:
    out = write_site(site, tmp_path / "out")
    before = listing(out)
    code = KILLED.format(tests=str(Path(__file__).parent), out=str(out))
    with subprocess.Popen(
        [sys.executable, "-c", code], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as process:
        assert process.stdout is not None
        assert process.stdout.readline().strip() == "ready"
        process.send_signal(signal.SIGKILL)
        process.wait()
    assert listing(out) == before
    write_site(site, out)


# --- export ------------------------------------------------------------------------------------------


def test_the_export_builds_without_our_plug_in_to_the_same_pages(
    site: Site, built: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    project = write_docs(site, tmp_path / "project")
    assert "slowfolio" not in re.findall(r"^- (\w+)|plugins:", (project / "mkdocs.yml").read_text("utf-8"))
    monkeypatch.setenv("NO_MKDOCS_2_WARNING", "1")
    mkdocs_build(load_config(config_file=str(project / "mkdocs.yml"), site_dir=str(tmp_path / "plain")))
    names = sorted(str(path.relative_to(built)) for path in built.rglob("*.html"))
    assert names == sorted(
        str(path.relative_to(tmp_path / "plain")) for path in (tmp_path / "plain").rglob("*.html")
    )
    for name in names:
        ours, plain = ((folder / name).read_text("utf-8") for folder in (built, tmp_path / "plain"))
        assert article(ours) == article(plain), name


def test_the_export_does_not_write_into_a_folder_in_use(site: Site, tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("mine", encoding="utf-8")
    with pytest.raises(FileExistsError, match="is not empty"):
        write_docs(site, tmp_path)


# --- serve -------------------------------------------------------------------------------------------


def test_pages_served_for_editing_carry_no_policy_and_are_watched(site: Site, tmp_path: Path) -> None:
    """Live reload is an inline script of the server, so the policy is for built sites only."""
    config = building.configured(site, tmp_path / "out")
    config.plugins.on_startup(command="serve", dirty=False)
    mkdocs_build(config)
    assert "Content-Security-Policy" not in (tmp_path / "out" / "index.html").read_text("utf-8")
    watched: list[str] = []

    class Server:
        def watch(self, path: str, *_: Callable[[], None]) -> None:
            watched.append(path)

    config.plugins.on_serve(Server(), config=config, builder=lambda: None)  # type: ignore[arg-type]
    assert any(path.endswith("methods") for path in watched)


SERVED = """
import sys
sys.path[:0] = [{tests!r}]
from dataclasses import replace
from pathlib import Path
import site_fixture
from slowfolio.site import plugin
from slowfolio.site.build import serve_site
from slowfolio.site.pages import BuildInfo, build_site_value

def load_site(book):
    site = build_site_value(site_fixture.book(), {{}}, BuildInfo("0.0.test"))
    return replace(site, title=(book / "title.txt").read_text("utf-8"))

plugin.load_site = load_site
serve_site(Path({book!r}), address={address!r})
"""


def waited_for(words: str, address: str) -> bool:
    """Ask for the first page until it holds the words, for at most a minute."""
    for _ in range(240):
        with suppress(OSError), urlopen(f"http://{address}/index.html", timeout=5) as answer:
            if words in answer.read().decode("utf-8"):
                return True
        time.sleep(0.25)
    return False


@pytest.mark.slow
def test_serving_rebuilds_when_a_file_of_the_book_changes(tmp_path: Path) -> None:
    book, address = tmp_path / "book", free_address()
    book.mkdir()
    (book / "title.txt").write_text("The first name", encoding="utf-8")
    code = SERVED.format(tests=str(Path(__file__).parent), book=str(book), address=address)
    with subprocess.Popen([sys.executable, "-c", code], stderr=subprocess.DEVNULL) as process:
        try:
            assert waited_for("The first name", address)
            (book / "title.txt").write_text("The second name", encoding="utf-8")
            assert waited_for("The second name", address)
        finally:
            process.terminate()
