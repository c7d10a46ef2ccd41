"""A holder card as the cabinet model the physics balances, and the room it stands in.

The hold's counterpart of `inputs`: which parameter of the card becomes which input. No sums of its own.
"""

import math

from slowfolio.book import model as cards
from slowfolio.forecast.inputs import air_offset_k
from slowfolio.physics.cabinet import Cabinet, Control, PanFit, Room, lining, lining_at_offset, room_air
from slowfolio.physics.humid_air import atmospheric_pressure_pa
from slowfolio.units import Range


def cabinet_of(holder: cards.Holder) -> Cabinet:
    """The air side of a holder.

    A lining warmed by its element is held at the card's offset; any other takes the temperature that its heat
    loss gives it, which the balance works out better than an estimate on a card.
    """
    volume, loss = holder.volume_m3.value, holder.heat_loss_w_k.value
    warmed = holder.wall_offset_k.value > 0
    surfaces = (
        lining_at_offset(volume, heat_loss_w_k=loss, wall_offset_k=holder.wall_offset_k.value)
        if warmed
        else lining(volume, heat_loss_w_k=loss)
    )
    return Cabinet(
        control=Control(holder.humidity_by),
        volume_m3=volume,
        air_exchange_per_s=holder.air_exchange_per_s.value,
        heat_loss_w_k=loss,
        surfaces=surfaces,
        draught_m_s=holder.draught_m_s.value,
        power_w=math.inf if holder.power_w is None else holder.power_w.value,
        pans=pan_fit(holder),
        air_range_c=inside_range_c(holder),
        vapour_range_c=None if holder.vapour_temp_c is None else ends(holder.vapour_temp_c),
        humidity_range=None if holder.relative_humidity is None else ends(holder.relative_humidity),
    )


def inside_range_c(holder: cards.Holder) -> tuple[float, float]:
    """The temperatures its air can be brought to: those on its dial, and what its air is off them by."""
    low_c, high_c = ends(holder.air_temp_c)
    return low_c + air_offset_k(holder), high_c + air_offset_k(holder)


def pan_fit(holder: cards.Holder) -> PanFit | None:
    """The pans a holder takes, or None."""
    if holder.pan_area_m2 is None:
        return None
    low_m2, high_m2 = ends(holder.pan_area_m2.value)
    return PanFit(low_m2, high_m2, over_element=holder.pan_over_element)


def room_of(
    card: cards.BookCard, *, room_temp_c: float | None = None, altitude_m: float | None = None
) -> Room:
    """The kitchen round the holder."""
    temp_c = card.room_temp_c if room_temp_c is None else room_temp_c
    height_m = card.altitude_m if altitude_m is None else altitude_m
    return room_air(
        temp_c, relative_humidity=card.room_humidity, pressure_pa=atmospheric_pressure_pa(height_m)
    )


def ends(span: Range) -> tuple[float, float]:
    """Both ends of a range."""
    return span.low, span.high
