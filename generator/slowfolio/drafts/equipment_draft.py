"""A new pit, holder, wrap or cut: taken over from a card like it, with what differs written in.

A parameter that is taken over says from which card, so that nobody mistakes it for a measurement. Called by
`slowfolio new`.
"""

from collections.abc import Mapping
from typing import Any

from slowfolio.book.findings import did_you_mean
from slowfolio.book.schemas import schema
from slowfolio.drafts.card_text import is_sourced

Data = Mapping[str, Any]
OWN_SOURCE = "our own figure; say here how it was measured"
DROPPED = frozenset({"also_called"})


class UnknownField(Exception):
    """A field that the kind of card does not have, or that cannot be set from the command line."""


def equipment_data(kind: str, like: Data, *, card_id: str, title: str, changes: Data) -> dict[str, Any]:
    """The data of a new card of `kind`: `like` under a new name, with `changes` field by field.

    Changes are texts; a parameter with provenance takes the text as its value, claimed by the author. Raises
    UnknownField.
    """
    taken_over = f"taken over from {like['id']}"
    data = {name: _credited(value, taken_over) for name, value in like.items() if name not in DROPPED}
    data |= {"id": card_id, "title": title}
    fields = schema(kind)["properties"]
    for name, text in changes.items():
        if name not in fields or name == "id":
            raise UnknownField(f"a {kind} has no field {name} to set; {did_you_mean(name, sorted(fields))}")
        data[name] = _value(name, fields[name], text)
    return {name: data[name] for name in fields if name in data}


def _credited(value: Any, taken_over: str) -> Any:
    """Put the card it comes from before the source of every parameter in `value`."""
    if isinstance(value, dict):
        inner = {name: _credited(item, taken_over) for name, item in value.items()}
        return {**inner, "source": f"{taken_over}: {value['source']}"} if "source" in value else inner
    if isinstance(value, list):
        return [_credited(item, taken_over) for item in value]
    return value


def _value(name: str, field: Data, text: str) -> Any:
    kind = field.get("type")
    if is_sourced(field):
        return {"value": text, "provenance": "claimed", "source": OWN_SOURCE}
    if kind == "boolean":
        if text.lower() not in {"true", "false"}:
            raise UnknownField(f"{name} is true or false, not {text}")
        return text.lower() == "true"
    if kind == "array":
        return [part.strip() for part in text.split(";") if part.strip()]
    if kind == "object":
        raise UnknownField(f"{name} has fields of its own; set it in the card after it is written")
    return text
