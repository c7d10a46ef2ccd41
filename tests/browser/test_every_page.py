"""Every page at tablet and phone size, light and dark: accessible, within the screen, quiet, on its own."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from conftest import PHONE, SCREENSHOTS, TABLET

pytestmark = pytest.mark.browser

AXE = Path(__file__).parent / "vendor" / "axe.min.js"
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
RUN_AXE = """rules => axe.run(document, {runOnly: rules}).then(found =>
  found.violations.map(v => v.id + ': ' + v.nodes.map(n => n.html.slice(0, 120)).join(' | ')))"""
LAY_OUT_ALL = """() => {
  const rules = sheet => [...sheet.cssRules].forEach(rule => {
    if (rule.style?.contentVisibility) rule.style.contentVisibility = 'visible';
    if (rule.cssRules) rules(rule);
  });
  [...document.styleSheets].forEach(rules);
}"""
"""What lies far below the screen is not laid out, and so neither judged nor in the picture, until it is."""
SIZES = {"tablet": TABLET, "phone": PHONE}


def pages_of(folder: Path) -> list[str]:
    return sorted(str(path.relative_to(folder)) for path in folder.rglob("*.html"))


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("screen", ["tablet", "phone"])
def test_no_page_breaks_a_rule_of_access_or_leaves_the_screen(
    site_folder: Path, over_http: str, visit: Callable[..., Any], screen: str, scheme: str
) -> None:
    """WCAG 2.2 A and AA by axe-core; nothing wider than the screen; no error in the console."""
    SCREENSHOTS.mkdir(exist_ok=True)
    faults: list[str] = []
    with visit(over_http, size=SIZES[screen], scheme=scheme) as seen:
        for page in pages_of(site_folder):
            seen.page.goto(over_http + page)
            seen.page.evaluate("document.fonts.ready")
            seen.page.evaluate(LAY_OUT_ALL)
            seen.page.evaluate(AXE.read_text("utf-8"))
            faults += [f"{page}: {fault}" for fault in seen.page.evaluate(RUN_AXE, RULES)]
            wide = seen.page.evaluate("document.documentElement.scrollWidth - innerWidth")
            if wide > 0:
                faults.append(f"{page}: {wide} px wider than the screen")
            name = page.replace("/", "-").removesuffix(".html")
            seen.page.screenshot(path=SCREENSHOTS / f"{name}-{screen}-{scheme}.png", full_page=True)
        faults += seen.complaints
    assert faults == []


def test_no_page_asks_another_host_for_anything(
    site_folder: Path, over_http: str, visit: Callable[..., Any]
) -> None:
    with visit(over_http) as seen:
        for page in pages_of(site_folder):
            seen.page.goto(over_http + page)
        assert [url for url in seen.requests if not url.startswith((over_http, "data:"))] == []


def test_a_folder_opened_without_a_server_asks_for_nothing_but_its_own_files(
    site_folder: Path, from_folder: str, visit: Callable[..., Any]
) -> None:
    with visit(from_folder + "index.html") as seen:
        for page in pages_of(site_folder):
            if page != "404.html":  # its addresses start at the root of a server
                seen.page.goto(from_folder + page)
        assert [url for url in seen.requests if not url.startswith((from_folder, "data:"))] == []
        assert seen.complaints == []


@pytest.mark.parametrize(
    "page", ["index.html", "methods/boat.html", "pits/offset.html", "fields.html", "glossary.html"]
)
@pytest.mark.parametrize("size", [(590, 410), (320, 640)], ids=["200 per cent zoom", "320 px wide"])
def test_text_reflows_at_double_size(
    over_http: str, visit: Callable[..., Any], page: str, size: tuple[int, int]
) -> None:
    """WCAG 1.4.4 and 1.4.10: a tablet at 200 % has half the CSS pixels; 320 px is the narrowest asked for."""
    with visit(over_http + page, size=size) as seen:
        assert seen.page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0


@pytest.mark.parametrize("page", ["index.html", "methods/boat.html", "equipment.html"])
def test_what_a_finger_must_hit_is_48_px_high(over_http: str, visit: Callable[..., Any], page: str) -> None:
    targets = ".masthead__tools button, .masthead__nav a, .finder select, .finder input, .jump a, .colophon a"
    measure = """targets => [...document.querySelectorAll(targets)]
      .map(e => [e.textContent.trim(), e.getBoundingClientRect()])
      .filter(([, box]) => box.width > 0 && box.height < 47.5)
      .map(([text, box]) => text + ' ' + box.height)"""
    with visit(over_http + page) as seen:
        assert seen.page.evaluate(measure, targets) == []
