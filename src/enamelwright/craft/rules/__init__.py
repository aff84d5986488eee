"""The rules of the trade: each a row of a table and one predicate, one family a file."""

from __future__ import annotations

from enamelwright.craft.rules import (
    barrier,
    cells,
    contact,
    counter,
    depth,
    hazard,
    heat,
    metal,
    order,
    setting,
    support,
    surface,
)
from enamelwright.craft.rules.book import Finding, Rule, apply_book, live, rule, rules
from enamelwright.craft.rules.case import Case
from enamelwright.craft.verdict import Advice, Verdict

#: The families, imported so that their predicates are registered.
FAMILIES = (
    barrier, cells, contact, counter, depth, hazard, heat, metal, order, setting, support, surface,
)  # fmt: skip

__all__ = ["FAMILIES", "Case", "Finding", "Rule", "apply_rules", "live", "rule", "rules"]


def apply_rules(case: Case) -> tuple[tuple[Verdict, ...], tuple[Advice, ...]]:
    """Judge a case by every rule that its piece file and plan can answer.

    Parameters
    ----------
    case : Case
        The piece laid up, weighed, ordered and judged for flatness.

    Returns
    -------
    tuple
        Verdicts and advice lines, in the order of the table.
    """
    return apply_book(case)
