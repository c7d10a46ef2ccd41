"""Ugly logs: each is read right, or refused with what is wrong and what to write instead.

The truth is the formula of `log_cases`; every reading of a log must lie within its rounding and noise of it.
"""

import codecs
import re
from collections.abc import Callable
from contextlib import suppress
from datetime import datetime, timedelta

import numpy as np
import pytest

from log_cases import BEGAN, Curve, curve, fahrenheit, rows, text
from slowfolio.cooklog.importing import Imported, Wish, import_log
from slowfolio.cooklog.recording import at_times
from slowfolio.cooklog.remarks import LogError

TRUTH = curve()
HOUR = 3600.0
Made = tuple[bytes, Wish]


def plain(blob: bytes, **wish: object) -> Made:
    return blob, Wish(**wish)  # type: ignore[arg-type]


def with_cells(change: Callable[[int, list[str]], list[str]], unit: str = "F") -> bytes:
    """The plain log with the cells of a line changed; the number of a line counts from 0."""
    lines = [",".join(change(index, line.split(","))) for index, line in enumerate(rows(TRUTH, unit=unit))]
    return text(lines)


def restless_to_fahrenheit(index: int, cells: list[str]) -> list[str]:
    """From line 310 on in °F, with a fire that moves by 4 to 5 K as the degrees change."""
    figures = [float(cell) for cell in cells[1:]]
    figures[0] += 4.5 if index == 309 else 0.0
    if index < 310:
        return [cells[0], *(f"{each:.1f}" for each in figures)]
    return [cells[0], *(f"{each * 1.8 + 32:.1f}" for each in figures)]


def iso(offset: str) -> bytes:
    return text([line.replace(",", f"{offset},", 1) for line in rows(TRUTH, stamp="%Y-%m-%dT%H:%M:%S")])


def epoch(factor: float) -> bytes:
    start = 1_788_000_000
    lines = [
        ",".join([f"{(start + s) * factor:.0f}", *line.split(",")[1:]])
        for s, line in zip(TRUTH.time_s, rows(TRUTH), strict=True)
    ]
    return text(lines)


def elapsed(form: Callable[[float], str], heading: str) -> bytes:
    lines = [
        ",".join([form(float(s)), *line.split(",")[1:]])
        for s, line in zip(TRUTH.time_s, rows(TRUTH), strict=True)
    ]
    return text(lines, heading)


def clock(stamp: str, began: datetime) -> bytes:
    return text(rows(TRUTH, stamp=stamp, began=began))


def summer_time_ends() -> bytes:
    """The clock on the wall is put back from 03:00 to 02:00 on the night to 25 October 2026 (EU 2000/84)."""
    began = datetime(2026, 10, 24, 22, 0)
    change = datetime(2026, 10, 25, 3, 0)
    lines = []
    for s, line in zip(TRUTH.time_s, rows(TRUTH), strict=True):
        moment = began + timedelta(seconds=float(s))
        moment -= timedelta(hours=1) if moment >= change else timedelta()
        lines.append(",".join([moment.strftime("%H:%M:%S"), *line.split(",")[1:]]))
    return text(lines)


def summer_time_begins() -> bytes:
    """The clock is put on from 02:00 to 03:00 on 29 March 2026."""
    began = datetime(2026, 3, 28, 23, 40)
    change = datetime(2026, 3, 29, 2, 0)
    lines = []
    for s, line in zip(TRUTH.time_s, rows(TRUTH), strict=True):
        moment = began + timedelta(seconds=float(s))
        moment += timedelta(hours=1) if moment >= change else timedelta()
        lines.append(",".join([moment.strftime("%d.%m.%Y %H:%M"), *line.split(",")[1:]]))
    return text(lines)


def day_numbers() -> bytes:
    zero = (BEGAN - datetime(1899, 12, 30)).total_seconds() / 86_400
    lines = [
        ";".join([f"{zero + s / 86_400:.6f}".replace(".", ","), *line.split(";")[1:]])
        for s, line in zip(TRUTH.time_s, rows(TRUTH, sep=";", decimal=","), strict=True)
    ]
    return text(lines, "Zeit;Garraum;Kern;Flat")


