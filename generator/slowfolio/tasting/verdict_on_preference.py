"""Verdicts on liking: which of two, which of several.

The undecided are told, small panels are called indicative, and pairs not named are not called equal.
`verdict` has the form.
"""

from __future__ import annotations

from slowfolio.tasting.bradley_terry import Strengths
from slowfolio.tasting.evidence import Circumstances
from slowfolio.tasting.paired_preference import PreferenceResult
from slowfolio.tasting.panel_size import preference_power, tasters_for_preference
from slowfolio.tasting.verdict import (
    NamedEstimate,
    Settled,
    Verdict,
    clear_winner,
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

ENOUGH_FOR_LIKING = 30
"""Tasters below which liking is called indicative (MEMORY)."""


def preference_verdict(
    result: PreferenceResult, *, products: tuple[str, str], preferring: float, circumstances: Circumstances
) -> Verdict:
    """Return the verdict of a paired preference; `preferring` is the share named beforehand as worth
    knowing."""
    votes = result.votes
    counts = (votes.first, votes.second)
    ahead = 0 if counts[0] >= counts[1] else 1
    undecided = f", {votes.none} had no preference" if votes.none else ""
    told = (
        f"{counts[0]} preferred {products[0]}, {counts[1]} {products[1]}{undecided} "
        f"({chance_text(result.p_value)})"
    )
    limits = result.share_first.interval
    share = f"of those with a view, {percent_range(limits)} prefer {products[0]} ({confidence_text(limits)})"
    cannot = []
    settle = None
    if result.found:
        found = f"{products[ahead]} is preferred: {told}; {share}."
        if result.p_split > result.alpha:
            cannot.append(
                "It rests on those with a view: with the undecided split evenly it would not be shown."
            )
    else:
        found = f"No preference is shown: {told}; {share}."
        cannot.append("No preference shown is not the same as no preference.")
        none = min(votes.none / votes.tasters, 0.9)
        settle = settling(
            votes.tasters,
            power=preference_power(votes.tasters, share=preferring, undecided=none, alpha=result.alpha),
            needed=tasters_for_preference(share=preferring, undecided=none, alpha=result.alpha).stable,
            round_of=2,
            what=f"a preference of {percent(preferring)}",
        )
    if votes.tasters < ENOUGH_FOR_LIKING:
        cannot.append(f"Fewer than {ENOUGH_FOR_LIKING} tasters: indicative of liking, no more.")
    return conclude(
        asked=f"Which is preferred, {products[0]} or {products[1]}?",
        settled=Settled.DIFFERENT if result.found else Settled.OPEN,
        found=found,
        figures=(
            NamedEstimate(f"share who prefer {products[0]}, of those with a view", result.share_first),
            NamedEstimate("share with no preference", result.share_none),
        ),
        cannot_say=cannot,
        circumstances=circumstances,
        settle=settle,
        winner=products[ahead] if result.found else "",
    )


def strengths_verdict(result: Strengths, *, circumstances: Circumstances, alpha: float = 0.05) -> Verdict:
    """Return the verdict of preferences in pairs."""
    apart = [pair for pair in result.pairs if pair.p_adjusted <= alpha]
    order = sorted(zip(result.log_strengths, result.products, strict=True), reverse=True)
    ahead = [(one.first, one.second) if one.log_odds.value > 0 else (one.second, one.first) for one in apart]
    lines = [
        f"{first} is preferred to {second} ({chance_text(one.p_adjusted)})"
        for one, (first, second) in zip(apart, ahead, strict=True)
    ]
    found = "; ".join(lines) if lines else "No product is shown to be preferred to another"
    cannot = [] if len(apart) == len(result.pairs) else ["Pairs not named are not shown to differ."]
    if result.held:
        cannot.append(
            "The votes alone do not fix the strengths; a prior holds them, so read them as a leaning."
        )
    if result.degrees and result.p_fit <= alpha:
        cannot.append("One line from best to least does not fit these votes: preferences run in a circle.")
    return conclude(
        asked=f"Which is preferred among {listed(tuple(name for _, name in order))}?",
        settled=Settled.DIFFERENT if apart else Settled.OPEN,
        found=f"{found}, from {result.votes} votes of {tasters_text(result.tasters)}, corrected for pairs.",
        figures=tuple(
            NamedEstimate(f"share who prefer {one.first} to {one.second}", one.preferred)
            for one in result.pairs
        ),
        cannot_say=cannot,
        circumstances=circumstances,
        winner=clear_winner(result.products, ahead),
    )
