"""Guests to pieces and back, prices, and what to buy; figures by hand and from published yields."""

from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from slowfolio.forecast.planning.errors import PlanInputError
from slowfolio.forecast.planning.portions import (
    MOST_PIECES,
    PieceYield,
    pieces_for,
    portions_of,
    served_share,
)
from slowfolio.forecast.planning.prices import (
    Extra,
    Price,
    one_currency,
    read_price,
    read_price_or_extra,
)

POUND_KG = 0.45359237
PACKER = PieceYield(6.0, bone=0.0, trim=0.18, cooked=np.linspace(0.54, 0.62, 101))


def test_a_packer_from_the_bag_to_the_board_yields_what_the_food_buying_guide_says() -> None:
    """USDA Food Buying Guide, brisket, boneless: 1 lb as purchased gives 0.46 lb cooked (recalled)."""
    share = float(np.median(PACKER.served_kg)) / PACKER.bought_kg
    assert share == pytest.approx(0.46, abs=0.02)


def test_the_bone_is_not_served_and_loses_no_weight() -> None:
    """A rack of 2 kg with 28 % bone that cooks to 76 % has 48 % meat: 0.96 kg, less 5 % on the board."""
    rack = PieceYield(2.0, bone=0.28, trim=0.1, cooked=np.array([0.76]))
    assert rack.served_kg[0] == pytest.approx(0.96 * 0.95)
    assert served_share(np.array([0.2]), 0.28)[0] == 0.0


def test_pieces_are_whole_and_do_in_nine_cooks_of_ten() -> None:
    """P10 of the yield is 54.8 %: 6 kg give 3.12 kg, so 20 portions of 170 g (3.4 kg) take two."""
    assert pieces_for(18, 0.17, PACKER) == 1
    assert pieces_for(20, 0.17, PACKER) == 2
    two = portions_of(PACKER, pieces=2, guests=20, portion_kg=0.17)
    assert two.chance == 1.0
    assert two.feeds == 36
    one = portions_of(PACKER, pieces=1, guests=20, portion_kg=0.17)
    assert one.chance == pytest.approx(np.mean(PACKER.served_kg >= 3.4))
    assert one.feeds == 18


def test_the_lightest_piece_that_does_is_told() -> None:
    portions = portions_of(PACKER, pieces=2, guests=20, portion_kg=0.17)
    assert portions.lightest_piece_kg is not None
    smaller = PieceYield(portions.lightest_piece_kg, 0.0, 0.18, PACKER.cooked)
    assert float(np.percentile(2 * smaller.served_kg, 10)) == pytest.approx(3.4)


@given(
    st.integers(1, 400),
    st.floats(0.05, 0.6),
    st.floats(0.5, 12.0),
    st.floats(0.0, 0.3),
    st.lists(st.floats(0.45, 0.95), min_size=5, max_size=50),
)
def test_nine_of_ten_guests_lists_are_fed(
    guests: int, portion_kg: float, piece_kg: float, bone: float, cooked: list[float]
) -> None:
    piece = PieceYield(piece_kg, bone, 0.1, np.array(cooked))
    if guests * portion_kg > MOST_PIECES * float(np.percentile(piece.served_kg, 10)):
        with pytest.raises(PlanInputError, match=str(MOST_PIECES)):
            pieces_for(guests, portion_kg, piece)
        return
    pieces = pieces_for(guests, portion_kg, piece)
    portions = portions_of(piece, pieces=pieces, guests=guests, portion_kg=portion_kg)
    assert portions.served_p10_kg >= guests * portion_kg * (1 - 1e-9)
    assert portions.feeds >= guests
    if pieces > 1:
        fewer = portions_of(piece, pieces=pieces - 1, guests=guests, portion_kg=portion_kg)
        assert fewer.served_p10_kg < guests * portion_kg


def test_a_piece_that_gives_nothing_is_refused() -> None:
    with pytest.raises(PlanInputError, match="nothing to serve"):
        pieces_for(4, 0.17, PieceYield(1.0, 0.6, 0.0, np.array([0.5, 0.55])))


# --- prices -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "currency", "per_kg"),
    [
        ("6.49 USD/lb", "USD", Decimal("6.49") / Decimal("0.45359237")),
        ("$6.49/lb", "$", Decimal("6.49") / Decimal("0.45359237")),
        ("£9.80 per kg", "£", Decimal("9.80")),
        ("12.50 EUR / kg", "EUR", Decimal("12.50")),
        ("EUR 12.50/kg", "EUR", Decimal("12.50")),
        ("12.50 € a kg", "€", Decimal("12.50")),
        ("140 kr/kg", "kr", Decimal("140")),
    ],
)
def test_prices_are_read_as_they_are_written(text: str, currency: str, per_kg: Decimal) -> None:
    price = read_price(text)
    assert price.currency == currency
    assert price.per_kg == per_kg
    assert price.text == text


def test_a_pound_at_a_price_a_pound_costs_that_price() -> None:
    assert read_price("6.49 USD/lb").cost(POUND_KG) == Decimal("6.49")
    assert read_price("$0.50/oz").cost(POUND_KG) == Decimal("8.00")


def test_something_else_is_paid_for_in_all() -> None:
    extra = read_price_or_extra("fuel = 25 USD")
    assert isinstance(extra, Extra)
    assert extra.name == "fuel"
    assert extra.price.cost(123.0) == Decimal("25.00")
    assert isinstance(read_price_or_extra("6.49 USD/lb"), Price)


@pytest.mark.parametrize(
    ("text", "advice"),
    [
        ("6.49", "no currencies"),
        ("6.49 USD", "for no weight"),
        ("$6.49 USD/lb", "2 currencies"),
        ("6,49 EUR/kg", "no price"),
        ("-1 USD/kg", "no price"),
        ("6.49 USD/stone", "kg, g, lb or oz"),
        ("99999999 USD/kg", "more than meat costs"),
        ("fuel=", "no price"),
        ("=5 USD", "names nothing"),
        ("fuel=5 USD/kg", "in all"),
        ("x" * 200, "no price"),
    ],
)
def test_a_price_that_cannot_be_read_says_what_to_write(text: str, advice: str) -> None:
    with pytest.raises(PlanInputError, match=advice):
        read_price_or_extra(text)


@given(st.text(max_size=80))
def test_any_text_is_a_price_or_a_clear_error(text: str) -> None:
    try:
        said = repr(read_price_or_extra(text))
    except PlanInputError as error:
        said = str(error)
    assert "Price(" in said or "write" in said


def test_currencies_are_not_added_up() -> None:
    with pytest.raises(PlanInputError, match="EUR and USD"):
        one_currency([read_price("1 USD/kg"), read_price("1 EUR/kg")])
    assert one_currency([]) == ""
