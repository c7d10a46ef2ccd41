"""The starter book is whole: every cut, wrap, pit and holder in use, every card complete; the glossary.

What each method gives is computed and held against the rules by the build; here is what a reader would miss.
"""

import re
from collections import Counter
from datetime import date
from functools import cache
from pathlib import Path

import pytest

from slowfolio.book.model import Book, Method, Status
from slowfolio.book.reading import read_book
from slowfolio.enrich.step_cautions import method_cautions
from slowfolio.provenance import Provenance
from slowfolio.site.trade_table import trade_ranges

ROOT = Path(__file__).parents[1]
PAGES = ROOT / "site_src" / "pages"
DAY = date(2026, 11, 25)
LEVELS = ("bark", "rendering", "juiciness", "smoke", "tenderness")
POULTRY_C = (165.0 - 32.0) / 1.8


@cache
def starter() -> Book:
    reading = read_book(ROOT / "methods", today=DAY)
    assert reading.findings == ()
    assert reading.book is not None
    return reading.book


def method_ids() -> list[str]:
    return sorted(path.stem for path in (ROOT / "methods" / "cards").rglob("*.yaml"))


@pytest.fixture(params=method_ids())
def method(request: pytest.FixtureRequest) -> Method:
    return starter().methods[request.param]


def wraps_of(method: Method) -> set[str]:
    held = {method.hold.wrap} if method.hold else set()
    vented = {method.vent.wrap} if method.vent else set()
    return {stage.wrap for stage in method.stages} | held | vented


def pits_of(method: Method) -> set[str]:
    return {method.pit} | {stage.pit for stage in method.stages if stage.pit}


def test_there_are_28_methods_at_least() -> None:
    assert len(starter().methods) >= 28


def test_every_cut_has_two_methods_at_least() -> None:
    used = Counter(method.cut for method in starter().methods.values())
    assert {cut for cut in starter().cuts if used[cut] < 2} == set()


def test_every_wrap_pit_and_holder_is_used_twice_at_least() -> None:
    methods = starter().methods.values()
    wraps = Counter(wrap for method in methods for wrap in wraps_of(method))
    pits = Counter(pit for method in methods for pit in pits_of(method))
    holders = Counter(method.hold.holder for method in methods if method.hold)
    assert {wrap for wrap in starter().wraps if wraps[wrap] < 2} == set()
    assert {pit for pit in starter().pits if pits[pit] < 2} == set()
    assert {holder for holder in starter().holders if holders[holder] < 2} == set()


def test_methods_stand_at_different_points_of_their_way() -> None:
    standing = Counter(method.status for method in starter().methods.values())
    assert min(standing[status] for status in (Status.HOUSE_STANDARD, Status.ON_TRIAL, Status.DRAFT)) >= 1


def test_a_method_says_what_to_look_for_and_why_at_every_stage(method: Method) -> None:
    for stage in method.stages:
        assert len(stage.look_for) >= 2, stage.name
        assert len(stage.why.split()) >= 10, stage.name
    assert method.vent is not None
    assert len(method.vent.why.split()) >= 8
    assert method.hold is None or len(method.hold.why.split()) >= 15


def test_a_method_says_who_answers_for_it_and_until_when(method: Method) -> None:
    assert method.owner
    assert method.reviewed <= DAY < method.review_by
    assert method.sources
    assert len(method.choose_when.split()) >= 25
    assert len(method.handling) >= 3


def test_every_expected_level_says_where_it_comes_from(method: Method) -> None:
    """Nothing is called measured that no tasting of this book has tasted."""
    tasted = {product.method for tasting in starter().tastings.values() for product in tasting.products}
    assert set(method.expected) == set(LEVELS)
    for level in method.expected.values():
        if level.provenance is Provenance.MEASURED:
            assert method.id in tasted
        else:
            assert level.provenance in (Provenance.PRACTICE, Provenance.CLAIMED)


