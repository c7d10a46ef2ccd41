"""What an editor needs to help with cards: which schema is for which folder, and schemas for partial cards.

The first line of a card names its schema, and that is all most editors need. The catalogue is for cards
without that line: plain JSON that names no editor, with the files each schema is for.
"""

from collections.abc import Mapping
from typing import Any

from slowfolio.book.files import ADAPTABLE, ADAPTED_FOLDER, BOOK_CARD, KIND_OF_FOLDER
from slowfolio.book.schemas import schema

BOOK_FOLDER = "methods"
SCHEMA_FOLDER = "schema"
CATALOGUE = "catalogue.json"


def catalogue(*entries: Mapping[str, Any]) -> dict[str, Any]:
    """The list as a file of its own."""
    return {"version": 1, "schemas": list(entries)}


def whole_cards() -> tuple[Mapping[str, Any], ...]:
    """The schemas of whole cards, each with the files it is for."""
    kinds = ((kind, f"{folder}/**/*.yaml") for folder, kind in KIND_OF_FOLDER.items())
    return tuple(_entry(kind, f"{kind}.schema.json", cards) for kind, cards in (("book", BOOK_CARD), *kinds))


def changed_cards() -> tuple[Mapping[str, Any], ...]:
    """The schemas of cards that name only the fields they change, in a book on top of another."""
    kinds = ((KIND_OF_FOLDER[folder], f"{ADAPTED_FOLDER}/{folder}/**/*.yaml") for folder in sorted(ADAPTABLE))
    return tuple(
        _entry(f"{kind}, changed", f"{ADAPTED_FOLDER}/{kind}.schema.json", cards) for kind, cards in kinds
    )


def _entry(name: str, file: str, cards: str) -> dict[str, Any]:
    return {
        "name": name,
        "description": f"Cards in {BOOK_FOLDER}/{cards}",
        "fileMatch": [f"{BOOK_FOLDER}/{cards}"],
        "url": f"./{file}",
    }


def adapted_schemas() -> Mapping[str, dict[str, Any]]:
    """For each kind of card that may be changed, its schema with every field optional or null."""
    return {KIND_OF_FOLDER[folder]: _partial_root(KIND_OF_FOLDER[folder]) for folder in sorted(ADAPTABLE)}


def _partial_root(kind: str) -> dict[str, Any]:
    whole = schema(kind)
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": f"{ADAPTED_FOLDER}-{kind}.schema.json",
        "title": f"{whole['title']}, changed",
        "description": f"Fields of a {kind} of the base that are otherwise here; null takes a field away.",
        "type": "object",
        "additionalProperties": False,
        "properties": {name: _or_null(part) for name, part in whole["properties"].items()},
    }


def _or_null(field: Mapping[str, Any]) -> dict[str, Any]:
    """A field that may be partly given, or taken away."""
    shown = {key: field[key] for key in ("title", "description", "examples", "x-unit") if key in field}
    return {**shown, "anyOf": [{"type": "null"}, _partial(field)]}


def _partial(field: Mapping[str, Any]) -> dict[str, Any]:
    """A group with every field of it optional; lists and values are replaced whole."""
    if "properties" not in field:
        return dict(field)
    kept = {key: value for key, value in field.items() if key not in {"required", "oneOf", "anyOf"}}
    kept["properties"] = {name: _or_null(part) for name, part in field["properties"].items()}
    return kept
