"""Logs held against their forecast, and pits learnt from them: simulated cooks in pits whose truth is known.

The truth is the engine's own (`benchmarks.simulated_cooks`); the full rates are benchmarks (`bench_fit`).
"""

import json
import shutil
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from benchmarks.simulated_cooks import Simulated, TruePit, simulated_cooks
from jsonschema import Draft202012Validator

from slowfolio.book.model import Book, Sourced
from slowfolio.book.reading import read_book
from slowfolio.cooklog.against import Against, against
from slowfolio.cooklog.estimate import Slopes, solve
from slowfolio.cooklog.fit_pit import PitFit, fit_pit
from slowfolio.cooklog.proposal import patch, pit_changes, proposed_text
from slowfolio.cooklog.record import against_record, fit_record
from slowfolio.cooklog.remarks import LogError
from slowfolio.cooklog.words import against_lines, fit_lines
from slowfolio.forecast.inputs import schedule_of
from slowfolio.provenance import Provenance
from slowfolio.units import System

pytestmark = pytest.mark.slow

ROOT = Path(__file__).parents[1]
METHOD = "hot-and-fast"
HOT = TruePit(offset_k=12.0, convection=0.3)


@pytest.fixture(scope="module")
def book() -> Book:
    found = read_book(ROOT / "methods").book
    assert found is not None
    return found


@pytest.fixture(scope="module")
def hot_cooks(book: Book) -> list[Simulated]:
    return simulated_cooks(book, METHOD, HOT, count=3, seed=4)


@pytest.fixture(scope="module")
def hot_fit(book: Book, hot_cooks: list[Simulated]) -> PitFit:
    return fit_pit(book.methods[METHOD].pit, [(each.cook, each.recording) for each in hot_cooks], book)


@pytest.fixture(scope="module")
def hot_day(book: Book) -> Against:
    (one,) = simulated_cooks(book, METHOD, TruePit(offset_k=22.0), count=1, seed=9, daily=0.0)
    return against(one.cook, one.recording, book, members=16)


# --- against ----------------------------------------------------------------------------------------


def test_a_pit_that_ran_hot_is_the_best_explanation_of_its_cook_and_about_as_hot_as_it_was(
    hot_day: Against,
) -> None:
    best = hot_day.explanations[0]
    assert best.parameter == "offset_k"
    assert best.amount == pytest.approx(22.0, abs=6.0)
    assert best.explains > 0.6
    assert "hotter" in "\n".join(against_lines(hot_day, System.US))


def test_a_hot_pit_is_off_before_the_window_of_the_forecast(hot_day: Against) -> None:
    finish = next(window for window in hot_day.windows if window.what == "off the pit")
    assert not finish.inside
    assert finish.measured < finish.low


def test_a_cook_like_its_card_lies_in_most_of_its_windows(book: Book) -> None:
    (one,) = simulated_cooks(book, METHOD, TruePit(), count=1, seed=12, daily=0.0)
    result = against(one.cook, one.recording, book, members=16)
    assert sum(window.inside for window in result.windows) >= 0.6 * len(result.windows)
    assert result.misfit < 1.5


def test_a_thicker_piece_than_said_is_found_where_the_pit_is_as_on_its_card(book: Book) -> None:
    (one,) = simulated_cooks(book, METHOD, TruePit(), count=1, seed=12, daily=0.0)
    thickness_m = one.cook.piece.thickness_m
    assert thickness_m is not None
    said = replace(one.cook.piece, thickness_m=0.84 * thickness_m, weight_after_kg=None)
    wrong = replace(one.cook, piece=said)
    result = against(wrong, one.recording, book, members=8)
    thicker = next(each for each in result.explanations if each.parameter == "thickness")
    assert thicker.amount > 0.03
    assert thicker in result.explanations[:4]


def test_json_of_a_comparison_keeps_to_its_schema(hot_day: Against) -> None:
    validate("log-against", against_record(hot_day))


def test_a_log_without_its_finish_says_what_to_add(book: Book, hot_cooks: list[Simulated]) -> None:
    one = hot_cooks[0]
    cut = replace(one.recording, events=tuple(e for e in one.recording.events if e.what != "finish"))
    with pytest.raises(LogError, match="add the events meat on and finish"):
        against(one.cook, cut, book, members=8)


# --- fit --------------------------------------------------------------------------------------------


def test_the_true_pit_lies_in_the_90_per_cent_intervals(hot_fit: PitFit) -> None:
    """One pit of many; `bench_fit` counts the rate over twenty of them."""
    inside = [found.low <= getattr(HOT, found.parameter) <= found.high for found in hot_fit.findings]
    assert sum(inside) >= 4
    offset = next(found for found in hot_fit.findings if found.parameter == "offset_k")
    assert offset.low <= HOT.offset_k <= offset.high
    assert offset.sd < 0.5 * offset.prior_sd