def test_cautions_stand_at_the_stage_where_they_matter(method: Method) -> None:
    """USDA and CPSC advice, as in the table of handling cautions: monoxide, raw apart, thermometer, steam."""
    usual = method_cautions(method, starter())
    topics = [{one.topic for one in step} for step in usual.steps]
    assert {"carbon monoxide", "grease fire", "cross-contamination"} <= topics[0]
    assert {"thermometer ice point", "thermometer boiling point"} <= {one.topic for one in usual.before}
    for stage, placed in zip(method.stages, topics, strict=False):
        if starter().wraps[stage.wrap].steam_tight:
            assert "burns" in placed, stage.name
            assert re.search(r"steam|boil|sugar", " ".join(stage.cautions).lower()), stage.name
    assert "vulnerable people" in {one.topic for one in usual.serving}
    assert re.search("pregnant|highly susceptible", " ".join(method.cautions).lower())


def test_a_card_says_only_what_its_page_does_not_say_anyway(method: Method) -> None:
    """The usual cautions stand on every page; on the card stands what this piece and this kit add."""
    lines = [*method.cautions, *(text for stage in method.stages for text in stage.cautions)]
    for line in lines:
        assert not re.search(
            r"outdoors only, because of carbon monoxide(, (and )?until (it is|the ashes are) cold)?\.$", line
        )
        assert not re.fullmatch(r"Clean tongs( and gloves)? once the raw \w+ (is|are) on\.", line)
        assert not re.fullmatch(r"Raw( \w+)? and ready to eat apart\.", line)
        assert "ice water" not in line
    assert len(lines) == len(set(lines))


def test_a_card_leaves_the_length_of_the_cook_to_the_computed_figure(method: Method) -> None:
    """The page shows it with its spread; a second figure in the text sooner or later contradicts it."""
    number = r"(\d+|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|fourteen|sixteen)"
    length = rf"\b{number}( to {number}|[–-]{number})? hours (on|give|bare|in the smoke|for a)\b"
    texts = [method.choose_when, *(level.note or "" for level in method.expected.values())]
    assert [found[0] for text in texts if (found := re.search(length, text, re.IGNORECASE))] == []
    assert re.search(rf"\b{number} to {number} hours\b", method.choose_when, re.IGNORECASE) is None


def test_a_hold_has_its_floor_on_the_card_and_what_is_left_is_chilled(method: Method) -> None:
    if method.hold is not None:
        assert "140 °F (60 °C)" in " ".join((method.hold.why, *method.cautions))
        assert method.hold.air_temp_c >= 60.0
    assert re.search(r"chill|thrown out|not used again", " ".join(method.handling))


def test_poultry_is_cooked_past_165_fahrenheit(method: Method) -> None:
    """US FDA Food Code 2022, 3-401.11(A)(3)."""
    if starter().cuts[method.cut].species == "turkey":
        targets = [stage.until.core_temp_c for stage in method.stages]
        assert targets[-1] is not None
        assert targets[-1] >= POULTRY_C
        assert "165 °F (74 °C)" in " ".join(method.stages[-1].cautions)


def test_no_two_methods_share_a_reason(method: Method) -> None:
    others = [other for other in starter().methods.values() if other.id != method.id]
    reasons = {" ".join(stage.why.split()) for other in others for stage in other.stages}
    assert not reasons & {" ".join(stage.why.split()) for stage in method.stages}


def test_the_trade_has_an_expectation_of_every_method_and_of_no_other() -> None:
    assert set(trade_ranges()) == set(starter().methods)
    for name, expected in trade_ranges().items():
        assert expected.cut == starter().methods[name].cut
        assert (expected.hold_loss is None) == (starter().methods[name].hold is None)


def test_the_glossary_has_60_terms_each_with_a_place_of_its_own() -> None:
    text = (PAGES / "glossary.md").read_text("utf-8")
    terms = re.findall(r"^([^\n:#]+?) \{: #([a-z0-9-]+) \}\n:   \S", text, re.MULTILINE)
    assert len(terms) >= 60
    assert len({anchor for _, anchor in terms}) == len(terms)
    names = [name.casefold() for name, _ in terms]
    assert names == sorted(names)
