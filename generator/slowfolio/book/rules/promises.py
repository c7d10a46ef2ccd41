"""What a method promises (levels, allergens, dates, status) against what the rest of the card says."""

import re
from collections.abc import Iterator

from slowfolio.book.findings import Fault
from slowfolio.book.model import KeyPath, Status, Wrap
from slowfolio.book.rules.case import MethodCase, top_is_bare

ALLERGENS_OF_FAT = {"clarified butter": "milk"}
SAME_ALLERGEN = {"wheat": "cereals with gluten", "cereals with gluten": "wheat"}
"""Wheat is the US name for one of the cereals with gluten of the EU list."""

ALLERGEN_WORDS = {
    "mustard": "mustard",
    "butter": "milk",
    "buttermilk": "milk",
    "milk": "milk",
    "cream": "milk",
    "ghee": "milk",
    "mayonnaise": "eggs",
    "egg": "eggs",
    "soy": "soybeans",
    "miso": "soybeans",
    "flour": "wheat",
    "beer": "cereals with gluten",
    "sesame": "sesame",
    "tahini": "sesame",
    "peanut": "peanuts",
    "celery": "celery",
    "anchovy": "fish",
    "anchovies": "fish",
    "worcestershire": "fish",
    "wine": "sulphites",
    "almond": "tree nuts",
    "pecan": "tree nuts",
    "walnut": "tree nuts",
}
"""Common practice, no source: words in an ingredient that usually mean an allergen."""


def promise_faults(case: MethodCase) -> Iterator[Fault]:
    """Yield every promise of the card that the card itself breaks."""
    yield from _bark(case)
    yield from _smoke(case)
    yield from _allergens(case)
    yield from _dates(case)
    yield from _status(case)
    yield from _folder(case)


# --- levels -----------------------------------------------------------------------------------------


def _bark(case: MethodCase) -> Iterator[Fault]:
    bark = case.method.expected.get("bark")
    if bark is None or bark.level != "crisp":
        return
    softened: tuple[KeyPath, Wrap] | None = None
    for place, wrap, dries in _coverings(case):
        if wrap.steam_tight:
            softened = place, wrap
        elif dries:
            softened = None
    if softened is None:
        return
    place, wrap = softened
    yield Fault(
        "crisp-after-steam-tight-wrap",
        ("expect", "bark", "level"),
        f"the {wrap.title.lower()} ({_spoken(case, place)}) keeps the steam in; nothing dries it after",
        "expect soft or tender, finish with an unwrapped stage, or wrap in a boat or paper",
    )


def _coverings(case: MethodCase) -> Iterator[tuple[KeyPath, Wrap, bool]]:
    """Every wrap in the order of the cook, with whether that part of the cook dries the top."""
    for index, stage in enumerate(case.method.stages):
        wrap = case.wrap_of(stage)
        yield ("stages", index), wrap, top_is_bare(wrap)
    if case.method.vent is not None:
        yield ("vent",), case.wraps[case.method.vent.wrap], False
    if case.method.hold is not None and case.holder is not None:
        wrap = case.wraps[case.method.hold.wrap]
        dry = case.holder.heated and case.holder.humidity_by == "none"
        yield ("hold",), wrap, dry and top_is_bare(wrap)


def _spoken(case: MethodCase, place: KeyPath) -> str:
    if place[0] == "stages" and isinstance(place[1], int):
        return f"stage {place[1] + 1}, {case.method.stages[place[1]].name}"
    return str(place[0])


def _smoke(case: MethodCase) -> Iterator[Fault]:
    smoke = case.method.expected.get("smoke")
    if smoke is None or smoke.level != "strong":
        return
    open_stages = [stage for stage in case.method.stages if top_is_bare(case.wrap_of(stage))]
    place = ("expect", "smoke", "level")
    if not open_stages:
        yield Fault(
            "strong-smoke-without-smoke",
            place,
            "the meat is wrapped in every stage, so little smoke reaches it",
            "expect light, or start with an unwrapped stage",
        )
    elif all(case.pit_of(stage).kind == "indoor oven" for stage in open_stages):
        yield Fault(
            "strong-smoke-without-smoke",
            place,
            "the meat is open only in an indoor oven, which gives no smoke",
            "expect light, or start in a pit that smokes",
        )


# --- allergens --------------------------------------------------------------------------------------


