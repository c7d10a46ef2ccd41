"""Cards and engine as the planner reads them: acts, words, other holders and pits, remedies, broken runs."""

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from click.testing import CliRunner

from slowfolio.book.model import Book, Serving
from slowfolio.book.reading import read_book
from slowfolio.cli.plan import command
from slowfolio.forecast.planning import from_cards
from slowfolio.forecast.planning.basis import as_written, between, times_of, yield_of
from slowfolio.forecast.planning.basis_of import plan_basis
from slowfolio.forecast.planning.errors import NoForecastError, PlanInputError
from slowfolio.forecast.planning.from_basis import KeptDish
from slowfolio.forecast.planning.from_cards import (
    HOLD_AIR_C,
    Forecast,
    Setup,
    check_ids,
    forecast,
    grate_of_piece_m2,
    with_holder,
)
from slowfolio.forecast.planning.lookup import goes_to_all, with_house_figures
from slowfolio.forecast.planning.order import OrderItem
from slowfolio.forecast.planning.portions import PORTION_KG
from slowfolio.forecast.planning.prices import read_price
from slowfolio.forecast.planning.remedies import (
    PIT_STEP_K,
    When,
    first_of_the_end,
    from_stage_on,
    variants,
    wrapped_earlier,
)
from slowfolio.forecast.planning.stage_words import stage_act, stage_title, stage_words, until_words
from slowfolio.forecast.planning.times import ActKind
from slowfolio.forecast.planning.warmth import warmth_in_box
from slowfolio.forecast.run import run_method
from slowfolio.safety.profiles import profile

ROOT = Path(__file__).parents[1]
FEW = 7  # too few for remedies, which these tests have no use for
BOAT = "foil-boat-humid-hold"


@pytest.fixture(scope="module")
def book() -> Book:
    found = read_book(ROOT / "methods").book
    assert found is not None
    return found


@pytest.fixture(scope="module")
def cooked(book: Book) -> Forecast:
    return forecast(Setup(BOAT), book, members=8, seed=1)


def test_a_card_s_stages_become_acts_with_the_sign_to_wait_for(book: Book) -> None:
    method = book.methods[BOAT]
    acts = [stage_act(index, method) for index in range(len(method.stages))]
    assert acts == [ActKind.ON, ActKind.STAGE, ActKind.WRAP]
    assert stage_title(0, method, book) == "On: smoke"
    assert stage_title(2, method, book) == "Wrap: foil boat"
    assert stage_words(1, method, book).startswith("After 4 h: pit at 285 °F (141 °C)")
    assert stage_words(2, method, book).startswith("When the core reads 176 °F (80 °C): pit at 275 °F")
    assert until_words(method.stages[2].until) == "When a probe slides in, felt for from 198 °F (92 °C)"


def test_times_end_where_the_hold_begins(cooked: Forecast) -> None:
    ends_h = cooked.cook.ends.time_h
    assert np.allclose(cooked.times.ready_s, ends_h[-2] * 3600.0)
    assert np.allclose(cooked.times.pull_s, cooked.cook.finish_h * 3600.0)
    assert cooked.times.vent is not None


def test_the_hold_is_simulated_for_as_long_as_the_card_allows(cooked: Forecast) -> None:
    assert cooked.method.hold is not None
    held_h = cooked.cook.ends.time_h[-1] - cooked.cook.ends.time_h[-2]
    assert np.allclose(held_h, cooked.method.hold.at_most_s / 3600.0, atol=0.02)


def test_a_longer_hold_costs_weight(cooked: Forecast, book: Book) -> None:
    """Common practice, no source."""
    cut = book.cuts[cooked.method.cut]
    short, long = (cooked.yield_of(cut, held_s=hours * 3600.0) for hours in (0.0, 12.0))
    assert (long.cooked < short.cooked).all()
    assert short.bought_kg == pytest.approx(cooked.piece_kg / (1 - cut.trim_fraction.value))


def test_another_holder_keeps_to_the_card_as_far_as_it_goes(book: Book) -> None:
    method, notes = with_holder(book.methods[BOAT], book, "insulated-box")
    assert method.hold is not None
    assert method.hold.holder == "insulated-box"
    assert any("longest hold is the card's" in note for note in notes)
    assert with_holder(book.methods[BOAT], book, None) == (book.methods[BOAT], ())


def test_a_holder_that_does_not_get_as_warm_is_told(book: Book) -> None:
    hot = replace(book.methods[BOAT], hold=replace(book.methods[BOAT].hold, air_temp_c=110.0))  # type: ignore[type-var]
    method, notes = with_holder(hot, book, "warming-cabinet-dry")
    assert method.hold is not None
    assert method.hold.air_temp_c == book.holders["warming-cabinet-dry"].air_temp_c.high
    assert any("the nearest" in note for note in notes)


