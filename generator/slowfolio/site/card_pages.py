"""The pages of pits, holders, wraps and cuts, and the two indexes that lead to them.

One page model serves the four kinds: every parameter with where it comes from, how to set it up, cautions,
and the methods that use the card. `card.html` and `index_page.html` lay them out.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Protocol, TypeVar

from slowfolio.book.model import Book, Cut, Holder, Method, Pit, Region, Sourced, SourcedRange, Wrap, WrapFace
from slowfolio.provenance import Provenance
from slowfolio.site.links import Links, anchor_of, card_uri
from slowfolio.site.shown import Both, Notes, Shown, both, same, sourced
from slowfolio.site.whose import card_words

Parameter = Sourced | SourcedRange | None
Row = tuple[str, str, Parameter]


class Titled(Protocol):
    """A card with a title."""

    @property
    def title(self) -> str:
        """The name shown on pages."""


class HasOrigin(Protocol):
    """A group of values that share one origin."""

    @property
    def provenance(self) -> Provenance:
        """Where the values come from."""

    @property
    def source(self) -> str:
        """The source in words."""


Card = TypeVar("Card", bound=Titled)

EQUIPMENT, CUTS = "equipment.md", "cuts.md"

HUMIDITY_BY = {
    "none": "it makes no humidity of its own",
    "pan": "a pan of water",
    "vapour temperature": "a water bath set to a vapour temperature (the dew point of its air)",
    "per cent": "steam, set in per cent relative humidity",
    "sealed": "nothing leaves: the meat's own moisture",
}


@dataclass(frozen=True, slots=True)
class ParameterRow:
    """One physical parameter with its value and origin."""

    label: str
    figure: Shown


@dataclass(frozen=True, slots=True)
class Use:
    """A method that uses the card, and where in it."""

    title: str
    href: str
    where: str


@dataclass(frozen=True, slots=True)
class CardPage:
    """All that the page of a piece of equipment or a cut shows."""

    kind: str
    title: str
    also_called: tuple[str, ...]
    summary: str
    index_href: str
    index_title: str
    facts: tuple[tuple[str, Both], ...]
    parameters: tuple[ParameterRow, ...]
    set_up_title: str
    set_up: tuple[str, ...]
    cautions: tuple[str, ...]
    uses: tuple[Use, ...]
    sources: tuple[str, ...]
    source_card: str


@dataclass(frozen=True, slots=True)
class IndexEntry:
    """A card in an index."""

    title: str
    href: str
    summary: str
    fact: Both
    used: str


@dataclass(frozen=True, slots=True)
class IndexGroup:
    """One kind of card in an index."""

    title: str
    anchor: str
    lede: str
    entries: tuple[IndexEntry, ...]


@dataclass(frozen=True, slots=True)
class IndexPage:
    """An index of cards."""

    title: str
    lede: str
    groups: tuple[IndexGroup, ...]


# --- pages -------------------------------------------------------------------------------------------


def pit_page(book: Book, pit: Pit, links: Links) -> CardPage:
    """The page of a pit."""
    rows: list[Row] = [
        ("Inside volume", "volume", pit.volume_m3),
        ("Air changes", "air_changes", pit.air_exchange_per_s),
        ("Draught at the meat", "speed", pit.draught_m_s),
        ("Surfaces over the meat, against its air", "temperature_difference", pit.radiant_above_k),
        ("Surfaces under the meat, against its air", "temperature_difference", pit.radiant_below_k),
        ("Drift of the pit temperature", "temperature_difference", pit.drift_k),
        ("Air against the dial", "temperature_difference", pit.air_offset_k),
        ("Dew point of the pit air", "temperature", pit.dew_point_c),
        ("Dew point with a full water pan", "temperature", pit.water_pan_dew_point_c),
        ("Smoke, against the reference pit", "ratio", pit.smoke),
        ("Grate", "area", pit.grate_area_m2),
        ("Load", "mass", pit.load_kg),
        ("Back at temperature after a minute open", "duration", pit.recovery_s),
    ]
    facts = (
        ("Kind", same(pit.kind)),
        ("Runs at", both("temperature", pit.pit_temp_c)),
        ("Burns", same(", ".join(pit.fuels))),
    )
    uses = _uses(book, links, card_uri("pits", pit.id), lambda method: _pit_use(method, pit.id))
    return _page("Pit", "pits", pit, facts, rows, "Set-up", pit.set_up, pit.cautions, uses, links)


def holder_page(book: Book, holder: Holder, links: Links) -> CardPage:
    """The page of a holder."""
    rows: list[Row] = [
        ("Inside volume", "volume", holder.volume_m3),
        ("Air changes", "air_changes", holder.air_exchange_per_s),
        ("Draught at the meat", "speed", holder.draught_m_s),
        ("Walls, against the air", "temperature_difference", holder.wall_offset_k),
        ("Drift of the air temperature", "temperature_difference", holder.drift_k),
        ("Air against the dial", "temperature_difference", holder.air_offset_k),
        ("Heat lost to the room", "heat_loss", holder.heat_loss_w_k),
        ("Heating power", "power", holder.power_w),
        ("Pan", "area", holder.pan_area_m2),
        ("Hot water in bottles", "volume", holder.hot_water_m3),
        ("That water goes in at", "temperature", holder.hot_water_c),
        ("Load", "mass", holder.load_kg),
    ]
    facts = [("Kind", same(holder.kind)), ("Humidity from", same(HUMIDITY_BY[holder.humidity_by]))]
    facts.append(("Heated", same("yes" if holder.heated else "no: it only keeps what heat it is given")))
    facts.append(("Air, settable" if holder.heated else "Air, usual", both("temperature", holder.air_temp_c)))
    if holder.vapour_temp_c is not None:
        facts.append(("Vapour temperature, settable", both("temperature", holder.vapour_temp_c)))
    if holder.relative_humidity is not None:
        facts.append(("Relative humidity, settable", both("fraction", holder.relative_humidity)))
    if holder.pan_area_m2 is not None:
        place = "over the element" if holder.pan_over_element else "away from the element"
        facts.append(("The pan stands", same(place)))
    uses = _uses(book, links, card_uri("holders", holder.id), lambda method: _hold_use(method, holder.id))
    return _page(
        "Holder", "holders", holder, facts, rows, "Set-up", holder.set_up, holder.cautions, uses, links
    )


def wrap_page(book: Book, wrap: Wrap, links: Links) -> CardPage:
    """The page of a wrap."""
    rows = [
        *_face("Top", wrap.top),
        *_face("Underside", wrap.bottom),
        ("Juice kept", "fraction", wrap.keeps_juice),
    ]
    facts = (
        ("Kind", same(wrap.kind)),
        ("Steam-tight", same("yes" if wrap.steam_tight else "no")),
        ("Fat added", same(wrap.added_fat)),
        ("Top", same("bare" if wrap.top.permeance_kg_s_m2_pa is None else "covered")),
        ("Underside", same("bare" if wrap.bottom.permeance_kg_s_m2_pa is None else "covered")),
    )
    uses = _uses(book, links, card_uri("wraps", wrap.id), lambda method: _wrap_use(method, wrap.id))
    return _page("Wrap", "wraps", wrap, facts, rows, "How to wrap", wrap.how_to, wrap.cautions, uses, links)


def cut_page(book: Book, cut: Cut, links: Links) -> CardPage:
    """The page of a cut."""
    rows: list[Row] = [
        ("Length at the typical weight", "length", cut.length_m),
        ("Width at the typical weight", "length", cut.width_m),
        *(row for region in cut.regions for row in _region(region)),
        ("Fat cap", "length", _of(cut.fat_cap.thickness_m, cut.fat_cap)),
        ("Fat cap covers", "fraction", _of(cut.fat_cap.cover, cut.fat_cap)),
        ("Bone", "fraction", cut.bone_fraction),
        ("Lost in trimming", "fraction", cut.trim_fraction),
        ("Collagen turns, against the reference cut", "ratio", cut.collagen_rate),
    ]
    facts = (
        ("Species", same(cut.species)),
        ("Raw weight", both("mass", cut.weight_kg)),
        ("Typical", both("mass", cut.typical_weight_kg)),
        (
            "Done when",
            same("probe tender" if cut.tender_by_collagen else "at temperature: it has little to melt"),
        ),
        ("Where to probe", same(cut.where_to_probe)),
    )
    uses = _uses(book, links, card_uri("cuts", cut.id), lambda method: "" if method.cut == cut.id else None)
    return _page("Cut", "cuts", cut, facts, rows, "Handling", cut.handling, (), uses, links)


def _page(
    kind: str,
    folder: str,
    card: Pit | Holder | Wrap | Cut,
    facts: Sequence[tuple[str, Both]],
    rows: Sequence[Row],
    set_up_title: str,
    set_up: tuple[str, ...],
    cautions: tuple[str, ...],
    uses: tuple[Use, ...],
    links: Links,
) -> CardPage:
    index = CUTS if folder == "cuts" else EQUIPMENT
    notes = Notes()
    return CardPage(
        kind=kind,
        title=card.title,
        also_called=card.also_called,
        summary=card.summary,
        index_href=links.href(card_uri(folder, card.id), index),
        index_title="Cuts" if folder == "cuts" else "Equipment",
        facts=tuple(facts),
        parameters=tuple(
            ParameterRow(name, sourced(parameter, dimension, notes))
            for name, dimension, parameter in rows
            if parameter is not None
        ),
        set_up_title=set_up_title,
        set_up=set_up,
        cautions=cautions,
        uses=uses,
        sources=card.sources,
        source_card=card_words(card.origin),
    )


def _face(name: str, face: WrapFace) -> list[Row]:
    return [
        (f"{name}: lets vapour through", "permeance", face.permeance_kg_s_m2_pa),
        (f"{name}: emissivity", "fraction", face.emissivity),
        (f"{name}: heat passed to the meat", "conductance", face.contact_w_m2_k),
    ]


def _region(region: Region) -> list[Row]:
    made = region.composition
    name = region.name.capitalize()
    return [
        (f"{name}: thickness", "length", _of(region.thickness_m, made)),
        (f"{name}: water", "fraction", _of(made.water, made)),
        (f"{name}: protein", "fraction", _of(made.protein, made)),
        (f"{name}: fat", "fraction", _of(made.fat, made)),
    ]


def _of(value: float, origin: "HasOrigin") -> Sourced:
    """A value that shares its origin with its neighbours on the card."""
    return Sourced(value, origin.provenance, origin.source)


# --- who uses it -------------------------------------------------------------------------------------


def _uses(book: Book, links: Links, origin: str, where: Callable[[Method], str | None]) -> tuple[Use, ...]:
    """The methods for which `where` says something, by title."""
    used = [(method, said) for method in book.methods.values() if (said := where(method)) is not None]
    return tuple(
        Use(method.title, links.href(origin, card_uri("methods", method.id)), said)
        for method, said in sorted(used, key=lambda pair: pair[0].title.casefold())
    )


def _pit_use(method: Method, pit: str) -> str | None:
    stages = [stage.name for stage in method.stages if (stage.pit or method.pit) == pit]
    return ", ".join(stages) if stages else None


def _wrap_use(method: Method, wrap: str) -> str | None:
    steps = [stage.name for stage in method.stages if stage.wrap == wrap]
    steps += ["vent and rest"] if method.vent is not None and method.vent.wrap == wrap else []
    steps += ["hold"] if method.hold is not None and method.hold.wrap == wrap else []
    return ", ".join(steps) if steps else None


def _hold_use(method: Method, holder: str) -> str | None:
    if method.hold is None or method.hold.holder != holder:
        return None
    return f"holds {both('duration', method.hold.for_s).us}"


# --- indexes -----------------------------------------------------------------------------------------


def equipment_index(book: Book, links: Links) -> IndexPage:
    """Pits, wraps and holders."""

    def entry(
        folder: str, card: Pit | Wrap | Holder, fact: Both, use: Callable[[Method, str], str | None]
    ) -> IndexEntry:
        used = sum(use(method, card.id) is not None for method in book.methods.values())
        href = links.href(EQUIPMENT, card_uri(folder, card.id))
        return IndexEntry(card.title, href, card.summary, fact, _count(used))

    pits = [
        entry("pits", pit, both("temperature", pit.pit_temp_c), _pit_use)
        for pit in _by_title(book.pits.values())
    ]
    wraps = [
        entry("wraps", wrap, same("steam-tight" if wrap.steam_tight else "lets steam out"), _wrap_use)
        for wrap in _by_title(book.wraps.values())
    ]
    holders = [
        entry("holders", holder, both("temperature", holder.air_temp_c), _hold_use)
        for holder in _by_title(book.holders.values())
    ]
    return IndexPage(
        "Equipment",
        "What the methods of this book are cooked on, wrapped in and held in. Every card gives the figures "
        "that the computation uses and says where each one comes from.",
        (
            IndexGroup("Pits", "pits", "With the range each holds steadily.", tuple(pits)),
            IndexGroup(
                "Wraps", "wraps", "What they do with steam decides what happens to bark.", tuple(wraps)
            ),
            IndexGroup("Holders", "holders", "With the air temperatures that can be set.", tuple(holders)),
        ),
    )


def cuts_index(book: Book, links: Links) -> IndexPage:
    """All cuts by species."""
    species = dict.fromkeys(cut.species for cut in _by_title(book.cuts.values()))
    groups = tuple(
        IndexGroup(
            kind.capitalize(),
            anchor_of(kind),
            "With the raw weights they are sold at.",
            tuple(
                IndexEntry(
                    cut.title,
                    links.href(CUTS, card_uri("cuts", cut.id)),
                    cut.summary,
                    both("mass", cut.weight_kg),
                    _count(sum(method.cut == cut.id for method in book.methods.values())),
                )
                for cut in _by_title(book.cuts.values())
                if cut.species == kind
            ),
        )
        for kind in sorted(species)
    )
    return IndexPage(
        "Cuts", "The shapes and make-up that the computation starts from, and where to probe them.", groups
    )


def _count(number: int) -> str:
    if number == 0:
        return "no method yet"
    return "1 method" if number == 1 else f"{number} methods"


def _by_title(cards: Iterable[Card]) -> list[Card]:
    return sorted(cards, key=lambda card: card.title.casefold())
