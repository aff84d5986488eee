"""What is gathered for paper: the day's cards, and labels for jars, tiles, baths and waste."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row

from enamelwright import units
from enamelwright.cards import day, labels
from enamelwright.craft.jar import Jar
from enamelwright.errors import InputError
from enamelwright.pictures.swatch import jar_svg
from enamelwright.records.schema.baths import bath as bath_table
from enamelwright.web import bath_paper, jar_view, moments, sections
from enamelwright.web.metal_words import metal_words
from enamelwright.workshop import baths as kept_baths
from enamelwright.workshop import jars as shelf
from enamelwright.workshop import lots, tiles
from enamelwright.workshop.bench import bench
from enamelwright.workshop.designs import shape_of, version_row
from enamelwright.workshop.kiln_alarm import alarm_lines
from enamelwright.workshop.pieces import piece_row
from enamelwright.workshop.settings import INVENTED, setting
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.typed import as_typed
from enamelwright.workshop.who_lays import who_lays

#: The most things one file is set for.
MOST = 200
_ANSWERS = {"yes": "yes", "no": "no", "mixed": "in part"}


@dataclass(frozen=True)
class Sheet:
    """Something to be set on paper.

    Parameters
    ----------
    template : str
        Of :mod:`enamelwright.cards`.
    data : dict
        What it prints.
    title : str
        What it is called.
    """

    template: str
    data: dict[str, Any]
    title: str


def of_day(studio: Studio, numbers: Sequence[str], cards: Sequence[str] = ()) -> Sheet:
    """Gather the cards of some pieces, in their order.

    Parameters
    ----------
    studio : Studio
        The studio.
    numbers : sequence of str
        Of the pieces.
    cards : sequence of str
        ``bench``, ``kiln``; both when empty.

    Raises
    ------
    InputError
        When there is no piece, or one has no plan.
    """
    known, pieces = bench(studio), []
    for number in _some(numbers, "piece"):
        row = piece_row(studio, number)
        if not row.design_version:
            raise InputError(f"{row.number} has no plan, so it has no card.", "Leave it out.")
        plan, why = sections.work_out(studio, row.design_version, known.by_hand_of(who_lays(studio, row)))
        if plan is None:
            raise InputError(f"{row.number} cannot be planned: {why}", "Mend its design first, or leave it out.")
        shape = shape_of(version_row(studio, int(row.design_version)))
        wanted = cards or ("bench", "kiln")
        pieces.append(day.OfDay(plan, row.number, shape, "bench" in wanted, "kiln" in wanted))
    title = f"Cards of {pieces[0].number}" if len(pieces) == 1 else f"Cards for the day, {studio.today().isoformat()}"
    data = day.day_cards_data(pieces, title, known, alarm_lines(studio, "", short=True))
    if not data["cards"]:
        raise InputError("nothing is fired, so there is no kiln card.", "Print the bench card.")
    return Sheet(day.TEMPLATE, {**data, "invented": data["invented"] or _invented(studio)}, title)


def of_jars(studio: Studio, rows: Sequence[str], used: int) -> Sheet:
    """Gather labels of jars.

    Parameters
    ----------
    studio : Studio
        The studio.
    rows : sequence of str
        Their rows.
    used : int
        Labels that are gone from the first sheet.
    """
    made = [_jar(studio, shelf.jar_row(studio, int(row))) for row in _some(rows, "jar")]
    data = labels.label_sheet_data(made, labels.JARS, "Jar labels", used, _invented(studio))
    return Sheet(labels.SHEET, data, "Jar labels")


def _jar(studio: Studio, row: Row[Any]) -> labels.Label:
    jar = shelf.described(row)
    told = [part for part in (jar.kind, jar.optics.family, jar.fusing.hardness) if part]
    lines = [", ".join(told)]
    if jar.fusing.maturity is not None:
        lines.append(
            "matures " + " · ".join(units.show(jar.fusing.maturity, "temperature", one) for one in ("°C", "°F"))
        )
    lot = lots.lot_in_use(studio, int(row.id))
    if lot is not None:
        opened = f"opened {moments.day(lot.opened_on)}" if lot.opened_on else ""
        mesh = f"{lot.mesh} mesh" if lot.mesh else ""
        lines.append(" · ".join(part for part in (mesh, f"lot {lot.label}", opened) if part))
    foot, mark = _hazards(jar)
    band = jar_svg(jar_view.glass_of(jar), f"{row.code} {row.name}", None, None, "paper", "jar")
    return labels.Label(row.code, row.name, tuple(lines), mark, foot, band)


def _hazards(jar: Jar) -> tuple[str, str]:
    answers = {"lead": str(jar.hazards.lead), "cadmium": str(jar.hazards.cadmium)}
    told = [f"{metal}: {_ANSWERS.get(answer, 'not known, read the sheet')}" for metal, answer in answers.items()]
    return "; ".join(told), "watch" if any(answer in {"yes", "mixed"} for answer in answers.values()) else ""


def of_tiles(studio: Studio, numbers: Sequence[str], used: int) -> Sheet:
    """Gather labels of tiles.

    Parameters
    ----------
    studio : Studio
        The studio.
    numbers : sequence of str
        Of the tiles.
    used : int
        Labels that are gone from the first sheet.
    """
    made = []
    for number in _some(numbers, "tile"):
        row = piece_row(studio, number)
        spots = tiles.spots_of(studio, row.id)
        under = ", ".join(dict.fromkeys(str(one.under) for one in spots if one.under))
        lines = [part for part in (metal_words(row.metal), f"over {under}" if under else "", row.words or "") if part]
        made.append(labels.Label(row.number, row.label or row.kind, tuple(lines)))
    data = labels.label_sheet_data(made, labels.TILES, "Tile labels", used, _invented(studio))
    return Sheet(labels.SHEET, data, "Tile labels")


def of_baths(studio: Studio, baths: Sequence[str], containers: Sequence[str]) -> Sheet:
    """Gather labels of baths and waste containers.

    Parameters
    ----------
    studio : Studio
        The studio.
    baths, containers : sequence of str
        Their rows.
    """
    made = [_bath(studio, int(row)) for row in baths[:MOST]] + [
        _container(studio, int(row)) for row in containers[:MOST]
    ]
    if not made:
        raise InputError("no bath is chosen.", "Tick at least one.")
    data = labels.bath_labels_data(made, "Bath labels")
    return Sheet(labels.LARGE, {**data, "invented": data["invented"] or _invented(studio)}, "Bath labels")


def _bath(studio: Studio, which: int) -> labels.LargeLabel:
    row = kept_baths.bath_row(studio, which)
    dips = sum(1 for one in kept_baths.bath_entries(studio, which) if one.what == "dip")
    found = bath_paper.of_bath(studio, which)
    lines = (
        ("contents", found.contents),
        ("made up on", moments.day(row.opened_on) if row.opened_on else ""),
        ("closed on", moments.day(row.closed_on) if row.closed_on else ""),
        ("recipe", row.recipe or ""),
        ("volume", as_typed(row, "volume", "l") if row.volume is not None else ""),
        ("acidity", found.acidity),
        ("dips so far", str(dips) if dips else ""),
        ("note", row.words or ""),
    )
    return labels.LargeLabel(
        row.name, found.kind, lines, found.met, hazards=found.hazards, never=found.never,
        invented=bool(row._mapping[bath_table.c.invented.name]),
    )  # fmt: skip


def _container(studio: Studio, which: int) -> labels.LargeLabel:
    row = kept_baths.container_row(studio, which)
    told = row.hazards if isinstance(row.hazards, list) else ([] if row.hazards is None else [row.hazards])
    found = bath_paper.of_container(studio, which)
    lines = (
        ("opened on", moments.day(row.opened_on) if row.opened_on else ""),
        ("holds", row.contents or ""),
        ("from", found.contents),
        ("can hurt by", ", ".join(str(one) for one in told)),
        ("goes to", row.destination or ""),
        ("note", row.words or ""),
    )
    return labels.LargeLabel(
        row.label, found.kind, lines, found.met, bath_paper.WASTE_BLANKS, hazards=found.hazards, never=found.never
    )


def _some(wanted: Sequence[str], noun: str) -> list[str]:
    found = [one.strip() for one in dict.fromkeys(wanted) if one.strip()]
    if not found:
        raise InputError(f"no {noun} is chosen.", "Tick at least one.")
    if len(found) > MOST:
        raise InputError(f"this is more than {MOST} at once.", "Print some of them first.")
    return found


def _invented(studio: Studio) -> bool:
    return bool(setting(studio, INVENTED))
