"""The `plan` command on the starter book: text, JSON by its schema, calendar file, services, errors.

The engine is run with few members; what is asserted holds for any of them.
"""

import json
import shutil
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from click.testing import CliRunner, Result
from icalendar import Calendar
from jsonschema import Draft202012Validator

from slowfolio.book.model import Book, Method
from slowfolio.cli import plan as plan_module
from slowfolio.cli.plan import command
from slowfolio.forecast.planning import from_cards
from slowfolio.forecast.planning.order import MOST_CONFIDENCE, checked_confidence
from slowfolio.forecast.planning.run_sheet import who_words
from slowfolio.forecast.run import run_method
from slowfolio.physics.results import CookResult

ROOT = Path(__file__).parents[1]
SCHEMA = json.loads((ROOT / "schema" / "output" / "plan.schema.json").read_text(encoding="utf-8"))
NOW = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)
TINY = ("--members", "8", "--book", str(ROOT / "methods"))
FEW = ("--members", "24", "--book", str(ROOT / "methods"))
SATURDAY = ("--serve", "2026-12-05 13:00", "--timezone", "Europe/London")


class FixedClock(datetime):
    """The command's clock, stopped."""

    @classmethod
    def now(cls, tz: object = None) -> "FixedClock":
        assert tz is UTC
        return cls(2026, 11, 25, 12, 0, tzinfo=UTC)


COOKED: dict[str, CookResult] = {}
"""What the engine gave before: most tests plan the same cooks, which need be cooked only once."""


def run_once(method: Method, book: Book, **how: object) -> CookResult:
    key = repr((method.id, method.stages, method.vent, method.hold, sorted(how.items())))
    if key not in COOKED:
        COOKED[key] = run_method(method, book, **how)  # type: ignore[arg-type]
    return COOKED[key]


