"""From the data of a card that passed its schema to the frozen dataclass of its kind, in SI.

The one place where the texts of cards become numbers. Nothing is checked here: the schema has been.
Called by `reading` only.
"""

from collections.abc import Callable, Mapping
from functools import lru_cache
from typing import Any, TypeVar

from slowfolio.book.decode_tasting import tasting
from slowfolio.book.model import (
    Base,
    BookCard,
    Composition,
    Cook,
    CookedPiece,
    CookEvent,
    Cut,
    Expected,
    FatCap,
    Hold,
    Holder,
    HouseLimits,
    Ingredient,
    LogRecipe,
    Method,
    Origin,
    Piece,
    Pit,
    Reason,
    Region,
    Serving,
    Sourced,
    SourcedRange,
    Spritz,
    Stage,
    Status,
    Until,
    Vent,
    Weather,
    Wrap,
    WrapFace,
)
from slowfolio.book.schemas import parse_date
from slowfolio.book.tasting_card import Tasting
from slowfolio.provenance import Provenance
from slowfolio.units import PARSERS, Range, System

Data = Mapping[str, Any]
Card = BookCard | Cut | Pit | Wrap | Holder | Method | Tasting | Cook
Part = TypeVar("Part")


def decode(kind: str, data: Data, origin: Origin) -> Card:
    """Return the card of `kind` that `data` describes; `data` has passed the schema of `kind`."""
    return _DECODERS[kind](data, origin)


@lru_cache(maxsize=65536)
def _parse(dimension: str, text: str) -> Any:
    return PARSERS[dimension](text)


def _value(dimension: str, text: str) -> float:
    value: float = _parse(dimension, text)
    return value


def _range(dimension: str, text: str) -> Range:
    value: Range = _parse(f"{dimension}_range", text)
    return value


def _sourced(dimension: str, part: Data) -> Sourced:
    return Sourced(_value(dimension, part["value"]), Provenance(part["provenance"]), part["source"])


def _sourced_range(dimension: str, part: Data) -> SourcedRange:
    return SourcedRange(_range(dimension, part["value"]), Provenance(part["provenance"]), part["source"])


def _if_given(data: Data, key: str, read: Callable[[Any], Part]) -> Part | None:
    return read(data[key]) if key in data else None


def _texts(data: Data, key: str) -> tuple[str, ...]:
    return tuple(text.strip() for text in data.get(key, ()))


def _text(data: Data, key: str) -> str:
    text: str = data.get(key, "")
    return text.strip()


# --- one decoder for each kind ----------------------------------------------------------------------


def _book(data: Data, origin: Origin) -> BookCard:
    return BookCard(
        origin=origin,
        title=_text(data, "title"),
        kitchen=_text(data, "kitchen"),
        summary=_text(data, "summary"),
        authority=data["authority"],
        altitude_m=_value("altitude", data["altitude"]),
        units_first=System(data["units_first"].lower()),
        room_temp_c=_value("temperature", data["room"]["temperature"]),
        room_humidity=_value("fraction", data["room"]["humidity"]),
        owner=_text(data, "owner"),
        base=_if_given(
            data, "base", lambda part: Base(_text(part, "book"), tuple(part.get("leave_out", ())))
        ),
        evidence_needed=data.get("evidence_needed", "one cook"),
        serving=_serving(data.get("serving", {})),
        house_limits=_if_given(data, "house_limits", _house_limits),
    )


def _serving(part: Data) -> Serving:
    rows = part.get("by_cut", ())
    return Serving(
        portion_kg=_if_given(part, "portion", lambda text: _value("mass", text)),
        portions_kg={row["cut"]: _value("mass", row["portion"]) for row in rows if "portion" in row},
        prices={row["cut"]: _text(row, "price") for row in rows if "price" in row},
        allergens_handled=tuple(part.get("allergens_handled", ())),
        cuts=tuple(row["cut"] for row in rows),
    )


def _house_limits(part: Data) -> HouseLimits:
    def degrees(key: str) -> float | None:
        return _if_given(part, key, lambda text: _value("temperature", text))

    def seconds(key: str) -> float | None:
        return _if_given(part, key, lambda text: _value("duration", text))

    return HouseLimits(
        hot_hold_c=degrees("hot_hold"),
        hot_hold_roasts_c=degrees("hot_hold_roasts"),
        below_hot_hold_s=seconds("below_hot_hold"),
        cold_hold_c=degrees("cold_hold"),
        reheat_c=degrees("reheat"),
        reheat_within_s=seconds("reheat_within"),
        cooling_s=_if_given(part, "cooling", lambda texts: tuple(_value("duration", text) for text in texts)),
        why=_text(part, "why"),
    )


