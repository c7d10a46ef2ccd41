"""The invented cooks of Alder Street Commissary: `python -m benchmarks.demo_cooks` writes methods/cooks anew.

The engine cooks in conditions shifted from the cards, a seeded recorder writes them down with noise, lost
readings, a gap and swapped probes, and the import reads them like any log. Nothing here was ever cooked.
"""

import sys
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np

from benchmarks.simulated_cooks import Simulated, TruePit, log_text, simulated_cooks
from slowfolio.book.model import Book, CookedPiece, Weather
from slowfolio.book.reading import read_book
from slowfolio.cooklog.card import NewCook, card_text, checksum, write_cook
from slowfolio.cooklog.importing import Wish, import_log
from slowfolio.cooklog.recording import Recording
from slowfolio.cooklog.wrapping import is_wrapped, wrap_core_c
from slowfolio.forecast.inputs import Conditions

METHODS = Path(__file__).parents[1] / "methods"
COMMISSARY_OFFSET = TruePit(offset_k=9.0, convection=0.15, humidity=-0.2)
"""How the commissary's offset is made to differ from its card."""


@dataclass(frozen=True)
class Demo:
    """One invented cook."""

    id: str
    title: str
    method: str
    began: datetime
    weight_kg: float
    thickness_m: float
    start_c: float
    true: TruePit
    seed: int
    weather: Weather
    faults: tuple[str, ...] = ()
    notes: tuple[str, ...] = field(default_factory=tuple)


DEMOS = (
    Demo(
        "alder-boat-one", "First packer in the boat", "foil-boat-humid-hold", datetime(2026, 9, 5, 4, 40),
        6.1, 0.086, 3.5, COMMISSARY_OFFSET, 11, Weather(18.0, 0.70, None, "still, dry"), ("lost readings",),
        ("The thin probe's clip came off for a while.",),
    ),
    Demo(
        "alder-boat-two", "Second packer in the boat", "foil-boat-humid-hold", datetime(2026, 9, 12, 4, 35),
        5.7, 0.083, 4.0, COMMISSARY_OFFSET, 12, Weather(16.0, 0.80, None, "drizzle"), ("probe swap",),
        ("Somebody tidied up the cables at lunch.",),
    ),
    Demo(
        "alder-boat-three", "Third packer in the boat", "foil-boat-humid-hold", datetime(2026, 9, 19, 4, 45),
        6.6, 0.091, 3.0, COMMISSARY_OFFSET, 13, Weather(21.0, 0.55, None, "gusts from the west"), ("gap",),
        ("The recorder's battery was changed on the way.",),
    ),
    Demo(
        "alder-paper-one", "Packer in butcher paper", "butcher-paper", datetime(2026, 9, 26, 5, 5),
        5.9, 0.085, 4.0, TruePit(offset_k=-3.0, humidity=0.2), 14, Weather(14.0, 0.85, None, "fog"),
        ("early start",), ("The recorder ran for half an hour before the meat went on.",),
    ),
)  # fmt: skip


def main(folder: Path) -> None:
    """Write card and log of every invented cook into `folder`, over those that are there."""
    book = read_book(METHODS).book
    assert book is not None
    for demo in DEMOS:
        for path in folder.glob(f"{demo.id}.*"):
            path.unlink()
        text, name, blob = card_and_log(demo, book)
        print(write_cook(folder, demo.id, text, (name, blob)))


def card_and_log(demo: Demo, book: Book) -> tuple[str, str, bytes]:
    """The card, the name of the log and its bytes."""
    conditions = Conditions(demo.weight_kg, demo.thickness_m, demo.start_c)
    (made,) = simulated_cooks(book, demo.method, demo.true, count=1, seed=demo.seed, conditions=conditions)
    blob = raw_log(demo, made)
    method = book.methods[demo.method]
    wish = Wish(wrapped=is_wrapped(method, book), wrap_core_c=wrap_core_c(method))
    imported = import_log(blob, wish)
    recording, name = imported.recording, f"{demo.id}.csv"
    after_kg = made.cook.piece.weight_after_kg
    cook = NewCook(
        id=demo.id,
        title=f"{demo.title}, {demo.began.day} {demo.began:%B %Y} (invented)",
        method=demo.method,
        day=demo.began.date(),
        pit=method.pit,
        holder=method.hold.holder if method.hold else None,
        piece=CookedPiece(demo.weight_kg, after_kg, "off the pit", demo.thickness_m, demo.start_c),
        log=replace(imported.recipe, file=name, sha256=checksum(blob)),
        events=recording.events,
        corrections=tuple(remark.text for remark in recording.remarks)
        + tuple(assumption.text for assumption in imported.assumptions),
        notes=("Invented: simulated in shifted conditions, with a recorder's noise and faults.", *demo.notes),
        cooked_by="Pit lead",
        invented=True,
        weather=demo.weather,
    )
    return card_text(cook, book.card.units_first), name, blob


def raw_log(demo: Demo, made: Simulated) -> bytes:
    """The log as its recorder wrote it, faults included."""
    recording = faulty(made.recording, demo.faults, demo.seed)
    stamps = {
        index: (demo.began + timedelta(seconds=float(seconds))).strftime("%Y-%m-%d %H:%M")
        for index, seconds in enumerate(recording.time_s)
    }
    return log_text(recording, stamps).encode()


def faulty(recording: Recording, faults: tuple[str, ...], seed: int) -> Recording:
    """The recording with what went wrong that day."""
    rng = np.random.default_rng(seed)
    minute = recording.time_s / 60.0
    thick, thin, pit = (each.copy() for each in (recording.thick_c, recording.thin_c, recording.pit_c))
    keep = np.ones(minute.size, dtype=bool)
    if "lost readings" in faults:
        thin[(minute > 205) & (minute < 243)] = np.nan
    if "probe swap" in faults:
        at = minute > 415
        thick[at], thin[at] = thin[at].copy(), thick[at].copy()
    if "gap" in faults:
        keep &= ~((minute > 150) & (minute < 172))
    changed = replace(recording, thick_c=thick, thin_c=thin, pit_c=pit)
    if "early start" in faults:
        changed = with_early_start(changed, rng)
        keep = np.ones(changed.time_s.size, dtype=bool)
    return replace(
        changed,
        time_s=changed.time_s[keep],
        thick_c=changed.thick_c[keep],
        thin_c=changed.thin_c[keep],
        pit_c=changed.pit_c[keep],
        humidity=changed.humidity[keep],
    )


def with_early_start(recording: Recording, rng: np.random.Generator) -> Recording:
    """The same cook with the recorder started half an hour before: probes on the counter, the pit heating."""
    count = 30
    counter = 19.0 + 0.3 * rng.standard_normal((2, count))
    heating = recording.pit_c[0] - 6.0 * np.linspace(1.0, 0.0, count) + 0.8 * rng.standard_normal(count)
    opened = np.where(recording.time_s < 2400.0, 32.0 * np.exp(-recording.time_s / 420.0), 0.0)
    return replace(
        recording,
        time_s=np.arange(recording.time_s.size + count) * 60.0,
        thick_c=np.concatenate((counter[0], recording.thick_c)),
        thin_c=np.concatenate((counter[1], recording.thin_c)),
        pit_c=np.concatenate((heating, recording.pit_c - opened)),
        humidity=np.full(recording.time_s.size + count, np.nan),
    )


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else METHODS / "cooks")
