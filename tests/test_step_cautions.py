"""The usual cautions stand at the step that needs them, whatever the card says itself."""

from dataclasses import replace

import pytest

import site_fixture
from slowfolio.book.model import Book, Hold, Method
from slowfolio.enrich.step_cautions import (
    SHORT,
    MethodCautions,
    StepCaution,
    burns_fuel,
    burns_solid_fuel,
    method_cautions,
)
from slowfolio.safety.cautions import cautions
from slowfolio.safety.thermometer import boiling_point_at_c
from slowfolio.site.links import Links
from slowfolio.site.method_page import method_page
from slowfolio.site.pages import BuildInfo, build_pages, page_uris
from slowfolio.site.print_card import print_card


@pytest.fixture(scope="module")
def book() -> Book:
    return site_fixture.book()


@pytest.fixture(scope="module")
def boat(book: Book) -> Method:
    """Bare over a wood fire, then in a foil boat, vented, and held in a cabinet."""
    return book.methods["boat"]


def topics(step: tuple[StepCaution, ...]) -> list[str]:
    return [one.topic for one in step]


def first_stage(book: Book, method: Method, **changes: object) -> list[str]:
    stages = (replace(method.stages[0], **changes), *method.stages[1:])  # type: ignore[arg-type]
    return topics(method_cautions(replace(method, stages=stages), book).steps[0])


def text_of(cautions_at: MethodCautions, part: str, topic: str) -> str:
    return next(one.text for one in getattr(cautions_at, part) if one.topic == topic)


def test_there_is_a_step_for_each_stage_the_rest_and_the_hold(book: Book) -> None:
    for method in book.methods.values():
        expected = len(method.stages) + (method.vent is not None) + (method.hold is not None)
        assert len(method_cautions(method, book).steps) == expected


def test_a_wood_fire_brings_carbon_monoxide_clean_wood_and_grease_to_the_first_step(
    book: Book, boat: Method
) -> None:
    first, *others = method_cautions(boat, book).steps
    assert {"carbon monoxide", "wood", "grease fire", "cross-contamination"} <= set(topics(first))
    assert all("carbon monoxide" not in topics(step) for step in others)
    assert topics(method_cautions(boat, book).after) == ["leftovers", "ash", "carbon monoxide"]


@pytest.mark.parametrize(
    ("fuel", "burns", "coals"),
    [
        ("seasoned oak splits", True, True),
        ("hardwood pellets", True, True),
        ("propane", True, False),
        ("natural gas", True, False),
        ("propane, hardwood chunks for smoke", True, True),
        ("electricity", False, False),
        ("electricity, hardwood chips for smoke", True, True),
    ],
)
def test_fuel_decides_what_fire_cautions_apply(
    book: Book, boat: Method, fuel: str, burns: bool, coals: bool
) -> None:
    method = replace(boat, fuel=fuel)
    pit = book.pits[boat.pit]
    assert (burns_fuel(method, pit), burns_solid_fuel(method, pit)) == (burns, coals)
    placed = method_cautions(method, book)
    assert ("carbon monoxide" in topics(placed.steps[0])) == burns
    assert ("wood" in topics(placed.steps[0])) == coals
    assert ("ash" in topics(placed.after)) == coals


def test_a_second_fire_brings_its_cautions_again(book: Book, boat: Method) -> None:
    """A stage moved to another pit, whose own fuels count."""
    charcoal = replace(book.pits[boat.pit], id="drum", fuels=("lump charcoal with wood chunks",))
    more = replace(book, pits={**book.pits, "drum": charcoal})
    stages = (boat.stages[0], replace(boat.stages[1], pit="drum"), *boat.stages[2:])
    placed = method_cautions(replace(boat, stages=stages, fuel="electricity"), more)
    assert "carbon monoxide" not in topics(placed.steps[0])
    assert "carbon monoxide" in topics(placed.steps[1])


def test_hot_fat_and_steam_stand_where_foil_is_put_on_opened_or_carried(book: Book, boat: Method) -> None:
    steps = method_cautions(boat, book).steps
    bare = [stage.wrap == "none" for stage in boat.stages]
    assert bare[0]
    assert "burns" not in topics(steps[0])
    wrapped = bare.index(False)
    assert all("burns" in topics(step) for step in steps[wrapped:])
    unwrapped = replace(boat, stages=tuple(replace(stage, wrap="none") for stage in boat.stages))
    assert all("burns" not in topics(step) for step in method_cautions(unwrapped, book).steps[:wrapped])


def test_a_pan_of_fat_that_comes_out_brings_its_caution(book: Book, boat: Method) -> None:
    pan_first = replace(boat.stages[0], water_pan=True)
    dry_after = replace(boat.stages[0], name="then dry", water_pan=False)
    placed = method_cautions(replace(boat, stages=(pan_first, dry_after), vent=None, hold=None), book)
    assert "burns" in topics(placed.steps[1])


def test_probing_is_said_once_and_the_thermometer_s_error_where_the_cook_ends(
    book: Book, boat: Method
) -> None:
    stages = method_cautions(boat, book).steps[: len(boat.stages)]
    assert sum("where to probe" in topics(step) for step in stages) == 1
    assert sum("thermometer critical limit" in topics(step) for step in stages) == 1
    assert "thermometer critical limit" in topics(stages[-1])


def test_the_hold_is_probed_too_and_a_cool_one_names_susceptible_guests(book: Book, boat: Method) -> None:
    """60 °C is where the NACMCF sets no limit of time (safety.hot_hold)."""
    assert isinstance(boat.hold, Hold)
    warm = method_cautions(replace(boat, hold=replace(boat.hold, air_temp_c=66.0)), book).steps[-1]
    cool = method_cautions(replace(boat, hold=replace(boat.hold, air_temp_c=58.0)), book).steps[-1]
    assert "where to probe" in topics(warm)
    assert "vulnerable people" not in topics(warm)
    assert "vulnerable people" in topics(cool)
    assert "vulnerable people" in topics(method_cautions(boat, book).serving)


