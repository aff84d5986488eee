"""Public things explain themselves, and what they say of their arguments is true.

Chosen checks of numpydoc's validator (names from its manual): GL08 no docstring, SS01 no summary,
PR02 an argument described that does not exist, PR03 arguments described in another order, PR10 a
missing space before the colon, YD01 a generator that does not say what it yields.
A one-line docstring is enough where name and types say the rest; a Parameters section, once begun,
must be whole (PR01).
"""

from __future__ import annotations

import importlib
import inspect
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from numpydoc.validate import validate

from tree import module_name, package_files

ALWAYS = {"GL08", "SS01", "PR02", "PR03", "PR10"}
WHEN_DESCRIBED = {"PR01"}


def public_things(module: Any) -> Iterator[str]:
    """Dotted names of the public classes, functions and methods that a module defines itself."""
    for name, thing in vars(module).items():
        if name.startswith("_") or getattr(thing, "__module__", None) != module.__name__:
            continue
        if not (inspect.isclass(thing) or inspect.isfunction(thing)):
            continue
        yield f"{module.__name__}.{name}"
        if inspect.isclass(thing):
            for inner, member in vars(thing).items():
                bare = inspect.unwrap(getattr(member, "__func__", member))
                if not inner.startswith("_") and inspect.isfunction(bare) and bare.__module__ == module.__name__:
                    yield f"{module.__name__}.{name}.{inner}"


def complaints(name: str) -> list[str]:
    """What the validator has against one public thing, by the chosen checks."""
    result = validate(name)
    text = result["docstring"]
    described = re.search(r"^\s*Parameters\n\s*-{3,}", text, re.MULTILINE) is not None
    chosen = ALWAYS | (WHEN_DESCRIBED if described else set())
    return [f"{name}: {code} {words}" for code, words in result["errors"] if code in chosen]


@pytest.mark.parametrize("path", [p for p in package_files() if p.name != "__main__.py"], ids=module_name)
def test_public_things_explain_themselves(path: Path) -> None:
    module = importlib.import_module(module_name(path))
    assert module.__doc__, "say in the first line what the file holds"
    assert not [words for name in public_things(module) for words in complaints(name)]
