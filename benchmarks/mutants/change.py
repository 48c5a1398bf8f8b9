"""Small plausible bugs, found in a syntax tree and put into its text: signs, limits, swaps, lost conditions."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass

__all__ = ["Change", "changes", "mutated"]

_COMPARE = {
    ast.Lt: "<=",
    ast.LtE: "<",
    ast.Gt: ">=",
    ast.GtE: ">",
    ast.Eq: "!=",
    ast.NotEq: "==",
    ast.In: "not in",
    ast.NotIn: "in",
    ast.Is: "is not",
    ast.IsNot: "is",
}
_BINARY = {
    ast.Add: "-",
    ast.Sub: "+",
    ast.Mult: "/",
    ast.Div: "*",
    ast.FloorDiv: "*",
    ast.Mod: "*",
    ast.Pow: "*",
    ast.BitAnd: "|",
    ast.BitOr: "&",
}
_NAMES = {
    "min": "max",
    "max": "min",
    "any": "all",
    "all": "any",
    "minimum": "maximum",
    "maximum": "minimum",
    "argmin": "argmax",
    "argmax": "argmin",
    "floor": "ceil",
    "ceil": "floor",
}
_STATEMENTS = {"dropped", "step"}
_TYPED = (ast.AnnAssign, ast.arg, ast.ClassDef, ast.FunctionDef, ast.AsyncFunctionDef)


@dataclass(frozen=True)
class Change:
    """What is put in place of the text of a node. Lines count from 1, columns from 0, in bytes of UTF-8."""

    line: int
    column: int
    end_line: int
    end_column: int
    kind: str
    new: str


def changes(text: str) -> list[Change]:
    """Return every change of a module, in order. Words are left alone: strings, errors, types."""
    found = [change for node in _code(ast.parse(text)) for change in _of(node)]
    return sorted(set(found), key=lambda one: (one.line, one.column, one.end_line, one.end_column, one.kind, one.new))


def mutated(text: str, change: Change) -> str:
    """Return the text with one change; line numbers stay as they are."""
    lines = text.encode().splitlines(keepends=True)
    head = b"".join(lines[: change.line - 1]) + lines[change.line - 1][: change.column]
    tail = lines[change.end_line - 1][change.end_column :] + b"".join(lines[change.end_line :])
    gap = b"\n" * (change.end_line - change.line)
    new = (
        change.new.encode() + gap if change.kind in _STATEMENTS or not gap else b"(" + change.new.encode() + gap + b")"
    )
    return (head + new + tail).decode()


def _text_of(node: ast.expr) -> str:
    """Return a node's own text in one line, in brackets where it needs them."""
    return f"({ast.unparse(node)})" if isinstance(node, _LOOSE) else ast.unparse(node)


_LOOSE = (ast.BinOp, ast.BoolOp, ast.Compare, ast.IfExp, ast.Lambda, ast.UnaryOp)


def _code(tree: ast.AST) -> Iterator[ast.AST]:
    """Yield nodes that compute something: no annotations, decorators, strings, error messages."""
    for node in ast.iter_child_nodes(tree):
        if isinstance(node, ast.Raise | ast.JoinedStr | ast.Assert | ast.Import | ast.ImportFrom):
            continue
        if isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING":
            continue
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            continue
        yield from _within(node)


def _within(node: ast.AST) -> Iterator[ast.AST]:
    yield node
    if isinstance(node, _TYPED):
        parts: list[ast.AST] = []
        if isinstance(node, ast.AnnAssign):
            parts = [node.value] if node.value else []
        elif isinstance(node, ast.ClassDef):
            parts = [*node.body]
        elif isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            parts = [*filter(None, (*node.args.defaults, *node.args.kw_defaults)), *node.body]
        for part in parts:
            yield from _code(_holder(part))
    else:
        yield from _code(node)


def _holder(part: ast.AST) -> ast.AST:
    """Return a node whose only child is ``part``."""
    return ast.Tuple(elts=[part], ctx=ast.Load()) if isinstance(part, ast.expr) else ast.Module([part], [])  # type: ignore[list-item]


