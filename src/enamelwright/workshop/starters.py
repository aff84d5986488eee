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


def why_not(technique: str, bench: Bench) -> str:
    """Say which of the studio's jars a new design passed over for what they hold; empty for none.

    Parameters
    ----------
    technique : str
        Its id.
    bench : Bench
        Whose jars are taken.
    """
    lines = []
    for kind in dict.fromkeys(
        coat["jar"].removeprefix(BY_KIND) for coat in _table().get(technique, {}).get("coats", ())
    ):
        mine = _mine(kind, bench)
        if not mine:
            continue
        taken, before = _best(mine), max(mine, key=_left)
        if before.id != taken.id and _clean(taken) and not _clean(before):
            lines.append(f"{taken.id} {taken.name} is taken and not {before.id} {before.name}, which {_holds(before)}.")
    return " ".join(lines)


def _mine(kind: str, bench: Bench) -> list[Jar]:
    """Return the studio's own jars of a kind."""
    classes = {jar.id for jar in starter_jars()}
    return [jar for jar in bench.jars if jar.id not in classes and jar.kind == kind]


def _jar(name: str, bench: Bench) -> str:
    """Return the studio's first jar of a kind, else the kind of glass that stands in."""
    kind = name.removeprefix(BY_KIND)
    mine = _mine(kind, bench)
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
    """Return the jar without lead and cadmium before others, then the one with most left; of equals the first."""
    return max(jars, key=lambda jar: (_there(jar), _clean(jar), *_left(jar)))


def _left(jar: Jar) -> tuple[bool, float]:
    return bool(jar.stock.opened), jar.stock.grams or 0.0


def _there(jar: Jar) -> bool:
    """Whether there may be powder in it: what was never weighed counts as there."""
    return jar.stock.grams is None or jar.stock.grams > 0


def _clean(jar: Jar) -> bool:
    return jar.hazards.lead == "no" and jar.hazards.cadmium == "no"


def _holds(jar: Jar) -> str:
    """Say what speaks against a jar, as its label or safety data sheet says."""
    told = {"lead": jar.hazards.lead, "cadmium": jar.hazards.cadmium}
    held = [name for name, said in told.items() if said in {"yes", "mixed"}]
    if held:
        return f"holds {' and '.join(held)}"
    return f"is not told to be free of {' and '.join(name for name, said in told.items() if said != 'no')}"
