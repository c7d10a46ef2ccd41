"""What the Plan page plans the invented methods with: made-up cooks from a seed, no engine.

Smooth spreads chosen to look like a cook; none stands for a real piece.
"""

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

import site_fixture
from slowfolio.book.model import Method
from slowfolio.enrich.results import MethodResult
from slowfolio.forecast.planning.basis import AtWeight, PlanBasis
from slowfolio.forecast.planning.basis_of import KNOTS
from slowfolio.forecast.planning.remedies import Remedy, When
from slowfolio.physics.results import Spread
from slowfolio.provenance import Provenance
from slowfolio.safety.profiles import profile

MEMBERS = 64
HOURS = {"boat": (4.0, 12.5, 14.0), "paper": (4.0, 11.3), "bare": (4.0, 15.5)}
"""Ends of the stages, and of the vent where there is one."""

COOLS_S = {"boat": None, "paper": 3.2 * 3600.0, "bare": None}
"""When the early tenth gets too cool: shorter than the card's longest hold in the one in paper."""


def basis(method: Method) -> PlanBasis:
    """The made-up cooks of one method."""
    rng = np.random.default_rng(len(method.id))
    pace = np.exp(rng.normal(0.0, 0.08, MEMBERS))
    ends = [np.full(MEMBERS, HOURS[method.id][0])]
    for hours in HOURS[method.id][1:]:
        ends.append(ends[-1] + (hours - HOURS[method.id][len(ends) - 1]) * pace)
    at_most_s = method.hold.at_most_s if method.hold else 0.0
    knots = KNOTS if method.hold else KNOTS[:1]
    fresh = rng.normal(0.6, 0.02, MEMBERS)
    cools = COOLS_S[method.id]
    never = np.full(MEMBERS, -1)
    rules = never if cools is None else np.where(pace < np.quantile(pace, 0.3), cools, -1)
    rule = profile(site_fixture.BOOK_CARD.authority)
    stages = len(method.stages) + (method.vent is not None)
    return PlanBasis(
        method=method.id,
        engine=site_fixture.ENGINE,
        members=MEMBERS,
        seed=1,
        piece_kg=6.1,
        held_kg=3.9,
        ends_s=tuple(tuple(round(3600 * float(h)) for h in stage) for stage in ends),
        held_s=tuple(part * at_most_s for part in knots),
        cooked=tuple(tuple(round(float(y), 4) for y in fresh * (1 - 0.03 * part**0.7)) for part in knots),
        rules_s=(tuple(int(s) for s in rules),) if method.hold else (),
        too_cool="its coldest point is below 57 °C (135 °F)",
        rule=str(rule.hot_hold),
        out_s=5400.0,
        light=AtWeight(5.4, (1.0, *[0.94] * (stages - 1)), 1.004),
        heavy=AtWeight(6.8, (1.0, *[1.06] * (stages - 1)), 0.997),
        remedies=(
            Remedy(When.LATE, "Run the pit hotter.", Spread(600.0, 1500.0, 2400.0), Provenance.COMPUTED),
            Remedy(When.LATE, "Wrap earlier.", Spread(0.0, 60.0, 120.0), Provenance.COMPUTED),
            Remedy(When.EARLY, "Run the pit cooler.", Spread(300.0, 900.0, 1800.0), Provenance.COMPUTED),
        ),
        notes=("a remark of the invented engine",) if method.id == "bare" else (),
    )


def results() -> Mapping[str, MethodResult]:
    """The invented results with what it takes to plan them."""
    methods = site_fixture.book().methods
    return {
        name: replace(result, plan=basis(methods[name])) for name, result in site_fixture.results().items()
    }
