"""Reading a service file: YAML with the items, pits and holders of one service, each fault with its line.

The same careful reader as for cards, so no anchors, tags or surprises; then every field is looked at once.
Called by the `plan` command; `FIELDS` and `ITEM_FIELDS` are also what its help shows.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any, TypeVar
from zoneinfo import ZoneInfo

from slowfolio.book.files import CardFile
from slowfolio.book.findings import did_you_mean, quoted
from slowfolio.book.model import Key
from slowfolio.book.syntax import Document, read_document
from slowfolio.forecast.planning.clock import local_zone, zone_named
from slowfolio.forecast.planning.errors import PlanInputError
from slowfolio.forecast.planning.leads import Meat
from slowfolio.forecast.planning.order import (
    CONFIDENCE,
    Order,
    OrderItem,
    PlaceAsked,
    checked_confidence,
    checked_cooks,
)
from slowfolio.forecast.planning.prices import Extra, read_price, read_price_or_extra
from slowfolio.units import UnitError, parse_altitude_m, parse_fraction, parse_mass_kg

T = TypeVar("T")

SIZE_LIMIT = 200_000
QUOTE_IT = 'put a time of day in quotes: serve: "13:30"'

FIELDS: Mapping[str, str] = {
    "serve": 'date and time of serving, "2026-12-05 13:00"',
    "timezone": 'zone of that time, "Europe/London"; without it this machine\'s',
    "confidence": "chance of being ready that is asked for, 95 %",
    "cooks": "how many pairs of hands there are, 1",
    "altitude": 'of the kitchen, "5280 ft"; without it the book\'s',
    "pits": "ids of pit cards, or a mapping of your own names to ids; without it those of the items",
    "holders": "the same for holders",
    "extras": 'what else is paid for, a list of "fuel=25 USD"',
    "items": "the dishes, each with the fields below",
}
ITEM_FIELDS: Mapping[str, str] = {
    "method": "id of the method card",
    "name": "what to call it; without it the title of the card",
    "weight": 'of one trimmed raw piece, "13 lb 8 oz"; without it the middle of the card',
    "pieces": "how many; without it as many as the guests need",
    "guests": "how many eat of it",
    "portion": 'cooked, boneless, "6 oz"',
    "pit": "name or id of one of the pits",
    "holder": "name or id of one of the holders",
    "serve": 'where it differs: "13:30", or date and time',
    "price": 'of the meat as bought, "6.49 USD/lb"',
    "frozen": "true where it must be thawed first",
}
NEEDED, ITEM_NEEDED = ("serve", "items"), ("method",)


def read_service_file(path: Path, zone: ZoneInfo | None = None) -> Order:
    """The order written in a service file. Raises PlanInputError that names file, line and what to write.

    `zone`, where it is given, goes before the file's.
    """
    try:
        with path.open("rb") as stream:
            blob = stream.read(SIZE_LIMIT + 1)
    except OSError as error:
        raise PlanInputError(f"cannot read the service file {path}: {error.strerror or error}") from error
    if len(blob) > SIZE_LIMIT:
        raise PlanInputError(f"{path} is too large for a service file; at most {SIZE_LIMIT // 1000} kB")
    return read_service(blob, path.name, zone)


def read_service(blob: bytes, name: str, zone: ZoneInfo | None = None) -> Order:
    """The same from the bytes of a file called `name`."""
    document = read_document(CardFile(name, "service", blob))
    if document.faults:
        finding = document.finding(document.faults[0])
        # In a service a time with a colon is a time of day, never a length of time.
        said = QUOTE_IT if finding.code == "base-60-time" else finding.help
        advice = f"; {said}" if said else ""
        place = f"{name}:{finding.mark.line}:{finding.mark.column}"
        raise PlanInputError(f"{place}: {finding.message}{advice}")
    top = Fields(document, document.data, (), FIELDS, NEEDED)
    if zone is None:
        zone = top.read("timezone", zone_named) or local_zone()
    items = top.rows("items")
    wanted = top.read("confidence", lambda text: checked_confidence(parse_fraction(text)))
    confidence = CONFIDENCE if wanted is None else wanted
    hands = top.count("cooks")
    cooks = 1 if hands is None else top.guarded("cooks", lambda: checked_cooks(hands))
    return top.guarded(
        "items",
        lambda: Order(
            serve=top.text("serve") or "",
            zone=zone,
            items=tuple(read_item(document, row, ("items", index)) for index, row in enumerate(items)),
            confidence=confidence,
            cooks=cooks,
            pits=places(top, "pits"),
            holders=places(top, "holders"),
            altitude_m=top.read("altitude", parse_altitude_m),
            extras=read_extras(top),
        ),
    )


def read_item(document: Document, row: Any, path: tuple[Key, ...]) -> OrderItem:
    """One dish."""
    fields = Fields(document, row, path, ITEM_FIELDS, ITEM_NEEDED)
    return fields.guarded(
        "method",
        lambda: OrderItem(
            method=fields.text("method") or "",
            name=fields.text("name") or "",
            weight_kg=fields.read("weight", parse_mass_kg),
            pieces=fields.count("pieces"),
            guests=fields.count("guests"),
            portion_kg=fields.read("portion", parse_mass_kg),
            pit=fields.text("pit"),
            holder=fields.text("holder"),
            serve=fields.text("serve") or "",
            price=fields.read("price", read_price),
            meat=Meat.FROZEN if fields.yes("frozen") else Meat.FRESH,
        ),
    )


def read_extras(top: "Fields") -> tuple[Extra, ...]:
    """What else is paid for."""
    extras: list[Extra] = []
    for index, row in enumerate(top.rows("extras")):
        extra = top.guarded("extras", partial(read_price_or_extra, str(row)), index)
        if not isinstance(extra, Extra):
            raise top.wrong(("extras", index), f'{quoted(row)} has no name; write "fuel=25 USD"')
        extras.append(extra)
    return tuple(extras)


def places(top: "Fields", key: str) -> tuple[PlaceAsked, ...]:
    """A list of ids, each a place of that name, or a mapping of names to ids."""
    value = top.value(key)
    if value is None:
        return ()
    if isinstance(value, dict):
        pairs = [(str(name), card) for name, card in value.items()]
    elif isinstance(value, list):
        pairs = [(str(card), card) for card in value]
    else:
        pairs = [(str(value), value)]
    if not all(isinstance(card, str) and card for _, card in pairs):
        raise top.wrong(
            (key,), f"{key} wants ids of cards: [offset-stick-burner], or {{big: offset-stick-burner}}"
        )
    return tuple(PlaceAsked(name, card) for name, card in pairs)


@dataclass(frozen=True, slots=True)
class Fields:
    """A mapping of the file with known fields, read one by one; every fault is put at its line."""

    document: Document
    data: Any
    path: tuple[Key, ...]
    known: Mapping[str, str]
    needed: tuple[str, ...]

    def __post_init__(self) -> None:
        """Refuse what is no mapping, has unknown fields or lacks needed ones."""
        where = "an item" if self.path else "a service file"
        if not isinstance(self.data, dict):
            raise self.wrong((), f"{where} is a mapping of fields; it has {', '.join(self.known)}")
        for key in self.data:
            if key not in self.known:
                advice = did_you_mean(key, self.known, otherwise="it has")
                raise self.wrong((key,), f"{where} has no field {quoted(key)}; {advice}")
        for key in self.needed:
            if self.data.get(key) in (None, "", []):
                raise self.wrong((), f"{where} needs {key}: {self.known[key]}")

    def wrong(self, path: tuple[Key, ...], message: str) -> PlanInputError:
        """The error for a fault at a place below this mapping."""
        mark = self.document.origin.at(*self.path, *path)
        return PlanInputError(f"{self.document.file}:{mark.line}:{mark.column}: {message}")

    def guarded(self, key: str, read: Callable[[], T], *further: Key) -> T:
        """What `read` gives; an error of the planner or of the units is put at the line of `key`."""
        try:
            return read()
        except (PlanInputError, UnitError) as error:
            text = str(error)
            if text.startswith(f"{self.document.file}:"):
                raise PlanInputError(text) from error
            raise self.wrong((key, *further), text) from error

    def value(self, key: str) -> Any:
        """The value of a field, None where it is not written."""
        return self.data.get(key)

    def text(self, key: str) -> str | None:
        """A text."""
        value = self.value(key)
        if value is None:
            return None
        if not isinstance(value, str) or not value.strip():
            raise self.wrong((key,), f"{key} wants a text: {self.known[key]}")
        return value.strip()

    def read(self, key: str, parser: Any) -> Any:
        """A text read by a parser of the units, the zones or the prices.

        A bare number goes to the parser too, which says what unit to write with it.
        """
        value = self.value(key)
        bare = isinstance(value, int | float) and not isinstance(value, bool)
        text = str(value) if bare else self.text(key)
        return None if text is None else self.guarded(key, lambda: parser(text))

    def count(self, key: str) -> int | None:
        """A whole number."""
        value = self.value(key)
        if value is None:
            return None
        if not isinstance(value, int) or isinstance(value, bool):
            raise self.wrong((key,), f"{key} wants a whole number, such as 2")
        return value

    def yes(self, key: str) -> bool:
        """True or false; false where it is not written."""
        value = self.value(key)
        if value is None:
            return False
        if not isinstance(value, bool):
            raise self.wrong((key,), f"{key} wants true or false")
        return value

    def rows(self, key: str) -> list[Any]:
        """A list; empty where it is not written."""
        value = self.value(key)
        if value is None:
            return []
        if not isinstance(value, list):
            raise self.wrong((key,), f"{key} wants a list, each line begun with a dash: {self.known[key]}")
        return value
