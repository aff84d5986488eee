"""Which faults cost most: how often each was seen, per firing of a piece and per load, with what so few can tell.

A piece in a load is one opportunity. Loads are told beside pieces: what belongs to the load, such as its heat, was
tried as often as there were loads, however many pieces were in it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from enamelwright.errors import InputError
from enamelwright.learning.proportions import Interval, exact, in_groups
from enamelwright.learning.rare_faults import effect_of_counts

SURE = 0.9
"""Share of the intervals that hold the truth."""


@dataclass(frozen=True)
class Seen:
    """A fault on a piece in a load."""

    fault: str
    piece: int
    load: int


@dataclass(frozen=True)
class Line:
    """One fault of the list.

    Attributes
    ----------
    fault : str
        Id or the maker's own words.
    pieces, loads : int
        Firings of a piece, and loads, after which it was seen.
    between : tuple of float
        Share of firings of a piece, as far as so few tell; pieces of one load that went wrong together are hardly more
        than one try.
    by_load : tuple of float
        Share of loads.
    up_to_here : float
        Share of all faults that this and the ones before it are.
    """

    fault: str
    pieces: int
    loads: int
    between: Interval
    by_load: Interval
    up_to_here: float


def pareto(seen: Iterable[Seen], pieces: int, loads: int, in_load: Mapping[int, int] | None = None) -> tuple[Line, ...]:
    """List faults, the most frequent first.

    Parameters
    ----------
    seen : iterable of Seen
        The same fault on the same piece in the same load counts once.
    pieces : int
        How often a piece was fired.
    loads : int
        How often the kiln was.
    in_load : mapping, optional
        How many pieces each load had; each piece counts as a try of its own when left out.

    Raises
    ------
    InputError
        When more faults were seen than could be.
    """
    counted: dict[str, set[tuple[int, int]]] = {}
    for one in seen:
        counted.setdefault(one.fault, set()).add((one.piece, one.load))
    everything = sum(len(cases) for cases in counted.values())
    lines, so_far = [], 0
    for fault, cases in sorted(counted.items(), key=lambda pair: (-len(pair[1]), pair[0])):
        in_loads = len({load for _, load in cases})
        if len(cases) > pieces or in_loads > loads:
            raise InputError(f"{len(cases)} times {fault} in {pieces} firings cannot be", "Count again.")
        so_far += len(cases)
        between = exact(len(cases), pieces, SURE)
        if in_load is not None:
            together = Counter(load for _, load in cases)
            between = in_groups([together[load] for load in in_load], list(in_load.values()), SURE)
        lines.append(
            Line(fault, len(cases), in_loads, between, exact(in_loads, loads, SURE), so_far / everything)
        )  # fmt: skip
    return tuple(lines)


@dataclass(frozen=True)
class StandsOut:
    """Something that goes with a fault more often than the rest.

    Attributes
    ----------
    fault, what : str
        The fault, and the jar or whatever it goes with.
    with_loads, with_faults, without_loads, without_faults : int
        Loads.
    chance : float
        That the fault comes oftener with it, under a weak prior.
    """

    fault: str
    what: str
    with_loads: int
    with_faults: int
    without_loads: int
    without_faults: int
    chance: float


def stands_out(
    fault: str, what: str, with_loads: int, with_faults: int, without_loads: int, without_faults: int
) -> StandsOut:
    """Weigh whether a fault goes with something.

    Parameters
    ----------
    fault, what : str
        The fault and what it may go with.
    with_loads, with_faults, without_loads, without_faults : int
        Loads with it and without it, and those of them with the fault.

    Raises
    ------
    InputError
        When more faults than loads are told.
    """
    if with_faults > with_loads or without_faults > without_loads:
        raise InputError("more loads with the fault than loads", "Count again.")
    effect = effect_of_counts(with_loads, with_faults, without_loads, without_faults)
    return StandsOut(fault, what, with_loads, with_faults, without_loads, without_faults, effect.chance_positive)
