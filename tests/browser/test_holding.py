"""The Holding page in a real browser: its figures are those of the `hold` command, and how it is used."""

import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from conftest import PHONE, wait_until

sys.path.insert(0, str(Path(__file__).parents[1]))

import hold_fixture
from slowfolio.enrich.hold_words import setting_texts
from slowfolio.forecast.hold_advice import STAYS_SOFT, Advice, Wish, advise
from slowfolio.physics.cabinet_course import Spray
from slowfolio.units import System

pytestmark = pytest.mark.browser

Open = Callable[..., Any]
READY = "Boolean(Slowfolio.holding.advice && Slowfolio.holding.advice())"
ADVICE = "JSON.parse(JSON.stringify(Slowfolio.holding.advice()))"

CHOICES = [
    ("boat", "cabinet", Wish(65.6, hours=10.0)),
    ("boat", "cabinet", Wish(71.0, hours=6.5, humidity=0.3)),
    ("boat", "oven-pan", Wish(66.3, hours=8.0)),
    ("boat", "oven-pan", Wish(62.1, hours=3.0, humidity=0.6)),
    ("boat", "oven-pan", Wish(74.0, hours=12.0, humidity=0.9)),
    ("boat", "element-pan", Wish(65.6, hours=10.0)),
    ("boat", "element-pan", Wish(70.5, hours=5.0, humidity=0.45)),
    ("boat", "element-pan", Wish(63.0, hours=2.0, wrap="foil")),
    ("boat", "combi", Wish(68.2, hours=9.0)),
    ("boat", "combi", Wish(77.7, hours=4.0, humidity=0.72)),
    ("boat", "dry", Wish(66.0, hours=10.0)),
    ("boat", "dry", Wish(72.9, hours=1.0, wrap="foil")),
    ("paper", "oven-pan", Wish(60.9, hours=2.0)),
    ("paper", "cabinet", Wish(79.0, hours=16.0, wrap="foil")),
    ("paper", "element-pan", Wish(69.4, hours=14.0, humidity=0.2)),
    ("boat", "box", Wish(hours=3.0)),
    ("boat", "box", Wish(hours=3.0, bottle_litres=9.0, bottle_temp_c=90.0)),
    ("boat", "box", Wish(hours=1.0, bottle_litres=2.0, bottle_temp_c=62.3)),
    ("boat", "warm-combi", Wish(64.0, hours=8.0)),
    ("boat", "dry", Wish(66.0, hours=6.0, spray=Spray(0.06, 1800.0))),
    ("paper", "dry", Wish(71.0, hours=2.0, spray=Spray(0.24, 900.0))),
    ("boat", "oven-pan", Wish(66.3, hours=8.0, spray=Spray(0.03, 3600.0))),
    ("boat", "element-pan", Wish(63.0, hours=4.0, spray=Spray(0.12, 2700.0))),
    ("boat", "small", Wish(65.6, hours=3.0)),
]
WITHIN, AREA_M2 = 0.01, 1e-4
"""One per cent; of the water's area a square centimetre, for a pan next to nothing may do."""


def address(method: str, holder: str, wish: Wish) -> str:
    query = f"holding.html?m={method}&h={holder}&for={wish.hours}"
    query += f"&air={wish.air_temp_c}" if wish.air_temp_c is not None else ""
    query += f"&wrap={wish.wrap}" if wish.wrap else ""
    query += f"&rh={100 * wish.humidity:.0f}" if wish.humidity is not None else ""
    query += f"&spray={1000 * wish.spray.mass_kg:.0f}-{wish.spray.every_s / 60:.0f}" if wish.spray else ""
    return query + (f"&litres={wish.bottle_litres}&water={wish.bottle_temp_c}" if wish.bottle_litres else "")


def by_command(method: str, holder: str, wish: Wish) -> Advice:
    book = hold_fixture.book()
    card = book.methods[method]
    return advise(hold_fixture.table(card), card, book, book.holders[holder], wish)


def differences(said: dict[str, Any], ours: Advice) -> list[str]:
    """The figures of the page that are more than one per cent from the command's."""
    pairs: list[tuple[str, float | None, Any]] = [
        ("humidity", ours.humidity, said.get("humidity")),
        ("lowest reached", ours.reach_low, said.get("least")),
        ("highest reached", ours.reach_high, said.get("most")),
        ("dew point", ours.dew_point_c, said.get("dewPoint")),
        ("vapour temperature", ours.vapour_temp_c, said.get("vapourTemp")),
        ("humidity set", ours.set_humidity, said.get("setHumidity")),
        ("water of the pan", ours.pan_water_c, said.get("water")),
        ("refill", ours.refill_h, said.get("refill")),
        ("longest hold", ours.longest_h, said.get("longest")),
        ("box", ours.box_hours, said.get("box")),
        ("box by the litre", ours.box_hours_per_litre, said.get("perLitre")),
    ]
    low, high = said.get("swings") or (None, None)
    pairs += [("lowest between sprays", ours.humidity_low, low), ("highest", ours.humidity_high, high)]
    for name in ("loss", "crispness", "core_c", "coldest_c", "tenderness"):
        values = getattr(ours, name)
        for place in range(3 if values else 0):
            pairs.append((f"{name} {place}", values[place], said[name][place]))
    for window, mine in zip(said["windows"], ours.windows, strict=True):
        assert window["exists"] == mine.exists
        if mine.exists:
            pairs += [("window", mine.low, window["low"]), ("window", mine.high, window["high"])]
    wrong = [
        f"{name}: {page} for {command}"
        for name, command, page in pairs
        if command is not None and (page is None or abs(page - command) > WITHIN * abs(command) + 1e-9)
    ]
    area = ours.pan_area_m2 or 0.0
    if abs((said.get("pan") or 0.0) - area) > max(WITHIN * area, AREA_M2):
        wrong.append(f"pan: {said.get('pan')} for {area}")
    return wrong


