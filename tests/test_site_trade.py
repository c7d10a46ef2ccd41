"""The trade's expectations beside computed figures: what lies inside, what misses and by how much."""

import re
from dataclasses import replace

import pytest

import hold_fixture
import site_fixture
from slowfolio.provenance import Figure, Provenance
from slowfolio.site.links import Links
from slowfolio.site.pages import page_uris
from slowfolio.site.render import render
from slowfolio.site.trade_table import Standing, TradePage, TradeRange, standing_of, trade_page, trade_ranges
from slowfolio.units import Range

HOUR_S = 3600.0


def hours(value: float, low: float, high: float) -> Figure:
    return Figure(value * HOUR_S, "duration", Provenance.COMPUTED, low * HOUR_S, high * HOUR_S, "a test")


@pytest.mark.parametrize(
    ("figure", "standing"),
    [
        (hours(11, 9, 14), Standing.INSIDE),
        (hours(9, 8, 10.5), Standing.TOUCHES),
        (hours(9, 8, 9.9), Standing.MISSED),
        (hours(13, 12.1, 14), Standing.MISSED),
        (Figure(11 * HOUR_S, "duration", Provenance.COMPUTED), Standing.INSIDE),
        (Figure(9 * HOUR_S, "duration", Provenance.COMPUTED), Standing.MISSED),
    ],
)
def test_the_middle_decides_and_the_spread_only_softens_the_word(figure: Figure, standing: Standing) -> None:
    """Against ten to twelve hours, worked out by hand."""
    assert standing_of(figure, Range(10 * HOUR_S, 12 * HOUR_S)) is standing


def page_with(ranges: dict[str, TradeRange], monkeypatch: pytest.MonkeyPatch) -> TradePage:
    monkeypatch.setattr("slowfolio.site.trade_table.trade_ranges", lambda: ranges)
    book = hold_fixture.book()
    links = Links.to(page_uris(book))
    return trade_page(book, site_fixture.results(), hold_fixture.holds(), links)


def test_a_miss_is_called_a_miss_with_its_distance(monkeypatch: pytest.MonkeyPatch) -> None:
    result = site_fixture.results()["boat"]
    pull_h, share = result.pull.value / HOUR_S, result.yield_fraction.value
    expected = TradeRange(
        cut=hold_fixture.book().methods["boat"].cut,
        pull_s=Range((pull_h + 40) * HOUR_S, (pull_h + 50) * HOUR_S),
        yield_fraction=Range(share - 0.2, share - 0.1),
        hold_loss=Range(0.0, 1.0),
    )
    page = page_with({"boat": expected}, monkeypatch)
    rows = {row.name: row for group in page.groups for method in group.methods for row in method.rows}
    assert rows["Start to pull"].standing is Standing.MISSED
    assert rows["Start to pull"].miss.us == "40 h sooner"
    assert rows["Yield"].miss.us == "10.0 points more"
    assert rows["Lost in the hold"].standing is Standing.INSIDE
    assert dict(page.counts)[Standing.INSIDE] == 1
    html = render("trade.html", page)
    assert re.search(r"<strong>Missed:</strong>\s*40 h sooner", html)


def test_a_method_of_that_name_on_another_cut_has_no_expectation(monkeypatch: pytest.MonkeyPatch) -> None:
    expected = replace(trade_ranges()["unwrapped"], cut="another-cut")
    page = page_with({"boat": expected}, monkeypatch)
    assert page.groups == ()
    assert hold_fixture.book().methods["boat"].title in page.unknown
    assert "Nothing to compare" in render("trade.html", page)


def test_every_expectation_is_a_range_that_a_cook_could_meet() -> None:
    for name, expected in trade_ranges().items():
        assert 0 < expected.pull_s.low < expected.pull_s.high <= 24 * HOUR_S, name
        assert 0.4 <= expected.yield_fraction.low < expected.yield_fraction.high <= 0.9, name
        if expected.hold_loss is not None:
            assert 0 <= expected.hold_loss.low < expected.hold_loss.high <= 0.08, name
