"""A simulated cook against the rules of the book's authority.

Hands the engine's courses to `slowfolio.safety`, where the rules and their wording live, and says where on
the card each verdict belongs.
"""

import numpy as np

from slowfolio.book.model import Book, Key, Method
from slowfolio.forecast.authority import rules_of
from slowfolio.physics.results import CookResult
from slowfolio.safety.assess import Course, assess_cook, course
from slowfolio.safety.piece import Piece, species_of
from slowfolio.safety.verdict import Topic, Verdict

HOUR_S = 3600.0


def verdicts_of(cook: CookResult, method: Method, book: Book) -> tuple[Verdict, ...]:
    """Every rule that applies to the cook, the rest and the hold, at the coldest point of all members."""
    species = species_of(book.cuts[method.cut].species)
    return assess_cook(
        rules_of(book.card),
        Piece(species, cook.joint.weight_kg),
        course_of(cook),
        oven_c=min(stage.pit_temp_c for stage in method.stages),
        room_c=book.card.room_temp_c,
    )


def course_of(cook: CookResult) -> Course:
    """The engine's courses as the rules read them: members first, seconds."""
    line, ends = cook.timeline, cook.ends
    kinds = [stage.kind.value for stage in cook.schedule.stages]
    held = "hold" in kinds
    into_hold = ends.time_h[kinds.index("hold") - 1] * HOUR_S if held else None
    last_s = float(line.time_h[-1]) * HOUR_S
    return course(
        line.time_h * HOUR_S,
        core_c=line.core_c.T,
        coldest_c=line.coldest_c.T,
        surface_c=np.minimum(line.surface_upper_c, line.surface_lower_c).T,
        rest_start_s=cook.finish_h * HOUR_S if held else None,
        hold_start_s=into_hold,
        hold_end_s=np.minimum(ends.time_h[-1] * HOUR_S, last_s) if held else None,
    )


def place_of(verdict: Verdict, method: Method) -> tuple[Key, ...]:
    """The keys of the card's field that a verdict is about."""
    if verdict.topic in (Topic.HOT_HOLD, Topic.GROWTH):
        return ("hold", "air_temperature")
    if verdict.topic is Topic.COOKING:
        return ("stages", len(method.stages) - 1, "until")
    return ("stages", 0, "pit_temperature")
