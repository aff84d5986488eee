"""Thresholds and defaults of the checks, read from the table ``trade/judgement``."""

from __future__ import annotations

from enamelwright.errors import HouseError
from enamelwright.reference.loader import Fact, facts_of


def judgement(key: str) -> Fact:
    """Return one threshold or default of the checks.

    Parameters
    ----------
    key : str
        Name without its family, e.g. ``"bow_limit"``.

    Raises
    ------
    HouseError
        When the table does not state it.
    """
    try:
        return facts_of("trade/judgement")[f"trade/flatness/{key}"]
    except KeyError as error:
        raise HouseError(f"the table trade/judgement does not state '{key}'.") from error


def level(key: str) -> float:
    """Return the SI number of one threshold or default."""
    return judgement(key).value


def spoken(key: str) -> str:
    """Cite one threshold: its key, source and status, for the sources of a verdict."""
    found = judgement(key)
    return f"{found.key} [{', '.join(found.source)}; {found.status}]"
