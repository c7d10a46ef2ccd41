"""The card of a cook as text, and card and raw log written side by side: both or neither, never over others.

Called by the `log` command only.
"""

import hashlib
import json
import os
import re
import tempfile
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

from slowfolio.book.model import CookedPiece, LogRecipe, Weather
from slowfolio.cooklog.recording import Event
from slowfolio.cooklog.remarks import LogError, since_start
from slowfolio.units import System, format_fraction, format_length, format_mass, format_temperature

RAW_ENDINGS = frozenset({".csv", ".tsv", ".txt", ".log", ".json"})
LONGEST_ID = 64
_PLAIN = re.compile(r"[A-Za-zÀ-ÿ0-9(][\w °%.()\-/µ;·]*")
_NOT_PLAIN = re.compile(r"(?i)^(true|false|null|yes|no|on|off|y|n|~)$|^[-+.\d]+$|^\d[\d_:.\-]*$|\s$")


@dataclass(frozen=True, slots=True)
class NewCook:
    """All that the card of a cook says; times in s from the first reading."""

    id: str
    title: str
    method: str
    day: date
    pit: str
    holder: str | None
    piece: CookedPiece
    log: LogRecipe
    events: tuple[Event, ...]
    corrections: tuple[str, ...]
    notes: tuple[str, ...] = ()
    cooked_by: str = ""
    invented: bool = False
    weather: Weather = field(default_factory=Weather)


def card_text(cook: NewCook, system: System) -> str:
    """The card in YAML, quantities in the units the book shows first."""
    lines = [f"id: {cook.id}", f"title: {scalar(cook.title)}", f"method: {cook.method}", f"date: {cook.day}"]
    lines += [f"pit: {cook.pit}"] + ([f"holder: {cook.holder}"] if cook.holder else [])
    lines += [f"cooked_by: {scalar(cook.cooked_by)}"] if cook.cooked_by else []
    lines += ["invented: true"] if cook.invented else []
    if piece := piece_fields(cook.piece, system):
        lines += ["piece:", *(f"  {key}: {scalar(value)}" for key, value in piece)]
    if weather := weather_fields(cook.weather, system):
        lines += ["weather:", *(f"  {key}: {scalar(value)}" for key, value in weather)]
    lines += ["log:", *(f"  {key}: {scalar(value)}" for key, value in log_fields(cook.log)), "  columns:"]
    lines += [f"    {role}: {quoted(column)}" for role, column in cook.log.columns.items()]
    lines += ["events:"]
    lines += [
        f"  - {{what: {event.what}, at: {since_start(event.at_s)}, from: {event.found}}}"
        for event in cook.events
    ]
    lines += listed("corrections", cook.corrections) + listed("notes", cook.notes)
    return "\n".join(lines) + "\n"


def piece_fields(piece: CookedPiece, system: System) -> list[tuple[str, str]]:
    """What is known of the piece."""
    fields: list[tuple[str, str]] = []
    if piece.weight_before_kg is not None:
        fields.append(("weight_before", format_mass(piece.weight_before_kg, system)))
    if piece.weight_after_kg is not None:
        fields.append(("weight_after", format_mass(piece.weight_after_kg, system)))
        fields.append(("weighed", piece.weighed))
    if piece.thickness_m is not None:
        fields.append(("thickness", format_length(piece.thickness_m, System.METRIC)))
    if piece.start_temp_c is not None:
        fields.append(("start_temperature", format_temperature(piece.start_temp_c, system)))
    return fields


def weather_fields(weather: Weather, system: System) -> list[tuple[str, str]]:
    """What is known of the air outside."""
    fields: list[tuple[str, str]] = []
    if weather.temp_c is not None:
        fields.append(("temperature", format_temperature(weather.temp_c, system)))
    if weather.humidity is not None:
        fields.append(("humidity", format_fraction(weather.humidity)))
    if weather.note:
        fields.append(("note", weather.note))
    return fields


def log_fields(log: LogRecipe) -> list[tuple[str, str]]:
    """The recipe as fields of the card, only those that say something."""
    fields = [("file", log.file), ("sha256", log.sha256), ("kind", log.kind)]
    if log.kind == "table":
        fields += [("encoding", log.encoding), ("delimiter", log.delimiter), ("decimal", log.decimal)]
        fields.append(("heading_line", str(log.heading_line)))
    fields.append(("time_kind", log.time_kind))
    if log.time_format:
        fields.append(("time_format", log.time_format))
    if log.time_kind == "elapsed":
        fields.append(("time_unit", log.time_unit))
    return [*fields, ("unit", log.unit)]


def listed(key: str, texts: Iterable[str]) -> list[str]:
    """A list of texts, or nothing."""
    items = [f"  - {quoted(text)}" for text in texts]
    return [f"{key}:", *items] if items else []


def scalar(text: str) -> str:
    """A text plain where YAML takes it for one, else in quotes; counts stay numbers."""
    if re.fullmatch(r"\d{1,4}", text):
        return text
    plain = _PLAIN.fullmatch(text) and not _NOT_PLAIN.search(text)
    return text if plain else quoted(text)


def quoted(text: str) -> str:
    """A text in double quotes; what JSON escapes, YAML does alike."""
    return json.dumps(text, ensure_ascii=False)


def id_for(method: str, day: date, folder: Path) -> str:
    """A free id made of the method and the day."""
    base = f"{method[: LONGEST_ID - 14].rstrip('-')}-{day}"
    taken = {path.stem for path in folder.glob("*")} if folder.is_dir() else set()
    names = (base, *(f"{base}-{letter}" for letter in "bcdefghijklmnopqrstuvwxyz"))
    for name in names:
        if name not in taken:
            return name
    raise LogError(f"there are {len(names)} cooks of {method} on {day} already: name this one with --out-id")


def raw_name(cook_id: str, source: Path) -> str:
    """What the raw log is called beside its card."""
    ending = source.suffix.lower()
    return f"{cook_id}{ending if ending in RAW_ENDINGS else '.csv'}"


def checksum(blob: bytes) -> str:
    """SHA-256 of a raw log."""
    return hashlib.sha256(blob).hexdigest()


def write_cook(folder: Path, cook_id: str, text: str, raw: tuple[str, bytes]) -> Path:
    """Write card and raw log into `folder`: both whole or neither. Raises LogError where one is there.

    Both are written aside and then linked to their names, the log first: a card never stands without it.
    """
    name, blob = raw
    card = folder / f"{cook_id}.yaml"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=".import-", dir=folder) as aside:
            for file, content in ((name, blob), (card.name, text.encode("utf-8"))):
                with (Path(aside) / file).open("wb") as stream:
                    stream.write(content)
                    stream.flush()
                    os.fsync(stream.fileno())
            take_name(Path(aside) / name, folder / name)
            try:
                take_name(Path(aside) / card.name, card)
            except (LogError, OSError):
                (folder / name).unlink()
                raise
    except OSError as error:
        raise LogError(
            f"cannot write into {folder}: {error.strerror or error}; nothing was written"
        ) from error
    return card


def take_name(written: Path, name: Path) -> None:
    """Give a written file its name, unless another file has it."""
    try:
        os.link(written, name)
    except FileExistsError as error:
        raise LogError(
            f"{name} is there already; name this cook with --out-id; nothing was written"
        ) from error
    except OSError:
        # Some file systems have no links: claim the name first, so that nobody else's file is replaced.
        try:
            name.touch(exist_ok=False)
        except FileExistsError as error:
            raise LogError(f"{name} is there already; name this cook with --out-id") from error
        os.replace(written, name)
