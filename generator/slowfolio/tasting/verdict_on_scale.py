"""Verdicts on rankings and scores: in what order, and how much on which attribute.

Pairs of a ranking are named only where the ranking as a whole is not chance. `verdict` has the form.
"""

from __future__ import annotations

from collections.abc import Sequence

from slowfolio.tasting.evidence import Circumstances
from slowfolio.tasting.orders import williams_orders
from slowfolio.tasting.panel_size import ranking_power, score_power, tasters_for_ranking, tasters_for_scores
from slowfolio.tasting.ranking import FriedmanResult, PageResult, RankedPair
from slowfolio.tasting.scores import PairedDifference
from slowfolio.tasting.verdict import (
    NamedEstimate,
    Settled,
    Settling,
    Verdict,
    clear_winner,
    conclude,
    settling,
)
from slowfolio.tasting.wording import chance_text, listed, number_range, points_text, tasters_text


def ranking_verdict(
    overall: FriedmanResult,
    pairs: Sequence[RankedPair],
    *,
    tasters: int,
    d_prime_named: float,
    circumstances: Circumstances,
    alpha: float = 0.05,
) -> Verdict:
    """Return the verdict of a ranking; `d_prime_named` is the distance from first to last worth knowing."""
    products = tuple(dict.fromkeys(name for pair in pairs for name in (pair.first, pair.second)))
    differ = overall.p_value <= alpha
    apart = [pair for pair in pairs if pair.p_adjusted <= alpha]
    ahead = [(p.first, p.second) if p.difference < 0 else (p.second, p.first) for p in apart]
    settle: Settling | None = None
    cannot = []
    if differ:
        lines = "; ".join(f"{first} before {second}" for first, second in ahead)
        found = f"The products are not ranked alike ({chance_text(overall.p_value)})"
        found += f": {lines}." if lines else ", but no single pair stands out."
        if len(apart) < len(pairs):
            cannot.append("Pairs not named are not shown to differ.")
    else:
        found = f"No order is shown among {listed(products)} ({chance_text(overall.p_value)})."
        cannot.append("No order shown is not the same as no difference.")
        count = len(products)
        settle = settling(
            tasters,
            power=ranking_power(max(tasters, 2), products=count, d_prime=d_prime_named, alpha=alpha),
            needed=tasters_for_ranking(products=count, d_prime=d_prime_named, alpha=alpha).stable,
            round_of=len(williams_orders(count)),
            what="an order of the spread named",
        )
    cannot.append("Ranks do not say how far apart the products are.")
    return conclude(
        asked=f"In what order do {listed(products)} stand?",
        settled=Settled.DIFFERENT if differ else Settled.OPEN,
        found=found,
        figures=tuple(
            NamedEstimate(f"share who put {one.first} before {one.second}", one.ahead) for one in pairs
        ),
        cannot_say=cannot,
        circumstances=circumstances,
        settle=settle,
        winner=clear_winner(products, ahead),
    )


def order_verdict(
    result: PageResult, predicted: Sequence[str], *, circumstances: Circumstances, alpha: float = 0.05
) -> Verdict:
    """Return the verdict on the order that was named before a ranking, first to last."""
    order = ", then ".join(predicted)
    told = f"L = {result.statistic:g}, {chance_text(result.p_value)}"
    if result.p_value <= alpha:
        found = f"The ranks run with the order named beforehand, {order}: {told}."
        cannot = ["It does not say that each is ahead of the next, only that the ranks run that way."]
    else:
        found = f"The order named beforehand, {order}, is not shown: {told}."
        cannot = ["An order not shown is not the same as another order."]
    return conclude(
        asked=f"Do they stand in the order named beforehand: {order}?",
        settled=Settled.DIFFERENT if result.p_value <= alpha else Settled.OPEN,
        found=found,
        figures=(),
        cannot_say=cannot,
        circumstances=circumstances,
    )


def score_verdict(
    result: PairedDifference,
    *,
    difference: float,
    spread: float,
    circumstances: Circumstances,
    alpha: float = 0.05,
) -> Verdict:
    """Return the verdict on one attribute of one pair.

    `difference` in points and the `spread` of tasters' differences were named beforehand. Alike: the whole
    interval for all comparisons together lies within plus or minus `difference`. Power and size allow for the
    comparisons asked together.
    """
    what = f"{result.attribute} of the {result.part}" if result.part else result.attribute
    limits = result.together
    found_apart = result.p_adjusted <= alpha
    alike = not found_apart and -difference < limits.low and limits.high < difference
    ahead, behind = (
        (result.first, result.second) if result.difference.value > 0 else (result.second, result.first)
    )
    over = f" over the {result.family} comparisons asked" if result.family > 1 else ""
    told = (
        f"{result.first} less {result.second} is {result.difference.value:+.1f} points, "
        f"{number_range(limits)}, {chance_text(result.p_adjusted)}{over}, "
        f"{tasters_text(result.tasters)}"
    )
    settle = None
    cannot = ["A point is a taster's own measure; it is not a distance of the meat."]
    settled = Settled.OPEN
    if found_apart:
        settled = Settled.DIFFERENT
        found = f"{ahead} scores higher on {what} than {behind}: {told}."
    elif alike:
        settled = Settled.ALIKE
        found = f"On {what} they lie within {points_text(difference)} of each other: {told}."
    else:
        found = f"No difference in {what} is shown: {told}."
        cannot.append("A difference not found is not the same as no difference.")
        if not result.difference.interval.holds(0.0):
            cannot.append("Asked alone it would stand out; among all that was asked it may be chance.")
        settle = settling(
            result.tasters,
            power=score_power(
                result.tasters, difference=difference, spread=spread, alpha=alpha / result.family
            ),
            needed=tasters_for_scores(
                difference=difference, spread=spread, alpha=alpha / result.family
            ).stable,
            round_of=2,
            what=f"a difference of {points_text(difference)}",
        )
    return conclude(
        asked=f"How much do {result.first} and {result.second} differ in {what}?",
        settled=settled,
        found=found,
        figures=(
            NamedEstimate(f"{what}: {result.first} less {result.second}, points", result.difference),
            NamedEstimate(f"share who scored {result.first} higher, of those who told", result.higher),
        ),
        cannot_say=cannot,
        circumstances=circumstances,
        settle=settle,
        winner=ahead if found_apart else "",
    )
