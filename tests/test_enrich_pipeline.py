"""Enrichment of the starter book: what is computed, what is kept, what a change makes anew."""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

import pytest

from slowfolio.book.model import Book, Method
from slowfolio.book.reading import read_book
from slowfolio.enrich.cache import Cache
from slowfolio.enrich.keys import result_key
from slowfolio.enrich.pipeline import Enriched, enrich_book
from slowfolio.provenance import Provenance

STARTER = Path(__file__).parents[1] / "methods"
MEMBERS = 24


@pytest.fixture(scope="module")
def book() -> Book:
    whole = read_book(STARTER).book
    assert whole is not None
    chosen = ("foil-tight", "unwrapped")
    return replace(whole, methods={name: whole.methods[name] for name in chosen})


@pytest.fixture(scope="module")
def cache(tmp_path_factory: pytest.TempPathFactory) -> Cache:
    return Cache(tmp_path_factory.mktemp("kept"))


@pytest.fixture(scope="module")
def enriched(book: Book, cache: Cache) -> Enriched:
    return enrich_book(book, cache, members=MEMBERS, executor=ThreadPoolExecutor(1))


def changed(book: Book, method: Method) -> Book:
    return replace(book, methods={**book.methods, method.id: method})


def key(book: Book, name: str) -> str:
    return result_key(book.methods[name], book, members=MEMBERS, seed=1)


def test_every_method_has_a_result(book: Book, enriched: Enriched) -> None:
    assert set(enriched.results) == set(book.methods)
    assert not enriched.problems


def test_stages_follow_each_other_and_carry_their_air(book: Book, enriched: Enriched) -> None:
    for name, result in enriched.results.items():
        method = book.methods[name]
        assert [stage.name for stage in result.stages[: len(method.stages)]] == [
            stage.name for stage in method.stages
        ]
        for before, after in zip(result.stages, result.stages[1:], strict=False):
            assert after.start.value == pytest.approx(before.end.value, abs=1)
        for stage in result.stages:
            assert stage.air.dew_point.value < stage.air.wet_bulb.value < stage.air.dry_bulb.value


def test_every_computed_figure_has_its_spread_and_names_the_engine(enriched: Enriched) -> None:
    for result in enriched.results.values():
        for figure in (result.pull, result.yield_fraction, *result.scores.values()):
            assert figure.provenance is Provenance.COMPUTED
            assert figure.low is not None
            assert figure.high is not None
            assert figure.low <= figure.value <= figure.high
            assert result.engine in figure.source


def test_where_the_raw_weight_went_adds_up(enriched: Enriched) -> None:
    """Meat, evaporated, dripped or pooled and rendered make up the raw weight, spritzed water apart."""
    for result in enriched.results.values():
        parts = (result.yield_fraction, result.evaporated, result.dripped, result.rendered)
        assert sum(part.value for part in parts) == pytest.approx(1.0, abs=0.05)


def test_a_second_run_computes_nothing_and_gives_the_same(
    book: Book, cache: Cache, enriched: Enriched
) -> None:
    again = enrich_book(book, cache, members=MEMBERS)
    assert again.computed == ()
    assert again.results == enriched.results


def test_a_change_to_one_method_computes_that_method_alone(
    book: Book, cache: Cache, enriched: Enriched
) -> None:
    method = book.methods["unwrapped"]
    first = replace(method.stages[0], pit_temp_c=method.stages[0].pit_temp_c + 5)
    hotter = changed(book, replace(method, stages=(first, *method.stages[1:])))
    again = enrich_book(hotter, cache, members=MEMBERS)
    assert again.computed == ("unwrapped",)
    assert again.results["foil-tight"] == enriched.results["foil-tight"]
    assert again.results["unwrapped"].pull.value < enriched.results["unwrapped"].pull.value


def test_a_change_of_words_computes_nothing(book: Book, cache: Cache) -> None:
    method = replace(book.methods["unwrapped"], choose_when="When the smoke is the point.", revision=9)
    assert enrich_book(changed(book, method), cache, members=MEMBERS).computed == ()


def test_a_result_depends_on_every_card_it_refers_to(book: Book) -> None:
    name = "unwrapped"
    method = book.methods[name]
    pit, wrap, cut = book.pits[method.pit], book.wraps["none"], book.cuts[method.cut]
    assert method.hold is not None
    holder = book.holders[method.hold.holder]
    draught = replace(pit.draught_m_s, value=pit.draught_m_s.value * 1.1)
    keys = {
        key(book, name),
        key(replace(book, pits={**book.pits, pit.id: replace(pit, draught_m_s=draught)}), name),
        key(replace(book, wraps={**book.wraps, wrap.id: replace(wrap, steam_tight=True)}), name),
        key(replace(book, cuts={**book.cuts, cut.id: replace(cut, typical_weight_kg=7.0)}), name),
        key(
            replace(
                book,
                holders={
                    **book.holders,
                    holder.id: replace(holder, drift_k=replace(holder.drift_k, value=9.0)),
                },
            ),
            name,
        ),
        key(replace(book, card=replace(book.card, altitude_m=1500.0)), name),
        result_key(method, book, members=MEMBERS + 1, seed=1),
        result_key(method, book, members=MEMBERS, seed=2),
    }
    assert len(keys) == 8


def test_a_result_does_not_depend_on_other_cards(book: Book) -> None:
    others = {name: pit for name, pit in book.pits.items() if name != book.methods["unwrapped"].pit}
    pit_name, pit = next(iter(others.items()))
    other = replace(pit, drift_k=replace(pit.drift_k, value=20.0))
    assert key(replace(book, pits={**book.pits, pit_name: other}), "unwrapped") == key(book, "unwrapped")


def test_a_method_no_kitchen_can_cook_is_a_problem_and_the_others_go_on(book: Book, tmp_path: Path) -> None:
    method = book.methods["unwrapped"]
    until = replace(method.stages[0].until, time_s=None, core_temp_c=150.0)
    broken = changed(book, replace(method, stages=(replace(method.stages[0], until=until),)))
    result = enrich_book(broken, Cache(tmp_path), members=1, executor=ThreadPoolExecutor(1))
    assert [problem.method for problem in result.problems] == ["unwrapped"]
    assert "foil-tight" in result.results
