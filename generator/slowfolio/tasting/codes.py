"""Three-digit codes that tell a taster nothing.

No code comes twice in a tasting, and none reads as a rank, a grade, a temperature or a well-known number.
Called by `plan`.
"""

from __future__ import annotations

from collections.abc import Iterable

from slowfolio.tasting.errors import TastingInputError, require_count
from slowfolio.tasting.lots import Lots

TELLING = frozenset({911, 112, 999, 180, 195, 203, 205, 225, 250, 275})
"""Numbers a cook reads something into: emergency calls, pit and finish temperatures in °F (common
practice)."""


def usable_codes(avoid: Iterable[int] = ()) -> tuple[int, ...]:
    """Return the three-digit numbers that tell nothing, without those in `avoid`.

    Left out: repeated digits (they look special), runs such as 123 or 987, and `TELLING`. `avoid` is for
    numbers that mean something in this tasting: set temperatures, weights, hours.
    """
    shunned = TELLING | set(avoid)
    return tuple(code for code in range(100, 1000) if code not in shunned and not _looks_special(code))


def blind_codes(count: int, lots: Lots, *, avoid: Iterable[int] = ()) -> tuple[str, ...]:
    """Return `count` different codes in random order.

    Raises TastingInputError when there are not enough codes for one tasting.
    """
    pool = usable_codes(avoid)
    require_count("the number of codes", count, low=1)
    if count > len(pool):
        raise TastingInputError(
            f"{count} pieces need {count} different codes but only {len(pool)} tell nothing: split the "
            "tasting into sessions with a seed each"
        )
    return tuple(str(code) for code in lots.shuffled(pool)[:count])


def _looks_special(code: int) -> bool:
    hundreds, tens, ones = code // 100, code // 10 % 10, code % 10
    repeated = len({hundreds, tens, ones}) < 3
    run = tens - hundreds == ones - tens and abs(tens - hundreds) == 1
    return repeated or run
