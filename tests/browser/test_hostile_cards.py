"""Cards whose every text carries a script: the pages show it as text, and the policy would stop it anyway."""

import dataclasses
from collections.abc import Callable, Mapping
from datetime import date
from enum import Enum
from pathlib import Path
from typing import Any

import pytest

import hold_fixture
import recorded_fixture
import site_fixture
import tasting_fixture
from slowfolio.book.model import Origin
from slowfolio.site.build import write_site
from slowfolio.site.pages import BuildInfo, build_site_value

pytestmark = pytest.mark.browser

OWN_SCRIPTS = """() => [...document.querySelectorAll('article script')]
  .filter(script => script.type !== 'application/json')
  .filter(script => script.text || new URL(script.src).origin !== location.origin)
  .map(script => script.outerHTML)"""
"""Scripts that are not files of the site: only a card could have brought one, data blocks apart."""

HANDLERS = """() => [...document.querySelectorAll('article *')]
  .filter(element => [...element.attributes].some(({name}) => name.startsWith('on')))
  .map(element => element.outerHTML.slice(0, 200))"""

PAYLOAD = (
    ' "\'><img src=x onerror="window.harmed=1"><script>window.harmed=2</script>'
    '<svg onload="window.harmed=3"><a href="javascript:window.harmed=4">x</a>{{ 7*7 }}</svg>'
)
KEPT = {
    "id",
    "kind",
    "humidity_by",
    "wrap",
    "pit",
    "cut",
    "holder",
    "authority",
    "method",
    "dimension",
    "ended_by",
    "test",
    "question",
    "cook",
    "wraps",
    "parameter",
}
"""What refers to something or comes from a closed list: a check refuses any other text there."""


def poisoned(value: Any, name: str = "") -> Any:
    """The same value with the payload behind every text that is not an identifier."""
    if name in KEPT or isinstance(value, (Enum, date, Origin)):
        return value
    if isinstance(value, str):
        return value + PAYLOAD
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        fields = {f.name: poisoned(getattr(value, f.name), f.name) for f in dataclasses.fields(value)}
        return type(value)(**fields)
    if isinstance(value, tuple):
        return tuple(poisoned(item) for item in value)
    if isinstance(value, Mapping):
        return {key: poisoned(item) for key, item in value.items()}
    return value


@pytest.fixture(scope="module")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> Path:
    results = {name: poisoned(result) for name, result in site_fixture.results().items()}
    book = recorded_fixture.with_cooks(tasting_fixture.with_tastings(hold_fixture.book()))
    site = build_site_value(
        poisoned(book),
        results,
        BuildInfo("0.0.test"),
        {name: poisoned(held) for name, held in hold_fixture.holds().items()},
        tastings=poisoned(tasting_fixture.results()),
        cooks=poisoned(recorded_fixture.results()),
    )
    return write_site(site, tmp_path_factory.mktemp("hostile") / "site")


def test_no_page_runs_what_a_card_carries(
    hostile: Path, serve: Callable[[Path], str], visit: Callable[..., Any]
) -> None:
    address = serve(hostile)
    with visit(address) as seen:
        for page in sorted(str(path.relative_to(hostile)) for path in hostile.rglob("*.html")):
            seen.page.goto(address + page)
            assert seen.page.evaluate("window.harmed === undefined"), page
            assert seen.page.evaluate(OWN_SCRIPTS) == [], page
            assert seen.page.locator("article img").count() == 0, page
            assert seen.page.evaluate(HANDLERS) == [], page
            assert seen.page.locator("a[href^='javascript:']").count() == 0, page
        assert seen.complaints == []
        assert [url for url in seen.requests if not url.startswith(address)] == []


def test_search_shows_what_a_card_carries_as_text(
    hostile: Path, serve: Callable[[Path], str], visit: Callable[..., Any]
) -> None:
    with visit(serve(hostile) + "glossary.html") as seen:
        page = seen.page
        page.get_by_role("button", name="Search", exact=True).click()
        page.wait_for_timeout(300)
        page.locator(".md-search__input").press_sequentially("tallow", delay=20)
        page.wait_for_selector(".md-search-result__item")
        page.wait_for_timeout(300)
        assert page.evaluate("window.harmed === undefined")
        assert page.locator(".md-search-result script, .md-search-result img").count() == 0


def test_the_policy_stops_a_script_that_is_in_the_page(
    site_folder: Path, serve: Callable[[Path], str], visit: Callable[..., Any], tmp_path: Path
) -> None:
    """Were escaping ever to fail: inline script, inline handler and foreign script are all refused."""
    for file in site_folder.rglob("*"):
        copy = tmp_path / file.relative_to(site_folder)
        if file.is_dir():
            copy.mkdir(parents=True, exist_ok=True)
        else:
            copy.parent.mkdir(parents=True, exist_ok=True)
            copy.write_bytes(file.read_bytes())
    page_file = tmp_path / "glossary.html"
    attack = PAYLOAD + '<script src="https://example.invalid/x.js"></script>'
    page_file.write_text(page_file.read_text("utf-8").replace("</article>", attack + "</article>"), "utf-8")
    for address in (serve(tmp_path) + "glossary.html", page_file.as_uri()):
        with visit(address) as seen:
            seen.page.wait_for_timeout(300)
            assert seen.page.evaluate("window.harmed === undefined")
            refused = [text for text in seen.complaints if "Content Security Policy" in text]
            assert len(refused) >= 3
