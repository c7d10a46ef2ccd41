"""A tasting card against itself: test and question, products, servings, codes, and every sheet.

Whether the numbers mean anything is for the statistics; here only what cannot be analysed at all. Called by
`reading` for each tasting card, and by `single` for one on its own.
"""

from collections import Counter
from collections.abc import Iterator
from datetime import date

from slowfolio.book.findings import Fault, did_you_mean, listed, quoted
from slowfolio.book.tasting_card import (
    NO_PREFERENCE,
    RIGHT_OR_WRONG,
    TEST_QUESTIONS,
    Plate,
    Sheet,
    Tasting,
)

MOST_RANKED = 8
"""More pieces than a palate can put in order (common practice, no source)."""

PATTERNS = {
    "triangle": (3, "three pieces, two of one product and one of the other"),
    "duo-trio": (3, "three pieces, of which the first is matched by one of the other two"),
    "tetrad": (4, "four pieces, two of each product"),
    "paired comparison": (2, "one piece of each product"),
    "paired preference": (2, "one piece of each product"),
    "preferences in pairs": (2, "two pieces of different products"),
}
"""Pieces on one plate; ISO 4120, ISO 10399, ISO 5495 (MEMORY)."""


def tasting_faults(tasting: Tasting, today: date) -> Iterator[Fault]:
    """Yield every contradiction within a tasting card."""
    yield from _question(tasting)
    yield from _fields(tasting)
    yield from _products(tasting)
    if len(set(tasting.names)) == len(tasting.names):
        yield from _servings(tasting)
        yield from _results(tasting)
    if tasting.sheets and tasting.date > today:
        yield Fault(
            "tasted-in-future",
            ("date",),
            f"there are results, but {tasting.date} has not come yet",
            f"write the day it was tasted, at the latest {today}",
        )


# --- question and products ----------------------------------------------------------------------------


def _question(tasting: Tasting) -> Iterator[Fault]:
    questions = TEST_QUESTIONS[tasting.test]
    if tasting.question not in questions:
        answering = [test for test, asked in TEST_QUESTIONS.items() if tasting.question in asked]
        yield Fault(
            "tasting-test-for-question",
            ("test",),
            f"a {tasting.test} does not answer {quoted(tasting.question)}",
            f"write {' or '.join(answering)}, or ask {' or '.join(questions)}",
        )


def _fields(tasting: Tasting) -> Iterator[Fault]:
    compared, scored = tasting.test == "paired comparison", tasting.test == "scores"
    if compared and not tasting.attribute:
        yield _missing("attribute", "a paired comparison asks which has more of one attribute", "smoke")
    if scored and not tasting.attributes:
        yield _missing("attributes", "scores are given for attributes", "[bark, juiciness of flat]")
    for key, given, wanted in (
        ("attribute", bool(tasting.attribute), compared),
        ("expected_more", bool(tasting.expected_more), compared),
        ("attributes", bool(tasting.attributes), scored),
        ("expected_order", bool(tasting.expected_order), tasting.test == "ranking"),
    ):
        if given and not wanted:
            yield Fault(
                "tasting-field-unused", (key,), f"a {tasting.test} has no use for {key}", "leave it out"
            )
    if compared and tasting.expected_more and tasting.expected_more not in tasting.names:
        yield _unknown_product(tasting, ("expected_more",), tasting.expected_more)
    if tasting.test == "ranking" and tasting.expected_order:
        yield from _expected_order(tasting)


def _expected_order(tasting: Tasting) -> Iterator[Fault]:
    for index, name in enumerate(tasting.expected_order):
        if name not in tasting.names:
            yield _unknown_product(tasting, ("expected_order", index), name)
    if left := [name for name in tasting.names if name not in tasting.expected_order]:
        yield Fault(
            "tasting-order-incomplete",
            ("expected_order",),
            f"the expected order leaves out {listed(left)}",
            "name every product once, or leave the field out",
        )


def _missing(key: str, why: str, example: str) -> Fault:
    return Fault("tasting-attribute-missing", ("test",), why, f"add {key}: {example}")


def _unknown_product(tasting: Tasting, path: tuple[str | int, ...], name: str) -> Fault:
    return Fault(
        "tasting-product-unknown",
        path,
        f"no product is called {quoted(name)}",
        did_you_mean(name, tasting.names, "the products are"),
    )