@pytest.mark.parametrize("choice", CHOICES, ids=lambda choice: address(*choice).removeprefix("holding.html?"))
def test_the_page_s_figures_are_those_of_the_command_within_one_per_cent(
    from_folder: str, visit: Open, choice: tuple[str, str, Wish]
) -> None:
    """Opened from a folder, so that the figures come in with no server."""
    ours = by_command(*choice)
    with visit(from_folder + address(*choice)) as seen:
        wait_until(seen.page, READY)
        said = seen.page.evaluate(ADVICE)
        assert said["possible"] == ours.possible
        if ours.possible:
            assert differences(said, ours) == []
            assert said.get("reached", True) == (ours.reached or ours.box_hours is not None)
            assert said.get("staysSoft", False) == (STAYS_SOFT in ours.ended_by)
        else:
            assert "Not in this holder" in seen.page.locator("[data-slowfolio=hold-advice]").inner_text()
        assert seen.complaints == []


@pytest.mark.parametrize(
    "choice",
    [
        ("boat", "cabinet", Wish(65.6, hours=10.0)),
        ("paper", "oven-pan", Wish(65.6, hours=2.0, humidity=0.33)),
        ("boat", "element-pan", Wish(65.6, hours=16.0)),
        ("boat", "warm-combi", Wish(64.0, hours=8.0)),
        ("boat", "box", Wish(hours=3.0)),
        ("boat", "dry", Wish(65.6, hours=6.0, spray=Spray(0.06, 1800.0))),
        ("boat", "box", Wish(hours=3.0, bottle_litres=9.0, bottle_temp_c=90.0)),
    ],
    ids=["dial", "pan", "element", "off its dial", "box", "spray", "bottles"],
)
def test_the_settings_read_as_the_command_prints_them(
    from_folder: str, visit: Open, choice: tuple[str, str, Wish]
) -> None:
    with visit(from_folder + address(*choice)) as seen:
        wait_until(seen.page, READY)
        lines = seen.page.locator("ul.dial li").evaluate_all(
            "items => items.map(item => (item.querySelector('.u-us') || item).textContent)"
        )
        assert lines == setting_texts(by_command(*choice), System.US)


def test_a_change_of_the_controls_changes_figures_and_address(from_folder: str, visit: Open) -> None:
    with visit(from_folder + "holding.html?m=boat") as seen:
        page = seen.page
        wait_until(page, READY)
        assert page.locator("#hold-holder").input_value() == "cabinet"
        page.locator("#hold-holder").select_option("oven-pan")
        wait_until(page, "Slowfolio.holding.advice().pan >= 0")
        page.locator("#hold-wrap").select_option("foil")
        page.locator("#hold-hours").fill("4.5")
        wait_until(page, "new URLSearchParams(location.search).get('for') === '4.5'")
        asked = page.evaluate("Object.fromEntries(new URLSearchParams(location.search))")
        assert asked == {"m": "boat", "h": "oven-pan", "air": "65.60", "for": "4.5", "wrap": "foil"}
        assert page.locator("#hold-humidity").is_disabled()
        page.locator("#hold-auto").uncheck()
        page.locator("#hold-humidity").fill("40")
        wait_until(page, "new URLSearchParams(location.search).get('rh') === '40'")
        assert page.evaluate("Slowfolio.holding.advice().target") == pytest.approx(0.4)
        address = page.evaluate("location.href")
        assert seen.complaints == []
    with visit(address) as seen:
        wait_until(seen.page, READY)
        assert seen.page.locator("#hold-wrap").input_value() == "foil"
        assert seen.page.locator("#hold-hours").input_value() == "4.5"
        assert not seen.page.locator("#hold-auto").is_checked()


