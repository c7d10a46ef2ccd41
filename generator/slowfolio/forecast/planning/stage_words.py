"""The words of a card's stages as a plan says them: what is done, what is set, what to wait for.

Called by `from_cards`, `basis`, `remedies` and the Plan page; computes nothing.
"""

from slowfolio.book import model as cards
from slowfolio.forecast.planning.times import ActKind
from slowfolio.units import System, format_difference, format_duration, format_temperature


def stage_act(index: int, method: cards.Method) -> ActKind:
    """What the cook does when a stage begins."""
    if index == 0:
        return ActKind.ON
    rewrapped = method.stages[index].wrap != method.stages[index - 1].wrap
    return ActKind.WRAP if rewrapped else ActKind.STAGE


def stage_title(index: int, method: cards.Method, book: cards.Book) -> str:
    """ "On: smoke", "Wrap: foil boat", "Unwrap: finish", or the name of the stage."""
    stage, act = method.stages[index], stage_act(index, method)
    if act is ActKind.ON:
        return f"On: {stage.name.lower()}"
    if act is ActKind.WRAP:
        wrap = book.wraps[stage.wrap]
        return f"Unwrap: {stage.name.lower()}" if wrap.kind == "none" else f"Wrap: {wrap.title.lower()}"
    return stage.name


def stage_words(index: int, method: cards.Method, book: cards.Book) -> str:
    """When the stage begins, and what is set and done then."""
    stage = method.stages[index]
    words = [f"pit at {both(stage.pit_temp_c)}", f"fat side {stage.fat_side}"]
    if stage.water_pan:
        words.append("water pan in")
    if stage.pit is not None:
        words.append(f"on the {book.pits[stage.pit].title.lower()}, hot by then")
    if stage.wrap != "none" and index == 0:
        words.append(book.wraps[stage.wrap].title.lower())
    said = ", ".join(words)
    before = until_words(method.stages[index - 1].until) if index else ""
    return f"{before}: {said}." if before else f"{said[:1].upper()}{said[1:]}."


def until_words(until: cards.Until) -> str:
    """What to wait for on the pit."""
    if until.time_s is not None:
        return f"After {format_duration(until.time_s)}"
    if until.core_temp_c is not None:
        return f"When the core reads {both(until.core_temp_c)}"
    if until.probe_tender_from_c is not None:
        return f"When a probe slides in, felt for from {both(until.probe_tender_from_c)}"
    return "When it is done"


def falling_words(until: cards.Until) -> str:
    """What to wait for in the vent."""
    if until.core_temp_c is None:
        return until_words(until)
    words = f"When the core has fallen to {both(until.core_temp_c)}"
    return words if until.at_most_s is None else f"{words}, or after {format_duration(until.at_most_s)}"


def hold_words(hold: cards.Hold, book: cards.Book) -> str:
    """How to set the holder."""
    humidity = "" if hold.relative_humidity is None else f", {hold.relative_humidity:.0%} relative humidity"
    wrap = book.wraps[hold.wrap]
    covered = "unwrapped" if wrap.kind == "none" else wrap.title.lower()
    return (
        f"Air at {both(hold.air_temp_c)}{humidity}, {covered}; for {format_duration(hold.for_s)}, at most "
        + (f"{format_duration(hold.at_most_s)}.")
    )


def both(temp_c: float) -> str:
    """ "250 °F (121 °C)"."""
    return f"{format_temperature(temp_c, System.US)} ({format_temperature(temp_c, System.METRIC)})"


def both_differences(difference_k: float) -> str:
    """ "25 °F (14 °C)"."""
    us, metric = (format_difference(difference_k, system) for system in (System.US, System.METRIC))
    return f"{us} ({metric})"