def test_a_card_without_a_hold_gets_one_from_the_holder_asked_for(book: Book) -> None:
    method, notes = with_holder(replace(book.methods[BOAT], hold=None), book, "humidity-cabinet")
    assert method.hold is not None
    assert method.hold.air_temp_c == HOLD_AIR_C
    assert "the card has no hold" in notes[0]


@pytest.mark.parametrize(
    ("setup", "meant"),
    [
        (Setup("foil-tigt"), "foil-tight"),
        (Setup(BOAT, pit="ofset"), "offset-stick-burner"),
        (Setup(BOAT, holder="combi oven"), "combi-oven"),
    ],
)
def test_an_unknown_id_names_the_one_meant(book: Book, setup: Setup, meant: str) -> None:
    with pytest.raises(PlanInputError, match=f"did you mean {meant}"):
        check_ids(setup, book)


def test_a_pit_that_does_not_get_hot_enough_is_no_place_for_a_hot_method(book: Book) -> None:
    reach = book.pits["electric-cabinet"].pit_temp_c
    stages = tuple(replace(s, pit_temp_c=reach.high + 30, pit=None) for s in book.methods[BOAT].stages)
    assert not goes_to_all(replace(book.methods[BOAT], stages=stages), reach)
    assert goes_to_all(book.methods[BOAT], book.pits["offset-stick-burner"].pit_temp_c)


# --- warmth -----------------------------------------------------------------------------------------


def test_more_pieces_keep_an_unheated_box_warm_for_longer(cooked: Forecast, book: Book) -> None:
    """Common practice: the fuller the box, the longer it holds (the holder's card)."""
    one, two = (
        warmth_in_box(
            cooked.cook, book.holders["insulated-box"], profile("us-retail"), room_c=21.0, pieces=n, ready=3
        )
        for n in (1, 2)
    )
    assert (two.floor_s > one.floor_s).all()


def test_a_stricter_floor_is_met_for_no_longer(cooked: Forecast, book: Book) -> None:
    """UK: 63 °C; US retail: 57 °C; Canada: 60 °C."""
    limits = [
        cooked.warmth(1, replace(book, card=replace(book.card, authority=name))).floor_s
        for name in ("us-retail", "canada", "uk")
    ]
    assert (limits[0] >= limits[1]).all()
    assert (limits[1] >= limits[2]).all()


# --- remedies ---------------------------------------------------------------------------------------


def test_a_hotter_pit_stays_within_what_the_pit_goes_to(cooked: Forecast, book: Book) -> None:
    last = first_of_the_end(cooked.method)
    moved = from_stage_on(cooked, book, last, PIT_STEP_K)
    assert moved is not None
    assert moved.stages[last].pit_temp_c == pytest.approx(cooked.method.stages[last].pit_temp_c + PIT_STEP_K)
    far = from_stage_on(cooked, book, last, 500.0)
    assert far is not None
    assert far.stages[last].pit_temp_c == book.pits[cooked.pit].pit_temp_c.high


def test_wrapping_earlier_cuts_the_stage_before_the_wrap_only(book: Book) -> None:
    method = book.methods[BOAT]
    earlier = wrapped_earlier(method, 2)
    assert earlier is not None
    before, now = method.stages[1].until.core_temp_c, earlier.stages[1].until.core_temp_c
    assert before is not None
    assert now is not None
    assert now < before
    assert earlier.stages[0] == method.stages[0]
    assert earlier.stages[2] == method.stages[2]
    assert wrapped_earlier(book.methods["unwrapped"], 2) is None


def test_every_remedy_says_for_which_trouble_it_is(cooked: Forecast, book: Book) -> None:
    found = list(variants(cooked, book))
    assert {when for when, _, _ in found} == {When.LATE, When.EARLY}
    assert all("°F" in do for _, do, _ in found)


def test_a_page_keeps_what_the_pit_can_still_bring(book: Book) -> None:
    """Common practice, no source: a hotter pit brings the meat in sooner, a cooler one later."""
    method = book.methods["butcher-paper"]
    kept = plan_basis(run_method(method, book, members=8, seed=1), method, book, seed=1).remedies
    for when, turn in ((When.LATE, "hotter"), (When.EARLY, "cooler")):
        gains = [each.gain_s for each in kept if each.when is when and turn in each.do]
        assert gains
        assert all(gain is not None and gain.p50 >= 0.0 for gain in gains)
        assert any(gain is not None and gain.p50 > 300.0 for gain in gains)


# --- a run that goes wrong --------------------------------------------------------------------------


