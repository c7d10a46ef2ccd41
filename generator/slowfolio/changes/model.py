"""What of a program decides what methods compute to: its constants and its functions, named and comparable.

Found in the source, never by running it: everything that the computing modules import from the rooms of the
model. Comments, docstrings and layout are left out, so words change nothing. `programs` asks.
"""

import ast
import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from slowfolio.changes.cards import FieldChange
from slowfolio.enrich.cache import content_key

ROOTS = ("enrich.summary", "forecast.run", "forecast.hold_table", "forecast.hold_advice")
"""The modules that compute what is compared."""
ROOMS = ("physics", "safety", "forecast", "enrich")
"""Where the model is; how cards are read and written shows in the cards' own numbers."""
NO_PART = ("forecast.planning", "enrich.results", "enrich.remarks")
"""What is imported only to keep a result or to say it."""
PACKAGE_NAME = "slowfolio"
VERSION = "physics.ENGINE_VERSION"
CARD = "model"
SHORT, LONGEST_VALUE = 8, 60

Parsed = Mapping[str, ast.Module]


@dataclass(frozen=True, slots=True)
class Model:
    """The parts of a model by name: a constant as written, anything else as the hash of its code."""

    parts: Mapping[str, str]

    @property
    def version(self) -> str:
        """The version the engine gives itself."""
        return self.parts.get(VERSION, "").strip("'\"")

    @property
    def digest(self) -> str:
        """Hash of every part."""
        return content_key("model", sorted(self.parts.items()))

    @property
    def name(self) -> str:
        """Version and digest, as one would write it in a sentence."""
        return f"engine {self.version} ({self.digest[:SHORT]})"


def model_in(package: Path) -> Model:
    """The model of the program in a folder."""
    parts: dict[str, str] = {}
    for module, tree in computing_modules(package).items():
        parts |= {f"{module}.{name}": text for name, text in parts_of(tree)}
    for room in ROOMS:
        for file in sorted((package / room).glob("data/*")):
            parts[f"{room}.data.{file.name}"] = hashed(file.read_bytes())
    return Model(parts)


def model_changes(before: Model, after: Model) -> tuple[FieldChange, ...]:
    """The parts that differ; constants first, for they say by how much."""
    names = [
        name
        for name in dict.fromkeys((*before.parts, *after.parts))
        if before.parts.get(name) != after.parts.get(name)
    ]
    names.sort(key=lambda name: (is_code(before.parts.get(name)) or is_code(after.parts.get(name)), name))
    return tuple(FieldChange(CARD, name, before.parts.get(name), after.parts.get(name)) for name in names)


def computing_modules(package: Path) -> Parsed:
    """Every module of the model that the computation imports, at first or second hand."""
    found: dict[str, ast.Module] = {}
    waiting = list(ROOTS)
    while waiting:
        name = waiting.pop()
        file = file_of(package, name)
        if name in found or file is None:
            continue
        found[name] = parsed(file.read_bytes())
        waiting += imported(found[name])
    return dict(sorted(found.items()))


def parsed(blob: bytes) -> ast.Module:
    """A module; one that this Python cannot read is one part, known by its bytes."""
    try:
        return ast.parse(blob)
    except SyntaxError:
        return ast.parse(f"unreadable = {hashed(blob)!r}")


def file_of(package: Path, module: str) -> Path | None:
    """The source of a module of the model; None where there is none."""
    if module.partition(".")[0] not in ROOMS or module.startswith(NO_PART):
        return None
    place = package.joinpath(*module.split("."))
    return next((file for file in (place.with_suffix(".py"), place / "__init__.py") if file.is_file()), None)


def imported(tree: ast.Module) -> Iterator[str]:
    """The modules of the package that a module imports, wherever in it."""
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith(f"{PACKAGE_NAME}."):
            module = (node.module or "").removeprefix(f"{PACKAGE_NAME}.")
            yield module
            yield from (f"{module}.{alias.name}" for alias in node.names)


def parts_of(tree: ast.Module | ast.ClassDef) -> Iterator[tuple[str, str]]:
    """The named parts of a module or class."""
    for node in tree.body:
        if isinstance(node, ast.Import | ast.ImportFrom | ast.Expr):
            continue
        if isinstance(node, ast.ClassDef):
            yield from ((f"{node.name}.{name}", text) for name, text in parts_of(node))
            heading = [*node.decorator_list, *node.bases, *node.keywords]
            yield node.name, code(*heading)
        elif isinstance(node, ast.FunctionDef):
            yield node.name, code(node)
        elif isinstance(node, ast.Assign | ast.AnnAssign):
            if node.value is not None:
                yield target_of(node), value_of(node.value)
        else:
            yield ast.unparse(node).splitlines()[0], code(node)


def target_of(node: ast.Assign | ast.AnnAssign) -> str:
    """What is assigned to."""
    targets = node.targets if isinstance(node, ast.Assign) else [node.target]
    return ", ".join(ast.unparse(target) for target in targets)


def value_of(node: ast.expr) -> str:
    """A constant as written; a long one by its hash."""
    text = ast.unparse(node)
    return text if len(text) <= LONGEST_VALUE else code(node)


def code(*nodes: ast.AST) -> str:
    """The hash of code without its docstrings."""
    return hashed("\n".join(ast.dump(without_docstrings(node)) for node in nodes).encode())


def without_docstrings(node: ast.AST) -> ast.AST:
    """The same code, saying nothing."""
    for each in ast.walk(node):
        if isinstance(each, ast.FunctionDef | ast.ClassDef):
            each.body = [line for line in each.body if not is_text(line)] or [ast.Pass()]
    return node


def is_text(line: ast.stmt) -> bool:
    """Whether a line only says something."""
    return (
        isinstance(line, ast.Expr)
        and isinstance(line.value, ast.Constant)
        and isinstance(line.value.value, str)
    )


def hashed(blob: bytes) -> str:
    """Code or data as it is named in a comparison."""
    return f"code {hashlib.sha256(blob).hexdigest()[:SHORT]}"


def is_code(text: str | None) -> bool:
    """Whether a part is given by its hash."""
    return text is not None and text.startswith("code ")
