"""At the pit in the real browser: the forecast of Python, all kept, two cooks, the log out and in."""

import csv
import io
import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from conftest import PHONE, SCREENSHOTS, TABLET, wait_until
from test_every_page import AXE, RULES, RUN_AXE

import cook_fixture
from slowfolio.forecast.carried import decode
from slowfolio.forecast.evidence import Reading
from slowfolio.forecast.retiming import Event, Kind
from slowfolio.forecast.update import forecast
from slowfolio.resources import schema_folder

pytestmark = pytest.mark.browser

START = datetime.fromisoformat("2026-12-05T05:10:00-06:00")
HOUR_MS, HOUR_S = 3_600_000, 3600.0
READY = "!!Slowfolio.pit.ensemble()"
AGREEMENT_S = 300.0


@contextmanager
def at_the_pit(visit: Callable[..., Any], address: str, **more: Any) -> Iterator[Any]:
    """The page of the boat method with a clock that the test moves, in the kitchen's time zone."""
    with visit("about:blank", timezone_id="America/Chicago", locale="en-US", **more) as seen:
        seen.page.clock.install(time=START)
        seen.page.goto(address + "at-the-pit/boat.html")
        wait_until(seen.page, READY)
        yield seen


def begin(page: Any, label: str = "Brisket") -> None:
    page.fill("#pit-label", label)
    page.click("text=It is on the pit")


def wait_hours(page: Any, hours: float) -> None:
    page.clock.fast_forward(int(hours * HOUR_MS))


def read(page: Any, place: str, degrees_f: float) -> None:
    page.check(f"#pit-place-{place}", force=True)
    page.fill("#pit-value", f"{degrees_f:g}")
    page.press("#pit-value", "Enter")


def log_of(page: Any) -> dict[str, Any]:
    found: dict[str, Any] = page.evaluate("Slowfolio.pit.cook().log")
    return found


def moment_s(text: str, log: dict[str, Any]) -> float:
    return (datetime.fromisoformat(text) - datetime.fromisoformat(log["started_at"])).total_seconds()


def python_events(log: dict[str, Any]) -> list[Event]:
    """Marks and deviations of a log as the engine's side reads them."""
    carried = cook_fixture.carried()["boat"]
    marks = [
        Event(moment_s(stage["ended_at"], log), Kind.STAGE_ENDED, index, stage["ended"] == "as asked")
        for index, stage in enumerate(log["stages"][: len(carried.stages)])
        if stage["ended_at"]
    ]
    others = [
        Event(moment_s(event["at"], log), Kind(event["kind"]), temp_c=event["temp_c"] or 0.0)
        for event in log["events"]
    ]
    return [*marks, *others]


def test_the_page_forecasts_as_python_does_from_a_folder(from_folder: str, visit: Callable[..., Any]) -> None:
    """The same log through `forecast.update`: every percentile of every window within five minutes."""
    with at_the_pit(visit, from_folder) as seen:
        page = seen.page
        begin(page)
        for hours, place, degrees in ((2, "thick", 118), (1, "thin", 150), (0, "pit", 262)):
            wait_hours(page, hours)
            read(page, place, degrees)
        wait_hours(page, 1.0)
        page.click("text=Smoke is over")
        wait_hours(page, 0.5)
        page.click("summary:has-text('Something else happened')")
        page.click("text=Power cut, or the fire is out")
        wait_hours(page, 0.75)
        page.click("text=Heat is back")
        wait_hours(page, 1.0)
        read(page, "thick", 171)
        log = log_of(page)
        found = page.evaluate(
            "(() => { const f = Slowfolio.pit.forecast(); return {now: f.now_s, windows:"
            " f.windows.map(w => [0.1, 0.5, 0.9].map(w.percentile)), effective: f.effective}; })()"
        )
        assert seen.complaints == []
    readings = [Reading(moment_s(r["at"], log), r["place"], r["temp_c"]) for r in log["readings"]]
    ours = forecast(decode(cook_fixture.carried()["boat"]), readings, python_events(log), now_s=found["now"])
    assert len(log["readings"]) == 4
    assert len(found["windows"]) == len(ours.windows)
    for theirs, window in zip(found["windows"], ours.windows, strict=True):
        for share, value in zip((0.1, 0.5, 0.9), theirs, strict=True):
            assert value == pytest.approx(window.percentile_s(share), abs=AGREEMENT_S)
    assert found["effective"] == pytest.approx(ours.effective, rel=0.01)


