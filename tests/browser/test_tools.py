"""What a reader does on a page: search, change units, narrow the list, print, and work by keyboard alone."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from conftest import PHONE, TABLET, wait_until

pytestmark = pytest.mark.browser


@pytest.fixture(params=["http", "folder"])
def place(request: pytest.FixtureRequest, over_http: str, from_folder: str) -> str:
    """The site over a server and straight from its folder."""
    return over_http if request.param == "http" else from_folder


def search(page: Any, words: str) -> list[str]:
    """Open the search with its button, type, and give the titles found."""
    page.get_by_role("button", name="Search", exact=True).click()
    field = page.locator(".md-search__input")
    wait_until(page, "document.activeElement === document.querySelector('.md-search__input')")
    page.wait_for_timeout(300)  # the theme sets its worker up when the field takes focus
    field.press_sequentially(words, delay=20)
    page.wait_for_selector(".md-search-result__item, .md-search-result__meta:has-text('No matching')")
    page.wait_for_timeout(200)
    return [title.strip() for title in page.locator(".md-search-result__article h1").all_text_contents()]


@pytest.mark.parametrize("size", [TABLET, PHONE], ids=["tablet", "phone"])
def test_search_finds_tallow_and_opens_its_page(
    place: str, visit: Callable[..., Any], size: tuple[int, int]
) -> None:
    with visit(place + "index.html", size=size) as seen:
        titles = search(seen.page, "tallow")
        assert titles[0] == "Brisket in butcher paper with tallow"
        seen.page.locator(".md-search-result__link").first.click()
        seen.page.wait_for_selector("h1:has-text('Brisket in butcher paper with tallow')")
        assert "methods/paper.html" in seen.page.url
        assert seen.complaints == []


@pytest.mark.parametrize(
    ("words", "title"),
    [
        ("boat brisket", "Packer brisket in a foil boat, humid hold"),  # another name of it
        ("stall", "Glossary"),
        ("stick burner", "Offset stick-burner"),
        ("mustard", "Packer brisket in a foil boat, humid hold"),  # an ingredient
    ],
)
def test_search_leads_to_the_page_meant(
    over_http: str, visit: Callable[..., Any], words: str, title: str
) -> None:
    with visit(over_http + "cuts/packer-brisket.html") as seen:
        assert title in search(seen.page, words)[:3]


def test_search_does_not_look_into_charts(over_http: str, visit: Callable[..., Any]) -> None:
    """Charts say "hours on" along their foot; no other text of the book does."""
    with visit(over_http + "index.html") as seen:
        search(seen.page, '"hours on"')
        assert seen.page.locator(".md-search-result__item").count() == 0


def visible(page: Any, selector: str) -> list[str]:
    return [text for text in page.locator(selector).all_inner_texts() if text]


def test_units_change_without_a_reload_and_are_remembered(place: str, visit: Callable[..., Any]) -> None:
    with visit(place + "methods/boat.html") as seen:
        page = seen.page
        page.evaluate("document.querySelector('#step-1').scrollIntoView()")  # far below, it is not laid out
        wait_until(page, "document.querySelector('#step-1 + dl').innerText.includes('250 °F')")
        asked = len(seen.requests)
        page.get_by_role("button", name="°F: US units").click()
        assert "121 °C" in page.locator("#step-1 + dl").inner_text()
        assert "250 °F" not in page.locator("#step-1 + dl").inner_text()
        assert len(seen.requests) == asked
        ticks = page.locator(".timeline--wide .chart__tick:visible").all_text_contents()
        assert "°C" in ticks
        assert "°F" not in ticks
        page.goto(place + "pits/offset.html")
        assert "93–163 °C" in page.locator(".pairs").first.inner_text()
        page.get_by_role("button", name="°C: metric units").click()
        assert "199–325 °F" in page.locator(".pairs").first.inner_text()


def test_a_page_reads_in_full_without_javascript(over_http: str, visit: Callable[..., Any]) -> None:
    with visit(over_http + "methods/boat.html", java_script_enabled=False) as seen:
        text = seen.page.locator("article").inner_text()
        for words in (
            "250 °F",
            "A probe slides in like into soft butter",
            "Hot fat pools",
            "12 h 30 min",
            "mustard",
        ):
            assert words in text
        assert "121 °C" not in text
        assert not seen.page.locator("[data-slowfolio=units]").is_visible()
    with visit(over_http + "index.html", java_script_enabled=False) as seen:
        assert seen.page.locator(".entry").count() == 4
        assert not seen.page.locator("form.finder").is_visible()


def titles(page: Any) -> list[str]:
    return visible(page, ".entry:visible h2")


def test_the_finder_narrows_orders_and_counts(place: str, visit: Callable[..., Any]) -> None:
    with visit(place + "index.html") as seen:
        page = seen.page
        assert len(titles(page)) == 3  # the withdrawn one is shown to those who ask
        page.get_by_label("Wrap", exact=True).select_option(label="Foil boat")
        assert titles(page) == ["Packer brisket in a foil boat, humid hold"]
        assert page.locator("#finder-count").inner_text() == "1 of 3 methods"
        page.get_by_role("button", name="Show all").click()
        page.locator(".finder__weights > summary").click()
        page.get_by_label("Short time").select_option(label="Matters most")
        assert titles(page)[0] == "Brisket in butcher paper with tallow"
        page.get_by_role("button", name="Show all").click()
        page.get_by_label("Words in the method").fill("oak TALLOW")
        assert titles(page) == ["Brisket in butcher paper with tallow"]
        page.get_by_label("Words in the method").fill("nothing like this")
        assert titles(page) == []
        assert page.locator("#finder-none").is_visible()
        page.get_by_role("button", name="show all methods").click()
        page.wait_for_selector("#finder-none", state="hidden")
        assert len(titles(page)) == 3
        page.get_by_label("Standing").select_option(label="Withdrawn")
        assert titles(page) == ["Turkey breast, old way"]
        assert seen.complaints == []


def test_the_finder_keeps_its_state_in_the_address(place: str, visit: Callable[..., Any]) -> None:
    with visit(place + "index.html") as seen:
        seen.page.get_by_label("Holder").select_option(label="No hold")
        seen.page.get_by_label("Words in the method").fill("brisket")
        address = seen.page.evaluate("location.href")
        assert "holder=none" in address
        assert "text=brisket" in address
    with visit(address) as seen:
        assert titles(seen.page) == ["Unwrapped brisket"]
    with visit(place + "index.html?wrap=no-such-wrap&bark=3") as seen:
        assert len(titles(seen.page)) == 3
        assert seen.page.get_by_label("Bark").input_value() == "3"


def test_the_finder_leaves_out_what_no_core_reaches_at_a_height(
    over_http: str, visit: Callable[..., Any]
) -> None:
    """At 2500 m water boils at 91.6 °C, below the 92 °C that two of the three are probed from."""
    with visit(over_http + "index.html?altitude=2500") as seen:
        seen.page.wait_for_selector("form.finder:visible")
        assert seen.page.locator("#finder-altitude").input_value() == "2500"
        titles = seen.page.locator(".entry:visible h2").all_inner_texts()
        assert titles == ["Unwrapped brisket"]
        seen.page.locator("#finder-altitude").select_option("")
        assert seen.page.locator(".entry:visible").count() == 3


def test_the_finder_leaves_out_what_takes_too_long(over_http: str, visit: Callable[..., Any]) -> None:
    with visit(over_http + "index.html?hours=18") as seen:
        assert titles(seen.page) == ["Brisket in butcher paper with tallow", "Unwrapped brisket"]


def test_light_and_dark_follow_the_device_until_chosen(over_http: str, visit: Callable[..., Any]) -> None:
    ground = "getComputedStyle(document.body).backgroundColor"
    with visit(over_http + "glossary.html", scheme="dark") as seen:
        dark = seen.page.evaluate(ground)
        seen.page.get_by_role("button", name="Dark page").click()
        light = seen.page.evaluate(ground)
        assert light != dark
        seen.page.reload()
        assert seen.page.evaluate(ground) == light


@pytest.mark.parametrize("page", ["index.html", "methods/boat.html", "holding.html", "at-the-pit/boat.html"])
def test_nothing_moves_for_those_who_asked_for_no_motion(
    over_http: str, visit: Callable[..., Any], page: str
) -> None:
    """WCAG 2.3.3 by the device's own setting; the same measure finds motion where nothing was asked."""
    moving = """() => [...document.querySelectorAll('body, body *')].filter(element => {
      const style = getComputedStyle(element);
      const longest = [...style.transitionDuration.split(','), ...style.animationDuration.split(',')]
        .reduce((most, text) => Math.max(most, parseFloat(text) * (text.includes('ms') ? 1 : 1000)), 0);
      return longest > 10 || style.scrollBehavior === 'smooth';
    }).length"""
    with visit(over_http + page, reduced_motion="reduce") as seen:
        assert seen.page.evaluate(moving) == 0
    with visit(over_http + page) as seen:
        assert seen.page.evaluate(moving) > 0


