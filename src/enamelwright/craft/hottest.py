"""The hottest a piece may get in one firing: melting limits are judged against this, not against the dial."""

from __future__ import annotations

from dataclasses import dataclass

from enamelwright import units
from enamelwright.craft.bench import Bench
from enamelwright.craft.kiln import Kiln
from enamelwright.craft.operation import Firing
from enamelwright.craft.piece import Piece
from enamelwright.figure import Z95, Figure, Origin
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

    The likely temperature is the set point with the kiln's known error and measured overshoot. The hottest is the
    peak of the piece where its heating is worked out, else the set point with what is not known of the reading
    (1.645 standard deviations) and the overshoot after the door closes; both with the hottest spot above the
    middle and at the high end of the window.

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
    measured = kiln.reads_low_sd is not None
    sd = kiln.reads_low_sd if kiln.reads_low_sd is not None else value("heat/kiln_reading_sd")
    overshoot = kiln.overshoot if kiln.overshoot is not None else value("heat/kiln_overshoot")
    spot = kiln.spread if kiln.spread is not None else value("heat/position_spread")
    window = firing.window
    if window is not None and window.peak is not None:
        return _worked_out(window.peak, point, kiln, sd, spot)
    known = kiln.reads_low + (kiln.overshoot or 0.0)
    middle = point.value + known
    origin = Origin(
        kind="computed",
        source="set point + kiln error + overshoot + hottest spot",
        status="from the kiln as measured" if measured else "assumption",
    )
    figure = Figure(
        value=middle,
        low=min(middle, point.low + kiln.reads_low - Z95 * sd),
        high=max(middle, point.high + kiln.reads_low + Z95 * sd + overshoot + spot),
        dimension="temperature",
        origin=origin,
    )
    how = "measured" if measured else "assumed, the kiln has not been measured"
    because = (
        f"set {_ends(point, '°C')} ({_ends(point, '°F')})",
        f"kiln reads {kiln.reads_low:.0f} °C low, give or take {Z95 * sd:.0f} °C ({how})",
        f"overshoot {overshoot:.0f} °C, hottest spot {spot:.0f} °C above the middle",
    )
    return Heat(figure, point, measured, because)


def _worked_out(peak: Figure, point: Figure, kiln: Kiln, sd: float, spot: float) -> Heat:
    """Return the heat of a firing whose piece was followed through the kiln.

    A piece pulled early may never have come to the setting; left in a little longer it does, so the setting
    counts even then. The overshoot of a controller nobody has measured is caution, not likelihood: it counts in
    the hottest alone.
    """
    measured = kiln.reads_low_sd is not None
    settled = point.value + kiln.reads_low
    likely = max(peak.value, settled) if kiln.overshoot is not None else settled
    figure = Figure(
        value=likely,
        low=min(peak.low - (point.value - point.low), likely),
        high=max(peak.high + (point.high - point.value), point.high + kiln.reads_low + Z95 * sd, likely) + spot,
        dimension="temperature",
        origin=peak.origin,
    )
    how = "as measured" if measured else "not checked, a usual error assumed"
    because = (
        f"set {_ends(point, '°C')} ({_ends(point, '°F')})",
        f"the piece is worked out to peak at {units.show(peak.value, 'temperature', '°C', WHOLE)}, "
        f"{units.show(peak.high, 'temperature', '°C', WHOLE)} at the hottest (display of the kiln {how})",
        f"hottest spot {spot:.0f} °C above the middle, high end of the settings included",
    )
    return Heat(figure, point, measured, because)


def _ends(point: Figure, scale: str) -> str:
    """Print a setting to the degree, as a range where it is one."""
    low, high = (f"{units.from_si(end, scale, 'temperature'):.0f}" for end in (point.low, point.high))
    return f"{low} {scale}" if low == high else f"{low} to {high} {scale}"
