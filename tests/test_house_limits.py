"""Limits a kitchen sets itself in book.yaml: stricter than its authority's or refused, and used everywhere.

Figures of the authorities: tests/reference/authority_profiles.csv (US Food Code 3-501.16: 57 °C; UK: 63 °C).
"""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

import hold_fixture
import site_fixture
from book_cases import check, copy_good_book, only
from slowfolio.book.model import Book, BookCard, HouseLimits
from slowfolio.cli import main
from slowfolio.enrich.cache import Cache
from slowfolio.enrich.house import with_house_findings
from slowfolio.enrich.keys import result_key
from slowfolio.enrich.opening import BookNotReady, open_book
from slowfolio.forecast.authority import house_faults, rules_of
from slowfolio.forecast.hold_advice import advise
from slowfolio.safety.hot_hold import floor_verdict
from slowfolio.safety.profiles import profile
from slowfolio.safety.verdict import Level, Met
from slowfolio.site.hold_data import method_record
from slowfolio.site.links import Links
from slowfolio.site.pages import page_uris
from slowfolio.site.print_card import print_card


def with_limits(book: Book, limits: HouseLimits) -> Book:
    return replace(book, card=replace(book.card, house_limits=limits))


def write(root: Path, *lines: str) -> Path:
    path = root / "book.yaml"
    text = path.read_text("utf-8").rstrip("\n") + "\nhouse_limits:\n"
    path.write_text(text + "".join(f"  {line}\n" for line in lines), "utf-8")
    return root


WHY = "why: We serve a care home on Saturdays."


@pytest.fixture
def root(tmp_path: Path) -> Path:
    return copy_good_book(tmp_path)


# --- the card ---------------------------------------------------------------------------------------


def test_a_book_says_its_own_limits_in_its_own_units(root: Path) -> None:
    write(
        root, "hot_hold: 140 °F", "below_hot_hold: 1 h", "cold_hold: 3 °C", "reheat: 170 °F",
        "reheat_within: 90 min", "cooling: [1 h 30 min, 5 h]", WHY,
    )  # fmt: skip
    result = with_house_findings(check(root), root)
    assert result.findings == ()
    assert result.book is not None
    rules = rules_of(result.book.card)
    assert rules.hot_hold_min_c == pytest.approx(60.0)
    assert rules.roast_hold_min_c == pytest.approx(60.0)
    assert rules.cold_max_c == pytest.approx(3.0)
    assert rules.allowance is not None
    assert rules.allowance.at_most_s == 3600.0
    assert rules.reheat is not None
    assert (rules.reheat.temp_c, rules.reheat.within_s) == (pytest.approx(76.67, abs=0.01), 5400.0)
    assert [limit.at_most_s for limit in rules.cooling.limits] == [5400.0, 18_000.0]


def test_a_book_without_own_limits_works_under_its_authority_s() -> None:
    card = site_fixture.book().card
    assert rules_of(card) is profile(card.authority)


def test_own_limits_need_a_reason(root: Path) -> None:
    finding = only(check(write(root, "hot_hold: 140 °F")))
    assert finding.code == "missing-key"
    assert "why" in finding.message


@pytest.mark.parametrize(
    ("line", "says", "advice"),
    [
        ("hot_hold: 130 °F", "hot-hold floor of 54.4 °C (129.9 °F)", "write 57 °C (135 °F) or more"),
        ("hot_hold_roasts: 50 °C", "roast floor of 50.0 °C (122.0 °F)", "write 54 °C (129 °F) or more"),
        ("below_hot_hold: 5 h", "time below the hot-hold floor of 5 h", "write 4 h or less"),
        ("cold_hold: 45 °F", "cold-hold limit of 7.2 °C", "write 0 °C (32 °F) to 5 °C (41 °F)"),
        ("reheat: 160 °F", "reheating temperature of 71.1 °C", "write 74 °C (165 °F) or more"),
        ("reheat_within: 3 h", "reheating time of 3 h", "write 2 h or less"),
        ("cooling: [2 h, 7 h]", "cooling time of 7 h", "write 6 h or less"),
        ("cooling: [2 h]", "cools in 2 steps", "give one time for each"),
    ],
)
def test_a_looser_limit_is_refused_at_its_place(root: Path, line: str, says: str, advice: str) -> None:
    write(root, line, WHY)
    result = with_house_findings(check(root), root)
    finding = only(result)
    assert finding.code == "house-limit-looser"
    assert finding.file == "book.yaml"
    assert says.removesuffix("(129.9 °F)") in finding.message
    assert "US Food Code 2022" in finding.message
    assert advice in finding.help
    _, value = line.split(": ", 1)
    assert finding.excerpt == f"  {line}"
    assert finding.excerpt[finding.mark.column - 1 :].startswith(value)
    assert result.book is None


