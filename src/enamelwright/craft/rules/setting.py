"""Room left for the setting and for a lid."""

from __future__ import annotations

from collections.abc import Iterator

from enamelwright.craft.rules.book import Finding, rule
from enamelwright.craft.rules.case import Case
from enamelwright.craft.rules.depth import EDGE
from enamelwright.craft.rules.shown import mm, percent
from enamelwright.craft.verdict import Place
from enamelwright.reference.loader import value


@rule("FLANGE")
def narrow_flange(case: Case) -> Iterator[Finding]:
    """Find a piece to be set whose bare rim is too narrow."""
    use, least = case.piece.use, value("trade/flange")
    if use.set_in in {"bezel", "prongs", "frame"} and use.flange is not None and use.flange < least * (1 - EDGE):
        yield Finding(because=(f"bare rim {mm(use.flange)}, set in {use.set_in}",), place=Place(face="rim"))


@rule("LID")
def tight_lid(case: Case) -> Iterator[Finding]:
    """Advise when a lid leaves less than the usual room for enamel and growth."""
    use, least = case.piece.use, value("trade/lid_allowance")
    if use.lid and use.clearance is not None and use.clearance < least * (1 - EDGE):
        yield Finding(because=(f"{percent(use.clearance)} left, {percent(least)} is usual",))
