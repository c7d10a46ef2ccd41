"""A card's data as the YAML a person goes on writing: a comment above every field, long texts folded.

The comments come from the JSON Schema, so they say what the field reference says. Knows no kind of card from
another. Called by `slowfolio new`, `slowfolio init` and what writes tastings and cooks.
"""

import io
import re
import textwrap
from collections.abc import Iterator, Mapping
from typing import Any

import yaml

from slowfolio.book.schemas import schema

Data = Mapping[str, Any]
WIDTH, UNBROKEN = 110, 10_000
FOLD_FROM = 90
"""Texts from this length are folded over several lines; shorter ones stand beside their key."""
MODELINE = "# yaml-language-server: $schema="
_TOP_KEY = re.compile(r"([a-z_]+):")
SOURCED = {"value", "provenance", "source"}


def card_text(kind: str, data: Data, *, schema_at: str, about: str = "") -> str:
    """The whole card: the line that tells an editor where the schema is, then every field with its comment.

    `schema_at` is the schema file as seen from the card; `about` is a remark for the head of the card.
    """
    fields = schema(kind)["properties"]
    head = [modeline(schema_at), *(_comment(about) if about else ())]
    parts = ["\n".join([*_field_comment(fields.get(name, {})), _written(name, data[name])]) for name in data]
    return "\n".join([*head, "", *_spaced(parts)]) + "\n"


def modeline(schema_at: str) -> str:
    """The comment by which an editor finds the schema of a card, as YAML tooling reads it."""
    return f"{MODELINE}{schema_at}"


def commented(kind: str, text: str, *, schema_at: str) -> str:
    """A card that is text already, with the line for the editor and a comment above every field."""
    fields = schema(kind)["properties"]
    lines = [modeline(schema_at)]
    for line in text.splitlines():
        name = _TOP_KEY.match(line)
        if name is not None:
            lines += ["", *_field_comment(fields.get(name[1], {}))]
        lines.append(line)
    return "\n".join(lines) + "\n"


def _spaced(parts: list[str]) -> Iterator[str]:
    for index, part in enumerate(parts):
        if index:
            yield ""
        yield part


def is_sourced(field: Data) -> bool:
    """Whether a field is a parameter with value, provenance and source."""
    return set(field.get("properties", ())) >= SOURCED


# --- comments ---------------------------------------------------------------------------------------


def _field_comment(field: Data) -> list[str]:
    """What a field is, its unit and choices; for a group also what each of its fields is."""
    lines = _comment(_said(field))
    inner = field.get("items", field)
    if isinstance(inner, Mapping) and not is_sourced(inner):
        for name, part in inner.get("properties", {}).items():
            lines += _comment(f"{name}: {_said(part)}", indent="  ")
    return lines


def _said(field: Data) -> str:
    words = [str(field.get("description", ""))]
    if "x-unit" in field:
        words.append(f"Unit: {field['x-unit']}.")
    choices = field.get("enum", ())
    if choices and not all(str(choice) in words[0] for choice in choices):
        words.append(f"One of: {', '.join(str(choice) for choice in choices)}.")
    return " ".join(word for word in words if word)


def _comment(text: str, indent: str = "") -> list[str]:
    lines = textwrap.wrap(text, WIDTH - 2 - len(indent), break_on_hyphens=False)
    return [
        f"# {indent}{line}" if number == 0 else f"# {indent}  {line}" for number, line in enumerate(lines)
    ]


# --- values -----------------------------------------------------------------------------------------


def _written(name: str, value: Any) -> str:
    node = yaml.SafeDumper(io.StringIO(), sort_keys=False).represent_data({name: value})
    _lay_out(node)
    assert isinstance(node, yaml.MappingNode)
    node.flow_style = False
    width = UNBROKEN if _has_sourced(value) else WIDTH
    text: str = yaml.serialize(node, Dumper=_Indented, width=width, allow_unicode=True)
    return text.rstrip("\n")


def _has_sourced(value: Any) -> bool:
    """Whether a parameter with value, provenance and source is in it; these stay on one line each."""
    if isinstance(value, Mapping):
        return set(value) >= SOURCED or any(_has_sourced(item) for item in value.values())
    return isinstance(value, list) and any(_has_sourced(item) for item in value)


class _Indented(yaml.SafeDumper):
    """Indents the items of a list under their key, as the book's own cards do."""

    def increase_indent(self, flow: bool = False, indentless: bool = False) -> None:  # noqa: ARG002
        """Never indentless."""
        super().increase_indent(flow, False)


def _lay_out(node: yaml.Node) -> None:
    """Short groups and lists on one line, the others spread out; long texts folded."""
    if isinstance(node, yaml.ScalarNode):
        if len(node.value) >= FOLD_FROM and node.tag == "tag:yaml.org,2002:str":
            node.style = ">"
        return
    if isinstance(node, yaml.MappingNode):
        keys = {key.value for key, _ in node.value}
        node.flow_style = keys == SOURCED or _fits(node)
        for _, value in node.value:
            _lay_out(value)
    elif isinstance(node, yaml.SequenceNode):
        node.flow_style = _fits(node)
        for item in node.value:
            _lay_out(item)


def _fits(node: yaml.CollectionNode) -> bool:
    """Whether a collection holds only short scalars, few enough for one line."""
    items = [part for pair in node.value for part in (pair if isinstance(pair, tuple) else (pair,))]
    if not all(isinstance(item, yaml.ScalarNode) for item in items):
        return False
    return sum(len(item.value) + 2 for item in items) < FOLD_FROM
