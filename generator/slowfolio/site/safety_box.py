"""The safety box of a method page: which rule of which authority the computed cook meets, with the figure.

The rules and their wording live in `slowfolio.safety`; here they are put in order for a page. No text of this
module says more than whether a named rule is met.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from slowfolio.book.model import Method
from slowfolio.provenance import Provenance
from slowfolio.safety.verdict import DEFERENCE, Level, Met, Verdict
from slowfolio.site.shown import Both, Notes, Shown, Tag, same

IN_BOTH = re.compile(r"([−\d.]+(?: to [−\d.]+)?) °C \(([−\d.]+(?: to [−\d.]+)?) °F\)")

ORDER = (Level.RED, Level.AMBER, Level.GREEN)


@dataclass(frozen=True, slots=True)
class RuleRow:
    """One rule, whether it is met, and what to do about it."""

    topic: str
    rule: Both
    met: str
    level: str
    figure: Both
    limit: Both
    share: str
    explanation: Both
    what_to_do: str
    accepted: str
    source: str


@dataclass(frozen=True, slots=True)
class SafetyBox:
    """All rules that apply: those that ask for something, the most pressing first, and the others."""

    pressing: tuple[RuleRow, ...]
    others: tuple[RuleRow, ...]
    count: Shown
    remark: str
    tag: Tag
    deference: str


def safety_box(method: Method, verdicts: Sequence[Verdict], engine: str, notes: Notes) -> SafetyBox | None:
    """The box of a computed method; None where no rule applies."""
    applied = [verdict for verdict in verdicts if verdict.met is not Met.NOT_APPLICABLE]
    if not applied:
        return None
    tag = notes.tag(Provenance.COMPUTED, f"cook engine {engine}, at the coldest point of the piece")
    rules = [verdict for verdict in applied if verdict.met is not Met.ADVISORY]
    met = sum(verdict.met is Met.MET for verdict in rules)
    pressing = any(verdict.level is Level.RED for verdict in applied)
    ordered = sorted(applied, key=lambda verdict: ORDER.index(verdict.level))
    return SafetyBox(
        pressing=tuple(_row(method, verdict) for verdict in ordered if verdict.level is not Level.GREEN),
        others=tuple(_row(method, verdict) for verdict in ordered if verdict.level is Level.GREEN),
        count=Shown(same(f"{met} of {len(rules)}"), None, tag),
        remark="see Safety before cooking" if pressing else "see Safety",
        tag=tag,
        deference=DEFERENCE,
    )


def _row(method: Method, verdict: Verdict) -> RuleRow:
    reasons = [reason.because for reason in method.reasons if reason.about == verdict.topic.value]
    return RuleRow(
        topic=_sentence(verdict.topic.value),
        rule=reader_s_unit_first(_sentence(verdict.rule)),
        met=verdict.met.value,
        level=verdict.level.value,
        figure=reader_s_unit_first(_sentence(verdict.figure)),
        limit=reader_s_unit_first(verdict.limit_text),
        share=_share(verdict),
        explanation=reader_s_unit_first(verdict.explanation),
        what_to_do=verdict.what_to_do,
        accepted=" ".join(reasons) if verdict.level is Level.AMBER else "",
        source=str(verdict.citation),
    )


def reader_s_unit_first(text: str) -> Both:
    """A text whose temperatures stand as "57 °C (135 °F)", with either unit in front."""
    return Both(IN_BOTH.sub(r"\2 °F (\1 °C)", text), text)


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]


def _share(verdict: Verdict) -> str:
    """ "in 97 of 100 computed cooks": those that meet the rule, or those that miss it where it is not met.

    A doubt is never rounded away.
    """
    if verdict.probability is None or verdict.members < 2:
        return ""
    meant = 1.0 - verdict.probability if verdict.met is Met.NOT_MET else verdict.probability
    share = round(100 * meant)
    if 0.0 < meant < 1.0:
        share = min(max(share, 1), 99)
    return f"in {share} of 100 computed cooks"
