"""Numbers of the firing window, read from the table ``heat/window``."""

from __future__ import annotations

from enamelwright.errors import HouseError
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
