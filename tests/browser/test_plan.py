"""The Plan page in a real browser: its acts, portions and purchases are the planner's, and how it is used."""

import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from urllib.parse import urlencode
from zoneinfo import ZoneInfo

import pytest
from conftest import PHONE, wait_until
from test_every_page import AXE, RULES, RUN_AXE

sys.path.insert(0, str(Path(__file__).parents[1]))

from icalendar import Calendar

import hold_fixture
import plan_fixture
from slowfolio.book.model import Serving
from slowfolio.forecast.planning.arrange import Asked
from slowfolio.forecast.planning.calendar_file import NAMESPACE
from slowfolio.forecast.planning.clock import Clock
from slowfolio.forecast.planning.conflicts import Conflict
from slowfolio.forecast.planning.from_basis import KeptDish
from slowfolio.forecast.planning.kitchen import Resources
from slowfolio.forecast.planning.leads import Meat
from slowfolio.forecast.planning.lookup import holder_place, pit_place
from slowfolio.forecast.planning.order import OrderItem, PlaceAsked
from slowfolio.forecast.planning.places import Option
from slowfolio.forecast.planning.portions import Portions
from slowfolio.forecast.planning.prices import Extra, read_price, read_price_or_extra
from slowfolio.forecast.planning.purchase import Dish, Purchase, purchase_of
from slowfolio.forecast.planning.run_sheet import shown_share, who_words
from slowfolio.forecast.planning.service import ServicePlan, plan_service
from slowfolio.forecast.planning.times import CookTimes
from slowfolio.site.plan_data import plan_record, script
from slowfolio.units import System, format_duration, format_mass

pytestmark = pytest.mark.browser

Open = Callable[..., Any]
READY = "Boolean(Slowfolio.plan.current && Slowfolio.plan.current())"
SERVE = datetime(2031, 3, 8, 13, 0, tzinfo=UTC)
WITHIN_S = 300.0

CURRENT = """(() => {
  const plan = Slowfolio.plan.current();
  return JSON.parse(JSON.stringify({
    loads: plan.loads.map(l => ({name: l.work.name, at: l.at, by: l.by, chance: l.chance, acts: l.acts,
      fit: l.start.fit, earliest: l.start.earliest, latest: l.start.latest,
      held: l.hold.held, late: l.hold.late, pastCard: l.hold.pastCard, pastRule: l.hold.pastRule})),
    portions: plan.dishes.map(d => d.portions),
    purchase: plan.purchase, reason: plan.reason, conflicts: plan.conflicts, changes: plan.changes,
    notes: plan.notes}));
})()"""


@dataclass(frozen=True)
class Wanted:
    """What is asked of page and planner alike."""

    items: tuple[OrderItem, ...]
    confidence: float = 95
    cooks: int = 1
    extras: tuple[str, ...] = ()
    serve_at: tuple[str, ...] = ()

    def dues_s(self) -> list[float]:
        hours = [at or "13:00" for at in (*self.serve_at, *("",) * len(self.items))][: len(self.items)]
        return [3600.0 * (int(at[:2]) - 13) + 60.0 * int(at[3:]) for at in hours]

    def query(self, serve: str = "2031-03-08T13:00") -> str:
        pairs = [("serve", serve), ("sure", f"{self.confidence:g}"), ("cooks", str(self.cooks))]
        pairs += [("extras", ", ".join(self.extras))] if self.extras else []
        for item, at in zip(self.items, (*self.serve_at, *("",) * len(self.items)), strict=False):
            fields = {
                "guests": item.guests, "portion": item.portion_kg, "pieces": item.pieces,
                "weight": item.weight_kg, "price": item.price and item.price.text, "at": at,
                "frozen": "1" if item.meat is Meat.FROZEN else None,
            }  # fmt: skip
            pairs += [("m", item.method), ("d", urlencode({k: v for k, v in fields.items() if v}))]
        return urlencode(pairs)


