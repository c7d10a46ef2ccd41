"""Recorded cooks in a real browser: they read without scripts, switch units, and fit a phone."""

from collections.abc import Callable
from typing import Any

import pytest
from conftest import PHONE

pytestmark = pytest.mark.browser

Open = Callable[..., Any]
COOK = "cooks/hot-day.html"


def test_the_way_from_a_method_to_its_cook_and_back(over_http: str, visit: Open) -> None:
    with visit(over_http + "methods/boat.html") as seen:
        seen.page.locator("#cooks-recorded").scroll_into_view_if_needed()
        seen.page.locator("ul.recorded a", has_text="hot day").click()
        assert seen.page.url.endswith(COOK)
        assert "sooner" in seen.page.locator("table.besides").inner_text()
        seen.page.locator("p.lede a").click()
        assert seen.page.url.endswith("methods/boat.html")
        assert seen.complaints == []


def test_amounts_switch_with_the_units(over_http: str, visit: Open) -> None:
    with visit(over_http + COOK) as seen:
        by = seen.page.locator("table.ranking tbody tr").first
        assert "14 °F" in by.inner_text()
        seen.page.locator("button[data-slowfolio=units]").click()
        assert "8.0 °C" in by.inner_text()


def test_a_cook_reads_without_javascript_and_from_a_folder(from_folder: str, visit: Open) -> None:
    with visit(from_folder + COOK, java_script_enabled=False) as seen:
        text = seen.page.locator("article").inner_text()
        assert "Invented data" in text
        assert "What explains it" in text


def test_a_phone_shows_the_narrow_chart_and_nothing_leaves_its_screen(over_http: str, visit: Open) -> None:
    with visit(over_http + COOK, size=PHONE) as seen:
        assert seen.page.locator("svg.timeline--narrow").first.is_visible()
        assert not seen.page.locator("svg.timeline--wide").first.is_visible()
        assert seen.page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