def _composition(part: Data) -> Composition:
    return Composition(
        water=_value("fraction", part["water"]),
        protein=_value("fraction", part["protein"]),
        fat=_value("fraction", part["fat"]),
        ash=_value("fraction", part["ash"]),
        provenance=Provenance(part["provenance"]),
        source=part["source"],
    )


def _region(part: Data) -> Region:
    return Region(
        name=_text(part, "name"),
        share_of_length=_value("fraction", part["share_of_length"]),
        thickness_m=_value("length", part["thickness"]),
        composition=_composition(part["composition"]),
    )


def _cut(data: Data, origin: Origin) -> Cut:
    cap = data["fat_cap"]
    return Cut(
        origin=origin,
        id=data["id"],
        title=_text(data, "title"),
        also_called=_texts(data, "also_called"),
        species=data["species"],
        summary=_text(data, "summary"),
        weight_kg=_range("mass", data["weight"]),
        typical_weight_kg=_value("mass", data["typical_weight"]),
        length_m=_sourced("length", data["length"]),
        width_m=_sourced("length", data["width"]),
        regions=tuple(_region(part) for part in data["regions"]),
        fat_cap=FatCap(
            thickness_m=_value("length", cap["thickness"]),
            cover=_value("fraction", cap["cover"]),
            provenance=Provenance(cap["provenance"]),
            source=cap["source"],
        ),
        bone_fraction=_sourced("fraction", data["bone"]),
        trim_fraction=_sourced("fraction", data["trim_loss"]),
        collagen_rate=_sourced("ratio", data["collagen_rate"]),
        tender_by_collagen=data["tender_by_collagen"],
        where_to_probe=_text(data, "where_to_probe"),
        handling=_texts(data, "handling"),
        sources=_texts(data, "sources"),
    )


def _pit(data: Data, origin: Origin) -> Pit:
    return Pit(
        origin=origin,
        id=data["id"],
        title=_text(data, "title"),
        also_called=_texts(data, "also_called"),
        kind=data["kind"],
        summary=_text(data, "summary"),
        fuels=_texts(data, "fuels"),
        pit_temp_c=_range("temperature", data["pit_temperature"]),
        volume_m3=_sourced("volume", data["volume"]),
        air_exchange_per_s=_sourced("air_changes", data["air_exchange"]),
        draught_m_s=_sourced("speed", data["draught"]),
        radiant_above_k=_sourced("temperature_difference", data["radiant_above"]),
        radiant_below_k=_sourced("temperature_difference", data["radiant_below"]),
        drift_k=_sourced("temperature_difference", data["drift"]),
        dew_point_c=_sourced_range("temperature", data["dew_point"]),
        water_pan_dew_point_c=_if_given(
            data, "water_pan_dew_point", lambda part: _sourced_range("temperature", part)
        ),
        smoke=_sourced("ratio", data["smoke"]),
        grate_area_m2=_sourced("area", data["grate_area"]),
        load_kg=_sourced("mass", data["load"]),
        recovery_s=_sourced("duration", data["recovery"]),
        set_up=_texts(data, "set_up"),
        cautions=_texts(data, "cautions"),
        sources=_texts(data, "sources"),
        air_offset_k=_if_given(data, "air_offset", lambda part: _sourced("temperature_difference", part)),
    )


def _face(part: Data) -> WrapFace:
    return WrapFace(
        permeance_kg_s_m2_pa=_if_given(part, "permeance", lambda given: _sourced("permeance", given)),
        emissivity=_sourced("fraction", part["emissivity"]),
        contact_w_m2_k=_if_given(part, "contact", lambda given: _sourced("conductance", given)),
    )