USD = read_price("6.49 USD/lb")
CHOICES = {
    "as written": Wanted((OrderItem("boat"),)),
    "guests and prices": Wanted(
        (OrderItem("boat", guests=37, price=USD),), extras=("fuel=25 USD", "rolls=18.40 USD")
    ),
    "a light piece, very sure": Wanted((OrderItem("boat", weight_kg=5.45, pieces=2),), confidence=99),
    "a heavy frozen piece": Wanted((OrderItem("boat", weight_kg=6.8, meat=Meat.FROZEN),), confidence=80),
    "a hold cut short by the rule": Wanted((OrderItem("paper", guests=9, portion_kg=0.2),)),
    "no hold": Wanted((OrderItem("bare", guests=20),), confidence=90),
    "two dishes, two holders": Wanted((OrderItem("boat", guests=20), OrderItem("paper", pieces=1))),
    "twins that must be apart": Wanted((OrderItem("boat", pieces=1), OrderItem("boat", pieces=1))),
    "three dishes, two cooks": Wanted(
        (OrderItem("boat", pieces=1), OrderItem("paper", pieces=1), OrderItem("bare", pieces=1)),
        cooks=2,
        serve_at=("", "13:30", "14:30"),
    ),
    "more than the pit takes at a time": Wanted((OrderItem("boat", pieces=6),), cooks=2),
    "more than one cook can do": Wanted(tuple(OrderItem("bare", pieces=1) for _ in range(4))),
}


@dataclass(frozen=True)
class Ours:
    """The planner's answer."""

    plan: ServicePlan
    portions: Sequence[Portions]
    purchase: Purchase
    options: Sequence[Option]


def by_planner(wanted: Wanted) -> Ours:
    book = hold_fixture.book()
    asked = Asked(wanted.confidence / 100, float("-inf"))
    known: dict[tuple[str, float | None], CookTimes] = {}
    options, counted, dishes = [], [], []
    for item, due_s in zip(wanted.items, wanted.dues_s(), strict=True):
        method = book.methods[item.method]
        title = method.title
        others = sum(o.work.name == title or o.work.name.startswith(f"{title} (") for o in options)
        name = f"{title} ({others + 1})" if others else title
        key = (item.method, item.weight_kg)
        dish = KeptDish(item, plan_fixture.basis(method), book, known.get(key))
        known[key] = dish.times
        portions = dish.portions(asked, due_s)
        option = dish.option(portions.pieces, due_s)
        options.append(replace(option, work=replace(option.work, name=name)))
        counted.append(portions)
        dishes.append(Dish(name, method, book, portions, item.price))
    pits = {book.methods[i.method].pit for i in wanted.items}
    pits |= {s.pit for i in wanted.items for s in book.methods[i.method].stages if s.pit}
    places = {pit: pit_place(PlaceAsked(pit, pit), book) for pit in pits}
    places |= {o.holder: holder_place(PlaceAsked(o.holder, o.holder), book) for o in options if o.holder}
    resources = Resources(places, wanted.cooks, wanted.confidence / 100)
    extras = [read_price_or_extra(extra) for extra in wanted.extras]
    bought = purchase_of(dishes, [extra for extra in extras if isinstance(extra, Extra)])
    return Ours(plan_service([(o,) for o in options], resources), counted, bought, options)


