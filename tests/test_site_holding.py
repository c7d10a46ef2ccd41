"""The hold on pages: every holder's set-up, the chart, the Holding page, and the figures its script reads."""

import json
import re
from dataclasses import replace
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest

import hold_fixture
import site_fixture
from slowfolio.book.model import Book
from slowfolio.enrich.hold_words import setting_texts, window_text
from slowfolio.enrich.holds import MethodHolds
from slowfolio.forecast.hold_advice import advise
from slowfolio.forecast.hold_table import read_table
from slowfolio.forecast.hold_window import window_of
from slowfolio.forecast.holders import cabinet_of, room_of
from slowfolio.physics.cabinet import Load, Setting
from slowfolio.physics.cabinet_reach import pans_of_area, reach
from slowfolio.physics.cabinet_state import steady_state
from slowfolio.physics.humid_air import saturation_pressure_pa
from slowfolio.site.charts import humidity as chart
from slowfolio.site.charts.humidity import humidity_chart
from slowfolio.site.charts.svg import Scale
from slowfolio.site.hold_data import data_files
from slowfolio.site.hold_grid import holder_grids, most_given_by
from slowfolio.site.hold_section import HoldSection, hold_section, humidity_finding
from slowfolio.site.hold_view import HumidityView, humidity_view
from slowfolio.site.holding_page import endings, script_words
from slowfolio.site.links import Links
from slowfolio.site.pages import BuildInfo, build_pages, build_site_value, page_uris
from slowfolio.site.print_card import print_card
from slowfolio.site.shown import Notes
from slowfolio.units import System

SVG = "{http://www.w3.org/2000/svg}"
BUILD = BuildInfo("0.0.test")


@pytest.fixture(scope="module")
def book() -> Book:
    return hold_fixture.book()


@pytest.fixture(scope="module")
def holds(book: Book) -> dict[str, MethodHolds]:
    return hold_fixture.holds(book)


@pytest.fixture(scope="module")
def section(book: Book, holds: dict[str, MethodHolds]) -> HoldSection:
    return section_of(book, holds["boat"])


@pytest.fixture(scope="module")
def view(book: Book, holds: dict[str, MethodHolds]) -> HumidityView:
    return humidity_view(holds["boat"].table, book.methods["boat"], book, holds["boat"].advice[0])


def section_of(book: Book, held: MethodHolds) -> HoldSection:
    method = book.methods[held.method]
    links = Links.to(page_uris(book))
    return hold_section(book, method, held, links, "methods/boat.md", Notes(), holding="holding.md")


def words(html: str) -> str:
    return " ".join(re.sub(r"<[^>]*>", " ", html).split())


# --- the method page --------------------------------------------------------------------------------


def test_the_card_s_own_holder_comes_first_and_every_other_once(book: Book, section: HoldSection) -> None:
    assert section.own is not None
    assert section.own.holder.text == book.holders["cabinet"].title
    shown = [section.own.holder.text, *(one.holder.text for one in section.others)]
    shown += [link.text for link, _ in section.cannot]
    assert sorted(shown) == sorted(holder.title for holder in book.holders.values())


def test_a_holder_that_cannot_is_named_with_its_reason(section: HoldSection) -> None:
    reasons = {link.text: why.us for link, why in section.cannot}
    assert reasons["A drawer"] == "the piece is heavier than it holds"
    assert "unheated" in reasons["Insulated box"]


def test_settings_are_those_of_the_hold_command(
    book: Book, holds: dict[str, MethodHolds], section: HoldSection
) -> None:
    assert section.own is not None
    assert [text.us for text in section.own.settings] == setting_texts(holds["boat"].advice[0], System.US)
    assert section.windows == tuple(window_text(one, book) for one in holds["boat"].advice[0].windows)


def test_every_figure_has_a_mark_and_the_piece_s_figures_a_spread(section: HoldSection) -> None:
    for one in (section.own, *section.others):
        assert one is not None
        for _, figure in (*one.air.rows, *one.meat.rows):
            assert figure.tag.provenance == "computed"
            assert figure.tag.source
        spread = {name for name, figure in one.meat.rows if figure.spread}
        assert {"Weight lost", "Core", "Coldest point"} <= spread


def test_a_hold_that_ends_too_soon_says_for_how_long_it_was_asked(book: Book) -> None:
    """Eight times the loss, so that the allowed share is gone before the hours the card asks for."""
    held = hold_fixture.holds(book)["boat"]
    courses = held.table
    lost = (8 * np.asarray(courses.values["loss"][0])).tolist()
    dry = replace(courses, values={**courses.values, "loss": [lost, courses.values["loss"][1]]})
    advice = tuple(advise(dry, book.methods["boat"], book, one) for one in book.holders.values())
    section = section_of(book, MethodHolds("boat", dry, advice))
    assert section.own is not None
    assert section.own.asked == "10 h"
    assert section.own.ended_by
    longest = advice[0].longest_h
    assert longest is not None
    assert longest < 10.0


