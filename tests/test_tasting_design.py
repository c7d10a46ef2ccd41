"""Layouts: orders, codes, carving, sheets, sizes; what must hold is from ISO 4120, 6658, Williams (1949)."""

import itertools
from collections import Counter, defaultdict

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from slowfolio.tasting.carving import Piece, carving_plan, slices_of
from slowfolio.tasting.codes import blind_codes, usable_codes
from slowfolio.tasting.conditions import Conditions, below_hot_holding, unlike_conditions
from slowfolio.tasting.errors import TastingInputError
from slowfolio.tasting.lots import Lots
from slowfolio.tasting.orders import (
    PATTERNS,
    balance_of,
    complete_orders,
    incomplete_blocks,
    partial_orders,
    pattern_orders,
    williams_orders,
)
from slowfolio.tasting.panel_size import (
    preference_power,
    ranking_power,
    score_power,
    tasters_for_preference,
    tasters_for_ranking,
    tasters_for_scores,
)
from slowfolio.tasting.plan import Effect, d_prime_named, lay_out, panel_size, power_of, sitting_of
from slowfolio.tasting.protocols import Protocol, Sides
from slowfolio.tasting.question import CarryOver, Kind, Question, choose
from slowfolio.tasting.sheets import ATTRIBUTES, carver_rows, taster_sheets
from tasting_cases import plausible

TWO = ("foil boat", "paper")
FOUR = ("foil boat", "paper", "bare", "tight foil")
seeds = st.integers(0, 2**53 - 1)


# --- orders -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("products", range(2, 13))
def test_williams_design_balances_place_and_first_order_carry_over(products):
    orders = williams_orders(products)
    assert len(orders) == (products if products % 2 == 0 else 2 * products)
    assert all(sorted(order) == list(range(products)) for order in orders)
    assert balance_of(orders, products).even


def test_williams_square_for_four_is_the_published_one():
    """Williams (1949): 0 1 3 2 and its shifts (recalled)."""
    assert williams_orders(4) == ((0, 1, 3, 2), (1, 2, 0, 3), (2, 3, 1, 0), (3, 0, 2, 1))


@given(st.integers(2, 7), st.integers(1, 30), seeds)
@settings(deadline=None, max_examples=40)
def test_everyone_gets_every_product_and_leftovers_unbalance_little(products, tasters, seed):
    orders = complete_orders(products, tasters, Lots(seed))
    assert len(orders) == tasters
    assert all(sorted(order) == list(range(products)) for order in orders)
    found = balance_of(orders, products)
    assert found.places[1] - found.places[0] <= 2
    if tasters % len(williams_orders(products)) == 0:
        assert found.even


