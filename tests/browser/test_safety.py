"""The safety page in a real browser: another authority at a choice, all of them without a script."""

from collections.abc import Callable
from typing import Any

import pytest
from conftest import wait_until

pytestmark = pytest.mark.browser

Open = Callable[..., Any]


@pytest.fixture(params=["http", "folder"])
def place(request: pytest.FixtureRequest, over_http: str, from_folder: str) -> str:
    return over_http if request.param == "http" else from_folder


def shown(page: Any) -> list[str]:
    return list(
        page.locator("[data-authority]").evaluate_all(
            "parts => parts.filter(part => part.offsetParent).map(part => part.dataset.authority)"
        )
    )


def test_a_reader_may_look_at_another_authority_and_keep_it_in_the_address(place: str, visit: Open) -> None:
    with visit(place + "safety.html") as seen:
        page = seen.page
        assert shown(page) == ["us-retail"]
        page.locator("#authority-choice").select_option("uk")
        wait_until(page, "location.search === '?a=uk'")
        assert shown(page) == ["uk"]
        assert "145.4 °F (63 °C) or above" in page.locator("[data-authority=uk]").inner_text()
        assert "not this book’s own" in page.locator("[data-authority=uk]").inner_text()
        address = page.evaluate("location.href")
        assert seen.complaints == []
    with visit(address) as seen:
        assert shown(seen.page) == ["uk"]
        seen.page.locator("#authority-choice").select_option("us-retail")
        wait_until(seen.page, "location.search === ''")
    with visit(place + "safety.html?a=nonsense") as seen:
        assert shown(seen.page) == ["us-retail"]


def test_all_authorities_stand_on_the_page_without_javascript(over_http: str, visit: Open) -> None:
    with visit(over_http + "safety.html", java_script_enabled=False) as seen:
        assert seen.page.locator("[data-authority]:visible").count() == 7
        assert not seen.page.locator("#authority-choice").is_visible()
        assert "Whom to ask" in seen.page.locator("article").inner_text()


def test_the_page_is_light(over_http: str, visit: Open) -> None:
    with visit(over_http + "safety.html") as seen:
        size = seen.page.evaluate("new TextEncoder().encode(document.documentElement.outerHTML).length")
        assert size < 200_000


def test_a_search_for_cooling_finds_the_page(over_http: str, visit: Open) -> None:
    with visit(over_http + "index.html") as seen:
        page = seen.page
        page.get_by_role("button", name="Search", exact=True).click()
        wait_until(page, "document.activeElement === document.querySelector('.md-search__input')")
        page.wait_for_timeout(300)  # the theme sets its worker up when the field takes focus
        page.locator(".md-search__input").press_sequentially("cooling whole refrigerator", delay=20)
        page.wait_for_selector(".md-search-result__item")
        links = page.locator(".md-search-result__link").evaluate_all("links => links.map(link => link.href)")
        assert any("safety.html" in link for link in links)
