"""Mistakes that can be made in a module: one place of its syntax tree changed at a time."""

from __future__ import annotations

import ast
import copy
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from tests import ROOT

_BOUNDARY = {ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt}
_TURNED = {
    ast.Lt: ast.GtE, ast.LtE: ast.Gt, ast.Gt: ast.LtE, ast.GtE: ast.Lt, ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq, ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.In: ast.NotIn, ast.NotIn: ast.In,
}  # fmt: skip
_SWAPPED = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult, ast.Mod: ast.Mult, ast.Pow: ast.Mult, ast.BitAnd: ast.BitOr,
    ast.BitOr: ast.BitAnd,
}  # fmt: skip
_OTHER_NAME = {"min": "max", "max": "min", "any": "all", "all": "any"}
_MOVED = 1.5  # a number with a point becomes so many times itself, a whole one 1 more
_GUARD = 1e-6  # numbers below it keep something from zero; moved they change nothing
_ALL_JUDGED = re.compile(r"every number|all constants|scale that nobody", re.IGNORECASE)
_JUDGED = re.compile(r"judge(?:ment|d)|common practice|our choice|no source", re.IGNORECASE)

Way = tuple[str | int, ...]  # the fields and places that lead from the module to a node


@dataclass(frozen=True)
class Mutant:
    """One mistake: where, what, and the lines of the function or module that hold it."""

    path: Path  # from the project's folder
    line: int
    text: str  # the line as it stands
    change: str  # and as it stands with the mistake
    way: Way
    kind: str
    first: int  # line of the outermost function; 0 at the top of a module or class, and where
    last: int  # answers are kept, so that a call does not tell who needs them
    judged: bool = False  # a number at the top that is marked as a judgement, without a source

    @property
    def place(self) -> str:
        return f"{self.path}:{self.line}"

    def source(self) -> str:
        """The module with the mistake in it."""
        return ast.unparse(self.tree())

    def tree(self) -> ast.Module:
        tree = ast.parse((ROOT / self.path).read_text(encoding="utf-8"))
        parent: ast.AST | list[ast.AST] = tree
        for step in self.way[:-1]:
            parent = parent[step] if isinstance(parent, list) else getattr(parent, step)
        last = self.way[-1]
        node = parent[last] if isinstance(parent, list) else getattr(parent, last)
        new = dict(_changes(node))[self.kind]
        ast.copy_location(new, node)
        if isinstance(parent, list):
            parent[last] = new
        else:
            setattr(parent, last, new)
        return ast.fix_missing_locations(tree)


def mutants_of(path: Path) -> list[Mutant]:
    """Every mistake of our kinds in a module, in the order of its lines."""
    text = (ROOT / path).read_text(encoding="utf-8")
    lines = text.splitlines()
    tree = ast.parse(text)
    judged, quoted = _judged_lines(tree, lines), _quoted(tree)
    found = []
    for way, node, (first, last) in _nodes(tree, (), (0, 0)):
        for kind, new in _changes(node) if id(node) not in quoted else ():
            at = node.lineno
            line = lines[at - 1]
            found.append(
                Mutant(
                    path,
                    at,
                    line.strip(),
                    _changed(line, node, new),
                    way,
                    kind,
                    first,
                    last,
                    judged=kind == "moved" and at in judged,
                )
            )
    return sorted(found, key=lambda one: (one.line, one.way, one.kind))


def _quoted(tree: ast.Module) -> set[int]:
    """Ids of the nodes that cut what a sentence quotes; a letter more or less is no mistake."""
    texts = [node for node in ast.walk(tree) if isinstance(node, ast.JoinedStr)]
    cuts = [part for text in texts for part in ast.walk(text) if isinstance(part, ast.Slice)]
    return {id(node) for cut in cuts for node in ast.walk(cut)}


def _judged_lines(tree: ast.Module, lines: list[str]) -> set[int]:
    """The lines of what stands at the top and says, there or above, that it is a judgement."""
    all_of_it = bool(_ALL_JUDGED.search(ast.get_docstring(tree) or ""))
    found: set[int] = set()
    for node in tree.body:
        if not isinstance(node, ast.Assign | ast.AnnAssign):
            continue
        first = node.lineno
        while first > 1 and lines[first - 2].startswith("#"):
            first -= 1
        words = "\n".join(lines[first - 1 : node.end_lineno])
        if all_of_it or _JUDGED.search(words):
            found |= set(range(node.lineno, (node.end_lineno or node.lineno) + 1))
    return found