@pytest.mark.parametrize(
    ("products", "pieces"), [(v, k) for v in range(3, 11) for k in range(2, min(v, 6)) if (v, k) != (10, 5)]
)
def test_incomplete_blocks_let_every_pair_meet_equally_often(products, pieces):
    blocks = incomplete_blocks(products, pieces)
    assert all(len(set(block)) == pieces for block in blocks)
    found = balance_of(blocks, products)
    low, high = found.meetings
    assert low == high >= 1
    # Counting: each product is in r blocks, and r (k - 1) = lambda (v - 1).
    each = Counter(itertools.chain.from_iterable(blocks))
    assert set(each.values()) == {low * (products - 1) // (pieces - 1)}


def test_seven_products_in_threes_need_seven_tasters():
    """The projective plane of order two (Fano), b = 7, r = 3, every pair once (recalled)."""
    blocks = incomplete_blocks(7, 3)
    assert len(blocks) == 7
    assert balance_of(blocks, 7).meetings == (1, 1)
    assert balance_of(blocks, 7).places == (1, 1)


@given(st.integers(4, 8), st.integers(12, 40), seeds)
@settings(deadline=None, max_examples=25)
def test_partial_panels_stay_connected_and_near_balance(products, tasters, seed):
    orders = partial_orders(products, 3, tasters, Lots(seed))
    found = balance_of(orders, products)
    assert len(orders) == tasters
    assert found.meetings[1] - found.meetings[0] <= 3


def test_too_few_tasters_to_link_the_products_are_refused():
    with pytest.raises(TastingInputError, match="2 tasters with 3 of 9 products leave some that never meet"):
        partial_orders(9, 3, 2, Lots(1))


@given(st.sampled_from(list(Protocol)), st.integers(1, 60), seeds)
@settings(deadline=None)
def test_serving_patterns_are_used_equally_often(protocol, tasters, seed):
    counts = Counter(pattern_orders(protocol, tasters, Lots(seed)))
    used = [counts[pattern] for pattern in PATTERNS[protocol]]
    assert max(used) - min(used) <= 1
    assert sum(used) == tasters


def test_triangle_patterns_are_the_six_of_iso_4120():
    letters = {"".join("AB"[i] for i in order) for order in PATTERNS[Protocol.TRIANGLE]}
    assert letters == {"AAB", "ABA", "BAA", "BBA", "BAB", "ABB"}


def test_lots_are_fair():
    places = Counter()
    lots = Lots(8)
    for _ in range(3000):
        places.update((place, item) for place, item in enumerate(lots.shuffled("abc")))
    assert all(plausible(count, 3000, 1 / 3) for count in places.values())
    assert stats.chisquare(list(places.values())).pvalue > 1e-4


def test_lots_are_the_same_for_a_seed_for_ever():
    """Python promises the sequence of random() for a seed; this one was drawn with Python 3.11."""
    assert Lots(2024).shuffled("abcdefgh") == ["h", "a", "c", "g", "e", "b", "f", "d"]


# --- codes --------------------------------------------------------------------------------------------------


@given(st.integers(1, 600), seeds)
@settings(deadline=None)
def test_codes_have_three_digits_never_repeat_and_tell_nothing(count, seed):
    codes = blind_codes(count, Lots(seed), avoid=[467])
    assert len(set(codes)) == count
    for code in codes:
        assert len(code) == 3
        assert code[0] != "0"
        assert len(set(code)) == 3
        assert code not in {"911", "203", "225", "467", "123", "987", "456"}


def test_codes_do_not_lean_to_a_product():
    """Mean code of either product over many tastings: the same within chance."""
    firsts, seconds = [], []
    for seed in range(60):
        plan = lay_out(choose(Question.PREFERRED, 2), TWO, 10, seed=seed)
        for serving in plan.servings:
            (firsts if serving.product == TWO[0] else seconds).append(int(serving.code))
    assert stats.mannwhitneyu(firsts, seconds).pvalue > 1e-4


# --- plans --------------------------------------------------------------------------------------------------

CHOICES = [
    (choose(Question.DIFFER, 2), TWO),
    (choose(Question.DIFFER, 2, carry_over=CarryOver.STRONG), TWO),
    (choose(Question.DIFFER, 2, pieces=3), TWO),
    (choose(Question.SWAP, 2), TWO),
    (choose(Question.MORE, 2), TWO),
    (choose(Question.PREFERRED, 2), TWO),
    (choose(Question.PREFERRED, 4), FOUR),
    (choose(Question.PREFERRED, 4, pieces=2), FOUR),
    (choose(Question.ORDER, 4), FOUR),
    (choose(Question.HOW_MUCH, 4), FOUR),
    (choose(Question.HOW_MUCH, 4, pieces=3), FOUR),
]
IDS = [f"{choice.question} {choice.protocol or choice.kind} {choice.pieces}" for choice, _ in CHOICES]


def test_choice_follows_question_and_palate():
    assert [choice.protocol for choice, _ in CHOICES[:5]] == [
        Protocol.TETRAD,
        Protocol.DUO_TRIO,
        Protocol.TRIANGLE,
        Protocol.TETRAD,
        Protocol.PAIRED_COMPARISON,
    ]
    assert [choice.kind for choice, _ in CHOICES[5:]] == [
        Kind.PREFERENCE,
        Kind.RANKING,
        Kind.PREFERENCE_PAIRS,
        Kind.RANKING,
        Kind.SCORES,
        Kind.SCORES,
    ]
    assert choose(Question.MORE, 2).sides is Sides.TWO
    assert all(choice.reason for choice, _ in CHOICES)


@pytest.mark.parametrize(("choice", "names"), CHOICES, ids=IDS)
def test_plan_is_whole_repeatable_and_blind(choice, names):
    plan = lay_out(choice, names, 24, seed=77, avoid_codes=[250])
    assert plan == lay_out(choice, names, 24, seed=77, avoid_codes=[250])
    assert plan.servings != lay_out(choice, names, 24, seed=78).servings
    sets = defaultdict(list)
    for serving in plan.servings:
        sets[serving.taster].append(serving)
    assert sorted(sets) == list(range(1, 25))
    assert all([one.place for one in own] == list(range(1, choice.pieces + 1)) for own in sets.values())
    codes = [serving.code for serving in plan.servings]
    assert len(set(codes)) == len(codes)
    assert {serving.product for serving in plan.servings} == set(names)


@pytest.mark.parametrize(("choice", "names"), CHOICES, ids=IDS)
def test_advised_panel_has_the_power_and_fills_whole_rounds(choice, names):
    effect = Effect()
    size = panel_size(choice, effect)
    assert size.advised >= size.needed.stable >= size.needed.first
    assert size.advised % size.round_of == 0
    # A simulated ranking may be a hair below.
    assert power_of(choice, size.advised, effect) >= 0.79
    assert power_of(choice, max(size.needed.first // 2, 2), effect) < 0.8
    plan = lay_out(choice, names, size.round_of, seed=1)
    assert len(plan.servings) == size.round_of * choice.pieces


def test_a_small_panel_is_told_how_many_it_takes():
    plan = lay_out(choose(Question.DIFFER, 2, pieces=3), TWO, 10, seed=5, effect=Effect(telling=0.4))
    assert plan.power == pytest.approx(0.38, abs=0.005)  # exact binomial: n = 10, 40 %
    assert plan.size.needed.stable == 25  # discrimination_sample_size.csv: triangle, 0.4, 0.05, 0.2
    assert plan.size.advised == 30
    assert "10 tasters would find a difference of the size named only 38 times in 100" in plan.notes[0]
    assert "12 would, being a multiple of 6" in plan.notes[1]


def test_where_no_difference_is_named_a_smaller_one_must_be_ruled_out_than_found():
    alike = lay_out(choose(Question.SWAP, 2), TWO, 30, seed=5)
    differ = lay_out(choose(Question.DIFFER, 2), TWO, 30, seed=5)
    assert (alike.effect.telling, differ.effect.telling) == (0.3, 0.4)
    assert alike.size.advised > differ.size.advised


def test_share_who_tell_is_also_given_as_a_distance():
    assert d_prime_named(choose(Question.DIFFER, 2), Effect(telling=0.6)) == pytest.approx(1.82632, abs=1e-5)
    assert d_prime_named(choose(Question.ORDER, 4), Effect()) is None


def test_palate_gets_its_pauses():
    short, long = sitting_of(3), sitting_of(6)
    assert short.rests == 0
    assert long.rests == 1
    assert short.duration_s == 3 * 45 + 2 * 60
    assert long.duration_s == 6 * 45 + 4 * 60 + 600


# --- sizes --------------------------------------------------------------------------------------------------


def test_score_power_equals_scipy_noncentral_t():
    for tasters in (5, 12, 30):
        limit = stats.t.ppf(0.975, tasters - 1)
        expected = stats.nct.sf(limit, tasters - 1, 0.5 * tasters**0.5)
        assert score_power(tasters, difference=1, spread=2) == pytest.approx(expected, abs=1e-8)


def test_score_size_equals_the_recalled_textbook_value():
    """Paired t, effect 0.5, two-sided 5 %, power 80 %: 34 (Cohen 1988, recalled)."""
    assert tasters_for_scores(difference=0.5, spread=1.0).first == 34


def test_preference_power_with_undecided_equals_a_sum_by_hand():
    expected = sum(
        stats.binom.pmf(views, 20, 0.7)
        * stats.binom.sf(
            next(c for c in range(views + 2) if stats.binom.sf(c - 1, views, 0.5) <= 0.025) - 1, views, 0.8
        )
        for views in range(1, 21)
    )
    assert preference_power(20, share=0.8, undecided=0.3) == pytest.approx(expected, abs=1e-9)
    assert (
        tasters_for_preference(share=0.8, undecided=0.5).stable
        == 2 * tasters_for_preference(share=0.8).stable
    )


def test_ranking_power_grows_and_starts_at_alpha():
    powers = [ranking_power(n, products=3, d_prime=1.0) for n in (6, 12, 24, 48)]
    assert powers == sorted(powers)
    assert ranking_power(12, products=3, d_prime=1e-6) <= 0.055
    assert ranking_power(2, products=2, d_prime=3.0) == 0.0
    assert (
        tasters_for_ranking(products=3, d_prime=2.0).stable
        < tasters_for_ranking(products=3, d_prime=1.0).stable
    )


# --- carving ------------------------------------------------------------------------------------------------


def flat(product, **changed):
    given_piece = {
        "part": "flat",
        "end": "thin end",
        "length_m": 0.25,
        "discard_m": 0.03,
        "slice_thickness_m": 0.012,
        "across": 6,
    }
    return Piece(product, **{**given_piece, **changed})


@pytest.mark.parametrize(("choice", "names"), CHOICES, ids=IDS)
def test_every_set_comes_from_one_place_of_every_product(choice, names):
    plan = lay_out(choice, names, 18, seed=3)
    carved = carving_plan(plan.servings, [flat(name) for name in names], Lots(3))
    assert sorted(cut.serving.code for cut in carved.cuts) == sorted(s.code for s in plan.servings)
    distances = defaultdict(set)
    for cut in carved.cuts:
        distances[cut.serving.taster].add(cut.distance_m)
    assert all(len(found) == 1 for found in distances.values())
    taken = Counter((cut.serving.product, cut.slice_number, cut.piece_number) for cut in carved.cuts)
    assert max(taken.values()) == 1
    assert all(1 <= cut.piece_number <= 6 and 0.03 < cut.distance_m < 0.22 for cut in carved.cuts)
    assert carved.slices + carved.reserve == slices_of(flat("x")) == 15
    assert len(carver_rows(carved)) == len(plan.servings)


def test_unlike_parts_and_too_little_meat_are_refused():
    plan = lay_out(choose(Question.DIFFER, 2), TWO, 24, seed=3)
    with pytest.raises(TastingInputError, match=r"different parts \(flat and point\).*like with like"):
        carving_plan(plan.servings, [flat(TWO[0]), flat(TWO[1], part="point")], Lots(1))
    with pytest.raises(TastingInputError, match="different ends"):
        carving_plan(plan.servings, [flat(TWO[0]), flat(TWO[1], end="thick end")], Lots(1))
    with pytest.raises(TastingInputError, match="3 slices, enough for 9 of 24 tasters: carve thinner"):
        carving_plan(plan.servings, [flat(name, length_m=0.1) for name in TWO], Lots(1))
    with pytest.raises(TastingInputError, match="a slice gives 1: carve smaller"):
        carving_plan(plan.servings, [flat(name, across=1) for name in TWO], Lots(1))
    with pytest.raises(TastingInputError, match="no piece of paper"):
        carving_plan(plan.servings, [flat(TWO[0])], Lots(1))


def test_conditions_that_differ_are_named_with_their_remedy():
    one = Conditions("foil boat", "Saturday", "flat", 0.006, 8 * 3600, 60.0)
    assert unlike_conditions([one, Conditions("paper", "Sunday", "flat", 0.0065, 8.4 * 3600, 61.0)]) == ()
    other = Conditions("paper", "Saturday", "point", 0.009, 14 * 3600, 52.0)
    found = unlike_conditions([one, other])
    assert [unlike.what for unlike in found] == [
        "flat against point",
        "6.0 h more hold for one",
        "served 8 °C apart",
        "slices of different thickness",
    ]
    assert all(unlike.remedy for unlike in found)
    assert below_hot_holding([one, other]) == ("paper",)


# --- sheets -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("choice", "names"), CHOICES, ids=IDS)
def test_sheets_show_codes_and_never_a_product(choice, names):
    plan = lay_out(choice, names, 12, seed=9)
    sheets = taster_sheets(choice, plan.servings, attributes=ATTRIBUTES, named="smoke")
    assert len(sheets) == 12
    shown = repr(sheets)
    assert not any(name in shown for name in names)
    for sheet in sheets:
        own = [one for one in plan.servings if one.taster == sheet.taster]
        assert [row.code for row in sheet.rows] == [one.code for one in own]
        assert sheet.task
        assert bool(sheet.attributes) == (choice.kind is Kind.SCORES)


def test_choices_on_the_sheet_are_the_answers_of_the_test():
    tetrad = lay_out(CHOICES[0][0], TWO, 1, seed=9)
    codes = [one.code for one in tetrad.servings]
    (sheet,) = taster_sheets(tetrad.choice, tetrad.servings)
    assert sheet.choices == tuple(f"{codes[0]} with {other}" for other in codes[1:])
    duo = lay_out(CHOICES[1][0], TWO, 1, seed=9)
    (sheet,) = taster_sheets(duo.choice, duo.servings)
    assert len(sheet.choices) == 2
    assert duo.servings[0].code in sheet.task
    preference = lay_out(CHOICES[5][0], TWO, 1, seed=9)
    assert taster_sheets(preference.choice, preference.servings)[0].choices[-1] == "no preference"


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        (lambda: choose(Question.DIFFER, 3), "asked of two products"),
        (lambda: choose(Question.DIFFER, 2, pieces=2), "at least 3"),
        (lambda: choose(Question.ORDER, 9), "a ranking needs all of them"),
        (lambda: choose(Question.ORDER, 1), "from 2 to 12"),
        (lambda: lay_out(choose(Question.DIFFER, 2), ("a",), 12, seed=1), "2 products but 1 are named"),
        (lambda: lay_out(choose(Question.DIFFER, 2), ("a", "a"), 12, seed=1), "name each product once"),
        (lambda: lay_out(choose(Question.DIFFER, 2), TWO, 0, seed=1), "tasters is 0"),
        (lambda: lay_out(choose(Question.DIFFER, 2), TWO, 300, seed=1), "split the tasting into sessions"),
        (lambda: lay_out(choose(Question.DIFFER, 2), TWO, 12, seed=-1), "the seed is -1"),
        (lambda: incomplete_blocks(12, 5), "serve one more or one fewer"),
        (lambda: taster_sheets(choose(Question.HOW_MUCH, 2), []), "no attribute is named"),
        (lambda: taster_sheets(choose(Question.MORE, 2), []), "which has more of what"),
        (lambda: tasters_for_scores(difference=0.01, spread=2), "more than 512 tasters"),
        (lambda: tasters_for_ranking(products=3, d_prime=0.05), "more than 512 tasters"),
        (lambda: preference_power(20, share=0.4), "give a number between 0.5 and 1"),
        (lambda: slices_of(flat("paper", length_m=0.0)), "length of paper is 0"),
        (lambda: carving_plan([], [], Lots(1)), "nothing to carve"),
        (lambda: unlike_conditions([]), "at least two products"),
    ],
)
def test_wrong_input_says_what_to_write(wrong, message):
    with pytest.raises(TastingInputError, match=message):
        wrong()


def test_no_code_is_left_out_without_reason():
    """Three different digits, no leading 0, less 7 rising and 8 falling runs and the telling ones."""
    assert len(usable_codes()) == 9 * 9 * 8 - (7 + 8) - len({180, 195, 203, 205, 250, 275})