RIGHT: dict[str, Made] = {
    "plain, US degrees": plain(text(rows(TRUTH))),
    "metric": plain(text(rows(TRUTH, unit="C"))),
    "kelvin, told": plain(text(rows(TRUTH, unit="K")), unit="K"),
    "semicolons and decimal commas": plain(
        text(rows(TRUTH, stamp="%d.%m.%Y %H:%M:%S", sep=";", decimal=",", unit="C"), "Zeit;Garraum;Kern;Flat")
    ),
    "decimal commas in quotes between commas": plain(
        text(
            [re.sub(r"(\d+\.\d)", lambda m: '"' + m[1].replace(".", ",") + '"', line) for line in rows(TRUTH)]
        )
    ),
    "tabs": plain(text(rows(TRUTH, sep="\t"), "Time\tPit\tMeat\tFlat")),
    "bars": plain(text(rows(TRUTH, sep="|"), "Time|Pit|Meat|Flat")),
    "spaces": plain(text(rows(TRUTH, stamp="%H:%M:%S", sep="   "), "Time Pit Meat Flat")),
    "byte-order mark": plain(codecs.BOM_UTF8 + text(rows(TRUTH))),
    "utf-16 with its mark": plain(text(rows(TRUTH)).decode().encode("utf-16")),
    "utf-16 without a mark": plain(text(rows(TRUTH)).decode().encode("utf-16-le")),
    "latin-1 degree signs": plain(
        text(rows(TRUTH), "Time,Pit °F,Meat °F,Flat °F").decode().encode("latin-1")
    ),
    "windows line ends": plain(text(rows(TRUTH)).replace(b"\n", b"\r\n")),
    "old line ends": plain(text(rows(TRUTH)).replace(b"\n", b"\r")),
    "a hint for spreadsheets in the first line": plain(b"sep=,\n" + text(rows(TRUTH))),
    "a preamble of six lines": plain(
        b"Recorder 3\nSerial,0017\n\nCook: brisket\nExported 2026-09-06\n\n" + text(rows(TRUTH))
    ),
    "no headings": plain(text(rows(TRUTH), "")),
    "columns told by number": plain(
        text(rows(TRUTH), ""), columns={"time": "1", "pit": "2", "thick": "3", "thin": "4"}
    ),
    "columns in another order, told by heading": plain(
        text(
            [",".join([c[2], c[0], c[1], c[3]]) for c in (line.split(",") for line in rows(TRUTH))], "A,B,C,D"
        ),
        columns={"time": "B", "pit": "C", "thick": "A", "thin": "D"},
    ),
    "date and clock in two columns": plain(
        text(rows(TRUTH, stamp="%d/%m/%Y,%H:%M:%S"), "Date,Time,Pit,Meat,Flat")
    ),
    "month before day, am and pm": plain(
        text(rows(TRUTH, stamp="%m/%d/%Y %I:%M:%S %p", began=datetime(2026, 9, 15, 5, 10)))
    ),
    "day before month, slashes": plain(
        text(rows(TRUTH, stamp="%d/%m/%Y %H:%M", began=datetime(2026, 9, 15, 5, 10)))
    ),
    "day and month both below thirteen": plain(text(rows(TRUTH, stamp="%d/%m/%Y %H:%M"))),
    "months by name": plain(text(rows(TRUTH, stamp="%d-%b-%Y %H:%M:%S"))),
    "a format of its own, told": plain(text(rows(TRUTH, stamp="%Y%m%d/%H%M%S")), time_format="%Y%m%d/%H%M%S"),
    "ISO in UTC": plain(iso("Z")),
    "ISO with offset": plain(iso("-05:00")),
    "seconds since 1970": plain(epoch(1)),
    "milliseconds since 1970": plain(epoch(1000)),
    "day numbers of a spreadsheet": plain(day_numbers()),
    "time since the start, h:mm:ss": plain(
        elapsed(
            lambda s: f"{int(s) // 3600}:{int(s) // 60 % 60:02}:{int(s) % 60:02}", "Elapsed,Pit,Meat,Flat"
        ),
        start=BEGAN,
    ),
    "minutes since the start": plain(
        elapsed(lambda s: f"{s / 60:.1f}", "Minutes,Pit,Meat,Flat"), start=BEGAN
    ),
    "a number that names no unit": plain(
        elapsed(lambda s: f"{s / HOUR:.4f}", "t,Pit,Meat,Flat"), start=BEGAN
    ),
    "hours and minutes in words": plain(
        elapsed(lambda s: f"{int(s) // 3600}h {int(s) // 60 % 60}m {int(s) % 60}s", "Elapsed,Pit,Meat,Flat"),
        start=BEGAN,
    ),
    "a clock across midnight": plain(
        clock("%H:%M:%S", datetime(2026, 9, 4, 20, 0)), start=datetime(2026, 9, 4)
    ),
    "a twelve-hour clock with am and pm across noon": plain(
        clock("%I:%M %p", BEGAN), start=datetime(2026, 9, 5)
    ),
    "a twelve-hour clock without am and pm": plain(clock("%I:%M:%S", BEGAN), start=datetime(2026, 9, 5)),
    "a clock as summer time ends": plain(summer_time_ends(), start=datetime(2026, 10, 24)),
    "a date as summer time begins": plain(summer_time_begins()),
    "newest first": plain(text(rows(TRUTH)[::-1])),
    "lines out of order": plain(
        text([*rows(TRUTH)[:200], *rows(TRUTH)[260:330], *rows(TRUTH)[200:260], *rows(TRUTH)[330:]])
    ),
    "every line twice": plain(
        text([line for line in rows(TRUTH) for _ in (0, 1)][: 2 * 90] + rows(TRUTH)[90:])
    ),
    "lost readings and words for them": plain(
        with_cells(
            lambda i, c: [
                c[0],
                "---" if i % 97 == 0 else c[1],
                "" if 200 < i < 215 else c[2],
                "N/A" if i == 7 else c[3],
            ]
        )
    ),
    "the recorder's sign for no probe": plain(
        with_cells(lambda i, c: [*c[:2], "999.9" if 40 < i < 44 else c[2], c[3]])
    ),
    "degrees behind every figure": plain(with_cells(lambda _, c: [c[0], *(f"{each} °F" for each in c[1:])])),
    "single wild readings": plain(
        with_cells(lambda i, c: [*c[:2], "310.0" if i in {100, 300} else c[2], c[3]])
    ),
    "two probes change places": plain(
        with_cells(lambda i, c: [c[0], c[1], c[3], c[2]] if 130 <= i < 380 else c)
    ),
    "degrees changed on the way": plain(
        with_cells(lambda i, c: [c[0], *(f"{(float(v) - 32) / 1.8:.1f}" for v in c[1:])] if i >= 310 else c)
    ),
    "degrees changed and changed back": plain(
        with_cells(
            lambda i, c: [c[0], *(f"{(float(v) - 32) / 1.8:.1f}" for v in c[1:])] if 100 <= i < 250 else c
        )
    ),
    "degrees of a restless pit changed on the way, to °F": plain(
        with_cells(restless_to_fahrenheit, unit="C"), unit="C"
    ),
    "a gap of two hours": plain(text(rows(TRUTH)[:180] + rows(TRUTH)[300:])),
    "the probe hangs in the air for a while": plain(
        with_cells(lambda i, c: [*c[:2], c[1] if 210 <= i < 216 else c[2], c[3]])
    ),
    "a last line cut short": plain(text(rows(TRUTH))[:-14]),
    "empty lines and trailing commas": plain(
        text(
            [line + "," if i % 3 else line + ",\n" for i, line in enumerate(rows(TRUTH))],
            "Time,Pit,Meat,Flat,",
        )
    ),
    "set points, fan and battery beside": plain(
        text(
            [line + ",250,40,98" for line in rows(TRUTH)],
            "Timestamp,Pit Temp,Food 1,Flat,Set Point,Fan %,Battery",
        )
    ),
    "a stray control character": plain(text(rows(TRUTH)).replace(b"Meat", b"Me\x07at")),
}