def _changed(line: str, node: ast.AST, new: ast.AST) -> str:
    """The first line of a node as the change leaves it."""
    raw = line.encode()  # columns count bytes
    text = ast.unparse(new).splitlines()[0]
    if node.end_lineno != node.lineno:
        return (raw[: node.col_offset].decode() + text).strip()
    return (raw[: node.col_offset].decode() + text + raw[node.end_col_offset :].decode()).strip()


def _nodes(
    node: ast.AST, way: Way, within: tuple[int, int]
) -> Iterator[tuple[Way, ast.AST, tuple[int, int]]]:
    """The nodes that may be changed, with the lines of the outermost function around them.

    Annotations, decorators, texts, `assert` (there for the reader and mypy) and `strict=True` of a
    `zip` (an assertion as well: both are as long wherever the program is right) stay as they are.
    """
    if isinstance(node, ast.Assert) or _is_type_checking(node):
        return
    if isinstance(node, ast.keyword) and node.arg == "strict":
        return
    if isinstance(node, ast.FunctionDef) and within == (0, 0):
        marks = [ast.unparse(mark) for mark in node.decorator_list]
        if not any("cache" in mark for mark in marks):
            lines = [node.lineno, *(mark.lineno for mark in node.decorator_list)]
            within = (min(lines), node.end_lineno or node.lineno)
    if way:
        yield way, node, within
    for name, value in ast.iter_fields(node):
        if name in ("annotation", "returns", "decorator_list", "type_comment", "type_params"):
            continue
        if isinstance(node, ast.Call) and ast.unparse(node.func) in ("TypeVar", "NewType", "cast"):
            continue
        children = enumerate(value) if isinstance(value, list) else [(None, value)]
        for place, child in children:
            if isinstance(child, ast.AST):
                step: Way = (name,) if place is None else (name, place)
                yield from _nodes(child, way + step, within)


def _is_type_checking(node: ast.AST) -> bool:
    return isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING"


def _changes(node: ast.AST) -> Iterator[tuple[str, ast.AST]]:
    """(kind, what the node becomes) for each mistake that can be made of a node."""
    if isinstance(node, ast.Compare):
        for place, sign in enumerate(node.ops):
            for kind, table in (("boundary", _BOUNDARY), ("turned", _TURNED)):
                if type(sign) in table:
                    new = copy.deepcopy(node)
                    new.ops[place] = table[type(sign)]()
                    yield f"{kind} {place}", new
    elif isinstance(node, ast.BinOp | ast.AugAssign) and type(node.op) in _SWAPPED:
        new_op = copy.deepcopy(node)
        new_op.op = _SWAPPED[type(node.op)]()
        yield "swapped", new_op
    elif isinstance(node, ast.BoolOp):
        other = ast.Or() if isinstance(node.op, ast.And) else ast.And()
        yield "and or", ast.BoolOp(other, copy.deepcopy(node.values))
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not | ast.USub):
        yield "sign", copy.deepcopy(node.operand)
    elif isinstance(node, ast.If | ast.While | ast.IfExp):
        negated = copy.deepcopy(node)
        negated.test = ast.UnaryOp(ast.Not(), negated.test)
        yield "negated", negated
    elif isinstance(node, ast.Return) and node.value is not None:
        if ast.unparse(node.value) not in ("None", "False"):  # which both are no
            yield "dropped", ast.Return(ast.Constant(None))
    elif isinstance(node, ast.Constant):
        if isinstance(node.value, bool):
            yield "moved", ast.Constant(not node.value)
        elif isinstance(node.value, int):
            yield "moved", ast.Constant(node.value + 1)
        elif isinstance(node.value, float) and not 0 < abs(node.value) < _GUARD:
            yield "moved", ast.Constant(node.value * _MOVED or 1.0)
    elif isinstance(node, ast.Name) and node.id in _OTHER_NAME:
        yield "other", ast.Name(_OTHER_NAME[node.id], node.ctx)
