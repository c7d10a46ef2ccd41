"""A method page of the starter book in the system's Chromium against its budgets; and what navigation costs.

The page is served compressed, opened for the first time, and slowed down as a cheap tablet is. The cost of
navigation is that of MkDocs alone: the same method page many times over, built from a finished site value.
"""

import gzip
import json
import statistics
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from io import BytesIO
from pathlib import Path
from threading import Thread
from typing import Any, BinaryIO

from benchmarks.report import Row, processor_seconds
from slowfolio.site.build import write_site
from slowfolio.site.load import load_site
from slowfolio.site.value import Site

BOOK = Path(__file__).parents[1] / "methods"
PAGE = "methods/foil-boat-humid-hold.html"
CHROMIUM = "/usr/bin/chromium"
ARGUMENTS = ("--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking")
TABLET = {"width": 1180, "height": 820}
SLOW_DOWN, VISITS, TRACED = 4, 3, 7
TRACED_MS = 900
SETTLED_MS, BETWEEN_KEYS_MS = 2500, 150
FEW, MANY = 250, 1000
PRUNED_S = 7.9
"""Plain MkDocs with pruned navigation and 1,000 pages, on a machine like ours (MEASURED before)."""

COMPRESSED = (".html", ".css", ".js", ".json", ".svg", ".webmanifest")

WATCH = """
window.measured = {paint: 0, task: 0, shift: 0};
const watch = (type, take) => new PerformanceObserver(list => list.getEntries().forEach(take))
  .observe({type, buffered: true});
watch("largest-contentful-paint", entry => { measured.paint = entry.startTime; });
watch("longtask", entry => { measured.task = Math.max(measured.task, entry.duration); });
watch("layout-shift", entry => { if (!entry.hadRecentInput) measured.shift += entry.value; });
"""

ANSWERED = """
window.answers = [];
const field = document.querySelector(".md-search__input");
const found = document.querySelector(".md-search-result");
let asked = 0;
field.addEventListener("input", () => { asked = performance.now(); }, true);
new MutationObserver(() => {
  if (asked) answers.push(performance.now() - asked);
  asked = 0;
}).observe(found, {childList: true, subtree: true, characterData: true});
"""


class CompressingHandler(SimpleHTTPRequestHandler):
    """Serves files as a web server does: text compressed with gzip."""

    def send_head(self) -> BytesIO | BinaryIO | None:
        """The headers, and the file as it goes over the wire."""
        path = Path(self.translate_path(self.path))
        if path.suffix not in COMPRESSED or not path.is_file():
            return super().send_head()
        data = gzip.compress(path.read_bytes(), 6)
        self.send_response(200)
        self.send_header("Content-Type", self.guess_type(str(path)))
        self.send_header("Content-Encoding", "gzip")
        self.send_header("Content-Length", str(len(data)))
        self.end_headers()
        return BytesIO(data)

    def log_message(self, format: str, *args: object) -> None:
        """Say nothing."""


def rows() -> Iterator[Row]:
    """The budgets of a method page, then the cost of navigation."""
    site = load_site(BOOK)
    with tempfile.TemporaryDirectory() as folder:
        built = write_site(site, Path(folder) / "site")
        with served(built) as address, browser() as chromium:
            yield from page_rows(chromium, address + PAGE)
            yield from search_rows(chromium, address + PAGE)
        yield from navigation_rows(site, Path(folder))


@contextmanager
def served(folder: Path) -> Iterator[str]:
    """A server for the folder on this machine."""
    server = ThreadingHTTPServer(("localhost", 0), partial(CompressingHandler, directory=str(folder)))
    Thread(target=server.serve_forever, daemon=True).start()
    yield f"http://localhost:{server.server_address[1]}/"
    server.shutdown()
    server.server_close()