@pytest.mark.parametrize("name", CHOICES)
def test_acts_portions_and_purchase_are_the_planner_s(from_folder: str, visit: Open, name: str) -> None:
    """Opened from a folder; against `slowfolio.forecast.planning` with the same kept figures."""
    wanted = CHOICES[name]
    ours = by_planner(wanted)
    with visit(f"{from_folder}plan.html?{wanted.query()}", timezone_id="UTC") as seen:
        wait_until(seen.page, READY)
        said = seen.page.evaluate(CURRENT)
        assert seen.complaints == []
    assert [load["name"] for load in said["loads"]] == [load.work.name for load in ours.plan.loads]
    for load, mine in zip(said["loads"], ours.plan.loads, strict=True):
        assert [act["kind"] for act in load["acts"]] == [act.kind.value for act in mine.acts]
        for act, my_act in zip(load["acts"], mine.acts, strict=True):
            assert (act["title"], act["do"]) == (my_act.title, my_act.do)
            assert abs(act["at"] - my_act.at_s) <= WITHIN_S
            assert abs(act["p10"] - my_act.p10_s) <= WITHIN_S
            assert abs(act["p90"] - my_act.p90_s) <= WITHIN_S
            assert act["hands"] == pytest.approx(my_act.hands_s)
            assert (act["by"] is None) == (my_act.by_s is None)
            assert act["by"] is None or abs(act["by"] - my_act.by_s) <= WITHIN_S
        assert load["chance"] == pytest.approx(mine.chance)
        assert load["held"] == pytest.approx(
            [mine.hold.held_p10_s, mine.hold.held_p50_s, mine.hold.held_p90_s], abs=1.0
        )
        shares = (mine.hold.share_late, mine.hold.share_past_card, mine.hold.share_past_rule)
        assert (load["late"], load["pastCard"], load["pastRule"]) == pytest.approx(shares)
    for counted, mine_counted in zip(said["portions"], ours.portions, strict=True):
        assert (counted["pieces"], counted["feeds"]) == (mine_counted.pieces, mine_counted.feeds)
        assert counted["chance"] == pytest.approx(mine_counted.chance)
        assert counted["bought"] == pytest.approx(mine_counted.bought_kg)
        assert counted["served"][0] == pytest.approx(mine_counted.served_p10_kg)
    lines = [(x["what"], x["pieces"], x["amount"], x["cost"]) for x in said["purchase"]["lines"]]
    assert lines == [
        (x.what, x.pieces, x.amount, None if x.cost is None else pytest.approx(float(x.cost)))
        for x in ours.purchase.lines
    ]
    for key, value in (("total", ours.purchase.total), ("perPortion", ours.purchase.per_portion)):
        assert said["purchase"][key] == (None if value is None else pytest.approx(float(value)))
    assert bool(said["reason"]) == bool(ours.plan.reason)
    assert kinds_of(said["conflicts"]) == [(c.kind.value, c.place) for c in by_place(ours.plan.conflicts)]
    assert sorted((c["kind"], c["load"]) for c in said["changes"]) == sorted(
        (c.kind.value, c.load) for c in ours.plan.changes
    )


def kinds_of(conflicts: list[dict[str, Any]]) -> list[tuple[str, str]]:
    return sorted((conflict["kind"], conflict["place"]) for conflict in conflicts)


def by_place(conflicts: Sequence[Conflict]) -> list[Conflict]:
    return sorted(conflicts, key=lambda conflict: (conflict.kind.value, conflict.place))


@pytest.mark.parametrize(
    ("at", "zone"),
    [
        ("2026-10-25 13:00", "Europe/London"),
        ("2027-03-28 13:00", "Europe/London"),
        ("2026-11-01 09:00", "America/Chicago"),
        ("2026-12-05 13:00", "Australia/Lord_Howe"),
    ],
    ids=["clocks back", "clocks forward", "clocks back in the cook", "half past hours"],
)
def test_clock_times_are_those_of_the_reader_s_zone(over_http: str, visit: Open, at: str, zone: str) -> None:
    """Against zoneinfo: midnight and both changes of the clocks on the way; elapsed time is real time."""
    local = datetime.fromisoformat(at).replace(tzinfo=ZoneInfo(zone))
    clock = Clock(local.astimezone(UTC), ZoneInfo(zone))
    query = CHOICES["as written"].query(at.replace(" ", "T"))
    acts = by_planner(CHOICES["as written"]).plan.loads[0].acts
    with visit(f"{over_http}plan.html?{query}", timezone_id=zone) as seen:
        wait_until(seen.page, READY)
        said = seen.page.evaluate(
            """(() => { const {loads, clock} = Slowfolio.plan.current();
              return loads[0].acts.map(act => clock.at(act.at).toISOString()); })()"""
        )
        shown = seen.page.locator("tr[data-kind=on] .run-sheet__at").inner_text()
    assert [datetime.fromisoformat(text) for text in said] == [clock.at_utc(act.at_s) for act in acts]
    on = next(act for act in acts if act.kind.value == "on")
    assert shown.startswith(f"{clock.at(on.at_s):%H:%M}")


