"""A comparison of two states of a book as text for a terminal and as Markdown for a review comment.

Charts are rows of signs in a code block, which every host shows. Decides nothing about what matters: `effect`
has.
"""

from collections.abc import Iterator

from slowfolio.changes.cards import FieldChange
from slowfolio.changes.compare import BookChange, MethodChange, ModelChange
from slowfolio.changes.effect import Compared, ComparedVerdict, Difference
from slowfolio.changes.outcome import Outcome, Spread
from slowfolio.units import System, format_duration, format_quantity

CHART_CELLS = 40
CHARTED = ("finish", "yield", "bark", "rendering", "juiciness")
SHOWN_FIELDS = 12
WORDS = {
    Difference.NONE: "no difference",
    Difference.WITHIN: "no difference beyond the spread",
    Difference.MORE: "more",
    Difference.LESS: "less",
    Difference.WIDER: "the spread is wider",
    Difference.NARROWER: "the spread is narrower",
    Difference.NEW: "new",
    Difference.GONE: "no longer there",
}
TIMES = {Difference.MORE: "later", Difference.LESS: "sooner"}
MISSING = "—"


# --- text -------------------------------------------------------------------------------------------


def as_text(change: BookChange, system: System) -> str:
    """The whole comparison for a terminal."""
    parts = ["\n".join(_method_text(each, system)) for each in change.methods]
    model = "\n".join(model_lines(change.model))
    told = (heading(change), model, *parts, *change.remarks, untouched(change))
    return "\n\n".join(part for part in told if part)


def heading(change: BookChange) -> str:
    """What is compared, and how much differs."""
    count = len(change.methods)
    what = "no method differs" if not count else f"{count} method{'s differ' if count > 1 else ' differs'}"
    return f"{change.before} to {change.after}: {what}"


def model_lines(model: ModelChange | None) -> Iterator[str]:
    """How the models of the two sides differ: what stands behind every figure below."""
    if model is None:
        return
    each = ", each side computed by its own" if model.shown else ""
    yield f"The model differs{each}: {model.before.name} → {model.after.name}"
    yield from (f"  {field_words(part)}" for part in model.parts[:SHOWN_FIELDS])
    if len(model.parts) > SHOWN_FIELDS:
        yield f"  and {len(model.parts) - SHOWN_FIELDS} more parts"


def untouched(change: BookChange) -> str:
    """How many methods were left alone."""
    count = len(change.untouched)
    return f"{count} method{'' if count == 1 else 's'} untouched and not computed"


def _method_text(change: MethodChange, system: System) -> Iterator[str]:
    yield f"{change.method}  {change.change.value}"
    yield from (f"  {field_words(each)}" for each in shown_fields(change))
    yield from (f"  {line}" for line in missing(change))
    effect = change.effect
    if effect is None:
        return
    for each in effect.quantities:
        yield f"  {each.name:<20} {sides_words(each, system):<68} {difference_words(each, system)}"
    for verdict in effect.verdicts:
        if verdict.changed:
            yield f"  rule  {verdict_words(verdict)}"
    if effect.verdicts and not any(verdict.changed for verdict in effect.verdicts):
        yield f"  {'rules':<20} all {len(effect.verdicts)} as before"


def shown_fields(change: MethodChange) -> tuple[FieldChange, ...]:
    """The fields that differ, as many as a reader takes in."""
    return change.through[:SHOWN_FIELDS]


def field_words(change: FieldChange) -> str:
    """A field before and after, as written."""
    return f"{change.card}, {change.field}: {change.before or MISSING} → {change.after or MISSING}"


def missing(change: MethodChange) -> Iterator[str]:
    """Why one side has nothing to compare."""
    for words, outcome in (("before", change.before), ("after", change.after)):
        if outcome is not None and outcome.missing:
            yield f"{words}: not computed, {outcome.missing}"
    if len(change.through) > SHOWN_FIELDS:
        yield f"and {len(change.through) - SHOWN_FIELDS} more fields"


def sides_words(each: Compared, system: System) -> str:
    """Both sides of a quantity, each with its spread."""
    return f"{spread_words(each.before, system)} → {spread_words(each.after, system)}"


def spread_words(spread: Spread | None, system: System) -> str:
    """A median with its spread in brackets."""
    if spread is None:
        return MISSING
    middle = one(spread.value, spread.dimension, system)
    if spread.low is None or spread.high is None:
        return middle
    low, high = (one(value, spread.dimension, system) for value in (spread.low, spread.high))
    return f"{middle} ({low} – {high})"


def one(value: float, dimension: str, system: System) -> str:
    """A single value as text."""
    return f"{value:.0f}" if dimension == "score" else format_quantity(value, dimension, system)


