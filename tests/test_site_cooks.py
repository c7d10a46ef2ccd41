"""Recorded cooks on the site: measured beside computed, marked as invented, true to the results."""

import re
from collections.abc import Mapping
from pathlib import Path
from xml.etree import ElementTree

import pytest

import recorded_fixture
import site_fixture
from book_cases import check, copy_good_book, with_cook
from slowfolio.book.model import Book
from slowfolio.enrich.cache import Cache
from slowfolio.enrich.cooks import cook_findings, enrich_cooks
from slowfolio.site.charts.cook_course import cook_course, lines
from slowfolio.site.charts.svg import Scale
from slowfolio.site.charts.timeline import NARROW, WIDE
from slowfolio.site.pages import BuildInfo, build_pages, page_uris

BUILD = BuildInfo("0.0.test")


@pytest.fixture(scope="module")
def book() -> Book:
    return recorded_fixture.with_cooks(site_fixture.book())


@pytest.fixture(scope="module")
def pages(book: Book) -> Mapping[str, str]:
    made = build_pages(book, site_fixture.results(), BUILD, cooks=recorded_fixture.results())
    return {page.uri: page.html for page in made}


def text_of(html: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", html).split())


def test_every_cook_has_a_page_and_a_row_in_the_list_and_on_its_method(
    book: Book, pages: Mapping[str, str]
) -> None:
    assert {f"cooks/{name}.md" for name in book.cooks} <= set(pages) == set(page_uris(book)) & set(pages)
    for name, cook in book.cooks.items():
        assert f"cooks/{name}.html" in pages["cooks.md"]
        assert f"../cooks/{name}.html" in pages[f"methods/{cook.method}.md"]
    assert "cooks-recorded" not in pages["methods/bare.md"]


def test_a_cook_shows_measured_beside_computed_with_the_window_and_both_marks(
    pages: Mapping[str, str],
) -> None:
    html = pages[f"cooks/{recorded_fixture.HOT}.md"]
    text = text_of(html)
    assert "Off the pit 11 h 12 min 12 h 24 min 11 h 36 min – 13 h 24 min sooner" in text
    assert "Yield 58 % 59 % 55 % – 62 % inside" in text
    assert "tag--measured" in html
    assert "tag--computed" in html
    assert "The pit ran hotter than its dial" in text
    assert "82 %" in text
    assert "3 of 4 lie where 8 cooks in 10 should" in text


def test_invented_data_is_marked_wherever_a_cook_stands(pages: Mapping[str, str]) -> None:
    for uri in (f"cooks/{recorded_fixture.HOT}.md", "cooks.md", "methods/boat.md"):
        assert "Invented data" in pages[uri], uri
    assert "(invented)" in pages["methods/boat.md"]


def test_a_cook_that_went_as_forecast_needs_no_explanation(pages: Mapping[str, str]) -> None:
    text = text_of(pages[f"cooks/{recorded_fixture.PLAIN}.md"])
    assert "The course went as forecast" in text
    assert "That is" not in text


def test_a_log_that_could_not_be_compared_shows_what_was_measured_and_says_why(
    pages: Mapping[str, str],
) -> None:
    html = pages[f"cooks/{recorded_fixture.LOOSE}.md"]
    assert "Not compared with the forecast" in html
    assert "does not say when the piece came off" in html
    assert "<svg" in html
    assert "beside-the-forecast" not in html


def test_text_from_cards_is_escaped(pages: Mapping[str, str]) -> None:
    assert "&amp; &lt;more&gt;" in pages[f"cooks/{recorded_fixture.HOT}.md"]
    assert not any("<more>" in html for html in pages.values())


def test_the_measured_cores_lie_over_the_timeline_of_the_method(pages: Mapping[str, str]) -> None:
    found = re.findall(r'<polyline points="([^"]+)" class="timeline__measured"/>', pages["methods/boat.md"])
    assert len(found) == 2 * 2  # two cooks, wide and narrow
    assert all(30 <= len(points.split()) <= 80 for points in found)
    assert "timeline__measured" not in pages["methods/bare.md"]


@pytest.mark.parametrize("frame", [WIDE, NARROW], ids=["wide", "narrow"])
def test_the_chart_of_a_cook_is_one_described_picture_within_its_frame(frame: object) -> None:
    found = recorded_fixture.results()[recorded_fixture.HOT]
    events = recorded_fixture.with_cooks(site_fixture.book()).cooks[recorded_fixture.HOT].events
    svg = cook_course(found.course, found.forecast, events, title="A", finding="B", frame=frame)  # type: ignore[arg-type]
    root = ElementTree.fromstring(svg)
    assert root.get("role") == "img"
    _, _, width, height = (float(part) for part in str(root.get("viewBox")).split())
    for points in re.findall(r'points="([^"]+)"', svg):
        for pair in points.split():
            x, y = (float(part) for part in pair.split(","))
            assert -1 <= x <= width + 1
            assert -1 <= y <= height + 1


def test_a_line_breaks_where_nothing_was_read() -> None:
    scale = Scale(0.0, 4.0, 0.0, 4.0)
    drawn = lines(
        [0.0, 1.0, 2.0, 3.0, 4.0], [1.0, 1.0, None, 2.0, 2.0], scale, Scale(0.0, 3.0, 3.0, 0.0), "x"
    )
    assert len(drawn) == 2


def test_a_recorded_cook_is_compared_once_and_then_taken_from_the_cache(tmp_path: Path) -> None:
    root = with_cook(copy_good_book(tmp_path))
    read = check(root)
    assert read.book is not None
    cache = Cache(tmp_path / "cache")
    first = enrich_cooks(read.book, cache, members=8)
    assert first.findings == ()
    found = first.results["saturday-one"]
    assert found.measured_yield == pytest.approx(133 / 210, abs=0.001)  # 8 lb 5 oz of 13 lb 2 oz
    assert {window.what for window in found.windows} >= {"off the pit", "core off the pit", "yield"}
    (root / "cooks" / "saturday-one.csv").unlink()  # what is kept needs no log
    assert enrich_cooks(read.book, cache, members=8).results == first.results


def test_a_log_that_is_not_as_its_card_says_is_a_finding_at_the_recipe(tmp_path: Path) -> None:
    root = with_cook(copy_good_book(tmp_path))
    path = root / "cooks" / "saturday-one.yaml"
    path.write_text(path.read_text("utf-8").replace("thick: Probe 1", "thick: Probe 9"), "utf-8")
    read = check(root)
    assert read.book is not None
    (finding,) = cook_findings(read.book)
    assert finding.code == "cook-log-unreadable"
    assert 'no column "Probe 9"' in finding.message
    assert finding.file == "cooks/saturday-one.yaml"
    assert enrich_cooks(read.book, Cache(tmp_path / "cache"), members=8).findings == (finding,)
