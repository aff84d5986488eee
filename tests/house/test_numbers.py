"""No bare physical number in the laws or in the trade: such numbers live in reference tables.

A number may stand in code when it is plainly arithmetic (0, 1, 2, a half, a small whole number),
or when a module names it in capitals and says on a comment or docstring beside it what it is.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

from tree import module_name, name_of, package_files, text_of, tree_of

#: Fractions of pure arithmetic.
PLAIN = {0.5, 0.25, 1.5, 100.0}
#: Whole numbers up to here count things, powers and Simpson weights.
SMALL = 12
#: Bounds of a field: they catch slips of the unit or a flood of text, and judge no piece.
BOUNDS = {"gt", "ge", "lt", "le", "min_length", "max_length", "maxsize"}
FOLDERS = ("physics", "craft")


def _named(node: ast.stmt) -> bool:
    """Whether a statement gives module constants in capitals their values."""
    targets: list[ast.expr] = []
    if isinstance(node, ast.Assign):
        targets = [part for t in node.targets for part in (t.elts if isinstance(t, ast.Tuple) else [t])]
    elif isinstance(node, ast.AnnAssign):
        targets = [node.target]
    return bool(targets) and all(isinstance(t, ast.Name) and t.id == t.id.upper() for t in targets)


def _plain(value: float) -> bool:
    return abs(value) in PLAIN or (float(value).is_integer() and abs(value) <= SMALL)


def _numbers(node: ast.AST) -> Iterator[tuple[int, int, float]]:
    """(identity, line, value) of every number under a node."""
    for part in ast.walk(node):
        if isinstance(part, ast.Constant) and type(part.value) in (int, float):
            yield id(part), part.lineno, float(str(part.value))


def _excused(tree: ast.Module) -> Iterator[ast.AST]:
    """Parts of a file where a number says nothing about the world."""
    yield from (statement for statement in tree.body if _named(statement))
    for node in ast.walk(tree):
        if isinstance(node, ast.keyword) and node.arg in BOUNDS:
            yield node.value
        elif isinstance(node, ast.Slice):  # how much of a text is shown
            yield node
        elif isinstance(node, ast.BinOp) and isinstance(node.op, ast.Pow) and ast.unparse(node.left) == "10":
            yield node.right
        elif isinstance(node, ast.FunctionDef) and node.name == "warm":  # compiles, with any numbers
            yield node


def bare_numbers(tree: ast.Module) -> Iterator[tuple[int, float]]:
    """Numbers of a file that neither arithmetic nor a named constant explains."""
    excused = {number for part in _excused(tree) for number, _, _ in _numbers(part)}
    for number, line, value in _numbers(tree):
        if number not in excused and not _plain(value):
            yield line, value


def unexplained(path: Path) -> Iterator[tuple[int, str]]:
    """Named numbers of a file that stand in a block without any comment or docstring."""
    tree, lines = tree_of(path), text_of(path).splitlines()
    for statement in tree.body:
        if not _named(statement) or all(_plain(value) for _, _, value in _numbers(statement)):
            continue
        first, last = statement.lineno - 1, (statement.end_lineno or statement.lineno) - 1
        while first > 0 and lines[first - 1].strip():
            first -= 1
        while last + 1 < len(lines) and lines[last + 1].strip():
            last += 1
        block = "\n".join(lines[first : last + 1])
        if "#" not in block and '"""' not in block:
            yield statement.lineno, ast.unparse(statement)[:80]


@pytest.mark.parametrize("path", package_files(*FOLDERS), ids=module_name)
def test_no_bare_number(path: Path) -> None:
    found = [f"{name_of(path)}:{line}: {value!r}" for line, value in bare_numbers(tree_of(path))]
    assert not found, "put it in a reference table, or name it and say what it is"


@pytest.mark.parametrize("path", package_files(*FOLDERS), ids=module_name)
def test_named_numbers_are_explained(path: Path) -> None:
    found = [f"{name_of(path)}:{line}: {words}" for line, words in unexplained(path)]
    assert not found, "say beside the constant what it is and why it has this value"


def test_the_walk_sees_what_it_should() -> None:
    """The walk itself: a density in a function is found, a named tolerance and a half are not."""
    code = "TOLERANCE = 1e-9  # strain\ndef f(x: float) -> float:\n    return 0.5 * x * 8960.0 + Field(gt=673)\n"
    assert [value for _, value in bare_numbers(ast.parse(code))] == [8960.0]