def test_everything_typed_survives_a_reload(over_http: str, visit: Callable[..., Any]) -> None:
    with at_the_pit(visit, over_http) as seen:
        page = seen.page
        begin(page, "Kept")
        wait_hours(page, 2)
        read(page, "thick", 118)
        page.click("summary:has-text('Notes and log')")
        page.fill("#pit-note", "bark tacky")
        page.locator("[data-part=note] button").click()
        page.fill("#pit-minutes", "30")
        page.locator("[data-part=timer] button").click()
        before = log_of(page)
        page.reload()
        wait_until(page, READY)
        after = log_of(page)
        assert {**after, "exported_at": ""} == {**before, "exported_at": ""}
        assert after["notes"][0]["text"] == "bark tacky"
        assert "Kept" in page.inner_text("[data-says=label]")
        assert "Timer" in page.inner_text("[data-says=timers]")
        wait_hours(page, 0.6)
        assert "due since" in page.inner_text("[data-says=timers]")


SPIES = """
  window.heard = {shakes: 0, notes: 0, locks: []};
  Navigator.prototype.vibrate = () => { heard.shakes += 1; return true; };
  const start = OscillatorNode.prototype.start;
  OscillatorNode.prototype.start = function (...at) { heard.notes += 1; return start.apply(this, at); };
  Object.defineProperty(Navigator.prototype, 'wakeLock', {get: () => ({request: async (what) => {
    heard.locks.push(what);
    return {released: false, release: async () => {}};
  }})});
"""


def test_a_timer_rings_aloud_and_shakes_and_the_screen_is_asked_to_stay_on(
    over_http: str, visit: Callable[..., Any]
) -> None:
    """By the page's own calls of the Web Audio, Vibration and Screen Wake Lock standards (W3C)."""
    with visit("about:blank", timezone_id="America/Chicago", locale="en-US") as seen:
        page = seen.page
        page.add_init_script(SPIES)
        page.clock.install(time=START)
        page.goto(over_http + "at-the-pit/boat.html")
        wait_until(page, READY)
        begin(page)
        page.click("text=Keep the screen on")
        wait_until(page, "document.querySelector('[data-act=awake]').getAttribute('aria-pressed') === 'true'")
        page.fill("#pit-minutes", "10")
        page.fill("#pit-for", "Turn it")
        page.press("#pit-for", "Enter")
        wait_hours(page, 9 / 60)
        assert page.evaluate("heard.shakes + heard.notes") == 0
        wait_hours(page, 1.1 / 60)
        wait_until(page, "heard.shakes > 0")
        assert page.evaluate("heard.notes") > 0
        ringing = page.locator(".pit__ringing")
        assert "Turn it" in ringing.inner_text()
        ringing.get_by_role("button", name="Done").click()
        assert page.locator(".pit__ringing").count() == 0
        assert page.evaluate("heard.locks") == ["screen"]


def test_two_cooks_run_side_by_side_and_keep_apart(over_http: str, visit: Callable[..., Any]) -> None:
    with at_the_pit(visit, over_http) as seen:
        page = seen.page
        begin(page, "First")
        wait_hours(page, 1)
        read(page, "thick", 70)
        page.click("text=Start another of these")
        begin(page, "Second")
        assert log_of(page)["readings"] == []
        page.locator(".pit__cooks").get_by_role("link", name="First", exact=True).click()
        wait_until(page, "Slowfolio.pit.cook().log.label === 'First'")
        assert len(log_of(page)["readings"]) == 1
        page.goto(over_http + "at-the-pit.html")
        assert page.locator("[data-part=cooks] li").count() == 2