def test_every_looser_limit_is_named_not_only_the_first() -> None:
    card = replace(site_fixture.book().card, house_limits=HouseLimits(hot_hold_c=50.0, cold_hold_c=9.0))
    assert [fault.path[-1] for fault in house_faults(card)] == ["hot_hold", "cold_hold"]


def test_the_check_and_every_command_refuse_such_a_book(root: Path) -> None:
    write(root, "hot_hold: 120 °F", WHY)
    checked = CliRunner().invoke(main, ["check", str(root)])
    assert checked.exit_code == 1
    assert "house-limit-looser" in checked.output
    with pytest.raises(BookNotReady, match=r"book.yaml:\d+:\d+: hot-hold floor .* looser than US Food Code"):
        open_book(root, Cache(root.parent / "cache"))
    # A second opening, of bytes now known, refuses it again.
    with pytest.raises(BookNotReady, match="looser than US Food Code"):
        open_book(root, Cache(root.parent / "cache"))


# --- where it counts --------------------------------------------------------------------------------


def test_a_hold_that_meets_the_authority_but_not_the_house_is_not_met() -> None:
    time_s, coldest_c = np.linspace(0.0, 36_000.0, 50), np.full((1, 50), 58.5)
    chart = np.zeros(1, dtype=np.bool_)
    card = replace(site_fixture.book().card, house_limits=HouseLimits(hot_hold_c=60.0, below_hot_hold_s=0.0))

    def judged(of: BookCard) -> tuple[Level, Met, str, str]:
        verdict = floor_verdict(rules_of(of), time_s, coldest_c, by_chart=chart, room_c=21.0)
        return verdict.level, verdict.met, str(verdict.citation), verdict.limit_text

    assert judged(replace(card, house_limits=None))[:2] == (Level.GREEN, Met.MET)
    level, met, citation, limit = judged(card)
    assert (level, met) == (Level.RED, Met.NOT_MET)
    assert citation.startswith("this book's own limit, stricter than US FDA Food Code, 3-501.16")
    assert limit == "60 °C (140 °F)"


def test_hold_advice_ends_by_the_house_s_floor() -> None:
    book = hold_fixture.book()
    method = book.methods["boat"]
    table = hold_fixture.table(method)
    tight = with_limits(book, HouseLimits(hot_hold_c=64.0))
    loose, strict = (advise(table, method, each, book.holders["box"]) for each in (book, tight))
    assert loose.box_hours is not None
    assert strict.box_hours is not None
    assert strict.box_hours < loose.box_hours
    heated = advise(table, method, with_limits(book, HouseLimits(hot_hold_c=80.0)), book.holders["dry"])
    assert heated.longest_h == 0.0
    assert "floor" in heated.ended_by


def test_the_holding_page_and_the_print_card_carry_the_house_s_floor() -> None:
    book = with_limits(hold_fixture.book(), HouseLimits(hot_hold_c=60.0))
    method = book.methods["boat"]
    assert method_record(method, hold_fixture.holds(book)["boat"], book)["floor"] == 60.0
    card = print_card(book, method, None, Links.to(page_uris(book)))
    assert card.floor.us == "140 °F"
    assert "this book's own limit" in card.citation


def test_a_changed_house_limit_computes_again_and_a_changed_reason_does_not() -> None:
    book = site_fixture.book()
    method = book.methods["boat"]

    def key(limits: HouseLimits | None) -> str:
        card = replace(book.card, house_limits=limits)
        return result_key(method, replace(book, card=card), members=8, seed=1)

    assert key(None) != key(HouseLimits(hot_hold_c=60.0))
    assert key(HouseLimits(hot_hold_c=60.0)) == key(HouseLimits(hot_hold_c=60.0, why="another"))
