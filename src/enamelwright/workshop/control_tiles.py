"""The weekly tile: seconds to first gloss against the day, with limits, and what an alarm likely means.

Its colour and its bow stand beside them in `control_looks`.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from datetime import datetime
from math import sqrt
from statistics import fmean

from sqlalchemy import select

from enamelwright.learning.control_chart import FEWEST, ControlChart, control_chart
from enamelwright.records.schema.kilns import kiln as kiln_table
from enamelwright.records.schema.kilns import kiln_event
from enamelwright.records.schema.loads import load as load_table
from enamelwright.records.schema.loads import load_piece
from enamelwright.records.schema.pieces import measure, mishap
from enamelwright.records.schema.pieces import piece as piece_table
from enamelwright.records.schema.tiles import colour_reading
from enamelwright.records.writing import current, first_of
from enamelwright.reference.loader import facts_of
from enamelwright.workshop.at_hand import AtHand
from enamelwright.workshop.control_looks import LAPSES, ControlLook, TileFired, looks_of, looks_read
from enamelwright.workshop.mishaps import spoiled_firings
from enamelwright.workshop.named import within
from enamelwright.workshop.places import MIDDLE
from enamelwright.workshop.studio import Studio

#: Kind of piece, by the record's word.
KIND = "control tile"
#: Settings differing by less than this are one setting [K].
SAME = 3.0


@dataclass(frozen=True)
class Change:
    """What was done to a kiln so that readings before and after are not comparable: when, and what."""

    at: str
    what: str

    @property
    def words(self) -> str:
        """Like ``thermocouple moved, 23 April``."""
        return f"{self.what}, {day_of(self.at)}"


@dataclass(frozen=True, eq=False)
class ControlSeries:
    """Tiles of one kiln at one setting between two changes of the kiln.

    Attributes
    ----------
    kiln : str
        Name.
    set_point : float or None
        [K].
    begun : Change or None
        What was done to the kiln before them; None from its beginning.
    tiles : tuple of TileFired
        In order.
    chart : ControlChart or None
        None while there are too few.
    looks : tuple of ControlLook
        Colour and bow of the same tiles, where they were read.
    ended : Change or None
        What was done to the kiln after them; None while this still holds.
    before, after : tuple of TileFired
        The last tiles before them and the first ones after them, at the same setting.
    """

    kiln: str
    set_point: float | None
    begun: Change | None
    tiles: tuple[TileFired, ...]
    chart: ControlChart | None
    looks: tuple[ControlLook, ...] = ()
    ended: Change | None = None
    before: tuple[TileFired, ...] = ()
    after: tuple[TileFired, ...] = ()

    @property
    def since(self) -> str:
        """When the kiln became what it is for these tiles; empty from its beginning."""
        return self.begun.at if self.begun is not None else ""

    @property
    def alarm(self) -> TileFired | None:
        """The tile with which the trouble began that lasted to the end; None once the last were in order again."""
        at = self.alarm_at
        return None if at is None else self.tiles[at]

    @property
    def alarm_at(self) -> int | None:
        """Place of that tile in the series."""
        return None if self.chart is None else self.chart.lasting(LAPSES)

    @property
    def active(self) -> TileFired | None:
        """The alarm of a kiln that nothing was done to since; None for a series that has ended."""
        return self.alarm if self.ended is None else None

    @property
    def line(self) -> str:
        """The active alarm in one line for those who are about to fire; empty without one."""
        alarm = self.active
        if alarm is None or self.chart is None:
            return ""
        off = self.tiles[-1].seconds - self.chart.middle
        look = "the thermocouple was looked at" if off < 0 else "thermocouple and element were looked at"
        return (
            f"Control tile: gloss comes {_apart(off)} than it did, since {day_of(alarm.at)}; do not trust the old "
            f"settings until {look} and that is written down."
        )

    @property
    def short(self) -> str:
        """The same in few words, for paper: since when, what, and why that is likely; empty without one."""
        alarm = self.active
        if alarm is None or self.chart is None:
            return ""
        off = self.tiles[-1].seconds - self.chart.middle
        why = "the thermocouple" if off < 0 else "thermocouple, element or loaded before it had recovered"
        return f"Control tile since {day_of(alarm.at)}: gloss {_apart(off)}, likely {why}; old settings may not hold."

    @property
    def words(self) -> str:
        """What the chart says, in sentences a maker can act on."""
        if self.ended is not None:
            return " ".join(one for one in (self._end, self._was) if one)
        return " ".join(one for one in (self._moved, self._now) if one)

    @property
    def _end(self) -> str:
        assert self.ended is not None
        said = f"Ended {day_of(self.ended.at)}: {self.ended.what}"
        if not self.after:
            return f"{said}; no tile was fired since. Fire one before you trust a setting from before it."
        off = self.after[0].seconds - self.tiles[-1].seconds
        return f"{said}; the first tile after it came {_apart(off)} than the last before."

    @property
    def _was(self) -> str:
        if self.chart is None or self.alarm is None:
            return ""
        late = "sooner" if self.alarm.seconds < self.chart.middle else "later"
        return f"From {self.alarm.label} of {day_of(self.alarm.at)} on the tile had glossed {late} than at first."

    @property
    def _moved(self) -> str:
        """By how much the kiln became another one when it was last changed."""
        if self.begun is None or not self.before:
            return ""
        was, now = (fmean(one.seconds for one in mine) for mine in (self.before, self.tiles[:LAPSES]))
        facts = facts_of("heat/learning")
        chance = facts["heat/learn_control_limit"].value * facts["heat/learn_control_sd"].value
        chance *= sqrt(1 / len(self.before) + 1 / len(self.tiles[:LAPSES]))
        when = f"Since {day_of(self.begun.at)} ({self.begun.what})"
        if abs(now - was) <= chance:
            return f"{when} the tile glosses after {now:.0f} s, {was:.0f} s before it: no more apart than chance."
        return (
            f"{when} the tile glosses after {now:.0f} s, {_apart(now - was)} than before it: settings from before it "
            "do not hold."
        )

    @property
    def _now(self) -> str:
        if self.chart is None:
            return f"{len(self.tiles)} of {FEWEST + 1} tiles needed before a change can be told from chance."
        alarm = self.alarm
        if alarm is None:
            return f"Nothing has changed {'since then ' if self._moved else ''}that a tile would show."
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


def day_of(at: str) -> str:
    """Say a moment of the record as a day of the bench, like ``23 April``.

    Parameters
    ----------
    at : str
        As the record keeps it.
    """
    when = datetime.fromisoformat(at.replace("Z", "+00:00"))
    when = when.astimezone() if when.tzinfo else when
    return f"{when.day} {when:%B}"


def _apart(seconds: float) -> str:
    return f"{abs(seconds):.0f} s {'sooner' if seconds < 0 else 'later'}"


#: A long record takes a breath to read, and who goes to the kiln must not wait for it.
_series = AtHand["tuple[ControlSeries, ...]"](
    kiln_table, kiln_event, piece_table, load_piece, load_table, mishap, measure, colour_reading
)


def alarms(studio: Studio, short: bool = False) -> dict[str, str]:
    """Return the alarm that lasts of each kiln, in one line, by its name.

    Parameters
    ----------
    studio : Studio
        The studio.
    short : bool
        Whether in as few words as paper has room for.
    """
    found: dict[str, str] = {}
    for one in control_series(studio):
        if one.line:
            found.setdefault(one.kiln, one.short if short else one.line)
    return found


def control_series(studio: Studio) -> list[ControlSeries]:
    """Chart the control tiles, one series a kiln, setting and state of the kiln, the newest first.

    Parameters
    ----------
    studio : Studio
        The studio.
    """
    return list(_series.get(studio, lambda: _read(studio)))


def _read(studio: Studio) -> tuple[ControlSeries, ...]:
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
        changes: dict[int, list[Change]] = {}
        read = looks_read(connection, list(tiles))
        for event in connection.execute(current(kiln_event).where(kiln_event.c.new_epoch == True)):  # noqa: E712 - SQL
            changes.setdefault(event.kiln, []).append(Change(event.at, event.what))
    changes = {kiln: sorted(mine, key=lambda one: one.at) for kiln, mine in changes.items()}
    for one in sorted(inside, key=lambda row: loads[row.load].at if row.load in loads else ""):
        load = loads.get(one.load)
        if load is None or one.do_not_learn or load.interrupted or (one.load, one.piece) in hurt:
            continue
        seconds = one.to_gloss if one.to_gloss is not None else load.to_gloss
        if seconds is None or (one.position or "").casefold() not in MIDDLE:
            continue
        setting = None if load.set_point is None else round(load.set_point / SAME) * SAME
        epoch = bisect_right([one.at for one in changes.get(load.kiln, [])], load.at)
        tile = tiles[one.piece]
        fired = TileFired(tile.label or tile.number, tile.number, load.number, load.at, float(seconds), tile.id)
        groups.setdefault((load.kiln, setting, epoch), []).append(fired)
    result = []
    for (kiln, setting, epoch), found in groups.items():
        chart = None
        if len(found) > FEWEST:
            seen = [one.seconds for one in found]
            chart = control_chart(seen, int(base), known_sd=sd, worth=worth, limit=limit, grows=True)
        mine = changes.get(kiln, [])
        # Only what was done between two tiles tells them apart: a change before any tile of a setting ends none.
        alike = {n: tiles for (of, at, n), tiles in groups.items() if (of, at) == (kiln, setting)}
        past, later = [n for n in alike if n < epoch], [n for n in alike if n > epoch]
        result.append(
            ControlSeries(
                names[kiln], setting, mine[epoch - 1] if epoch else None, tuple(found), chart,
                looks_of(found, chart, read), mine[epoch] if epoch < len(mine) else None,
                tuple(alike[max(past)][-LAPSES:]) if past else (), tuple(alike[min(later)][:LAPSES]) if later else (),
            )
        )  # fmt: skip
    return tuple(sorted(result, key=lambda one: one.tiles[-1].at, reverse=True))