def _of(node: ast.AST) -> Iterator[Change]:
    for kind, new in _ways(node):
        yield Change(node.lineno, node.col_offset, node.end_lineno, node.end_col_offset, kind, new)  # type: ignore[attr-defined]
    for child in _conditions(node):
        for new in ("True", "False"):
            if ast.unparse(child) != new:
                yield Change(child.lineno, child.col_offset, child.end_lineno, child.end_col_offset, "condition", new)  # type: ignore[arg-type]


def _conditions(node: ast.AST) -> list[ast.expr]:
    if isinstance(node, ast.If | ast.IfExp):
        return [node.test]
    if isinstance(node, ast.comprehension):
        return node.ifs
    return []


def _ways(node: ast.AST) -> Iterator[tuple[str, str]]:  # noqa: C901, PLR0912 - a table of kinds
    match node:
        case ast.Compare(left=left, ops=[op], comparators=[right]):
            yield "comparison", f"{_text_of(left)} {_COMPARE[type(op)]} {_text_of(right)}"
            if isinstance(op, ast.Lt | ast.LtE | ast.Gt | ast.GtE):
                yield "comparison", f"{_text_of(right)} {_sign(op)} {_text_of(left)}"
        case ast.BinOp(left=left, op=op, right=right) if type(op) in _BINARY and not _text(node):
            yield "arithmetic", f"({_text_of(left)} {_BINARY[type(op)]} {_text_of(right)})"
        case ast.UnaryOp(op=ast.USub() | ast.Not(), operand=operand) if not isinstance(operand, ast.Constant):
            yield "sign", _text_of(operand)
        case ast.UnaryOp(op=ast.USub(), operand=ast.Constant(value=value)):
            yield "sign", repr(value)
        case ast.BoolOp(op=op, values=values):
            other = " or " if isinstance(op, ast.And) else " and "
            yield "and/or", f"({other.join(map(_text_of, values))})"
            for out in range(len(values)):
                own = " and " if isinstance(op, ast.And) else " or "
                yield "condition", f"({own.join(_text_of(v) for n, v in enumerate(values) if n != out)})"
        case ast.Constant(value=bool() as value):
            yield "constant", repr(not value)
        case ast.Constant(value=int() as value):
            yield "constant", str(value + 1)
            if value:
                yield "constant", str(value - 1)
        case ast.Constant(value=float() as value):
            yield "constant", repr(value * 2 if value else 1.0)
        case ast.Call(func=func, args=[first, second, *rest], keywords=keywords) if not any(
            isinstance(one, ast.Starred) for one in node.args
        ) and ast.unparse(first) != ast.unparse(second):
            swapped = ast.Call(func, [second, first, *rest], keywords)
            if not (isinstance(func, ast.Name) and func.id in {"min", "max", "isinstance", "print"}):
                yield "swapped", ast.unparse(swapped)
            yield from _renamed(node)
        case ast.Call():
            yield from _renamed(node)
        case ast.Tuple(elts=[first, second], ctx=ast.Load()) if ast.unparse(first) != ast.unparse(second):
            new = f"{_text_of(second)}, {_text_of(first)}"
            yield "swapped", new if any(isinstance(one, ast.Slice) for one in (first, second)) else f"({new})"
        case ast.AugAssign(target=target, op=ast.Add() | ast.Sub() as op, value=value):
            sign = "-=" if isinstance(op, ast.Add) else "+="
            yield "step", f"{ast.unparse(target)} {sign} {ast.unparse(value)}"
        case ast.Expr(value=ast.Call()):
            yield "dropped", "pass"
        case ast.Continue() | ast.Break():
            yield "dropped", "pass"


def _sign(op: ast.cmpop) -> str:
    return {ast.Lt: "<", ast.LtE: "<=", ast.Gt: ">", ast.GtE: ">="}[type(op)]


def _text(node: ast.BinOp) -> bool:
    return any(
        isinstance(one, ast.JoinedStr) or (isinstance(one, ast.Constant) and isinstance(one.value, str | bytes))
        for one in (node.left, node.right)
    )


def _renamed(call: ast.Call) -> Iterator[tuple[str, str]]:
    match call.func:
        case ast.Name(id=name) if name in _NAMES:
            yield "min/max", ast.unparse(ast.Call(ast.Name(_NAMES[name]), call.args, call.keywords))
        case ast.Attribute(value=value, attr=name) if name in _NAMES:
            yield "min/max", ast.unparse(ast.Call(ast.Attribute(value, _NAMES[name]), call.args, call.keywords))
