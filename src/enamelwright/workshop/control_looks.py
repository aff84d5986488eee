"""How control tiles came out: their colour beside that of the first ones, and their bow, where either was read.

Seconds to gloss tell of the kiln. A tile that glosses when it did and looks otherwise, or bows otherwise, tells of the
powder and of the hand.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from sqlalchemy import Connection

from enamelwright.learning.control_chart import FEWEST, ControlChart, control_chart
from enamelwright.physics.colour.colour_difference import ciede2000
from enamelwright.records.schema.pieces import measure as measure_table
from enamelwright.records.schema.tiles import colour_reading
from enamelwright.records.writing import current
from enamelwright.reference.loader import facts_of
from enamelwright.workshop.named import within

Look = Literal["colour", "bow"]
#: So many tiles in order after each other end an alarm.
LAPSES = 3
#: Millimetres in a metre: a bow is charted as a rule shows it.
MM = 1e3
#: How a colour was read: spot, light and observer. Only colours read alike are compared.
Way = tuple[str, str, int]

REASONS: dict[Look, str] = {
    "colour": "look at the powder first (another lot, damp, fines not washed out), then at its thickness, then at how "
    "it was read.",
    "bow": "weigh what lies on each face, and look at the sheet's thickness and at how the tile cooled.",
}


@dataclass(frozen=True)
class TileFired:
    """One control tile.

    Attributes
    ----------
    label, number, load : str
        Of the tile and its load.
    at : str
        When.
    seconds : float
        To first gloss [s].
    piece : int
        Its row.
    """

    label: str
    number: str
    load: str
    at: str
    seconds: float
    piece: int


@dataclass(frozen=True, eq=False)
class ControlLook:
    """Colour or bow of the tiles of one series that have it.

    Attributes
    ----------
    what : str
        ``colour`` or ``bow``.
    tiles : tuple of TileFired
        In order.
    values : tuple of float
        Difference from the first tiles [CIEDE2000], or bow [mm].
    chart : ControlChart or None
        None while there are too few.
    kiln_too : bool
        Whether the seconds of the same tiles are in trouble.
    """

    what: Look
    tiles: tuple[TileFired, ...]
    values: tuple[float, ...]
    chart: ControlChart | None
    kiln_too: bool

    @property
    def alarm(self) -> TileFired | None:
        """The tile with which the trouble began that still lasts."""
        at = None if self.chart is None else self.chart.lasting(LAPSES)
        return None if at is None else self.tiles[at]

    @property
    def words(self) -> str:
        """What the chart says, in one sentence a maker can act on."""
        if self.chart is None:
            return f"{len(self.values)} of {FEWEST + 1} tiles have their {self.what} read; a change is not told yet."
        if self.alarm is None:
            return f"The {self.what} is as it was."
        since = f"Since {self.alarm.label} the {self.what} is another one"
        if self.kiln_too:
            return f"{since}, and the tile glosses at another time too: the kiln is the likely cause."
        return f"{since}, though the tile glosses when it did: {REASONS[self.what]}"


@dataclass(frozen=True)
class LooksRead:
    """What was read of control tiles, by row: the newest colour of each way, and the newest bow [m]."""

    colours: Mapping[int, Mapping[Way, tuple[float, float, float]]]
    bows: Mapping[int, float]


def looks_read(connection: Connection, pieces: Sequence[int]) -> LooksRead:
    """Read colours and bows of pieces.

    Parameters
    ----------
    connection : Connection
        Reading.
    pieces : sequence of int
        Their rows.
    """
    colours: dict[int, dict[Way, tuple[float, float, float]]] = {}
    seen = current(colour_reading).where(
        within(colour_reading.c.piece, pieces), colour_reading.c.lightness.is_not(None)
    )
    for row in connection.execute(seen.order_by(colour_reading.c.at, colour_reading.c.id)):
        if row.a is not None and row.b is not None and row.read_by != "eye":
            way = (row.spot or "", row.light or "", row.observer or 0)
            colours.setdefault(row.piece, {})[way] = (row.lightness, row.a, row.b)
    bows = current(measure_table).where(within(measure_table.c.piece, pieces), measure_table.c.what == "bow")
    found = connection.execute(bows.order_by(measure_table.c.at, measure_table.c.id))
    return LooksRead(colours, {row.piece: row.length for row in found if row.length is not None})


def looks_of(tiles: Sequence[TileFired], seconds: ControlChart | None, read: LooksRead) -> tuple[ControlLook, ...]:
    """Chart colour and bow of the tiles of one series, where they were read.

    Parameters
    ----------
    tiles : sequence of TileFired
        In order.
    seconds : ControlChart or None
        Of their first gloss.
    read : LooksRead
        Of :func:`looks_read`.
    """
    kiln_too = seconds is not None and seconds.lasting(LAPSES) is not None
    facts: Mapping[str, Any] = facts_of("heat/learning")
    base = int(facts["heat/learn_control_base"].value)
    result = []
    for what in ("colour", "bow"):
        mine, values = _differences(tiles, read, base) if what == "colour" else _bows(tiles, read)
        if len(mine) < 2:  # one is not compared with anything
            continue
        chart = None
        if len(mine) > FEWEST:
            usual = facts[f"heat/learn_control_{what}"].value * (MM if what == "bow" else 1)
            worth, limit = (facts[f"heat/learn_control_{name}"].value for name in ("worth", "limit"))
            chart = control_chart(values, base, known_sd=usual, worth=worth, limit=limit, grows=True)
        result.append(ControlLook(what, mine, values, chart, kiln_too))
    return tuple(result)


def _differences(
    tiles: Sequence[TileFired], read: LooksRead, base: int
) -> tuple[tuple[TileFired, ...], tuple[float, ...]]:
    """Return tiles whose colour was read in the way most were, and how far each is from the first of them.

    One of the first is compared with the others of them, or it would be nearer to itself than any later one can be.
    """
    ways = Counter(way for tile in tiles for way in read.colours.get(tile.piece, {}))
    if not ways:
        return (), ()
    way = max(ways, key=lambda one: (ways[one], one))
    mine = tuple(tile for tile in tiles if way in read.colours.get(tile.piece, {}))
    labs = np.asarray([read.colours[tile.piece][way] for tile in mine], dtype=np.float64)
    first = range(min(base, len(mine)))
    values = []
    for at, lab in enumerate(labs):
        beside = [other for other in first if other != at]
        values.append(float(ciede2000(labs[beside].mean(axis=0), lab)) if beside else 0.0)
    return mine, tuple(values)


def _bows(tiles: Sequence[TileFired], read: LooksRead) -> tuple[tuple[TileFired, ...], tuple[float, ...]]:
    mine = tuple(tile for tile in tiles if tile.piece in read.bows)
    return mine, tuple(MM * read.bows[tile.piece] for tile in mine)
