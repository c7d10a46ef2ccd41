"""The figures the Holding page's script reads: one small script for each method and for each holder.

A page opened from a folder may load a classic script but no data, so each file calls the page's own taker
with a JSON value. Loaded one by one as they are chosen: the page does not grow with the book.
"""

import json
from collections.abc import Mapping
from typing import Any

from slowfolio.book.model import Book, Holder, Method
from slowfolio.enrich.holds import MethodHolds
from slowfolio.forecast.authority import rules_of
from slowfolio.forecast.hold_advice import OVER_SOFT_COLLAGEN
from slowfolio.forecast.hold_table import HoldTable
from slowfolio.forecast.hold_window import ALLOWED_LOSS, needed_crispness
from slowfolio.forecast.inputs import air_offset_k
from slowfolio.site.hold_grid import HolderGrid

HOUR_S = 3600.0
FOLDER = "holding-data"


def data_files(
    book: Book, holds: Mapping[str, MethodHolds], grids: Mapping[str, HolderGrid]
) -> dict[str, str]:
    """The scripts by their address on the site."""
    files = {
        f"{FOLDER}/method-{name}.js": script("methods", name, method_record(book.methods[name], held, book))
        for name, held in holds.items()
    }
    if holds:
        for name, holder in book.holders.items():
            record = holder_record(holder, grids.get(name))
            files[f"{FOLDER}/holder-{name}.js"] = script("holders", name, record)
    return files


def script(kind: str, name: str, record: Mapping[str, Any]) -> str:
    """A classic script that hands a value to the page. JSON in ASCII cannot end a script or a line."""
    value = json.dumps(record, ensure_ascii=True, separators=(",", ":"), allow_nan=False)
    return f"Slowfolio.holding.take({json.dumps(kind)},{json.dumps(name)},{value});\n".replace("<", "\\u003c")


def method_record(method: Method, holds: MethodHolds, book: Book) -> dict[str, Any]:
    """The hold table of a method with what its card asks for and what the computation allows."""
    table, hold = holds.table, method.hold
    assert hold is not None
    return {
        "airs": table.air_temps_c,
        "humidities": table.humidities,
        "hours": table.hours,
        "weight": round(table.weight_in_kg, 5),
        "scale": table.crispness_scale,
        "wraps": [
            {"id": wrap, "title": book.wraps[wrap].title, "tight": tight}
            for wrap, tight in zip(table.wraps, table.tight, strict=True)
        ],
        "needed": needed_crispness(method),
        "allowedLoss": ALLOWED_LOSS,
        "overSoft": OVER_SOFT_COLLAGEN,
        "floor": rules_of(book.card).hot_hold_min_c,
        "pieceLow": method.piece.weight_kg.low,
        "card": {
            "holder": hold.holder,
            "air": hold.air_temp_c,
            "humidity": hold.relative_humidity,
            "wrap": hold.wrap if hold.wrap in table.wraps else table.wraps[0],
            "hours": hold.for_s / HOUR_S,
            "atMost": hold.at_most_s / HOUR_S,
        },
        "box": {
            advice.holder: {
                "usual": [advice.bottle_litres, advice.bottle_temp_c],
                "litres": grid.litres,
                "water": grid.water_c,
                "hours": grid.hours,
            }
            for advice in holds.advice
            if (grid := holds.boxes.get(advice.holder)) and advice.box_hours is not None
        },
        "values": values_for_script(table),
    }


def values_for_script(table: HoldTable) -> dict[str, Any]:
    """The table's courses; of the collagen only the median is asked for."""
    return {name: medians(rows) if name == "collagen" else rows for name, rows in table.values.items()}


def medians(rows: Any) -> Any:
    """The same nesting with the median alone in place of the three percentiles."""
    if isinstance(rows[0], (int, float)):
        return [rows[1]]
    return [medians(row) for row in rows]


def holder_record(holder: Holder, grid: HolderGrid | None) -> dict[str, Any]:
    """A holder's controls and the grid of its air."""
    record: dict[str, Any] = {
        "id": holder.id,
        "title": holder.title,
        "control": holder.humidity_by,
        "heated": holder.heated,
        "load": holder.load_kg.value,
        "offset": air_offset_k(holder),
        "range": [holder.air_temp_c.low, holder.air_temp_c.high],
        "volume": holder.volume_m3.value,
    }
    if grid is None:
        return record
    ends = holder.vapour_temp_c or holder.relative_humidity
    record |= {
        "airs": grid.air_temps_c,
        "given": grid.given_kg_h,
        "boiling": grid.boiling_c,
        "dial": [ends.low, ends.high] if ends else [],
        "humidities": grid.humidities,
        "needed": grid.needed_kg_h,
        "most": grid.most,
        "spare": grid.spare_w,
    }
    if grid.pans is not None:
        record["pans"] = {
            "airs": grid.pans.air_temps_c,
            "areas": grid.pans.areas_m2,
            "single": grid.pans.single_m2,
            "humidities": grid.pans.humidities,
            "gives": grid.pans.given_kg_h,
            "water": grid.pans.water_c,
            "refills": grid.pans.refills_h,
        }
    return record
