"""Cells to numbers: decimal commas, degrees written behind the figure, the many ways to say "no reading".

One column at a time; works over the distinct texts of a column, so that long logs are quick.
"""

import re
from collections import Counter
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slowfolio.cooklog.remarks import LogError

Array = NDArray[np.float64]

NO_READING = frozenset(
    {
        "-",
        "--",
        "---",
        "----",
        "-.-",
        "--.-",
        "n/a",
        "#n/a",
        "na",
        "nan",
        "null",
        "none",
        "nil",
        "open",
        "short",
    }
    | {"err", "error", "hhh", "lll", "hi", "lo", "ovr", "or", "ur", "off", "fault", "?", "*", "x"}
    | {"disconnected", "unplugged"}
)
"""What recorders write where a probe gives nothing. Common practice, no source."""
LOWEST, HIGHEST = -60.0, 700.0
"""Beyond these a figure is a recorder's sign for "no reading" (999.9, 3276.7, -127), whatever the degrees."""
UNREADABLE_SHARE = 0.10
_NUMBER = re.compile(
    r"([-+]?(?:\d+(?:[.,]\d*)?|[.,]\d+))\s*(°\s*[FCK]|deg\s*[FCK]?|[FCKº°%]|º\s*[FC])?", re.I
)


@dataclass(frozen=True, slots=True)
class Column:
    """The figures of a column (NaN where there is none) and the degrees written in its cells, if any."""

    values: Array
    suffix: str


def read_cells(cells: list[str], *, decimal: str, name: str, lines: list[int]) -> Column:
    """Return the figures of a column. Raises LogError where too many cells are no figures."""
    known: dict[str, float | None] = {}
    suffixes: Counter[str] = Counter()
    for text, times in Counter(cells).items():
        value, suffix = read_cell(text, decimal)
        known[text] = value
        if suffix:
            suffixes[suffix] += times
    unreadable = [index for index, text in enumerate(cells) if known[text] is None]
    if len(unreadable) > max(3, UNREADABLE_SHARE * len(cells)):
        first = unreadable[0]
        raise LogError(
            f'line {lines[first]}, {name}: "{cells[first][:40]}" is no temperature, and neither are '
            f"{len(unreadable) - 1} more: name the right column with --map"
        )
    values = np.array(
        [np.nan if (value := known[text]) is None else value for text in cells], dtype=np.float64
    )
    values[(values < LOWEST) | (values > HIGHEST)] = np.nan
    return Column(values, suffixes.most_common(1)[0][0] if suffixes else "")


def read_cell(text: str, decimal: str) -> tuple[float | None, str]:
    """The figure of a cell and the degrees behind it; NaN for no reading, None for what cannot be read."""
    plain = text.strip().strip("'\"").replace("\xa0", "").replace("−", "-")
    if not plain or plain.lower() in NO_READING:
        return float("nan"), ""
    found = _NUMBER.fullmatch(plain)
    if found is None:
        return None, ""
    figure = found[1].replace(",", ".") if decimal == "comma" else found[1]
    if "," in figure:
        return None, ""
    degrees = re.sub(r"[^FCK%]", "", (found[2] or "").upper())
    return float(figure), degrees[-1:]


def decimal_sign(columns: list[list[str]], delimiter: str) -> str:
    """Whether tenths stand behind a comma: more cells have one than have a point."""
    looked = [cell for column in columns for cell in column[:2000]]
    commas, points = (sum(sign in cell for cell in looked) for sign in (",", "."))
    if delimiter == "comma" and points:
        return "point"
    return "comma" if commas > points else "point"
