"""What may not stand in the tree: promises, jargon, machine paths, outside addresses, excused tests."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from tree import PACKAGE, ROOT, name_of, package_files, project_files, sentences, text_of, tree_of

#: Nobody can promise these, so no sentence of the product says them.
PROMISES = (
    r"will not crack",
    r"won't crack",
    r"cannot crack",
    r"food[- ]safe",
    r"(?<!not )\bsafe (?:to|for|in|with|at|when)\b",
    r"\b(?:is|are|be) safe\b",
    r"(?<!-)\blegal(?:ly)?\b",
    r"\bguarantee[ds]?\b",
)
#: Words of ours for ourselves; a maker has better ones.
JARGON = (
    r"\bposterior\b",
    r"\blaminates?\b",
    r"\bensembles?\b",
    r"\bMonte Carlo\b",
    r"\bquantiles?\b",
    r"\bpercentiles?\b",
)

SHOWN_ENDINGS = {".typ", ".html", ".j2", ".jinja", ".js", ".svg"}
TABLE_ENDINGS = {".csv", ".toml", ".json"}

#: Written in pieces so that this file does not find itself.
MACHINE_PATHS = tuple(f"/{name}/" for name in ("work", "tmp", "root"))

#: Hosts that only an installer talks to; the lock file alone may name them.
_HOSTS = (("pypi", "org"), ("pythonhosted", "org"), ("npmjs", "org"), ("deb", "debian", "org"))
INSTALLER_HOSTS = tuple(".".join(parts) for parts in _HOSTS)

#: Names of formats, which look like addresses but are never fetched.
FORMAT_NAMES = (
    "http://www.w3.org/",
    "https://www.w3.org/",
    "https://json-schema.org/",
    "https://vega.github.io/schema/",
    "http://127.0.0.1",
    "http://localhost",
)


def found(patterns: tuple[str, ...], text: str) -> list[str]:
    """The patterns that a text holds."""
    return [p for p in patterns if re.search(p, text, re.IGNORECASE)]


def shown_texts() -> Iterator[tuple[str, str, bool]]:
    """(place, text, read by a maker at the bench) of everything the product may print or show."""
    for path in package_files():
        at_the_door = any(path.is_relative_to(PACKAGE / f) for f in ("cards", "cli", "web"))
        for line, text in sentences(path):
            if " " in text.strip():  # a single word is a key or a name
                yield f"{name_of(path)}:{line}", text, at_the_door
    for path in project_files():
        if path.is_relative_to(PACKAGE) and path.suffix in SHOWN_ENDINGS | TABLE_ENDINGS:
            if "vendor" in path.parts or path.name == "sources.toml":
                continue
            for line, text in enumerate(text_of(path).splitlines(), 1):
                yield f"{name_of(path)}:{line}", text, path.suffix in SHOWN_ENDINGS
        if path.is_relative_to(ROOT / "examples") and path.suffix == ".toml":
            for line, text in enumerate(text_of(path).splitlines(), 1):
                yield f"{name_of(path)}:{line}", text, True


def test_no_promise() -> None:
    bad = [f"{place}: {text.strip()[:90]!r}" for place, text, _ in shown_texts() if found(PROMISES, text)]
    assert not bad


def test_no_jargon_where_a_maker_reads() -> None:
    bad = [f"{place}: {text.strip()[:90]!r}" for place, text, shown in shown_texts() if shown and found(JARGON, text)]
    assert not bad


@pytest.mark.parametrize(
    ("text", "promises"),
    [
        ("This piece will not crack.", True),
        ("Safe to breathe once settled", True),
        ("the cup is food-safe", True),
        ("leave it in a safe place", False),
        ("thickness alone is not safe for rigid frames", False),
        ("an illegal character in line 3", False),
        ("screening figure only; follow the safety data sheet", False),
    ],
)
def test_promises_are_told_from_ordinary_words(text: str, promises: bool) -> None:
    assert bool(found(PROMISES, text)) is promises


def test_no_machine_path() -> None:
    bad = [
        f"{name_of(path)}: {name}"
        for path in project_files()
        for name in MACHINE_PATHS
        if re.search(rf"(?<![\w.\-}}]){re.escape(name)}", text_of(path))
    ]
    assert not bad


def test_only_the_lock_file_names_an_installer_host() -> None:
    bad = [
        f"{name_of(path)}: {host}"
        for path in project_files()
        if path.name != "uv.lock"
        for host in INSTALLER_HOSTS
        if host in text_of(path)
    ]
    assert not bad


def test_shipped_code_names_no_outside_address() -> None:
    """The bench has no network: nothing the product runs or shows may want one."""
    bad = []
    for path in project_files():
        if not path.is_relative_to(PACKAGE) or path.suffix not in SHOWN_ENDINGS | {".py", ".css", ".json"}:
            continue
        if "vendor" in path.parts or path.parent.name == "reference" or PACKAGE / "reference" in path.parents:
            continue  # vendored files are pinned by hash; sources cite where they were read
        for address in re.findall(r"https?://[^\s\"'<>)]+", text_of(path)):
            if not address.startswith(FORMAT_NAMES):
                bad.append(f"{name_of(path)}: {address}")
    assert not bad


@pytest.mark.parametrize(
    "path", [p for p in project_files() if p.is_relative_to(ROOT / "tests") and p.suffix == ".py"], ids=name_of
)
def test_no_test_is_excused(path: Path) -> None:
    """A test runs and holds, or it is repaired or removed."""
    excuses = {"skip", "skipif", "skipIf", "skipTest", "xfail", "importorskip", "expectedFailure"}
    bad = [
        f"{name_of(path)}:{node.lineno}: {node.attr}"
        for node in ast.walk(tree_of(path))
        if isinstance(node, ast.Attribute)
        and node.attr in excuses
        and ast.unparse(node.value) in {"pytest", "pytest.mark", "mark", "unittest", "self"}
    ]
    assert not bad