def test_allergens_are_named_with_what_brings_them(book: Book, boat: Method) -> None:
    placed = method_cautions(boat, book)
    for part in ("before", "serving"):
        text = text_of(placed, part, "allergens")
        assert all(allergen in text for allergen in boat.allergens)
        assert "yellow mustard" in text
    plain = replace(boat, allergens=(), seasoning=())
    assert "allergens" not in topics(method_cautions(plain, book).before)
    assert "lists none: read the labels" in text_of(method_cautions(plain, book), "serving", "allergens")


@pytest.mark.parametrize("altitude_m", [0.0, 120.0, 1609.0, 3000.0])
def test_boiling_water_is_checked_at_the_book_s_height(book: Book, boat: Method, altitude_m: float) -> None:
    """1609 m: 94.6 °C (tests/reference/boiling_point_altitude.csv)."""
    high = replace(book, card=replace(book.card, altitude_m=altitude_m))
    text = text_of(method_cautions(boat, high), "before", "thermometer boiling point")
    assert f"Water boils here at {boiling_point_at_c(altitude_m):.1f} °C" in text


def test_a_pit_outside_the_advised_range_is_told_so(book: Book, boat: Method) -> None:
    """USDA advice: 225 to 300 °F in a smoker (recalled)."""
    assert "oven/smoker temperature" not in first_stage(book, boat, pit_temp_c=121.0)
    assert "oven/smoker temperature" in first_stage(book, boat, pit_temp_c=93.0)
    assert "oven/smoker temperature" in first_stage(book, boat, pit_temp_c=160.0)


def test_raw_poultry_is_not_rinsed(book: Book, boat: Method) -> None:
    birds = replace(book, cuts={**book.cuts, boat.cut: replace(book.cuts[boat.cut], species="turkey")})
    assert "washing poultry" in topics(method_cautions(boat, birds).before)
    assert "washing poultry" not in topics(method_cautions(boat, book).before)


def test_every_topic_has_a_short_word_and_every_caution_a_source_and_a_standing(
    book: Book, boat: Method
) -> None:
    assert set(SHORT) == {item.topic for item in cautions()}
    placed = method_cautions(boat, book)
    everything = [
        *placed.before,
        *placed.serving,
        *placed.after,
        *(one for step in placed.steps for one in step),
    ]
    for one in everything:
        assert one.source
        assert ".csv" not in one.source
        assert one.standing
        assert one.short


def test_a_card_without_a_word_of_caution_still_shows_them_on_its_page(book: Book, boat: Method) -> None:
    silent = replace(boat, cautions=(), stages=tuple(replace(stage, cautions=()) for stage in boat.stages))
    quiet = replace(book, methods={**book.methods, boat.id: silent})
    pages = build_pages(quiet, {}, BuildInfo("0.0.test"))
    html = next(page.html for page in pages if page.uri == "methods/boat.md")
    first = html.split('id="step-1"')[1].split('id="step-2"')[0]
    assert "carbon monoxide until cold" in first
    assert "hot fat and steam" in html.split('id="serving"')[1]
    assert "Water boils here at 99.6 °C" in html.split('id="before-you-start"')[1].split('id="step-1"')[0]


def test_every_usual_caution_of_a_page_leads_to_a_note(book: Book, boat: Method) -> None:
    page = method_page(book, boat, None, (), Links.to(page_uris(book)))
    numbers = {note.number for note in page.notes}
    groups = [page.edges.before, *(step.usual for step in page.steps), page.edges.serving, page.edges.after]
    tags = [one.tag for group in groups for one in group.full]
    assert {tag.number for tag in tags} <= numbers
    assert {tag.provenance for tag in tags} == {"published", "practice"}


def test_a_caution_is_written_out_once_and_leads_back_there_wherever_it_counts_again(
    book: Book, boat: Method
) -> None:
    """Every placed caution is on the page, in full or by name, and none stands there in full twice."""
    page = method_page(book, boat, None, (), Links.to(page_uris(book)))
    shown = [page.edges.before, *(step.usual for step in page.steps), page.edges.serving, page.edges.after]
    anchors = ["before-you-start", *(f"step-{step.number}" for step in page.steps), "serving", "what-is-left"]
    placed = method_cautions(boat, book)
    groups = [placed.before, *placed.steps, placed.serving, placed.after]
    written: dict[str, str] = {}
    for anchor, group, seen in zip(anchors, groups, shown, strict=True):
        for one in group:
            if one.topic in written:
                assert (one.short, f"#{written[one.topic]}") in [
                    (link.text, link.href) for link in seen.again
                ]
            else:
                written[one.topic] = anchor
                assert one.text in [caution.text for caution in seen.full]
    texts = [caution.text for seen in shown for caution in seen.full]
    assert len(texts) == len(set(texts))
    assert sum(len(seen.again) for seen in shown) > 2
    assert "This method carries" in " ".join(caution.text for caution in page.edges.serving.full)


def test_the_print_card_names_them_at_the_stages(book: Book, boat: Method) -> None:
    card = print_card(book, boat, None, Links.to(page_uris(book)))
    assert "carbon monoxide" in card.stages[0].mind
    assert len(card.mind_later) == 2
    assert "hot fat and steam" in card.mind_later[0]
    silent = replace(boat, cautions=(), stages=tuple(replace(stage, cautions=()) for stage in boat.stages))
    assert len(print_card(book, silent, None, Links.to(page_uris(book))).cautions) == 2
