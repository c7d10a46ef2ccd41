"""The safety page: every authority's figures as published, cooling as the rules judge it, and no verdict."""

import csv
import re
from dataclasses import replace
from html import unescape
from pathlib import Path

import numpy as np
import pytest

import site_fixture
from slowfolio.book.model import HouseLimits
from slowfolio.forecast.authority import rules_of
from slowfolio.safety.cautions import cautions
from slowfolio.safety.chilling import MEDIA, whole
from slowfolio.safety.cooling import outlook, ways_to_meet
from slowfolio.safety.piece import Piece, Species
from slowfolio.safety.profiles import PROFILES, profile
from slowfolio.safety.thermometer import boiling_point_at_c
from slowfolio.safety.verdict import DEFERENCE, Level
from slowfolio.site.links import Links
from slowfolio.site.pages import BuildInfo, build_pages, page_uris
from slowfolio.site.render import render
from slowfolio.site.safety_cooling import START_C, cooling_outlook, cut_cooling
from slowfolio.site.safety_limits import Authority, authorities, degrees
from slowfolio.site.safety_page import SafetyPage, safety_page
from slowfolio.site.shown import Both

RETAIL_COOLING = profile("us-retail").cooling


@pytest.fixture(scope="module")
def page() -> SafetyPage:
    book = site_fixture.book()
    return safety_page(book, Links.to(page_uris(book)))


@pytest.fixture(scope="module")
def html() -> str:
    pages = build_pages(site_fixture.book(), {}, BuildInfo("0.0.test"))
    return next(page.html for page in pages if page.uri == "safety.md")


def by_id(name: str) -> Authority:
    return next(one for one in authorities(profile("us-retail")) if one.id == name)


def figures(one: Authority) -> dict[str, str]:
    return {limit.name: limit.figure.us for limit in (*one.limits, *one.cooking)}


def test_the_book_s_own_authority_stands_first_and_all_are_there(page: SafetyPage) -> None:
    assert [one.chosen for one in page.authorities] == [True, *[False] * (len(PROFILES) - 1)]
    assert {one.id for one in page.authorities} == set(PROFILES)
    assert authorities(profile("uk"))[0].id == "uk"


def test_the_us_food_code_stands_with_the_figures_it_prints() -> None:
    """US FDA Food Code 2022, 3-501.16, 3-501.14, 3-501.16(A)(2), 3-403.11, 3-401.11(A)(2): tests/reference/
    fda_food_code_rules.csv. It prints 150 and 155 °F beside 66 and 68 °C, which convert to 151 and 154 °F.
    """
    said = figures(by_id("us-retail"))
    assert said["Hot holding"] == "135 °F (57 °C) or above"
    assert said["Hot holding of roasts"] == "130 °F (54 °C) or above"
    assert said["Cooling"] == (
        "135 °F (57 °C) to 70 °F (21 °C) within 2 h, and 135 °F (57 °C) to 41 °F (5 °C) within 6 h"
    )
    assert said["Cold holding"] == "41 °F (5 °C) or below"
    assert said["Reheating to hold hot"] == "165 °F (74 °C) for 15 s"
    assert said["Injected, tenderised, rolled or stuffed cut; ground meat"] == (
        "145 °F (63 °C) for 3 min or 150 °F (66 °C) for 60 s or 155 °F (68 °C) for 17 s or "
        "158 °F (70 °C) at once"
    )
    assert said["Poultry; game"] == "165 °F (74 °C) at once"


@pytest.mark.parametrize(
    ("name", "floor", "reheat"),
    [
        ("us-consumer", "140 °F (60 °C) or above", "165 °F (74 °C)"),
        ("uk", "145.4 °F (63 °C) or above", "158 °F (70 °C) for 2 min"),
        ("eu", "140 °F (60 °C) or above", "none"),
        ("australia", "140 °F (60 °C) or above", "140 °F (60 °C)"),
        ("new-zealand", "140 °F (60 °C) or above", "167 °F (75 °C)"),
    ],
)
def test_other_authorities_stand_with_theirs(name: str, floor: str, reheat: str) -> None:
    """safety-and-tasting table of authorities: tests/test_safety_profiles.py holds the same figures."""
    said = figures(by_id(name))
    assert said["Hot holding"] == floor
    assert said["Reheating to hold hot"] == reheat


def test_every_limit_names_source_and_standing(page: SafetyPage) -> None:
    for one in page.authorities:
        for limit in (*one.limits, *one.cooking):
            assert re.search(r"\(.+\)$", limit.origin.source), limit
            assert limit.origin.standing.split(",")[0] in {"read", "recalled", "worked out here"}, limit


def test_what_is_recalled_is_said_to_be() -> None:
    canada = {limit.name: limit.origin.standing for limit in by_id("canada").limits}
    assert canada["Hot holding"] == "read"
    assert canada["Cooling"] == "recalled"