def difference_words(each: Compared, system: System) -> str:
    """What became of a quantity, with the shift of its median."""
    times = each.name in {"finish", "ready"}
    words = TIMES.get(each.difference, WORDS[each.difference]) if times else WORDS[each.difference]
    shift = shift_words(each, system)
    return f"{words} ({shift})" if shift else words


def shift_words(each: Compared, system: System) -> str:
    """By how much the median moves, with its sign; nothing where it does not."""
    if each.shift is None or each.before is None or each.difference is Difference.NONE:
        return ""
    sign = "+" if each.shift > 0 else "−"
    dimension, size = each.before.dimension, abs(each.shift)
    if dimension == "duration":
        minutes = round(size / 60.0)
        return f"{sign}{format_duration(60.0 * minutes)}" if minutes else ""
    if dimension == "fraction":
        return f"{sign}{100 * size:.1f} points" if size >= 0.0005 else ""
    if dimension == "score":
        return f"{sign}{size:.1f}" if size >= 0.05 else ""
    return f"{sign}{one(size, dimension, system)}"


def verdict_words(verdict: ComparedVerdict) -> str:
    """A rule before and after, with the figure it stands on now."""
    before = MISSING if verdict.before is None else f"{verdict.before.met} ({verdict.before.level})"
    after = MISSING if verdict.after is None else f"{verdict.after.met} ({verdict.after.level})"
    figure = f"; {verdict.after.figure}" if verdict.after is not None else ""
    return f"{verdict.rule}: {before} → {after}{figure}"


# --- markdown ---------------------------------------------------------------------------------------


def as_markdown(change: BookChange, system: System) -> str:
    """The whole comparison as a review comment."""
    model = "\n".join(f"- {escaped(line.strip())}" for line in model_lines(change.model))
    parts = ["\n".join(_method_markdown(each, system)) for each in change.methods]
    remarks = [f"- {escaped(remark)}" for remark in change.remarks]
    title = f"## What this changes in the computed outcome\n\n{escaped(heading(change))}."
    listed = "\n".join(remarks)
    return (
        "\n\n".join(part for part in (title, model, *parts, listed, f"_{untouched(change)}._") if part) + "\n"
    )


def _method_markdown(change: MethodChange, system: System) -> Iterator[str]:
    yield f"### {escaped(change.title)}\n"
    yield f"`{change.method}`: {change.change.value}\n"
    yield from (f"- {escaped(field_words(each))}" for each in shown_fields(change))
    yield from (f"- {escaped(line)}" for line in missing(change))
    effect = change.effect
    if effect is None:
        return
    yield "\n| | before | after | difference |\n|---|---|---|---|"
    for each in effect.quantities:
        before, after = spread_words(each.before, system), spread_words(each.after, system)
        mark = "**" if each.matters else ""
        yield f"| {each.name} | {before} | {after} | {mark}{difference_words(each, system)}{mark} |"
    for verdict in effect.verdicts:
        if verdict.changed:
            yield f"\n- **Rule** {escaped(verdict_words(verdict))}"
    if effect.verdicts and not any(verdict.changed for verdict in effect.verdicts):
        yield f"\nRules: all {len(effect.verdicts)} as before."
    if change.before is not None and change.after is not None:
        yield f"\n```text\n{chart(change.before, change.after)}\n```"


def escaped(text: str) -> str:
    """A text from a card as Markdown shows it, unable to make links, tags or tables."""
    for sign in "\\`*_[]<>|#":
        text = text.replace(sign, f"\\{sign}")
    return text.replace("\n", " ")


def chart(before: Outcome, after: Outcome) -> str:
    """P10, median and P90 of the main quantities, before over after, on one scale each."""
    rows = []
    for name in CHARTED:
        old, new = before.quantities.get(name), after.quantities.get(name)
        if old is not None and new is not None:
            low = min(_low(old), _low(new))
            high = max(_high(old), _high(new))
            rows.append(f"{name:<10} before {bar(old, low, high)}")
            rows.append(f"{'':<10} after  {bar(new, low, high)}")
    return "\n".join(rows)


def bar(spread: Spread, low: float, high: float) -> str:
    """One spread between two ends of a scale: ├──●──┤."""
    cells = ["·"] * CHART_CELLS
    start, middle, end = (_cell(value, low, high) for value in (_low(spread), spread.value, _high(spread)))
    for cell in range(start, end + 1):
        cells[cell] = "─"
    cells[start], cells[end] = "├", "┤"
    cells[middle] = "●"
    return "".join(cells)


def _cell(value: float, low: float, high: float) -> int:
    return round((value - low) / (high - low) * (CHART_CELLS - 1)) if high > low else CHART_CELLS // 2


def _low(spread: Spread) -> float:
    return spread.value if spread.low is None else spread.low


def _high(spread: Spread) -> float:
    return spread.value if spread.high is None else spread.high