WORST_K = 0.7
"""A tenth of a degree of rounding and 0.15 K of noise, read between two minutes."""


def worst_k(found: Imported, truth: Curve, role: str) -> float:
    """The largest distance of what was read from the truth, K."""
    values = at_times(found.recording, role, truth.time_s)
    good = np.isfinite(values)
    assert good.mean() > 0.7
    return float(np.abs(values - getattr(truth, f"{role}_c"))[good].max())


@pytest.mark.parametrize("name", RIGHT)
def test_an_ugly_log_is_read_right(name: str) -> None:
    blob, wish = RIGHT[name]
    found = import_log(blob, wish)
    assert found.recording.time_s[0] == 0.0
    assert (np.diff(found.recording.time_s) > 0).all()
    assert found.recording.time_s[-1] == pytest.approx(TRUTH.time_s[-1], abs=120.0)
    for role in ("thick", "thin"):
        assert worst_k(found, TRUTH, role) < WORST_K, role
    assert worst_k(found, TRUTH, "pit") < 8.0  # doors fall by 30 K within a minute


def test_there_are_at_least_twenty_five_ugly_logs() -> None:
    assert len(RIGHT) + len(REFUSED) >= 25


SAID = {
    "a clock across midnight": "",
    "a clock as summer time ends": "clock change",
    "a date as summer time begins": "clock change",
    "newest first": "newest first",
    "lines out of order": "out of order",
    "every line twice": "repeated time",
    "lost readings and words for them": "lost readings",
    "single wild readings": "spike",
    "two probes change places": "probe swap",
    "degrees changed on the way": "mixed degrees",
    "degrees changed and changed back": "mixed degrees",
    "degrees of a restless pit changed on the way, to °F": "mixed degrees",
    "a gap of two hours": "gap",
    "the probe hangs in the air for a while": "probe out",
    "a last line cut short": "lost readings",
    "plain, US degrees": "door",
}