def test_everything_is_reached_by_keyboard(over_http: str, visit: Callable[..., Any]) -> None:
    focused = "document.activeElement.getAttribute('aria-label') || document.activeElement.textContent.trim()"
    with visit(over_http + "methods/boat.html") as seen:
        page = seen.page
        page.keyboard.press("Tab")
        assert page.evaluate(focused) == "Skip to content"
        passed = []
        places = visible(page, ".masthead__nav :is(a, button):visible")
        for _ in range(len(places) + 6):
            page.keyboard.press("Tab")
            passed.append(page.evaluate(focused))
        assert passed[0] == "Alder Street house book"
        assert places[-1] == "More"
        assert places[:2] == ["Methods", "Compare"]
        assert passed[1 : len(places) + 1] == places
        assert "Search" in passed[len(places) + 1 :]
        page.get_by_role("button", name="Search", exact=True).focus()
        page.keyboard.press("Enter")
        wait_until(page, "document.activeElement.matches('.md-search__input')")
        page.keyboard.press("Escape")
        wait_until(page, "!document.querySelector('#__search').checked")
        wait_until(page, "document.activeElement.matches('button[data-slowfolio=search]')")


def test_more_places_open_at_a_key_and_close_when_one_moves_on(place: str, visit: Callable[..., Any]) -> None:
    with visit(place + "methods/boat.html") as seen:
        page = seen.page
        more = page.get_by_role("button", name="More", exact=True)
        link = page.locator(".masthead__group").get_by_role("link", name="Glossary")
        assert not link.is_visible()
        more.focus()
        page.keyboard.press("Enter")
        assert link.is_visible()
        page.keyboard.press("Escape")
        assert not link.is_visible()
        assert page.evaluate("document.activeElement.textContent") == "More"
        page.keyboard.press("Space")
        for _ in range(len(page.locator(".masthead__group a").all()) + 1):
            page.keyboard.press("Tab")
        assert not link.is_visible()
        more.click()
        page.locator("h1").click()
        assert not link.is_visible()
        more.click()
        link.click()
        page.wait_for_selector("h1:has-text('Glossary')")
        assert "masthead__more--here" in (more.get_attribute("class") or "")
        assert seen.complaints == []


