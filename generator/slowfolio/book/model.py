"""The book as frozen data: one dataclass for each kind of card, with the place of every value.

Cards are read once into these; nothing downstream touches YAML. Quantities are SI floats with the unit in
the name. `card.origin.at("stages", 2, "until")` gives the line and column a value was written at.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from typing import TYPE_CHECKING

from slowfolio.provenance import Provenance
from slowfolio.units import Range, System

if TYPE_CHECKING:
    from slowfolio.book.tasting_card import Tasting

Key = str | int
KeyPath = tuple[Key, ...]


@dataclass(frozen=True, slots=True, order=True)
class Mark:
    """A place in a file: 1-based line and column, and the column just past the value on that line."""

    line: int
    column: int
    end_column: int = 0


class Layer(StrEnum):
    """Whose a card is, in a book on top of another."""

    OWN = "our own"
    ADAPTED = "changed by us"
    INHERITED = "from the base"


@dataclass(frozen=True, slots=True)
class Origin:
    """The file a card was read from (relative to the book) and the mark of every key path in it.

    For a card changed by us these are the paths our own file states; the rest is the base's.
    """

    file: str
    digest: str
    marks: Mapping[KeyPath, Mark]
    layer: Layer = Layer.OWN

    def at(self, *path: Key) -> Mark:
        """Return the mark of a value, or of its nearest ancestor that was written in the file."""
        for end in range(len(path), -1, -1):
            if (mark := self.marks.get(path[:end])) is not None:
                return mark
        return Mark(1, 1)


@dataclass(frozen=True, slots=True)
class Sourced:
    """A physical parameter in SI with its provenance and where it was taken from."""

    value: float
    provenance: Provenance
    source: str


@dataclass(frozen=True, slots=True)
class SourcedRange:
    """A range of a physical parameter in SI with its provenance and where it was taken from."""

    value: Range
    provenance: Provenance
    source: str


class Status(StrEnum):
    """How far a method has come on its way to the house standard."""

    DRAFT = "draft"
    ON_TRIAL = "on trial"
    HOUSE_STANDARD = "house standard"
    WITHDRAWN = "withdrawn"


# --- the book itself ---------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class HouseLimits:
    """Limits a kitchen sets itself, stricter than its authority's; None keeps the authority's.

    `cooling_s` has one time for each step of the authority's cooling rule.
    """

    hot_hold_c: float | None = None
    hot_hold_roasts_c: float | None = None
    below_hot_hold_s: float | None = None
    cold_hold_c: float | None = None
    reheat_c: float | None = None
    reheat_within_s: float | None = None
    cooling_s: tuple[float, ...] | None = None
    why: str = ""


@dataclass(frozen=True, slots=True)
class Base:
    """The book another one stands on, as it is named there, and what is not taken from it."""

    book: str
    leave_out: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Serving:
    """What a kitchen serves and pays: portions of cooked meat, prices of raw meat as texts, by cut.

    `allergens_handled` are in use around any of its dishes; `cuts` are those it says something of, in order.
    """

    portion_kg: float | None = None
    portions_kg: Mapping[str, float] = field(default_factory=dict)
    prices: Mapping[str, str] = field(default_factory=dict)
    allergens_handled: tuple[str, ...] = ()
    cuts: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class BookCard:
    """`book.yaml`: what holds for every method of the book."""

    origin: Origin
    title: str
    kitchen: str
    summary: str
    authority: str
    altitude_m: float
    units_first: System
    room_temp_c: float
    room_humidity: float
    owner: str
    house_limits: HouseLimits | None = None
    base: Base | None = None
    serving: Serving = Serving()
    evidence_needed: str = "one cook"


# --- cuts -------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Composition:
    """Mass fractions of the raw meat; they sum to 1 within the tolerance the check states."""

    water: float
    protein: float
    fat: float
    ash: float
    provenance: Provenance
    source: str


@dataclass(frozen=True, slots=True)
class Region:
    """A stretch of the piece along its length, thin end first: a flat, a point, or the whole of it."""

    name: str
    share_of_length: float
    thickness_m: float
    composition: Composition


@dataclass(frozen=True, slots=True)
class FatCap:
    """The layer of outside fat left after trimming, and the fraction of its face that it covers."""

    thickness_m: float
    cover: float
    provenance: Provenance
    source: str


@dataclass(frozen=True, slots=True)
class Cut:
    """A cut of meat: shape at a typical weight, make-up, and how its connective tissue behaves."""

    origin: Origin
    id: str
    title: str
    also_called: tuple[str, ...]
    species: str
    summary: str
    weight_kg: Range
    typical_weight_kg: float
    length_m: Sourced
    width_m: Sourced
    regions: tuple[Region, ...]
    fat_cap: FatCap
    bone_fraction: Sourced
    trim_fraction: Sourced
    collagen_rate: Sourced
    tender_by_collagen: bool
    where_to_probe: str
    handling: tuple[str, ...]
    sources: tuple[str, ...]


# --- pits -------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Pit:
    """A pit: how it moves air, from which side it heats, how well it holds its temperature."""

    origin: Origin
    id: str
    title: str
    also_called: tuple[str, ...]
    kind: str
    summary: str
    fuels: tuple[str, ...]
    pit_temp_c: Range
    volume_m3: Sourced
    air_exchange_per_s: Sourced
    draught_m_s: Sourced
    radiant_above_k: Sourced
    radiant_below_k: Sourced
    drift_k: Sourced
    dew_point_c: SourcedRange
    water_pan_dew_point_c: SourcedRange | None
    smoke: Sourced
    grate_area_m2: Sourced
    load_kg: Sourced
    recovery_s: Sourced
    set_up: tuple[str, ...]
    cautions: tuple[str, ...]
    sources: tuple[str, ...]
    air_offset_k: Sourced | None = None


# --- wraps ------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class WrapFace:
    """One face of a wrap: how vapour and heat pass it. `permeance` is None where the face is bare."""

    permeance_kg_s_m2_pa: Sourced | None
    emissivity: Sourced
    contact_w_m2_k: Sourced | None


@dataclass(frozen=True, slots=True)
class Wrap:
    """A wrap: what each face lets through, and whether juice stays with the meat."""

    origin: Origin
    id: str
    title: str
    also_called: tuple[str, ...]
    kind: str
    summary: str
    top: WrapFace
    bottom: WrapFace
    keeps_juice: Sourced
    steam_tight: bool
    added_fat: str
    how_to: tuple[str, ...]
    cautions: tuple[str, ...]
    sources: tuple[str, ...]


# --- holders ----------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Holder:
    """A holder: what can be set on it, how it makes its humidity, and how air and heat leave it.

    `humidity_by` is one of "none", "pan", "vapour temperature", "per cent", "sealed".
    """

    origin: Origin
    id: str
    title: str
    also_called: tuple[str, ...]
    kind: str
    summary: str
    humidity_by: str
    heated: bool
    air_temp_c: Range
    vapour_temp_c: Range | None
    relative_humidity: Range | None
    volume_m3: Sourced
    air_exchange_per_s: Sourced
    draught_m_s: Sourced
    wall_offset_k: Sourced
    drift_k: Sourced
    heat_loss_w_k: Sourced
    power_w: Sourced | None
    pan_area_m2: SourcedRange | None
    pan_over_element: bool
    load_kg: Sourced
    set_up: tuple[str, ...]
    cautions: tuple[str, ...]
    sources: tuple[str, ...]
    air_offset_k: Sourced | None = None
    hot_water_m3: Sourced | None = None
    hot_water_c: Sourced | None = None


# --- methods ----------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Piece:
    """The raw piece a method is written for, after trimming."""

    weight_kg: Range
    thickness_m: Range | None
    start_temp_c: float
    trim: str
    grade: str


@dataclass(frozen=True, slots=True)
class Ingredient:
    """One item of the seasoning, with the allergens it carries (book's authority decides which count)."""

    item: str
    use: str
    amount: str
    allergens: tuple[str, ...]
    note: str


@dataclass(frozen=True, slots=True)
class Until:
    """When a stage ends: after a time, at a core temperature, or when a probe slides in (one of the three).

    `probe_tender_from_c` is the core temperature at which to start probing. `at_most_s` ends the stage
    whatever has been reached; `at_least_s` keeps it going.
    """

    time_s: float | None = None
    core_temp_c: float | None = None
    probe_tender_from_c: float | None = None
    at_least_s: float | None = None
    at_most_s: float | None = None


@dataclass(frozen=True, slots=True)
class Spritz:
    """Light spraying on a schedule, from a time after the start of the stage."""

    liquid: str
    every_s: float
    after_s: float
    amount_m3: float


@dataclass(frozen=True, slots=True)
class Stage:
    """One stage of the cook, with what to look for and why it is done."""

    name: str
    pit_temp_c: float
    until: Until
    wrap: str
    pit: str | None
    fat_side: str
    water_pan: bool
    spritz: Spritz | None
    open_every_s: float | None
    look_for: tuple[str, ...]
    why: str
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Vent:
    """The rest after the pit: carry-over is let off before the hold or the board."""

    until: Until
    wrap: str
    where: str
    why: str


@dataclass(frozen=True, slots=True)
class Hold:
    """The hold: in what, how warm and damp, wrapped how, for how long, at most how long.

    `relative_humidity` is None where the card says `auto` (the computation chooses inside the window).
    """

    holder: str
    air_temp_c: float
    relative_humidity: float | None
    wrap: str
    for_s: float
    at_most_s: float
    why: str


@dataclass(frozen=True, slots=True)
class Expected:
    """One quality the author expects, in the trade's words, with its provenance."""

    level: str
    provenance: Provenance
    note: str


@dataclass(frozen=True, slots=True)
class Reason:
    """Why an amber figure in one part of the work is accepted."""

    about: str
    because: str


@dataclass(frozen=True, slots=True)
class Method:
    """A method card: everything another kitchen needs to reproduce the result."""

    origin: Origin
    id: str
    title: str
    also_called: tuple[str, ...]
    choose_when: str
    status: Status
    owner: str
    revision: int
    reviewed: date
    review_by: date
    cut: str
    piece: Piece
    seasoning: tuple[Ingredient, ...]
    pit: str
    fuel: str
    stages: tuple[Stage, ...]
    vent: Vent | None
    hold: Hold | None
    expected: Mapping[str, Expected]
    handling: tuple[str, ...]
    cautions: tuple[str, ...]
    allergens: tuple[str, ...]
    sources: tuple[str, ...]
    reasons: tuple[Reason, ...] = ()
    waiver: str = ""


# --- recorded cooks ---------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class CookedPiece:
    """The piece of a recorded cook, as far as it was weighed and measured.

    `weighed` says when it was weighed again: "off the pit", "after the vent" or "after the hold".
    """

    weight_before_kg: float | None = None
    weight_after_kg: float | None = None
    weighed: str = "after the hold"
    thickness_m: float | None = None
    start_temp_c: float | None = None


@dataclass(frozen=True, slots=True)
class Weather:
    """The air outside on the day of a cook."""

    temp_c: float | None = None
    humidity: float | None = None
    wind_m_s: float | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class LogRecipe:
    """The raw log beside a cook's card and how to read it, in the words of the schema.

    `columns` leads from time, pit, thick, thin and humidity to the heading (or the number) of a column.
    """

    file: str
    sha256: str
    kind: str
    encoding: str
    delimiter: str
    decimal: str
    heading_line: int
    time_kind: str
    time_format: str
    time_unit: str
    unit: str
    columns: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class CookEvent:
    """One thing that happened in a cook; `at_s` counts from the first reading of the log."""

    what: str
    at_s: float
    found: str


@dataclass(frozen=True, slots=True)
class Cook:
    """A recorded cook: method, piece, equipment, weather, the raw log and what was found in it."""

    origin: Origin
    id: str
    title: str
    method: str
    date: date
    pit: str
    holder: str | None
    cooked_by: str
    invented: bool
    piece: CookedPiece
    weather: Weather
    log: LogRecipe
    events: tuple[CookEvent, ...]
    corrections: tuple[str, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Book:
    """All cards of a book, by id. Methods that failed their check are not in it, nor tastings of them."""

    root: str
    card: BookCard
    cuts: Mapping[str, Cut]
    pits: Mapping[str, Pit]
    wraps: Mapping[str, Wrap]
    holders: Mapping[str, Holder]
    methods: Mapping[str, Method]
    tastings: "Mapping[str, Tasting]" = field(default_factory=dict)
    cooks: Mapping[str, Cook] = field(default_factory=dict)
