"""What the page of the control tile shows: its charts over everything that was done to the kiln, and what is said."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from markupsafe import Markup

from enamelwright.learning.control_chart import ControlChart
from enamelwright.pictures import learned_charts
from enamelwright.web.learned_view import chart
from enamelwright.web.moments import local
from enamelwright.web.viewer import degrees
from enamelwright.workshop.control_looks import TileFired
from enamelwright.workshop.control_tiles import Change, ControlSeries, day_of


@dataclass(frozen=True)
class Charted:
    """One chart of control tiles as a page shows it: picture, finding, and a row for each tile."""

    picture: Markup
    finding: str
    rows: list[tuple[str, str, str, str]]
    head: str


@dataclass(frozen=True)
class ControlHistory:
    """The tiles of one kiln at one setting: what is said of them, the newest first, and their charts."""

    kiln: str
    heat: str
    said: list[tuple[str, str]]
    charts: list[Charted]
    base: int
    looks: int


#: What is charted of a control tile: title of the axis, head of the column, and how a value is written.
CHARTED = {
    "seconds": ("seconds to first gloss", "First gloss", "{:.0f} s"),
    "colour": ("colour, off the first tiles", "Off by", "{:.1f}"),
    "bow": ("bow in mm, front high", "Bow", "{:+.2f} mm"),
}


def control_histories(series: Sequence[ControlSeries]) -> list[ControlHistory]:
    """Put the series of one kiln at one setting together, whatever was done to the kiln between them.

    Parameters
    ----------
    series : sequence of ControlSeries
        The newest first.
    """
    groups: dict[tuple[str, float | None], list[ControlSeries]] = {}
    for one in series:
        groups.setdefault((one.kiln, one.set_point), []).append(one)
    found = []
    for (kiln, setting), mine in groups.items():
        said: list[tuple[str, str]] = []
        for one in mine:
            level = "" if one.chart is None or one.ended is not None else "good" if one.alarm is None else "watch"
            said.append((level, one.words))
            said += [
                ("" if one.ended is not None or look.chart is None else "good" if look.alarm is None else "watch",
                 look.words)
                for look in one.looks
            ]  # fmt: skip
        heat = degrees(setting) if setting is not None else "setting not told"
        base = max((one.chart.base for one in mine if one.chart is not None), default=0)
        found.append(
            ControlHistory(kiln, heat, said, charted(mine[::-1]), base, max(len(one.looks) for one in mine))
        )  # fmt: skip
    return found


def charted(series: Sequence[ControlSeries]) -> list[Charted]:
    """Return the charts of one kiln and setting: seconds to first gloss, then colour and bow where they were read.

    Parameters
    ----------
    series : sequence of ControlSeries
        The oldest first.
    """
    done = [change for one in series for change in (one.begun, one.ended) if change is not None]
    changes = sorted({one.at: one for one in done}.values(), key=lambda one: one.at)
    seconds = [(one.tiles, [tile.seconds for tile in one.tiles], one.chart) for one in series]
    steps = [
        f"on {day_of(after.since)} ({after.begun.what}) it went from {before.tiles[-1].seconds:.0f} to "
        f"{after.tiles[0].seconds:.0f} s"
        for before, after in pairwise(series)
        if after.begun is not None
    ]
    found = [_charted("seconds", seconds, changes, steps)]
    for what in ("colour", "bow"):
        read = [
            (look.tiles, look.values, look.chart) for one in series for look in one.looks if look.what == what
        ]  # fmt: skip
        if read:
            found.append(_charted(what, read, changes))
    return found


def _charted(
    what: str, parts: Sequence[tuple[Sequence[TileFired], Sequence[float], ControlChart | None]],
    changes: Sequence[Change], steps: Sequence[str] = (),
) -> Charted:  # fmt: skip
    title, head, written = CHARTED[what]
    drawn, rows, first = [], [], ""
    for tiles, values, known in parts:
        dots = []
        for n, (tile, value) in enumerate(zip(tiles, values, strict=True)):
            out = known is not None and bool(known.trouble[n])
            middle: float | None = None
            limits: tuple[float, ...] = ()
            if known is not None:
                middle, half = round(known.middle, 2), float(known.halves[n])
                both = round(known.middle - half, 2), round(known.middle + half, 2)
                limits = both[what == "colour" :]  # a colour cannot be too near to what it was
            dots.append(learned_charts.TileDot(local(tile.at).date().isoformat(), round(value, 2), out, middle, limits))
            says = "alarm" if out else "as usual" if known is not None else "too few to tell"
            rows.append((tile.at, (tile.label, tile.at, written.format(value), says)))
            first = first or (tile.label if out else "")
        drawn.append(dots)
    rows += [(one.at, ("The kiln", one.at, one.what, "another kiln")) for one in changes]
    marks = [(local(one.at).date().isoformat(), one.what) for one in changes]
    finding = (
        f"{first} is the first that chance does not explain." if first else "Every tile lies where chance leaves it."
    )
    if all(known is None for _, _, known in parts):
        finding = "Too few tiles to tell a change from chance."
    if steps:
        finding = f"{finding[:-1]}; {'; '.join(steps)}."
    return Charted(
        chart(learned_charts.control_tile(drawn, marks, unit=title)), finding,
        [row for _, row in sorted(rows, key=lambda one: one[0])], head,
    )  # fmt: skip