@pytest.mark.parametrize("name", SAID)
def test_what_is_wrong_with_a_log_is_said(name: str) -> None:
    blob, wish = RIGHT[name]
    kinds = {remark.kind for remark in import_log(blob, wish).recording.remarks}
    assert not SAID[name] or SAID[name] in kinds
    assert kinds <= {SAID[name], "door", "ragged lines"}


def test_the_unit_found_from_the_figures_is_stated_as_an_assumption() -> None:
    assumptions = import_log(*RIGHT["metric"]).assumptions
    assert [each.taken for each in assumptions] == ["°C"]
    assert "--unit" in assumptions[0].text
    assert import_log(*RIGHT["degrees behind every figure"]).assumptions == ()


def test_a_cold_core_of_a_log_cut_short_is_not_taken_for_other_degrees() -> None:
    """An hour and a half of a cook in °F: a core of 39 to 60 °F is cold meat, not a core in °C."""
    found = import_log(text(rows(TRUTH)[:90]), Wish(unit="F")).recording
    assert not [remark for remark in found.remarks if remark.kind == "mixed degrees"]
    assert float(np.nanmax(at_times(found, "thick", found.time_s))) < 40.0


def test_a_date_that_can_be_read_two_ways_is_stated_and_a_clear_one_is_not() -> None:
    both = [each.about for each in import_log(*RIGHT["day and month both below thirteen"]).assumptions]
    assert "the order of the date" in both
    clear = [each.about for each in import_log(*RIGHT["day before month, slashes"]).assumptions]
    assert "the order of the date" not in clear


@pytest.mark.parametrize(
    ("name", "began"),
    [
        ("day before month, slashes", datetime(2026, 9, 15, 5, 10)),
        ("month before day, am and pm", datetime(2026, 9, 15, 5, 10)),
        ("months by name", BEGAN),
        ("day numbers of a spreadsheet", BEGAN),
        ("a format of its own, told", BEGAN),
    ],
)
def test_the_log_begins_at_its_own_date_and_clock(name: str, began: datetime) -> None:
    found = import_log(*RIGHT[name]).recording.began
    assert found is not None
    assert abs((found.replace(tzinfo=None) - began).total_seconds()) < 61


def nonsense(seed: int) -> bytes:
    return np.random.default_rng(seed).integers(0, 256, 20_000, dtype=np.uint8).tobytes()


