"""What an editor needs to help with cards: which schema is for which folder, and schemas for partial cards.

Any editor that reads JSON Schema for YAML takes the first line of a card; this is for cards without one, and
for those in `adapted/`, which name only the fields they change.
"""

from collections.abc import Mapping
from typing import Any

from slowfolio.book.files import ADAPTABLE, ADAPTED_FOLDER, BOOK_CARD, KIND_OF_FOLDER
from slowfolio.book.schemas import schema

BOOK_FOLDER = "methods"
SCHEMA_FOLDER = "schema"


def editor_settings() -> dict[str, Any]:
    """The settings of a project: each schema with the files it is for."""
    whole = {
        f"./{SCHEMA_FOLDER}/{kind}.schema.json": f"{BOOK_FOLDER}/{folder}/**/*.yaml"
        for folder, kind in KIND_OF_FOLDER.items()
    }
    changed = {
        f"./{SCHEMA_FOLDER}/{ADAPTED_FOLDER}/{KIND_OF_FOLDER[folder]}.schema.json": (
            f"{BOOK_FOLDER}/{ADAPTED_FOLDER}/{folder}/**/*.yaml"
        )
        for folder in sorted(ADAPTABLE)
    }
    book = {f"./{SCHEMA_FOLDER}/book.schema.json": f"{BOOK_FOLDER}/{BOOK_CARD}"}
    return {"yaml.schemas": {**book, **whole, **changed}, "yaml.validate": True, "yaml.hover": True}


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
