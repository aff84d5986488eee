"""Kilns: what they are, what was done to them, and when their display became another one."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Row, select

from enamelwright.craft.kiln import Kiln
from enamelwright.errors import InputError
from enamelwright.records.schema.kilns import anchor as anchor_table
from enamelwright.records.schema.kilns import kiln as kiln_table
from enamelwright.records.schema.kilns import kiln_event
from enamelwright.records.schema.kilns import support as support_table
from enamelwright.records.writing import current
from enamelwright.workshop.named import Which, in_use, named
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.typed import Quantity

#: After these the display tells another story than before, unless somebody says otherwise.
NEW_EPOCH = frozenset(
    {"thermocouple moved", "thermocouple changed", "element changed", "relined", "controller tuned", "moved"}
)


def keep_kiln(studio: Studio, kiln: Kiln, version: int | None = None) -> int:
    """Keep a kiln, or describe the one of that name anew, and return its row.

    Parameters
    ----------
    studio : Studio
        The studio.
    kiln : Kiln
        As its owner knows it; anchors are told with :func:`anchor`.
    version : int, optional
        The version that was shown when a change was made.
    """
    content = kiln.to_outside()
    with studio.writing() as work:
        found = work.connection.execute(select(kiln_table).where(kiln_table.c.name == kiln.name)).one_or_none()
        if found is None:
            return studio.keep(kiln_table, name=kiln.name, described=content)
        if found.described != content or found.put_away:
            studio.change(kiln_table, found.id, version, described=content, put_away=False)
        return int(found.id)


def put_kiln_away(studio: Studio, which: Which) -> int:
    """Put a kiln away, so that nothing is planned with it, and return its new version; its firings stay.

    Parameters
    ----------
    studio : Studio
        The studio.
    which : int or str
        Row or name.
    """
    with studio.writing():
        return studio.change(kiln_table, _one_kiln(studio, which).id, put_away=True)


def kiln_row(studio: Studio, which: Which = "") -> Row[Any] | None:
    """Return a kiln by row or name; with no name the only one, None when there is none.

    Parameters
    ----------
    studio : Studio
        The studio.
    which : int or str
        Row or name.

    Raises
    ------
    InputError
        When no name is given and there are several.
    """
    with studio.reading() as connection:
        if which != "":
            return named(connection, kiln_table, which, "name")
        rows = kilns(studio)
    if len(rows) > 1:
        raise InputError("there is more than one kiln.", f"Name it: {', '.join(row.name for row in rows)}.")
    return rows[0] if rows else None


def kilns(studio: Studio) -> list[Row[Any]]:
    """List the kilns by name."""
    with studio.reading() as connection:
        return list(connection.execute(select(kiln_table).where(in_use(kiln_table)).order_by(kiln_table.c.name)))


def in_order_described(studio: Studio) -> list[Row[Any]]:
    """List the kilns as they were described: the first is meant where none is named, whatever others are called."""
    return sorted(kilns(studio), key=lambda row: int(row.id))


def kiln_event_happened(
    studio: Studio,
    what: str,
    kiln: Which = "",
    *,
    new_epoch: bool | None = None,
    duration: Quantity = None,
    duty: float | None = None,
    shown: Quantity = None,
    at: Any = None,
    words: str | None = None,
) -> int:
    """Record what was done to a kiln or read off it, and return its row.

    Parameters
    ----------
    studio : Studio
        The studio.
    what : str
        ``thermocouple moved``, ``thermocouple changed``, ``element changed``, ``relined``,
        ``controller tuned``, ``moved``, ``furniture cleaned``, ``kiln wash``,
        ``minutes to set point``, ``hold duty`` or ``note``.
    kiln : int or str
        Row or name; the only one when left out.
    new_epoch : bool, optional
        Whether readings before and after are not comparable; by the kind of event when left out.
    duration : quantity, optional
        Time to the set point.
    duty : float, optional
        Share of time the element is on, 0 to 1.
    shown : quantity, optional
        What the display showed.
    at : datetime, optional
        When; now when left out.
    words : str, optional
        Free words.
    """
    with studio.writing():
        row = _one_kiln(studio, kiln)
        begins = what in NEW_EPOCH if new_epoch is None else new_epoch
        return studio.add(
            kiln_event, kiln=row.id, what=what, new_epoch=begins, duration=duration, duty=duty, shown=shown, at=at,
            words=words,
        )  # fmt: skip


def anchor(
    studio: Studio,
    against: str,
    *,
    kiln: Which = "",
    known: Quantity = None,
    shown: Quantity = None,
    melted: bool | None = None,
    held: Quantity = None,
    position: str | None = None,
    at: Any = None,
    words: str | None = None,
) -> int:
    """Record one comparison of the display with a temperature that is known, and return its row.

    Parameters
    ----------
    studio : Studio
        The studio.
    against : str
        What melted or was held against the display, e.g. ``silver-copper foil``.
    kiln : int or str
        Row or name; the only one when left out.
    known, shown : quantity, optional
        The known temperature, and what the display showed.
    melted : bool, optional
        Whether it had melted.
    held : quantity, optional
        How long it was held.
    position : str, optional
        Where in the kiln.
    at : datetime, optional
        When; now when left out.
    words : str, optional
        Free words.
    """
    with studio.writing():
        row = _one_kiln(studio, kiln)
        return studio.add(
            anchor_table, kiln=row.id, against=against, known=known, shown=shown, melted=melted, held=held,
            position=position, at=at, words=words,
        )  # fmt: skip


def kiln_events(studio: Studio, kiln: Which = "") -> list[Row[Any]]:
    """List what was done to a kiln, the newest first."""
    with studio.reading() as connection:
        row = _one_kiln(studio, kiln)
        return list(
            connection.execute(
                current(kiln_event)
                .where(kiln_event.c.kiln == row.id)
                .order_by(kiln_event.c.at.desc(), kiln_event.c.id.desc())
            )
        )


def anchors(studio: Studio, kiln: Which = "", *, this_epoch: bool = True) -> list[Row[Any]]:
    """List comparisons of a kiln's display, the newest first.

    Parameters
    ----------
    studio : Studio
        The studio.
    kiln : int or str
        Row or name; the only one when left out.
    this_epoch : bool
        Only those since the display last became another one.
    """
    with studio.reading() as connection:
        row = _one_kiln(studio, kiln)
        found = current(anchor_table).where(anchor_table.c.kiln == row.id)
        if this_epoch:
            found = found.where(anchor_table.c.at >= epoch_of(studio, row.id))
        return list(connection.execute(found.order_by(anchor_table.c.at.desc(), anchor_table.c.id.desc())))


def epoch_of(studio: Studio, kiln: int, when: str = "") -> str:
    """Return the moment since which a kiln's display tells one story; empty from its beginning.

    Parameters
    ----------
    studio : Studio
        The studio.
    kiln : int
        Row of the kiln.
    when : str
        Moment as the record writes it; now when empty.
    """
    begins = current(kiln_event, kiln_event.c.at).where(
        kiln_event.c.kiln == kiln, kiln_event.c.new_epoch == True, kiln_event.c.at <= (when or studio.now())  # noqa: E712
    )  # fmt: skip
    with studio.reading() as connection:
        row = connection.execute(begins.order_by(kiln_event.c.at.desc()).limit(1)).one_or_none()
    return str(row.at) if row is not None else ""


def keep_support(studio: Studio, name: str, kind: str, **more: Any) -> int:
    """Keep a support one owns and return its row.

    Parameters
    ----------
    studio : Studio
        The studio.
    name : str
        What it is called at the bench.
    kind : str
        ``mesh``, ``trivet``, ``plate`` and so on, as a piece file writes it.
    **more
        Further columns: `mass`, `width`, `length`, `height`, `owned`, `washed_on`, `words`.
    """
    return studio.keep(support_table, name=name, kind=kind, **more)


def support_row(studio: Studio, which: Which) -> Row[Any]:
    """Return a support by row or name."""
    return studio.called(support_table, which, "name")


def change_support(studio: Studio, which: Which, version: int | None = None, **changes: Any) -> int:
    """Change what is kept of a support and return its new version.

    Parameters
    ----------
    studio, which, version, **changes
        As for :meth:`enamelwright.workshop.studio.Studio.change_called`; `which` is its row or name.
    """
    return studio.change_called(support_table, which, "name", version, **changes)


def supports(studio: Studio) -> list[Row[Any]]:
    """List the supports one owns, by kind and name."""
    with studio.reading() as connection:
        return list(
            connection.execute(
                select(support_table).where(in_use(support_table)).order_by(support_table.c.kind, support_table.c.name)
            )
        )


def _one_kiln(studio: Studio, which: Which) -> Row[Any]:
    row = kiln_row(studio, which)
    if row is None:
        raise InputError("no kiln is kept yet.", "Describe one first.")
    return row
