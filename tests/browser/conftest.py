"""The system's Chromium, a site built from the invented book, and a server for it on this machine."""

import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import Thread
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).parents[1]))

import changes_fixture
import cook_fixture
import hold_fixture
import plan_fixture
import recorded_fixture
import tasting_fixture
from slowfolio.book.codes import all_codes
from slowfolio.resources import schema_folder
from slowfolio.site.build import write_site
from slowfolio.site.pages import BuildInfo, build_site_value
from slowfolio.site.reference_pages import read_schemas

CHROMIUM = Path("/usr/bin/chromium")
ARGUMENTS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
TABLET, PHONE = (1180, 820), (390, 844)
SCREENSHOTS = Path(__file__).parents[2] / "screenshots"


@dataclass
class Visit:
    """A page in the browser with all it complained about and all it asked for."""

    page: Any
    complaints: list[str] = field(default_factory=list)
    requests: list[str] = field(default_factory=list)


def wait_until(page: Any, expression: str, *, seconds: float = 30.0) -> None:
    """Ask the page until the expression is true. Playwright's own waiting evaluates text, which the page's
    policy forbids.
    """
    for _ in range(int(seconds * 20)):
        if page.evaluate(expression):
            return
        page.wait_for_timeout(50)
    raise AssertionError(f"never true on {page.url}: {expression}")


@pytest.fixture(scope="session")
def chromium() -> Iterator[Any]:
    """The system's browser; its absence skips the test, but fails it under CI."""
    if not CHROMIUM.exists():
        reason = f"these tests drive {CHROMIUM}, which is not installed"
        if os.environ.get("CI"):
            pytest.fail(reason)
        pytest.skip(reason)
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=str(CHROMIUM), args=list(ARGUMENTS))
        yield browser
        browser.close()


@pytest.fixture(scope="session")
def site_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The invented book, built once."""
    build = BuildInfo(
        "0.0.test",
        read_schemas(schema_folder()),
        all_codes(),
        changes_fixture.history(),
        changes_fixture.TODAY,
    )
    book = recorded_fixture.with_cooks(tasting_fixture.with_tastings(hold_fixture.book()))
    tastings = tasting_fixture.results()
    site = build_site_value(
        book,
        plan_fixture.results(),
        build,
        hold_fixture.holds(),
        cook_fixture.carried(),
        tastings=tastings,
        cooks=recorded_fixture.results(),
    )
    return write_site(site, tmp_path_factory.mktemp("built") / "site")


@pytest.fixture(scope="session")
def serve() -> Iterator[Callable[[Path], str]]:
    """Serve folders on this machine until the session ends; gives the address of each."""
    servers: list[ThreadingHTTPServer] = []

    def start(folder: Path) -> str:
        handler = partial(QuietHandler, directory=str(folder))
        server = ThreadingHTTPServer(("localhost", 0), handler)
        Thread(target=server.serve_forever, daemon=True).start()
        servers.append(server)
        return f"http://localhost:{server.server_address[1]}/"

    yield start
    for server in servers:
        server.shutdown()
        server.server_close()


class QuietHandler(SimpleHTTPRequestHandler):
    """Serves files without a line for each."""

    def log_message(self, format: str, *args: object) -> None:
        """Say nothing."""


@pytest.fixture(scope="session")
def over_http(site_folder: Path, serve: Callable[[Path], str]) -> str:
    return serve(site_folder)


@pytest.fixture(scope="session")
def from_folder(site_folder: Path) -> str:
    return site_folder.as_uri() + "/"


@pytest.fixture
def visit(chromium: Any) -> Callable[..., Any]:
    """Open a page: `with visit(address, size=PHONE, scheme="dark") as seen:`."""

    @contextmanager
    def opened(
        address: str, *, size: tuple[int, int] = TABLET, scheme: str = "light", **more: Any
    ) -> Iterator[Visit]:
        context = chromium.new_context(
            viewport={"width": size[0], "height": size[1]},
            color_scheme=scheme,
            service_workers="block",
            **more,
        )
        page = context.new_page()
        seen = Visit(page)
        page.on(
            "console",
            lambda message: seen.complaints.append(message.text) if message.type == "error" else None,
        )
        page.on("pageerror", lambda error: seen.complaints.append(str(error)))
        page.on("request", lambda request: seen.requests.append(request.url))
        page.goto(address)
        yield seen
        context.close()

    return opened
