"""From the bytes of any log to a recording, with the recipe to read it again and every assumption made.

The order of the steps lives here; each step is a module of its own. Called by the `log` command, and by
whoever reads the log of a cook's card again.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from slowfolio.book.model import Cook, LogRecipe
from slowfolio.cooklog.cells import Column, decimal_sign, read_cells
from slowfolio.cooklog.clock import Times, TimeWish, read_times
from slowfolio.cooklog.columns import by_behaviour, by_heading, place, stated
from slowfolio.cooklog.decoding import decode_text
from slowfolio.cooklog.degrees import find_unit, one_unit
from slowfolio.cooklog.happened import with_events
from slowfolio.cooklog.recording import Event, Recording
from slowfolio.cooklog.remarks import Assumption, LogError, Remark
from slowfolio.cooklog.repair import mended
from slowfolio.cooklog.site_export import Exported, is_export, read_export
from slowfolio.cooklog.table import RawTable, read_table

Array = NDArray[np.float64]
TEMPERATURES = ("pit", "thick", "thin")
TIME_UNITS = ("s", "min", "h")


EXPORT_RECIPE = LogRecipe(
    file="",
    sha256="",
    kind="site export",
    encoding="utf-8",
    delimiter="comma",
    decimal="point",
    heading_line=0,
    time_kind="date and clock",
    time_format="",
    time_unit="s",
    unit="°C",
    columns={"time": "at", "thick": "thick"},
)


@dataclass(frozen=True, slots=True)
class Wish:
    """What is known of a log beforehand; what is empty is found."""

    columns: Mapping[str, str] = field(default_factory=dict)
    time_format: str = ""
    unit: str = ""
    start: datetime | None = None
    wrapped: bool = True
    wrap_core_c: float | None = None


@dataclass(frozen=True, slots=True)
class Imported:
    """A log as read: the recording, how to read it again, what was assumed, what an export says itself."""

    recording: Recording
    recipe: LogRecipe
    assumptions: tuple[Assumption, ...]
    export: Exported | None = None


def import_log(blob: bytes, wish: Wish | None = None) -> Imported:
    """Read the bytes of a log. Raises LogError with line, column and what to write instead."""
    wish = wish or Wish()
    if is_export(blob):
        exported = read_export(blob)
        return Imported(exported.recording, EXPORT_RECIPE, (), exported)
    decoded = decode_text(blob)
    table = read_table(decoded.text)
    found = read_columns(table, wish, decoded.encoding)
    recording = mended(found.recording, by_clock=not written_offset(table, found.recipe))
    return replace(
        found, recording=with_events(recording, wrapped=wish.wrapped, wrap_core_c=wish.wrap_core_c)
    )


def read_again(cook: Cook, blob: bytes) -> Recording:
    """The recording of a cook's card, by the recipe and with the events that stand on the card.

    Raises LogError where the raw file cannot be read so.
    """
    recipe = cook.log
    events = tuple(Event(event.what, event.at_s, event.found) for event in cook.events)
    if recipe.kind == "site export":
        return replace(read_export(blob).recording, events=events)
    decoded = decode_text(blob, recipe.encoding)
    table = read_table(decoded.text, delimiter=recipe.delimiter, heading_line=recipe.heading_line)
    wish = Wish(
        columns=recipe.columns,
        time_format=recipe.time_format or (recipe.time_unit if recipe.time_kind == "elapsed" else ""),
        unit=recipe.unit,
    )
    found = read_columns(table, wish, recipe.encoding, decimal=recipe.decimal)
    recording = mended(found.recording, by_clock=not written_offset(table, recipe))
    return replace(recording, events=events)


def read_columns(table: RawTable, wish: Wish, encoding: str, *, decimal: str = "") -> Imported:
    """The columns of a table as a recording in SI, nothing mended yet."""
    told = {role: columns_of(name, table) for role, name in wish.columns.items()}
    named = by_heading(table.headings)
    time_at = told.get("time") or as_places(named.get("time")) or (first_time_column(table),)
    times = read_times(
        joined(table, time_at), table.lines, " ".join(table.headings[at] for at in time_at), time_wish(wish)
    )
    sign = decimal or decimal_sign(
        [table.cells(at) for at in range(len(table.headings)) if at not in time_at], table.delimiter
    )
    roles, figures, assumptions = assign(table, told, named, time_at, sign)
    columns = {role: figures[at] for role, at in roles.items()}
    if not any(role in columns for role in TEMPERATURES):
        raise LogError("no column holds temperatures: name it with --map thick=..., by its heading or number")
    degrees = find_unit(
        {role: column.values for role, column in columns.items()},
        [column.suffix for role, column in columns.items() if role in TEMPERATURES],
        [table.headings[at] for role, at in roles.items() if role in TEMPERATURES],
        wish.unit,
    )
    kept = {role: column.values[times.rows] for role, column in columns.items()}
    in_c, mixed = one_unit(kept, degrees.unit, times.seconds)
    recipe = LogRecipe(
        file="",
        sha256="",
        kind="table",
        encoding=encoding,
        delimiter=table.delimiter,
        decimal=sign,
        heading_line=table.heading_line,
        time_kind=times.kind,
        time_format=times.format,
        time_unit=times.unit or "s",
        unit=degrees.unit,
        columns={
            "time": "+".join(column_name(table, at) for at in time_at),
            **{role: column_name(table, at) for role, at in roles.items()},
        },
    )
    return Imported(
        recording_of(in_c, times, (*table.remarks, *times.remarks, *mixed)),
        recipe,
        (*times.assumptions, *assumptions, *degrees.assumptions),
    )


def assign(
    table: RawTable,
    told: Mapping[str, tuple[int, ...]],
    named: Mapping[str, int | tuple[int, ...]],
    time_at: tuple[int, ...],
    sign: str,
) -> tuple[dict[str, int], dict[int, Column], tuple[Assumption, ...]]:
    """The column of every role and its figures: told, else by heading, else by how the figures behave."""
    roles = {role: places[0] for role, places in told.items() if role != "time"}
    assumptions: tuple[Assumption, ...] = ()
    if not roles:
        roles = {
            role: at
            for role, at in named.items()
            if isinstance(at, int) and at not in time_at and role != "time"
        }
        guess = "thick" not in roles
        readable = figures_of(table, [at for at in range(len(table.headings)) if at not in time_at], sign)
        if guess or not any(role in roles for role in TEMPERATURES):
            found = by_behaviour({at: column.values for at, column in readable.items()}, list(roles.values()))
            added = {role: at for role, at in found.items() if role not in roles}
            roles |= added
            if added:
                assumptions = (stated(roles, table.headings),)
        roles = {role: at for role, at in roles.items() if at in readable}
        return roles, readable, assumptions
    figures = {
        at: read_cells(table.cells(at), decimal=sign, name=table.name(at), lines=table.lines)
        for at in roles.values()
    }
    for role, at in roles.items():
        if not np.isfinite(figures[at].values).any():
            raise LogError(f"{role}: {table.name(at)} holds no figure at all: name another column with --map")
    return roles, figures, assumptions


def figures_of(table: RawTable, places: list[int], sign: str) -> dict[int, Column]:
    """The columns that hold figures; one of words is left out."""
    found: dict[int, Column] = {}
    for at in places:
        try:
            column = read_cells(table.cells(at), decimal=sign, name=table.name(at), lines=table.lines)
        except LogError:
            continue
        if np.isfinite(column.values).any():
            found[at] = column
    return found


def recording_of(in_c: Mapping[str, Array], times: Times, remarks: tuple[Remark, ...]) -> Recording:
    """The arrays of a recording; a humidity above 1 was written in per cent."""
    nothing = np.full(times.seconds.size, np.nan)
    humidity = in_c.get("humidity", nothing)
    if np.isfinite(humidity).any() and float(np.nanmax(humidity)) > 1.5:
        humidity = humidity / 100.0
    return Recording(
        time_s=times.seconds,
        pit_c=in_c.get("pit", nothing),
        thick_c=in_c.get("thick", nothing),
        thin_c=in_c.get("thin", nothing),
        humidity=humidity,
        began=times.began,
        remarks=remarks,
    )


def columns_of(name: str, table: RawTable) -> tuple[int, ...]:
    """The columns a name of the mapping leads to; "Date+Time" are two."""
    try:
        return (place(name, table.headings),)
    except LogError:
        if "+" not in name:
            raise
        return tuple(place(part, table.headings) for part in name.split("+"))


def as_places(at: int | tuple[int, ...] | None) -> tuple[int, ...] | None:
    """One column or several as several."""
    return (at,) if isinstance(at, int) else at


def joined(table: RawTable, places: tuple[int, ...]) -> list[str]:
    """The texts of one column, or of two with a space between."""
    if len(places) == 1:
        return table.cells(places[0])
    return [" ".join(row[at].strip() for at in places) for row in table.rows]


def first_time_column(table: RawTable) -> int:
    """The first column that reads as a time, where no heading says which it is."""
    for at in range(len(table.headings)):
        cells = table.cells(at)[:200]
        if any(":" in cell for cell in cells[:5]):
            return at
    for at in range(len(table.headings)):
        try:
            column = read_cells(table.cells(at), decimal="point", name="", lines=table.lines)
        except LogError:
            column = None
        values = column.values if column is not None else large_numbers(table.cells(at))
        good = values[np.isfinite(values)]
        if good.size == len(table.rows) and (np.diff(good) > 0).all():
            return at
        values = large_numbers(table.cells(at))
        if np.isfinite(values).all() and (np.diff(values) >= 0).mean() > 0.99 and np.ptp(values) > 0:
            return at
    raise LogError("no column reads as a time: name it with --map time=..., by its heading or number")


def large_numbers(cells: list[str]) -> Array:
    """Cells as plain numbers of any size."""
    from slowfolio.cooklog.clock_patterns import number_or_nan

    return number_or_nan([cell.strip() for cell in cells])


def column_name(table: RawTable, at: int) -> str:
    """How a card names a column: its heading where that is its own, else its number."""
    heading = table.headings[at]
    same = sum(each.strip().lower() == heading.strip().lower() for each in table.headings)
    return heading if heading and same == 1 and "+" not in heading else str(at + 1)


def time_wish(wish: Wish) -> TimeWish:
    """What is known of the times: --time-format is a format, or the unit of a plain number."""
    form = wish.time_format.strip()
    if form.lower() in TIME_UNITS:
        return TimeWish(kind="elapsed", unit=form.lower(), start=wish.start)
    if form.lower() in {"clock", "elapsed"}:
        return TimeWish(kind=form.lower(), start=wish.start)
    if form and "%" not in form:
        raise LogError(
            f'--time-format: "{form}" is none: write s, min, h, clock or elapsed, or the parts as in '
            '"%d.%m.%Y %H:%M:%S"'
        )
    return TimeWish(format=form, start=wish.start)


def written_offset(table: RawTable, recipe: LogRecipe) -> bool:
    """Whether the times cannot be moved by summer time: they carry their offset, or count from a start."""
    if recipe.time_kind not in {"date and clock", "clock"}:
        return True
    sample = table.rows[0][columns_of(recipe.columns["time"], table)[-1]].strip()
    return sample.endswith("Z") or (len(sample) > 19 and sample[-6:-5] in {"+", "-"})
