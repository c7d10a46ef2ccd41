"""An invented history of the invented book: a change whose difference is known, one that waits, the first."""

from dataclasses import replace
from datetime import UTC, date, datetime

import site_fixture
from slowfolio.changes.cards import FieldChange
from slowfolio.changes.effect import effect_of
from slowfolio.changes.history import History, Recorded, TouchedMethod
from slowfolio.changes.outcome import outcome_of
from slowfolio.enrich.results import MethodResult

TODAY = date(2028, 1, 10)
"""A day on which reviews of the invented book are overdue."""
HOTTER = FieldChange("method boat", "stages[1].pit_temperature", "250 °F", "275 °F")
SEALED = FieldChange("wrap boat", "bottom.emissivity", "20 %", "35 %")


def result(finish_h: float) -> MethodResult:
    """The invented result of one method, done after so many hours."""
    some, middle = site_fixture.results()["boat"], finish_h * 3600.0
    return replace(some, pull=replace(some.pull, value=middle, low=middle - 1800.0, high=middle + 1800.0))


def history() -> History:
    """Three changes, newest first."""
    title = site_fixture.book().methods["boat"].title
    effect = effect_of(outcome_of(result(14.0), None), outcome_of(result(11.5), None))
    hotter = TouchedMethod("boat", title, "touched", (HOTTER,))
    sealed = TouchedMethod("boat", title, "touched", (SEALED,))
    return History(
        (
            recorded("c", "Hotter, so that it is done by noon", (hotter,), effects={"boat": effect}),
            recorded("b", "<script>alert(1)</script> & a boat that shines less", (sealed,)),
            recorded("a", "The first methods", (), parent=None),
        ),
        "This is a shallow clone: older changes were not fetched; git fetch --unshallow gets them.",
    )


def recorded(letter: str, subject: str, methods: tuple[TouchedMethod, ...], **more: object) -> Recorded:
    """One change by the invented pit lead."""
    when = datetime(2027, 12, ord(letter) - ord("a") + 1, 8, 0, tzinfo=UTC)
    plain = Recorded(letter * 40, when, subject, "0" * 40, methods, {})
    return replace(plain, **more)  # type: ignore[arg-type]
