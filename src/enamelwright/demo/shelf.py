"""Puts the invented workshop in order before its first firing: people, kiln, shelf, jars, designs, pieces."""

from __future__ import annotations

import tomllib
from datetime import datetime, time
from typing import Any

from enamelwright.craft.jar import Jar
from enamelwright.craft.kiln import Kiln
from enamelwright.craft.piece import Piece
from enamelwright.demo.script import PieceRow, design_file, happenings, jars, pieces
from enamelwright.demo.world import World
from enamelwright.workshop.designs import keep_design, save_plan, version_row
from enamelwright.workshop.jars import add_jar
from enamelwright.workshop.kilns import keep_kiln, keep_support
from enamelwright.workshop.lots import open_lot
from enamelwright.workshop.metals import add_sheet
from enamelwright.workshop.people import person
from enamelwright.workshop.pieces import change_piece, finish_piece, start_pieces
from enamelwright.workshop.predictions import plan_of
from enamelwright.workshop.settings import CURRENCY, DECIMALS, INVENTED, NAME, set_setting
from enamelwright.workshop.studio import Studio

#: The first thing on the first day, then what the day needs before its work, and the end of a day.
FIRST, MORNING, LATE = time(8, 0), time(8, 30), time(22, 0)
#: Class squares are cut on the evening itself.
CLASS = time(17, 45)
#: Densities of the invented sheets [g/mm3]; copper and silver as in any handbook (from memory).
SHEET_DENSITY = {"copper": 8.96e-3, "fine silver": 10.49e-3}


def plan_shelf(world: World) -> None:
    """Put setting up, designs and the starting and finishing of pieces on the agenda."""
    told = happenings()
    world.plan(datetime.combine(told["begins"], FIRST), _set_up, world)
    for design in told["designs"]:
        world.plan(datetime.combine(design["on"], MORNING), _keep, design)
    groups: dict[tuple[Any, ...], list[PieceRow]] = {}
    for piece in pieces().values():
        groups.setdefault((piece.started, piece.batch, piece.design, piece.owner, piece.words), []).append(piece)
    for (day, batch, *_), group in groups.items():
        when = datetime.combine(day, CLASS if batch.startswith("Class") else MORNING)
        world.plan(when, _start, world, group)
    for piece in pieces().values():
        if piece.finished is not None:
            world.plan(datetime.combine(piece.finished, LATE), _finish, world, piece)


def bare_mass(piece: PieceRow) -> float:
    """Return what a bare piece weighs [g]."""
    return SHEET_DENSITY[piece.metal] * piece.area * piece.thickness


def _set_up(studio: Studio, world: World) -> None:
    told = happenings()
    for label, role in told["people"].items():
        world.people[label] = person(studio, label, role)
    set_setting(studio, INVENTED, told["label"])
    set_setting(studio, NAME, told["name"])
    set_setting(studio, CURRENCY, told["currency"])
    set_setting(studio, DECIMALS, 2)
    keep_kiln(studio, Kiln.from_outside(told["kiln"], "kiln"))
    for support in told["supports"]:
        keep_support(studio, support["name"], support["kind"], mass=f"{support['mass_g']} g", owned=support["owned"])
    for sheet in told["sheets"]:
        world.sheets[sheet["metal"], sheet["thickness_mm"]] = add_sheet(
            studio, sheet["label"], sheet["metal"], f"{sheet['thickness_mm']} mm", width=f"{sheet['width_mm']} mm",
            length=f"{sheet['length_mm']} mm", bought_from="supplier (invented)", invented=True,
        )  # fmt: skip
    for jar in jars().values():
        add_jar(
            studio, Jar.from_outside(jar.described, jar.jar), reorder_below=f"{jar.reorder:g} g", words=told["label"]
        )
        open_lot(
            studio, jar.jar, f"{jar.jar} of {jar.opened.isoformat()}", grams=f"{jar.stock:g} g", opened_on=jar.opened,
            mesh=jar.mesh, price_minor=jar.price_minor, currency=told["currency"], bought_from="supplier (invented)",
            condition=jar.condition, words=jar.words or None,
        )  # fmt: skip


def _keep(studio: Studio, design: dict[str, Any]) -> None:
    outside = tomllib.loads(design_file(design["file"]).read_text(encoding="utf-8"))
    swap = design.get("swap", {})
    for coat in outside["coats"]:
        coat["jar"] = swap.get(coat["jar"], coat["jar"])
    left = [coat for coat in outside["coats"] if coat["jar"] != design.get("leave_out")]
    outside["coats"] = left + list(design.get("extra", []))
    kept = keep_design(
        studio, Piece.from_outside(outside, design["file"]), kept_sequence=design.get("kept_sequence"),
        words=design.get("words"),
    )  # fmt: skip
    plan = plan_of(studio, version_row(studio, kept.version))
    save_plan(studio, kept.version, plan.to_json())


def _start(studio: Studio, world: World, group: list[PieceRow]) -> None:
    one = group[0]
    rows = start_pieces(
        studio, design=one.design or None, labels=[piece.label for piece in group], batch=one.batch, kind=one.kind,
        metal=one.metal, thickness=f"{one.thickness:g} mm", metal_mass=f"{bare_mass(one):.2f} g",
        sheet=world.sheets[one.metal, one.thickness], owner=world.people[one.owner], invented=True,
        words=one.words or None,
    )  # fmt: skip
    for piece, row in zip(group, rows, strict=True):
        world.pieces[piece.label] = row.id
        world.batches[piece.batch] = row.batch
        if piece.state == "planned":
            change_piece(studio, row.id, state=piece.state)


def _finish(studio: Studio, world: World, piece: PieceRow) -> None:
    finish_piece(studio, world.pieces[piece.label], piece.state)
    if piece.ends:
        change_piece(studio, world.pieces[piece.label], words=piece.ends)
