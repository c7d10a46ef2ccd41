"""What a cook asks of a tasting, laid out: choice, plan, sheets and the carving of the parts.

Joins the rooms of `slowfolio.tasting` in the order in which a design is made. Called by the command line.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from slowfolio.enrich.tasting_bridge import QUESTIONS, attribute_and_part
from slowfolio.tasting.carving import CarvingPlan, Piece, carving_plan
from slowfolio.tasting.discrimination import ALPHA, POWER
from slowfolio.tasting.errors import TastingInputError
from slowfolio.tasting.lots import Lots
from slowfolio.tasting.plan import Effect, TastingPlan, default_effect, lay_out, panel_size
from slowfolio.tasting.procedure import Procedure, choice_of
from slowfolio.tasting.protocols import Sides
from slowfolio.tasting.question import MOST_PIECES, CarryOver, Choice, Question, choose
from slowfolio.tasting.sheets import ATTRIBUTES, LIKING, TasterSheet, taster_sheets

SCORED = ("bark", "rendering", "juiciness of flat", "juiciness of point", "tenderness", "smoke")
"""What is scored where the cook names nothing."""


@dataclass(frozen=True, slots=True)
class Sought:
    """The smallest difference worth knowing; None takes the usual one."""

    telling: float | None = None
    preferring: float | None = None
    points: float | None = None
    spread: float | None = None
    d_prime: float | None = None

    def effect(self, question: Question) -> Effect:
        """The same with the usual values filled in."""
        usual = default_effect(question)
        return Effect(
            telling=usual.telling if self.telling is None else self.telling,
            preferring=usual.preferring if self.preferring is None else self.preferring,
            score=usual.score if self.points is None else self.points,
            score_spread=usual.score_spread if self.spread is None else self.spread,
            d_prime=usual.d_prime if self.d_prime is None else self.d_prime,
        )


@dataclass(frozen=True, slots=True)
class Part:
    """The part that is carved, of every product alike."""

    name: str
    length_m: float
    discard_m: float
    slice_m: float
    across: int


@dataclass(frozen=True, slots=True)
class Wanted:
    """A tasting as it is asked for. `question` and `test` are in the words of cards; an empty test is chosen.

    In a comparison with a direction (`sides` one) the last product is said to have more. `tasters` None takes
    as many as `power` asks for.
    """

    question: str
    products: tuple[str, ...]
    seed: int
    test: str = ""
    attributes: tuple[str, ...] = ()
    sides: Sides = Sides.TWO
    tasters: int | None = None
    power: float = POWER
    alpha: float = ALPHA
    sought: Sought = Sought()
    carry_over: CarryOver = CarryOver.SLIGHT
    pieces: int = MOST_PIECES
    part: Part | None = None


@dataclass(frozen=True, slots=True)
class Design:
    """A tasting ready to print. `carving` is None where no length of the parts is known."""

    plan: TastingPlan
    sheets: tuple[TasterSheet, ...]
    carving: CarvingPlan | None


def design_tasting(wanted: Wanted) -> Design:
    """Lay out a tasting. Raises TastingInputError that says what to ask instead."""
    _check_attributes(wanted)
    question = QUESTIONS[wanted.question]
    choice = _choice(wanted, question)
    effect = wanted.sought.effect(question)
    tasters = wanted.tasters
    if tasters is None:
        tasters = panel_size(choice, effect, alpha=wanted.alpha, power=wanted.power).advised
    plan = lay_out(choice, wanted.products, tasters, seed=wanted.seed, effect=effect, alpha=wanted.alpha)
    scored = {attribute_and_part(name) for name in wanted.attributes or SCORED}
    sheets = taster_sheets(
        choice,
        plan.servings,
        attributes=[one for one in (*ATTRIBUTES, LIKING) if (one.name, one.part) in scored],
        named=wanted.attributes[0] if question is Question.MORE else "",
    )
    carving = None if wanted.part is None else _carving(plan, wanted.part, wanted.products)
    return Design(plan, sheets, carving)


def _choice(wanted: Wanted, question: Question) -> Choice:
    count = len(wanted.products)
    if wanted.test:
        procedure = Procedure(wanted.test)
        return choice_of(procedure, question, count, pieces=wanted.pieces, sides=wanted.sides)
    return choose(question, count, carry_over=wanted.carry_over, pieces=wanted.pieces, sides=wanted.sides)


def _check_attributes(wanted: Wanted) -> None:
    if wanted.question == "more" and len(wanted.attributes) != 1:
        raise TastingInputError("which has more of what? name one attribute, such as smoke")
    if wanted.question not in ("more", "how much") and wanted.attributes:
        raise TastingInputError(
            f'"{QUESTIONS[wanted.question]}" is asked without an attribute: leave it out, or ask which has '
            "more of it, or how much they differ in it"
        )
    if wanted.sides is Sides.ONE and wanted.question != "more":
        raise TastingInputError("only the question which has more can have a direction named beforehand")


def _carving(plan: TastingPlan, part: Part, products: Sequence[str]) -> CarvingPlan:
    pieces = [
        Piece(name, part.name, "thin end", part.length_m, part.discard_m, part.slice_m, part.across)
        for name in products
    ]
    return carving_plan(plan.servings, pieces, Lots(plan.seed))