def test_the_error_on_left_out_cooks_falls_by_half(hot_fit: PitFit) -> None:
    assert hot_fit.improved is not None
    assert hot_fit.improved <= 0.5
    assert hot_fit.misfit_after < hot_fit.misfit_before


def test_a_fit_proposes_a_patch_that_applies_passes_the_check_and_changes_nothing_itself(
    book: Book, hot_fit: PitFit, tmp_path: Path
) -> None:
    pit = book.pits[hot_fit.pit]
    before = (ROOT / "methods" / pit.origin.file).read_bytes()
    changes = pit_changes(hot_fit, book)
    assert "air_offset" in {change.key for change in changes}
    diff, text = patch(book, pit, changes)
    assert (ROOT / "methods" / pit.origin.file).read_bytes() == before
    assert diff.startswith(f"--- a/{pit.origin.file}\n+++ b/{pit.origin.file}\n")
    root = tmp_path / "book"
    shutil.copytree(ROOT / "methods", root)
    (root / pit.origin.file).write_text(text, "utf-8")
    result = read_book(root)
    assert result.errors == ()
    assert result.book is not None
    changed = result.book.pits[pit.id]
    assert changed.air_offset_k is not None
    assert changed.air_offset_k.value == pytest.approx(hot_fit.shift("offset_k"), abs=0.5)
    assert changed.air_offset_k.provenance.value == "measured"


def test_the_forecast_uses_the_offset_on_the_card(book: Book) -> None:
    method = book.methods[METHOD]
    pit = replace(book.pits[method.pit], air_offset_k=Sourced(5.0, Provenance.MEASURED, "three cooks"))
    warmer = replace(book, pits={**book.pits, method.pit: pit})
    plain, moved = schedule_of(method, book).stages[0], schedule_of(method, warmer).stages[0]
    assert moved.pit_temp_c - plain.pit_temp_c == pytest.approx(5.0)


def test_json_of_a_fit_keeps_to_its_schema_and_the_words_name_every_cook(book: Book, hot_fit: PitFit) -> None:
    changes = pit_changes(hot_fit, book)
    validate("log-fit", fit_record(hot_fit, changes, "a patch"))
    words = "\n".join(fit_lines(hot_fit, System.METRIC))
    assert all(cook in words for cook in hot_fit.cooks)


def test_a_cook_of_another_pit_is_refused(book: Book, hot_cooks: list[Simulated]) -> None:
    other = next(name for name in book.pits if name != hot_cooks[0].cook.pit)
    with pytest.raises(LogError, match="leave it out"):
        fit_pit(other, [(hot_cooks[0].cook, hot_cooks[0].recording)], book)


def test_a_changed_card_is_not_patched_in_the_wrong_place(book: Book, hot_fit: PitFit) -> None:
    pit = book.pits[hot_fit.pit]
    with pytest.raises(LogError, match="changed while it was read"):
        proposed_text("id: x\n" * 60, pit.origin, [c for c in pit_changes(hot_fit, book) if c.before])


def test_the_estimate_is_that_of_the_normal_equations_written_out() -> None:
    """Against the posterior of the whole stacked system, solved at once with NumPy."""
    rng = np.random.default_rng(0)
    shared_sd, own_sd = np.array([2.0, 0.5]), np.array([1.0, 3.0, 0.2])
    cooks = [
        Slopes(rng.standard_normal(9), rng.standard_normal((9, 2)), rng.standard_normal((9, 3)),
               rng.standard_normal(2), rng.standard_normal(3), own_sd)
        for _ in range(3)
    ]  # fmt: skip
    rows = np.zeros((27, 2 + 9))
    target = np.zeros(27)
    for index, cook in enumerate(cooks):
        at, own = slice(9 * index, 9 * index + 9), slice(2 + 3 * index, 5 + 3 * index)
        rows[at, :2], rows[at, own] = cook.by_shared, cook.by_own
        target[at] = cook.residual + cook.by_shared @ cook.shared_at + cook.by_own @ cook.own_at
    precision = np.diag(1 / np.concatenate((shared_sd, *[own_sd] * 3)) ** 2)
    covariance = np.linalg.inv(rows.T @ rows + precision)
    found = solve(cooks, shared_sd)
    assert found.shared == pytest.approx((covariance @ rows.T @ target)[:2])
    assert found.covariance == pytest.approx(covariance[:2, :2])


def validate(name: str, record: dict[str, object]) -> None:
    schema = json.loads((ROOT / "schema" / "output" / f"{name}.schema.json").read_text("utf-8"))
    Draft202012Validator.check_schema(schema)
    Draft202012Validator(schema).validate(json.loads(json.dumps(record)))