def _wrap(data: Data, origin: Origin) -> Wrap:
    return Wrap(
        origin=origin,
        id=data["id"],
        title=_text(data, "title"),
        also_called=_texts(data, "also_called"),
        kind=data["kind"],
        summary=_text(data, "summary"),
        top=_face(data["top"]),
        bottom=_face(data["bottom"]),
        keeps_juice=_sourced("fraction", data["keeps_juice"]),
        steam_tight=data["steam_tight"],
        added_fat=data["added_fat"],
        how_to=_texts(data, "how_to"),
        cautions=_texts(data, "cautions"),
        sources=_texts(data, "sources"),
    )


def _holder(data: Data, origin: Origin) -> Holder:
    return Holder(
        origin=origin,
        id=data["id"],
        title=_text(data, "title"),
        also_called=_texts(data, "also_called"),
        kind=data["kind"],
        summary=_text(data, "summary"),
        humidity_by=data["humidity_by"],
        heated=data["heated"],
        air_temp_c=_range("temperature", data["air_temperature"]),
        vapour_temp_c=_if_given(data, "vapour_temperature", lambda text: _range("temperature", text)),
        relative_humidity=_if_given(data, "relative_humidity", lambda text: _range("fraction", text)),
        volume_m3=_sourced("volume", data["volume"]),
        air_exchange_per_s=_sourced("air_changes", data["air_exchange"]),
        draught_m_s=_sourced("speed", data["draught"]),
        wall_offset_k=_sourced("temperature_difference", data["wall_offset"]),
        drift_k=_sourced("temperature_difference", data["drift"]),
        heat_loss_w_k=_sourced("heat_loss", data["heat_loss"]),
        power_w=_if_given(data, "power", lambda part: _sourced("power", part)),
        pan_area_m2=_if_given(data, "pan_area", lambda part: _sourced_range("area", part)),
        pan_over_element=data.get("pan_over_element", False),
        load_kg=_sourced("mass", data["load"]),
        set_up=_texts(data, "set_up"),
        cautions=_texts(data, "cautions"),
        sources=_texts(data, "sources"),
        air_offset_k=_if_given(data, "air_offset", lambda part: _sourced("temperature_difference", part)),
        hot_water_m3=_if_given(data, "hot_water", lambda part: _sourced("volume", part)),
        hot_water_c=_if_given(data, "hot_water_temperature", lambda part: _sourced("temperature", part)),
    )


# --- methods ----------------------------------------------------------------------------------------


def _piece(part: Data) -> Piece:
    return Piece(
        weight_kg=_range("mass", part["weight"]),
        thickness_m=_if_given(part, "thickness", lambda text: _range("length", text)),
        start_temp_c=_value("temperature", part["start_temperature"]),
        trim=_text(part, "trim"),
        grade=_text(part, "grade"),
    )


def _ingredient(part: Data) -> Ingredient:
    return Ingredient(
        item=_text(part, "item"),
        use=part["use"],
        amount=_text(part, "amount"),
        allergens=tuple(part.get("allergens", ())),
        note=_text(part, "note"),
    )


def _duration(text: str) -> float:
    return _value("duration", text)


def _temperature(text: str) -> float:
    return _value("temperature", text)


def _until(part: Data) -> Until:
    return Until(
        time_s=_if_given(part, "time", _duration),
        core_temp_c=_if_given(part, "core_temperature", _temperature),
        probe_tender_from_c=_if_given(part, "probe_tender_from", _temperature),
        at_least_s=_if_given(part, "at_least", _duration),
        at_most_s=_if_given(part, "at_most", _duration),
    )


def _spritz(part: Data) -> Spritz:
    return Spritz(
        liquid=_text(part, "liquid"),
        every_s=_duration(part["every"]),
        after_s=_duration(part["after"]),
        amount_m3=_value("volume", part["amount"]),
    )


def _stage(part: Data) -> Stage:
    return Stage(
        name=_text(part, "name"),
        pit_temp_c=_temperature(part["pit_temperature"]),
        until=_until(part["until"]),
        wrap=part["wrap"],
        pit=part.get("pit"),
        fat_side=part.get("fat_side", "up"),
        water_pan=part.get("water_pan", False),
        spritz=_if_given(part, "spritz", _spritz),
        open_every_s=_if_given(part, "open_every", _duration),
        look_for=_texts(part, "look_for"),
        why=_text(part, "why"),
        cautions=_texts(part, "cautions"),
    )


def _vent(part: Data) -> Vent:
    return Vent(_until(part["until"]), part["wrap"], _text(part, "where"), _text(part, "why"))


