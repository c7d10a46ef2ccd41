"""Pages made from the project's own reference data: card fields, findings of a check, calibrated constants.

The field reference is read from the JSON Schemas, so it cannot drift from what is accepted; the checks come
from `slowfolio.book.codes`, the constants from the engine. `fields.html`, `checks.html` and `constants.html`
lay them out.
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml

from slowfolio.book.codes import Code
from slowfolio.physics.calibration import Calibration, Constant
from slowfolio.site.calibrated_choices import RoomOfChoices, calibrated_choices

KINDS = ("book", "method", "cut", "pit", "wrap", "holder", "tasting", "cook")
COMMON = "common.schema.json"
UNBROKEN = 10_000
UNIT_ENDINGS = {
    "-": "",
    "s": "s",
    "1/s": "per_s",
    "1/h": "per_h",
    "°C": "c",
    "kg/m²": "kg_m2",
    "kg/kg": "kg_kg",
    "m²/s": "m2_s",
    "J/mol": "j_mol",
}
"""How the name of a constant ends for its unit."""

NAMED = {
    "gab_monolayer": "Water of the first layer in the crust (GAB isotherm)",
    "gab_c": "GAB isotherm, constant C",
    "gab_k": "GAB isotherm, constant K",
}
RAISED = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")
Schema = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class FieldRow:
    """One field of a card."""

    path: str
    title: str
    description: str
    required: bool
    unit: str
    choices: tuple[str, ...]
    example: str


@dataclass(frozen=True, slots=True)
class KindFields:
    """The fields of one kind of card."""

    name: str
    description: str
    fields: tuple[FieldRow, ...]


@dataclass(frozen=True, slots=True)
class FieldsPage:
    """The field reference."""

    kinds: tuple[KindFields, ...]


@dataclass(frozen=True, slots=True)
class ChecksPage:
    """All findings by the stage of a check that reports them."""

    stages: tuple[tuple[str, tuple[Code, ...]], ...]


@dataclass(frozen=True, slots=True)
class ConstantRow:
    """One constant of the engine that no source fixes."""

    name: str
    value: str
    low: str
    high: str
    unit: str
    standing: str
    reason: str


@dataclass(frozen=True, slots=True)
class ConstantsPage:
    """All such constants: the engine's table, and the choices that stand beside their code."""

    rows: tuple[ConstantRow, ...]
    rooms: tuple[RoomOfChoices, ...]


def constants_page(calibration: Calibration, constants: Mapping[str, Constant]) -> ConstantsPage:
    """The constants in use, each with its believable range, standing and reason."""
    return ConstantsPage(
        tuple(
            ConstantRow(
                name=constant_words(name, constant.unit),
                value=plain_number(getattr(calibration, name)),
                low=plain_number(constant.low),
                high=plain_number(constant.high),
                unit="" if constant.unit == "-" else constant.unit,
                standing=constant.standing.value.lower(),
                reason=constant.reason,
            )
            for name, constant in constants.items()
        ),
        calibrated_choices(),
    )


def constant_words(name: str, unit: str) -> str:
    """The name of a constant without its unit, which stands beside the value."""
    text = NAMED.get(name) or name.removesuffix(f"_{UNIT_ENDINGS[unit]}").replace("_", " ")
    return text[:1].upper() + text[1:]


def plain_number(value: float) -> str:
    """A number of four figures as one reads it: "82 000", "0.009", "5 × 10⁻¹¹"."""
    if value == 0.0 or 1e-3 <= abs(value) < 1e6:
        whole = abs(value) >= 1000.0
        return f"{value:,.0f}".replace(",", "\u2009") if whole else f"{value:.4g}"
    digits, _, power = f"{value:.3e}".partition("e")
    return f"{float(digits):g} × 10{str(int(power)).translate(RAISED)}"


def read_schemas(folder: Path) -> dict[str, Schema]:
    """The schemas of a folder by file name."""
    return {path.name: json.loads(path.read_text("utf-8")) for path in sorted(folder.glob("*.schema.json"))}


def checks_page(codes: Sequence[Code]) -> ChecksPage:
    """The codes by stage, in the order of the stages."""
    stages = dict.fromkeys(code.stage for code in codes)
    return ChecksPage(
        tuple((stage, tuple(code for code in codes if code.stage == stage)) for stage in stages)
    )


def fields_page(schemas: Mapping[str, Schema]) -> FieldsPage:
    """Every field of every kind of card, groups opened to their own fields."""
    kinds = [kind for kind in KINDS if f"{kind}.schema.json" in schemas]
    return FieldsPage(tuple(_kind(kind, schemas) for kind in kinds))


def _kind(kind: str, schemas: Mapping[str, Schema]) -> KindFields:
    home = f"{kind}.schema.json"
    schema = schemas[home]
    rows = tuple(_rows(schema, home, "", schemas, depth=0))
    return KindFields(kind, str(schema.get("description", "")), rows)


def _rows(
    schema: Schema, home: str, prefix: str, schemas: Mapping[str, Schema], depth: int
) -> list[FieldRow]:
    """The fields of an object, each followed by the fields of the object or list of objects that it is."""
    rows: list[FieldRow] = []
    required = frozenset(schema.get("required", ()))
    for name, written in schema.get("properties", {}).items():
        field, field_home = _resolved(written, home, schemas)
        path = f"{prefix}{name}"
        inner, inner_home = field, field_home
        if field.get("type") == "array" and isinstance(field.get("items"), dict):
            inner, inner_home = _resolved(field["items"], field_home, schemas)
            path += "[ ]"
        rows.append(_row(path, field, inner, required=name in required))
        if inner.get("properties") and not _is_sourced(inner) and depth < 4:
            rows += _rows(inner, inner_home, f"{path}.", schemas, depth + 1)
    return rows


def _resolved(schema: Schema, home: str, schemas: Mapping[str, Schema]) -> tuple[Schema, str]:
    """The schema with its reference followed, its own words kept over those of the reference."""
    if "$ref" not in schema:
        return schema, home
    file, _, pointer = str(schema["$ref"]).partition("#")
    home = file or home
    target: Any = schemas[home]
    for part in filter(None, pointer.split("/")):
        target = target[part]
    found, home = _resolved(target, home, schemas)
    return {**found, **{key: value for key, value in schema.items() if key != "$ref"}}, home


def _is_sourced(schema: Schema) -> bool:
    """A parameter with value, provenance and source is one field to a reader."""
    return {"value", "provenance", "source"} == set(schema.get("properties", ()))


def _row(path: str, field: Schema, inner: Schema, *, required: bool) -> FieldRow:
    sourced = _is_sourced(inner)
    return FieldRow(
        path=path,
        title=str(field.get("title", "")),
        description=str(field.get("description", "")),
        required=required,
        unit=str(field.get("x-unit") or inner.get("x-unit", ""))
        + (" with provenance and source" if sourced else ""),
        choices=tuple(str(choice) for choice in inner.get("enum", ())),
        example=_example(path, field.get("examples") or inner.get("examples") or ()),
    )


def _example(path: str, examples: Sequence[object]) -> str:
    """The first example as a line of a card."""
    if not examples:
        return ""
    name = path.rpartition(".")[2].removesuffix("[ ]")
    listed = yaml.safe_dump(
        [examples[0]], default_flow_style=True, allow_unicode=True, width=UNBROKEN, sort_keys=False
    )
    return f"{name}: {listed.strip()[1:-1]}"
