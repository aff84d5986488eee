"""What moves the cost of a piece: each thing it is made of, taken lower and higher."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from enamelwright.planning.cost import Gate, Rates, cost


@dataclass(frozen=True)
class Swing:
    """How far the cost of a piece moves with one of the things it is made of.

    Parameters
    ----------
    name : str
        What is moved.
    low, high : Decimal
        Cost of a good piece with it at its low and its high end.
    words : str
        By how much it is moved.
    """

    name: str
    low: Decimal
    high: Decimal
    words: str

    @property
    def width(self) -> Decimal:
        """How far apart the ends are."""
        return abs(self.high - self.low)


#: Factors are moved by a fifth, and chances to pass by five of a hundred.
SWING, POINTS = Decimal(1) / 5, Decimal(1) / 20


def swings(gates: Sequence[Gate], rates: Rates) -> tuple[Swing, ...]:
    """Return what moves the cost of a piece, the most first.

    Parameters
    ----------
    gates : sequence of Gate
        The work.
    rates : Rates
        Wage, overhead and the like.
    """
    down, up = 1 - SWING, 1 + SWING

    def gate_part(part: str, by: Decimal) -> Decimal:
        return cost([replace(gate, **{part: getattr(gate, part) * by}) for gate in gates], rates).unit

    def rate_part(part: str, by: Decimal) -> Decimal:
        return cost(gates, replace(rates, **{part: getattr(rates, part) * by})).unit

    def passing(by: Decimal) -> Decimal:
        moved = []
        for gate in gates:
            passed = min(max(gate.passed + by, POINTS), 1 - gate.again)
            moved.append(replace(gate, passed=passed))
        return cost(moved, rates).unit

    fifth = "a fifth less or more"
    found = [
        Swing("hand time", gate_part("minutes", down), gate_part("minutes", up), fifth),
        Swing("wage", rate_part("wage", down), rate_part("wage", up), fifth),
        Swing("material", gate_part("material", down), gate_part("material", up), fifth),
        Swing("overhead", rate_part("overhead", down), rate_part("overhead", up), fifth),
        Swing("kiln", gate_part("kiln", down), gate_part("kiln", up), fifth),
        Swing("pieces that pass", passing(POINTS), passing(-POINTS), "five of a hundred more or fewer at each gate"),
    ]
    return tuple(sorted(found, key=lambda one: -one.width))
