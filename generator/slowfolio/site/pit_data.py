"""The figures that the At the pit and the Plan page read: a small script for each method's carried ensemble.

A page opened from a folder may load a classic script but no data, so each file calls the taker of
`carried.js` with a JSON value. They are loaded when a method is chosen: no page grows by them.
"""

import json
from collections.abc import Mapping

from slowfolio.forecast.carried import Carried, carried_record

FOLDER = "cook-data"


def cook_data_files(carried: Mapping[str, Carried]) -> dict[str, str]:
    """The scripts by their address on the site."""
    return {f"{FOLDER}/{name}.js": cook_data(ensemble) for name, ensemble in carried.items()}


def cook_data(ensemble: Carried) -> str:
    """A classic script that hands an ensemble to the page. JSON in ASCII cannot end a script or a line."""
    record = carried_record(ensemble)
    value = json.dumps(record, ensure_ascii=True, separators=(",", ":"), allow_nan=False)
    return f"Slowfolio.carried.take({json.dumps(ensemble.method)},{value});\n".replace("<", "\\u003c")
