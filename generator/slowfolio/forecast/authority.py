"""The rules a book works under: its authority's, tightened by the limits of the house.

`rules_of` is what every computation asks for a floor or a limit; `house_faults` says which limit of a book is
looser than its authority's. The figures themselves live in `slowfolio.safety`.
"""

from collections.abc import Iterator
from functools import lru_cache

from slowfolio.book.findings import Fault
from slowfolio.book.model import BookCard, HouseLimits
from slowfolio.safety.history import SafetyInputError
from slowfolio.safety.house import HouseRules, stricter
from slowfolio.safety.profiles import Profile, profile

RULE_OF_KEY = {
    "hot_hold": ("hot_hold_min_c", "hot_hold_c"),
    "hot_hold_roasts": ("roast_hold_min_c", "hot_hold_roasts_c"),
    "below_hot_hold": ("below_floor_at_most_s", "below_hot_hold_s"),
    "cold_hold": ("cold_max_c", "cold_hold_c"),
    "reheat": ("reheat_c", "reheat_c"),
    "reheat_within": ("reheat_within_s", "reheat_within_s"),
    "cooling": ("cool_within_s", "cooling_s"),
}
"""For each key of `house_limits`: the rule it tightens, and the field of the card it is read into."""


def rules_of(card: BookCard) -> Profile:
    """The authority's rules with the limits of the house. Raises SafetyInputError where one is looser."""
    return tightened(card.authority, card.house_limits)


@lru_cache(maxsize=64)
def tightened(authority: str, limits: HouseLimits | None) -> Profile:
    """An authority's rules with these limits on top."""
    base = profile(authority)
    return base if limits is None else stricter(base, house_rules(limits, *RULE_OF_KEY))


def house_rules(limits: HouseLimits, *keys: str) -> HouseRules:
    """The limits written under these keys, as `safety` takes them."""
    pairs = (RULE_OF_KEY[key] for key in keys)
    return HouseRules(**{rule: getattr(limits, field) for rule, field in pairs})


def house_faults(card: BookCard) -> Iterator[Fault]:
    """Yield a fault at every limit of the house that its authority does not allow."""
    if card.house_limits is None:
        return
    base = profile(card.authority)
    for key in RULE_OF_KEY:
        try:
            stricter(base, house_rules(card.house_limits, key))
        except SafetyInputError as error:
            message, _, advice = str(error).rpartition(": ")
            yield Fault("house-limit-looser", ("house_limits", key), message, advice)