def test_a_time_that_the_clocks_skip_is_refused_and_one_that_comes_twice_is_told(
    over_http: str, visit: Open
) -> None:
    wanted = CHOICES["as written"]
    with visit(f"{over_http}plan.html?{wanted.query()}", timezone_id="Europe/London") as seen:
        wait_until(seen.page, READY)
        seen.page.locator("[name=serve]").fill("2027-03-28T01:30")
        wait_until(seen.page, "document.body.textContent.includes('skipped when the clocks go forward')")
        seen.page.locator("[name=serve]").fill("2026-10-25T01:30")
        wait_until(seen.page, "document.body.textContent.includes('comes twice')")


def test_a_serving_time_that_no_cook_meets_is_refused_with_the_first_that_is_sure(
    over_http: str, visit: Open
) -> None:
    with visit(over_http + "help.html", timezone_id="UTC") as seen:
        seen.page.clock.set_fixed_time(datetime(2031, 3, 8, 8, 0, tzinfo=UTC))
        seen.page.goto(f"{over_http}plan.html?{CHOICES['as written'].query()}")
        wait_until(seen.page, "document.body.textContent.includes('cannot be served at')")
        assert "or later to be 95 % sure" in seen.page.locator("[data-slowfolio=plan-sheet]").inner_text()
        seen.page.locator("[name=serve]").fill("2031-03-08T22:00")
        wait_until(seen.page, "document.body.textContent.includes('Too late for 95 %')")


def test_choices_change_plan_and_address_and_are_kept(over_http: str, visit: Open) -> None:
    with visit(f"{over_http}plan.html?m=boat&serve=2031-03-08T13:00") as seen:
        page = seen.page
        wait_until(page, READY)
        page.locator("[name=guests]").fill("30")
        page.locator("[name=confidence]").select_option("99")
        page.get_by_role("button", name="Another dish").click()
        page.locator(".dish").nth(1).locator("[name=method]").select_option("paper")
        wait_until(page, "Slowfolio.plan.current()?.dishes.length === 2")
        address = page.evaluate("location.href")
        assert "guests%3D30" in address
        page.goto(over_http + "plan.html")
        wait_until(page, "Slowfolio.plan.current()?.dishes.length === 2")
        assert page.locator("[name=guests]").first.input_value() == "30"
        page.get_by_role("button", name="Take this dish out").nth(1).click()
        wait_until(page, "Slowfolio.plan.current()?.dishes.length === 1")
        assert seen.complaints == []
    with visit(address) as seen:
        wait_until(seen.page, READY)
        assert seen.page.locator(".dish").count() == 2
        assert seen.page.locator("[name=confidence]").input_value() == "99"


def test_portion_and_price_left_open_are_those_of_the_book(over_http: str, visit: Open) -> None:
    """What the command takes from `book.yaml` the page takes too; what is typed goes before it."""
    book = hold_fixture.book()
    method = book.methods["boat"]
    serving = Serving(portion_kg=0.2, portions_kg={method.cut: 0.1}, prices={method.cut: "9 EUR/kg"})
    priced = replace(book, card=replace(book.card, serving=serving))
    body = script("boat", plan_record(method, plan_fixture.basis(method), priced))
    with visit("about:blank") as seen:
        page = seen.page
        page.route(
            "**/plan-data/boat.js", lambda route: route.fulfill(body=body, content_type="text/javascript")
        )
        page.goto(f"{over_http}plan.html?m=boat&d=guests%3D10&serve=2031-03-08T13:00")
        wait_until(page, READY)
        dish = page.evaluate(
            "(() => { const p = Slowfolio.plan.current(); return [p.dishes[0].portions.portion,"
            " p.purchase.currency, p.dishes[0].portions.bought, p.purchase.total]; })()"
        )
        page.click("summary:has-text('Weight, price')")
        assert page.locator("[name=price]").get_attribute("placeholder") == "9 EUR/kg"
        page.fill("[name=price]", "6.49 USD/lb")
        wait_until(page, "Slowfolio.plan.current().purchase.currency === 'USD'")
    assert dish[:2] == [0.1, "EUR"]
    assert dish[3] == pytest.approx(9 * dish[2], abs=0.01)


