"""The comparison and the ways that lead to it."""

from collections.abc import Callable
from typing import Any

import pytest

pytestmark = pytest.mark.browser

Open = Callable[..., Any]
BOAT = "Packer brisket in a foil boat, humid hold"
PAPER = "Brisket in butcher paper with tallow"
BARE = "Unwrapped brisket"


@pytest.fixture(params=["http", "folder"])
def place(request: pytest.FixtureRequest, over_http: str, from_folder: str) -> str:
    return over_http if request.param == "http" else from_folder


def said(page: Any, quality: str) -> str:
    return str(page.locator(f"section:has(#versus-{quality}) p").inner_text())


def test_a_difference_beyond_the_spread_is_stressed_and_the_rest_is_a_tie(place: str, visit: Open) -> None:
    """Ready after 13.7 ± 1.2 h against 11.3 ± 1.2 h is a difference; bark 78 ± 7 against 80 ± 7 is none."""
    with visit(place + "compare.html?m=boat&m=paper") as seen:
        assert said(seen.page, "time") == f"Soonest: {PAPER}."
        assert said(seen.page, "bark") == "A tie: the difference is within the spread."
        assert said(seen.page, "hold") == f"Holds longest: {BOAT}."
        assert seen.page.locator("section:has(#versus-time) .versus__lead").count() == 1
        assert seen.page.locator("section:has(#versus-bark) .versus__lead").count() == 0
        assert seen.complaints == []


def test_a_quality_that_one_of_two_has_is_not_compared(over_http: str, visit: Open) -> None:
    with visit(over_http + "compare.html?m=boat&m=bare") as seen:
        assert said(seen.page, "hold") == "Only one of them has this."


def test_several_that_tie_in_front_are_named_together(over_http: str, visit: Open) -> None:
    with visit(over_http + "compare.html?m=boat&m=paper&m=bare") as seen:
        assert said(seen.page, "time") == f"Soonest: {PAPER}."
        assert seen.page.locator("section:has(#versus-time) li").count() == 3


def test_one_that_touches_both_sides_lies_between_and_leads_nothing(over_http: str, visit: Open) -> None:
    """Ranges 6-8, 7-10 and 9-12, less is better: the first is clear of the last, the second of neither."""
    ranges = "[[7, 6, 8], [8.5, 7, 10], [10.5, 9, 12]]"
    change = f"""() => document.querySelectorAll('[data-slowfolio=compare-table] tbody tr').forEach(
      (row, i) => Object.assign(row.cells[1].dataset, Object.fromEntries(['value', 'low', 'high'].map(
        (name, k) => [name, {ranges}[i][k]]))))"""
    with visit(over_http + "compare.html") as seen:
        page = seen.page
        page.evaluate(change)
        names = page.locator("[data-slowfolio=compare-table] tbody th").all_inner_texts()
        for label, name in zip(("First", "Second", "Third"), names, strict=True):
            page.get_by_label(label).select_option(label=name)
        first, second, third = names
        assert said(page, "time") == f"Soonest: {first}, ahead of {third}; {second} between, a tie with both."
        assert page.locator("section:has(#versus-time) .versus__lead").count() == 1


def test_every_axis_says_where_its_figures_come_from(over_http: str, visit: Open) -> None:
    with visit(over_http + "compare.html?m=boat&m=paper") as seen:
        kinds = seen.page.locator(".versus .section__side .tag").evaluate_all(
            "all => all.map(e => e.className)"
        )
        assert len(kinds) == seen.page.locator(".versus h2").count() > 9
        assert [kind for kind in kinds if "claimed" in kind] == ["tag tag--claimed"]


def test_the_choice_stands_in_the_address(place: str, visit: Open) -> None:
    with visit(place + "compare.html") as seen:
        page = seen.page
        assert not page.locator("[data-slowfolio=versus]").is_visible()
        page.get_by_label("First").select_option(label=BOAT)
        page.get_by_label("Second").select_option(label=BOAT)
        assert not page.locator("[data-slowfolio=versus]").is_visible()
        page.get_by_label("Second").select_option(label=BARE)
        assert page.locator("[data-slowfolio=versus]").is_visible()
        address = page.evaluate("location.href")
        assert address.endswith("compare.html?m=boat&m=bare")
    with visit(address) as seen:
        assert seen.page.get_by_label("Second").input_value() == "bare"
        assert seen.page.locator("[data-slowfolio=versus]").is_visible()
    with visit(place + "compare.html?m=no-such&m=boat") as seen:
        assert not seen.page.locator("[data-slowfolio=versus]").is_visible()
        assert seen.complaints == []


def test_methods_ticked_in_the_finder_are_compared(place: str, visit: Open) -> None:
    with visit(place + "index.html") as seen:
        page = seen.page
        bar = page.locator(".compare-bar")
        page.get_by_label(f"Compare: {BOAT}").check()
        assert not bar.is_visible()
        page.get_by_label(f"Compare: {PAPER}").check()
        assert bar.inner_text() == "Compare these 2 methods"
        bar.get_by_role("link").click()
        page.wait_for_selector("#versus-time")
        chosen = {page.get_by_label(name).input_value() for name in ("First", "Second")}
        assert chosen == {"boat", "paper"}


def test_a_method_page_leads_to_its_comparison(over_http: str, visit: Open) -> None:
    with visit(over_http + "methods/boat.html") as seen:
        seen.page.get_by_role("link", name="Compare with another method").click()
        seen.page.wait_for_selector("form[data-slowfolio=compare]:visible")
        assert seen.page.get_by_label("First").input_value() == "boat"


def test_the_table_of_all_methods_reads_without_javascript(over_http: str, visit: Open) -> None:
    with visit(over_http + "compare.html", java_script_enabled=False) as seen:
        text = seen.page.locator("table").inner_text()
        for words in (BOAT, PAPER, BARE, "13 h 40 min", "58 %"):
            assert words in text
