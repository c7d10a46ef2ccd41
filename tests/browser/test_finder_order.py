"""The finder by what matters most: the order, the reasons, and who may be said to lead.

The figures are made up for the test; what is expected of them is worked out by hand beside each.
"""

from collections.abc import Callable
from typing import Any

import pytest
from conftest import PHONE

pytestmark = pytest.mark.browser

Open = Callable[..., Any]
RANK = """([candidates, matters, among]) => Slowfolio.finderOrder.rank(candidates, matters, among)
  .map(({candidate, reason}) => [candidate.title, reason])"""
BARK = {"key": "bark", "name": "Bark", "most": "most bark", "lower": False, "weight": 1}
TIME = {"key": "time", "name": "Ready after", "most": "soonest", "lower": True, "weight": 1}


def candidate(title: str, **figures: tuple[float, float, float]) -> dict[str, Any]:
    """A method with figures of value, low and high."""
    said = {
        key: {"value": value, "low": low, "high": high, "said": f"{value:g}"}
        for key, (value, low, high) in figures.items()
    }
    return {"title": title, "figures": said}


@pytest.fixture
def rank(from_folder: str, visit: Open) -> Any:
    """Rank candidates in the page, by its own script."""
    with visit(from_folder + "index.html") as seen:

        def ranked(candidates: list[Any], *matters: Any, among: str = "of all") -> list[tuple[str, str]]:
            return [tuple(pair) for pair in seen.page.evaluate(RANK, [candidates, list(matters), among])]

        yield ranked


def test_one_whose_range_is_clear_of_all_others_leads(rank: Any) -> None:
    found = rank(
        [candidate("Low", bark=(40, 35, 45)), candidate("High", bark=(80, 75, 85))],
        BARK,
        among="of those that hold 10 h",
    )
    assert found == [
        ("High", "Most bark of those that hold 10 h (80)"),
        ("Low", "Bark 40, behind 80 for “High”"),
    ]


def test_ranges_that_touch_are_a_tie(rank: Any) -> None:
    found = rank([candidate("A", bark=(70, 60, 75)), candidate("B", bark=(80, 75, 85))], BARK)
    assert found == [
        ("B", "Tied with “A” for most bark of all"),
        ("A", "Tied with “B” for most bark of all"),
    ]
    many = [candidate(name, bark=(80 - i, 70, 90)) for i, name in enumerate("ABCD")]
    assert rank(many, BARK)[0] == ("A", "Tied with “B” and 2 others for most bark of all")


def test_less_is_better_where_it_is(rank: Any) -> None:
    found = rank([candidate("Slow", time=(15, 14, 16)), candidate("Quick", time=(9, 8, 10))], TIME)
    assert found[0] == ("Quick", "Soonest of all (9)")
    assert found[1] == ("Slow", "Ready after 15, behind 9 for “Quick”")


def test_what_matters_most_outweighs_what_matters(rank: Any) -> None:
    """Each leads in one thing from end to end: the heavier one decides."""
    crisp = candidate("Crisp", bark=(90, 88, 92), time=(20, 19, 21))
    quick = candidate("Quick", bark=(40, 38, 42), time=(8, 7, 9))
    assert rank([crisp, quick], BARK | {"weight": 3}, TIME)[0][0] == "Crisp"
    assert rank([crisp, quick], BARK, TIME | {"weight": 3})[0][0] == "Quick"


def test_a_difference_within_the_spread_hardly_counts(rank: Any) -> None:
    """Bark differs by 2 with ranges 40 wide (worth 0.05), time from end to end (worth 1)."""
    crisp = candidate("Crisp", bark=(62, 42, 82), time=(20, 19, 21))
    quick = candidate("Quick", bark=(60, 40, 80), time=(8, 7, 9))
    found = rank([crisp, quick], BARK | {"weight": 3}, TIME)
    assert found[0] == ("Quick", "Soonest (8); tied with “Crisp” for most bark of all")


def test_one_without_figures_comes_last_and_says_so(rank: Any) -> None:
    found = rank([candidate("A"), candidate("B", bark=(50, 40, 60)), candidate("C", bark=(10, 5, 15))], BARK)
    assert [title for title, _ in found] == ["B", "C", "A"]
    assert found[2][1] == "Bark not computed"


def test_by_name_and_without_a_word_where_nothing_matters(rank: Any) -> None:
    pair = [candidate("B", bark=(90, 85, 95)), candidate("A", bark=(10, 5, 15))]
    assert rank(pair, BARK | {"weight": 0}) == [("A", ""), ("B", "")]
    assert rank(pair[:1], BARK) == [("B", "")]


def test_the_order_goes_with_the_facets_and_stands_in_the_address(from_folder: str, visit: Open) -> None:
    """Fixture: boat, paper and bare have bark 78, 80 and 73, each 7 either way: all tied."""
    with visit(from_folder + "index.html") as seen:
        page = seen.page
        assert page.locator(".entry__reason:visible").count() == 0
        page.locator(".finder__weights > summary").click()
        page.get_by_label("Bark").select_option(label="Matters most")
        page.get_by_label("Holds at least").select_option(label="4 h")
        address = page.evaluate("location.href")
        shown = page.locator(".entry:visible h2").all_inner_texts()
        reason = page.locator(".entry__reason:visible").first.inner_text()
        assert shown == ["Brisket in butcher paper with tallow", "Packer brisket in a foil boat, humid hold"]
        assert reason.endswith("for most bark of those that hold 4 h")
        assert reason.startswith("Tied with “Packer brisket in a foil boat")
        assert page.locator("[data-slowfolio=matters]").inner_text() == "Bark"
    with visit(address, size=PHONE) as seen:
        assert seen.page.locator(".entry:visible h2").all_inner_texts() == shown
        assert seen.page.get_by_label("Bark").input_value() == "3"


FIVE_HUNDRED = """() => {
  const list = document.querySelector(".entries");
  const originals = [...list.children];
  for (let i = 0; list.children.length < 500; i += 1) {
    const copy = originals[i % originals.length].cloneNode(true);
    copy.dataset.bark = `${(i * 37) % 100} ${(i * 37) % 100 - 1} ${(i * 37) % 100 + 1} ${(i * 37) % 100}`;
    list.append(copy);
  }
  return document.documentElement.outerHTML;
}"""
COUNT_CHANGES = """() => new Promise(done => {
  let changes = 0;
  const watch = new MutationObserver(seen => {
    for (const one of seen) changes += one.addedNodes.length + one.removedNodes.length;
  });
  watch.observe(document.querySelector(".entries"), {childList: true});
  const bark = document.querySelector("#finder-bark");
  bark.value = "3";
  bark.dispatchEvent(new Event("input", {bubbles: true}));
  setTimeout(() => done(changes), 50);
})"""


def test_five_hundred_methods_are_moved_once_each(from_folder: str, visit: Open, site_folder: Any) -> None:
    """Work on the page grows with the number of methods, not with its square."""
    with visit(from_folder + "index.html", java_script_enabled=True) as seen:
        html = seen.page.evaluate(FIVE_HUNDRED)
    many = site_folder / "five-hundred.html"
    many.write_text(html, encoding="utf-8")
    try:
        with visit(many.as_uri()) as seen:
            assert seen.page.locator(".entry").count() == 500
            assert seen.page.evaluate(COUNT_CHANGES) <= 2 * 500
            values = seen.page.locator(".entry:visible").evaluate_all(
                "all => all.map(e => Number((e.dataset.bark || '-1').split(' ')[0]))"
            )
            assert values == sorted(values, reverse=True)
            assert len(values) > 300
    finally:
        many.unlink()
