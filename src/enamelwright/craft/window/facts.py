"""Numbers of the firing window, read from the table ``heat/window``."""

from __future__ import annotations

from math import log10

from enamelwright.errors import HouseError
from enamelwright.figure import Z95
from enamelwright.reference.loader import Fact, facts_of


def window_fact(key: str) -> Fact:
    """Return one number of the firing window.

    Parameters
    ----------
    key : str
        Name without its field, e.g. ``"base_coat"``.

    Raises
    ------
    HouseError
        When the table does not state it.
    """
    try:
        return facts_of("heat/window")[f"heat/{key}"]
    except KeyError as error:
        raise HouseError(f"the table heat/window does not state '{key}'.", "Install the program again.") from error


def number(key: str) -> float:
    """Return the SI number of one fact."""
    return window_fact(key).value


def band_decades(key: str) -> float:
    """Return the standard deviation of log10 of a positive fact, from its 5-95 % band [decades]."""
    fact = window_fact(key)
    return log10(fact.high / fact.low) / (2 * Z95)


def band_sd(key: str) -> float:
    """Return the standard deviation of a fact, from its 5-95 % band."""
    fact = window_fact(key)
    return (fact.high - fact.low) / (2 * Z95)
