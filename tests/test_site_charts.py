"""Charts: well-formed, small, described in words, true to the values, and never by colour alone."""

import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest

import site_fixture
from slowfolio.enrich.results import MethodResult
from slowfolio.site.charts.bars import hours_bar, score_bar
from slowfolio.site.charts.section import moisture_shade, scale_key, section_picture, temperature_shade
from slowfolio.site.charts.svg import Scale, element, num
from slowfolio.site.charts.timeline import NARROW, WIDE, Frame, finding, timeline

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def result() -> MethodResult:
    return site_fixture.results()["boat"]


@pytest.mark.parametrize("frame", [WIDE, NARROW], ids=["wide", "narrow"])
def test_a_timeline_is_one_described_picture(result: MethodResult, frame: Frame) -> None:
    root = ElementTree.fromstring(timeline(result, title="A & B", finding="what it <shows>", frame=frame))
    assert root.get("role") == "img"
    title, desc = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert title is not None
    assert desc is not None
    assert root.get("aria-labelledby") == f"{title.get('id')} {desc.get('id')}"
    assert (title.text, desc.text) == ("A & B", "what it <shows>")
    assert root.get("data-search-exclude") is not None


def points(svg: str, cls: str) -> list[tuple[float, float]]:
    found = re.search(rf'<poly(?:line|gon) points="([^"]+)" class="{cls}"', svg)
    assert found is not None
    return [(float(x), float(y)) for x, y in (pair.split(",") for pair in found.group(1).split())]


def test_the_line_of_the_thick_end_lies_where_its_values_are(result: MethodResult) -> None:
    svg = timeline(result, title="t", finding="f", frame=WIDE)
    line = points(svg, "timeline__thick")
    end_h = result.series.time_h[-1]
    across = Scale(0.0, end_h, WIDE.left, WIDE.width - WIDE.right)
    assert line[0][0] == pytest.approx(across(0.0), abs=0.06)
    assert line[-1][0] == pytest.approx(across(end_h), abs=0.06)
    coldest, hottest = min(result.series.thick_c.p50), max(result.series.thick_c.p50)
    low_y, high_y = max(y for _, y in line), min(y for _, y in line)
    per_degree = (low_y - high_y) / (hottest - coldest)
    band = points(svg, "timeline__thick-band")
    widest = max(
        high - low for low, high in zip(result.series.thick_c.p10, result.series.thick_c.p90, strict=True)
    )
    half = len(band) // 2
    gaps = [lower[1] - upper[1] for upper, lower in zip(band[:half], reversed(band[half:]), strict=True)]
    assert max(gaps) == pytest.approx(widest * per_degree, rel=0.05)


def test_a_long_series_is_thinned_but_keeps_its_ends(result: MethodResult) -> None:
    svg = timeline(result, title="t", finding="f", frame=WIDE)
    assert len(points(svg, "timeline__pit")) <= 110 < len(result.series.time_h)
    assert len(svg) < 16_000


def test_lines_differ_by_dash_and_not_by_colour_alone() -> None:
    """The style sheet gives pit and thin end a dash; the thick end is solid."""
    from slowfolio.resources import site_sources_folder

    css = (site_sources_folder() / "theme/assets/css/charts.css").read_text("utf-8")
    rules = dict(re.findall(r"\n\.(timeline__\w+) \{([^}]*)\}", css))
    assert "stroke-dasharray" in rules["timeline__pit"]
    assert "stroke-dasharray" in rules["timeline__thin"]
    assert "stroke-dasharray" not in rules["timeline__thick"]


def test_the_finding_says_the_times_in_words(result: MethodResult) -> None:
    said = finding(result)
    assert "off the pit after 12 h 30 min" in said
    assert "8 cooks in 10" in said
    assert "stall lasts from 5 h 10 min to 8 h 10 min" in said
    assert "stall" not in finding(replace(result, stall_start=None, stall_end=None))


def test_a_cook_without_a_stall_draws_none(result: MethodResult) -> None:
    without = replace(result, stall_start=None, stall_end=None)
    assert "timeline__stall" in timeline(result, title="t", finding="f", frame=WIDE)
    assert "timeline__stall" not in timeline(without, title="t", finding="f", frame=WIDE)


def test_temperature_marks_are_round_in_both_systems(result: MethodResult) -> None:
    root = ElementTree.fromstring(timeline(result, title="t", finding="f", frame=WIDE))
    groups = {g.get("class"): g for g in root.iter(f"{SVG}g")}
    for cls, step, unit in (("u-us", 50, "°F"), ("u-si", 25, "°C")):
        texts = [text.text or "" for text in groups[cls].iter(f"{SVG}text")]
        assert unit in texts
        degrees = [int(text) for text in texts if text.isdigit()]
        assert degrees
        assert all(degree % step == 0 for degree in degrees)


def test_a_section_writes_its_values_and_stays_small(result: MethodResult) -> None:
    section = result.sections[0]
    shade = temperature_shade(result.sections)
    svg = section_picture(section, section.temp_c, shade, name="cut", title="Temperature")
    ElementTree.fromstring(svg)
    assert len(svg) < 14_000
    assert "cut__value" in svg
    assert "middle of the thick end" in svg


def test_a_section_of_one_value_is_one_shade(result: MethodResult) -> None:
    section = result.sections[0]
    even = tuple(tuple(66.0 for _ in column) for column in section.temp_c)
    shade = temperature_shade([replace(section, temp_c=even)])
    svg = section_picture(section, even, shade, name="cut", title="Temperature")
    assert len(set(re.findall(r'class="heat-(\d)"', svg))) == 1


def test_hotter_is_a_higher_step() -> None:
    section = site_fixture.section("pull", 12.0, 90.0)
    shade = temperature_shade([section])
    steps = [shade.step(value) for value in (shade.low, (shade.low + shade.high) / 2, shade.high)]
    assert steps == [0, 3, 6]
    assert shade.step(shade.high + 50) == 6


def test_a_section_of_a_single_column_is_drawn() -> None:
    section = site_fixture.section("pull", 12.0, 90.0, columns=1)
    svg = section_picture(section, section.moisture, moisture_shade([section]), name="cut", title="Water")
    ElementTree.fromstring(svg)


def test_the_key_names_the_ends_of_the_scale(result: MethodResult) -> None:
    shade = temperature_shade(result.sections)
    root = ElementTree.fromstring(scale_key(shade, "key"))
    texts = {text.text for text in root.iter(f"{SVG}text")}
    assert {shade.edges()[0].us, shade.edges()[-1].us, shade.edges()[0].metric} <= texts


def test_bars_are_hidden_from_readers_who_get_the_number() -> None:
    for bar in (
        score_bar(50.0, 40.0, 60.0),
        hours_bar(low_h=10.0, middle_h=11.0, high_h=12.0, hold_h=2.0, most_h=24.0),
    ):
        assert ElementTree.fromstring(bar).get("aria-hidden") == "true"


def test_numbers_in_pictures_are_short() -> None:
    assert [num(value) for value in (1.0, 1.26, -0.01, 12.0)] == ["1", "1.3", "0", "12"]


def test_text_in_pictures_is_escaped() -> None:
    assert element("text", "<b>&", cls='a"b') == '<text class="a&#34;b">&lt;b&gt;&amp;</text>'