def test_a_limit_is_said_in_the_reader_s_unit_first() -> None:
    assert (degrees(57.0).us, degrees(57.0).metric) == ("135 °F (57 °C)", "57 °C (135 °F)")


def test_the_house_s_figure_stands_beside_the_authority_s() -> None:
    book = site_fixture.book()
    limits = HouseLimits(hot_hold_c=60.0, cooling_s=(5400.0, 18_000.0), why="A care home eats here.")
    tighter = replace(book, card=replace(book.card, house_limits=limits))
    made = safety_page(tighter, Links.to(page_uris(tighter)))
    own = {limit.name: limit for limit in made.authorities[0].limits}
    assert own["Hot holding"].figure.us == "135 °F (57 °C) or above"
    assert own["Hot holding"].house is not None
    assert own["Hot holding"].house.us == "140 °F (60 °C) or above"
    assert own["Hot holding of roasts"].house == own["Hot holding"].house
    assert own["Cold holding"].house is None
    assert made.stricter == 3
    assert all(limit.house is None for one in made.authorities[1:] for limit in one.limits)
    # The outlook is held against the house's own steps.
    assert made.cooling.cuts[0].rows[0].cells[0].steps[0].endswith("of 1 h 30 min")
    text = words(render("safety.html", made))
    assert "This book is stricter: 140 °F (60 °C) or above" in text
    assert "This one is, in 3 limits. A care home eats here." in text


def test_a_house_limit_without_one_of_the_authority_s_stands_alone() -> None:
    """The EU Regulation sets no figure for cold holding (profiles, READ)."""
    card = replace(site_fixture.book().card, authority="eu", house_limits=HouseLimits(cold_hold_c=3.0))
    own = {limit.name: limit for limit in authorities(rules_of(card))[0].limits}
    assert own["Cold holding"].house is not None
    assert own["Cold holding"].house.metric == "3 °C (37 °F) or below"


# --- cooling ----------------------------------------------------------------------------------------


def test_cooling_of_a_cut_is_judged_as_the_rules_judge_it() -> None:
    cut = site_fixture.CUTS[0]
    brick = whole(length_m=cut.length_m.value, width_m=cut.width_m.value, thickness_m=0.085)
    cases = outlook(profile("us-retail"), Piece(Species.BEEF, 5.9), brick, start_c=START_C)
    made = cut_cooling(cut, RETAIL_COOLING)
    cells = [cell for row in made.rows for cell in row.cells]
    assert [cell.level for cell in cells] == [case.level.value for case in cases]
    assert made.ways == tuple(way.text for way in ways_to_meet(RETAIL_COOLING, brick, start_c=START_C))


def test_a_whole_packer_misses_the_steps_in_a_refrigerator_and_the_page_says_so(html: str) -> None:
    """85 mm thick, a slab of cooked meat takes many hours in still cold air (common practice, no source)."""
    made = cut_cooling(site_fixture.CUTS[0], RETAIL_COOLING)
    assert MEDIA[0].name == "refrigerator"
    assert made.rows[0].cells[0].level == Level.RED.value
    assert made.rows[2].cells[0].level == Level.GREEN.value
    assert not made.whole_meets
    assert "Left whole in a refrigerator, every one of the 2 cuts of this book misses the steps" in words(
        html
    )
    assert "the whole piece and halves do not" in words(html)


def test_a_book_without_cuts_still_has_a_page() -> None:
    assert "no cut yet" in cooling_outlook((), RETAIL_COOLING).finding


def test_an_authority_without_steps_is_held_against_the_food_code() -> None:
    """USDA's advice for home kitchens has no figure for the centre."""
    book = site_fixture.book()
    home = replace(book, card=replace(book.card, authority="us-consumer"))
    page = safety_page(home, Links.to(page_uris(home)))
    assert "US FDA Food Code" in page.cooling_yardstick.source
    assert page.cooling.cuts[0].rows[0].cells[0].level == Level.RED.value


def test_a_thin_cut_meets_the_steps_whole() -> None:
    """A sliver 8 mm thick cools in minutes."""
    thin = replace(
        site_fixture.CUTS[1],
        regions=(replace(site_fixture.CUTS[1].regions[0], thickness_m=0.008),),
        length_m=site_fixture.guess(0.1),
        width_m=site_fixture.guess(0.05),
    )
    assert cut_cooling(thin, RETAIL_COOLING).whole_meets


# --- the rest ---------------------------------------------------------------------------------------


