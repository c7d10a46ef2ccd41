"""Command-line arguments that carry a unit: "250 °F", "6.2 kg", "10 h". Parsed once, here, into SI."""

from typing import Any

import click

from slowfolio.units import PARSERS, UnitError


class Quantity(click.ParamType[Any]):
    """A click parameter of one dimension of `slowfolio.units.PARSERS`; a bad one says what to write."""

    def __init__(self, dimension: str) -> None:
        self.name = dimension.replace("_", " ")
        self._parse = PARSERS[dimension]

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """Return SI, or fail as a usage error with the parser's own advice."""
        if not isinstance(value, str):
            return value
        try:
            return self._parse(value)
        except UnitError as error:
            self.fail(str(error), param, ctx)


TEMPERATURE = Quantity("temperature")
DURATION = Quantity("duration")
MASS = Quantity("mass")
LENGTH = Quantity("length")
FRACTION = Quantity("fraction")
ALTITUDE = Quantity("altitude")
AREA = Quantity("area")
VOLUME = Quantity("volume")
