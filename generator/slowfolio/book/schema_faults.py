"""Schema errors in a cook's words, each at the value or key it is about.

Opens alternatives, finds the key that was meant, lets the unit parsers speak for themselves. The words for
a pattern or an alternative live in the schema beside it (`x-message`). Called by `reading` only.
"""

import re
from collections.abc import Callable, Iterator, Mapping
from typing import Any

from slowfolio.book.findings import Fault, close_match, did_you_mean, listed, quoted
from slowfolio.book.model import KeyPath
from slowfolio.book.schemas import KINDS, SchemaError, schema, schema_errors
from slowfolio.book.syntax import SWITCH_WORDS
from slowfolio.units import PARSERS, UnitError

_TYPE_WORDS = {
    "object": "a group of keys, each on a line of its own",
    "array": "a list, each item on a line that starts with -",
    "string": "text",
    "boolean": "true or false",
    "integer": "a whole number",
    "number": "a number",
}
FOLDER_OF_KIND = {
    "method": "cards",
    "cut": "cuts",
    "pit": "pits",
    "wrap": "wraps",
    "holder": "holders",
    "tasting": "tastings",
    "cook": "cooks",
}


def schema_faults(kind: str, data: Any) -> Iterator[Fault]:
    """Yield what the schema of `kind` finds wrong with a card's data, one fault a place and code."""
    if (other := _better_kind(kind, data)) is not None:
        yield _wrong_folder(kind, other)
        return
    seen: set[tuple[str, KeyPath]] = set()
    for error in schema_errors(kind, data):
        for fault in _faults(error):
            if (fault.code, fault.path) not in seen:
                seen.add((fault.code, fault.path))
                yield fault


def _faults(error: SchemaError) -> Iterator[Fault]:
    yield from _SPEAKERS[error.keyword](error)


# --- wrong folder -----------------------------------------------------------------------------------


def _better_kind(kind: str, data: Any) -> str | None:
    """The kind whose fields a card has, where that is plainly another one than its folder says."""
    if not isinstance(data, dict) or kind == "book":
        return None
    known = {name: len(data.keys() & schema(name)["properties"].keys()) for name in KINDS if name != "book"}
    best = max(known, key=lambda name: known[name])
    return best if known[best] > known[kind] + 3 else None


def _wrong_folder(kind: str, other: str) -> Fault:
    return Fault(
        "card-in-wrong-folder",
        (),
        f"this is the folder for {FOLDER_OF_KIND[kind]}, but the card has the fields of a {other}",
        f"move the file to {FOLDER_OF_KIND[other]}/",
    )


# --- one speaker for each keyword of the schemas ----------------------------------------------------


def _unknown_keys(error: SchemaError) -> Iterator[Fault]:
    known = error.field["properties"]
    absent = [key for key in known if key not in error.value]
    for key in error.value:
        if key not in known:
            yield Fault(
                "unknown-key",
                (*error.path, key),
                f"{quoted(key)} is no field of {_of(error)}",
                _meant_by(key, error.value[key], known, absent),
                on_key=True,
            )


def _meant_by(key: str, value: Any, known: Mapping[str, Any], absent: list[str]) -> str:
    """What to write instead of a key: a missing one, a known one, or quotes round a text with a comma."""
    if value is None and " " in key:
        return "a comma inside braces starts a new key: put the text with the comma in quotes"
    return did_you_mean(key, absent if close_match(key, absent) else known, "the fields are")


def _missing_key(error: SchemaError) -> Iterator[Fault]:
    properties = error.field["properties"]
    for key in error.wanted:
        if key in error.value or not error.message.startswith(f"'{key}' "):
            continue
        if close_match(key, (given for given in error.value if given not in properties)) is None:
            field = properties[key]
            yield Fault(
                "missing-key",
                error.path,
                f"{_of(error)} lacks {key}: {field['description']}",
                f"add {key}: {_shown(field['examples'][0])}",
                on_key=True,
            )


