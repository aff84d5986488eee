"""The hottest a piece may get in one firing: melting limits are judged against this, not against the dial."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot

from enamelwright import units
from enamelwright.craft.bench import Bench
from enamelwright.craft.kiln import Kiln
from enamelwright.craft.kiln_anchor import UNTAUGHT, KnownOffset
from enamelwright.craft.kiln_state import known_offset
from enamelwright.craft.operation import Firing
from enamelwright.craft.piece import Piece
from enamelwright.figure import Figure, Origin
from enamelwright.reference.loader import value

#: A band of some kelvin, so that whole degrees are printed.
WHOLE = 5.0


@dataclass(frozen=True)
class Heat:
    """How hot the piece may get in one firing.

    Parameters
    ----------
    piece : Figure
        Piece temperature [K]: `value` is the likely one, `high` the hottest it may get.
    set_point : Figure
        What is set on the kiln [K].
    measured : bool
        Whether the kiln's reading has been checked, so that `high` is knowledge and not caution.
    because : tuple of str
        What was added to the set point.
    """

    piece: Figure
    set_point: Figure
    measured: bool
    because: tuple[str, ...]

    def reaches(self, limit: float, margin: float = 0.0) -> str:
        """Judge a melting limit.

        A limit less its margin that the piece is likely to reach is a stop. So is a limit that a
        checked kiln may reach at its hottest. A kiln nobody has checked may be assumed hotter than
        it is, so there the same is a watch.

        Parameters
        ----------
        limit : float
            Temperature that must not be reached [K].
        margin : float
            Kept below the limit by custom [K].

        Returns
        -------
        str
            ``stop``, ``watch`` or empty.
        """
        if self.piece.value >= limit - margin:
            return "stop"
        if self.piece.high >= limit:
            return "stop" if self.measured else "watch"
        return ""


def heat_of(firing: Firing, piece: Piece, bench: Bench) -> Heat | None:
    """Work out how hot the piece may get in one firing.

    The error of the display is what its owner told of it, corrected by every melt test. The likely temperature is
    the set point with that error, or the peak of the piece where its heating is worked out and goes over it. The
    hottest is the upper end of that peak, else the set point with the upper end of the error and the overshoot
    after the door closes; both with the hottest spot above the middle and at the high end of the window.

    Parameters
    ----------
    firing : Firing
        With its window.
    piece : Piece
        Names the kiln.
    bench : Bench
        Holds the kilns.

    Returns
    -------
    Heat or None
        None where no thermometer rules, such as over a torch.
    """
    point = firing.window.set_point if firing.window is not None else None
    if point is None:
        return None
    kiln = bench.kiln(piece.firing.kiln) or Kiln(name="unmeasured kiln")
    known = known_offset(kiln)
    measured = kiln.reads_low_sd is not None or known.learned != UNTAUGHT
    overshoot = kiln.overshoot if kiln.overshoot is not None else value("heat/kiln_overshoot")
    spot = kiln.spread if kiln.spread is not None else value("heat/position_spread")
    window = firing.window
    if window is not None and window.peak is not None:
        return _worked_out(window.peak, point, known, measured, spot)
    middle = point.value + known.mean + (kiln.overshoot or 0.0)
    origin = Origin(
        kind="computed",
        source="set point + kiln error + overshoot + hottest spot",
        status="from the kiln as measured" if measured else "assumption",
    )
    figure = Figure(
        value=middle,
        low=min(middle, point.low + known.low),
        high=max(middle, point.high + known.high + overshoot + spot),
        dimension="temperature",
        origin=origin,
    )
    because = (
        f"set {_ends(point, '°C')} ({_ends(point, '°F')})",
        f"{_display(known, measured)}, give or take {(known.high - known.low) / 2:.0f} °C",
        f"overshoot {overshoot:.0f} °C, hottest spot {spot:.0f} °C above the middle",
    )
    return Heat(figure, point, measured, because)


def _display(known: KnownOffset, measured: bool) -> str:
    """Say what is known of the display."""
    if known.tests and measured:
        return f"by {known.tests} melt test{'s' if known.tests > 1 else ''} the kiln {known.reading}"
    if measured:
        return f"the kiln {known.reading}, as measured"
    untold = "its melt tests tell little" if known.tests else "the kiln has not been checked"
    return f"the kiln taken as {known.reading.replace('reads', 'reading')} ({untold}, a usual error assumed)"


def _worked_out(peak: Figure, point: Figure, known: KnownOffset, measured: bool, spot: float) -> Heat:
    """Return the heat of a firing whose piece was followed through the kiln.

    A piece pulled early may never have come to the setting; left in a little longer it does, so the setting
    counts even then. Where the overshoot carries the piece over the setting, that counts.
    """
    likely = max(peak.value, point.value + known.mean)
    # The dial may be set to the high end by choice; what kiln and place add besides, they add by chance (JCGM 100).
    over = max(peak.high, point.value + known.high, likely) - likely
    figure = Figure(
        value=likely,
        low=min(peak.low - (point.value - point.low), likely),
        high=likely + (point.high - point.value) + hypot(over, spot),
        dimension="temperature",
        origin=peak.origin,
    )
    because = (
        f"set {_ends(point, '°C')} ({_ends(point, '°F')})",
        f"the piece is worked out to peak at {units.show(peak.value, 'temperature', '°C', WHOLE)}, "
        f"{units.show(peak.high, 'temperature', '°C', WHOLE)} at the hottest",
        _display(known, measured),
        f"hottest spot {spot:.0f} °C above the middle, high end of the settings included",
    )
    return Heat(figure, point, measured, because)


def _ends(point: Figure, scale: str) -> str:
    """Print a setting to the degree, as a range where it is one."""
    low, high = (f"{units.from_si(end, scale, 'temperature'):.0f}" for end in (point.low, point.high))
    return f"{low} {scale}" if low == high else f"{low} to {high} {scale}"
