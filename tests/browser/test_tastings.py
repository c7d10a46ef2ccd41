"""The design form in a real browser: the same test, powers, orders and codes as the command gives."""

import json
from collections.abc import Callable
from typing import Any

import pytest
from click.testing import CliRunner
from conftest import PHONE, wait_until

from slowfolio.cli.tasting import command
from slowfolio.tasting.lots import Lots

pytestmark = pytest.mark.browser

Open = Callable[..., Any]
READY = "Boolean(Slowfolio.tastingDesign.latest && Slowfolio.tastingDesign.latest())"
LATEST = "JSON.parse(JSON.stringify(Slowfolio.tastingDesign.latest()))"

DESIGNS: list[tuple[dict[str, str], list[str]]] = [
    ({"question": "differ"}, ["--question", "differ"]),
    ({"question": "differ", "test": "triangle", "tasters": "17"}, ["--test", "triangle", "--tasters", "17"]),
    (
        {"question": "swap", "test": "duo-trio", "difference": "0.4"},
        ["--test", "duo-trio", "--telling", "40 %"],
    ),
    ({"question": "more", "attribute": "bark", "tasters": "21"}, ["--attribute", "bark", "--tasters", "21"]),
    (
        {"question": "more", "attribute": "smoke", "direction": "boat"},
        ["--attribute", "smoke", "--expected-more", "boat"],
    ),
    ({"question": "preferred", "power": "1"}, ["--power", "90"]),
    (
        {"question": "preferred", "count": "4", "test": "preferences in pairs", "tasters": "31"},
        ["--test", "preferences-in-pairs", "--tasters", "31"],
    ),
    ({"question": "order", "count": "3", "tasters": "14"}, ["--tasters", "14"]),
    ({"question": "order", "count": "5"}, []),
    ({"question": "how much", "count": "3", "tasters": "20"}, ["--tasters", "20"]),
    ({"question": "how much", "difference": "1.5"}, ["--points", "1.5"]),
]
NAMES = ("boat", "paper", "foil", "bare", "tallow")
SEEDS = ("7", "4294967297")


def fill(page: Any, values: dict[str, str], seed: str) -> None:
    """Put values into the form, in an order in which each is on offer."""
    order = ("question", "count", "test", "attribute", "direction", "difference", "power", "tasters")
    count = int(values.get("count", "2"))
    for name in order[:2]:
        if name in values:
            page.locator(f"#tasting-{name}").select_option(values[name])
    for number in range(1, count + 1):
        page.locator(f"#tasting-product-{number}").fill(NAMES[number - 1])
    for name in order[2:]:
        if name == "tasters" and name in values:
            page.locator("#tasting-tasters").fill(values[name])
        elif name in values:
            page.locator(f"#tasting-{name}").select_option(values[name])
    page.locator("#tasting-seed").fill(seed)


def by_command(values: dict[str, str], arguments: list[str], seed: str) -> dict[str, Any]:
    count = int(values.get("count", "2"))
    asked = ["design", "--seed", seed, "--json"]
    asked += [] if "--question" in arguments else ["--question", values["question"].replace(" ", "-")]
    asked += [part for name in NAMES[:count] for part in ("--product", name)]
    result = CliRunner().invoke(command, [*asked, *arguments])
    assert result.exit_code == 0, result.output
    found: dict[str, Any] = json.loads(result.output)
    return found


def test_the_form_lays_out_what_the_command_lays_out(from_folder: str, visit: Open) -> None:
    """Eleven tastings, two seeds; opened from a folder, so that the tables come in with no server."""
    with visit(from_folder + "tastings.html") as seen:
        for number, (values, arguments) in enumerate(DESIGNS):
            seen.page.goto(from_folder + "tastings.html")
            wait_until(seen.page, READY)
            seed = SEEDS[number % 2]
            fill(seen.page, values, seed)
            said, ours = seen.page.evaluate(LATEST), by_command(values, arguments, seed)
            assert said["test"] == ours["test"], values
            assert said["tasters"] == ours["tasters"], values
            assert said["power"] == pytest.approx(ours["power"], abs=5e-5), values
            assert said["servings"] == ours["servings"], values
            assert [note.rstrip(".") for note in said["notes"]] == ours["notes"], values
            assert said["reason"] == ours["reason"], values
        assert seen.complaints == []


