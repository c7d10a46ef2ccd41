"""Recorded cooks for the tests of the site: made-up results of made-up logs for the invented book's methods.

One went as forecast, one in a hotter pit, one log could not be compared.
"""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date

import numpy as np

from slowfolio.book.model import Book, Cook, CookedPiece, CookEvent, LogRecipe, Origin, Weather
from slowfolio.cooklog.against import Explanation, Window
from slowfolio.enrich.cooks import CookCourse, ForecastCourse, RecordedCook

HOUR = 3600.0
HOT, PLAIN, LOOSE = "hot-day", "plain-day", "no-finish"


def cook(name: str, day: date, *, method: str = "boat") -> Cook:
    """The card of one made-up cook."""
    events = [
        ("meat on", 0.0),
        ("door", 1.5),
        ("wrap", 6.0),
        ("finish", 11.2),
        ("vent", 11.2),
        ("hold", 12.4),
    ]
    return Cook(
        origin=Origin(f"cooks/{name}.yaml", "0" * 64, {}),
        id=name,
        title=f"Cook of the {name.replace('-', ' ')} & <more>",
        method=method,
        date=day,
        pit="offset",
        holder="cabinet",
        cooked_by="Pit lead",
        invented=True,
        piece=CookedPiece(6.0, 3.5, "off the pit", 0.085, 3.5),
        weather=Weather(17.0, 0.7, None, "drizzle"),
        log=LogRecipe(
            f"{name}.csv", "0" * 64, "table", "utf-8", "comma", "point", 1, "date and clock", "", "s", "°F",
            {"time": "Time", "pit": "Grate", "thick": "Probe 1"},
        ),
        events=tuple(CookEvent(what, hour * HOUR, "log") for what, hour in events),
        corrections=("3 h 20 min: the thick and thin probes change places; changed back",),
        notes=("Two logs of oak more than usual.",),
    )  # fmt: skip


def course(pace: float) -> CookCourse:
    """A rise, a stall, a rest and a hold; the thin probe is lost for a while."""
    hours = np.linspace(0.0, 22.0, 111)
    rise = 3.5 + 66 * (1 - np.exp(-hours / (2.2 * pace))) + 27 / (1 + np.exp(-(hours - 8.8 * pace) / 0.8))
    thick = np.where(hours < 11.2, rise, 65.6 + 28.0 * np.exp(-(hours - 11.2) / 1.6))
    air = np.where(hours < 11.2, 130.0, np.where(hours < 12.4, 21.0, 66.0))
    thin = [
        None if 3.0 < hour < 4.0 else round(value + 1.5, 1) for hour, value in zip(hours, thick, strict=True)
    ]
    return CookCourse(
        tuple(np.round(hours, 3).tolist()),
        tuple(np.round(air, 1).tolist()),
        tuple(np.round(thick, 1).tolist()),
        tuple(thin),
    )


def forecast() -> ForecastCourse:
    """The same, somewhat slower, with a band."""
    slow = course(1.1)
    middle = np.array([value or 0.0 for value in slow.thick_c])
    return ForecastCourse(
        slow.time_h, tuple((middle - 4).tolist()), tuple(middle.tolist()), tuple((middle + 4).tolist())
    )


def results() -> Mapping[str, RecordedCook]:
    """What the build would have found."""
    windows = (
        Window("wrapped", "duration", 6.0 * HOUR, 5.5 * HOUR, 6.2 * HOUR, 7.1 * HOUR),
        Window("off the pit", "duration", 11.2 * HOUR, 11.6 * HOUR, 12.4 * HOUR, 13.4 * HOUR),
        Window("core off the pit", "temperature", 95.0, 92.0, 94.5, 97.0),
        Window("yield", "fraction", 0.583, 0.55, 0.59, 0.62),
    )
    hot = RecordedCook(
        cook=HOT,
        method="boat",
        readings=1310,
        hours=22.0,
        course=course(1.0),
        measured_yield=0.583,
        forecast=forecast(),
        windows=windows,
        explanations=(
            Explanation("offset_k", "the pit ran hotter than its dial", 8.0, 1.2, 0.82),
            Explanation("thickness", "a thinner piece than said", -0.07, -2.3, 0.41),
            Explanation("humidity", "damper air in the pit", 0.4, 1.1, 0.02),
        ),
        together=(Explanation("offset_k", "the pit ran hotter than its dial", 7.0, 1.0, 0.7),),
        misfit=2.4,
        core_rms_k=5.1,
        engine="fixture engine 0",
        members=48,
    )
    inside = tuple(replace(each, measured=each.middle) for each in windows)
    plain = replace(hot, cook=PLAIN, windows=inside, as_forecast=True, misfit=0.9, core_rms_k=0.8)
    loose = RecordedCook(
        LOOSE, "paper", 300, 5.0, course(1.0), None, why_not="the card does not say when the piece came off"
    )
    return {each.cook: each for each in (hot, plain, loose)}


def with_cooks(book: Book) -> Book:
    """The book with the cooks."""
    cards = (
        cook(HOT, date(2026, 9, 5)),
        cook(PLAIN, date(2026, 9, 12)),
        cook(LOOSE, date(2026, 9, 19), method="paper"),
    )
    return replace(book, cooks={card.id: card for card in cards})
