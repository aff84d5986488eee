"""What the tests of the workshop share by name: a morning in March, an enamel, and where the examples are."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from enamelwright.craft.jar import Jar

EXAMPLES = Path(__file__).parents[2] / "examples"
MORNING = datetime(2026, 3, 2, 9, 0).astimezone()


def enamel(code: str, name: str, kind: str = "opaque", family: str = "white", **more: object) -> Jar:
    """A jar nobody has ever sold."""
    return Jar.from_outside({"id": code, "name": name, "kind": kind, "optics": {"family": family}, **more})
