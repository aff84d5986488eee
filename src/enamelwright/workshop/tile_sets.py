"""Sets of test tiles made from a plan: a ladder with its layout, or the next loads, each tile with its setting."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from sqlalchemy import Row

from enamelwright import units
from enamelwright.figure import Figure
from enamelwright.questions.next_tile import Ladder, LadderTile, PlannedLoad
from enamelwright.workshop.jars import jar_row
from enamelwright.workshop.named import Which
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.tiles import keep_layout, lay_spots, make_tiles

#: Seconds of a minute.
_MINUTE = 60


def make_ladder(studio: Studio, jar: Which, ladder: Ladder, **more: Any) -> list[Row[Any]]:
    """Keep the layout of a ladder and make its tiles, each with its spots, its setting and its place in words.

    Parameters
    ----------
    studio : Studio
        The studio.
    jar : int or str
        Row or code of the jar that is tried.
    ladder : Ladder
        Of the answer of ``next-tile``.
    **more
        As for :func:`enamelwright.workshop.tiles.make_tiles`: `metal`, `thickness` ...
    """
    made = []
    with studio.writing():
        code = jar_row(studio, jar).code
        kinds = {tile.spots for tile in ladder.made}
        loads = len({tile.load for tile in ladder.made})
        for tile in ladder.made:
            name = f"{ladder.name} of {code}"
            if len(kinds) > 1:
                name += f", {', '.join(dict.fromkeys(_depth(spot.thickness) for spot in tile.spots))}"
            spots = [_spot(str(n), spot.undercoat, spot.thickness, code) for n, spot in enumerate(tile.spots, 1)]
            layout = keep_layout(studio, name, spots)
            again = f", fired {ladder.firings} times" if ladder.firings > 1 else ""
            early = "; too short on purpose" if tile.too_short else ""
            words = f"{name}, {_load_words(tile, loads)}{again}{early}"
            for row in make_tiles(studio, 1, words=words, **more):
                lay_spots(studio, row.id, layout, code)
                made.append(row)
    return made


def make_loads(studio: Studio, jar: Which, loads: Sequence[PlannedLoad], **more: Any) -> list[Row[Any]]:
    """Make the test tiles of the next loads; control tiles are there already.

    Each kind of tile has its own layout of one spot.

    Parameters
    ----------
    studio : Studio
        The studio.
    jar : int or str
        Row or code of the jar that is tried.
    loads : sequence of PlannedLoad
        Of the answer of ``next-tile``.
    **more
        As for :func:`make_ladder`.
    """
    made = []
    with studio.writing():
        code = jar_row(studio, jar).code
        for n, load in enumerate(loads, 1):
            for tile in load.tiles:
                if tile.what != "tile":
                    continue
                kind = ", ".join(_parts(tile.thickness, tile.undercoat))
                layout = keep_layout(
                    studio, f"tile of {code}{f', {kind}' if kind else ''}",
                    [_spot("1", tile.undercoat, tile.thickness, code)],
                )  # fmt: skip
                setting = _setting(load.temperature, load.time)
                words = f"next tiles of {code}, load {n} of {len(loads)}: {setting}, place {tile.place}"
                for row in make_tiles(studio, 1, words=words, **more):
                    lay_spots(studio, row.id, layout, code)
                    made.append(row)
    return made


def _spot(name: str, undercoat: str, thickness: Figure | None, jar: str) -> dict[str, Any]:
    coat: dict[str, Any] = {"jar": jar}
    if thickness is not None:
        coat["powder_depth_mm"] = round(units.from_si(thickness.value, "mm", "length"), 3)
    return {"spot": name, **({"under": undercoat} if undercoat else {}), "coats": [coat]}


def _parts(thickness: Figure | None, undercoat: str) -> Iterable[str]:
    if thickness is not None:
        yield _depth(thickness)
    if undercoat:
        yield f"over {undercoat}"


def _depth(thickness: Figure) -> str:
    return units.show(thickness.value, "length", "mm")


def _load_words(tile: LadderTile, loads: int) -> str:
    return f"load {tile.load} of {loads}: {_setting(tile.temperature, tile.time)}, place {tile.place}"


def _setting(temperature: Figure, time: Figure) -> str:
    seconds = round(time.value)
    return f"{units.show(temperature.value, 'temperature', '°C')} for {seconds // _MINUTE}:{seconds % _MINUTE:02d}"
