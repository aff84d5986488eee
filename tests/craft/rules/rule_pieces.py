"""Whole piece files for the tests of the rules, and the way from a file to its plan."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import lru_cache

from enamelwright.craft.bench import Bench
from enamelwright.craft.piece import Piece
from enamelwright.craft.plan import Plan
from enamelwright.craft.planner import make_plan

#: Few draws: the rules do not look at the band of the stress model.
DRAWS = 16


def jar(
    name: str, kind: str = "opaque", family: str = "blue", maturity: int = 790, expansion: int = 105, more: str = "",
    lead: str = "no", cadmium: str = "no", acid: str = "yes",
) -> str:  # fmt: skip
    """Write one jar; `more` goes into its fusing table."""
    return f"""
[[jars]]
id = "{name}"
name = "{name} jar"
kind = "{kind}"
synthetic = true
glass = {{ expansion = {{ value_e7_per_k = {expansion}, kind = "linear", basis = "measured", low_c = 20, high_c = 300 }} }}
fusing = {{ maturity_c = {maturity}{more} }}
optics = {{ family = "{family}" }}
hazards = {{ lead = "{lead}", cadmium = "{cadmium}", acid_resistant = "{acid}" }}
"""


def coat(face: str, name: str, more: str = "powder_depth_mm = 0.6") -> str:
    """Write one coat."""
    return f'\n[[coats]]\nface = "{face}"\njar = "{name}"\n{more}\n'


def piece(
    *parts: str, kind: str = "copper", thickness: float = 0.9, technique: str = "sift_opaque", size: float = 25,
    metal: str = "", top: str = "",
) -> str:  # fmt: skip
    """Write a disc: `metal` goes into its metal, `top` before the tables, `parts` after the outline."""
    return f"""format = 1
name = "disc"
technique = "{technique}"
invented = true
{top}
[metal]
kind = "{kind}"
thickness_mm = {thickness}
{metal}
[outline]
shape = "circle"
diameter_mm = {size}
{"".join(parts)}"""


@lru_cache(maxsize=256)
def plan_of(text: str, bench: Bench | None = None) -> Plan:
    """Plan a piece file as it would be read from disk."""
    return make_plan(Piece.from_outside(tomllib.loads(text)), bench, draws=DRAWS)


def levels(plan: Plan, rule: str) -> set[str]:
    """Return the levels at which a rule speaks in a plan; ``note`` for an advice line, with ``meant`` when intended."""
    found = {verdict.level if not verdict.intended else "meant" for verdict in plan.verdicts if verdict.rule == rule}
    return found | {"note" for line in plan.advice if line.rule == rule}


@dataclass(frozen=True)
class Pair:
    """Two piece files that differ in one fact: the rule keeps quiet in one and speaks in the other.

    Parameters
    ----------
    rule, level : str
        What speaks, and how.
    quiet : str
        The file in which it keeps quiet.
    old, new : str
        The one fact changed; `old` stands in the quiet file once.
    """

    rule: str
    level: str
    quiet: str
    old: str
    new: str

    @property
    def loud(self) -> str:
        """The file in which the rule speaks."""
        assert self.quiet.count(self.old) == 1, f"{self.rule}: '{self.old}' must stand in the file once"
        return self.quiet.replace(self.old, self.new)