def test_weights_are_asked_in_the_reader_s_units(over_http: str, visit: Open) -> None:
    with visit(f"{over_http}plan.html?m=boat&d=weight%3D5.8967&serve=2031-03-08T13:00") as seen:
        wait_until(seen.page, READY)
        weight = seen.page.locator("[name=weight]")
        assert weight.input_value() == "13"
        seen.page.locator("button[data-slowfolio=units]").click()
        wait_until(seen.page, "document.querySelector('[name=weight]').value === '5.9'")
        weight.fill("9")
        wait_until(seen.page, "document.body.textContent.includes('5.4 kg to 6.8 kg')")


@pytest.mark.parametrize(
    "rest",
    ["m=no-such", "m=boat&serve=never&sure=7&cooks=-3", "m=boat&d=guests%3Dmany%26weight%3D-4%26portion%3Dx"],
)
def test_an_address_that_asks_for_nonsense_shows_a_plan(over_http: str, visit: Open, rest: str) -> None:
    with visit(f"{over_http}plan.html?{rest}") as seen:
        wait_until(seen.page, READY)
        assert seen.complaints == []


def test_wrong_entries_are_told_what_to_write(over_http: str, visit: Open) -> None:
    with visit(f"{over_http}plan.html?m=boat&serve=2031-03-08T13:00") as seen:
        wait_until(seen.page, READY)
        seen.page.locator(".dish__more summary").click()
        for name, text, answer in (
            ("price", "six dollars", "is no price; write"),
            ("price", "6.49 USD", "is for no weight; write"),
            ("guests", "9000", "give a whole number from 1 to 5000"),
        ):
            seen.page.locator(f"[name={name}]").fill(text)
            wait_until(seen.page, f"document.body.textContent.includes({answer!r})")
            seen.page.locator(f"[name={name}]").fill("")
            wait_until(seen.page, READY)


def test_the_calendar_file_reads_back_with_every_act_and_the_command_s_identifiers(
    over_http: str, visit: Open
) -> None:
    """RFC 5545, read with the `icalendar` library; identifiers by RFC 4122 as Python's uuid makes them."""
    from uuid import uuid5

    wanted = CHOICES["guests and prices"]
    ours = by_planner(wanted).plan.loads[0]
    with visit(f"{over_http}plan.html?{wanted.query()}", timezone_id="UTC") as seen:
        wait_until(seen.page, READY)
        with seen.page.expect_download() as download:
            seen.page.get_by_role("link", name="Calendar file").click()
        assert download.value.suggested_filename == "cook-2031-03-08.ics"
        blob = Path(download.value.path()).read_bytes()
    assert all(len(line) <= 75 for line in blob.split(b"\r\n"))
    events = list(Calendar.from_ical(blob).walk("VEVENT"))
    assert [str(event["SUMMARY"]) for event in events] == [act.title for act in ours.acts]
    on = events[[act.kind.value for act in ours.acts].index("on")]
    assert on["DTSTART"].dt.astimezone(UTC).timestamp() == pytest.approx(SERVE.timestamp() + ours.start_s)
    assert str(on["UID"]) == f"{uuid5(NAMESPACE, f'2031-03-08/boat/{ours.work.name}/on/1')}@slowfolio.invalid"
    assert all(len(event.walk("VALARM")) == 1 for event in events)


