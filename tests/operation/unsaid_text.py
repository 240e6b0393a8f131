"""English in the program that does not go through the catalogue: every literal and f-string of two plain words or more.

It reads the syntax alone. What is spoken is the argument of one of the catalogue's own functions; docstrings, types,
log lines and what is said to programmers are nobody's reading. Everything else is found, and `test_every_text.py` has
the one table of those that stay English, each with its reason.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from string import Formatter

SAID = frozenset(
    {
        "_",
        "gettext",
        "ngettext",
        "pgettext",
        "npgettext",
        "gettext_lazy",
        "ngettext_lazy",
        "pgettext_lazy",
        "npgettext_lazy",
        "gettext_noop",
    }
)
LOGGED = frozenset({"debug", "info", "warning", "error", "exception", "critical", "log"})
FOR_PROGRAMMERS = frozenset(
    {"AssertionError", "AttributeError", "KeyError", "LookupError", "NotImplementedError", "RuntimeError", "TypeError"}
)
PATTERNS = frozenset({"compile", "fullmatch", "match", "search", "sub", "findall"})
SCOPES = (
    ast.FunctionDef,
    ast.AsyncFunctionDef,
    ast.Lambda,
    ast.ListComp,
    ast.SetComp,
    ast.DictComp,
    ast.GeneratorExp,
)
LOOKED_AT = (*SCOPES, ast.Call, ast.Name, ast.arg)
PLAIN_WORD = re.compile(r"""[(“"'‘]*[A-Za-z]+[a-z](?:['’]s?)?[)”"'’.,:;!?]*""")


@dataclass(frozen=True, slots=True)
class Unsaid:
    """path: from the root of the tree, with slashes. text: as written, {} for each gap. raised: by which exception."""

    path: str
    line: int
    text: str
    raised: str = ""

    @property
    def told(self) -> str:
        """The text, after the exception's name where one is raised by it."""
        return f"{self.raised}: {self.text}" if self.raised else self.text

    def __str__(self) -> str:
        return f"{self.path}:{self.line}: {self.told}"


@dataclass(frozen=True, slots=True)
class Read:
    """Of many modules: what is unsaid; where the name that speaks was given away; sentences whose gaps do not fit."""

    unsaid: list[Unsaid]
    muted: list[Unsaid]
    misfits: list[Unsaid]


def read_through(root: Path, folders: Iterable[str]) -> Read:
    """Every module of these folders, given from the root."""
    unsaid, muted, misfits = [], [], []
    for file in sorted(file for folder in folders for file in (root / folder).rglob("*.py")):
        path, module = file.relative_to(root).as_posix(), ast.parse(file.read_text(encoding="utf-8"))
        unsaid += unsaid_in(path, module)
        nodes = [node for node in ast.walk(module) if isinstance(node, LOOKED_AT)]
        muted += muted_in(path, nodes)
        misfits += misfits_in(path, nodes)
    return Read(unsaid, muted, misfits)


def unsaid_in(path: str, module: ast.Module) -> list[Unsaid]:
    """All of it in one module, from the first line to the last."""
    found: list[tuple[int, str, str]] = []
    _gather(module, "", found)
    return [Unsaid(path, *each) for each in found]


def muted_in(path: str, nodes: Sequence[ast.AST]) -> list[Unsaid]:
    """Where `_` is called in a function, or a comprehension, that has given the name to something else."""
    if not (any(map(_calls, nodes)) and any(map(_binds, nodes))):
        return []
    return [
        Unsaid(path, getattr(call, "lineno", 0), "_ is another thing here")
        for scope in nodes
        if isinstance(scope, SCOPES) and any(map(_binds, _own(scope)))
        for call in ast.walk(scope)
        if _calls(call)
    ]


def misfits_in(path: str, nodes: Iterable[ast.AST]) -> list[Unsaid]:
    """Sentences that are formatted where they are said, and whose gaps are not those that are filled.

    One form of a plural may leave a gap out, as “one boat” does.
    """
    found = []
    for node in nodes:
        match node:
            case ast.Call(func=ast.Attribute(value=ast.Call() as said, attr="format"), args=[], keywords=filled) if (
                _is_said(said.func) and all(each.arg for each in filled)
            ):
                texts = [arg.value for arg in said.args if isinstance(arg, ast.Constant) and isinstance(arg.value, str)]
                gaps = {name for text in texts for _text, name, *_rest in Formatter().parse(text) if name is not None}
                if texts and gaps != {each.arg for each in filled}:
                    found.append(Unsaid(path, node.lineno, texts[0]))
    return found


def is_english(text: str) -> bool:
    """Two plain words or more; a name with a point, a line below or a digit in it is none."""
    return sum(PLAIN_WORD.fullmatch(word) is not None for word in text.split()) >= 2


def _gather(node: ast.AST, raised: str, found: list[tuple[int, str, str]]) -> None:
    """Adds (line, text, by which exception it is raised)."""
    if isinstance(node, ast.Constant | ast.JoinedStr):
        text = _text(node)
        if text is not None and is_english(text):
            found.append((node.lineno, text, raised))
    elif isinstance(node, ast.Raise) and isinstance(node.exc, ast.Call):
        raised = ast.unparse(node.exc.func).rpartition(".")[2]
    for child in _to_read(node):
        _gather(child, raised, found)


def _text(node: ast.Constant | ast.JoinedStr) -> str | None:
    if isinstance(node, ast.JoinedStr):
        return "".join(str(part.value) if isinstance(part, ast.Constant) else "{}" for part in node.values)
    return node.value if isinstance(node.value, str) else None


def _to_read(node: ast.AST) -> Iterator[ast.AST]:
    """The parts in which English might stand that somebody reads."""
    match node:
        case ast.Expr(value=ast.Constant()):
            return  # a docstring
        case ast.Assert(test=test):
            yield test
        case ast.Subscript(value=ast.Name(id="Literal")):
            return
        case ast.JoinedStr(values=parts):
            yield from (part.value for part in parts if isinstance(part, ast.FormattedValue))
        case ast.AnnAssign(value=value):
            yield from [value] if value is not None else []
        case ast.FunctionDef() | ast.AsyncFunctionDef():
            yield from (*node.decorator_list, *node.args.defaults, *filter(None, node.args.kw_defaults), *node.body)
        case ast.Call(func=func) if _is_silent(func):
            return
        case ast.Constant() | ast.Name():
            return
        case _:
            yield from ast.iter_child_nodes(node)


def _is_silent(func: ast.expr) -> bool:
    """Whether what a call is given is said by the catalogue, or to nobody."""
    match func:
        case ast.Name(id=name) if name in FOR_PROGRAMMERS:
            return True
        case ast.Attribute(value=ast.Name(id=owner), attr=name) if owner == "re" or "log" in owner:
            return name in (PATTERNS if owner == "re" else LOGGED)
    return _is_said(func)


def _is_said(func: ast.expr) -> bool:
    """Whether it is one of the catalogue's functions, by itself or of its module."""
    match func:
        case ast.Name(id=name) | ast.Attribute(attr=name):
            return name in SAID
    return False


def _own(scope: ast.AST) -> Iterator[ast.AST]:
    """The nodes of a scope, without those of scopes inside it."""
    for child in ast.iter_child_nodes(scope):
        yield child
        if not isinstance(child, SCOPES):
            yield from _own(child)


def _binds(node: ast.AST) -> bool:
    if isinstance(node, ast.Name):
        return node.id == "_" and isinstance(node.ctx, ast.Store)
    return isinstance(node, ast.arg) and node.arg == "_"


def _calls(node: ast.AST) -> bool:
    return isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "_"
