"""From the text of a log to rows of cells: delimiter, preamble, headings, rows that are cut short.

Every row keeps the line it stands on, so that whatever is wrong later can be shown. No cell is read here.
"""

import csv
import io
import re
from collections import Counter
from dataclasses import dataclass

from slowfolio.cooklog.remarks import LogError, Remark

DELIMITERS = {"tab": "\t", "semicolon": ";", "bar": "|", "comma": ",", "space": " "}
LOOKED_AT = 400
MOST_COLUMNS = 200
RAGGED_SHARE = 0.25
"""CALIBRATED: more rows of another width than this and the file is no one table."""
_VALUE = re.compile(r"\s*[-+]?\d[\d.,:/\-\sTZhAPMapm+°FCK%]*\s*")


@dataclass(frozen=True, slots=True)
class RawTable:
    """A log as cells: headings ("" where there are none), rows of equal width, and the line of each row."""

    delimiter: str
    heading_line: int
    headings: tuple[str, ...]
    rows: list[list[str]]
    lines: list[int]
    remarks: tuple[Remark, ...]

    def cells(self, column: int) -> list[str]:
        """One column from top to bottom."""
        return [row[column] for row in self.rows]

    def name(self, column: int) -> str:
        """The heading of a column, or its number in words."""
        return self.headings[column] or f"column {column + 1}"


def read_table(text: str, *, delimiter: str | None = None, heading_line: int | None = None) -> RawTable:
    """Return the table in a text; with a delimiter and a heading line nothing is guessed.

    Raises LogError where no delimiter gives a table of at least two columns and two rows.
    """
    text, skipped = without_hint(text)
    word = delimiter or guessed_delimiter(text)
    rows, lines = parsed(text, word)
    lines = [line + skipped for line in lines]
    full = [(row, line) for row, line in zip(rows, lines, strict=True) if any(cell.strip() for cell in row)]
    if heading_line is None:
        first = first_data_row([row for row, _ in full[:LOOKED_AT]])
        heading = first - 1 if first > 0 and is_heading(full[first - 1][0], full[first][0]) else None
    else:
        heading = next((i for i, (_, line) in enumerate(full) if line == heading_line), None)
        first = heading + 1 if heading is not None else 0
    width = len(full[first][0]) if first < len(full) else 0
    width = max(width, len(full[heading][0]) if heading is not None else 0)
    if len(full) - first < 2 or width < 2:
        raise no_table()
    if width > MOST_COLUMNS:
        raise LogError(f"line {full[first][1]} has {width} columns; a log of one cook has a few: check it")
    body, remarks = squared(full[first:], width)
    names = [cell.strip() for cell in full[heading][0]] if heading is not None else []
    names += [""] * (width - len(names))
    return RawTable(
        delimiter=word,
        heading_line=full[heading][1] if heading is not None else 0,
        headings=tuple(names),
        rows=[row for row, _ in body],
        lines=[line for _, line in body],
        remarks=remarks,
    )


def no_table() -> LogError:
    """The refusal of a text without readings."""
    return LogError(
        "no table of readings was found: a log has a line for each reading, with the time and at least "
        "one temperature, parted by commas, semicolons or tabs"
    )


def without_hint(text: str) -> tuple[str, int]:
    """The text without a spreadsheet's first line "sep=;", and how many lines that took."""
    first, newline, rest = text.partition("\n")
    return (rest, 1) if newline and re.fullmatch(r"\"?sep=.\"?\r?", first.strip()) else (text, 0)


def parsed(text: str, word: str) -> tuple[list[list[str]], list[int]]:
    """All rows of a text with the line each ends on."""
    source = io.StringIO(text.replace("\r\n", "\n").replace("\r", "\n"), newline="")
    reader = csv.reader(source, delimiter=DELIMITERS[word], skipinitialspace=word == "space", strict=False)
    rows: list[list[str]] = []
    lines: list[int] = []
    try:
        for row in reader:
            rows.append(row)
            lines.append(reader.line_num)
    except csv.Error as error:
        raise LogError(
            f"line {reader.line_num}: {error}; a cell this long is no reading: look for a quote that is "
            "never closed"
        ) from error
    return rows, lines


def guessed_delimiter(text: str) -> str:
    """The delimiter under which most lines have the same number of columns."""
    head = "\n".join(text.replace("\r\n", "\n").replace("\r", "\n").split("\n")[: LOOKED_AT + 1])
    best, best_score = "", 0.0
    for word in DELIMITERS:
        try:
            rows = [row for row in parsed(head, word)[0] if any(cell.strip() for cell in row)]
        except LogError:
            continue
        score = agreement(rows)
        if word == "space":
            score *= 0.9  # a date and its clock are parted by a space in every kind of log
        if score > best_score + 0.05:
            best, best_score = word, score
    if not best:
        raise LogError(
            "the lines do not part into columns: a log is a table with commas, semicolons or tabs between "
            "its columns, a line for each reading"
        )
    return best


def agreement(rows: list[list[str]]) -> float:
    """The share of rows of the commonest width of two and more whose cells look like readings."""
    widths = Counter(len(row) for row in rows if len(row) > 1)
    if not widths or not rows:
        return 0.0
    width = widths.most_common(1)[0][0]
    same = [row for row in rows if len(row) == width]
    values = sum(_is_value(cell) for row in same for cell in row)
    cells = sum(bool(cell.strip()) for row in same for cell in row)
    return len(same) / len(rows) * (0.2 + 0.8 * values / max(cells, 1))


def first_data_row(rows: list[list[str]]) -> int:
    """The first row of the commonest width in which at least two cells are values."""
    widths = Counter(len(row) for row in rows if sum(_is_value(cell) for cell in row) >= 2)
    if not widths:
        raise no_table()
    width = widths.most_common(1)[0][0]
    for index, row in enumerate(rows):
        if len(row) == width and sum(_is_value(cell) for cell in row) >= 2:
            return index
    return 0


def is_heading(row: list[str], below: list[str]) -> bool:
    """Whether a row names the columns of the row below it."""
    named = [cell for cell in row if cell.strip()]
    return len(row) >= len(below) - 1 and len(named) >= 2 and not any(_is_value(cell) for cell in named[:1])


def squared(
    rows: list[tuple[list[str], int]], width: int
) -> tuple[list[tuple[list[str], int]], tuple[Remark, ...]]:
    """Rows filled or cut to one width, and a remark on those that were of another."""
    odd = [line for row, line in rows if len(row) < width or any(cell.strip() for cell in row[width:])]
    if len(odd) > max(2, RAGGED_SHARE * len(rows)):
        raise LogError(
            f"line {odd[0]} has another number of columns than the first reading, and so have {len(odd) - 1} "
            "more: export one table with the same columns throughout"
        )
    body = [(row[:width] + [""] * (width - len(row)), line) for row, line in rows]
    if not odd:
        return body, ()
    words = f"{len(odd)} lines are cut short or too long, the first is line {odd[0]}; what is there was read"
    return body, (Remark("ragged lines", None, words),)


def _is_value(cell: str) -> bool:
    return _VALUE.fullmatch(cell) is not None and cell.count(",") < 2
