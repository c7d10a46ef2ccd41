"""Prices as a cook writes them: "6.49 USD/lb", "£9.80 per kg", "fuel=25 USD". Decimals, currency as text.

Reads and adds up; converts no currency. Called by the `plan` command, the service file and `portions`.
"""

import re
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from slowfolio.book.findings import quoted
from slowfolio.forecast.planning.errors import PlanInputError

KG_PER: dict[str, Decimal] = {
    "kg": Decimal(1),
    "g": Decimal("0.001"),
    "lb": Decimal("0.45359237"),
    "lbs": Decimal("0.45359237"),
    "oz": Decimal("0.028349523125"),
}
"""The pound and the ounce are exact by the international agreement of 1959 (MEMORY)."""

CENT = Decimal("0.01")
MOST = Decimal(1_000_000)
EXAMPLE = '"6.49 USD/lb", "$6.49/lb" or "12.50 EUR/kg"'

_NUMBER = r"(?P<number>[0-9]{1,9}(?:\.[0-9]{1,4})?)"
_CURRENCY = r"[A-Za-z]{1,4}|[^\W\d]?[$£€¥₩₹]"
_PRICE = re.compile(
    rf"(?P<before>{_CURRENCY})? *{_NUMBER} *(?P<after>{_CURRENCY})?"
    r"(?: *(?:/|per|a) *(?P<unit>[A-Za-z]+)\.?)?"
)


@dataclass(frozen=True, slots=True)
class Price:
    """An amount in a currency, for a kilogram, or in all where `per_kg` is None."""

    amount: Decimal
    currency: str
    per_kg: Decimal | None = None
    text: str = ""

    def cost(self, mass_kg: float) -> Decimal:
        """What so much costs, to the cent."""
        if self.per_kg is None:
            return cents(self.amount)
        return cents(self.per_kg * Decimal(repr(mass_kg)))


@dataclass(frozen=True, slots=True)
class Extra:
    """Something bought besides the meat: its name and what it costs in all."""

    name: str
    price: Price


def read_price(text: str) -> Price:
    """A price by weight. Raises PlanInputError with what to write."""
    price = _read(text)
    if price.per_kg is None:
        raise PlanInputError(f"{quoted(text)} is for no weight; write {EXAMPLE}")
    return price


def read_price_or_extra(text: str) -> Price | Extra:
    """A price by weight for the meat, or "fuel=25 USD" for something else."""
    name, equals, amount = text.partition("=")
    if not equals:
        return read_price(text)
    if not name.strip():
        raise PlanInputError(f'{quoted(text)} names nothing; write what is bought: "fuel=25 USD"')
    price = _read(amount)
    if price.per_kg is not None:
        raise PlanInputError(f'{quoted(text)} is by weight; write what it costs in all: "fuel=25 USD"')
    return Extra(name.strip(), price)


def _read(text: str) -> Price:
    found = _PRICE.fullmatch(text.strip()) if len(text) <= 60 else None
    if found is None:
        raise PlanInputError(f"{quoted(text)} is no price; write {EXAMPLE}")
    currencies = [mark for mark in (found["before"], found["after"]) if mark]
    if len(currencies) != 1:
        raise PlanInputError(f"{quoted(text)} has {len(currencies) or 'no'} currencies; write {EXAMPLE}")
    amount, unit = Decimal(found["number"]), found["unit"]
    if amount > MOST:
        raise PlanInputError(f"{quoted(text)} is more than meat costs; write {EXAMPLE}")
    if unit is None:
        return Price(amount, currencies[0], None, text.strip())
    kilograms = KG_PER.get(unit.lower())
    if kilograms is None:
        raise PlanInputError(f"{quoted(text)} is for no unit of weight we know; write kg, g, lb or oz")
    return Price(amount, currencies[0], amount / kilograms, text.strip())


def cents(amount: Decimal) -> Decimal:
    """To the cent, half up."""
    return amount.quantize(CENT, rounding=ROUND_HALF_UP)


def one_currency(prices: list[Price]) -> str:
    """The currency all prices are in, "" for no prices; PlanInputError where there are two."""
    currencies = sorted({price.currency for price in prices})
    if len(currencies) > 1:
        raise PlanInputError(
            f"prices in {' and '.join(currencies)} cannot be added; give all in one currency"
        )
    return currencies[0] if currencies else ""
