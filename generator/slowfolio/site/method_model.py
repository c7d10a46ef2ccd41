"""What the page of a method shows, as frozen values in the order of the page, already in words.

Data only. `method_page` and `method_steps` fill it; `method.html` lays it out.
"""

from dataclasses import dataclass

from markupsafe import Markup

from slowfolio.book.model import Ingredient
from slowfolio.site.cook_rows import CookRow
from slowfolio.site.hold_section import HoldSection
from slowfolio.site.links import Link
from slowfolio.site.safety_box import SafetyBox
from slowfolio.site.shown import Both, Group, Note, Shown, Tag
from slowfolio.site.tasting_answers import EvidenceRow


@dataclass(frozen=True, slots=True)
class Glance:
    """One figure of the at-a-glance strip."""

    label: str
    figure: Shown
    remark: str = ""


@dataclass(frozen=True, slots=True)
class Setting:
    """One thing to set or to aim for, with its value."""

    label: str
    value: Both
    link: Link | None = None


@dataclass(frozen=True, slots=True)
class UsualCaution:
    """A caution of the trade, with the note that names its source."""

    text: str
    tag: Tag


@dataclass(frozen=True, slots=True)
class UsualCautions:
    """The cautions of the trade at one step: in full where they stand first, later as links to there."""

    full: tuple[UsualCaution, ...] = ()
    again: tuple[Link, ...] = ()


@dataclass(frozen=True, slots=True)
class Edges:
    """The usual cautions that stand before the first step and after the last."""

    before: UsualCautions
    serving: UsualCautions
    after: UsualCautions


@dataclass(frozen=True, slots=True)
class Step:
    """One stage of the cook, the rest, or the hold, as a numbered step."""

    number: int
    name: str
    settings: tuple[Setting, ...]
    computed: Group
    air: Group
    look_for: tuple[str, ...]
    why: str
    cautions: tuple[str, ...]
    remark: str
    usual: UsualCautions = UsualCautions()


@dataclass(frozen=True, slots=True)
class HoldSetUp:
    """How this hold is set on its own holder, for a method whose holds are not computed."""

    holder: Link
    summary: str
    settings: tuple[Setting, ...]
    computed: Group
    set_up: tuple[str, ...]
    cautions: tuple[str, ...]
    why: str


@dataclass(frozen=True, slots=True)
class Outcome:
    """One quality: what the computation gives and what the author expects."""

    name: str
    bar: Markup
    score: Shown | None
    level: str
    level_tag: Tag | None
    note: str


@dataclass(frozen=True, slots=True)
class CutPicture:
    """The piece cut lengthwise at one moment, by temperature and by moisture."""

    moment: str
    temperature: Markup
    moisture: Markup


@dataclass(frozen=True, slots=True)
class RankRow:
    """One uncertain input and how much of the spread of the finish it explains."""

    name: str
    bar: Markup
    share: str
    effect: str


@dataclass(frozen=True, slots=True)
class Alternative:
    """Another method of the same cut that has clearly more of one quality: what, where, and both figures."""

    words: str
    link: Link
    there: Shown
    here: Shown


@dataclass(frozen=True, slots=True)
class CourseRow:
    """One row of the table behind the timeline."""

    hour: str
    cells: tuple[Both, ...]


@dataclass(frozen=True, slots=True)
class MethodPage:
    """All that the page of a method shows."""

    title: str
    also_called: tuple[str, ...]
    choose_when: str
    status: str
    withdrawn: bool
    parts: tuple[tuple[str, Link], ...]
    glance: tuple[Glance, ...]
    computed: bool
    remarks: tuple[Both, ...]
    timelines: tuple[Markup, ...]
    timeline_finding: str
    course: tuple[CourseRow, ...]
    piece: tuple[Setting, ...]
    seasoning: tuple[Ingredient, ...]
    fuel: str
    steps: tuple[Step, ...]
    edges: Edges
    claim: Tag
    held: HoldSection | None
    hold: HoldSetUp | None
    outcomes: tuple[Outcome, ...]
    details: Group
    cuts: tuple[CutPicture, ...]
    cut_keys: tuple[Markup, ...]
    ranking: tuple[RankRow, ...]
    ranking_tag: Tag | None
    safety: SafetyBox | None
    recorded: tuple[CookRow, ...]
    evidence: tuple[EvidenceRow, ...]
    evidence_words: str
    alternatives: tuple[Alternative, ...]
    compare_href: str
    plan_href: str
    print_href: str
    pit_href: str
    handling: tuple[str, ...]
    cautions: tuple[str, ...]
    allergens: tuple[str, ...]
    allergens_around: tuple[str, ...]
    sources: tuple[str, ...]
    revision: str
    source_card: str
    engine: str
    notes: tuple[Note, ...]
