"""Command-line arguments that carry a unit: "250 °F", "6.2 kg", "10 h". Parsed once, here, into SI."""

from typing import Any

import click

from slowfolio.units import PARSERS, Dimension, Range, System, UnitError, format_quantity


class Quantity(click.ParamType[Any]):
    """A click parameter of one dimension of `slowfolio.units.PARSERS`; a bad one says what to write.

    With `within`, in SI, a figure that no kitchen has is refused in the reader's units before anything is
    computed.
    """

    def __init__(self, dimension: str, *, within: Range | None = None) -> None:
        self.name = dimension.replace("_", " ")
        self._dimension = dimension
        self._parse = PARSERS[dimension]
        self._within = within

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """Return SI, or fail as a usage error with the parser's own advice."""
        if not isinstance(value, str):
            return value
        try:
            found = self._parse(value)
        except UnitError as error:
            self.fail(str(error), param, ctx)
        if self._within is not None and isinstance(found, float) and found not in self._within:
            ends = (format_quantity(self._within, Dimension(self._dimension), system) for system in System)
            self.fail(f'"{value}" cannot be: give {" or ".join(ends)}', param, ctx)
        return found


TEMPERATURE = Quantity("temperature")
DURATION = Quantity("duration")
MASS = Quantity("mass")
LENGTH = Quantity("length")
FRACTION = Quantity("fraction")
ALTITUDE = Quantity("altitude", within=Range(-430.0, 5500.0))
"""From the shore of the lowest lake to the highest town, as the check of a book has it."""
ROOM_TEMPERATURE = Quantity("temperature", within=Range(-30.0, 50.0))
WATER_TEMPERATURE = Quantity("temperature", within=Range(0.0, 100.0))
AREA = Quantity("area")
VOLUME = Quantity("volume")