def test_a_log_goes_out_by_its_schema_and_comes_back_the_same(
    over_http: str, visit: Callable[..., Any], tmp_path: Path
) -> None:
    schema = json.loads((schema_folder() / "output" / "cook-log.schema.json").read_text("utf-8"))
    with at_the_pit(visit, over_http) as seen:
        page = seen.page
        begin(page)
        wait_hours(page, 4)
        read(page, "thick", 140)
        page.click("text=Smoke is over")
        page.click("summary:has-text('Notes and log')")
        page.fill("#pit-note", '=1+1, "quoted"')
        page.locator("[data-part=note] button").click()
        page.click("summary:has-text('Something else happened')")
        page.fill("#pit-elsewhere", "300")
        page.press("#pit-elsewhere", "Enter")
        with page.expect_download() as saved:
            page.click("text=Save the log")
        file = tmp_path / "cook.json"
        saved.value.save_as(file)
        with page.expect_download() as table:
            page.click("text=Save as a table (CSV)")
        rows = list(csv.DictReader(io.StringIO(Path(table.value.path()).read_text("utf-8"))))
        log = json.loads(file.read_text("utf-8"))
        jsonschema.Draft202012Validator(schema).validate(log)
        assert log["started_at"].endswith("-06:00")
        assert len(log["forecasts"]) >= 3
        assert [row["temp_c"] for row in rows if row["what"] == "reading"] == ["60"]
        assert [row["detail"] for row in rows if row["what"] == "note"] == ['\'=1+1, "quoted"']
        page.once("dialog", lambda dialog: dialog.accept())
        page.click("text=Delete this cook")
        assert page.evaluate("Slowfolio.pit.cook()") is None
        page.set_input_files("#pit-import", file)
        wait_until(page, "Slowfolio.pit.cook() !== null")
        back = log_of(page)
        assert {**back, "exported_at": ""} == {**log, "exported_at": ""}


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("not json", "not JSON"),
        ('{"format": "other"}', "its format is"),
        ('{"format": "slowfolio cook log", "version": 2}', "its version is 2"),
        (
            '{"format":"slowfolio cook log","version":1,"id":"../../x","method":"boat"}',
            "its id is missing or broken",
        ),
    ],
)
def test_a_file_that_is_no_log_is_refused_with_the_reason(
    over_http: str, visit: Callable[..., Any], tmp_path: Path, text: str, words: str
) -> None:
    file = tmp_path / "wrong.json"
    file.write_text(text, encoding="utf-8")
    with at_the_pit(visit, over_http) as seen:
        seen.page.set_input_files("#pit-import", file)
        wait_until(seen.page, "!document.querySelector('[data-part=wrong]').hidden")
        assert words in seen.page.inner_text("[data-part=wrong]")
        assert seen.page.evaluate("Object.keys(localStorage).filter(n => n.includes('cook')).length") == 0


def test_a_reading_no_meat_can_have_is_refused_and_the_unit_is_asked_after(
    over_http: str, visit: Callable[..., Any]
) -> None:
    with at_the_pit(visit, over_http) as seen:
        page = seen.page
        begin(page)
        wait_hours(page, 3)
        page.click("[data-act=units]")
        read(page, "thick", 165)
        assert "Use °F" in page.inner_text("[data-says=refused]")
        assert log_of(page)["readings"] == []
        page.click("[data-act=units]")
        read(page, "thick", 138)
        assert log_of(page)["readings"][0]["temp_c"] == pytest.approx((138 - 32) / 1.8, abs=0.01)


def test_a_silly_reading_is_refused_with_what_is_wrong_with_it(
    over_http: str, visit: Callable[..., Any]
) -> None:
    """300 °C is no reading of meat in either unit; a time to come and one before the start are told apart."""
    with at_the_pit(visit, over_http) as seen:
        page = seen.page
        begin(page)
        wait_hours(page, 3)
        for degrees in (572, -10):
            read(page, "thick", degrees)
            refused = page.inner_text("[data-says=refused]")
            assert "hardly possible" in refused
            assert "type it again" in refused
            assert "Use °C" not in refused
        for moment, words in (
            ("2026-12-05T23:30", "23:30 is still to come; it is 08:1"),
            ("2026-12-05T04:00", "04:00 is before the piece went on, at 05:1"),
        ):
            page.fill("#pit-at", moment)
            read(page, "thick", 118)
            assert words in page.inner_text("[data-says=refused]")
        assert log_of(page)["readings"] == []


