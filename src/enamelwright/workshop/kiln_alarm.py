"""The alarm of the control tile that lasts, told wherever somebody is about to fire."""

from __future__ import annotations

from sqlalchemy import select

from enamelwright.records.schema.pieces import piece
from enamelwright.workshop.kilns import kilns
from enamelwright.workshop.studio import Studio


def alarm_lines(studio: Studio, kiln: str | None = None, short: bool = False) -> list[str]:
    """Return a line for each kiln whose control tile alarms, named where there are several; none most of the time.

    Parameters
    ----------
    studio : Studio
        The studio.
    kiln : str, optional
        Only of this one; the one windows go by, the first, when empty. All when left out.
    short : bool
        Whether in one short line, as paper has room for.
    """
    with studio.reading() as connection:
        if connection.execute(select(piece.c.id).where(piece.c.kind == "control tile").limit(1)).first() is None:
            return []
    # Deferred: a workshop without such tiles needs nothing that charts.
    from enamelwright.workshop.control_tiles import alarms

    names = [row.name for row in kilns(studio)]
    wanted = names if kiln is None else [kiln or names[0]] if names else []
    found = alarms(studio, short)
    return [f"{one}: {found[one]}" if len(names) > 1 else found[one] for one in wanted if one in found]
