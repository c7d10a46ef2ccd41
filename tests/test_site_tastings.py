"""The pages of tastings and the evidence on method pages: words, figures, plots, raw sheets, tables."""

import json
import re
from dataclasses import replace
from html import unescape

import pytest

import site_fixture
import tasting_fixture
from slowfolio.site.charts.dots import dot_strip, points_rule, share_rule
from slowfolio.site.pages import BuildInfo, build_pages
from slowfolio.site.shown import Notes
from slowfolio.site.tasting_answers import plots
from slowfolio.site.tasting_data import data_file, form_record, size_rows
from slowfolio.site.value import PageSpec
from slowfolio.tasting.procedure import Procedure
from slowfolio.tasting.question import CarryOver, Question, choose
from slowfolio.tasting.tables import FILE, computed_row, kept_rows, rows_asked

SCORED = "tastings/boat-or-foil-scored.md"
TRIANGLE = "tastings/boat-or-paper-triangle.md"


@pytest.fixture(scope="module")
def pages() -> dict[str, PageSpec]:
    book = tasting_fixture.with_tastings(site_fixture.book())
    made = build_pages(book, {}, BuildInfo("0.0.test"), tastings=tasting_fixture.results())
    return {page.uri: page for page in made}


def words(html: str) -> str:
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", html)).split())


def section(page: PageSpec, anchor: str) -> str:
    """The HTML of the section with this heading."""
    found = re.search(rf'<h2 id="{anchor}">.*?(?=<h2 |\Z)', page.html, re.DOTALL)
    assert found is not None, anchor
    return found.group()


def test_a_tasting_says_what_was_found_with_interval_and_grade(pages: dict[str, PageSpec]) -> None:
    text = words(pages[SCORED].html)
    for answer in tasting_fixture.results()["boat-or-foil-scored"].answers:
        assert answer.found[1:] in text
    assert "Grade of the evidence: repeated and powered ." in text
    assert "Invented data" in text


def test_an_open_question_says_what_would_settle_it(pages: dict[str, PageSpec]) -> None:
    text = words(pages[TRIANGLE].html)
    assert "Not settled." in text
    assert "12 tasters cannot settle whether 40 % of eaters can tell" in text
    assert "30 would" in text


def test_every_sheet_is_in_the_raw_table_as_it_stands_on_the_card(pages: dict[str, PageSpec]) -> None:
    card = tasting_fixture.tastings()["boat-or-paper-triangle"]
    table = section(pages[TRIANGLE], "sheets")
    rows = [words(row) for row in re.findall(r"<tr>(.*?)</tr>", table, re.DOTALL)][1:]
    assert len(rows) == len(card.sheets) == 12
    for row, plate, sheet in zip(rows, card.plates, card.sheets, strict=True):
        served = ", ".join(f"{code} {name}" for code, name in zip(plate.codes, plate.order, strict=True))
        assert row.startswith(f"{plate.taster} {served} {sheet.chose} ")


def test_a_tasting_not_held_shows_its_plan_and_no_verdict(pages: dict[str, PageSpec]) -> None:
    page = pages["tastings/planned.md"]
    text = words(page.html)
    assert "Not held yet." in text
    assert "What it found" not in text
    assert text.count("no sheet") == 12
    assert "Invented data" not in text


def test_a_method_shows_its_evidence_with_a_link_settled_first(pages: dict[str, PageSpec]) -> None:
    evidence = section(pages["methods/boat.md"], "evidence")
    assert "Strongest: repeated and powered." in evidence
    assert 'href="../tastings/boat-or-foil-scored.html"' in evidence
    said = re.findall(r'settled--[a-z-]+">([^<]+)</strong>', evidence)
    assert said == sorted(said, key=lambda word: word == "Not settled.")
    assert "Not settled." in said


def test_a_method_nobody_tasted_has_no_evidence() -> None:
    made = build_pages(site_fixture.book(), {}, BuildInfo("0.0.test"))
    assert all('id="evidence"' not in page.html for page in made)
    index = next(page for page in made if page.uri == "tastings.md")
    assert "No tasting is on record" in index.html


def test_the_index_lists_every_tasting_newest_first(pages: dict[str, PageSpec]) -> None:
    listed = re.findall(r'cards__name" href="tastings/([a-z-]+).html"', pages["tastings.md"].html)
    cards = tasting_fixture.with_tastings(site_fixture.book()).tastings
    assert sorted(listed) == sorted(cards)
    days = [cards[name].date for name in listed]
    assert days == sorted(days, reverse=True)


def test_text_of_a_card_never_becomes_markup() -> None:
    book = tasting_fixture.with_tastings(site_fixture.book())
    card = tasting_fixture.tastings()["boat-or-paper-triangle"]
    hostile = "<img src=x onerror=alert(1)>"
    product = replace(card.products[0], place=hostile)
    spoilt = replace(
        card, title=hostile, why=hostile, notes=(hostile,), products=(product, *card.products[1:])
    )
    made = build_pages(replace(book, tastings={card.id: spoilt}), {}, BuildInfo("0.0.test"))
    assert all("<img src=x" not in page.html for page in made)


