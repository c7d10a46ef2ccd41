"""The site as a value: pages from a book and its results, links, marks, units, and what is not computed."""

import csv
import re
import subprocess
import sys
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import pytest

import site_fixture
from slowfolio.book.codes import all_codes
from slowfolio.provenance import Figure, Provenance
from slowfolio.resources import schema_folder
from slowfolio.site.changes_page import FEED
from slowfolio.site.finder import HEIGHTS_M, highest_place_m
from slowfolio.site.links import Links, UnknownPage, anchor_of, page_address
from slowfolio.site.pages import HAND_WRITTEN, BuildInfo, build_pages, page_uris
from slowfolio.site.reference_pages import read_schemas
from slowfolio.site.safety_box import reader_s_unit_first
from slowfolio.site.shown import Notes, both, shown, span_of_hours
from slowfolio.site.value import PageSpec
from slowfolio.units import Range

BUILD = BuildInfo("0.0.test", read_schemas(schema_folder()), all_codes())


class Reader(HTMLParser):
    """Collects ids, links, headings and open elements of a page, and fails on a wrong closing tag."""

    VOID = frozenset(
        {"br", "img", "input", "meta", "link", "hr", "path", "rect", "line", "polyline", "polygon"}
    )

    def __init__(self, html: str) -> None:
        super().__init__()
        self.ids: list[str] = []
        self.links: list[str] = []
        self.styled: list[str] = []
        self.open: list[str] = []
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        named = dict(attrs)
        self.ids += [named["id"] or ""] if "id" in named else []
        self.links += [named["href"] or ""] if tag == "a" else []
        self.styled += [tag for name in named if name == "style" or name.startswith("on")]
        if tag not in self.VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        if tag not in self.VOID:
            self.open.pop()

    def handle_endtag(self, tag: str) -> None:
        if tag not in self.VOID:
            assert self.open.pop() == tag


@pytest.fixture(scope="module")
def pages() -> dict[str, PageSpec]:
    made = build_pages(site_fixture.book(), site_fixture.results(), BUILD)
    return {page.uri: page for page in made}