def test_amounts_and_shares_are_said_as_the_command_says_them(over_http: str, visit: Open) -> None:
    masses = [0.02, 0.0567, 0.11, 0.17, 0.2, 0.4, 0.454, 0.97, 6.1234, 7.4676, 14.9, 44.9, 101.3]
    spans = [0.0, 300.0, 3600.0, 5400.0, 36060.0]
    shares = [0.0, 0.004, 0.5, 0.953, 0.996, 1.0]
    who = [["a, load 1 of 3: on: smoke", "a, load 3 of 3: rub", "b: slice"], ["a, load 2 of 3", "b"], ["b"]]
    with visit(over_http + "plan.html") as seen:
        wait_until(seen.page, READY)
        said = seen.page.evaluate("m => m.map(kg => Slowfolio.planWords.mass(kg))", masses)
        lasting = seen.page.evaluate("m => m.map(s => Slowfolio.planWords.duration(s))", spans[1:])
        parts = seen.page.evaluate("m => m.map(s => Slowfolio.planWords.percent(s))", shares)
        told = seen.page.evaluate("m => m.map(names => Slowfolio.planWords.who(names))", who)
    assert [text["us"] for text in said] == [format_mass(kg, System.US) for kg in masses]
    assert [text["metric"] for text in said] == [format_mass(kg, System.METRIC) for kg in masses]
    assert lasting == [format_duration(seconds) for seconds in spans[1:]]
    assert parts == [shown_share(share) for share in shares]
    assert told == [who_words(tuple(names)) for names in who]


def test_figures_that_cannot_be_loaded_are_said_to_be_missing(over_http: str, visit: Open) -> None:
    with visit(over_http + "help.html") as seen:
        seen.page.route("**/plan-data/*", lambda route: route.abort())
        seen.page.goto(over_http + "plan.html")
        wait_until(seen.page, "document.body.textContent.includes('could not be loaded')")


def test_the_run_sheet_prints_without_the_form(over_http: str, visit: Open) -> None:
    with visit(f"{over_http}plan.html?m=boat&serve=2031-03-08T13:00") as seen:
        page = seen.page
        wait_until(page, READY)
        page.emulate_media(media="print")
        assert page.locator(".run-sheet").is_visible()
        for tool in ("form.plan", "[data-slowfolio=plan-says]", ".section--written"):
            assert not page.locator(tool).is_visible(), tool


def test_the_page_reads_without_javascript(over_http: str, visit: Open) -> None:
    with visit(over_http + "plan.html", java_script_enabled=False) as seen:
        seen.page.locator("details.written summary").first.click()
        text = seen.page.locator("article").inner_text()
        assert "before" in text
        assert "On: smoke" in text
        assert not seen.page.locator("form[data-slowfolio=plan]").is_visible()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("name", ["guests and prices", "more than one cook can do"])
def test_a_plan_breaks_no_rule_of_access(over_http: str, visit: Open, name: str, scheme: str) -> None:
    """WCAG 2.2 A and AA by axe-core, with the plan shown."""
    with visit(f"{over_http}plan.html?{CHOICES[name].query()}", size=PHONE, scheme=scheme) as seen:
        wait_until(seen.page, READY)
        seen.page.evaluate(AXE.read_text("utf-8"))
        assert seen.page.evaluate(RUN_AXE, RULES) == []


def test_nothing_leaves_a_phone_s_screen_and_every_control_suits_a_finger(
    over_http: str, visit: Open
) -> None:
    measure = """() => [...document.querySelectorAll(
        '.plan select, .plan input:not([type=checkbox]), .plan button, .tick, .take__link, .plan summary')]
      .filter(e => e.offsetParent).map(e => [e.textContent, e.getBoundingClientRect().height])
      .filter(([, height]) => height < 47.5)"""
    query = CHOICES["two dishes, two holders"].query()
    with visit(f"{over_http}plan.html?{query}", size=PHONE) as seen:
        wait_until(seen.page, READY)
        assert seen.page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
        assert seen.page.evaluate(measure) == []
