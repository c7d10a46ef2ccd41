"""The JSON Schemas of the cards: loaded, joined up, and run over a card's data.

Gives raw schema errors; `schema_faults` puts them into words. jsonschema is imported on the first check
only. Each kind of card has one validator, made once.
"""

import hashlib
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache
from typing import TYPE_CHECKING, Any

from slowfolio.book.model import KeyPath
from slowfolio.resources import schema_folder
from slowfolio.units import PARSERS, UnitError

if TYPE_CHECKING:
    from jsonschema.exceptions import ValidationError
    from jsonschema.protocols import Validator

KINDS = ("book", "method", "cut", "pit", "wrap", "holder", "tasting", "cook")
Schema = dict[str, Any]


@dataclass(frozen=True, slots=True)
class SchemaError:
    """One value that breaks one keyword of its schema.

    `field` is the schema of the value, `wanted` what the keyword says there. `alternatives` are the errors
    of each alternative of an anyOf or oneOf.
    """

    keyword: str
    wanted: Any
    value: Any
    field: Schema
    path: KeyPath
    message: str
    alternatives: tuple["SchemaError", ...]


@cache
def schema(kind: str) -> Schema:
    """The schema of a kind of card with every reference replaced by what it refers to.

    A key beside a reference wins over the same key behind it: the property's own title and examples are
    the ones a reader should see.
    """
    document = _load(kind)
    joined = _joined(document, document)
    assert isinstance(joined, dict)
    joined.pop("$defs", None)
    return joined


@cache
def schemas_digest() -> str:
    """SHA-256 over every schema file: a part of the digest of a checked book."""
    digest = hashlib.sha256()
    for path in sorted(schema_folder().glob("*.schema.json")):
        digest.update(path.name.encode() + b"\0" + path.read_bytes() + b"\0")
    return digest.hexdigest()


def schema_errors(kind: str, data: Any) -> Iterator[SchemaError]:
    """Yield every error of the schema of `kind` in a card's data, alternatives not yet opened up."""
    for error in _validator(kind).iter_errors(data):
        yield _own(error)


def _own(error: "ValidationError") -> SchemaError:
    assert isinstance(error.schema, dict)
    return SchemaError(
        keyword=str(error.validator),
        wanted=error.validator_value,
        value=error.instance,
        field=error.schema,
        path=tuple(error.absolute_path),
        message=error.message,
        alternatives=tuple(_own(each) for each in error.context or () if isinstance(each.schema, dict)),
    )


def allergen_titles() -> Mapping[str, str]:
    """The allergens a card may name, short name to the words of the laws."""
    titles: Mapping[str, str] = _load("common")["$defs"]["allergen"]["x-titles"]
    return titles


@cache
def _validator(kind: str) -> "Validator":
    from jsonschema import Draft202012Validator, FormatChecker, validators

    checker = FormatChecker(formats=())
    for name, parse in PARSERS.items():
        checker.checks(name, raises=UnitError)(_quantity_check(parse))
    checker.checks("date", raises=ValueError)(_is_date)
    extend: Any = validators.extend
    card_validator = extend(Draft202012Validator, {"uniqueItems": _unique_texts})
    validator: Validator = card_validator(schema(kind), format_checker=checker)
    return validator


def _unique_texts(
    _validator: "Validator", wanted: bool, value: Any, _field: Schema
) -> "Iterator[ValidationError]":
    """Repeated texts of a list, in linear time: the library compares every item with every other."""
    from jsonschema.exceptions import ValidationError

    if wanted and isinstance(value, list):
        texts = [item for item in value if isinstance(item, str)]
        if len(set(texts)) < len(texts):
            yield ValidationError("a text is repeated")


def _quantity_check(parse: Any) -> Any:
    def parses(value: object) -> bool:
        if isinstance(value, str):
            parse(value)
        return True

    return parses


def _is_date(value: object) -> bool:
    if isinstance(value, str):
        parse_date(value)
    return True


def parse_date(text: str) -> date:
    """Return a date written year-month-day; raise ValueError for any other form."""
    if len(text) != 10 or text[4] != "-" or text[7] != "-":
        raise ValueError(text)
    return date.fromisoformat(text)


@cache
def _load(name: str) -> Schema:
    document: Schema = json.loads((schema_folder() / f"{name}.schema.json").read_text(encoding="utf-8"))
    return document


def _joined(part: Any, document: Schema) -> Any:
    if isinstance(part, list):
        return [_joined(item, document) for item in part]
    if not isinstance(part, dict):
        return part
    own = {key: _joined(value, document) for key, value in part.items() if key not in {"$ref", "examples"}}
    if "examples" in part:
        own["examples"] = part["examples"]
    if "$ref" not in part:
        return own
    file, _, pointer = part["$ref"].partition("#/$defs/")
    behind = _load(file.removesuffix(".schema.json")) if file else document
    return {**_joined(behind["$defs"][pointer], behind), **own}
