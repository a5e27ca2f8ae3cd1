"""Small wrong changes of a program: one operator, one constant, one call, one condition each.

What somebody would write by mistake: ``<`` for ``<=``, ``+`` for ``-``, ``and`` for ``or``, a number beside
the right one, ``min`` for ``max``, a ``not`` or a whole statement left out. Texts, type hints, what is raised
and what is asserted are left alone.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

_COMPARE = {
    ast.Lt: ("<=", ">"), ast.LtE: ("<", ">="), ast.Gt: (">=", "<"), ast.GtE: (">", "<="), ast.Eq: ("!=",),
    ast.NotEq: ("==",), ast.Is: ("is not",), ast.IsNot: ("is",), ast.In: ("not in",), ast.NotIn: ("in",),
}  # fmt: skip
_ARITHMETIC = {
    ast.Add: "-", ast.Sub: "+", ast.Mult: "/", ast.Div: "*", ast.FloorDiv: "/", ast.Mod: "//", ast.Pow: "*",
    ast.LShift: ">>", ast.RShift: "<<", ast.BitAnd: "|", ast.BitOr: "&", ast.MatMult: "*",
}  # fmt: skip
_CALLS = {"min": "max", "max": "min", "any": "all", "all": "any", "append": "remove", "ceil": "floor"}


class Mutant(NamedTuple):
    """One wrong change.

    Attributes:
        file: File in the checkout.
        line: Line where it begins, from 1.
        column: Byte of the line where it begins, from 0.
        before: What stands there.
        after: What stands there instead.
        text: The whole file with the change.
    """

    file: str
    line: int
    column: int
    before: str
    after: str
    text: str

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}: {_one_line(self.before)}  ->  {_one_line(self.after)}"


def _one_line(text: str) -> str:
    text = " ".join(text.split())
    return text if len(text) < 90 else text[:87] + "..."


def mutants_of(root: Path, file: str) -> Iterator[Mutant]:
    """Yield every mutant of a file; each of them is Python that can be read."""
    source = (root / file).read_text(encoding="utf-8")
    data = source.encode("utf-8")
    starts = [0]
    for line in data.splitlines(keepends=True):
        starts.append(starts[-1] + len(line))
    tree = ast.parse(source)
    right = ast.dump(tree)
    for item, wrong in _changes(tree):
        first = starts[item.lineno - 1] + item.col_offset
        assert item.end_lineno is not None and item.end_col_offset is not None
        last = starts[item.end_lineno - 1] + item.end_col_offset
        before = data[first:last].decode()
        text = (data[:first] + wrong.encode() + data[last:]).decode()
        try:
            changed = ast.parse(text)
        except SyntaxError:
            continue
        if ast.dump(changed) != right:
            yield Mutant(file, item.lineno, item.col_offset, before, wrong, text)


def _changes(tree: ast.Module) -> Iterator[tuple[ast.expr | ast.stmt, str]]:
    """Yield what to replace, and by which text."""
    skipped: set[int] = set()
    for item in ast.walk(tree):
        if isinstance(item, ast.AnnAssign):
            skipped.update(map(id, ast.walk(item.annotation)))
        elif isinstance(item, ast.FunctionDef):
            for hint in (item.returns, *(arg.annotation for arg in [*item.args.args, *item.args.kwonlyargs])):
                if hint is not None:
                    skipped.update(map(id, ast.walk(hint)))
        elif _says_nothing(item):
            skipped.update(map(id, ast.walk(item)))
    for item in ast.walk(tree):
        if id(item) not in skipped and isinstance(item, ast.expr | ast.stmt):
            for wrong in _wrong(item):
                yield item, wrong


def _says_nothing(item: ast.AST) -> bool:
    """Return whether no change inside an item is worth a run of the tests."""
    if isinstance(item, ast.If):
        return "TYPE_CHECKING" in ast.unparse(item.test)
    if isinstance(item, ast.Subscript | ast.Assign):
        return "Literal[" in ast.unparse(item)
    return isinstance(item, ast.JoinedStr | ast.Raise | ast.Assert)


def _is_left_out(item: ast.AST) -> bool:
    """Return whether an item is a statement that a program runs without, wrongly."""
    if isinstance(item, ast.Assign):
        return isinstance(item.targets[0], ast.Attribute)
    return isinstance(item, ast.Expr) and isinstance(item.value, ast.Call)


def _wrong(item: ast.expr | ast.stmt) -> Iterator[str]:
    """Yield texts that are wrong in place of an item."""
    if isinstance(item, ast.Compare) and len(item.ops) == 1:
        for sign in _COMPARE[type(item.ops[0])]:
            yield f"({ast.unparse(item.left)} {sign} {ast.unparse(item.comparators[0])})"
    elif isinstance(item, ast.Compare):
        for k, op in enumerate(item.ops):
            parts = [ast.unparse(item.left)]
            for n, (other, right) in enumerate(zip(item.ops, item.comparators, strict=True)):
                sign = _COMPARE[type(op)][0] if n == k else _SIGNS[type(other)]
                parts += [sign, ast.unparse(right)]
            yield f"({' '.join(parts)})"
    elif isinstance(item, ast.BinOp) and type(item.op) in _ARITHMETIC:
        if not (isinstance(item.left, ast.Constant) and isinstance(item.left.value, str)):
            yield f"(({ast.unparse(item.left)}) {_ARITHMETIC[type(item.op)]} ({ast.unparse(item.right)}))"
    elif isinstance(item, ast.BoolOp):
        sign = " and " if isinstance(item.op, ast.Or) else " or "
        yield "(" + sign.join(f"({ast.unparse(value)})" for value in item.values) + ")"
        for k in range(len(item.values)):
            left = [f"({ast.unparse(v)})" for n, v in enumerate(item.values) if n != k]
            yield "(" + (" or " if isinstance(item.op, ast.Or) else " and ").join(left) + ")"
    elif isinstance(item, ast.UnaryOp) and isinstance(item.op, ast.Not | ast.USub):
        yield f"({ast.unparse(item.operand)})"
    elif isinstance(item, ast.Constant):
        yield from _constants(item.value)
    elif isinstance(item, ast.Call):
        name = item.func.attr if isinstance(item.func, ast.Attribute) else getattr(item.func, "id", "")
        if name in _CALLS:
            whole = ast.unparse(item.func)
            arguments = ast.unparse(item)[len(whole) :]
            yield whole[: len(whole) - len(name)] + _CALLS[name] + arguments
    elif isinstance(item, ast.IfExp):
        yield f"({ast.unparse(item.body)})"
        yield f"({ast.unparse(item.orelse)})"
    elif isinstance(item, ast.AugAssign) and type(item.op) in _ARITHMETIC:
        sign = _ARITHMETIC[type(item.op)]
        yield f"{ast.unparse(item.target)} {sign}= {ast.unparse(item.value)}"
        yield "pass"
    elif _is_left_out(item):
        yield "pass"
    elif isinstance(item, ast.Break):
        yield "continue"
    elif isinstance(item, ast.Continue):
        yield "break"


def _constants(value: object) -> Iterator[str]:
    if isinstance(value, bool):
        yield str(not value)
    elif isinstance(value, int):
        yield str(value + 1)
        if value > 0:
            yield str(value - 1)
    elif isinstance(value, float):
        yield repr(value * 1.5 if value else 1.0)


_SIGNS = {
    ast.Lt: "<", ast.LtE: "<=", ast.Gt: ">", ast.GtE: ">=", ast.Eq: "==", ast.NotEq: "!=", ast.Is: "is",
    ast.IsNot: "is not", ast.In: "in", ast.NotIn: "not in",
}  # fmt: skip