def words(html: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", html).split())


def test_the_core_imports_nothing_of_the_site_generator() -> None:
    code = "import sys, slowfolio.site.pages; print([m for m in sys.modules if m.startswith('mkdocs')])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_every_card_has_a_page(pages: dict[str, PageSpec]) -> None:
    assert set(pages) == set(page_uris(site_fixture.book())) - set(HAND_WRITTEN)
    for uri in (
        "methods/boat.md",
        "pits/offset.md",
        "holders/cabinet.md",
        "wraps/boat.md",
        "cuts/packer-brisket.md",
    ):
        assert uri in pages


def test_every_link_leads_to_a_page_or_a_place_on_one(pages: dict[str, PageSpec]) -> None:
    read = {page_address(uri): Reader(page.html) for uri, page in pages.items()}
    known = set(read) | {page_address(uri) for uri in HAND_WRITTEN} | {FEED}
    for address, page in read.items():
        for link in page.links:
            target, _, anchor = link.partition("#")
            target = target.partition("?")[0]
            full = address if not target else resolved(address, target)
            assert full in known, f"{link} on {address}"
            if anchor and full in read:
                assert anchor in read[full].ids, f"{link} on {address}"


def resolved(address: str, target: str) -> str:
    parts = address.split("/")[:-1]
    for step in target.split("/"):
        if step == "..":
            parts.pop()
        else:
            parts.append(step)
    return "/".join(parts)


def test_pages_are_well_formed_with_ids_that_are_unique(pages: dict[str, PageSpec]) -> None:
    for uri, page in pages.items():
        read = Reader(page.html)
        assert read.open == [], uri
        assert len(read.ids) == len(set(read.ids)), uri
        assert read.styled == [], f"{uri} carries an inline style or handler, which the policy refuses"


def test_a_link_to_a_page_that_is_not_there_raises() -> None:
    links = Links.to(["index.md", "pits/offset.md"])
    assert links.href("pits/offset.md", "index.md") == "../index.html"
    assert links.href("index.md", "pits/offset.md#set-up") == "pits/offset.html#set-up"
    with pytest.raises(UnknownPage, match=r"pits/kettle\.md.*linked from 'index\.md'"):
        links.href("index.md", "pits/kettle.md")


def test_a_method_that_refers_to_a_missing_card_does_not_build() -> None:
    book = site_fixture.book(replace(site_fixture.BOATED, pit="no-such-pit"))
    with pytest.raises(LookupError):
        build_pages(book, {}, BUILD)


def test_a_method_page_holds_all_that_the_card_says(pages: dict[str, PageSpec]) -> None:
    text = words(pages["methods/boat.md"].html)
    method = site_fixture.BOATED
    said = [
        method.title,
        method.choose_when,
        *method.also_called,
        *method.handling,
        *method.cautions,
        *method.allergens,
        *method.sources,
        *(item.item for item in method.seasoning),
        *(line for stage in method.stages for line in (*stage.look_for, stage.why, *stage.cautions)),
        site_fixture.VENT.why,
        site_fixture.VENT.where,
        site_fixture.HOLD.why,
        "House standard",
        "Revision 3",
        "3 October 2026",
        "cards/brisket/boat.yaml",
    ]
    for line in said:
        assert " ".join(line.split()) in text, line


def test_the_parts_of_a_method_page_come_in_the_order_a_cook_asks(pages: dict[str, PageSpec]) -> None:
    order = [anchor for anchor, _ in pages["methods/boat.md"].outline.headings]
    wanted = ["timeline", "piece", "steps", "hold", "outcome", "inside", "what-moves-the-finish", "cautions"]
    assert [anchor for anchor in order if anchor in wanted] == wanted


def test_every_computed_figure_of_the_strip_has_its_spread_and_its_mark(pages: dict[str, PageSpec]) -> None:
    html = pages["methods/boat.md"].html.split("</dl>\n</section>")[0]
    items = html.split('class="glance__item"')[1:]
    computed = [item for item in items if "tag--computed" in item and "Food rules" not in item]
    assert len(computed) == 4
    for item in computed:
        assert "glance__spread" in item
    assert all('class="tag tag--' in item for item in items)


def test_every_mark_leads_to_a_note_that_names_its_source(pages: dict[str, PageSpec]) -> None:
    for page in pages.values():
        marks = set(re.findall(r'class="tag tag--\w+" href="#(note-\d+)"', page.html))
        notes = set(re.findall(r'<li id="(note-\d+)">', page.html))
        assert marks <= notes, page.uri
    assert "fixture engine 0" in pages["methods/boat.md"].html


def test_every_quantity_with_a_unit_is_there_in_both_systems(pages: dict[str, PageSpec]) -> None:
    for uri in ("methods/boat.md", "pits/offset.md", "holders/cabinet.md", "cuts/packer-brisket.md"):
        html = pages[uri].html
        assert html.count('class="u-us"') == html.count('class="u-si"') > 0, uri
    assert "250 °F" in pages["methods/boat.md"].html
    assert "121 °C" in pages["methods/boat.md"].html


def test_a_method_without_a_result_says_so_and_still_reads() -> None:
    made = build_pages(site_fixture.book(), {}, BUILD)
    page = next(page for page in made if page.uri == "methods/boat.md")
    text = words(page.html)
    assert "Not computed." in text
    assert "A probe slides in like into soft butter" in text
    assert "tag--computed" not in page.html


def test_a_withdrawn_method_says_so_first(pages: dict[str, PageSpec]) -> None:
    text = words(pages["methods/old-turkey.md"].html)
    assert "Withdrawn." in text
    assert text.index("Withdrawn.") < text.index("Steps")


def test_a_method_without_hold_or_rest_has_none_on_its_page(pages: dict[str, PageSpec]) -> None:
    anchors = [anchor for anchor, _ in pages["methods/bare.md"].outline.headings]
    assert "hold" not in anchors
    assert "Vent and rest" not in pages["methods/bare.md"].html


def test_a_step_that_runs_into_its_limit_says_so(pages: dict[str, PageSpec]) -> None:
    assert "Most simulated cooks had not reached the target" in pages["methods/bare.md"].html
    assert "Most simulated cooks had not reached the target" not in pages["methods/boat.md"].html


def test_a_book_without_methods_shows_how_to_begin() -> None:
    empty = replace(site_fixture.book(), methods={})
    home = build_pages(empty, {}, BUILD)[0]
    assert "No method in this book yet." in home.html
    assert 'href="contribute.html"' in home.html


def test_equipment_says_where_every_figure_comes_from(pages: dict[str, PageSpec]) -> None:
    html = pages["pits/offset.md"].html
    figures = html.split('<dl class="figures" data-search-exclude>')[1].split("</dl>")[0].split("<div>")[1:]
    assert len(figures) == 12
    for row in figures:
        assert re.search(
            r"<strong>(computed|measured|published|practice|claimed)</strong> invented for a test", row
        )


def test_equipment_lists_the_methods_that_use_it(pages: dict[str, PageSpec]) -> None:
    assert "../methods/boat.html" in pages["holders/cabinet.md"].html
    assert "../methods/paper.html" not in pages["holders/cabinet.md"].html
    assert "../methods/paper.html" in pages["pits/oven.md"].html
    assert "No method of this book uses it yet." in words(
        next(
            p
            for p in build_pages(replace(site_fixture.book(), methods={}), {}, BUILD)
            if p.uri == "pits/oven.md"
        ).html
    )


def test_the_finder_carries_what_the_script_reads(pages: dict[str, PageSpec]) -> None:
    entries = pages["index.md"].html.split('<li class="entry"')[1:]
    assert len(entries) == 4
    paper = next(entry for entry in entries if "butcher paper with tallow" in entry)
    for attribute in (
        'data-cut="packer-brisket"',
        'data-wrap="paper-tallow"',
        'data-pit="offset oven"',
        'data-holder="oven-pan"',
        'data-status="on-trial"',
        'data-bark="',
        'data-yield="0.58',
    ):
        assert attribute in paper
    assert "tallow brisket" in re.search(r'data-text="([^"]*)"', paper).group(1)  # type: ignore[union-attr]
    assert "data-hours" not in entries[-1], "the withdrawn method is last and has no result"


@pytest.mark.parametrize("target_c", [80.0, 86.7, 89.0, 93.3, 98.0])
def test_a_method_works_as_high_as_water_boils_above_its_core_targets(target_c: float) -> None:
    """Heights and boiling points of the standard atmosphere (tests/reference/boiling_point_altitude.csv)."""
    until = replace(site_fixture.BARE.stages[-1].until, core_temp_c=target_c)
    stages = (site_fixture.SMOKE, replace(site_fixture.BARE.stages[-1], until=until))
    highest = highest_place_m(replace(site_fixture.BARE, stages=stages))
    with (Path(__file__).parent / "reference" / "boiling_point_altitude.csv").open() as file:
        rows = list(csv.DictReader(line for line in file if not line.startswith("#")))
    boils = {float(row["altitude_m"]): float(row["boil_c"]) for row in rows}
    assert highest is not None
    for height_m, boiling_c in boils.items():
        if height_m <= highest:
            assert boiling_c > target_c
        if height_m >= highest + 500:
            assert highest == HEIGHTS_M[-1] or boiling_c <= target_c


def test_a_method_that_only_runs_by_the_clock_works_at_any_height() -> None:
    assert highest_place_m(replace(site_fixture.BARE, stages=(site_fixture.SMOKE,))) is None


def test_every_field_of_every_schema_is_in_the_reference(pages: dict[str, PageSpec]) -> None:
    html = pages["fields.md"].html
    for name, schema in BUILD.schemas.items():
        if name != "common.schema.json":
            for field in schema["properties"]:
                assert f"<code>{field}" in html, f"{field} of {name}"
    assert "stages[ ].until.core_temperature" in html


def test_every_code_of_a_check_has_its_place(pages: dict[str, PageSpec]) -> None:
    ids = Reader(pages["checks.md"].html).ids
    for code in all_codes():
        assert code.name in ids
        assert code.page == f"checks.html#{code.name}"


def test_a_spread_of_nothing_is_not_shown() -> None:
    certain = Figure(14400.0, "duration", Provenance.COMPUTED, 14390.0, 14410.0, "engine")
    assert shown(certain, Notes()).spread is None
    assert shown(replace(certain, low=13000.0, high=16000.0), Notes()).spread is not None


def test_computed_times_are_said_as_a_cook_would() -> None:
    figure = Figure(47_333.0, "duration", Provenance.COMPUTED, 43_111.0, 52_222.0, "engine")
    said = shown(figure, Notes())
    assert said.text.us == "13 h 10 min"
    assert said.spread is not None
    assert said.spread.us == "12–14½ h"


@pytest.mark.parametrize(
    ("low_s", "high_s", "said"),
    [
        (1500, 2700, "25–45 min"),
        (2700, 4500, "¾–1¼ h"),
        (36_000, 36_100, "10 h"),
        (80_000, 90_000, "22¼–25 h"),
    ],
)
def test_a_range_of_hours_is_said_in_quarters(low_s: float, high_s: float, said: str) -> None:
    assert span_of_hours(Range(low_s, high_s)) == said


def test_an_unknown_dimension_does_not_reach_a_page() -> None:
    with pytest.raises(ValueError, match="furlongs"):
        both("furlongs", 1.0)


def test_notes_name_an_origin_once() -> None:
    notes = Notes()
    first = notes.tag(Provenance.PRACTICE, "common practice, no source")
    again = notes.tag(Provenance.PRACTICE, "common practice, no source")
    other = notes.tag(Provenance.COMPUTED, "common practice, no source")
    assert first == again != other
    assert [note.number for note in notes.listed()] == [1, 2]


def test_an_anchor_holds_nothing_that_could_leave_an_attribute() -> None:
    assert anchor_of('beef "><script>') == "beef-script"
    assert anchor_of("«»") == "part"


class Exclusions(HTMLParser):
    """Finds what is kept from the search but holds an element of its own kind."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.open: list[tuple[str, bool]] = []
        self.wrong: list[str] = []
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag in Reader.VOID:
            return
        self.wrong += [tag for outer, excluded in self.open if excluded and outer == tag]
        self.open.append((tag, "data-search-exclude" in dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        if tag not in Reader.VOID:
            self.open.pop()


def test_what_is_kept_from_the_search_holds_no_element_of_its_own_kind(pages: dict[str, PageSpec]) -> None:
    """The theme's index takes the first closing tag of that kind for the end of what it leaves out."""
    for uri, page in pages.items():
        assert Exclusions(page.html).wrong == [], uri


def test_the_safety_box_puts_the_pressing_rule_first_and_defers(pages: dict[str, PageSpec]) -> None:
    from slowfolio.safety.verdict import DEFERENCE

    html = pages["methods/boat.md"].html
    text = words(html.split('id="safety"')[1].split('id="alternatives"')[0])
    assert re.findall(r'class="rule rule--(\w+)"', html) == ["red", "amber", "green"]
    assert "Invented authority, section 1 (2026)" in text
    assert "Not met in 60 of 100 computed cooks" in text  # 40 of 100 meet it
    assert DEFERENCE in text
    assert "1 of 2" in html, "an advisory is no rule of the authority"


@pytest.mark.parametrize(
    ("text", "us"),
    [
        ("falls to 40.5 °C (105.0 °F) (10th to 90th percentile 38.4 °C (101.2 °F) to 42.7 °C (109.0 °F))",
         "falls to 105.0 °F (40.5 °C) (10th to 90th percentile 101.2 °F (38.4 °C) to 109.0 °F (42.7 °C))"),
        ("from 10 to 54.4 °C (50 to 130 °F) within 6 h", "from 50 to 130 °F (10 to 54.4 °C) within 6 h"),
        ("a 6.5-log reduction", "a 6.5-log reduction"),
    ],
)  # fmt: skip
def test_a_verdict_s_temperatures_stand_in_the_reader_s_unit_first(text: str, us: str) -> None:
    said = reader_s_unit_first(text)
    assert (said.us, said.metric) == (us, text)


def test_no_page_says_safe_as_a_verdict(pages: dict[str, PageSpec]) -> None:
    for uri, page in pages.items():
        if uri.startswith(("methods/", "index", "compare")):
            assert not re.search(r"\b(is|are) safe\b|\bsafe to\b", words(page.html), re.IGNORECASE), uri
