"""What methods are compared by: a difference counts only beyond the spread, and each cut has its leaders."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

import site_fixture
from slowfolio.provenance import Figure, Provenance
from slowfolio.site.links import Links
from slowfolio.site.method_page import method_page
from slowfolio.site.pages import page_uris
from slowfolio.site.qualities import QUALITIES, Better, clear_of, leads


def figure(value: float, spread: float | None) -> Figure:
    if spread is None:
        return Figure(value, "score", Provenance.COMPUTED)
    return Figure(value, "score", Provenance.COMPUTED, value - spread, value + spread)


@pytest.mark.parametrize(
    ("one", "other", "better", "clear"),
    [
        (figure(80, 5), figure(60, 5), Better.HIGHER, True),
        (figure(80, 12), figure(60, 9), Better.HIGHER, False),
        (figure(80, 10), figure(60, 10), Better.HIGHER, False),  # ranges that touch are a tie
        (figure(60, 5), figure(80, 5), Better.HIGHER, False),
        (figure(60, 5), figure(80, 5), Better.LOWER, True),
        (figure(14, None), figure(10, None), Better.HIGHER, True),
        (figure(14, None), figure(14, None), Better.HIGHER, False),
    ],
)
def test_a_figure_is_clear_of_another_when_their_ranges_do_not_touch(
    one: Figure, other: Figure, better: Better, clear: bool
) -> None:
    assert clear_of(one, other, better) is clear


@given(st.floats(0, 100), st.floats(0, 100), st.floats(0, 30), st.floats(0, 30), st.sampled_from(Better))
def test_two_figures_are_never_each_clear_of_the_other(
    a: float, b: float, spread_a: float, spread_b: float, better: Better
) -> None:
    one, other = figure(a, spread_a), figure(b, spread_b)
    assert not (clear_of(one, other, better) and clear_of(other, one, better))


def test_every_cut_has_the_best_of_its_own_methods_in_front() -> None:
    book, results = site_fixture.book(), site_fixture.results()
    found = {lead.quality.key: lead for lead in leads(book, results)["packer-brisket"]}
    assert set(found) == {quality.key for quality in QUALITIES}
    for key, lead in found.items():
        quality = next(q for q in QUALITIES if q.key == key)
        values = [
            f.value
            for method in book.methods.values()
            if method.id in results and (f := quality.figure(method, results[method.id])) is not None
        ]
        assert lead.figure.value == (min(values) if quality.better is Better.LOWER else max(values))
    assert "turkey-breast" not in leads(book, results), "its only method is withdrawn and has no result"


def alternatives_of(method_id: str, bark: float) -> list[str]:
    book, results = site_fixture.book(), dict(site_fixture.results())
    scores = {**results["bare"].scores, "bark": figure(bark, 4.0)}
    results["bare"] = replace(results["bare"], scores=scores)
    leading = leads(book, results)["packer-brisket"]
    links = Links.to(page_uris(book))
    page = method_page(book, book.methods[method_id], results[method_id], leading, links)
    return [f"{other.words}: {other.link.text}" for other in page.alternatives]


def test_an_alternative_is_offered_only_beyond_the_spread() -> None:
    assert "More bark: Unwrapped brisket" in alternatives_of("boat", 95.0)
    assert "More bark: Unwrapped brisket" not in alternatives_of("boat", 85.0)
    assert "More bark: Unwrapped brisket" not in alternatives_of("bare", 95.0), (
        "it is no alternative to itself"
    )
    assert "Sooner: Brisket in butcher paper with tallow" in alternatives_of("boat", 85.0)
