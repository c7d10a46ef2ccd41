"""Tasting cards and what is made of them: reading, analysis, evidence, findings of the check."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from book_cases import GOOD_BOOK, check, copy_good_book, spoil
from demo_tastings import MODELS, simulated_sheets
from slowfolio.book.findings import Finding
from slowfolio.book.model import Book
from slowfolio.book.reading import read_book
from slowfolio.book.single import CardNotReady, read_tasting
from slowfolio.book.tasting_card import TEST_QUESTIONS, CodeMark, LookedFor, Plate, Sheet, Tasting
from slowfolio.enrich.cache import Cache
from slowfolio.enrich.evidence import evidence_for, evidence_grade
from slowfolio.enrich.tasting_analysis import analyse, analyse_book, tasting_key
from slowfolio.enrich.tasting_bridge import QUESTIONS
from slowfolio.enrich.tasting_findings import LEVELS, tasting_findings
from slowfolio.enrich.tasting_results import OVER_COOKS, TastingResult
from slowfolio.tasting.evidence import Grade
from slowfolio.tasting.procedure import QUESTIONS as ANSWERED
from slowfolio.tasting.verdict import Settled
from tasting_cases import at_most, plausible

STARTER = Path(__file__).parents[1] / "methods"
TRIANGLE = "boat-twice-triangle"
SCORED = "boat-or-foil-scored"


@pytest.fixture(scope="module")
def book() -> Book:
    found = read_book(STARTER).book
    assert found is not None
    return found


@pytest.fixture(scope="module")
def results(book: Book, tmp_path_factory: pytest.TempPathFactory) -> dict[str, TastingResult]:
    return analyse_book(book, Cache(tmp_path_factory.mktemp("kept")))


def triangle(root: Path = GOOD_BOOK) -> Tasting:
    found = check(root).book
    assert found is not None
    return found.tastings[TRIANGLE]


def panel(right: int, tasters: int, card: Tasting) -> Tasting:
    """The triangle with so many plates, of which so many sheets are right."""
    plates = tuple(
        Plate(n, ("boat", "second", "boat"), (100 + 3 * n, 101 + 3 * n, 102 + 3 * n), 1, "")
        for n in range(1, tasters + 1)
    )
    sheets = tuple(
        Sheet(plate.taster, plate.codes[1 if plate.taster <= right else 0], ()) for plate in plates
    )
    return replace(card, plates=plates, sheets=sheets)


# --- reading ------------------------------------------------------------------------------------------


def test_a_card_becomes_numbers_in_si() -> None:
    card = triangle()
    first = card.products[0]
    assert (first.slice_m, first.held_s) == pytest.approx((0.008, 36_000))
    assert first.served_c == pytest.approx(60.0)
    assert card.looked_for == LookedFor(telling=pytest.approx(0.4))
    assert (card.alpha, card.invented, card.plates[1].cook) == (0.05, True, 2)


def test_the_words_of_cards_and_the_tests_of_the_library_are_the_same() -> None:
    assert {name: {QUESTIONS[word] for word in words} for name, words in TEST_QUESTIONS.items()} == {
        procedure.value: set(questions) for procedure, questions in ANSWERED.items()
    }


def test_a_tasting_of_a_method_with_an_error_is_left_out_of_the_book(tmp_path: Path) -> None:
    root = copy_good_book(tmp_path)
    spoil(root, "cards/brisket/boat-humid-hold.yaml", "revision: 3", "revision: 0")
    found = check(root).book
    assert found is not None
    assert found.tastings == {}


def test_a_card_on_its_own_is_read_and_a_wrong_one_says_where(tmp_path: Path) -> None:
    source = GOOD_BOOK / "tastings" / f"{TRIANGLE}.yaml"
    assert read_tasting(source).id == TRIANGLE
    wrong = tmp_path / "wrong.yaml"
    wrong.write_text(source.read_text("utf-8").replace("chose: 239", "chose: 999"), "utf-8")
    with pytest.raises(CardNotReady) as caught:
        read_tasting(wrong)
    assert [(one.code, one.mark.line) for one in caught.value.findings] == [("tasting-code-not-served", 22)]


# --- analysis -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(("tasters", "least"), [(12, 8), (24, 13), (30, 15), (36, 18)])
def test_a_triangle_card_turns_at_the_counts_of_the_published_table(tasters: int, least: int) -> None:
    """FAO Fisheries Technical Paper 348, Appendix A, alpha 0.05 (READ)."""
    card = triangle()
    assert analyse(panel(least, tasters, card)).answers[0].settled is Settled.DIFFERENT
    assert analyse(panel(least - 1, tasters, card)).answers[0].settled is not Settled.DIFFERENT


def test_d_prime_of_10_of_15_in_a_triangle_card() -> None:
    """2.3214, sensR discrim.Rd example (READ and recomputed)."""
    readings = {one.name: one for one in analyse(panel(10, 15, triangle())).answers[0].readings}
    assert readings["d-prime"].value == pytest.approx(2.3214, abs=5e-5)


def test_the_power_on_a_card_is_that_of_the_published_table() -> None:
    """Triangle, 24 tasters, 40 % can tell: 0.79 (exact binomial, table of powers at alpha 0.05)."""
    assert analyse(panel(13, 24, triangle())).power == pytest.approx(0.79, abs=0.005)


def test_several_sheets_of_one_person_are_not_counted_as_several_tasters() -> None:
    """Kunert & Meyners (1999): pooled answers are for "nobody can tell" only (MEMORY)."""
    card = panel(10, 12, triangle())
    plates = tuple(replace(plate, person=f"guest {plate.taster % 4}") for plate in card.plates)
    answer = analyse(replace(card, plates=plates)).answers[0]
    assert "12 answers by 4 tasters" in answer.found
    assert any("not 12 tasters" in words for words in answer.cannot_say)


def test_two_sheets_of_one_person_in_a_pair_are_refused() -> None:
    card = triangle()
    plates = tuple(Plate(n, ("boat", "second"), (100 + 2 * n, 101 + 2 * n), 1, "guest") for n in (1, 2))
    sheets = tuple(Sheet(plate.taster, plate.codes[0], ()) for plate in plates)
    pair = replace(card, test="paired preference", question="preferred", plates=plates, sheets=sheets)
    assert "guest filled in 2 sheets" in analyse(pair).refused


def test_a_named_direction_counts_that_direction_alone() -> None:
    """ISO 5495: 20 of 30 are enough one-sided, 21 two-sided, at alpha 0.05 (exact binomial)."""
    card = triangle()

    def settled(chose_second: int, expected: str) -> Settled:
        plates = tuple(Plate(n, ("boat", "second"), (100 + 2 * n, 101 + 2 * n), 1, "") for n in range(1, 31))
        sheets = tuple(Sheet(p.taster, p.codes[1 if p.taster <= chose_second else 0], ()) for p in plates)
        pair = replace(
            card,
            test="paired comparison",
            question="more",
            attribute="smoke",
            expected_more=expected,
            plates=plates,
            sheets=sheets,
        )
        return analyse(pair).answers[0].settled

    assert settled(20, "second") is Settled.DIFFERENT
    assert settled(19, "second") is Settled.OPEN
    assert settled(20, "") is Settled.OPEN
    assert settled(21, "") is Settled.DIFFERENT
    assert settled(30, "boat") is Settled.OPEN


# --- evidence -----------------------------------------------------------------------------------------


def test_the_grade_falls_with_what_was_not_done(book: Book) -> None:
    card = book.tastings[SCORED]

    def grade(**changed: object) -> Grade:
        return analyse(replace(card, **changed)).grade  # type: ignore[arg-type]

    assert grade() is Grade.POWERED
    assert grade(looked_for=None) is Grade.REPEATED
    assert grade(products=tuple(replace(one, cooked=1) for one in card.products)) is Grade.ONE_COOK
    assert grade(blind="tasters knew") is Grade.HINT
    longer = (card.products[0], replace(card.products[1], held_s=card.products[1].held_s + 7200))
    assert grade(products=longer) is Grade.HINT


def test_an_open_question_is_no_evidence(book: Book, results: dict[str, TastingResult]) -> None:
    assert evidence_grade("foil-boat-humid-hold", book, results) is Grade.POWERED
    assert evidence_grade("foil-boat-dry-hold", book, results) is None
    assert [line.tasting.id for line in evidence_for("foil-boat-dry-hold", book, results)] == [
        "dry-or-humid-hold"
    ]
    assert evidence_for("overnight-low", book, results) == ()


def test_an_analysis_is_kept_until_a_sheet_changes(book: Book, tmp_path: Path) -> None:
    card = book.tastings[SCORED]
    assert tasting_key(replace(card, title="Another title")) == tasting_key(card)
    assert tasting_key(replace(card, sheets=card.sheets[:-1])) != tasting_key(card)
    cache = Cache(tmp_path)
    first = analyse_book(book, cache)
    assert cache.read(tasting_key(card), TastingResult) == first[SCORED]


# --- findings -----------------------------------------------------------------------------------------


def contradictions(book: Book, results: dict[str, TastingResult]) -> list[Finding]:
    return [one for one in tasting_findings(book, results) if one.code == "claim-contradicted"]


def with_level(book: Book, method: str, quality: str, level: str) -> Book:
    card = book.methods[method]
    expected = {**card.expected, quality: replace(card.expected[quality], level=level)}
    return replace(book, methods={**book.methods, method: replace(card, expected=expected)})


def test_the_starter_book_claims_nothing_that_its_tastings_contradict(
    book: Book, results: dict[str, TastingResult]
) -> None:
    assert tasting_findings(book, results) == ()


def test_a_claim_the_other_way_round_is_found_at_its_place_on_both_cards(
    book: Book, results: dict[str, TastingResult]
) -> None:
    wrong = with_level(
        with_level(book, "foil-tight", "bark", "crisp"), "foil-boat-humid-hold", "bark", "soft"
    )
    found = contradictions(wrong, results)
    assert {one.file for one in found} == {
        book.methods[name].origin.file for name in ("foil-tight", "foil-boat-humid-hold")
    }
    for one in found:
        assert "bark: {level:" in one.excerpt
        assert "boat scores higher on bark" in one.message


def test_claims_two_levels_apart_are_contradicted_by_alike(
    book: Book, results: dict[str, TastingResult]
) -> None:
    near = with_level(book, "foil-tight", "tenderness", "falls apart")
    far = with_level(near, "foil-boat-humid-hold", "tenderness", "sliceable")
    assert contradictions(near, results) == []
    assert len(contradictions(far, results)) == 2


def test_a_difference_that_the_cooks_do_not_bear_out_contradicts_nobody(
    book: Book, results: dict[str, TastingResult]
) -> None:
    """More tasters cannot replace more cooks: the interval over three cooks holds zero for rendering."""
    answer = next(one for one in results[SCORED].answers if one.attribute == "rendering")
    assert (answer.settled, answer.over_cooks) == (Settled.DIFFERENT, False)
    assert "in the pieces and not in the methods" in answer.doubt
    assert {one.attribute for one in results[SCORED].answers if one.doubt} == {"rendering"}
    assert contradictions(with_level(book, "foil-tight", "rendering", "melting"), results) == []


def test_a_hint_contradicts_nobody(book: Book) -> None:
    open_eyed = replace(book.tastings[SCORED], blind="tasters knew")
    wrong = with_level(
        with_level(book, "foil-tight", "bark", "crisp"), "foil-boat-humid-hold", "bark", "soft"
    )
    assert contradictions(wrong, {SCORED: analyse(open_eyed)}) == []


def test_levels_are_those_of_the_method_cards() -> None:
    from slowfolio.book.schemas import schema

    expect = schema("method")["properties"]["expect"]["properties"]
    assert {name: tuple(field["properties"]["level"]["enum"]) for name, field in expect.items()} == LEVELS


def test_another_seed_unlike_holds_and_hopeless_sheets_are_found(book: Book) -> None:
    card = book.tastings["boat-or-paper-triangle"]
    longer = (card.products[0], replace(card.products[1], held_s=10 * 3600.0))
    again = tuple(replace(plate, person="one guest") for plate in card.plates)
    pair = book.tastings["dry-or-humid-hold"]
    for changed, code in (
        (replace(card, seed=card.seed + 1), "tasting-not-as-drawn"),
        (replace(card, products=longer), "tasting-unlike"),
        (replace(card, plates=again), "tasting-not-analysed"),
        (replace(pair, plates=tuple(replace(p, person="one") for p in pair.plates)), "tasting-not-analysed"),
    ):
        altered = replace(book, tastings={changed.id: changed})
        assert [one.code for one in tasting_findings(altered, {changed.id: analyse(changed)})] == [code]


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({"alpha": 0.0}, "alpha is 0"),
        ({"alpha": 1.0}, "alpha is 1"),
        ({"looked_for": LookedFor(telling=0.0)}, "larger difference"),
        ({"looked_for": LookedFor(telling=1.0)}, "give a number between 0 and 1"),
        ({"looked_for": LookedFor(telling=0.001)}, "give a larger one"),
    ],
    ids=str,
)
def test_figures_that_no_analysis_can_take_are_refused_in_words(
    book: Book, changed: dict[str, object], says: str
) -> None:
    card = replace(book.tastings["boat-or-paper-triangle"], **changed)  # type: ignore[arg-type]
    result = analyse(card)
    assert says in result.refused
    assert (result.answers, result.grade) == ((), Grade.HINT)


def test_a_slice_thicker_than_a_brisket_and_boiling_meat_are_refused(book: Book) -> None:
    card = book.tastings["boat-or-paper-triangle"]
    for broken in ({"slice_m": 0.3}, {"served_c": 130.0}):
        products = (replace(card.products[0], **broken), card.products[1])  # type: ignore[arg-type]
        assert "give a number" in analyse(replace(card, products=products)).refused


# --- the demo -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", MODELS)
def test_a_demo_is_marked_as_invented_and_its_sheets_are_those_of_its_model(book: Book, name: str) -> None:
    card = book.tastings[name]
    assert card.invented
    assert f"seed {MODELS[name].seed}" in card.notes[0]
    assert card.sheets == simulated_sheets(card)


def test_the_demos_settle_some_questions_and_leave_others_open(results: dict[str, TastingResult]) -> None:
    assert set(results) == set(MODELS)
    assert {answer.settled for result in results.values() for answer in result.answers} == set(Settled)
    assert all(result.as_drawn and not result.refused for result in results.values())
    open_one = results["boat-or-paper-triangle"].answers[0]
    assert open_one.settle.startswith("12 tasters cannot settle")
    assert open_one.would_settle == 30


# --- simulated panels ---------------------------------------------------------------------------------


def simulated_scores(card: Tasting, rng: np.random.Generator, *, gap: float) -> Tasting:
    """24 sheets on smoke over 3 cooks: every piece off by chance, methods apart by `gap`, tasters noisy."""
    pieces = rng.normal(0.0, 1.0, size=(3, 2)) + np.array([gap, 0.0])
    sheets = []
    for plate in card.plates[:24]:
        felt = 5.0 + pieces[plate.cook - 1] + rng.normal(0.0, 1.0, size=2)
        points = dict(zip(card.names, np.clip(np.round(felt), 1, 9), strict=True))
        marks = tuple(
            CodeMark(code, None, {"smoke": float(points[name])})
            for name, code in zip(plate.order, plate.codes, strict=True)
        )
        sheets.append(Sheet(plate.taster, None, marks))
    return replace(card, attributes=("smoke",), plates=card.plates[:24], sheets=tuple(sheets))


def test_pieces_that_differ_by_chance_rarely_contradict_a_claim_about_methods(book: Book) -> None:
    """Methods alike, pieces not: tasters rightly tell the pieces apart, the cooks hold the claim at alpha."""
    rng = np.random.default_rng(20_261_125)
    answers = [analyse(simulated_scores(book.tastings[SCORED], rng, gap=0.0)).answers[0] for _ in range(200)]
    told_apart = [one for one in answers if one.settled is Settled.DIFFERENT]
    assert not at_most(len(told_apart), len(answers), 0.05)
    assert at_most(sum(one.over_cooks is True for one in told_apart), len(answers), 0.05)


def test_intervals_over_the_cooks_cover_the_difference_of_the_methods(book: Book) -> None:
    rng = np.random.default_rng(20_261_126)
    covered = 0
    for _ in range(200):
        answer = analyse(simulated_scores(book.tastings[SCORED], rng, gap=1.0)).answers[0]
        over_cooks = answer.readings[-1]
        assert over_cooks.unit == OVER_COOKS
        assert over_cooks.low is not None
        assert over_cooks.high is not None
        covered += over_cooks.low <= 1.0 <= over_cooks.high
    assert plausible(covered, 200, 0.95)


def test_a_direction_named_beforehand_is_found_by_chance_at_most_at_alpha(book: Book) -> None:
    """42 tasters who guess, 200 times; the exact test's own rate is 0.044 (binomial)."""
    card = book.tastings["smoke-bare-or-foiled"]
    rng = np.random.default_rng(20_261_127)
    found = 0
    for _ in range(200):
        sheets = tuple(Sheet(p.taster, p.codes[int(rng.integers(2))], ()) for p in card.plates)
        found += analyse(replace(card, sheets=sheets)).answers[0].settled is Settled.DIFFERENT
    assert at_most(found, 200, 0.05)
    assert found > 0