def test_a_run_without_finite_times_ends_the_command_in_one_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*arguments: object, **how: object) -> object:
        cook = run_method(*arguments, **how)  # type: ignore[arg-type]
        ends = replace(cook.ends, core_c=np.full_like(cook.ends.core_c, np.nan))
        return replace(cook, ends=ends)

    monkeypatch.setattr(from_cards, "run_method", broken)
    arguments = ["hot-and-fast", "--serve", "2026-12-05 13:00", "--timezone", "UTC", "--members", "8"]
    result = CliRunner().invoke(command, [*arguments, "--book", str(ROOT / "methods")])
    assert result.exit_code == 1
    assert "no finite times" in result.output
    assert "Traceback" not in result.output


def test_members_that_are_not_finite_are_refused(book: Book, cooked: Forecast) -> None:
    ends = replace(
        cooked.cook.ends, time_h=np.where(cooked.cook.ends.time_h > 4.5, np.nan, cooked.cook.ends.time_h)
    )
    broken = SimpleNamespace(ends=ends, schedule=cooked.cook.schedule)
    with pytest.raises(NoForecastError, match="no finite times"):
        from_cards.cook_times(broken, cooked.method, book, cooked.pit)  # type: ignore[arg-type]


def test_the_page_s_figures_plan_what_the_command_plans(book: Book) -> None:
    """The same simulated cooks by two ways: kept figures with the hold gone on, and one run to its end."""
    method, members = book.methods["foil-tight"], FEW
    kept = plan_basis(run_method(method, book, members=members, seed=1), method, book, seed=1)
    told = forecast(Setup(method.id), book, members=members, seed=1)
    dish = KeptDish(OrderItem(method.id, guests=30), kept, book)
    assert np.allclose(dish.times.windows_s, told.times.windows_s, atol=1.0)
    cut = book.cuts[method.cut]
    for held_h in (0.0, 2.5, 6.0):
        by_page = yield_of(kept, cut, as_written(kept), held_s=held_h * 3600.0)
        by_command = told.yield_of(cut, held_s=held_h * 3600.0)
        assert np.allclose(by_page.cooked, by_command.cooked, atol=3e-4)
    for pieces in (1, 3):
        assert dish.option(pieces).hold.rules_p10_s == pytest.approx(
            told.hold_for(pieces, book).rules_p10_s, abs=120.0
        )
    assert dish.option(2).held_kg == pytest.approx(told.held_kg())


def test_a_weight_between_the_card_s_ends_is_planned_within_ten_minutes_of_its_own_cook(book: Book) -> None:
    """Against the engine at that weight; the page says that such a weight is interpolated."""
    method = book.methods["hot-and-fast"]
    kept = plan_basis(run_method(method, book, members=FEW, seed=1), method, book, seed=1)
    assert kept.light is not None
    assert kept.heavy is not None
    weight_kg = 0.35 * kept.light.weight_kg + 0.65 * kept.heavy.weight_kg
    told = forecast(Setup(method.id, weight_kg=weight_kg), book, members=FEW, seed=1)
    times = times_of(kept, method, book, between(kept, weight_kg))
    assert np.abs(times.windows_s - told.times.windows_s).max() < 600.0


def test_the_grate_a_piece_asks_for_is_its_taped_box(book: Book) -> None:
    """The trade's card of a kettle: two packers at most on one round grate of 22 in. Common practice."""
    cut, kettle = book.cuts["packer-brisket"], book.pits["kettle-or-drum"]
    piece_m2 = grate_of_piece_m2(cut, cut.typical_weight_kg)
    assert piece_m2 == pytest.approx(cut.length_m.value * cut.width_m.value)
    assert int(kettle.grate_area_m2.value / piece_m2) == 2


def test_portion_and_price_left_open_are_those_of_the_book(book: Book) -> None:
    """By cut first, then the book's one portion, then the trade's; what the order says goes before all."""
    cut = book.methods["foil-tight"].cut
    serving = Serving(portion_kg=0.2, portions_kg={cut: 0.1}, prices={cut: "9 EUR/kg"})
    ours = replace(book, card=replace(book.card, serving=serving))
    item = with_house_figures(OrderItem("foil-tight"), ours)
    assert (item.portion_kg, item.price) == (0.1, read_price("9 EUR/kg"))
    other = next(method for method in book.methods.values() if method.cut != cut)
    assert with_house_figures(OrderItem(other.id), ours).portion_kg == 0.2
    assert with_house_figures(OrderItem("foil-tight"), book).portion_kg == PORTION_KG
    asked = OrderItem("foil-tight", portion_kg=0.3, price=read_price("5 USD/lb"))
    assert with_house_figures(asked, ours) == asked
