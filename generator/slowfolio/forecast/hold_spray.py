"""Water sprayed into a holder in pulses: its mean flow, and how far the humidity swings between them.

The mean flow joins the steady balance of `hold_advice`; the swing is read off the holder's course in time.
"""

from dataclasses import replace

import numpy as np

from slowfolio.physics.cabinet import Cabinet, Control, Load, Room, Setting
from slowfolio.physics.cabinet_course import Spray, humidity_course
from slowfolio.physics.errors import PhysicsInputError

PERIODS, STEPS_A_PERIOD, MOST_STEPS = 6, 60, 4000
"""Pulses that are followed, and the steps each is followed in; the last pulse is read. CALIBRATED: the course
starts at its mean, so that by then the start is forgotten."""
REGULATED = (Control.VAPOUR_TEMPERATURE, Control.PER_CENT)


def sprayed(cabinet: Cabinet, setting: Setting, spray: Spray) -> Setting:
    """The setting with the mean flow of the spray. Raises PhysicsInputError for a holder with a dial."""
    if cabinet.control in REGULATED:
        raise PhysicsInputError("it keeps its humidity by itself: leave the spray out, or turn its dial")
    return replace(setting, spray_kg_s=spray.mean_kg_s)


def humidity_swing(
    cabinet: Cabinet, setting: Setting, spray: Spray, *, room: Room, load: Load, start_pa: float
) -> tuple[float, float]:
    """Lowest and highest relative humidity over one period, once pulses have been given for a while.

    `setting` without the spray; `start_pa` the mean vapour pressure that the steady balance gives.
    """
    course = humidity_course(
        cabinet,
        replace(setting, spray_kg_s=0.0),
        duration_s=PERIODS * spray.every_s,
        room=room,
        load=load,
        start_pa=start_pa,
        spray=spray,
        steps=min(PERIODS * STEPS_A_PERIOD, MOST_STEPS),
    )
    last = course.relative_humidity[course.time_s >= (PERIODS - 1) * spray.every_s]
    return float(np.min(last)), float(np.max(last))