@pytest.mark.parametrize("size", [TABLET, PHONE], ids=["tablet", "phone"])
def test_every_place_is_in_the_masthead_without_javascript(
    over_http: str, visit: Callable[..., Any], size: tuple[int, int]
) -> None:
    with visit(over_http + "index.html", size=size, java_script_enabled=False) as seen:
        assert all(link.is_visible() for link in seen.page.locator(".masthead__nav a").all())
        assert not seen.page.locator(".masthead__more").is_visible()


@pytest.mark.parametrize("size", [(590, 410), (320, 640)], ids=["200 per cent zoom", "320 px wide"])
def test_the_menu_of_a_small_screen_can_be_scrolled_to_its_end(
    over_http: str, visit: Callable[..., Any], size: tuple[int, int]
) -> None:
    """The masthead stays in place, so a menu longer than the screen has to scroll by itself."""
    with visit(over_http + "index.html", size=size) as seen:
        seen.page.get_by_role("button", name="Menu").click()
        last = seen.page.locator(".masthead__nav a").last
        last.scroll_into_view_if_needed()
        box = last.bounding_box()
        assert box is not None
        assert box["y"] + box["height"] <= size[1] + 1


def test_focus_is_always_visible(over_http: str, visit: Callable[..., Any]) -> None:
    with visit(over_http + "index.html") as seen:
        for _ in range(14):
            seen.page.keyboard.press("Tab")
            style = seen.page.evaluate(
                "(e => [getComputedStyle(e).outlineStyle, e.className])(document.activeElement)"
            )
            assert style[0] != "none" or "md-skip" in style[1], style


def test_the_menu_of_a_phone_opens_and_closes(over_http: str, visit: Callable[..., Any]) -> None:
    with visit(over_http + "index.html", size=PHONE) as seen:
        page = seen.page
        link = page.locator(".masthead__nav").get_by_role("link", name="Glossary")
        assert not link.is_visible()
        page.get_by_role("button", name="Menu").click()
        assert link.is_visible()
        page.keyboard.press("Escape")
        assert not link.is_visible()
        page.get_by_role("button", name="Menu").click()
        link.click()
        page.wait_for_selector("h1:has-text('Glossary')")


def test_a_method_prints_without_tools(over_http: str, visit: Callable[..., Any], tmp_path: Path) -> None:
    with visit(over_http + "methods/boat.html", scheme="dark") as seen:
        seen.page.emulate_media(media="print")
        for tool in (".masthead__tools", ".masthead__nav", ".jump", ".md-search"):
            assert not seen.page.locator(tool).first.is_visible()
        assert seen.page.locator(".timeline--wide").is_visible()
        assert seen.page.evaluate("getComputedStyle(document.body).color") == "rgb(0, 0, 0)"
        printed = tmp_path / "method.pdf"
        seen.page.pdf(path=printed, format="A4")
        assert printed.read_bytes().startswith(b"%PDF")


def test_a_mark_beside_a_figure_leads_to_its_source(over_http: str, visit: Callable[..., Any]) -> None:
    with visit(over_http + "methods/boat.html") as seen:
        mark = seen.page.locator(".glance .tag--computed").first
        assert mark.get_attribute("title") == "fixture engine 0"
        mark.click()
        note = seen.page.locator("li:target")
        assert "fixture engine 0" in note.inner_text()


def test_going_back_from_a_method_keeps_the_narrowed_list(over_http: str, visit: Callable[..., Any]) -> None:
    with visit(over_http + "index.html") as seen:
        seen.page.get_by_label("Wrap", exact=True).select_option(label="Foil boat")
        seen.page.get_by_role("link", name="Packer brisket in a foil boat, humid hold").click()
        seen.page.wait_for_selector("ol.steps")
        seen.page.go_back()
        seen.page.wait_for_selector("form.finder:visible")
        assert titles(seen.page) == ["Packer brisket in a foil boat, humid hold"]