def test_the_page_folds_other_holders_and_reads_without_a_script(
    book: Book, holds: dict[str, MethodHolds]
) -> None:
    pages = {page.uri: page.html for page in build_pages(book, site_fixture.results(), BUILD, holds)}
    html = pages["methods/boat.md"].split('id="hold"')[1].split('id="outcome"')[0]
    assert html.count("<details") == 1 + sum(advice.possible for advice in holds["boat"].advice) - 1
    text = words(html)
    for expected in ("Humidity window", "Holders that cannot", "Water-vapour", "In another holder"):
        assert expected.casefold() in text.casefold()
    assert "holding.html?m=boat" in html


def test_a_method_whose_holds_are_not_computed_keeps_the_card_s_own_set_up(book: Book) -> None:
    pages = {page.uri: page.html for page in build_pages(book, site_fixture.results(), BUILD)}
    assert "Setting up the hold" in pages["methods/boat.md"]
    assert "No hold is computed yet" in pages["holding.md"]


# --- the chart --------------------------------------------------------------------------------------


def polyline(svg: str, cls: str) -> list[tuple[float, float]]:
    found = re.search(rf'<polyline points="([^"]+)" class="{cls}"', svg)
    assert found is not None
    return [(float(x), float(y)) for x, y in (pair.split(",") for pair in found.group(1).split())]


def test_the_chart_is_one_described_picture(view: HumidityView) -> None:
    svg = humidity_chart(view, name="h", title="A & B", finding=humidity_finding(view))
    root = ElementTree.fromstring(svg)
    assert root.get("role") == "img"
    assert root.get("aria-labelledby") == "h-title h-desc"
    desc = root.find(f"{SVG}desc")
    assert desc is not None
    assert "The point chosen is 150 °F" in (desc.text or "")
    assert len(svg) < 9_000


def test_the_window_s_edges_lie_where_window_of_puts_them(
    holds: dict[str, MethodHolds], view: HumidityView
) -> None:
    svg = humidity_chart(view, name="h", title="t", finding="f")
    upper = polyline(svg, "humidity__edge")
    across = Scale(chart.COLDEST_C, chart.HOTTEST_C, chart.LEFT, chart.WIDTH - chart.RIGHT)
    up = Scale(0.0, 1.0, chart.HEIGHT - chart.BOTTOM, chart.TOP)
    there = [air for air, one in zip(view.air_temps_c, view.windows, strict=True) if one.exists]
    assert len(there) > 3
    for (x, y), air in zip(upper, there, strict=True):
        window = window_of(
            holds["boat"].table, "boat", 60.0, air_temp_c=air, hours=10.0, floor_c=view.floor_c
        )
        assert x == pytest.approx(across(air), abs=0.06)
        assert y == pytest.approx(up(window.high), abs=0.06)


def test_the_floor_line_lies_where_the_coldest_tenth_is_at_the_floor(
    holds: dict[str, MethodHolds], view: HumidityView
) -> None:
    assert any(air > view.floor_c for air, _ in view.floor)
    for air, humidity in view.floor[1:-1]:
        if air > view.floor_c:
            coldest = read_table(
                holds["boat"].table, "coldest_c", "boat", air_temp_c=air, humidity=humidity, hour=10.0
            )
            assert coldest[0] == pytest.approx(view.floor_c, abs=0.15)


def test_the_reach_is_that_of_the_cabinet_model(book: Book, view: HumidityView) -> None:
    room = room_of(book.card)
    row = view.reach[-1]
    bounds = reach(cabinet_of(book.holders["cabinet"]), air_temp_c=row.air_temp_c, room=room, load=Load())
    assert row.high == pytest.approx(float(bounds.highest_humidity), abs=0.02)
    assert row.low >= float(bounds.lowest_humidity) - 1e-6


def test_where_there_is_no_window_the_finding_says_what_opens_one(view: HumidityView) -> None:
    shut = tuple(replace(one, exists=False, opened_by="hold it open") for one in view.windows)
    said = humidity_finding(replace(view, windows=shut))
    assert "no air temperature has a window: hold it open" in said
    assert "humidity__window" not in humidity_chart(
        replace(view, windows=shut), name="h", title="t", finding="f"
    )


def test_a_window_that_closes_in_between_is_drawn_as_two(view: HumidityView) -> None:
    middle = len(view.windows) // 2
    windows = tuple(replace(one, exists=i != middle) for i, one in enumerate(view.windows))
    svg = humidity_chart(replace(view, windows=windows), name="h", title="t", finding="f")
    assert svg.count('class="humidity__window"') == 2


# --- figures of the script --------------------------------------------------------------------------


