"""A holder learnt from holds recorded in it: a cabinet that runs colder than its dial, simulated."""

import math
from dataclasses import replace
from pathlib import Path

import pytest
from benchmarks.simulated_cooks import TruePit, simulated_cooks

from slowfolio.book.model import Book, Sourced
from slowfolio.book.reading import read_book
from slowfolio.cooklog.draught import draught_for
from slowfolio.cooklog.fit_holder import HolderFit, fit_holder
from slowfolio.cooklog.proposal import holder_changes, patch
from slowfolio.physics.pit import forced_convection_w_m2_k
from slowfolio.provenance import Provenance

ROOT = Path(__file__).parents[1]
METHOD = "foil-boat-humid-hold"
COLDER_K = -5.0


@pytest.fixture(scope="module")
def book() -> Book:
    found = read_book(ROOT / "methods").book
    assert found is not None
    return found


@pytest.fixture(scope="module")
def fit(book: Book) -> HolderFit:
    hold = book.methods[METHOD].hold
    assert hold is not None
    true = replace(
        book.holders[hold.holder],
        air_offset_k=Sourced(COLDER_K, Provenance.MEASURED, "the truth of this test"),
    )
    real = replace(book, holders={**book.holders, hold.holder: true})
    cooks = simulated_cooks(real, METHOD, TruePit(), count=2, seed=3)
    recorded = [(each.cook, each.recording) for each in cooks]
    return fit_holder(hold.holder, recorded, book)


def test_a_cold_cabinet_is_found_within_its_interval(fit: HolderFit) -> None:
    offset = next(found for found in fit.findings if found.parameter == "offset_k")
    assert offset.low <= COLDER_K <= offset.high
    assert offset.high < 0.0
    assert offset.sd < 0.6 * offset.prior_sd


def test_holds_left_out_are_forecast_at_least_twice_as_well(fit: HolderFit) -> None:
    assert fit.improved is not None
    assert fit.improved <= 0.5
    assert fit.misfit_after < fit.misfit_before


def test_the_offset_goes_onto_the_card_as_a_patch(book: Book, fit: HolderFit) -> None:
    changes = holder_changes(fit, book)
    assert "air_offset" in {change.key for change in changes}
    diff, text = patch(book, book.holders[fit.pit], changes)
    assert "+air_offset: {value: -" in diff
    assert "provenance: measured" in text


def test_without_a_hygrometer_nothing_is_said_of_the_air_exchange(fit: HolderFit) -> None:
    assert fit.exchange is None


@pytest.mark.parametrize("shift", [-0.4, 0.0, 0.3])
def test_the_draught_proposed_gives_the_heat_transfer_found(shift: float) -> None:
    """Against the engine's own correlation (Churchill and Bernstein 1977), put in again."""
    there = forced_convection_w_m2_k(draught_for(0.5, shift)) / forced_convection_w_m2_k(0.5)
    assert there == pytest.approx(math.exp(shift), rel=1e-6)
