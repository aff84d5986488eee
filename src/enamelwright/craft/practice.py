"""Starting temperature and time of a firing, as ranges from the table of practice.

These are other people's settings for other people's kilns: a place to start looking from, marked so. The
setting of every window comes from here; its time is worked out by :mod:`enamelwright.craft.window` where
that can speak, and the row of the table stays beside it as a second opinion.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from enamelwright import units
from enamelwright.craft.bench import Bench
from enamelwright.craft.ceiling import ceiling
from enamelwright.craft.heating import glass_in, seconds_for
from enamelwright.craft.kiln_state import known_offset
from enamelwright.craft.layup import Layer, Layup
from enamelwright.craft.operation import Firing, Window
from enamelwright.craft.piece import OPEN_BACKED
from enamelwright.craft.plan import CoatWeight
from enamelwright.craft.weights import weigh
from enamelwright.errors import HouseError
from enamelwright.figure import Figure, Origin
from enamelwright.reference import loader
from enamelwright.reference.loader import fact

#: Looks are this many seconds apart (published: Glass on Metal, pendant article).
LOOK_EVERY = 15.0
#: Half the width of a maker's own setting: what a dial and a hand can hold (assumption) [K], [s].
OWN_KELVIN, OWN_SECONDS = 5.0, 10.0
#: An offset of the display smaller than this is not worth a word: no dial is set finer [K].
TOLD_OFFSET = 0.5
_OWN = Origin(kind="measured", source="piece file", status="the maker's own setting")


@dataclass(frozen=True)
class Practice:
    """One row of the table of practice, in SI.

    Attributes
    ----------
    job, family : str
        Kind of firing, family of metal.
    low, middle, high : float
        Set point [K].
    seconds : tuple of float
        Short, likely, long [s].
    sheet : float
        Metal thickness the time belongs to [m].
    above_maturity : float or None
        Set point over the maturity of the jar, when that is known [K]; None: the row is not moved.
    floor : float or None
        Never set below this, however soft the jar [K]; None: no such limit.
    fall : float
        How much cooler than the painted coat before [K].
    sources : tuple of str
        Cited.
    status, note : str
        How far it can be trusted; what to watch.
    """

    job: str
    family: str
    low: float
    middle: float
    high: float
    seconds: tuple[float, float, float]
    sheet: float
    above_maturity: float | None
    floor: float | None
    fall: float
    sources: tuple[str, ...]
    status: str
    note: str


@lru_cache(maxsize=1)
def _table() -> dict[tuple[str, str], Practice]:
    known = loader.sources()
    table = {}
    for row in loader.rows("trade/practice"):
        low, middle, high = (
            units.to_si(float(row[end]), row["unit"], "temperature") for end in ("set_low", "set", "set_high")
        )
        table[row["job"], row["family"]] = Practice(
            job=row["job"],
            family=row["family"],
            low=low,
            middle=middle,
            high=high,
            seconds=(float(row["seconds_low"]), float(row["seconds"]), float(row["seconds_high"])),
            sheet=units.to_si(float(row["sheet_mm"]), "mm", "length"),
            above_maturity=float(row["above_maturity_k"]) if row["above_maturity_k"] else None,
            floor=units.to_si(float(row["floor"]), row["unit"], "temperature") if row["floor"] else None,
            fall=float(row["fall_k"]),
            sources=tuple(known[key].words() for key in loader.source_keys(row["source"])),
            status=row["status"],
            note=row["note"],
        )
    return table


def practice(job: str, family: str) -> Practice:
    """Return the row for a kind of firing on a family of metal, or on any metal.

    Raises
    ------
    HouseError
        When the table knows no such firing.
    """
    table = _table()
    family = "copper" if family == "copper_zinc" else family
    found = table.get((job, family)) or table.get((job, "any"))
    if found is None:
        raise HouseError(f"no practice is recorded for '{job}' on {family}.", "Install the program again.")
    return found


def melting(firing: Firing, layup: Layup) -> tuple[Layer, ...]:
    """Return the coats a firing is judged by: those that melt first, or those laid again in a later round.

    Parameters
    ----------
    firing : Firing
        The firing.
    layup : Layup
        The piece.
    """
    if firing.fuses:
        return tuple(layup.layers[number] for number in firing.fuses)
    if not firing.fill_round:
        return ()
    there = [layup.layers[number] for number in firing.reheats]
    face = [layer for layer in there if layer.coat.face == firing.face_up]
    found: list[Layer] = []
    for layer in reversed(face):
        beside = bool(layer.coat.cells) and all(other.coat.cells for other in found)
        if found and (not beside or any(set(layer.coat.cells) & set(other.coat.cells) for other in found)):
            break
        if layer.coat.fill is not None or layer.coat.times > 1:
            found.append(layer)
    return tuple(reversed(found)) or tuple(face[-1:])


def job_of(firing: Firing, layup: Layup) -> str:
    """Name the kind of firing for the table of practice.

    Parameters
    ----------
    firing : Firing
        The firing.
    layup : Layup
        The piece.
    """
    layers = melting(firing, layup)
    opened = layup.piece.technique in OPEN_BACKED and layup.piece.technique != "plique_etched"
    if firing.flash:
        return "open flash" if opened else "flash"
    if not layers:
        return "embed" if firing.embeds else "again"
    if firing.target == "over-fired":
        return "breakthrough"
    if layup.metal.family == "steel":
        return "ground" if any(layer.jar.kind == "ground" for layer in layers) else "cover"
    front = [layer for layer in layers if layer.coat.face == "front"]
    if not front:
        return "counter"
    return "open fill" if opened else _front_job(firing, front, layup)


def _front_job(firing: Firing, front: list[Layer], layup: Layup) -> str:
    kinds = {layer.jar.kind for layer in front}
    methods = {layer.coat.method for layer in front}
    if "paint" in methods:
        return "paint"
    if "painting" in kinds:
        return "grisaille white"
    if firing.target == "cleared":
        return "clear on metal"
    if any(layer.coat.scratched for layer in front) and methods & {"slip", "spray"}:
        return "scratched slip"
    if methods & {"place", "trail"}:
        return "placed"
    if any(layer.coat.cells or layer.coat.fill for layer in front):
        return "fill"
    if _painted_later(front, layup):
        return "base under paint"
    if kinds & {"flux", "transparent", "opal"}:
        first = layup.metal.family in {"silver", "gold"} and any(layer.place == 1 for layer in front)
        if first:
            return "flux on silver"
        return "transparent bright" if firing.target == "gloss" else "transparent"
    if methods & {"slip", "spray"}:
        return "slip"
    return "opaque" if firing.target == "gloss" else "opaque first"


def _painted_later(front: list[Layer], layup: Layup) -> bool:
    top = max(layer.place for layer in front)
    thin = layup.thickness <= fact("trade/painted_plate_highest").value
    return thin and any(
        layer.place > top and (layer.jar.kind == "painting" or layer.coat.method == "paint")
        for layer in layup.on("front")
    )


def window_for(firing: Firing, layup: Layup, bench: Bench, weights: Sequence[CoatWeight] | None = None) -> Window:
    """Return the window of one firing by itself; see :func:`enamelwright.craft.window.window.windows_for`.

    Parameters
    ----------
    firing : Firing
        From the sequence.
    layup : Layup
        The piece.
    bench : Bench
        House rules and kiln.
    weights : sequence of CoatWeight, optional
        One a coat, in file order; worked out here when left out.
    """
    from enamelwright.craft.window.window import windows_for

    return windows_for((firing,), layup, bench, weights)[0]


def over_torch(firing: Firing, layup: Layup, bench: Bench) -> bool:
    """Tell whether a firing has neither degrees nor seconds, because a flame heats it.

    Parameters
    ----------
    firing : Firing
        The firing.
    layup : Layup
        The piece; names its kiln.
    bench : Bench
        Holds the kilns.
    """
    kiln = bench.kiln(layup.piece.firing.kiln)
    return firing.support == "torch ring" or (kiln is not None and kiln.kind == "torch")


def practice_window(firing: Firing, layup: Layup, bench: Bench, weights: Sequence[CoatWeight] | None = None) -> Window:
    """Return the window that ordinary practice gives for one firing: other people's settings, to look from.

    Temperatures come from the row of practice, moved to the maturity of the jar where it is known and
    held under what metal, house and coats allow; times are lengthened or shortened by the heating lag
    of metal and glass for their thickness. What the maker set in the file comes first.

    Parameters
    ----------
    firing : Firing
        From the sequence.
    layup : Layup
        The piece.
    bench : Bench
        House rules and kiln.
    weights : sequence of CoatWeight, optional
        One a coat, in file order; worked out here when left out.

    Returns
    -------
    Window
        Status ``practice``, or ``own`` where the file sets temperature or time.
    """
    habits = layup.piece.firing
    start = "recovered" if habits.start == "recovered" else "load"
    if over_torch(firing, layup, bench):
        return Window(
            set_point=None,
            seconds=None,
            because=("Torch: fire by the stage you see, not by degrees or a clock.",),
            sources=("trade web page, unverified",),
            look_every=None,
        )
    row = practice(job_of(firing, layup), layup.metal.family)
    because = [f"{row.job}: {row.note or 'ordinary settings'} ({row.status})"]
    point = _set_point(row, firing, layup, bench, because)
    glass = glass_in(firing, layup, weights or weigh(layup, bench), melting(firing, layup))
    origin = Origin(kind="reference", source=f"trade/practice, {row.job}", status=row.status)
    seconds = seconds_for(row.seconds, row.sheet, firing, layup, glass, origin, because)
    own_point, own_seconds = own_setting(firing, layup)
    if own_point is not None:
        point = _about(own_point, OWN_KELVIN, "temperature")
        because.append("the temperature is the maker's own")
    if own_seconds is not None:
        seconds = _about(own_seconds, OWN_SECONDS, "time")
        because.append("the time is the maker's own")
    if start == "recovered":
        because.append("counted from recovery; settings of practice are counted from loading, so look early")
    return Window(
        set_point=point,
        seconds=seconds,
        start="recovered" if start == "recovered" else "load",
        status="own" if own_point is not None or own_seconds is not None else "practice",
        because=tuple(because),
        sources=row.sources,
        first_look=seconds.low,
        look_every=LOOK_EVERY,
    )


def _about(value: float, half: float, dimension: str) -> Figure:
    return Figure(value=value, low=max(value - half, 0.0), high=value + half, dimension=dimension, origin=_OWN)


def own_setting(firing: Firing, layup: Layup) -> tuple[float | None, float | None]:
    """Return the maker's own (set point, seconds); a coat's own before the habits.

    Parameters
    ----------
    firing : Firing
        The firing.
    layup : Layup
        The piece.
    """
    layers = melting(firing, layup)
    points = [layer.coat.set for layer in layers if layer.coat.set is not None]
    times = [layer.coat.seconds for layer in layers if layer.coat.seconds is not None]
    habits = layup.piece.firing
    return (max(points) if points else habits.set), (max(times) if times else habits.seconds)


@dataclass(frozen=True)
class Held:
    """A setting that a ceiling keeps below what the glass wants.

    Attributes
    ----------
    layer : Layer
        The hardest of the coats judged.
    wanted, middle : float
        Middle of the window without the ceiling, and with it [K].
    reason : str
        What holds it.
    """

    layer: Layer
    wanted: float
    middle: float
    reason: str


def held_down(firing: Firing, layup: Layup, bench: Bench) -> Held | None:
    """Return how a ceiling holds a firing below the maturity of its hardest coat.

    Parameters
    ----------
    firing : Firing
        From the sequence.
    layup : Layup
        The piece.
    bench : Bench
        House rules.

    Returns
    -------
    Held or None
        None where nothing holds it, no maturity is known, the maker set the temperature, or no thermometer rules.
    """
    known = _of_known_maturity(firing, layup)
    if over_torch(firing, layup, bench) or not known or own_setting(firing, layup)[0] is not None:
        return None
    row = practice(job_of(firing, layup), layup.metal.family)
    if row.above_maturity is None:
        return None
    wanted = _wanted(row, firing, layup, [])
    middle, reason = _under(wanted, firing, layup, bench)[1], ceiling(firing, layup, bench)[1]
    if middle >= wanted[1]:
        return None
    return Held(max(known, key=lambda pair: pair[0])[1], wanted[1], middle, reason)


def _of_known_maturity(firing: Firing, layup: Layup) -> list[tuple[float, Layer]]:
    """Return (maturity, coat) of the coats a firing is judged by."""
    layers = melting(firing, layup) or topmost(firing, layup)
    return [(layer.jar.fusing.maturity, layer) for layer in layers if layer.jar.fusing.maturity is not None]


Range = tuple[float, float, float]


def _wanted(row: Practice, firing: Firing, layup: Layup, because: list[str]) -> Range:
    """Return (low, middle, high) as the glass wants it, before any ceiling."""
    low, middle, high = row.low, row.middle, row.high
    known = [maturity for maturity, _ in _of_known_maturity(firing, layup)]
    if known and row.above_maturity is not None:
        moved = max(known) + row.above_maturity - middle
        low, middle, high = low + moved, middle + moved, high + moved
        because.append("moved to the maturity of the jar")
    fall = row.fall * _painted_before(firing, layup)
    if fall:
        low, middle, high = low - fall, middle - fall, high - fall
        because.append(f"{fall:.0f} °C under the first painted coat: each firing no hotter than the one before")
    if row.floor is not None and low < row.floor:
        # The same clipping as under a ceiling, from the other side.
        half = min(middle - low, high - middle)
        low = row.floor
        middle = max(middle, low + half / 2)
        high = max(high, middle + half / 2)
        because.append(f"not below {units.show(low, 'temperature', '°C')}, however soft the jar")
    return low, middle, high


def _under(wanted: Range, firing: Firing, layup: Layup, bench: Bench) -> Range:
    """Hold a range under the ceiling."""
    low, middle, high = wanted
    limit, _ = ceiling(firing, layup, bench)
    if high > limit:
        half = min(middle - low, high - middle)
        high = limit
        middle = min(middle, limit - half / 2)
        low = min(low, middle - half / 2)
    return low, middle, high


def _set_point(row: Practice, firing: Firing, layup: Layup, bench: Bench, because: list[str]) -> Figure:
    wanted = _wanted(row, firing, layup, because)
    low, middle, high = _under(wanted, firing, layup, bench)
    if high < wanted[2]:
        because.append(f"held down: {ceiling(firing, layup, bench)[1]}")
    kiln = bench.kiln(layup.piece.firing.kiln)
    known = known_offset(kiln) if kiln is not None and kiln.speaks_degrees else None
    if kiln is not None and known is not None and abs(known.mean) > TOLD_OFFSET:
        low, middle, high = (end - known.mean for end in (low, middle, high))
        tested = f" by {known.tests} melt test{'s' if known.tests > 1 else ''}" if known.tests else ""
        because.append(f"set for the display of '{kiln.name}', which {known.reading}{tested}")
    origin = Origin(kind="reference", source=f"trade/practice, {row.job}", status=row.status)
    return Figure(value=middle, low=low, high=high, dimension="temperature", origin=origin)


def topmost(firing: Firing, layup: Layup) -> tuple[Layer, ...]:
    """Return the outermost fired coat of the face that looks up, for firings that melt nothing new.

    Parameters
    ----------
    firing : Firing
        The firing.
    layup : Layup
        The piece.
    """
    face = [layup.layers[n] for n in firing.reheats if layup.layers[n].coat.face == firing.face_up]
    # A flash must move the hardest of the topmost glass: the coats in cells lie side by side.
    tops = [layer for layer in face if layer.coat.cells] or face[-1:]
    return tuple(tops)


def _painted_before(firing: Firing, layup: Layup) -> int:
    """Count the painted coats and rounds fired before this one."""
    layers = melting(firing, layup)
    if not any(layer.jar.kind == "painting" or layer.coat.method == "paint" for layer in layers):
        return 0
    first = min(layer.number for layer in layers)
    earlier = [layup.layers[n] for n in firing.reheats if n < first]
    done = sum(layer.coat.times for layer in earlier if layer.jar.kind == "painting" or layer.coat.method == "paint")
    return done + max(0, firing.fill_round - 1)
