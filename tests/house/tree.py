"""The checkout as the house rules see it: which files there are, and what stands in them."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "src" / "enamelwright"

# What is made by tools or by running the product; mirrors .gitignore.
_MADE = {"__pycache__", "out", "build", "dist"}
_HIDDEN_BUT_OURS = {".ci", ".gitignore"}


def _ours(name: str) -> bool:
    hidden = name.startswith(".") and name not in _HIDDEN_BUT_OURS
    return not (hidden or name in _MADE or name.endswith((".egg-info", ".pyc")))


def _walk(folder: Path) -> Iterator[Path]:
    for path in sorted(folder.iterdir()):
        if not _ours(path.name):
            continue
        if path.is_dir():
            yield from _walk(path)
        else:
            yield path


@cache
def project_files() -> tuple[Path, ...]:
    """Every file of the project, without what tools made."""
    return tuple(_walk(ROOT))


def text_of(path: Path) -> str:
    """The text of a file; empty for pictures, fonts and other bytes."""
    try:
        return path.read_text(encoding="utf-8")
    except UnicodeDecodeError:
        return ""


@cache
def tree_of(path: Path) -> ast.Module:
    """The syntax tree of a Python file."""
    return ast.parse(text_of(path), filename=name_of(path))


def name_of(path: Path) -> str:
    """A path as shown in a message."""
    return path.relative_to(ROOT).as_posix()


def package_files(*folders: str, ending: str = ".py") -> list[Path]:
    """Files of the package with one ending, of all folders or of those named."""
    roots = [PACKAGE / folder for folder in folders] or [PACKAGE]
    return [p for p in project_files() if p.suffix == ending and any(p.is_relative_to(r) for r in roots)]


def module_name(path: Path) -> str:
    """The dotted name of a file of the package."""
    parts = path.relative_to(PACKAGE.parent).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def docstrings(tree: ast.AST) -> set[int]:
    """Identities of the nodes that are docstrings, or bare strings that explain the line above."""
    return {
        id(node.value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant) and isinstance(node.value.value, str)
    }


def sentences(path: Path) -> Iterator[tuple[int, str]]:
    """Text of a Python file that a person may see: string literals, formatted ones too, less docstrings."""
    tree = tree_of(path)
    skip = docstrings(tree)
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in skip:
            yield node.lineno, node.value