def _wrong_type(error: SchemaError) -> Iterator[Fault]:
    value, field, path = error.value, error.field, error.path
    wanted = str(error.wanted)
    if value is None:
        yield Fault(
            "empty-value", path, f"{_name(error)} is given without a value", _example(field), on_key=True
        )
    elif wanted == "boolean" and isinstance(value, str) and value.lower() in SWITCH_WORDS:
        meant = str(SWITCH_WORDS[value.lower()]).lower()
        yield Fault(
            "yes-no-for-true-false", path, f"{_name(error)} is true or false, not {value}", f"write {meant}"
        )
    elif _is_number(value) and field.get("format") in PARSERS:
        yield _bad_quantity(error, path)
    elif _is_number(value) and wanted == "string":
        yield Fault(
            "wrong-type", path, f"{_name(error)} is text, and {value} is a number", f'write "{value}"'
        )
    else:
        words = _TYPE_WORDS.get(wanted, wanted)
        yield Fault("wrong-type", path, f"{_name(error)} is {words}, not {_what(value)}", _example(field))


def _wrong_word(error: SchemaError) -> Iterator[Fault]:
    value, path = error.value, error.path
    if value is None:
        yield Fault(
            "empty-value",
            path,
            f"{_name(error)} is given without a value",
            _example(error.field),
            on_key=True,
        )
        return
    words = [str(word) for word in error.wanted]
    shown = quoted(value) if isinstance(value, str) else _what(value)
    noun = _title(error) if isinstance(path[-1], int) else _name(error)
    yield Fault("unknown-word", path, f"{shown} is no {noun}", did_you_mean(value, words))


def _wrong_constant(error: SchemaError) -> Iterator[Fault]:
    value = _shown(error.wanted)
    yield Fault(
        "unknown-word", error.path, f"{_name(error)} can only be {value}", f"write {value}, or leave it out"
    )


def _bad_format(error: SchemaError) -> Iterator[Fault]:
    path, field = error.path, error.field
    if error.wanted == "date":
        yield Fault("bad-date", path, f"{quoted(error.value)} is no date", field["x-message"])
    else:
        yield _bad_quantity(error, path)


def _bad_quantity(error: SchemaError, path: KeyPath) -> Fault:
    """The unit parser's own words: what is wrong with the text, and what to write."""
    field = error.field
    try:
        PARSERS[field["format"]](str(error.value))
    except UnitError as wrong:
        return Fault("bad-quantity", path, f"{_name(error)}: {wrong.problem}", f"write {wrong.advice}")
    return Fault(
        "bad-quantity", path, f"{_name(error)} needs its unit", f"write {listed(map(str, field['examples']))}"
    )


def _bad_pattern(error: SchemaError) -> Iterator[Fault]:
    field, value = error.field, error.value
    if field["pattern"] == r"\S":
        yield Fault("empty-text", error.path, f"{_name(error)} is empty", field["x-message"])
        return
    slug = re.sub(r"[^a-z0-9]+", "-", value.lower()).strip("-")[:64]
    advice = f"write {slug}" if slug else field["x-message"]
    yield Fault("bad-id", error.path, f"{quoted(value)} is no id: {field['x-message']}", advice)


def _too_short(error: SchemaError) -> Iterator[Fault]:
    yield Fault("empty-text", error.path, f"{_name(error)} is empty", error.field.get("x-message", ""))


def _too_long(error: SchemaError) -> Iterator[Fault]:
    yield Fault(
        "text-too-long",
        error.path,
        f"{_name(error)} has {len(error.value)} characters; at most {error.wanted} fit the pages",
        "shorten it, or move a part to another field",
    )


def _short_list(error: SchemaError) -> Iterator[Fault]:
    yield Fault("list-too-short", error.path, f"{_name(error)} has no item", _example(error.field))


def _long_list(error: SchemaError) -> Iterator[Fault]:
    count, limit = len(error.value), error.wanted
    yield Fault(
        "list-too-long",
        error.path,
        f"{_name(error)} has {count} items; at most {limit} fit",
        "keep the ones that matter",
    )