@pytest.mark.parametrize("seed", [0, 1, 5489, 2**32 - 1, 2**32, 2**53 - 1])
def test_lots_are_python_s(from_folder: str, visit: Open, seed: int) -> None:
    with visit(from_folder + "tastings.html") as seen:
        drawn = seen.page.evaluate(
            "seed => { const lots = Slowfolio.tastingLots.lots(seed);"
            " return Array.from({length: 700}, () => lots.below(1e9)); }",
            seed,
        )
    lots = Lots(seed)
    assert drawn == [lots.below(10**9) for _ in range(700)]


def test_sheets_hold_codes_and_the_key_alone_holds_names(over_http: str, visit: Open) -> None:
    with visit(over_http + "tastings.html") as seen:
        wait_until(seen.page, READY)
        fill(seen.page, {"question": "differ", "test": "triangle", "tasters": "6"}, "7")
        slips = seen.page.locator(".planned__tasters")
        slips.locator("summary").click()
        text = slips.inner_text()
        assert text.count("Taster ") == 6
        assert "boat" not in text
        assert "paper" not in text
        key = seen.page.locator(".planned__carver")
        assert key.get_attribute("open") is None
        key.locator("summary").click()
        assert key.inner_text().count("boat") == 9
        command_line = seen.page.locator(".planned__command code").inner_text()
        assert command_line.startswith("slowfolio tasting design --question differ")
        assert "--seed 7" in command_line


def test_what_cannot_be_laid_out_is_said(over_http: str, visit: Open) -> None:
    with visit(over_http + "tastings.html") as seen:
        page = seen.page
        wait_until(page, READY)
        stage = page.locator("[data-slowfolio=tasting-plan]")
        page.locator("#tasting-product-2").fill("boat")
        assert "Name each product once." in stage.inner_text()
        page.locator("#tasting-product-2").fill(" ")
        assert "Give every product a name." in stage.inner_text()
        page.locator("#tasting-product-2").fill("paper")
        page.locator("#tasting-tasters").fill("0")
        assert "from 1 to 500" in stage.inner_text()
        page.locator("#tasting-tasters").fill("400")
        assert "split the tasting" in stage.inner_text()
        page.locator("#tasting-tasters").fill("12")
        page.locator("#tasting-seed").fill("-3")
        assert "whole number as seed" in stage.inner_text()
        assert seen.complaints == []


def test_without_javascript_the_page_is_text_and_a_table(over_http: str, visit: Open) -> None:
    with visit(over_http + "tastings.html", size=PHONE, java_script_enabled=False) as seen:
        assert not seen.page.locator("form[data-slowfolio=tasting-design]").is_visible()
        text = seen.page.locator("main, .sheet").first.inner_text()
        for words in ("What was found", "How many tasters", "Serve alike", "12 tasters cannot settle"):
            assert words in text


def test_the_fields_of_the_form_can_be_hit_with_a_finger(over_http: str, visit: Open) -> None:
    targets = ".designer select, .designer input:not([type=checkbox]), .designer .tick"
    measure = """targets => [...document.querySelectorAll(targets)]
      .map(e => [e.id || e.textContent, e.getBoundingClientRect()])
      .filter(([, box]) => box.width > 0 && box.height < 47.5)
      .map(([name, box]) => name + ' ' + box.height)"""
    with visit(over_http + "tastings.html", size=PHONE) as seen:
        wait_until(seen.page, READY)
        assert seen.page.evaluate(measure, targets) == []
        assert seen.page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
