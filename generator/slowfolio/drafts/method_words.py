"""What a new method card says in words, by the equipment chosen: true of any such cook, and brief.

Texts only; a contributor replaces them by what was seen. Common practice, no source. `method_draft` calls.
"""

from typing import Any

from slowfolio.book.model import Cut, Holder, Pit, Wrap

SOURCE = "Times and temperatures: common practice, no source"
TRIM = "Outside fat to an even 6 mm (1/4 in), loose ends and silver skin taken off."
POULTRY_TRIM = "Thawed through, giblets and loose fat out, patted dry."
SALT = "1/2 tsp for each pound, 1 tsp for each kilogram"
SMOKE_WHY = (
    "A cool, damp, bare surface takes smoke best, so nothing covers the meat until the colour is there "
    "and the bark has set."
)
LIFTING = (
    "Hot fat and juice run when the piece is lifted. Sheet pan under it, dry gloves, face out of the steam."
)
VENT_WHERE = "On a rack over a sheet pan on the counter, probe still in the thick part."
VENT_WHY = "Straight from the pit it would go on cooking. A short rest takes the carry-over off."
RAW = "Raw and ready to eat apart: board, knife and gloves are washed before anything cooked comes near."
FIRE = (
    "Carbon monoxide: the pit stays outdoors, away from doors and windows; ash goes into a lidded metal bin."
)
OVEN = "Fan on: fat in the tray can smoke. Pull the rack out before lifting, and keep the door area clear."
STAGE_NAMES = {"none": "Finish", "tray": "Boat", "paper": "Paper", "foil": "Foil", "pan": "Pan"}
RUNS_CLEAR = "The juice runs clear."
OPEN_KINDS = frozenset({"none", "tray"})


def choose_when(cut: Cut, wrap: Wrap, holder: Holder | None) -> str:
    """One sentence on what the method is for, from what was chosen."""
    served = (
        f"held in the {within_sentence(holder.title)}" if holder is not None else "served soon after the rest"
    )
    return (
        f"For {cut.title.lower()} finished in {wrap_phrase(wrap)} and {served}. A first draft, to be cooked."
    )


def wrap_phrase(wrap: Wrap) -> str:
    """A wrap inside a sentence."""
    return "nothing but its bark" if wrap.kind == "none" else within_sentence(wrap.title)


def within_sentence(title: str) -> str:
    """The title of a card inside a sentence; what follows its comma goes into brackets."""
    head, _, rest = title.lower().partition(", ")
    return f"{head} ({rest})" if rest else head


def title(cut: Cut, wrap: Wrap, holder: Holder | None) -> str:
    """A title from what was chosen."""
    parts = [cut.title, "unwrapped" if wrap.kind == "none" else within_sentence(wrap.title)]
    return ", ".join(
        [*parts, f"held in the {within_sentence(holder.title)}"] if holder is not None else parts
    )


def stage_name(wrap: Wrap) -> str:
    """What the last stage is called."""
    return STAGE_NAMES.get(wrap.kind, "Finish")


def smoke_signs(pit: Pit) -> list[str]:
    """What tells that the smoke stage goes right."""
    signs = [
        "The surface sweats, turns tacky, then dry to a fingertip.",
        "The rub has set and does not smear.",
    ]
    colour = (
        "Colour goes even, from raw to golden."
        if pit.kind == "indoor oven"
        else "Colour goes to dark mahogany."
    )
    return [*signs, colour]


def tender_signs(core: str) -> list[str]:
    """What tells that a cut full of collagen is done."""
    return [
        f"From {core} on, a probe slides in without a push, in three places.",
        "The piece shivers when the pan is nudged.",
    ]


def lean_signs(core: str) -> list[str]:
    """What tells that a lean cut is done."""
    return [f"{core} at the thickest part, read in three places with a checked thermometer.", RUNS_CLEAR]


def lagging_signs(core: str, usual: str) -> list[str]:
    """What tells that a lean cut is done whose coldest spot lags behind the probe that stays in."""
    return [
        f"{usual} or above at the lowest of four readings, with a checked thermometer, ends it sooner.",
        f"The probe that stays in is set at {core}, for it is seldom in the coldest spot.",
        RUNS_CLEAR,
    ]


def finish_why(wrap: Wrap) -> str:
    """Why the last stage is wrapped as it is."""
    if wrap.kind in OPEN_KINDS:
        return (
            "The top stays in moving air, so the bark keeps; the last stretch goes by feel, not by the clock."
        )
    return "The wrap shortens the stall and keeps the juice; some bark is given up for it."


def hold_why(holder: Holder) -> str:
    """Why the piece is held."""
    if not holder.heated:
        return "There is no heat in it but what goes in, so it is a short hold, covered, with the probe in."
    return "Buys time up to serving and evens the piece out, above the floor at its coldest spot all through."


def expectations(cut: Cut, wrap: Wrap, pit: Pit) -> dict[str, Any]:
    """Levels the author may expect of such a cook, marked as claimed until it was tasted."""
    tender = cut.tender_by_collagen
    levels = {
        "bark": "soft" if wrap.steam_tight else "firm" if wrap.kind in OPEN_KINDS else "tender",
        "rendering": "well rendered" if tender else "part rendered",
        "juiciness": "juicy",
        "smoke": "light" if pit.kind == "indoor oven" else "medium",
        "tenderness": "probe tender" if tender else "sliceable",
    }
    note = "Expected; to be tasted."
    return {name: {"level": level, "provenance": "claimed", "note": note} for name, level in levels.items()}


def handling(cut: Cut) -> list[str]:
    """How it is cut and kept."""
    cutting = (
        "Slice across the grain, or pull" if cut.tender_by_collagen else "Take it off the bone and slice"
    )
    return [f"{cutting}, to order. What is left is sliced, spread in shallow pans and chilled fast."]


def cautions(pit: Pit, cut: Cut) -> list[str]:
    """The usual cautions of fire and raw meat."""
    fire = OVEN if pit.kind == "indoor oven" else FIRE
    meat = [f"Raw {cut.species} and its tools stay apart from ready-to-eat food.", RAW]
    return [fire, *meat]
