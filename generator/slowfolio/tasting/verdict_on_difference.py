"""Verdicts on right-or-wrong tastings: can tasters tell, and which has more.

A difference not found is never called sameness; sameness has a test and a size of its own. `verdict` has
the form.
"""

from __future__ import annotations

from slowfolio.tasting.binomial import clopper_pearson, lower_tail
from slowfolio.tasting.discrimination import (
    difference_power,
    difference_test,
    similarity_power,
    similarity_test,
    tasters_for_difference,
    tasters_for_similarity,
)
from slowfolio.tasting.dprime import d_prime
from slowfolio.tasting.errors import require_inside
from slowfolio.tasting.evidence import Circumstances
from slowfolio.tasting.interval import Estimate
from slowfolio.tasting.orders import PATTERNS
from slowfolio.tasting.protocols import Protocol, Sides, guessing
from slowfolio.tasting.replicated import ReplicatedResult
from slowfolio.tasting.verdict import (
    NamedEstimate,
    Settled,
    Settling,
    Verdict,
    conclude,
    settling,
)
from slowfolio.tasting.wording import (
    chance_text,
    confidence_text,
    listed,
    percent,
    percent_range,
    tasters_text,
)

NOT_HOW_MUCH = "It does not say how much more, nor which is liked better."

TOO_FEW = 0.01
"""Chance below which fewer right answers than guessing gives are doubted (CALIBRATED)."""


def difference_verdict(
    protocol: Protocol,
    correct: int,
    tasters: int,
    *,
    products: tuple[str, str],
    telling: float,
    circumstances: Circumstances,
    alpha: float = 0.05,
) -> Verdict:
    """Return the verdict of a right-or-wrong tasting, each taster once.

    `telling` is the share of eaters who can tell that was named beforehand as worth knowing. Different: the
    exact test finds a difference. Alike: it does not, and the similarity test shows that fewer than
    `telling` can tell.
    """
    difference = difference_test(protocol, correct, tasters, alpha=alpha)
    similarity = similarity_test(protocol, correct, tasters, limit=telling, alpha=alpha)
    distance = d_prime(protocol, correct, tasters)
    expected = tasters * guessing(protocol)
    counts = (
        f"{correct} of {tasters_text(tasters)} were right in a {protocol}, where guessing gives {expected:g} "
        f"({chance_text(difference.p_value)})"
    )
    limits = difference.telling.interval
    who = f"{percent_range(limits)} of eaters can tell ({confidence_text(limits)})"
    pair = listed(products)
    settled, settle = Settled.OPEN, None
    if difference.found:
        settled = Settled.DIFFERENT
        found = f"{pair} can be told apart: {counts}; {who}."
    elif similarity.shown:
        settled = Settled.ALIKE
        found = f"Fewer than {percent(telling)} of eaters can tell {pair} apart: {counts}; {who}."
    else:
        found = f"No difference between {pair} is shown, nor that there is none: {counts}; {who}."
        power = min(
            difference_power(protocol, tasters, telling=telling, alpha=alpha),
            similarity_power(protocol, tasters, limit=telling, alpha=alpha),
        )
        settle = settling(
            tasters,
            power=power,
            needed=tasters_settling_either_way(protocol, telling=telling, alpha=alpha),
            round_of=len(PATTERNS[protocol]),
            what=f"whether {percent(telling)} of eaters can tell, one way or the other",
        )
    cannot = []
    if settled is Settled.DIFFERENT:
        cannot.append("It does not say which is better, nor what the difference is.")
        if similarity.shown:
            cannot.append(f"The difference is small: fewer than {percent(telling)} of eaters can tell.")
    if settled is Settled.OPEN:
        cannot.append("A difference not found is not the same as no difference.")
    if lower_tail(correct, tasters, guessing(protocol)) <= TOO_FEW:
        cannot.append(
            "Fewer were right than guessing gives: look whether the sheets were marked the wrong way."
        )
    return conclude(
        asked=f"Can tasters tell {pair} apart?",
        settled=settled,
        found=found,
        figures=(
            NamedEstimate("share of eaters who can tell", difference.telling),
            NamedEstimate("d-prime", distance.estimate),
        ),
        cannot_say=cannot,
        circumstances=circumstances,
        settle=settle,
    )


def tasters_settling_either_way(protocol: Protocol, *, telling: float, alpha: float = 0.05) -> int:
    """Return a panel with a power of 0.8 both to find `telling` and to show less where nobody can tell."""
    require_inside("the share who can tell", telling)
    return max(
        tasters_for_difference(protocol, telling=telling, alpha=alpha).stable,
        tasters_for_similarity(protocol, limit=telling, alpha=alpha).stable,
    )


