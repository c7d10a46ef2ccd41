"""Running a method: inputs from the cards, members from the seed, one call of the engine.

Called by `enrich` for every method of the book and by the `simulate` command for one under stated conditions.
"""

from slowfolio.book import model as cards
from slowfolio.forecast.inputs import AS_WRITTEN, Conditions, joint_of, schedule_of
from slowfolio.physics.cook import STEP_S, Progress, in_silence, simulate
from slowfolio.physics.ensemble import sample_members
from slowfolio.physics.results import CookResult


def run_method(
    method: cards.Method,
    book: cards.Book,
    *,
    members: int,
    seed: int,
    conditions: Conditions = AS_WRITTEN,
    step_s: float = STEP_S,
    progress: Progress = in_silence,
) -> CookResult:
    """Cook, vent and hold a method's piece with `members` sampled inputs; `progress` hears the share done.

    Raises PhysicsInputError where the cards describe something no kitchen can have.
    """
    joint = joint_of(method, book, conditions)
    schedule = schedule_of(method, book, conditions)
    return simulate(joint, schedule, sample_members(members, seed), step_s=step_s, progress=progress)
