"""The authorities a book can work under, each with its figures, citation, edition and standing.

`profile("uk")` gives one; `house.stricter` tightens it with a house's own figures. What a figure means for a
course of temperatures is decided in `cooking`, `hot_hold`, `cooling` and `reheat`, never here.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from slowfolio.safety.allergens import (
    AUSTRALIA_NEW_ZEALAND_LIST,
    CANADA_LIST,
    EU_LIST,
    US_LIST,
    AllergenList,
)
from slowfolio.safety.history import SafetyInputError
from slowfolio.safety.rules import (
    Allowance,
    Binding,
    CookingRule,
    CoolingLimit,
    CoolingRule,
    EndPoint,
    EndPoints,
    PieceClass,
    ReferenceProcess,
    ReheatRule,
    RoastChart,
)
from slowfolio.safety.standing import Citation, Confidence, Standing

HOUR = 3600.0


@dataclass(frozen=True, slots=True)
class Profile:
    """One authority's limits. Temperatures in °C; `hot_hold_min_f` is the figure a US reader knows.

    `roast_hold_min_c` is the lower floor for roasts cooked or reheated by the roast chart, where there is
    one. `cooking` has no entry for a class of piece that the authority's sources give no figure for.
    """

    id: str
    name: str
    hot_hold_min_c: float
    hot_hold_min_f: float
    hot_hold: Citation
    roast_hold_min_c: float | None
    allowance: Allowance | None
    cooking: Mapping[PieceClass, CookingRule]
    cooling: CoolingRule
    cold_max_c: float | None
    cold: Citation
    reheat: ReheatRule | None
    allergens: AllergenList
    citation: Citation
    notes: tuple[str, ...] = ()


def profile(name: str) -> Profile:
    """Return the profile called `name`, such as "us-retail"; SafetyInputError lists the names there are."""
    try:
        return PROFILES[name]
    except KeyError:
        raise SafetyInputError(f"no authority {name!r}: write one of {', '.join(PROFILES)}") from None


def _code(section: str, standing: Standing = Standing.READ, note: str = "") -> Citation:
    wording = "Read as adopted word for word by states and cities; the 2022 edition itself was not read."
    return Citation("US FDA Food Code", section, "2022", standing, Confidence.HIGH, note or wording)


def _usda(section: str, standing: Standing = Standing.READ) -> Citation:
    return Citation("USDA FSIS consumer advice", section, "consumer pages", standing)


def _any_of(citation: Citation, *options: tuple[float, float]) -> CookingRule:
    return CookingRule(EndPoints(tuple(EndPoint(*option) for option in options)), True, citation)


def _reference_process(citation: Citation, *, binding: bool) -> Mapping[PieceClass, CookingRule]:
    return MappingProxyType({kind: CookingRule(ReferenceProcess(), binding, citation) for kind in PieceClass})


_PARTS_165 = _code("3-401.11(A)(3)", note="Instantaneous since 2017; earlier editions ask for 15 s.")

US_RETAIL = Profile(
    id="us-retail",
    name="US Food Code 2022 (retail and food service)",
    hot_hold_min_c=57.0,
    hot_hold_min_f=135.0,
    hot_hold=_code("3-501.16(A)(1)"),
    roast_hold_min_c=54.0,
    allowance=Allowance(
        4 * HOUR,
        False,
        "time as a public health control: a written procedure, the food marked with its time, started at "
        "57 °C (135 °F) or above, then cooked, served or discarded within 4 h",
        _code("3-501.19(B)"),
    ),
    cooking=MappingProxyType(
        {
            PieceClass.ROAST: CookingRule(RoastChart(), True, _code("3-401.11(B)")),
            PieceClass.INTACT: _any_of(_code("3-401.11(A)(1)"), (63.0, 15.0)),
            PieceClass.OPENED: _any_of(
                _code("3-401.11(A)(2)"), (63.0, 180.0), (66.0, 60.0), (68.0, 17.0), (70.0, 0.0)
            ),
            PieceClass.GROUND: _any_of(
                _code("3-401.11(A)(2)"), (63.0, 180.0), (66.0, 60.0), (68.0, 17.0), (70.0, 0.0)
            ),
            PieceClass.POULTRY: _any_of(_PARTS_165, (74.0, 0.0)),
            PieceClass.GAME: _any_of(_PARTS_165, (74.0, 0.0)),
        }
    ),
    cooling=CoolingRule(
        (CoolingLimit(57.0, 21.0, 2 * HOUR), CoolingLimit(57.0, 5.0, 6 * HOUR)),
        Binding.RULE,
        _code("3-501.14(A)"),
    ),
    cold_max_c=5.0,
    cold=_code("3-501.16(A)(2)"),
    reheat=ReheatRule(
        74.0,
        15.0,
        2 * HOUR,
        _code("3-403.11(A) and (D)"),
        "Food for an individual order may be served at any temperature (3-403.10).",
        _code("3-403.11(E)"),
    ),
    allergens=US_LIST,
    citation=_code("3-401 to 3-501"),
    notes=("Smoking for flavour needs no variance; smoking to preserve does (3-502.11).",),
)

US_CONSUMER = Profile(
    id="us-consumer",
    name="USDA advice for home kitchens",
    hot_hold_min_c=60.0,
    hot_hold_min_f=140.0,
    hot_hold=_usda("danger zone 40 to 140 °F"),
    roast_hold_min_c=None,
    allowance=Allowance(
        2 * HOUR,
        False,
        "out of the heat for 2 h at most, 1 h where the air is above 32 °C (90 °F), then refrigerated or "
        "discarded",
        _usda("danger zone: out of temperature"),
        in_warm_air_s=HOUR,
    ),
    cooking=MappingProxyType(
        {
            PieceClass.ROAST: _any_of(_usda("steaks, chops and roasts"), (62.8, 180.0)),
            PieceClass.INTACT: _any_of(_usda("steaks, chops and roasts"), (62.8, 180.0)),
            PieceClass.OPENED: _any_of(_usda("steaks, chops and roasts"), (62.8, 180.0)),
            PieceClass.GROUND: _any_of(_usda("ground meat"), (71.1, 0.0)),
            PieceClass.POULTRY: _any_of(_usda("all poultry"), (73.9, 0.0)),
        }
    ),
    cooling=CoolingRule(
        (),
        Binding.RULE,
        _usda("leftovers: shallow containers, refrigerated within 2 h", Standing.MEMORY),
        into_cold_within_s=2 * HOUR,
        note="The advice is about getting shallow containers into the cold; it has no figure for the centre.",
    ),
    cold_max_c=4.4,
    cold=_usda("at or below 40 °F"),
    reheat=ReheatRule(74.0, 0.0, None, _usda("leftovers to 165 °F throughout")),
    allergens=US_LIST,
    citation=_usda("danger zone, cooking temperatures, leftovers"),
    notes=("The 3 min rest after 145 °F is counted here as 3 min at or above it, which is stricter.",),
)

_FSA = Citation(
    "UK Food Standards Agency",
    "cooking to 70 °C for 2 min or equivalent",
    "temperature control guidance 2016",
    Standing.MEMORY,
    note="70 °C for 2 min as 6-log of Listeria READ in tables derived from EU guidance.",
)

UK = Profile(
    id="uk",
    name="United Kingdom (England, Wales, Northern Ireland)",
    hot_hold_min_c=63.0,
    hot_hold_min_f=145.4,
    hot_hold=Citation(
        "UK food hygiene regulations",
        "Food Hygiene (Wales) Regulations 2006 Sch 4 para 6; "
        "Food Safety and Hygiene (England) Regulations Sch 4",
        "2006; 2013",
        Standing.READ,
        note="Wales Schedule 4 READ; England MEMORY.",
    ),
    roast_hold_min_c=None,
    allowance=Allowance(
        2 * HOUR,
        True,
        "hot food may be below 63 °C once, for 2 h at most, then it is reheated, chilled or discarded",
        Citation(
            "UK food hygiene regulations",
            "Sch 4, one service period below 63 °C",
            "2006; 2013; FSA guidance 2016",
            Standing.MEMORY,
        ),
    ),
    cooking=_reference_process(_FSA, binding=True),
    cooling=CoolingRule(
        (CoolingLimit(63.0, 8.0, 2 * HOUR),),
        Binding.ADVICE,
        Citation(
            "UK Food Standards Agency",
            "cool as quickly as possible, advice 1 to 2 h",
            "temperature control guidance 2016",
            Standing.MEMORY,
        ),
        note="The rule says as quickly as possible and the advice names no end temperature; the cold-hold "
        "limit of 8 °C is taken as the end here (our reading).",
    ),
    cold_max_c=8.0,
    cold=Citation(
        "UK food hygiene regulations",
        "Food Hygiene (Wales) Regulations 2006 Sch 4 para 2",
        "2006",
        Standing.READ,
        note="Wales Schedule 4 READ; England MEMORY.",
    ),
    reheat=ReheatRule(None, 0.0, None, _FSA, "Scotland asks for 82 °C (MEMORY)."),
    allergens=EU_LIST,
    citation=Citation(
        "UK food hygiene regulations",
        "Sch 4 temperature control",
        "2006; 2013; FSA guidance 2016",
        Standing.READ,
    ),
    notes=("Chilled food may be on display above 8 °C once, for 4 h at most (MEMORY).",),
)

_EU_REGULATION = Citation(
    "European Union", "Regulation (EC) 852/2004, Annex II ch. IX", "2004", Standing.READ
)

EU = Profile(
    id="eu",
    name="European Union",
    hot_hold_min_c=60.0,
    hot_hold_min_f=140.0,
    hot_hold=Citation(
        "German Federal Institute for Risk Assessment",
        "Opinion 037/2020: at least 60 °C at all points",
        "2020",
        Standing.READ,
        note="The Regulation itself sets no figure; France asks for 63 °C (MEMORY).",
    ),
    roast_hold_min_c=None,
    allowance=None,
    cooking=_reference_process(
        Citation(
            "EU reference process",
            "70 °C for 2 min, 6-log of Listeria monocytogenes",
            "SANCO-derived tables",
            Standing.READ,
            note="The Regulation sets no cooking figure; z 7.5 °C MEMORY.",
        ),
        binding=False,
    ),
    cooling=CoolingRule(
        (CoolingLimit(63.0, 10.0, 2 * HOUR),),
        Binding.ADVICE,
        Citation(
            "France (member state rule)",
            "63 to 10 °C in less than 2 h; Regulation (EC) 852/2004 Annex II ch. IX 6 sets no figure",
            "852/2004",
            Standing.READ,
        ),
        note="The Regulation says as quickly as possible; the French figure is shown as a yardstick.",
    ),
    cold_max_c=None,
    cold=_EU_REGULATION,
    reheat=None,
    allergens=EU_LIST,
    citation=_EU_REGULATION,
    notes=(
        "Limited periods outside temperature control are permitted where no risk to health results "
        "(ch. IX 5); as no figure is given, none is granted here.",
    ),
)

_CANADA = Citation(
    "Canada",
    "Food Retail and Food Services Code; Quebec P-29 r.1 s.1.4.1",
    "2016",
    Standing.MEMORY,
    note="60 °C and 4 °C READ for Quebec, 60 to 20 °C in 2 h READ for eastern Ontario; the rest MEMORY.",
)

CANADA = Profile(
    id="canada",
    name="Canada (retail and food services code, provinces)",
    hot_hold_min_c=60.0,
    hot_hold_min_f=140.0,
    hot_hold=replace(
        _CANADA, section="Quebec P-29 r.1 s.1.4.1: 60 °C until delivery", standing=Standing.READ
    ),
    roast_hold_min_c=None,
    allowance=Allowance(2 * HOUR, False, "discarded after 2 h from 4 to 60 °C (provincial advice)", _CANADA),
    cooking=MappingProxyType({}),
    cooling=CoolingRule(
        (CoolingLimit(60.0, 20.0, 2 * HOUR), CoolingLimit(20.0, 4.0, 4 * HOUR)), Binding.RULE, _CANADA
    ),
    cold_max_c=4.0,
    cold=replace(_CANADA, section="Quebec P-29 r.1 s.1.4.1: 4 °C", standing=Standing.READ),
    reheat=ReheatRule(74.0, 0.0, 2 * HOUR, _CANADA),
    allergens=CANADA_LIST,
    citation=_CANADA,
    notes=("A second-hand text gives 57 °C for rare roast beef; it is not relied on here.",),
)

_FSANZ = Citation(
    "Food Standards Australia New Zealand",
    "Standard 3.2.2 cl. 6, 7 and 25",
    "Standard 3.2.2; NSW Food Authority guideline 2011",
    Standing.READ,
)

AUSTRALIA = Profile(
    id="australia",
    name="Australia (FSANZ Standard 3.2.2)",
    hot_hold_min_c=60.0,
    hot_hold_min_f=140.0,
    hot_hold=_FSANZ,
    roast_hold_min_c=None,
    allowance=Allowance(
        4 * HOUR,
        False,
        "2 h / 4 h rule: below 60 °C less than 2 h in all, use or refrigerate; 2 to 4 h, use at once; "
        "more, discard",
        _FSANZ,
    ),
    cooking=MappingProxyType({}),
    cooling=CoolingRule(
        (CoolingLimit(60.0, 21.0, 2 * HOUR), CoolingLimit(21.0, 5.0, 4 * HOUR)), Binding.RULE, _FSANZ
    ),
    cold_max_c=5.0,
    cold=_FSANZ,
    reheat=ReheatRule(60.0, 0.0, None, _FSANZ, "Rapidly, to 60 °C or more; no time is given."),
    allergens=AUSTRALIA_NEW_ZEALAND_LIST,
    citation=_FSANZ,
)

_MPI = Citation(
    "New Zealand MPI",
    "Food Control Plan templates",
    "current templates",
    Standing.MEMORY,
    Confidence.MEDIUM,
    "Chapter 3 of the FSANZ standards does not apply in New Zealand (READ).",
)

NEW_ZEALAND = replace(
    AUSTRALIA,
    id="new-zealand",
    name="New Zealand (MPI)",
    hot_hold=_MPI,
    allowance=replace(AUSTRALIA.allowance, citation=_MPI) if AUSTRALIA.allowance else None,
    cooling=replace(AUSTRALIA.cooling, citation=_MPI),
    cold=_MPI,
    reheat=ReheatRule(75.0, 0.0, None, _MPI, "Until steaming, 75 °C or more."),
    citation=_MPI,
)

PROFILES: Mapping[str, Profile] = MappingProxyType(
    {item.id: item for item in (US_RETAIL, US_CONSUMER, UK, EU, CANADA, AUSTRALIA, NEW_ZEALAND)}
)
"""Every authority a book can choose, by the name it writes."""
