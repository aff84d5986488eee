"""The weekly tile: seconds to first gloss against the day, with limits, and what an alarm likely means.

Its colour and its bow stand beside them in `control_looks`.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass

from sqlalchemy import select

from enamelwright.learning.control_chart import FEWEST, ControlChart, control_chart
from enamelwright.records.schema.kilns import kiln as kiln_table
from enamelwright.records.schema.kilns import kiln_event
from enamelwright.records.schema.loads import load as load_table
from enamelwright.records.schema.loads import load_piece
from enamelwright.records.schema.pieces import piece as piece_table
from enamelwright.records.writing import current, first_of
from enamelwright.reference.loader import facts_of
from enamelwright.workshop.control_looks import LAPSES, ControlLook, TileFired, looks_of, looks_read
from enamelwright.workshop.mishaps import spoiled_firings
from enamelwright.workshop.named import within
from enamelwright.workshop.studio import Studio

#: Kind of piece, by the record's word.
KIND = "control tile"
#: Settings differing by less than this are one setting [K].
SAME = 3.0
#: A tile that was fired elsewhere than in the middle tells another story.
MIDDLE = frozenset({None, "", "centre", "center", "middle"})


@dataclass(frozen=True, eq=False)
class ControlSeries:
    """Tiles of one kiln at one setting since the kiln last became another one.

    Attributes
    ----------
    kiln : str
        Name.
    set_point : float or None
        [K].
    since : str
        When the kiln last became another one; empty from its beginning.
    tiles : tuple of TileFired
        In order.
    chart : ControlChart or None
        None while there are too few.
    looks : tuple of ControlLook
        Colour and bow of the same tiles, where they were read.
    """

    kiln: str
    set_point: float | None
    since: str
    tiles: tuple[TileFired, ...]
    chart: ControlChart | None
    looks: tuple[ControlLook, ...] = ()

    @property
    def alarm(self) -> TileFired | None:
        """The tile with which the trouble began that still lasts; None once the last tiles were in order again."""
        at = self.alarm_at
        return None if at is None else self.tiles[at]

    @property
    def alarm_at(self) -> int | None:
        """Place of that tile in the series."""
        return None if self.chart is None else self.chart.lasting(LAPSES)

    @property
    def words(self) -> str:
        """What the chart says, in one sentence a maker can act on."""
        if self.chart is None:
            return f"{len(self.tiles)} of {FEWEST + 1} tiles needed before a change can be told from chance."
        alarm = self.alarm
        if alarm is None:
            return "Nothing has changed that a tile would show."
        sooner = alarm.seconds < self.chart.middle
        cause = (
            "Hotter than it shows: a thermocouple that creeps out of the chamber or ages reads low. Push it back in, "
            "or check it with a melt test."
            if sooner
            else "Colder than it shows, or loaded before it had recovered: look at the thermocouple and the element, "
            "and wait longer before loading."
        )
        late = "sooner" if sooner else "later"
        what = f"Since {alarm.label} the tile glosses {late} than it did."
        return f"{what} {cause} Until then do not trust the old settings."


def control_series(studio: Studio) -> list[ControlSeries]:
    """Chart the control tiles, one series a kiln, setting and state of the kiln, the newest first.

    Parameters
    ----------
    studio : Studio
        The studio.
    """
    facts = facts_of("heat/learning")
    sd, worth, base, limit = (facts[f"heat/learn_control_{name}"].value for name in ("sd", "worth", "base", "limit"))
    groups: dict[tuple[int, float | None, int], list[TileFired]] = {}
    with studio.reading() as connection:
        hurt = spoiled_firings(studio)
        names = {row.id: row.name for row in connection.execute(select(kiln_table.c.id, kiln_table.c.name))}
        tiles = {row.id: row for row in connection.execute(select(piece_table).where(piece_table.c.kind == KIND))}
        inside = list(connection.execute(current(load_piece).where(within(load_piece.c.piece, tiles))))
        inside = [row for row in inside if row.piece in tiles]
        fired_in = current(load_table).where(within(first_of(load_table), {row.load for row in inside}))
        loads = {row.of: row for row in connection.execute(fired_in.where(load_table.c.kiln.is_not(None)))}
        epochs: dict[int, list[str]] = {}
        read = looks_read(connection, list(tiles))
        for event in connection.execute(current(kiln_event).where(kiln_event.c.new_epoch == True)):  # noqa: E712 - SQL
            epochs.setdefault(event.kiln, []).append(event.at)
    for one in sorted(inside, key=lambda row: loads[row.load].at if row.load in loads else ""):
        load = loads.get(one.load)
        if load is None or one.do_not_learn or load.interrupted or (one.load, one.piece) in hurt:
            continue
        seconds = one.to_gloss if one.to_gloss is not None else load.to_gloss
        if seconds is None or (one.position or "").casefold() not in MIDDLE:
            continue
        setting = None if load.set_point is None else round(load.set_point / SAME) * SAME
        epoch = bisect_right(sorted(epochs.get(load.kiln, [])), load.at)
        tile = tiles[one.piece]
        fired = TileFired(tile.label or tile.number, tile.number, load.number, load.at, float(seconds), tile.id)
        groups.setdefault((load.kiln, setting, epoch), []).append(fired)
    result = []
    for (kiln, setting, epoch), found in groups.items():
        chart = None
        if len(found) > FEWEST:
            seen = [one.seconds for one in found]
            chart = control_chart(seen, int(base), known_sd=sd, worth=worth, limit=limit, grows=True)
        since = sorted(epochs[kiln])[epoch - 1] if epoch else ""
        result.append(ControlSeries(names[kiln], setting, since, tuple(found), chart, looks_of(found, chart, read)))
    return sorted(result, key=lambda one: one.tiles[-1].at, reverse=True)