def _hold(part: Data) -> Hold:
    humidity = part.get("humidity", "auto")
    return Hold(
        holder=part["holder"],
        air_temp_c=_temperature(part["air_temperature"]),
        relative_humidity=None if humidity == "auto" else _value("fraction", humidity),
        wrap=part["wrap"],
        for_s=_duration(part["for"]),
        at_most_s=_duration(part["at_most"]),
        why=_text(part, "why"),
    )


def _expected(part: Data) -> Expected:
    return Expected(part["level"], Provenance(part["provenance"]), _text(part, "note"))


def _method(data: Data, origin: Origin) -> Method:
    return Method(
        origin=origin,
        id=data["id"],
        title=_text(data, "title"),
        also_called=_texts(data, "also_called"),
        choose_when=_text(data, "choose_when"),
        status=Status(data["status"]),
        owner=_text(data, "owner"),
        revision=int(data["revision"]),
        reviewed=parse_date(data["reviewed"]),
        review_by=parse_date(data["review_by"]),
        cut=data["cut"],
        piece=_piece(data["piece"]),
        seasoning=tuple(_ingredient(part) for part in data["seasoning"]),
        pit=data["pit"],
        fuel=_text(data, "fuel"),
        stages=tuple(_stage(part) for part in data["stages"]),
        vent=_if_given(data, "vent", _vent),
        hold=_if_given(data, "hold", _hold),
        expected={name: _expected(part) for name, part in data["expect"].items()},
        handling=_texts(data, "handling"),
        cautions=_texts(data, "cautions"),
        allergens=tuple(data["allergens"]),
        sources=_texts(data, "sources"),
        waiver=_text(data, "waiver"),
        reasons=tuple(Reason(part["about"], _text(part, "because")) for part in data.get("reasons", ())),
    )


# --- recorded cooks ---------------------------------------------------------------------------------


def _mass(text: str) -> float:
    return _value("mass", text)


def _length(text: str) -> float:
    return _value("length", text)


def _cooked_piece(part: Data) -> CookedPiece:
    return CookedPiece(
        weight_before_kg=_if_given(part, "weight_before", _mass),
        weight_after_kg=_if_given(part, "weight_after", _mass),
        weighed=part.get("weighed", "after the hold"),
        thickness_m=_if_given(part, "thickness", _length),
        start_temp_c=_if_given(part, "start_temperature", _temperature),
    )


def _weather(part: Data) -> Weather:
    return Weather(
        temp_c=_if_given(part, "temperature", _temperature),
        humidity=_if_given(part, "humidity", lambda text: _value("fraction", text)),
        wind_m_s=_if_given(part, "wind", lambda text: _value("speed", text)),
        note=_text(part, "note"),
    )


def _log_recipe(part: Data) -> LogRecipe:
    return LogRecipe(
        file=part["file"],
        sha256=part["sha256"],
        kind=part["kind"],
        encoding=part.get("encoding", "utf-8"),
        delimiter=part.get("delimiter", "comma"),
        decimal=part.get("decimal", "point"),
        heading_line=int(part.get("heading_line", 0)),
        time_kind=part["time_kind"],
        time_format=part.get("time_format", ""),
        time_unit=part.get("time_unit", "s"),
        unit=part["unit"],
        columns=dict(part["columns"]),
    )


def _cook(data: Data, origin: Origin) -> Cook:
    return Cook(
        origin=origin,
        id=data["id"],
        title=_text(data, "title"),
        method=data["method"],
        date=parse_date(data["date"]),
        pit=data["pit"],
        holder=data.get("holder"),
        cooked_by=_text(data, "cooked_by"),
        invented=data.get("invented", False),
        piece=_cooked_piece(data.get("piece", {})),
        weather=_weather(data.get("weather", {})),
        log=_log_recipe(data["log"]),
        events=tuple(CookEvent(part["what"], _duration(part["at"]), part["from"]) for part in data["events"]),
        corrections=_texts(data, "corrections"),
        notes=_texts(data, "notes"),
    )


_DECODERS: Mapping[str, Callable[[Data, Origin], Card]] = {
    "book": _book,
    "cut": _cut,
    "pit": _pit,
    "wrap": _wrap,
    "holder": _holder,
    "method": _method,
    "tasting": tasting,
    "cook": _cook,
}