def _allergens(case: MethodCase) -> Iterator[Fault]:
    method = case.method
    listed_there = set(method.allergens)
    carried: set[str] = set()
    for index, item in enumerate(method.seasoning):
        carried.update(item.allergens)
        for number, allergen in enumerate(item.allergens):
            if allergen not in listed_there:
                yield _not_listed(("seasoning", index, "allergens", number), item.item, allergen)
        for allergen in _usual_allergens(item.item):
            if not {allergen, SAME_ALLERGEN.get(allergen)} & {*item.allergens}:
                yield Fault(
                    "allergen-perhaps-missing",
                    ("seasoning", index, "item"),
                    f"{item.item} usually carries {allergen}, and the item lists no such allergen",
                    f"add {allergen} to the item and to the method, or write that it is {allergen}-free",
                )
    for place, wrap in _wraps_in_use(case):
        fat_allergen = ALLERGENS_OF_FAT.get(wrap.added_fat)
        if fat_allergen is not None:
            carried.add(fat_allergen)
            if fat_allergen not in listed_there:
                yield _not_listed(place, f"the {wrap.added_fat} of {wrap.title.lower()}", fat_allergen)
    for index, allergen in enumerate(method.allergens):
        if not {allergen, SAME_ALLERGEN.get(allergen)} & carried:
            yield Fault(
                "allergen-without-ingredient",
                ("allergens", index),
                f"no ingredient and no wrap of the method carries {allergen}",
                f"add allergens: [{allergen}] to the ingredient it comes from, or delete it here",
            )


def _not_listed(place: KeyPath, carrier: str, allergen: str) -> Fault:
    return Fault(
        "allergen-not-listed",
        place,
        f"{carrier} carries {allergen}, which the allergens of the method leave out",
        f"add {allergen} to allergens: at the end of the card",
    )


def _usual_allergens(item: str) -> list[str]:
    text = item.lower()
    if " free" in text or "-free" in text:
        return []
    words = re.findall(r"[a-z]+", text.replace("peanut butter", "peanut").replace("cocoa butter", ""))
    found = (ALLERGEN_WORDS.get(word) or ALLERGEN_WORDS.get(word.removesuffix("s")) for word in words)
    return list(dict.fromkeys(allergen for allergen in found if allergen))


def _wraps_in_use(case: MethodCase) -> Iterator[tuple[KeyPath, Wrap]]:
    seen: set[str] = set()
    for path, wrap, _dries in _coverings(case):
        if wrap.id not in seen:
            seen.add(wrap.id)
            yield (*path, "wrap"), wrap


# --- dates, status, folder --------------------------------------------------------------------------


def _dates(case: MethodCase) -> Iterator[Fault]:
    method = case.method
    if method.reviewed > case.today:
        yield Fault(
            "reviewed-in-future",
            ("reviewed",),
            f"{method.reviewed} has not come yet",
            f"write the day it was looked over, at the latest {case.today}",
        )
    if method.review_by <= method.reviewed:
        yield Fault(
            "review-before-reviewed",
            ("review_by",),
            f"the next review is due on {method.review_by}, not after the last one on {method.reviewed}",
            "write a later day",
        )
    elif method.review_by < case.today and method.status is not Status.WITHDRAWN:
        days = (case.today - method.review_by).days
        yield Fault(
            "review-overdue",
            ("review_by",),
            f"the review was due on {method.review_by}, {days} day{'s' if days != 1 else ''} ago",
            "look the method over, then set reviewed and review_by",
        )


def _status(case: MethodCase) -> Iterator[Fault]:
    method = case.method
    if method.status is Status.HOUSE_STANDARD and not method.owner:
        yield Fault(
            "house-standard-without-owner",
            ("status",),
            "a house standard has someone who answers for it",
            "add owner: with a role, such as Pit lead",
        )
    if method.status is Status.HOUSE_STANDARD and not method.sources:
        yield Fault(
            "house-standard-without-sources",
            ("status",),
            "a house standard says what it rests on",
            "add sources: with the cooks, tastings or books it comes from",
        )
    if method.status is Status.WITHDRAWN:
        yield Fault("method-withdrawn", ("status",), "this method is withdrawn and kept for the record only")


def _folder(case: MethodCase) -> Iterator[Fault]:
    folders = case.method.origin.file.removeprefix("adapted/").split("/")[1:-1]
    cut = case.cut
    known = {
        word for text in (cut.id, cut.title, cut.species, *cut.also_called) for word in _folder_words(text)
    }
    for folder in folders[-1:]:
        if not _folder_words(folder) <= known:
            yield Fault(
                "cut-folder-mismatch",
                ("cut",),
                f"the card is in the folder {folder}, but its cut is {cut.id}",
                f"move it to a folder named after the cut, such as cards/{cut.id}/",
            )


def _folder_words(text: str) -> set[str]:
    return {word.removesuffix("s") for word in re.findall(r"[a-z0-9]+", text.lower())}