def _repeated(error: SchemaError) -> Iterator[Fault]:
    seen: set[str] = set()
    for index, item in enumerate(error.value):
        if not isinstance(item, str):
            continue
        if item in seen:
            yield Fault(
                "repeated-item", (*error.path, index), f"{quoted(item)} is in the list twice", "delete one"
            )
        seen.add(item)


def _out_of_range(error: SchemaError) -> Iterator[Fault]:
    bound = "at least" if error.keyword == "minimum" else "at most"
    yield Fault(
        "number-out-of-range",
        error.path,
        f"{_name(error)} is {error.value}; it is {bound} {error.wanted}",
        _example(error.field),
    )


def _one_of(error: SchemaError) -> Iterator[Fault]:
    """A group of keys of which one set must be there: the words are in the schema."""
    if not isinstance(error.value, dict):
        return
    given = [key for key in error.value if key in error.field["properties"]]
    message = f"{_of(error)}: {error.field['x-message']}"
    if given:
        message += f"; it has {listed(given)}"
    yield Fault("choose-one", error.path, message, _example(error.field), on_key=True)


def _any_of(error: SchemaError) -> Iterator[Fault]:
    """A value with alternatives: speak of the one that came closest, and name the other."""
    deepest = [each for each in error.alternatives if each.keyword in {"type", "format"}]
    for each in deepest[:1]:
        for fault in _faults(each):
            yield Fault(fault.code, fault.path, fault.message, f"{fault.help}, {error.field['x-message']}")


_SPEAKERS: Mapping[str, Callable[[SchemaError], Iterator[Fault]]] = {
    "additionalProperties": _unknown_keys,
    "required": _missing_key,
    "type": _wrong_type,
    "enum": _wrong_word,
    "const": _wrong_constant,
    "format": _bad_format,
    "pattern": _bad_pattern,
    "minLength": _too_short,
    "maxLength": _too_long,
    "minItems": _short_list,
    "maxItems": _long_list,
    "uniqueItems": _repeated,
    "minimum": _out_of_range,
    "maximum": _out_of_range,
    "oneOf": _one_of,
    "anyOf": _any_of,
}


# --- words ------------------------------------------------------------------------------------------


def _name(error: SchemaError) -> str:
    """What a cook calls the value: its key, or "an item of" its list."""
    path = error.path
    if not path:
        return "the card"
    if isinstance(path[-1], int):
        return f"item {path[-1] + 1} of {path[-2] if len(path) > 1 else 'the list'}"
    if path[-1] == "value" and len(path) > 1:
        return f"value of {path[-2]}"
    return str(path[-1])


def _of(error: SchemaError) -> str:
    title = str(error.field.get("title", "card"))
    path = error.path
    if not path:
        return f"a {title.lower()} card" if title != "Book" else "book.yaml"
    last = path[-1]
    return f"{title.lower()} {last + 1}" if isinstance(last, int) else str(last)


def _title(error: SchemaError) -> str:
    return str(error.field.get("title", "value")).lower()


def _example(field: Mapping[str, Any]) -> str:
    examples = field.get("examples")
    return f"for example: {_shown(examples[0])}" if examples else ""


def _shown(value: Any) -> str:
    """An example as it would be written on one line of a card, cut when long."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, dict):
        text = "{" + ", ".join(f"{key}: {_inside(item)}" for key, item in value.items()) + "}"
    elif isinstance(value, list):
        text = "[" + ", ".join(_inside(item) for item in value) + "]"
    else:
        text = str(value)
    return text if len(text) <= 120 else text[:119] + "…"


def _inside(value: Any) -> str:
    """An example inside braces or brackets, where a comma would end it."""
    text = _shown(value)
    return f'"{text}"' if isinstance(value, str) and re.search(r"[,\[\]{}]|: ", text) else text


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _what(value: Any) -> str:
    if isinstance(value, dict):
        return "a group of keys"
    if isinstance(value, list):
        return "a list"
    if isinstance(value, bool):
        return str(value).lower()
    return f"the text {quoted(value)}" if isinstance(value, str) else f"the number {value}"