# --- plots --------------------------------------------------------------------------------------------


def places(strip: str, cls: str) -> list[tuple[float, float]]:
    found = re.findall(rf'<line x1="([\d.]+)" y1="[\d.]+" x2="([\d.]+)" y2="[\d.]+" class="{cls}"', strip)
    return [(float(a), float(b)) for a, b in found]


def test_a_dot_stands_at_its_value_and_its_bar_from_end_to_end() -> None:
    strip = dot_strip(share_rule(0.5), 0.6, 0.4, 0.75)
    assert places(strip, "dots__dot") == [(60.0, 60.0)]
    assert places(strip, "dots__interval") == [(40.0, 75.0), (40.0, 40.0), (75.0, 75.0)]
    assert places(strip, "dots__neutral") == [(50.0, 50.0)]


def test_an_open_end_runs_to_the_edge_without_a_cap() -> None:
    strip = dot_strip(points_rule([-1.0, 3.2]), 1.0, None, 3.2)
    assert places(strip, "dots__interval") == [(0.0, 90.0), (90.0, 90.0)]


def test_a_rule_of_points_holds_every_interval_and_what_was_looked_for() -> None:
    rule = points_rule([-0.4, 4.2], 1.0)
    assert (rule.low, rule.high, rule.ticks) == (-6.0, 6.0, ("−6", "−3", "0", "+3", "+6"))
    assert rule.band == (-1.0, 1.0)


# --- the form's tables --------------------------------------------------------------------------------


def test_the_kept_tables_are_those_the_functions_give() -> None:
    """A row of each test; the functions themselves are checked against published tables elsewhere."""
    rows = kept_rows()
    assert set(rows) == {asked.key for asked in rows_asked()}
    seen: set[Procedure] = set()
    for asked in rows_asked():
        if asked.procedure in seen or asked.products > 3 or asked.difference not in (0.4, 0.7, 1.0, 1.5):
            continue
        seen.add(asked.procedure)
        row, kept = computed_row(asked, most=24), rows[asked.key]
        assert kept["power"][:24] == list(row.power), asked.key
        assert (kept["needed"], kept["advised"]) == (list(row.needed), list(row.advised)), asked.key
    assert seen == set(Procedure)
    assert FILE.stat().st_size < 150_000


def test_the_published_powers_of_a_triangle_are_in_the_tables() -> None:
    """Exact binomial, alpha 0.05, 40 % can tell: 12 0.44, 24 0.79, 36 0.92, 60 0.99."""
    power = kept_rows()["triangle|differ|2|one-sided|0.4"]["power"]
    assert [round(power[n - 1] / 10_000, 2) for n in (12, 24, 36, 60)] == [0.44, 0.79, 0.92, 0.99]


def test_the_form_chooses_as_the_command_does() -> None:
    chosen = form_record()["chosen"]
    for carry_over in CarryOver:
        choice = choose(Question.DIFFER, 2, carry_over=carry_over)
        assert chosen[f"differ|{carry_over}|2"]["reason"] == choice.reason
    assert chosen["preferred|slight|3"]["test"] == "ranking"
    assert "more|slight|3" not in chosen


def test_the_data_script_hands_over_json_that_cannot_end_the_script() -> None:
    ((address, text),) = data_file().items()
    assert address == "tasting-data/tables.js"
    assert text.startswith("Slowfolio.tastingDesign.take({")
    assert "<" not in text
    json.loads(text.removeprefix("Slowfolio.tastingDesign.take(").removesuffix(");\n"))


def test_the_table_without_the_form_gives_the_advised_panels() -> None:
    """Triangle for 40 % tellers: 30 = 25 or more in whole rounds of 6 orders (exact binomial)."""
    rows = {(row.question, row.test): row.tasters for row in size_rows()}
    assert rows["do they differ?", "triangle"][0] == 30
    assert all(low <= high for low, high in rows.values())


def test_intervals_are_rounded_outwards_and_nothing_has_no_sign() -> None:
    """Outwards, so that a printed interval is never narrower than the one worked out."""
    card = tasting_fixture.tastings()["boat-or-foil-scored"]
    answers = tasting_fixture.results()[card.id].answers
    first = answers[0].readings[0]
    narrow = replace(first, value=-0.01, low=-0.401, high=0.201)
    (plot, *_) = plots(card, (replace(answers[0], readings=(narrow,)),), Notes())
    assert (plot.rows[0].value, plot.rows[0].interval) == ("0.0", "−0.5 to +0.3")
    share = replace(first, name="share who", unit="share", value=0.5, low=0.4949, high=0.8701)
    triangle = tasting_fixture.tastings()["three-wraps-in-order"]
    (plot,) = plots(triangle, (replace(answers[0], readings=(share,)),), Notes())
    assert plot.rows[0].interval == "49 to 88 %"
