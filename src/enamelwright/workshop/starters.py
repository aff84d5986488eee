"""What a new design begins with: an ordinary piece of each technique, laid from the studio's own jars."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import lru_cache
from importlib.resources import files
from typing import Any

from enamelwright.craft.bench import Bench
from enamelwright.craft.jar import Jar
from enamelwright.craft.piece import Piece
from enamelwright.craft.starter import starter_jars
from enamelwright.errors import UnknownName

#: The kind of glass that stands in where the studio has no jar of a kind.
STAND_IN: dict[str, str] = {
    "flux": "lead_free_flux_or_transparent_soft",
    "transparent": "lead_free_transparent_medium",
    "opal": "leaded_opalescent",
    "ground": "lead_free_opaque_hard",
}
#: For every other kind.
PLAIN = "lead_free_opaque_titania_medium"
#: First sign of a jar that is named by its kind.
BY_KIND = "@"


@lru_cache(maxsize=1)
def _table() -> Mapping[str, Any]:
    text = files("enamelwright.workshop").joinpath("starters.toml").read_text("utf-8")
    return tomllib.loads(text)


def techniques() -> tuple[str, ...]:
    """Return the techniques a design can begin with, in the order of the table of techniques."""
    return tuple(_table())


def begin(technique: str, name: str, bench: Bench, changes: Mapping[str, Any] | None = None) -> Piece:
    """Return a piece of a technique to begin with.

    Parameters
    ----------
    technique : str
        Its id.
    name : str
        What the design is called.
    bench : Bench
        Whose jars are taken.
    changes : mapping, optional
        What is known already, in the outside form: metal, outline and the like.

    Raises
    ------
    UnknownName
        When no design can begin with that technique.
    """
    if technique not in _table():
        raise UnknownName.among("technique", technique, _table())
    outside = {**_table()[technique], **(changes or {}), "name": name, "technique": technique}
    outside["coats"] = [{**coat, "jar": _jar(coat["jar"], bench)} for coat in _table()[technique]["coats"]]
    return Piece.from_outside(outside, "new design")


def _jar(name: str, bench: Bench) -> str:
    """Return the studio's first jar of a kind, else the kind of glass that stands in."""
    kind = name.removeprefix(BY_KIND)
    classes = {jar.id for jar in starter_jars()}
    mine = [jar for jar in bench.jars if jar.id not in classes and jar.kind == kind]
    return _best(mine).id if mine else stand_in(kind)


def stand_in(kind: str) -> str:
    """Return the kind of glass a jar is taken for while nothing more is known of it.

    Parameters
    ----------
    kind : str
        ``opaque``, ``counter``, ``flux`` and so on, as a jar writes it.
    """
    return STAND_IN.get(kind, PLAIN)


def _best(jars: list[Jar]) -> Jar:
    """Return the jar that is open and has most left, of equals the first."""
    return max(jars, key=lambda jar: (bool(jar.stock.opened), jar.stock.grams or 0.0))