def test_water_is_sprayed_only_where_no_dial_keeps_the_humidity_and_bottles_stand_only_in_a_box(
    from_folder: str, visit: Open
) -> None:
    """As the command, which refuses a spray in a holder with a dial and bottles in one with heat."""
    shown = "name => document.querySelector(name).getBoundingClientRect().height > 0"
    with visit(from_folder + "holding.html?m=boat&h=dry") as seen:
        page = seen.page
        wait_until(page, READY)
        assert page.evaluate(shown, "#hold-spray")
        assert page.locator("#hold-every").is_disabled()
        before = page.evaluate("Slowfolio.holding.advice().humidity")
        page.locator("#hold-spray").select_option("120")
        wait_until(page, "Boolean(Slowfolio.holding.advice().swings)")
        assert page.evaluate("Slowfolio.holding.advice().humidity") > before
        assert "before a spray" in page.locator("#set-it ~ .section__body").inner_text()
        assert page.evaluate("new URLSearchParams(location.search).get('spray')") == "120-30"
        page.locator("#hold-holder").select_option("cabinet")
        wait_until(page, "Slowfolio.holding.advice().vapourTemp > 0")
        assert not page.evaluate(shown, "#hold-spray")
        page.locator("#hold-holder").select_option("box")
        wait_until(page, "Slowfolio.holding.advice().box > 0")
        assert not page.evaluate(shown, "#hold-air")
        hours = page.evaluate("Slowfolio.holding.advice().box")
        page.locator("#hold-litres").fill("10")
        wait_until(page, f"Slowfolio.holding.advice().box > {hours}")
        assert seen.complaints == []


def test_another_method_starts_from_its_own_card(over_http: str, visit: Open) -> None:
    with visit(over_http + "holding.html?m=boat&h=dry&for=3") as seen:
        wait_until(seen.page, READY)
        seen.page.locator("#hold-method").select_option("paper")
        wait_until(seen.page, "new URLSearchParams(location.search).get('m') === 'paper'")
        assert seen.page.locator("#hold-holder").input_value() == "oven-pan"
        assert seen.page.locator("#hold-hours").input_value() == "2"


def test_the_air_slider_counts_in_the_reader_s_degrees(over_http: str, visit: Open) -> None:
    with visit(over_http + "holding.html?m=boat&air=65.56") as seen:
        page = seen.page
        wait_until(page, READY)
        slider = page.locator("#hold-air")
        assert slider.input_value() == "150"
        page.locator("button[data-slowfolio=units]").click()
        wait_until(page, "document.querySelector('#hold-air').value === '66'")
        assert slider.get_attribute("aria-valuetext") == "66 °C"
        assert (slider.get_attribute("min"), slider.get_attribute("max")) == ("60", "85")
        slider.press("ArrowRight")
        wait_until(page, "Slowfolio.holding.wish.air === 67")


@pytest.mark.parametrize(
    "rest", ["m=no-such", "m=boat&h=no-such", "m=boat&air=nonsense&for=-3&rh=1e9&wrap=tent"]
)
def test_an_address_that_asks_for_nonsense_shows_a_card_s_own_hold(
    over_http: str, visit: Open, rest: str
) -> None:
    with visit(over_http + "holding.html?" + rest) as seen:
        wait_until(seen.page, READY)
        said = seen.page.evaluate(ADVICE)
        assert said["possible"]
        assert 0.0 < said["humidity"] <= 1.0
        assert seen.complaints == []


def test_figures_that_cannot_be_loaded_are_said_to_be_missing(over_http: str, visit: Open) -> None:
    with visit(over_http + "help.html") as seen:
        seen.page.route("**/holding-data/*", lambda route: route.abort())
        seen.page.goto(over_http + "holding.html")
        wait_until(seen.page, "document.body.textContent.includes('could not be loaded')")


def test_the_page_reads_without_javascript(over_http: str, visit: Open) -> None:
    with visit(over_http + "holding.html", java_script_enabled=False) as seen:
        text = seen.page.locator("article").inner_text()
        assert "Packer brisket in a foil boat, humid hold" in text
        assert "ater-vapour temperature" in text
        assert not seen.page.locator("form[data-slowfolio=holding]").is_visible()


def test_nothing_leaves_a_phone_s_screen_and_every_control_suits_a_finger(
    over_http: str, visit: Open
) -> None:
    measure = """() => [...document.querySelectorAll('.holding select, .holding input[type=range], .tick')]
      .map(e => e.getBoundingClientRect().height).filter(height => height > 0)"""
    controls = {"cabinet": 7, "dry": 9, "box": 6}
    for holder, count in controls.items():
        with visit(over_http + f"holding.html?m=boat&h={holder}", size=PHONE) as seen:
            wait_until(seen.page, READY)
            assert seen.page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
            heights = seen.page.evaluate(measure)
            assert len(heights) == count
            assert min(heights) >= 47.5


def test_the_page_with_its_figures_stays_within_its_budget(
    site_folder: Path, over_http: str, visit: Open
) -> None:
    """350 kB in all, on the first visit, with the heaviest holder there is."""
    with visit(over_http + "holding.html?m=boat&h=element-pan") as seen:
        wait_until(seen.page, READY)
        seen.page.wait_for_load_state("load")
        files = {
            url.removeprefix(over_http).split("?")[0] for url in seen.requests if url.startswith(over_http)
        }
    total = sum((site_folder / name).stat().st_size for name in files if (site_folder / name).is_file())
    own = [name for name in files if name.startswith(("holding", "assets/js/hold"))]
    assert len(own) >= 9
    ours = sum((site_folder / name).stat().st_size for name in own)
    assert ours < 200_000, ours
    assert total < 800_000, total