@pytest.fixture(scope="module")
def records(book: Book, holds: dict[str, MethodHolds]) -> dict[str, Any]:
    grids = holder_grids(tuple(book.holders.values()), book.card, tuple(holds.values()))
    made = {}
    for uri, text in data_files(book, holds, grids).items():
        kind, name, value = json.loads(
            "[" + text.removeprefix("Slowfolio.holding.take(").rstrip("\n);") + "]"
        )
        assert uri == f"holding-data/{kind[:-1]}-{name}.js"
        made[f"{kind}/{name}"] = value
    return made


def test_there_is_one_small_script_for_each_method_and_holder(
    book: Book, holds: dict[str, MethodHolds], records: dict[str, Any]
) -> None:
    assert set(records) == {f"methods/{name}" for name in holds} | {
        f"holders/{name}" for name in book.holders
    }
    site = build_site_value(book, site_fixture.results(), BUILD, holds)
    scripts = {uri: text for uri, text in site.files.items() if uri.startswith("holding-data/")}
    assert len(scripts) == len(records)
    for uri, text in scripts.items():
        assert len(text) < 90_000, uri
        assert text.isascii()
        assert "<" not in text


def test_the_script_s_table_is_the_method_s(holds: dict[str, MethodHolds], records: dict[str, Any]) -> None:
    values = records["methods/boat"]["values"]
    assert values["loss"] == holds["boat"].table.values["loss"]
    assert np.asarray(values["collagen"][0]).shape[-1] == 1


def test_the_grid_keeps_the_water_balance(book: Book, records: dict[str, Any]) -> None:
    """Water that the grid says keeps a humidity does keep it, by the solved state of the cabinet."""
    room = room_of(book.card)
    for name in ("dry", "element-pan", "oven-pan"):
        grid = records[f"holders/{name}"]
        place = 7
        air = grid["airs"][place]
        for humidity, needed in zip(grid["humidities"][place][1:4], grid["needed"][place][1:4], strict=True):
            state = steady_state(
                cabinet_of(book.holders[name]), Setting(air), room=room, load=Load(given_kg_s=needed / 3600)
            )
            assert float(state.relative_humidity) == pytest.approx(humidity, rel=1e-3)


def test_the_grid_of_pans_is_what_they_evaporate(book: Book, records: dict[str, Any]) -> None:
    room, pans = room_of(book.card), records["holders/element-pan"]["pans"]
    cabinet = cabinet_of(book.holders["element-pan"])
    assert cabinet.pans is not None
    for area in (pans["areas"][3], pans["areas"][-1]):
        air = pans["airs"][2]
        setting = Setting(air, pans=pans_of_area(cabinet.pans, area, volume_m3=cabinet.volume_m3))
        state = steady_state(cabinet, setting, room=room)
        humidity = float(state.vapour_pressure_pa) / float(saturation_pressure_pa(air))
        given = np.asarray(pans["gives"])[2, 0, :, pans["areas"].index(area)]
        read = np.interp(humidity, pans["humidities"][2], given)
        assert read == pytest.approx(float(state.water_kg_h.pans), rel=0.02)


def test_no_piece_gives_off_more_than_the_grid_reaches(
    holds: dict[str, MethodHolds], records: dict[str, Any]
) -> None:
    most = max(most_given_by(held.table) for held in holds.values())
    for name, record in records.items():
        if name.startswith("holders/") and record["heated"]:
            assert record["given"][-1] >= most


def test_the_script_speaks_the_words_of_the_hold_command(holds: dict[str, MethodHolds]) -> None:
    said = endings()
    assert said["loss"] == "The meat has lost as much as is allowed"
    assert len({*said.values()}) == 7
    assert all(said.values())
    opened = script_words(holds)
    assert "hold it open" in str(opened["soft"])
    assert "cooler, covered" in str(opened["dry"])


def test_the_print_card_sets_the_holder_as_the_method_page_does(
    book: Book, holds: dict[str, MethodHolds], section: HoldSection
) -> None:
    method = book.methods["boat"]
    links = Links.to(page_uris(book))
    card = print_card(book, method, site_fixture.results()["boat"], links, holds["boat"])
    assert section.own is not None
    printed = [text.metric for text in card.hold]
    assert [text.metric for text in section.own.settings if text.metric in printed] == printed[1:3]
    assert any("water-vapour temperature" in text for text in printed)
    assert any(text.startswith("which gives") for text in printed)
    bare = print_card(book, method, None, links)
    assert not any("which gives" in text.metric or "vapour" in text.metric for text in bare.hold)


def test_the_page_without_a_script_has_every_hold_of_its_card(
    book: Book, holds: dict[str, MethodHolds]
) -> None:
    html = next(
        page.html
        for page in build_pages(book, site_fixture.results(), BUILD, holds)
        if page.uri == "holding.md"
    )
    listed = html.split('class="plain held"')[1]
    for name in holds:
        assert book.methods[name].title in listed
    assert "150 °F" in listed
    assert "66 °C" in listed
