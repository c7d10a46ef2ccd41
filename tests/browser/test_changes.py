"""The page What changed in a real browser: it sums up changes, leads to their feed, and fits every screen."""

from collections.abc import Callable
from typing import Any

import pytest
from conftest import PHONE, TABLET

from atom_rules import atom_faults

pytestmark = pytest.mark.browser

Open = Callable[..., Any]
PAGE = "changes.html"
WIDE = "document.documentElement.scrollWidth - innerWidth"
FETCH = "address => fetch(address).then(answer => answer.text())"
PLACES = """text => [...new DOMParser().parseFromString(text, 'application/xml')
  .querySelectorAll('entry > link')]
  .map(link => link.getAttribute('href').split('#')[1]).filter(id => document.getElementById(id))"""


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", [TABLET, PHONE], ids=["tablet", "phone"])
def test_a_change_is_summed_up_with_its_computed_difference(
    over_http: str, visit: Open, size: tuple[int, int], scheme: str
) -> None:
    with visit(over_http + PAGE, size=size, scheme=scheme) as seen:
        known, waiting, first = (each.inner_text() for each in seen.page.locator("article.change").all())
        assert "finish sooner (−2 h 30 min)" in known
        assert "stages[1].pit_temperature: 250 °F → 275 °F" in known
        assert "slowfolio diff" not in known
        assert "<script>alert(1)</script> & a boat" in waiting
        assert "slowfolio diff 0000000000 bbbbbbbbbb" in waiting
        assert "as it was first recorded" in first
        assert "overdue by" in seen.page.locator("section", has_text="Reviews due").first.inner_text()
        assert "git fetch --unshallow" in seen.page.locator("article, main").first.inner_text()
        assert seen.page.evaluate(WIDE) <= 0
        assert seen.complaints == []


def test_its_feed_is_a_valid_one_and_every_entry_leads_to_its_change(over_http: str, visit: Open) -> None:
    with visit(over_http + PAGE) as seen:
        link = seen.page.locator("a[type='application/atom+xml']")
        text = seen.page.evaluate(FETCH, link.evaluate("link => link.href"))
        assert atom_faults(text) == []
        assert len(seen.page.evaluate(PLACES, text)) == seen.page.locator("article.change").count() == 3
