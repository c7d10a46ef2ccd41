"""From the data of a tasting card that passed its schema to its frozen dataclass, in SI.

The part of `decode` for tastings; nothing is checked here.
"""

from collections.abc import Mapping
from typing import Any

from slowfolio.book.model import Origin
from slowfolio.book.schemas import parse_date
from slowfolio.book.tasting_card import CodeMark, LookedFor, Plate, Sheet, TastedProduct, Tasting
from slowfolio.units import PARSERS

Data = Mapping[str, Any]

ALPHA = 0.05
"""Chance of a false alarm where the card names none; ISO 4120 guidance (MEMORY)."""


def tasting(data: Data, origin: Origin) -> Tasting:
    """Return the tasting that `data` describes."""
    return Tasting(
        origin=origin,
        id=data["id"],
        title=_text(data, "title"),
        invented=data.get("invented", False),
        why=_text(data, "why"),
        date=parse_date(data["date"]),
        carved_by=_text(data, "carved_by"),
        blind=data["blind"],
        question=data["question"],
        test=data["test"],
        attribute=data.get("attribute", ""),
        expected_more=_text(data, "expected_more"),
        attributes=tuple(data.get("attributes", ())),
        expected_order=tuple(name.strip() for name in data.get("expected_order", ())),
        looked_for=_looked_for(data["looked_for"]) if "looked_for" in data else None,
        alpha=_quantity("fraction", data["alpha"]) if "alpha" in data else ALPHA,
        products=tuple(_product(part) for part in data["products"]),
        seed=data["design"]["seed"],
        plates=tuple(_plate(part) for part in data["design"]["servings"]),
        sheets=tuple(_sheet(part) for part in data["results"]),
        notes=tuple(text.strip() for text in data.get("notes", ())),
        sources=tuple(text.strip() for text in data.get("sources", ())),
    )


def _text(data: Data, key: str) -> str:
    text: str = data.get(key, "")
    return text.strip()


def _quantity(dimension: str, text: str) -> float:
    parse: Any = PARSERS[dimension]
    value: float = parse(text)
    return value


def _looked_for(part: Data) -> LookedFor:
    shares = {key: _quantity("fraction", part[key]) for key in ("telling", "preferring") if key in part}
    numbers = {key: float(part[key]) for key in ("points", "spread", "d_prime") if key in part}
    return LookedFor(**shares, **numbers)


def _product(part: Data) -> TastedProduct:
    return TastedProduct(
        name=_text(part, "name"),
        method=part["method"],
        cooked=part["cooked"],
        cooks=tuple(part.get("cooks", ())),
        part=_text(part, "part"),
        place=_text(part, "place"),
        slice_m=_quantity("length", part["slice"]),
        held_s=_quantity("duration", part["held"]),
        served_c=_quantity("temperature", part["served_at"]),
    )


def _plate(part: Data) -> Plate:
    return Plate(
        taster=part["taster"],
        order=tuple(name.strip() for name in part["order"]),
        codes=tuple(part["codes"]),
        cook=part.get("cook", 1),
        person=_text(part, "person"),
    )


def _sheet(part: Data) -> Sheet:
    return Sheet(part["taster"], part.get("chose"), tuple(_mark(mark) for mark in part.get("marks", ())))


def _mark(part: Data) -> CodeMark:
    points = {key.replace("_", " "): float(part[key]) for key in part if key not in {"code", "rank"}}
    rank = part.get("rank")
    return CodeMark(part["code"], None if rank is None else float(rank), points)