def test_a_slip_is_struck_out_where_it_is_told_and_the_window_is_as_before(
    over_http: str, visit: Callable[..., Any]
) -> None:
    with at_the_pit(visit, over_http) as seen:
        page = seen.page
        begin(page)
        wait_hours(page, 3)
        read(page, "thick", 131)
        pull = "Slowfolio.pit.forecast().pull.percentile"
        width = f"{pull}(.9) - {pull}(.1)"
        before = page.evaluate(width)
        read(page, "pit", 30)
        assert page.evaluate(width) > before
        page.click("text=Strike that reading out")
        assert "lies outside" not in page.inner_text("[data-says=finish]")
        assert page.evaluate(width) == pytest.approx(before, rel=0.02)
        assert [entry["place"] for entry in log_of(page)["readings"]] == ["thick"]


def test_late_and_early_are_told_with_what_can_still_be_done(
    over_http: str, visit: Callable[..., Any]
) -> None:
    with at_the_pit(visit, over_http) as seen:
        page = seen.page
        begin(page)
        wait_hours(page, 2)
        said = lambda: page.inner_text("[data-says=finish]")  # noqa: E731
        wanted = lambda moment: (page.fill("#pit-by", moment), page.press("#pit-by", "Tab"))  # noqa: E731
        wanted("2026-12-05T08:00")
        assert "It runs late" in said()
        assert "slice what is done first" in said()
        assert "It runs early" not in said()
        wanted("2026-12-07T12:00")
        assert "It runs early" in said()
        assert "the card allows a hold of" in said()
        assert "It runs late" not in said()
        wanted("2026-12-05T06:00")
        assert "06:00 has passed" in said()


def test_a_plan_leads_to_the_pit_with_the_hour_the_piece_is_wanted(
    over_http: str, visit: Callable[..., Any]
) -> None:
    with visit("about:blank", timezone_id="America/Chicago", locale="en-US") as seen:
        page = seen.page
        page.clock.install(time=START)
        page.goto(over_http + "plan.html?m=boat&serve=2026-12-06T13:00")
        wait_until(page, "!!Slowfolio.plan?.current()")
        page.click("text=Run it at the pit")
        page.wait_for_url("**/at-the-pit/**")
        wait_until(page, READY)
        begin(page)
        page.reload()
        wait_until(page, READY)
        assert page.input_value("#pit-by") == "2026-12-06T12:35"
        assert "to be rested by Sun 12:35" in page.inner_text("[data-says=finish]")
        assert seen.complaints == []


def test_no_stage_is_said_to_last_longer_than_its_card_allows(
    over_http: str, visit: Callable[..., Any]
) -> None:
    """A reading far off widens the window, but the rest still ends by the clock of the card."""
    with at_the_pit(visit, over_http) as seen:
        page = seen.page
        begin(page)
        wait_hours(page, 3)
        read(page, "pit", 30)
        page.click("text=Smoke is over")
        page.click("[data-part=act] button:has-text('Before that')")
        stage = page.evaluate(
            "Slowfolio.pitState.data.stages[Slowfolio.pitShow.stageOf(Slowfolio.pit.cook().log)]"
        )
        assert stage["kind"] == "vent"
        latest, limit = page.evaluate(
            "(() => { const {cook, latest} = Slowfolio.pitState.here, {data} = Slowfolio.pitState;"
            " const w = latest.windows[0], kept = cook.log.stages[w.stage];"
            " return [Slowfolio.pitForecast.endOf(w, 0.99, cook.log, data),"
            " Date.parse(kept.started_at) + 1000 * data.stages[w.stage].at_most_s]; })()"
        )
        assert latest <= limit


