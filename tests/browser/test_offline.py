"""Kept on the device: after one visit every page opens and search works with the network gone."""

import shutil
from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from http.server import ThreadingHTTPServer
from pathlib import Path
from threading import Thread
from typing import Any

import pytest
from conftest import QuietHandler, wait_until

import site_fixture
from slowfolio.site.build import write_site
from slowfolio.site.offline import add_offline_files, kept_files
from slowfolio.site.pages import BuildInfo, build_site_value

pytestmark = pytest.mark.browser

READY = "navigator.serviceWorker.ready.then(r => r.active && r.active.state)"
CONTROLLED = "navigator.serviceWorker.controller !== null"


class Host:
    """A server on this machine that can be stopped, and that remembers what it was asked for."""

    def __init__(self, folder: Path) -> None:
        self.asked: list[str] = []
        asked = self.asked

        class Handler(QuietHandler):
            def do_GET(self) -> None:  # noqa: N802 - the base class names it
                asked.append(self.path.partition("?")[0].lstrip("/"))
                super().do_GET()

        self.server = ThreadingHTTPServer(("localhost", 0), partial(Handler, directory=str(folder)))
        self.address = f"http://localhost:{self.server.server_address[1]}/"
        self.running = True
        Thread(target=self.server.serve_forever, daemon=True).start()

    def stop(self) -> None:
        if self.running:
            self.running = False
            self.server.shutdown()
            self.server.server_close()


@pytest.fixture
def folder(site_folder: Path, tmp_path: Path) -> Path:
    """A copy of the site that a test may change."""
    shutil.copytree(site_folder, tmp_path / "site")
    return tmp_path / "site"


@pytest.fixture
def host(folder: Path) -> Iterator[Host]:
    server = Host(folder)
    yield server
    server.stop()


@pytest.fixture
def page(chromium: Any) -> Iterator[Any]:
    context = chromium.new_context()
    yield context.new_page()
    context.close()


def first_visit(page: Any, host: Host) -> None:
    page.goto(host.address + "index.html")
    wait_until(page, CONTROLLED, seconds=60)


def test_every_page_opens_and_search_works_with_the_network_cut(page: Any, host: Host, folder: Path) -> None:
    first_visit(page, host)
    host.stop()
    page.context.set_offline(True)
    for file in sorted(folder.rglob("*.html")):
        name = file.relative_to(folder).as_posix()
        if name != "404.html":
            page.goto(host.address + name)
            assert page.locator("article h1").count() == 1, name
    page.goto(host.address)
    page.get_by_role("button", name="Search", exact=True).click()
    page.wait_for_timeout(300)
    page.locator(".md-search__input").press_sequentially("tallow", delay=20)
    page.wait_for_selector(".md-search-result__item")
    page.locator(".md-search-result__link").first.click()
    page.wait_for_selector("h1:has-text('tallow')")


def test_a_new_version_fetches_only_what_changed_and_waits_to_be_asked(
    page: Any, host: Host, folder: Path
) -> None:
    first_visit(page, host)
    glossary = folder / "glossary.html"
    glossary.write_text(glossary.read_text("utf-8").replace("<h1", "<p>Second edition</p><h1", 1), "utf-8")
    add_offline_files(folder, name="Alder Street house book")
    host.asked.clear()
    page.goto(host.address + "glossary.html")
    page.wait_for_selector("[data-slowfolio=new-version]:visible", timeout=30_000)
    assert page.locator("text=Second edition").count() == 0
    assert set(host.asked) == {"sw.js", "glossary.html"}
    page.get_by_role("button", name="Use it now").click()
    page.wait_for_selector("text=Second edition")


def test_a_new_version_that_cannot_be_fetched_whole_is_not_used(page: Any, host: Host, folder: Path) -> None:
    first_visit(page, host)
    (folder / "glossary.html").write_text("changed", "utf-8")
    add_offline_files(folder, name="Alder Street house book")
    (folder / "glossary.html").unlink()
    page.goto(host.address + "index.html")
    page.evaluate("navigator.serviceWorker.ready.then(r => r.update().catch(() => null))")
    page.wait_for_timeout(1500)
    assert not page.locator("[data-slowfolio=new-version]").is_visible()
    host.stop()
    page.goto(host.address + "glossary.html")
    assert "Glossary" in page.locator("article h1").inner_text()


def test_the_site_can_be_installed(page: Any, host: Host) -> None:
    first_visit(page, host)
    session = page.context.new_cdp_session(page)
    errors = session.send("Page.getInstallabilityErrors")["installabilityErrors"]
    assert [error["errorId"] for error in errors if error["errorId"] != "in-incognito"] == []


def test_a_site_under_a_path_keeps_to_itself(chromium: Any, site_folder: Path, tmp_path: Path) -> None:
    shutil.copytree(site_folder, tmp_path / "kitchen" / "book")
    host = Host(tmp_path)
    context = chromium.new_context()
    try:
        page = context.new_page()
        page.goto(host.address + "kitchen/book/methods/boat.html")
        wait_until(page, CONTROLLED, seconds=60)
        host.stop()
        page.goto(host.address + "kitchen/book/")
        assert page.locator(".entry").count() == 4
    finally:
        context.close()
        host.stop()


def test_the_same_site_gives_the_same_worker(site_folder: Path, tmp_path: Path) -> None:
    site = build_site_value(site_fixture.book(), site_fixture.results(), BuildInfo("0.0.test"))
    one, other = write_site(site, tmp_path / "one"), write_site(site, tmp_path / "other")
    assert (one / "sw.js").read_bytes() == (other / "sw.js").read_bytes()
    changed = write_site(replace(site, kitchen="Another kitchen"), tmp_path / "changed")
    assert (one / "sw.js").read_bytes() != (changed / "sw.js").read_bytes()
    listed = kept_files(site_folder)
    assert "search/search_index.json" in listed
    assert "index.html" in listed
    assert not any(name.startswith("assets/javascripts/lunr/") or name.endswith(".map") for name in listed)