def more_verdict(
    attribute: str,
    counts: tuple[int, int],
    *,
    products: tuple[str, str],
    telling: float,
    circumstances: Circumstances,
    alpha: float = 0.05,
) -> Verdict:
    """Return the verdict of a two-sided paired comparison: how many tasters found each to have more.

    `telling` is the share who can tell, named beforehand.
    """
    tasters = sum(counts)
    ahead = 0 if counts[0] >= counts[1] else 1
    result = difference_test(Protocol.PAIRED_COMPARISON, max(counts), tasters, alpha=alpha, sides=Sides.TWO)
    winner, other = products[ahead], products[1 - ahead]
    share = Estimate(max(counts) / tasters, clopper_pearson(max(counts), tasters))
    count = f"{max(counts)} of {tasters_text(tasters)} against {min(counts)} ({chance_text(result.p_value)})"
    settle = None
    if result.found:
        found = f"{winner} has more {attribute} than {other}: {count}."
    else:
        found = f"Neither is shown to have more {attribute}: {count}."
        settle = settling_more(tasters, telling=telling, alpha=alpha, sides=Sides.TWO)
    cannot = [NOT_HOW_MUCH]
    return conclude(
        asked=f"Which has more {attribute}, {products[0]} or {products[1]}?",
        settled=Settled.DIFFERENT if result.found else Settled.OPEN,
        found=found,
        figures=(NamedEstimate(f"share who found {winner} to have more", share),),
        cannot_say=cannot,
        circumstances=circumstances,
        settle=settle,
        winner=winner if result.found else "",
    )


def expected_more_verdict(
    attribute: str,
    counts: tuple[int, int],
    *,
    products: tuple[str, str],
    telling: float,
    circumstances: Circumstances,
    alpha: float = 0.05,
) -> Verdict:
    """Return the verdict of a paired comparison in which the second product was said to have more beforehand.

    One-sided: a majority for the first product is never taken as a finding, however large.
    """
    tasters = sum(counts)
    result = difference_test(Protocol.PAIRED_COMPARISON, counts[1], tasters, alpha=alpha, sides=Sides.ONE)
    other, expected = products
    share = Estimate(counts[1] / tasters, clopper_pearson(counts[1], tasters))
    count = f"{counts[1]} of {tasters_text(tasters)} ({chance_text(result.p_value)}, one-sided)"
    settle = None
    cannot = [NOT_HOW_MUCH]
    if result.found:
        found = f"{expected} has more {attribute} than {other}, as was said beforehand: {count}."
    else:
        found = f"{expected} is not shown to have more {attribute} than {other}: {count}."
        cannot.append(f"It cannot say whether {other} has more: that was not asked.")
        settle = settling_more(tasters, telling=telling, alpha=alpha, sides=Sides.ONE)
    return conclude(
        asked=f"Has {expected} more {attribute} than {other}?",
        settled=Settled.DIFFERENT if result.found else Settled.OPEN,
        found=found,
        figures=(NamedEstimate(f"share who found {expected} to have more", share),),
        cannot_say=cannot,
        circumstances=circumstances,
        settle=settle,
        winner=expected if result.found else "",
    )


def settling_more(tasters: int, *, telling: float, alpha: float, sides: Sides) -> Settling:
    """What would settle a paired comparison that found nothing."""
    paired = Protocol.PAIRED_COMPARISON
    return settling(
        tasters,
        power=difference_power(paired, tasters, telling=telling, alpha=alpha, sides=sides),
        needed=tasters_for_difference(paired, telling=telling, alpha=alpha, sides=sides).stable,
        round_of=len(PATTERNS[paired]),
        what=f"a difference that {percent(telling)} of eaters can tell",
    )


def replicated_verdict(
    result: ReplicatedResult, *, products: tuple[str, str], circumstances: Circumstances
) -> Verdict:
    """Return the verdict of a tasting in which tasters answered several sets each."""
    pair = listed(products)
    counts = (
        f"{result.right} of {result.answers} answers by {tasters_text(result.tasters)} were right "
        f"({chance_text(result.p_value)} if nobody could tell)"
    )
    limits = result.share_right.interval
    share = f"tasters like these are right {percent_range(limits)} of the time ({confidence_text(limits)})"
    cannot = [f"The {result.answers} answers are not {result.answers} tasters; the interval allows for that."]
    if result.found:
        found = f"Some tasters can tell {pair} apart: {counts}; {share}."
        cannot.append("It does not say which is better, nor what the difference is.")
    else:
        found = f"No difference between {pair} is shown: {counts}; {share}."
        cannot.append("A difference not found is not the same as no difference.")
    if result.fit.p_value <= result.alpha:
        cannot.append("Tasters differ in how well they tell, so an average eater may not be found here.")
    return conclude(
        asked=f"Can tasters tell {pair} apart?",
        settled=Settled.DIFFERENT if result.found else Settled.OPEN,
        found=found,
        figures=(NamedEstimate("share of right answers", result.share_right),),
        cannot_say=cannot,
        circumstances=circumstances,
        settle=None
        if result.found
        else Settling("More sets for the same tasters help little; ask more tasters."),
    )