def test_a_reading_outside_all_members_is_said(over_http: str, visit: Callable[..., Any]) -> None:
    with at_the_pit(visit, over_http) as seen:
        page = seen.page
        begin(page)
        wait_hours(page, 3)
        read(page, "thick", 230)
        assert "lies outside all" in page.inner_text("[data-says=finish]")
        assert log_of(page)["forecasts"][-1]["outside"] is True


def test_a_long_cut_breaks_the_come_up_and_names_the_rule(over_http: str, visit: Callable[..., Any]) -> None:
    with at_the_pit(visit, over_http) as seen:
        page = seen.page
        begin(page)
        wait_hours(page, 1)
        page.click("summary:has-text('Something else happened')")
        page.click("text=Power cut, or the fire is out")
        wait_hours(page, 7)
        assert "The heat is out" in page.inner_text("[data-says=finish]")
        page.click("text=Heat is back")
        assert "The heat is out" not in page.inner_text("[data-says=finish]")
        rules = page.inner_text("[data-says=rules]")
        assert "Come-up of the surface" in rules
        assert "not met" in rules
        assert "USDA FSIS" in rules


def test_a_step_taken_by_mistake_is_taken_back(over_http: str, visit: Callable[..., Any]) -> None:
    with at_the_pit(visit, over_http) as seen:
        page = seen.page
        begin(page)
        wait_hours(page, 1)
        page.click("text=Smoke is over")
        assert [stage["ended"] for stage in log_of(page)["stages"][:2]] == ["early", None]
        page.click("text=Back to Smoke")
        stages = log_of(page)["stages"]
        assert stages[0]["ended_at"] is None
        assert stages[1]["started_at"] is None


def test_without_scripts_every_step_can_be_read(over_http: str, visit: Callable[..., Any]) -> None:
    with visit(over_http + "at-the-pit/boat.html", java_script_enabled=False) as seen:
        text = seen.page.inner_text("main, .sheet")
        for words in ("Before it goes on", "Smoke", "Boat", "Hold", "Slice and serve", "need JavaScript"):
            assert words in text
        assert not seen.page.locator("#pit-value").is_visible()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize(("screen", "size"), [("tablet", TABLET), ("phone", PHONE)])
def test_a_running_cook_is_accessible_large_and_within_the_screen(
    over_http: str, visit: Callable[..., Any], screen: str, size: tuple[int, int], scheme: str
) -> None:
    """WCAG 2.2 A and AA by axe-core; type of 20 px and targets of 48 px, as the site's design asks."""
    small = """() => [...document.querySelectorAll('.pit *')].filter(e => e.checkVisibility()
      && [...e.childNodes].some(n => n.nodeType === 3 && n.textContent.trim())
      && parseFloat(getComputedStyle(e).fontSize) < 19.9).map(e => e.outerHTML.slice(0, 90))"""
    low = """() => [...document.querySelectorAll('.pit button, .pit .pit-button, .pit summary,'
      + '.pit input:not([type=file]), .pit__back a, .pit__list a')].filter(e => e.checkVisibility())
      .map(e => [e.outerHTML.slice(0, 80), e.getBoundingClientRect().height])
      .filter(([, height]) => height < 47.5)"""
    with at_the_pit(visit, over_http, size=size, scheme=scheme) as seen:
        page = seen.page
        begin(page)
        wait_hours(page, 3)
        read(page, "thick", 131)
        wait_hours(page, 1.01)
        for name in ("Something else happened", "Notes and log"):
            page.click(f"summary:has-text('{name}')")
        page.evaluate(AXE.read_text("utf-8"))
        faults = page.evaluate(RUN_AXE, RULES)
        assert faults == []
        assert page.evaluate(small) == []
        assert page.evaluate(low) == []
        assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
        SCREENSHOTS.mkdir(exist_ok=True)
        page.screenshot(path=SCREENSHOTS / f"running-cook-{screen}-{scheme}.png", full_page=True)
        assert seen.complaints == []