def _products(tasting: Tasting) -> Iterator[Fault]:
    count = len(tasting.products)
    several = tasting.test in {"ranking", "scores", "preferences in pairs"}
    least, most = (2, 12) if several else (2, 2)
    if tasting.test == "ranking":
        most = MOST_RANKED
    if tasting.test == "preferences in pairs":
        least = 3
    if not least <= count <= most:
        wanted = f"{least} products" if least == most else f"{least} to {most} products"
        yield Fault(
            "tasting-product-count",
            ("products",),
            f"a {tasting.test} compares {wanted}, not {count}",
            "compare as many, or choose another test",
            on_key=True,
        )
    first = tasting.products[0]
    for index, product in enumerate(tasting.products):
        if product.name in tasting.names[:index]:
            yield Fault(
                "tasting-product-repeated",
                ("products", index, "name"),
                f"{quoted(product.name)} is already the name of another product",
                "give it a name of its own",
            )
        if product.part.casefold() != first.part.casefold():
            yield Fault(
                "tasting-parts-unlike",
                ("products", index, "part"),
                f"{product.part} is compared with {first.part}, so the part and not the method is tasted",
                "serve the same part of all: flat with flat, point with point",
            )
        if len(product.cooks) > product.cooked:
            yield Fault(
                "tasting-cooks-disagree",
                ("products", index, "cooked"),
                f"{len(product.cooks)} cooks are listed but {product.cooked} counted",
                f"write cooked: {len(product.cooks)}, or list fewer",
            )


# --- servings -----------------------------------------------------------------------------------------


def _servings(tasting: Tasting) -> Iterator[Fault]:
    tasters: set[int] = set()
    used: set[int] = set()
    cooks = max(product.cooked for product in tasting.products)
    for index, plate in enumerate(tasting.plates):
        place = ("design", "servings", index)
        if plate.taster in tasters:
            yield Fault(
                "tasting-taster-twice",
                (*place, "taster"),
                f"taster {plate.taster} is served twice",
                "number the sheets one by one; say who tasted again with person:",
            )
        tasters.add(plate.taster)
        for number, name in enumerate(plate.order):
            if name not in tasting.names:
                yield _unknown_product(tasting, (*place, "order", number), name)
        for number, code in enumerate(plate.codes):
            if code in used:
                yield Fault(
                    "tasting-code-repeated",
                    (*place, "codes", number),
                    f"the code {code} stands on two pieces",
                    "give every piece of the tasting a code of its own",
                )
            used.add(code)
        if plate.cook > cooks:
            yield Fault(
                "tasting-cooks-disagree",
                (*place, "cook"),
                f"the pieces are of cook {plate.cook}, but the products were cooked {cooks} times",
                "correct the number, or cooked: of the products",
            )
        yield from _pattern(tasting, plate, index)


def _pattern(tasting: Tasting, plate: Plate, index: int) -> Iterator[Fault]:
    place = ("design", "servings", index, "order")
    if len(plate.codes) != len(plate.order):
        yield Fault(
            "tasting-serving-wrong",
            ("design", "servings", index, "codes"),
            f"taster {plate.taster} has {len(plate.order)} pieces but {len(plate.codes)} codes",
            "write one code for each piece, in the same order",
        )
    elif not _fits(tasting, plate):
        wanted = PATTERNS.get(tasting.test, (0, "each product at most once"))[1]
        if tasting.test == "ranking":
            wanted = "every product once"
        yield Fault(
            "tasting-serving-wrong",
            place,
            f"a {tasting.test} serves {wanted}, not {listed(plate.order)}",
            "correct the order, or the test",
        )


def _fits(tasting: Tasting, plate: Plate) -> bool:
    counts = sorted(Counter(plate.order).values())
    match tasting.test:
        case "triangle":
            return counts == [1, 2]
        case "duo-trio":
            return counts == [1, 2] and plate.order[0] in plate.order[1:]
        case "tetrad":
            return counts == [2, 2]
        case "ranking":
            return sorted(plate.order) == sorted(tasting.names)
        case "scores":
            return set(counts) == {1}
        case _:
            return counts == [1, 1]


# --- results ------------------------------------------------------------------------------------------