@pytest.fixture(autouse=True)
def _stopped_clock_and_shared_cooks(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(plan_module, "datetime", FixedClock)
    monkeypatch.setattr(from_cards, "run_method", run_once)


def run(*arguments: str) -> Result:
    return CliRunner().invoke(command, [*arguments, *FEW])


def record_of(*arguments: str) -> dict[str, object]:
    result = run(*arguments, "--json")
    assert result.exit_code in (0, 1), result.output
    record = json.loads(result.output)
    Draft202012Validator(SCHEMA, format_checker=Draft202012Validator.FORMAT_CHECKER).validate(record)
    assert isinstance(record, dict)
    return record


@pytest.fixture(scope="module")
def saturday() -> dict[str, object]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(plan_module, "datetime", FixedClock)
        patch.setattr(from_cards, "run_method", run_once)
        return record_of(
            "foil-boat-humid-hold",
            *SATURDAY,
            "--guests",
            "30",
            "--price",
            "6.49 USD/lb",
            "--price",
            "fuel=25 USD",
        )


@pytest.fixture
def service_file(tmp_path: Path) -> Path:
    path = tmp_path / "saturday.yaml"
    path.write_text(
        """\
serve: 2026-12-05 13:00
timezone: Europe/London
confidence: 90 %
pits: {big: offset-stick-burner, drum: kettle-or-drum}
holders: [humidity-cabinet, oven-water-pan]
items:
  - {method: foil-boat-humid-hold, name: large, weight: 15 lb, pieces: 2, pit: big, price: 6.49 USD/lb}
  - {method: foil-boat-humid-hold, name: small, weight: 12 lb, pit: big}
  - {method: hot-and-fast, name: quick, guests: 12, pit: drum, serve: "13:30"}
""",
        encoding="utf-8",
    )
    return path


def instant(text: object) -> datetime:
    assert isinstance(text, str)
    return datetime.fromisoformat(text)


def test_the_schema_is_one_and_describes_every_key() -> None:
    Draft202012Validator.check_schema(SCHEMA)

    def undescribed(node: object, path: str) -> list[str]:
        if not isinstance(node, dict):
            return []
        found = [
            f"{path}.{key}"
            for key, value in node.get("properties", {}).items()
            if not (value.get("description") and value.get("title"))
        ]
        for key, value in node.get("properties", {}).items():
            found += undescribed(value, f"{path}.{key}")
        return found + undescribed(node.get("items"), f"{path}[]")

    assert undescribed(SCHEMA, "plan") == []


def test_json_keeps_to_its_schema_and_its_acts_to_their_order(saturday: dict[str, object]) -> None:
    load = saturday["loads"][0]  # type: ignore[index]
    kinds = [act["kind"] for act in load["acts"]]
    assert kinds == [
        "thaw", "trim", "rub", "light", "on", "stage", "wrap", "pull", "vent", "hold", "slice", "serve",
    ]  # fmt: skip
    for key in ("at_utc", "p10_utc", "p90_utc"):
        times = [instant(act[key]) for act in load["acts"]]
        assert times == sorted(times)
    assert load["chance_ready_pct"] >= saturday["confidence_pct"]  # type: ignore[operator]
    assert instant(load["acts"][-1]["at_utc"]) == datetime(2026, 12, 5, 13, 0, tzinfo=UTC)


def test_local_times_are_those_of_the_zone(saturday: dict[str, object]) -> None:
    for act in saturday["loads"][0]["acts"]:  # type: ignore[index]
        local = instant(act["at_local"])
        assert local == instant(act["at_utc"])
        assert local.utcoffset() == local.astimezone(ZoneInfo("Europe/London")).utcoffset()


def test_the_hold_is_as_long_as_the_card_wants_or_as_the_rule_on_warmth_allows(
    saturday: dict[str, object],
) -> None:
    """The card asks for 10 h, at most 14 h; US retail: 57 °C (135 °F), Food Code 3-501.16(A)(1)."""
    load = saturday["loads"][0]  # type: ignore[index]
    hold = load["hold"]
    assert (hold["wanted_h"], hold["at_most_h"], hold["rule_floor_c"]) == (10.0, 14.0, 57.0)
    met_h = hold["rule_met_h_p10"]
    longest = hold["at_most_h"] if met_h is None else min(hold["at_most_h"], met_h)
    assert hold["held_h_p50"] <= 10.1
    if load["fit"] == "trade":
        # Few members leave the rule little room: then being ready goes first, and the limit is overrun.
        assert load["chance_ready_pct"] >= 95.0
        assert hold["held_h_p90"] > longest
        return
    assert load["fit"] == "both"
    assert hold["held_h_p90"] <= longest + 0.01
    assert hold["held_h_p50"] >= 9.9 or hold["held_h_p90"] >= longest - 0.1


def test_guests_become_pieces_and_a_bill(saturday: dict[str, object]) -> None:
    item, purchase = saturday["items"][0], saturday["purchase"]  # type: ignore[index]
    portions = item["portions"]
    assert portions["served_kg_p10"] >= 30 * portions["portion_kg"]
    assert portions["chance_enough_pct"] >= 90
    assert portions["bought_kg"] == pytest.approx(item["pieces"] * item["piece_weight_kg"] / 0.82, rel=1e-3)
    meat, *_, fuel = purchase["lines"]
    assert float(meat["cost"]) == pytest.approx(meat["total_kg"] / 0.45359237 * 6.49, abs=0.02)
    assert fuel["cost"] == "25.00"
    assert float(purchase["total"]) == pytest.approx(float(meat["cost"]) + 25.0)
    assert float(purchase["per_portion"]) == pytest.approx(float(purchase["total"]) / 30, abs=0.01)


def test_remedies_are_computed_for_late_and_early(saturday: dict[str, object]) -> None:
    remedies = saturday["items"][0]["remedies"]  # type: ignore[index]
    assert {remedy["when"] for remedy in remedies} == {"late", "early"}
    computed = [remedy for remedy in remedies if remedy["provenance"] == "computed"]
    assert any("hotter" in remedy["do"] for remedy in computed)
    assert all(
        remedy["gain_min_p10"] <= remedy["gain_min_p50"] <= remedy["gain_min_p90"] for remedy in computed
    )


def test_the_same_seed_gives_the_same_plan(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(from_cards, "run_method", run_method)
    first, second, other = (
        CliRunner().invoke(command, ["hot-and-fast", *SATURDAY, *TINY, "--json", "--seed", seed]).output
        for seed in ("1", "1", "2")
    )
    assert json.loads(first)
    assert first == second != other


def test_more_confidence_never_lets_the_piece_go_on_later() -> None:
    starts = [
        instant(record_of("unwrapped", *SATURDAY, "--confidence", percent)["loads"][0]["latest_start_utc"])  # type: ignore[index]
        for percent in ("60", "95", "99")
    ]
    assert starts == sorted(starts, reverse=True)


def test_a_hold_too_short_to_be_sure_is_told_as_a_trade(tmp_path: Path) -> None:
    """An unwrapped brisket is sure only to within hours, and this card's hold lasts 20 min at most."""
    book = tmp_path / "book"
    shutil.copytree(ROOT / "methods", book)
    card = book / "cards" / "brisket" / "unwrapped.yaml"
    text, written = card.read_text(encoding="utf-8"), "  for: 3 h\n  at_most: 6 h\n"
    assert written in text
    card.write_text(text.replace(written, "  for: 15 min\n  at_most: 20 min\n"), encoding="utf-8")
    arguments = [
        "unwrapped",
        *SATURDAY,
        "--confidence",
        "90",
        "--members",
        "24",
        "--book",
        str(book),
        "--json",
    ]
    load = json.loads(CliRunner().invoke(command, arguments).output)["loads"][0]
    assert load["fit"] == "trade"
    assert load["chance_ready_pct"] >= 90
    assert load["instead"]["chance_ready_pct"] < 90
    assert load["instead"]["early_hold_h"] <= 0.34
    assert any("both limits cannot hold" in line for line in load["summary"])


def test_the_text_tells_windows_hold_remedies_and_purchases() -> None:
    result = run("foil-tight", *SATURDAY, "--guests", "10")
    assert result.exit_code == 0
    for words in (
        "Serve Sat 5 Dec 13:00", "ready in time", "too long for the bark", "too cool", "Run sheet", "Wrap:",
        "still sure until", "If it runs late", "If it runs early", "To buy", "enough for 10 guests",
    ):  # fmt: skip
        assert words in result.output, words
    assert " safe" not in result.output.lower()


@pytest.mark.parametrize(
    ("serve", "zone", "shift_h"),
    [("2027-03-28 12:00", "Europe/London", 1), ("2027-11-07 12:00", "America/Chicago", -1)],
)
def test_a_change_of_the_clocks_on_the_way_moves_the_wall_clock_and_not_the_meat(
    serve: str, zone: str, shift_h: int
) -> None:
    """London springs forward on 28 March 2027, Chicago falls back on 7 November 2027, both before noon."""
    changed = record_of("foil-boat-humid-hold", "--serve", serve, "--timezone", zone)["loads"][0]  # type: ignore[index]
    plain = record_of("foil-boat-humid-hold", "--serve", serve, "--timezone", "UTC")["loads"][0]  # type: ignore[index]
    spans = [instant(load["serve_utc"]) - instant(load["start_utc"]) for load in (changed, plain)]
    assert spans[0] == spans[1]
    walls = [
        instant(load["serve_local"]).replace(tzinfo=None) - instant(load["start_local"]).replace(tzinfo=None)
        for load in (changed, plain)
    ]
    assert walls[0] - walls[1] == timedelta(hours=shift_h)


# --- the service ------------------------------------------------------------------------------------


def test_a_service_of_three_is_resolved_with_the_least_change(service_file: Path) -> None:
    record = record_of("--service", str(service_file))
    assert record["resolved"] is True
    assert record["least_change"] is True
    assert {conflict["kind"] for conflict in record["conflicts"]} == {"hands"}  # type: ignore[union-attr, index]
    assert record["changes"]
    busy = sorted(
        (instant(act["at_utc"]), act["hands_min"], load["name"])
        for load in record["loads"]  # type: ignore[union-attr]
        for act in load["acts"]  # type: ignore[index]
        if act["hands_min"] > 0  # type: ignore[index]
    )
    for (begin, minutes, name), (after, _, other) in pairwise(busy):
        assert name == other or begin + timedelta(minutes=minutes) <= after
    for place in record["places"]:  # type: ignore[union-attr]
        assert place["peak_load_kg"] <= place["takes_load_kg"]  # type: ignore[index]


def test_every_dish_of_a_service_is_told_what_to_do_early_and_late(service_file: Path) -> None:
    """What the hold gives is the plan's own; what the pit gives is left to a plan of one dish."""
    record = record_of("--service", str(service_file))
    for item in record["items"]:  # type: ignore[union-attr]
        when = [remedy["when"] for remedy in item["remedies"]]  # type: ignore[index]
        assert when == sorted(when, reverse=True)
        assert {"late", "early"} <= set(when)
    said = run("--service", str(service_file)).output
    early_and_late = said.partition("Early or late; ")[2].partition("To buy")[0]
    for item in record["items"]:  # type: ignore[union-attr]
        assert f"\n  {item['name']}\n" in early_and_late  # type: ignore[index]


def test_the_highest_chance_that_may_be_asked_for_may_be_asked_for() -> None:
    """99.9 per cent over a hundred is a hair above 0.999 in binary."""
    assert MOST_CONFIDENCE < 99.9 / 100.0
    assert checked_confidence(99.9 / 100.0) == MOST_CONFIDENCE


def test_the_loads_of_a_dish_are_named_together_where_they_are_in_each_other_s_way() -> None:
    acts = [f"Pork, load {n} of 4: {act}" for n in (1, 2, 4) for act in ("trim", "on: evening")]
    assert who_words((*acts, "Ribs: slice")) == "Pork, loads 1, 2 and 4: trim, on: evening; Ribs: slice"
    assert who_words(("Pork, load 2 of 4", "Ribs")) == "Pork, load 2; Ribs"


def test_a_service_that_cannot_be_says_why_and_ends_with_1(tmp_path: Path) -> None:
    path = tmp_path / "crowd.yaml"
    rows = "".join(f"  - {{method: hot-and-fast, name: item {i}}}\n" for i in range(5))
    path.write_text(f"serve: 2026-12-05 13:00\ntimezone: UTC\nitems:\n{rows}", encoding="utf-8")
    result = run("--service", str(path))
    assert result.exit_code == 1
    assert "NOT RESOLVED" in result.output
    assert "cook" in result.output


# --- the calendar -----------------------------------------------------------------------------------


def events_of(path: Path) -> list[Calendar]:
    return list(Calendar.from_ical(path.read_bytes()).walk("VEVENT"))


def test_the_calendar_reads_back_with_an_alarm_for_every_act(tmp_path: Path, service_file: Path) -> None:
    path = tmp_path / "saturday.ics"
    record = json.loads(run("--service", str(service_file), "--calendar", str(path), "--json").output)
    events = events_of(path)
    acts = [act for load in record["loads"] for act in load["acts"]]
    assert len(events) == len(acts)
    assert len({str(event["uid"]) for event in events}) == len(events)
    for event, act in zip(events, acts, strict=True):
        assert act["title"] in str(event["summary"])
        assert event["dtstart"].dt <= instant(act["at_utc"]) <= event["dtend"].dt
        assert event["dtstart"].dt.tzinfo is not None
        assert event["dtstart"].dt < event["dtend"].dt
        assert event["dtstamp"].dt == NOW
        alarms = event.walk("VALARM")
        assert [str(alarm["action"]) for alarm in alarms] == ["DISPLAY"]
        assert alarms[0]["trigger"].dt == timedelta(minutes=-10)


def test_lines_of_the_calendar_end_and_fold_as_the_standard_says(tmp_path: Path) -> None:
    """RFC 5545, 3.1: lines end in CRLF and are folded at 75 octets; 3.6: version and product are there."""
    path = tmp_path / "plan.ics"
    assert run("hot-and-fast", *SATURDAY, "--calendar", str(path)).exit_code == 0
    blob = path.read_bytes()
    lines = blob.split(b"\r\n")
    assert lines[-1] == b""
    assert b"\n" not in blob.replace(b"\r\n", b"")
    assert all(len(line) <= 75 for line in lines)
    assert lines[0] == b"BEGIN:VCALENDAR"
    assert b"VERSION:2.0" in lines
    assert any(line.startswith(b"PRODID:") for line in lines)
    assert all(line.endswith(b"Z") for line in lines if line.startswith((b"DTSTART", b"DTEND", b"DTSTAMP")))


def test_a_plan_made_anew_keeps_the_identifiers_of_its_acts(tmp_path: Path) -> None:
    paths = [tmp_path / name for name in ("one.ics", "two.ics", "other.ics")]
    run("hot-and-fast", *SATURDAY, "--calendar", str(paths[0]))
    run("hot-and-fast", *SATURDAY, "--confidence", "60", "--seed", "9", "--calendar", str(paths[1]))
    run("hot-and-fast", "--serve", "2026-12-12 13:00", "--timezone", "UTC", "--calendar", str(paths[2]))
    first, second, other = ([str(event["uid"]) for event in events_of(path)] for path in paths)
    assert first == second
    assert not set(first) & set(other)
    assert events_of(paths[0])[-1]["dtstart"].dt.date() == date(2026, 12, 5)


# --- misuse -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("arguments", "advice"),
    [
        ((), "give a method and --serve"),
        (("foil-tight",), "give a method and --serve"),
        (("foil-tigt", *SATURDAY), "did you mean foil-tight?"),
        (("foil-tight", "--serve", "soon"), "2026-12-05 13:00"),
        (("foil-tight", *SATURDAY, "--pit", "ofset"), "did you mean offset-stick-burner?"),
        (("foil-tight", *SATURDAY, "--holder", "combi"), "did you mean combi-oven?"),
        (("foil-tight", *SATURDAY, "--weight", "13"), "lb"),
        (("foil-tight", *SATURDAY, "--weight", "300 lb"), "0.2 to 25 kg"),
        (("foil-tight", *SATURDAY, "--portion", "5 miles"), "oz"),
        (("foil-tight", *SATURDAY, "--guests", "0"), "give 1 to"),
        (("foil-tight", *SATURDAY, "--guests", "5000"), "pieces"),
        (("foil-tight", *SATURDAY, "--pieces", "-3"), "give 1 to"),
        (("foil-tight", *SATURDAY, "--confidence", "100"), "50 to 99.9"),
        (("foil-tight", *SATURDAY, "--confidence", "nan"), "50 to 99.9"),
        (("foil-tight", *SATURDAY, "--price", "6.49"), "USD/lb"),
        (("foil-tight", *SATURDAY, "--price", "6 USD/kg", "--price", "7 USD/kg"), "two prices"),
        (("foil-tight", *SATURDAY, "--price", "6 USD/kg", "--price", "fuel=7 EUR"), "EUR and USD"),
        (("foil-tight", "--serve", "2026-12-05 13:00", "--timezone", "Londn"), "Europe/London"),
        (("foil-tight", "--serve", "2026-03-29 01:30", "--timezone", "Europe/London"), "skipped"),
        (("foil-tight", "--service", "nowhere.yaml"), "either a method or --service"),
        (("--service", "nowhere.yaml"), "nowhere.yaml"),
        (("--service", "nowhere.yaml", "--guests", "4"), "--guests does not go with --service"),
        (("foil-tight", *SATURDAY, "--altitude", "high"), "ft"),
        (("foil-tight", *SATURDAY, "--altitude", "30000 ft"), "5500 m"),
    ],
)
def test_misuse_ends_with_2_and_says_what_to_write(arguments: tuple[str, ...], advice: str) -> None:
    result = run(*arguments)
    assert result.exit_code == 2, result.output
    assert advice in " ".join(result.output.split())
    assert "Traceback" not in result.output


def test_a_serving_time_that_no_cook_meets_is_refused_with_one_that_is_sure() -> None:
    result = run("hot-and-fast", "--serve", "2026-11-25 14:00", "--timezone", "UTC")
    assert result.exit_code == 2
    said = " ".join(result.output.split())
    assert "cannot be served at Wed 25 Nov 14:00" in said
    assert "95 % sure" in said


def test_a_frozen_piece_cannot_be_served_before_it_is_thawed() -> None:
    frozen = run("hot-and-fast", "--serve", "2026-11-27 13:00", "--timezone", "UTC", "--frozen")
    assert frozen.exit_code == 2
    assert "thawed and on the pit" in " ".join(frozen.output.split())
    assert run("hot-and-fast", "--serve", "2026-11-27 13:00", "--timezone", "UTC").exit_code == 0


def test_a_serving_time_that_has_passed_is_planned_and_noted() -> None:
    result = run("hot-and-fast", "--serve", "2025-12-05 13:00", "--timezone", "UTC")
    assert result.exit_code == 0
    assert "the serving time has passed" in result.output


def test_a_calendar_that_cannot_be_written_is_an_error(tmp_path: Path) -> None:
    result = run("hot-and-fast", *SATURDAY, "--calendar", str(tmp_path / "no" / "plan.ics"))
    assert result.exit_code == 2
    assert "cannot write" in result.output


def test_an_unknown_card_in_a_service_file_is_named(tmp_path: Path) -> None:
    path = tmp_path / "s.yaml"
    path.write_text(
        "serve: 2026-12-05 13:00\ntimezone: UTC\npits: [ofset]\nitems: [{method: foil-tight}]\n",
        encoding="utf-8",
    )
    result = run("--service", str(path))
    assert result.exit_code == 2
    assert "did you mean offset-stick-burner?" in " ".join(result.output.split())


def test_an_item_on_a_pit_that_is_not_there_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "s.yaml"
    path.write_text(
        "serve: 2026-12-05 13:00\ntimezone: UTC\npits: [pellet-pit]\nitems: [{method: foil-tight}]\n",
        encoding="utf-8",
    )
    result = run("--service", str(path))
    assert result.exit_code == 2
    assert "not in this service" in " ".join(result.output.split())
