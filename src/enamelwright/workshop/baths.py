"""Pickle baths, etching liquors and rinses with their entries, and waste until it is handed in."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from sqlalchemy import Row, func, select

from enamelwright.craft.baths.bath_made import BathMade
from enamelwright.errors import InputError
from enamelwright.records.schema.baths import bath as bath_table
from enamelwright.records.schema.baths import bath_entry, waste_container, waste_entry
from enamelwright.records.writing import current
from enamelwright.workshop.firings import load_row
from enamelwright.workshop.named import Which
from enamelwright.workshop.pieces import piece_row
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.typed import Quantity, read_quantity
from enamelwright.workshop.waste_kinds import refuse

#: Metals a bath has a column for.
MET_COLUMNS = {"lead": "met_lead", "cadmium": "met_cadmium", "silver": "met_silver"}


def open_bath(studio: Studio, name: str, kind: str = "pickle", *, volume: Quantity = None, **more: Any) -> int:
    """Make up a bath and return its row.

    Parameters
    ----------
    studio : Studio
        The studio.
    name : str
        What it is called.
    kind : str
        ``pickle``, ``etching liquor`` or ``rinse``.
    volume : quantity, optional
        How much.
    **more
        Further columns of a bath: `recipe`, `made_of`, `opened_on` (today when left out), `invented`, `words`.
    """
    more.setdefault("opened_on", studio.today())
    return studio.keep(bath_table, name=name, kind=kind, volume=volume, **more)


def bath_row(studio: Studio, which: Which) -> Row[Any]:
    """Return a bath by row or name."""
    return studio.called(bath_table, which, "name")


def change_bath(studio: Studio, which: Which, version: int | None = None, **changes: Any) -> int:
    """Change what is kept of a bath (closed, met lead, met cadmium ...) and return its new version.

    Parameters
    ----------
    studio : Studio
        The studio.
    which : int or str
        Row or name.
    version : int, optional
        The version that was shown when the change was made.
    **changes
        Columns of a bath.
    """
    return studio.change_called(bath_table, which, "name", version, **changes)


def note_bath(
    studio: Studio,
    which: Which,
    what: str = "dip",
    *,
    piece: Which | None = None,
    load: Which | None = None,
    at: Any = None,
    **more: Any,
) -> int:
    """Record a dip, a top-up, a reading or a spill, and return its row.

    Parameters
    ----------
    studio : Studio
        The studio.
    which : int or str
        Row or name of the bath.
    what : str
        ``dip``, ``top up``, ``acidity``, ``colour``, ``temperature``, ``drawn off``, ``spill``,
        ``settled`` or ``other``.
    piece : int or str, optional
        The piece that was dipped.
    load : int or str, optional
        The load that was dipped.
    at : datetime, optional
        When; now when left out.
    **more
        Further columns: `pieces`, `ph`, `mass`, `before`, `after`, `volume`, `temperature`, `duration`,
        `copper_area`, `words`.
    """
    with studio.writing():
        _weighed(more)
        _warm(more)
        row = bath_row(studio, which)
        dipped = piece_row(studio, piece).id if piece is not None else None
        from_load = load_row(studio, load).of if load is not None else None
        return studio.add(bath_entry, bath=row.id, what=what, piece=dipped, load=from_load, at=at, **more)


def _weighed(told: dict[str, Any]) -> None:
    """Refuse a load that is heavier after cleaning than before."""
    before, after = (
        read_quantity(one, "mass") if isinstance(one, str) else one for one in (told.get("before"), told.get("after"))
    )
    if before is not None and after is not None and after > before:
        raise InputError(
            "it weighs more after cleaning than before.", "Dry it well, weigh it again, or swap the two.", "after"
        )


def _warm(told: dict[str, Any]) -> None:
    """Refuse a temperature no bath has; what is hot is written down, and the ledger says so."""
    given = told.get("temperature")
    kelvin = read_quantity(given, "temperature") if isinstance(given, str) else given
    if kelvin is not None:
        BathMade.from_outside({"volume": "1 L", "warm": f"{kelvin} K"}, "the bath")


def tell_met(studio: Studio, which: Which, met: Iterable[str], version: int | None = None) -> int:
    """Say what a bath has met, and with that what it has not; return its new version.

    Parameters
    ----------
    studio : Studio
        The studio.
    which : int or str
        Row or name of the bath.
    met : iterable of str
        Of ``lead``, ``cadmium``, ``silver``, ``chromium``, ``nickel`` and ``unknown enamel``.
    version : int, optional
        The version that was shown when it was said.
    """
    said = set(met)
    row = bath_row(studio, which)
    further = sorted(said - MET_COLUMNS.keys())
    made = {key: one for key, one in (row.made_of or {}).items() if key != "met"}
    if further:
        made["met"] = further
    columns = {column: metal in said for metal, column in MET_COLUMNS.items()}
    return change_bath(studio, which, version, made_of=made or None, **columns)


def also_got(studio: Studio, which: Which, chemistry: str) -> int:
    """Say that another chemistry got into a bath; return its new version.

    Parameters
    ----------
    studio : Studio
        The studio.
    which : int or str
        Row or name of the bath.
    chemistry : str
        A kind of bath.
    """
    made = dict(bath_row(studio, which).made_of or {})
    made["also"] = sorted({*made.get("also", ()), chemistry})
    return change_bath(studio, which, made_of=made)


def bath_entries(studio: Studio, which: Which) -> list[Row[Any]]:
    """List what happened in a bath, the first first."""
    with studio.reading() as connection:
        row = bath_row(studio, which)
        return list(
            connection.execute(
                current(bath_entry).where(bath_entry.c.bath == row.id).order_by(bath_entry.c.at, bath_entry.c.id)
            )
        )


def baths(studio: Studio, *, closed: bool = False) -> list[Row[Any]]:
    """List the baths by name, each with `dips`, how often it was used.

    Parameters
    ----------
    studio : Studio
        The studio.
    closed : bool
        Also those that are closed.
    """
    dips = current(bath_entry, bath_entry.c.bath).where(bath_entry.c.what == "dip").subquery()
    rows = (
        select(bath_table, func.count(dips.c.bath).label("dips"))
        .outerjoin(dips, dips.c.bath == bath_table.c.id)
        .group_by(bath_table.c.id)
        .order_by(bath_table.c.name)
    )
    if not closed:
        rows = rows.where(bath_table.c.closed_on.is_(None))
    with studio.reading() as connection:
        return list(connection.execute(rows))


def keep_container(studio: Studio, label: str, **more: Any) -> int:
    """Keep a container for waste and return its row.

    Parameters
    ----------
    studio : Studio
        The studio.
    label : str
        As written on it.
    **more
        Further columns: `contents`, `hazards`, `destination`, `opened_on` (today when left out), `words`.
    """
    more.setdefault("opened_on", studio.today())
    return studio.keep(waste_container, label=label, **more)


def container_row(studio: Studio, which: Which) -> Row[Any]:
    """Return a waste container by row or label."""
    return studio.called(waste_container, which, "label")


def known_container(studio: Studio, label: str) -> Row[Any] | None:
    """Return the waste container of a label; None when there is none yet."""
    with studio.reading() as connection:
        return connection.execute(select(waste_container).where(waste_container.c.label == label)).one_or_none()


def into_waste(
    studio: Studio,
    container: Which,
    what: str,
    *,
    bath: Which | None = None,
    mass: Quantity = None,
    volume: Quantity = None,
    at: Any = None,
    words: str | None = None,
) -> int:
    """Record what went into a container, and return its row.

    Parameters
    ----------
    studio : Studio
        The studio.
    container : int or str
        Row or label.
    what : str
        What it was.
    bath : int or str, optional
        The bath it was drawn from.
    mass, volume : quantity, optional
        How much.
    at : datetime, optional
        When; now when left out.
    words : str, optional
        Free words.

    Raises
    ------
    InputError
        When what is in it and this never come together.
    """
    with studio.writing():
        row = container_row(studio, container)
        drawn = bath_row(studio, bath) if bath is not None else None
        refuse(studio, row, drawn, what)
        return studio.add(
            waste_entry,
            container=row.id,
            bath=None if drawn is None else drawn.id,
            what=what,
            mass=mass,
            volume=volume,
            at=at,
            words=words,
        )


def baths_in(studio: Studio, container: Which) -> list[int]:
    """List the rows of the baths that were drawn off into a container, the first first."""
    with studio.reading() as connection:
        row = container_row(studio, container)
        entries = connection.execute(
            current(waste_entry).where(waste_entry.c.container == row.id).order_by(waste_entry.c.at, waste_entry.c.id)
        )
        return list(dict.fromkeys(int(one.bath) for one in entries if one.bath is not None))


def went_to(studio: Studio, which: Which) -> list[Row[Any]]:
    """List the containers a bath was drawn off into, the first first.

    Parameters
    ----------
    studio : Studio
        The studio.
    which : int or str
        Row or name of the bath.
    """
    with studio.reading() as connection:
        row = bath_row(studio, which)
        drawn = connection.execute(current(waste_entry).where(waste_entry.c.bath == row.id).order_by(waste_entry.c.at))
        into = list(dict.fromkeys(one.container for one in drawn))
        found = {
            one.id: one for one in connection.execute(select(waste_container).where(waste_container.c.id.in_(into)))
        }
        return [found[one] for one in into if one in found]


def hand_in(studio: Studio, container: Which, handed_to: str, on: Any = None, version: int | None = None) -> int:
    """Say that a container was handed in, and return its new version.

    Parameters
    ----------
    studio : Studio
        The studio.
    container : int or str
        Row or label.
    handed_to : str
        Who took it.
    on : date, optional
        The day; today when left out.
    version : int, optional
        The version that was shown when it was handed in.
    """
    handed = {"handed_in_on": on or studio.today(), "handed_to": handed_to}
    return studio.change_called(waste_container, container, "label", version, **handed)


def containers(studio: Studio) -> list[Row[Any]]:
    """List the containers that are not handed in, each with `mass` and `volume` in it."""
    inside = current(waste_entry).subquery()
    with studio.reading() as connection:
        return list(
            connection.execute(
                select(
                    waste_container,
                    func.sum(inside.c.mass).label("mass"),
                    func.sum(inside.c.volume).label("volume"),
                )
                .outerjoin(inside, inside.c.container == waste_container.c.id)
                .where(waste_container.c.handed_in_on.is_(None))
                .group_by(waste_container.c.id)
                .order_by(waste_container.c.label)
            )
        )