def _results(tasting: Tasting) -> Iterator[Fault]:
    if not tasting.sheets:
        yield Fault(
            "tasting-without-results",
            ("results",),
            "no sheet is written down yet, so nothing can be said",
            "write one item for each sheet that came in",
        )
    plates = {plate.taster: plate for plate in tasting.plates}
    seen: set[int] = set()
    for index, sheet in enumerate(tasting.sheets):
        place = ("results", index, "taster")
        if sheet.taster not in plates:
            numbers = sorted(plates)
            yield Fault(
                "tasting-taster-unknown",
                place,
                f"no taster {sheet.taster} was served",
                f"the tasters are {numbers[0]} to {numbers[-1]}",
            )
        elif sheet.taster in seen:
            yield Fault(
                "tasting-taster-twice",
                place,
                f"taster {sheet.taster} has two sheets",
                "keep one sheet for each number",
            )
        else:
            yield from _sheet(tasting, sheet, plates[sheet.taster], index)
        seen.add(sheet.taster)


def _sheet(tasting: Tasting, sheet: Sheet, plate: Plate, index: int) -> Iterator[Fault]:
    if tasting.test in {"ranking", "scores"}:
        yield from _marks(tasting, sheet, plate, index)
        return
    place = ("results", index)
    if sheet.chose is None:
        yield _incomplete(place, f"a {tasting.test} asks what taster {sheet.taster} chose", "chose: 417")
        return
    answers = _answers(tasting, plate)
    if sheet.chose not in answers:
        yield Fault(
            "tasting-code-not-served",
            (*place, "chose"),
            f"{sheet.chose} is no answer taster {sheet.taster} could give",
            f"write one of {listed(str(answer) for answer in answers)}",
        )


def _answers(tasting: Tasting, plate: Plate) -> tuple[int | str, ...]:
    if tasting.test in {"duo-trio", "tetrad"}:
        return plate.codes[1:]
    if tasting.test in RIGHT_OR_WRONG or tasting.test == "paired comparison":
        return plate.codes
    return (*plate.codes, NO_PREFERENCE)


def _marks(tasting: Tasting, sheet: Sheet, plate: Plate, index: int) -> Iterator[Fault]:
    place = ("results", index)
    if not sheet.marks:
        wanted = "{code: 417, rank: 1}" if tasting.test == "ranking" else "{code: 417, bark: 7}"
        yield _incomplete(place, f"{tasting.test} are written as marks", f"marks: [{wanted}]")
        return
    codes = [mark.code for mark in sheet.marks]
    for number, mark in enumerate(sheet.marks):
        where = (*place, "marks", number, "code")
        if mark.code not in plate.codes:
            yield Fault(
                "tasting-code-not-served",
                where,
                f"taster {sheet.taster} had no piece {mark.code}",
                f"write one of {listed(map(str, plate.codes))}",
            )
        elif mark.code in codes[:number]:
            yield Fault(
                "tasting-code-not-served",
                where,
                f"{mark.code} is marked twice by taster {sheet.taster}",
                "keep one",
            )
        if tasting.test == "ranking" and mark.rank is None:
            yield _incomplete((*place, "marks", number), f"{mark.code} has no rank", "rank: 1")
        if tasting.test == "scores":
            yield from _points(tasting, (*place, "marks", number), mark.code, set(mark.points))
    if tasting.test == "ranking" and (left := [code for code in plate.codes if code not in codes]):
        yield _incomplete(
            place,
            f"taster {sheet.taster} gave no rank to {listed(map(str, left))}",
            "a rank for each, or leave the sheet out",
        )


def _points(tasting: Tasting, place: tuple[str | int, ...], code: int, given: set[str]) -> Iterator[Fault]:
    if not given & set(tasting.attributes):
        wanted = tasting.attributes[0] if tasting.attributes else "bark"
        yield _incomplete(place, f"{code} has no points", f"{wanted.replace(' ', '_')}: 7")
    for attribute in sorted(given - set(tasting.attributes)):
        yield Fault(
            "tasting-field-unused",
            (*place, attribute.replace(" ", "_")),
            f"{attribute} is not among the attributes of this tasting",
            "add it to attributes:, or leave it out",
        )


def _incomplete(place: tuple[str | int, ...], message: str, example: str) -> Fault:
    return Fault("tasting-sheet-incomplete", place, message, f"write {example}")