def test_water_boils_at_the_book_s_height(page: SafetyPage) -> None:
    """120 m: 99.6 °C in the standard atmosphere (tests/reference/boiling_point_altitude.csv)."""
    assert page.boiling.metric.startswith("99.6 °C")
    book = site_fixture.book()
    high = replace(book, card=replace(book.card, altitude_m=1609.0))
    said = safety_page(high, Links.to(page_uris(high))).boiling.metric
    assert said.startswith(f"{boiling_point_at_c(1609.0):.1f} °C")
    assert float(said.split()[0]) < 95.0


def test_the_roast_table_has_every_row(page: SafetyPage) -> None:
    """FSIS Appendix A 2021, Table 2: 130 °F takes 112 min, 158 °F none."""
    rows = {temp.us: time for temp, time in page.tables[0].rows}
    assert rows["130 °F (54.4 °C)"] == "112 min"
    assert rows["158 °F (70 °C)"] == "at once"
    assert len(rows) == 31


def test_every_caution_is_there_with_a_source_a_reader_can_follow(page: SafetyPage) -> None:
    assert len(page.cautions) == len(cautions())
    for row in page.cautions:
        assert row.origin.source
        assert ".csv" not in row.origin.source + row.figure
        assert row.origin.standing in {"read", "recalled", "read in part, recalled in part"}


def test_growth_limits_stand_in_both_units_with_a_source_a_reader_can_follow(page: SafetyPage) -> None:
    """pathogen_limits.csv: 43-47 °C are 109-117 °F, and its "same" is the row above."""
    best = [row.best for row in page.growth]
    assert Both("109–117 °F (43–47 °C)", "43–47 °C (109–117 °F)") in best
    assert all("°F" in each.us and "°C" in each.us for each in best if each.us != "not given")
    assert not [row for row in page.growth if row.origin.source in ("", "same")]
    assert not [row for row in page.growth if re.search(r"\d[CF]\b", row.what + row.origin.source)]


def test_growth_is_advice_and_ends_in_words(page: SafetyPage, html: str) -> None:
    assert page.ranking[-1].up_to == "more"
    assert "Advice only" in words(html)


def test_the_page_defers_and_never_calls_anything_safe(html: str) -> None:
    text = words(html)
    assert DEFERENCE in text
    assert not re.search(r"\bsafe\b", text, re.IGNORECASE)


def test_every_part_that_the_book_needs_is_on_the_page(html: str) -> None:
    for anchor in (
        "limits", "why", "holding-hot", "coming-up", "cooking", "cooling", "reheating", "growth",
        "thermometers", "cautions", "highly-susceptible-guests", "whom-to-ask",
    ):  # fmt: skip
        assert f'<h2 id="{anchor}">' in html


def test_all_authorities_are_in_the_page_without_its_script(html: str) -> None:
    assert re.findall(r'data-authority="([a-z-]+)"', html)[0] == "us-retail"
    assert len(re.findall(r'data-authority="', html)) == len(PROFILES)
    assert " hidden" not in re.search(r'data-authority="us-retail".*?id="why"', html, re.DOTALL).group()  # type: ignore[union-attr]


def words(html: str) -> str:
    return unescape(" ".join(re.sub(r"<[^>]*>", " ", html).split()))


def test_levels_come_from_the_share_of_the_range_that_meets_the_steps() -> None:
    """Checked against the courses themselves: the level of a cell is green only where every member meets."""
    from slowfolio.safety.chilling import REFRIGERATOR, cool_down, sliced
    from slowfolio.safety.cooling import cooling_time_s

    cut = site_fixture.CUTS[0]
    brick = sliced(whole(length_m=cut.length_m.value, width_m=cut.width_m.value, thickness_m=0.085), 0.01)
    course = cool_down(brick, REFRIGERATOR, start_c=START_C)
    for limit in profile("us-retail").cooling.limits:
        assert np.all(cooling_time_s(limit, course.time_s, course.centre_c) <= limit.at_most_s)


@pytest.mark.parametrize(
    ("place", "name", "column"),
    [
        (0, "fsis_appendix_a_meat_2021.csv", "6.5"),
        (1, "fsis_appendix_a_chicken_2021.csv", "12"),
        (2, "fsis_appendix_a_turkey_2021.csv", "12"),
    ],
)
def test_tables_print_times_as_published(page: SafetyPage, place: int, name: str, column: str) -> None:
    """FSIS Appendix A, December 2021, Tables 2, 3 and 4, as transcribed with the digits it prints."""
    shown = {temp.us.split(" ")[0]: time for temp, time in page.tables[place].rows}
    path = Path(__file__).parent / "reference" / name
    rows = csv.DictReader(line for line in path.read_text("utf-8").splitlines() if not line.startswith("#"))
    if place == 0:
        printed = {row["temp_f"]: row["printed_6p5log"] for row in rows}
    else:
        printed = {row["temp_f"]: row["printed"] for row in rows if row["fat_pct"] == column}
    assert shown == {temp: "at once" if time.startswith("0") else time for temp, time in printed.items()}