REFUSED: dict[str, tuple[Made, str]] = {
    "nothing": (plain(b""), "empty"),
    "only zeros": (plain(b"\x00" * 4096), "empty"),
    "binary junk": (plain(nonsense(1)), "no text"),
    "a spreadsheet": (plain(b"PK\x03\x04" + nonsense(2)), "save it as CSV"),
    "a picture": (plain(b"\x89PNG\r\n" + nonsense(3)), "export the readings"),
    "a letter": (plain(b"Dear cook,\nthe brisket was good.\nYours,\n"), "table"),
    "headings only": (plain(b"Time,Pit,Meat\n"), "no table"),
    "one reading": (plain(text(rows(TRUTH)[:1])), "no table"),
    "no time column": (
        plain(text([line.split(",", 1)[1] for line in rows(TRUTH)], "Pit,Meat,Flat")),
        "--map time=",
    ),
    "no temperatures": (
        plain(text([f"{line.split(',')[0]},ok" for line in rows(TRUTH)], "Time,State")),
        "at least one temperature",
    ),
    "a column that is not there": (
        plain(text(rows(TRUTH)), columns={"time": "Time", "thick": "Meet"}),
        "did you mean Meat",
    ),
    "a column number that is not there": (
        plain(text(rows(TRUTH)), columns={"time": "1", "thick": "9"}),
        "no column",
    ),
    "a column of words told to be the meat": (
        plain(
            text([f"{line},ok" for line in rows(TRUTH)], "Time,Pit,Meat,Flat,State"),
            columns={"time": "Time", "thick": "State"},
        ),
        "line 2, State",
    ),
    "times that are none": (plain(with_cells(lambda _, c: ["soon", *c[1:]])), "no time"),
    "a format that does not fit": (plain(text(rows(TRUTH)), time_format="%d.%m.%Y"), "line 2"),
    "a format that is none": (plain(text(rows(TRUTH)), time_format="german"), "--time-format"),
    "a unit that is none": (plain(text(rows(TRUTH)), unit="R"), "--unit"),
    "two units in the headings": (plain(text(rows(TRUTH), "Time,Pit (°F),Meat (°C),Flat")), "--unit"),
    "figures of no unit": (
        plain(with_cells(lambda i, c: [c[0], *(f"{400 + i % 7}" for _ in c[1:])])),
        "--unit",
    ),
    "a log of forty days": (plain(text(rows(curve(hours=960, step_s=3600)))), "a cook lasts"),
    "a log of one minute": (plain(text(rows(curve(hours=1 / 60, step_s=1)))), "a cook lasts"),
    "half of the lines of another width": (
        plain(text([line if i % 2 else line + ",1,2,3" for i, line in enumerate(rows(TRUTH))])),
        "another number of columns",
    ),
    "an export cut in the middle": (
        plain(b'{"format": "slowfolio cook log", "version": 1, "readings": [{'),
        "cut short",
    ),
    "an export of a later version": (plain(b'{"format": "slowfolio cook log", "version": 9}'), "version"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_a_hopeless_log_is_refused_with_what_to_do(name: str) -> None:
    (blob, wish), words = REFUSED[name]
    with pytest.raises(LogError, match=re.escape(words)):
        import_log(blob, wish)


@pytest.mark.parametrize("seed", range(12))
def test_random_bytes_never_break_the_reader(seed: int) -> None:
    rng = np.random.default_rng(seed)
    blob = bytearray(text(rows(TRUTH)[:200]))
    for place in rng.integers(0, len(blob), 40):
        blob[place] = int(rng.integers(0, 256))
    with suppress(LogError):
        assert (np.diff(import_log(bytes(blob)).recording.time_s) > 0).all()


def test_two_hundred_thousand_readings_are_read_whole_and_right() -> None:
    """Three readings a second and a bit for fourteen hours."""
    long = curve(hours=200_000 * 0.25 / HOUR, step_s=0.25)
    assert long.time_s.size >= 200_000
    figures = np.stack([fahrenheit(long.pit_c), fahrenheit(long.thick_c), fahrenheit(long.thin_c)], axis=1)
    lines = [
        f"{s:.2f},{a:.1f},{b:.1f},{c:.1f}" for s, (a, b, c) in zip(long.time_s, figures.tolist(), strict=True)
    ]
    found = import_log(text(lines, "seconds,pit,meat,flat"), Wish(start=BEGAN))
    assert found.recording.time_s.size == long.time_s.size
    assert worst_k(found, long, "thick") < WORST_K
