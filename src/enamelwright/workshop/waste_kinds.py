"""What a waste container holds by its entries and its label, and what may not join it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from sqlalchemy import Row, select

from enamelwright.craft.baths.never_together import UNKNOWN, named_in, pickles, refusal
from enamelwright.errors import InputError
from enamelwright.records.schema.baths import bath as bath_table
from enamelwright.records.schema.baths import waste_entry
from enamelwright.records.writing import current
from enamelwright.workshop.studio import Studio

#: Kind of the record -> what it counts as where nobody has said what the bath is made of.
_UNSAID = {"etching liquor": "acid", "rinse": "abrasive only"}


def kinds_of(row: Row[Any]) -> frozenset[str]:
    """Return the chemistries in a bath.

    Parameters
    ----------
    row : Row
        The bath.
    """
    made = row.made_of or {}
    return frozenset((made.get("kind") or _UNSAID.get(row.kind, "other"), *made.get("also", ())))


def why_not(studio: Studio, container: Row[Any], bath: Row[Any] | None = None, words: str = "") -> str:
    """Say why a bath, or what is named in words, does not go into a container; empty when it may.

    Parameters
    ----------
    studio : Studio
        The studio.
    container : Row
        Of the table of waste containers.
    bath : Row, optional
        What is to be drawn off.
    words : str
        What else is to go in.
    """
    with studio.reading() as connection:
        entries = connection.execute(current(waste_entry).where(waste_entry.c.container == container.id)).all()
        inside = {one.bath for one in entries if one.bath is not None}
        if bath is not None:
            inside -= {bath.id}  # more of what is in it
        baths = connection.execute(select(bath_table).where(bath_table.c.id.in_(inside))).all() if inside else []
    told = kinds_of(bath) if bath is not None else named_in(words)
    put_in = [named_in(one.what) or {UNKNOWN} for one in entries if one.bath is None]
    label = named_in(f"{container.label}; {container.contents or ''}")
    if told and told <= pickles() | {"abrasive only"}:
        label -= {"other"}  # a container for pickle, and which one it holds its entries say
    return refusal(frozenset().union(*(kinds_of(one) for one in baths), *put_in, label), told)


def refuse(studio: Studio, container: Row[Any], bath: Row[Any] | None, words: str) -> None:
    """Refuse to write down that something went into a container where it does not belong.

    Parameters
    ----------
    studio : Studio
        The studio.
    container, bath : Row
        Where to, and what from.
    words : str
        What else.

    Raises
    ------
    InputError
        With what to do instead.
    """
    if reason := why_not(studio, container, bath, words):
        raise InputError(
            f"not into {container.label}: {reason}.",
            "Take a container of its own. If it went in already, open a window, step away, leave the lid loose, and "
            "ask your waste officer.",
            "container",
        )


def split(studio: Studio, bath: Row[Any], found: Iterable[Row[Any]]) -> tuple[list[Row[Any]], list[tuple[str, str]]]:
    """Return (the containers a bath may go into, the labels of the others with the reason).

    Parameters
    ----------
    studio : Studio
        The studio.
    bath : Row
        What is to be drawn off.
    found : iterable of Row
        Containers that stand open.
    """
    fit, other = [], []
    for one in found:
        reason = why_not(studio, one, bath)
        if reason:
            other.append((one.label, reason))
        else:
            fit.append(one)
    return fit, other
