"""The YAML parser's complaints in a cook's words, at the place the mistake was made.

The parser says where it gave up, which is often a line late and in terms of its own; here the line is looked
at again and the usual causes are named. Called by `syntax` only.
"""

import re

import yaml

from slowfolio.book.findings import Fault, quoted
from slowfolio.book.model import Mark

_RESERVED = {"@": "an at sign", "`": "a backquote", "%": "a per cent sign"}
_TAB_INDENT = re.compile(r" *\t")
_SECOND_COLON = re.compile(r"^\s*(?:- )?[^\s:#][^:#]*:\s+(?P<text>[^\"'\[{|>].*?:(?:\s.*|$))")


def explain(error: Exception, lines: list[str]) -> tuple[Mark, Fault]:
    """Return where a parser error is and what it means.

    `error` is a `yaml.YAMLError` or, for nesting that exhausts the parser, a `RecursionError`.
    """
    problem = str(getattr(error, "problem", None) or "")
    context = str(getattr(error, "context", None) or "")
    at = _mark(getattr(error, "problem_mark", None), lines)
    begun = _mark(getattr(error, "context_mark", None), lines)
    if isinstance(error, RecursionError) or "maximum nesting" in problem:
        return begun, Fault(
            "nested-too-deep", (), "brackets are nested far too deep", "no card needs more than 8"
        )
    for known in (_tab, _missing_colon, _quote_in_text, _unclosed, _reserved, _escape, _colon, _indentation):
        if (found := known(problem, context, at, begun, lines)) is not None:
            return found
    return at, Fault(
        "yaml-syntax",
        (),
        f"this line cannot be read as YAML: {_plain(problem)}",
        "compare with a card that checks well",
    )


Explained = tuple[Mark, Fault] | None


def _tab(problem: str, _context: str, at: Mark, _begun: Mark, lines: list[str]) -> Explained:
    line = _line(lines, at)
    tabs = _TAB_INDENT.match(line)
    if tabs is None or not ("cannot start any token" in problem or "tab" in problem):
        return None
    mark = Mark(at.line, tabs.end(), tabs.end() + 1)
    return mark, Fault("yaml-tab", (), "the line is indented with a tab", "indent with spaces, two a level")


def _missing_colon(problem: str, _context: str, at: Mark, begun: Mark, _lines: list[str]) -> Explained:
    if "could not find expected ':'" not in problem or begun.line >= at.line:
        return None
    return begun, Fault(
        "yaml-missing-colon", (), "this line is no key with a value", "end the key with a colon and a space"
    )


def _quote_in_text(problem: str, context: str, at: Mark, _begun: Mark, lines: list[str]) -> Explained:
    if "did not find expected key" not in problem or "mapping" not in context:
        return None
    before = _line(lines, at)[: at.column - 1]
    if not re.search(r":\s+(['\"]).*\1\s*$", before):
        return None
    return at, Fault(
        "yaml-quote",
        (),
        "the text goes on after its closing quote",
        'inside double quotes write \\" for a quote; an apostrophe needs double quotes round the text',
    )


def _unclosed(problem: str, context: str, _at: Mark, begun: Mark, _lines: list[str]) -> Explained:
    if "quoted scalar" in context and "end of stream" in problem:
        return begun, Fault(
            "yaml-quote", (), "the quote that starts here is never closed", "close it, or delete it"
        )
    if "flow sequence" in context:
        return begun, Fault(
            "yaml-bracket",
            (),
            "the list that starts with [ here is not closed, or lacks a comma",
            "put commas between the items and ] at the end; items with commas inside go in quotes",
        )
    if "flow mapping" in context:
        return begun, Fault(
            "yaml-bracket",
            (),
            "the braces that open here are not closed, or lack a comma",
            "put commas between the parts and } at the end; texts with commas inside go in quotes",
        )
    return None


def _reserved(problem: str, _context: str, at: Mark, _begun: Mark, lines: list[str]) -> Explained:
    if "cannot start any token" not in problem:
        return None
    sign = _line(lines, at)[at.column - 1 : at.column]
    name = _RESERVED.get(sign, quoted(sign))
    return at, Fault("yaml-reserved-sign", (), f"a text cannot start with {name}", "put the text in quotes")


def _escape(problem: str, _context: str, at: Mark, _begun: Mark, _lines: list[str]) -> Explained:
    if "escape" not in problem:
        return None
    return at, Fault(
        "yaml-escape",
        (),
        "a backslash in double quotes starts an escape, and this is none",
        "write \\\\ for a backslash, or use single quotes",
    )


def _colon(problem: str, _context: str, at: Mark, _begun: Mark, lines: list[str]) -> Explained:
    if "mapping values are not allowed" not in problem:
        return None
    line = _line(lines, at)
    if _SECOND_COLON.match(line) is not None:
        return at, Fault(
            "yaml-colon",
            (),
            "a colon and a space inside a text start a new key",
            "put the whole text in quotes, or on its own lines after >-",
        )
    return _at_first_sign(at, line), _indentation_fault()


def _indentation(problem: str, _context: str, at: Mark, _begun: Mark, _lines: list[str]) -> Explained:
    expected = (
        "did not find expected key",
        "did not find expected '-' indicator",
        "could not find expected ':'",
    )
    if not any(words in problem for words in expected) and "entries are not allowed" not in problem:
        return None
    return at, _indentation_fault()


def _indentation_fault() -> Fault:
    return Fault(
        "yaml-indentation",
        (),
        "this line does not line up with the ones before it",
        "give every key of a group the same indent, and end keys with a colon and a space",
    )


def _mark(mark: "yaml.Mark | None", lines: list[str]) -> Mark:
    if mark is None:
        return Mark(1, 1, 2)
    line, column = mark.line + 1, mark.column + 1
    if line > len(lines) or (line == len(lines) and not lines[-1] and len(lines) > 1):
        line = max(1, len(lines) - (1 if lines and not lines[-1] else 0))
        column = len(lines[line - 1]) + 1
    return Mark(line, column, column + 1)


def _at_first_sign(at: Mark, line: str) -> Mark:
    column = len(line) - len(line.lstrip()) + 1
    return Mark(at.line, column, column + 1)


def _line(lines: list[str], mark: Mark) -> str:
    return lines[mark.line - 1] if mark.line <= len(lines) else ""


def _plain(problem: str) -> str:
    return problem.replace("<", "").replace(">", "") or "the parser gives no reason"