@contextmanager
def browser() -> Iterator[Any]:
    """The system's Chromium without a window."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=CHROMIUM, args=list(ARGUMENTS))
        yield chromium
        chromium.close()


@contextmanager
def first_visit(chromium: Any, *, slowed: int) -> Iterator[tuple[Any, list[float]]]:
    """A page with an empty cache on a slowed processor, and the bytes of each answer as they come in.

    The service worker is left out: it fetches the whole book after the page has loaded.
    """
    context = chromium.new_context(viewport=TABLET, service_workers="block")
    page = context.new_page()
    tools = context.new_cdp_session(page)
    tools.send("Network.enable")
    tools.send("Emulation.setCPUThrottlingRate", {"rate": slowed})
    received: list[float] = []
    tools.on("Network.loadingFinished", lambda event: received.append(event["encodedDataLength"]))
    yield page, received
    context.close()


def page_rows(chromium: Any, address: str) -> Iterator[Row]:
    """Bytes, largest paint, longest task and layout shift: the middle of several first visits."""
    visits = [visited(chromium, address) for _ in range(VISITS)]
    found = {name: statistics.median(visit[name] for visit in visits) for name in visits[0]}
    slow = f"at {SLOW_DOWN}x CPU slow-down"
    yield Row("method page: transferred, compressed", found["bytes"] / 1000, "kB", 350)
    yield Row(f"method page: largest paint {slow}", found["paint"] / 1000, "s", 1.5)
    yield Row(f"method page: longest task {slow}, by the clock (0: none above 50 ms)", found["task"], "ms")
    longest = statistics.median(longest_task_ms(chromium, address) for _ in range(TRACED))
    yield Row(f"method page: longest task {slow}, by processor time", SLOW_DOWN * longest, "ms", 100)
    yield Row(f"method page: layout shift {slow}", found["shift"], "", 0.05)


def visited(chromium: Any, address: str) -> dict[str, float]:
    """What the browser measured of one first visit: ms, bytes, and the shift as a plain number."""
    with first_visit(chromium, slowed=SLOW_DOWN) as (page, received):
        page.add_init_script(WATCH)
        page.goto(address, wait_until="load")
        page.wait_for_timeout(SETTLED_MS)
        found: dict[str, float] = page.evaluate("measured")
    if not found["paint"]:
        raise RuntimeError(f"the browser reported no paint of {address}")
    return found | {"bytes": sum(received)}


def longest_task_ms(chromium: Any, address: str) -> float:
    """Processor time of the page's longest task at full speed, from the browser's own trace.

    Other work on the machine lengthens a task by the clock, but hardly by the processor.
    """
    context = chromium.new_context(viewport=TABLET, service_workers="block")
    page = context.new_page()
    chromium.start_tracing(page=page, categories=["toplevel"])
    page.goto(address, wait_until="load")
    page.wait_for_timeout(TRACED_MS)
    events = json.loads(chromium.stop_tracing())["traceEvents"]
    context.close()
    mains = {
        (event["pid"], event["tid"])
        for event in events
        if event.get("name") == "thread_name" and event["args"]["name"] == "CrRendererMain"
    }
    spent = [e["tdur"] for e in events if (e["pid"], e["tid"]) in mains and "tdur" in e]
    return max(spent) / 1000.0


def search_rows(chromium: Any, address: str) -> Iterator[Row]:
    """The slowest answer to a key typed in the search, on this processor and on a slowed one."""
    for slowed, budget in ((1, 100.0), (SLOW_DOWN, None)):
        with first_visit(chromium, slowed=slowed) as (page, _):
            page.goto(address, wait_until="load")
            page.get_by_role("button", name="Search", exact=True).click()
            page.wait_for_timeout(SETTLED_MS)
            page.evaluate(f"() => {{ {ANSWERED} }}")
            for key in "tallow":  # pressed and released at once: the theme answers when a key is let go
                page.keyboard.press(key)
                page.wait_for_timeout(BETWEEN_KEYS_MS)
            page.wait_for_timeout(SETTLED_MS)
            answers = page.evaluate("answers")
        if not answers:
            raise RuntimeError("the search gave no answer")
        slow = "" if slowed == 1 else f" at {slowed}x CPU slow-down"
        yield Row(f"search: slowest answer to a key{slow}", max(answers), "ms", budget)


def navigation_rows(site: Site, folder: Path) -> Iterator[Row]:
    """What MkDocs takes for many method pages, and whether that grows with their number alone."""
    write_site(repeated(site, 1), folder / "warm")
    few = processor_seconds(lambda: write_site(repeated(site, FEW), folder / "few"))
    many = processor_seconds(lambda: write_site(repeated(site, MANY), folder / "many"))
    yield Row(f"MkDocs part of a site with {MANY} more method pages, processor time", many, "s", PRUNED_S)
    yield Row(f"  the same with {MANY} over with {FEW}", many / few, "x", 5.0)
    size = [(folder / name / "methods" / "copy-0.html").stat().st_size for name in ("many", "few")]
    yield Row(f"  bytes of one page with {MANY} over with {FEW}", size[0] / size[1], "x", 1.0)


def repeated(site: Site, count: int) -> Site:
    """The site with one of its method pages so many times more, each under an address of its own."""
    page = next(page for page in site.pages if page.uri == PAGE.replace(".html", ".md"))
    copies = tuple(
        replace(page, uri=f"methods/copy-{i}.md", title=f"{page.title}, copy {i}") for i in range(count)
    )
    return replace(site, pages=site.pages + copies)
