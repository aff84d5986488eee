"""Metal in stock: sheets, and what is left of them."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Row, select

from enamelwright.craft.metal import metal_id
from enamelwright.records.schema.metals import sheet as sheet_table
from enamelwright.workshop.named import Which, in_use, named
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.typed import Quantity


def add_sheet(
    studio: Studio,
    label: str,
    metal: str,
    thickness: Quantity = None,
    *,
    width: Quantity = None,
    length: Quantity = None,
    **more: Any,
) -> int:
    """Put a sheet of metal in stock and return its row.

    Parameters
    ----------
    studio : Studio
        The studio.
    label : str
        What it is called at the bench.
    metal : str
        A metal the product knows.
    thickness : quantity, optional
        A length, or a gauge with its system.
    width, length : quantity, optional
        Sizes.
    **more
        Further columns of a sheet: `outline`, `grain`, `lot`, `mass`, `price_minor`, `currency`,
        `bought_from`, `bought_on`, `invented`, `words`.

    Raises
    ------
    UnknownName
        For a metal nobody has described.
    """
    return studio.keep(
        sheet_table, label=label, metal=metal_id(metal), thickness=thickness, width=width, length=length,
        state="in stock", **more,
    )  # fmt: skip


def cut_remnant(
    studio: Studio,
    sheet: Which,
    label: str,
    *,
    width: Quantity = None,
    length: Quantity = None,
    outline: Any = None,
    mass: Quantity = None,
) -> int:
    """Keep what is left of a sheet as a remnant; the sheet is used up. Returns the remnant's row.

    Parameters
    ----------
    studio : Studio
        The studio.
    sheet : int or str
        Row or label of the sheet.
    label : str
        What the remnant is called.
    width, length : quantity, optional
        Its sizes.
    outline : JSON, optional
        Its outline in millimetres.
    mass : quantity, optional
        What it weighs.
    """
    with studio.writing():
        row = sheet_row(studio, sheet)
        if row.state != "used up":
            studio.change(sheet_table, row.id, state="used up")
        return studio.keep(
            sheet_table, label=label, metal=row.metal, thickness=row.thickness, width=width, length=length,
            mass=mass, outline=outline, grain=row.grain, cut_from=row.id, lot=row.lot, bought_from=row.bought_from,
            bought_on=row.bought_on, state="in stock", invented=row.invented,
        )  # fmt: skip


def change_sheet(studio: Studio, which: Which, version: int | None = None, **changes: Any) -> int:
    """Change what is kept of a sheet and return its new version.

    Parameters
    ----------
    studio : Studio
        The studio.
    which : int or str
        Row or label.
    version : int, optional
        The version that was shown when the change was made.
    **changes
        Columns of a sheet.
    """
    with studio.writing():
        return studio.change(sheet_table, sheet_row(studio, which).id, version, **changes)


def sheet_row(studio: Studio, which: Which) -> Row[Any]:
    """Return a sheet by row or label."""
    with studio.reading() as connection:
        return named(connection, sheet_table, which, "label")


def sheets(studio: Studio, metal: str = "") -> list[Row[Any]]:
    """List the sheets in stock, by metal and thickness.

    Parameters
    ----------
    studio : Studio
        The studio.
    metal : str
        Only of this metal.
    """
    rows = select(sheet_table).where(sheet_table.c.state == "in stock", in_use(sheet_table))
    if metal:
        rows = rows.where(sheet_table.c.metal == metal_id(metal))
    with studio.reading() as connection:
        return list(
            connection.execute(rows.order_by(sheet_table.c.metal, sheet_table.c.thickness, sheet_table.c.label))
        )


def sheets_bought(studio: Studio, metal: str) -> list[Row[Any]]:
    """List the sheets of a metal as they were bought, used up or not: what metal has cost; remnants are part of them.

    Parameters
    ----------
    studio : Studio
        The studio.
    metal : str
        A metal the product knows.
    """
    rows = select(sheet_table).where(
        sheet_table.c.metal == metal_id(metal), sheet_table.c.cut_from.is_(None), in_use(sheet_table)
    )
    with studio.reading() as connection:
        return list(connection.execute(rows.order_by(sheet_table.c.id)))
