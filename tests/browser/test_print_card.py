"""The card of a method, printed by the browser: one sheet for every method, in both unit systems."""

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

import site_fixture
from slowfolio.book.model import Book
from slowfolio.book.reading import read_book
from slowfolio.enrich.results import MethodResult
from slowfolio.site.build import write_site
from slowfolio.site.pages import BuildInfo, build_site_value

pytestmark = pytest.mark.browser

STARTER = Path(__file__).parents[2] / "methods"
POINTS_PER_MM = 72 / 25.4
HALF_LETTER_PT, A5_PT = (5.5 * 72, 8.5 * 72), (148 * POINTS_PER_MM, 210 * POINTS_PER_MM)
PAGE = re.compile(rb"/Type\s*/Page\b(?!s)")
BOX = re.compile(rb"/MediaBox\s*\[\s*0 0 ([\d.]+) ([\d.]+)\s*\]")


def starter() -> Book:
    book = read_book(STARTER).book
    assert book is not None
    return book


def results_of(book: Book) -> dict[str, MethodResult]:
    """Invented times for every method; all other text of a sheet is the card's own."""
    like = site_fixture.results()["boat"]
    return {name: replace(like, method=name) for name in book.methods}


@pytest.fixture(scope="module")
def cards(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The starter book with its cards."""
    book = starter()
    site = build_site_value(book, results_of(book), BuildInfo("0.0.test"))
    return write_site(site, tmp_path_factory.mktemp("starter") / "site")


def printed(page: Any) -> tuple[int, tuple[float, float]]:
    """Number of pages and size in points of what the browser prints."""
    data: bytes = page.pdf(prefer_css_page_size=True)
    box = BOX.search(data)
    assert box is not None
    return len(PAGE.findall(data)), (float(box[1]), float(box[2]))


@pytest.mark.parametrize("units", ["us", "metric"])
@pytest.mark.parametrize("method", sorted(path.stem for path in STARTER.glob("cards/*/*.yaml")))
def test_every_method_of_the_starter_book_prints_on_one_small_sheet(
    cards: Path, visit: Callable[..., Any], method: str, units: str
) -> None:
    with visit((cards / "print" / f"{method}.html").as_uri()) as seen:
        seen.page.evaluate("units => { document.documentElement.dataset.units = units; }", units)
        seen.page.evaluate("document.fonts.ready")
        pages, size = printed(seen.page)
        assert pages == 1
        assert size == pytest.approx(HALF_LETTER_PT if units == "us" else A5_PT, abs=1.0)
        assert seen.complaints == []


def test_the_card_says_what_a_kitchen_pins_up(from_folder: str, visit: Callable[..., Any]) -> None:
    with visit(from_folder + "methods/boat.html", scheme="dark") as seen:
        seen.page.get_by_role("link", name="Print card").click()
        seen.page.wait_for_selector(".card")
        text = seen.page.locator(".card").inner_text()
        for words in (
            "Revision",
            "pit 250 °F",
            "Hold floor 135 °F",
            "Food Code, 3-501.16(A)(1)",
            "inspector",
        ):
            assert words in text
        assert "Mustard" in text
        seen.page.get_by_role("button", name="°F: US units").click()
        assert "pit 121 °C" in seen.page.locator(".card").inner_text()
        seen.page.emulate_media(media="print")
        assert seen.page.evaluate("getComputedStyle(document.querySelector('.card')).color") == "rgb(0, 0, 0)"
        for tool in (".card-tools", ".masthead", ".colophon"):
            assert not seen.page.locator(tool).is_visible()


def test_other_pages_keep_the_size_of_the_reader_s_paper(from_folder: str, visit: Callable[..., Any]) -> None:
    with visit(from_folder + "methods/boat.html") as seen:
        data = seen.page.pdf(prefer_css_page_size=True, format="A4")
        box = BOX.search(data)
        assert box is not None
        assert (float(box[1]), float(box[2])) == pytest.approx((595, 842), abs=2.0)


def test_no_card_for_a_withdrawn_method_and_none_in_the_search(site_folder: Path) -> None:
    assert {path.stem for path in (site_folder / "print").glob("*.html")} == {"boat", "paper", "bare"}
    assert "print/boat.html" not in (site_folder / "search" / "search_index.json").read_text("utf-8")
