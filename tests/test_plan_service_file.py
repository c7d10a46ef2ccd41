"""The service file: what it says, and for everything it must not say an error with file, line and advice."""

import json
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slowfolio.forecast.planning.errors import PlanInputError
from slowfolio.forecast.planning.leads import Meat
from slowfolio.forecast.planning.order import Order
from slowfolio.forecast.planning.prices import Extra
from slowfolio.forecast.planning.service_file import (
    FIELDS,
    ITEM_FIELDS,
    SIZE_LIMIT,
    read_service,
    read_service_file,
)

WHOLE = """\
serve: 2026-12-05 13:00
timezone: Europe/London
confidence: 90 %
cooks: 2
altitude: 5280 ft
pits: {big: offset-stick-burner, small: kettle-or-drum}
holders: [humidity-cabinet]
extras: [fuel=25 USD]
items:
  - method: foil-boat-humid-hold
    name: large
    weight: 14 lb
    pieces: 2
    pit: big
    price: 6.49 USD/lb
  - method: hot-and-fast
    guests: 12
    portion: 5 oz
    pit: small
    holder: humidity-cabinet
    serve: "13:30"
    frozen: true
"""
LEAST = "serve: 2026-12-05 13:00\ntimezone: Europe/London\nitems:\n  - method: foil-tight\n"


def read(text: str) -> Order:
    return read_service(text.encode(), "saturday.yaml")


def test_every_field_is_read() -> None:
    order = read(WHOLE)
    assert order.zone.key == "Europe/London"
    assert order.confidence == 0.9
    assert order.cooks == 2
    assert order.altitude_m == pytest.approx(1609.344)
    assert [(place.name, place.card) for place in order.pits] == [
        ("big", "offset-stick-burner"),
        ("small", "kettle-or-drum"),
    ]
    assert [(place.name, place.card) for place in order.holders] == [("humidity-cabinet", "humidity-cabinet")]
    assert isinstance(order.extras[0], Extra)
    large, quick = order.items
    assert (large.name, large.pieces, large.pit) == ("large", 2, "big")
    assert large.weight_kg == pytest.approx(14 * 0.45359237)
    assert large.price is not None
    assert (quick.guests, quick.serve, quick.meat) == (12, "13:30", Meat.FROZEN)
    assert quick.portion_kg == pytest.approx(0.1417, abs=1e-4)
    assert set(ITEM_FIELDS) == {field for field in ITEM_FIELDS if field in WHOLE}
    assert set(FIELDS) == {field for field in FIELDS if field in WHOLE}


def test_what_is_left_out_is_left_to_the_cards() -> None:
    order = read(LEAST)
    assert (order.confidence, order.cooks, order.pits, order.altitude_m) == (0.95, 1, (), None)
    assert order.items[0].pieces is None
    assert order.items[0].meat is Meat.FRESH


@pytest.mark.parametrize(
    ("change", "line", "advice"),
    [
        (("method: foil-tight", "methd: foil-tight"), 4, "did you mean method?"),
        (("serve: 2026-12-05 13:00\n", ""), 1, "needs serve"),
        (("Europe/London", "Europe/Londn"), 2, "did you mean Europe/London"),
        (("- method: foil-tight", "- {method: foil-tight, pieces: two}"), 4, "whole number"),
        (("- method: foil-tight", "- {method: foil-tight, pieces: true}"), 4, "whole number"),
        (("- method: foil-tight", "- {method: foil-tight, pieces: 0}"), 4, "give 1 to"),
        (("- method: foil-tight", "- {method: foil-tight, weight: 12}"), 4, 'no unit: write "13 lb 8 oz"'),
        (("- method: foil-tight", "- {method: foil-tight, weight: 12 stone}"), 4, "lb"),
        (("- method: foil-tight", "- {method: foil-tight, portion: 9 kg}"), 4, "portion"),
        (("- method: foil-tight", "- {method: foil-tight, price: 6.49}"), 4, "USD/lb"),
        (("- method: foil-tight", "- {method: foil-tight, frozen: often}"), 4, "true or false"),
        (("- method: foil-tight", "- {method: foil-tight, serve: 13:30}"), 4, 'in quotes: serve: "13:30"'),
        (("- method: foil-tight", "- foil-tight"), 4, "mapping of fields"),
        (("items:\n  - method: foil-tight", "items: []"), 1, "needs items"),
        (("items:\n  - method: foil-tight", "items: foil-tight"), 3, "begun with a dash"),
        (("items:", "cooks: 0\nitems:"), 3, "cooks"),
        (("items:", "confidence: 10 %\nitems:"), 3, "50 to 99.9"),
        (("items:", "confidence: 95\nitems:"), 3, "no unit: write"),
        (("items:", "confidence: true\nitems:"), 3, "confidence wants a text"),
        (("items:", "altitude: 9000 m\nitems:"), 5, "than any town"),
        (("items:", "pits: [3]\nitems:"), 3, "ids of cards"),
        (("items:", "pits: {a: x}\nholders: {a: y}\nitems:"), 6, "two places are called 'a'"),
        (("items:", "extras: [5 USD]\nitems:"), 3, "for no weight"),
        (("items:", "extras: [6 USD/kg]\nitems:"), 3, "has no name"),
        (("items:", "x: &a [1]\nitems:"), 3, "&a"),
        (("items:", "items: ["), 4, ""),
    ],
)
def test_a_fault_is_told_with_its_line_and_what_to_write(
    change: tuple[str, str], line: int, advice: str
) -> None:
    with pytest.raises(PlanInputError) as caught:
        read(LEAST.replace(*change))
    assert str(caught.value).startswith(f"saturday.yaml:{line}:")
    assert advice in str(caught.value)


def test_a_file_that_is_missing_a_folder_or_too_large_is_named(tmp_path: Path) -> None:
    with pytest.raises(PlanInputError, match="nowhere"):
        read_service_file(tmp_path / "nowhere.yaml")
    with pytest.raises(PlanInputError, match="cannot read"):
        read_service_file(tmp_path)
    large = tmp_path / "large.yaml"
    large.write_bytes(b"#" * (SIZE_LIMIT + 1))
    with pytest.raises(PlanInputError, match="too large"):
        read_service_file(large)


@settings(max_examples=300, deadline=None)
@given(st.binary(max_size=200))
def test_any_bytes_are_a_service_or_a_clear_error(blob: bytes) -> None:
    with pytest.raises(PlanInputError, match=r"^saturday\.yaml:"):
        read_service(blob, "saturday.yaml")


TEXTS = ["2026-12-05 13:00", "95 %", "x", "6 oz", ""]
KEYS = st.sampled_from([*FIELDS, *ITEM_FIELDS])
VALUES = st.recursive(
    st.none() | st.booleans() | st.integers() | st.sampled_from(TEXTS),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(KEYS, inner, max_size=4),
    max_leaves=12,
)


@settings(max_examples=300, deadline=None)
@given(st.dictionaries(st.sampled_from(list(FIELDS)), VALUES, max_size=9))
def test_any_values_in_the_fields_are_a_service_or_a_clear_error(data: dict[str, object]) -> None:
    try:
        read_service(json.dumps(data).encode(), "saturday.yaml")
    except PlanInputError as error:
        said = str(error)
    else:
        said = "a service, in which every field is what it should be"
    assert len(said) > 20
