"""What is expected of a load while it is in the kiln: the frozen predictions of its pieces, taken together."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import ceil
from statistics import median_low
from typing import Any

from enamelwright.craft.coat import STAGES, Stage
from enamelwright.workshop.predictions import Foretold
from enamelwright.workshop.studio import Studio

#: Glasses that may have to clear: light goes through them to the metal.
CLEARS = frozenset({"flux", "transparent"})


@dataclass(frozen=True)
class Begins:
    """When a stage begins on the pieces of a load.

    Attributes
    ----------
    stage : str
        As the eye sees it.
    low, value, high : float
        Seconds: the earliest of any piece, the middle, the latest of any piece.
    """

    stage: Stage
    low: float
    value: float
    high: float


@dataclass(frozen=True)
class Setting:
    """One way the pieces of a load want the kiln set.

    Attributes
    ----------
    value, low, high : float
        In the kiln's own degrees, as temperatures [K].
    pieces : tuple of str
        Numbers of the pieces that want it.
    """

    value: float
    low: float
    high: float
    pieces: tuple[str, ...]


@dataclass(frozen=True)
class Expected:
    """What is expected of a load.

    Attributes
    ----------
    target : str
        Stage to stop at; empty when nobody knows.
    start : str
        What the seconds are counted from, ``load`` or ``recovered``.
    settings : tuple of Setting
        The most wanted first; empty where no thermometer rules.
    stages : tuple of Begins
        In their order; empty where no time is worked out.
    low, high : float or None
        From the earliest to the latest second at which the target shows.
    likely : float or None
        When it is likely to be taken out, the middle of the pieces [s].
    first, every, out_by : float or None
        The looks [s].
    looks : tuple of float
        When to look [s].
    words : str
        The looks in a sentence.
    over : float or None
        When over-firing begins, at the earliest [s].
    clears : bool
        Whether glass in this load may have to clear.
    status : str
        ``model``, ``practice``, ``own`` or empty.
    display : str
        Whose degrees the settings are told in.
    first_out : str
        Number of the piece to be taken out first, where the pieces are not alike.
    because, sources, assumptions : tuple of str
        The reasons.
    firings : mapping of str to dict
        Number of a piece to what is foretold of its firing, as it was frozen.
    unforetold : mapping of str to str
        Number of a piece to why nothing is foretold of it.
    """

    target: Stage | str
    start: str
    settings: tuple[Setting, ...]
    stages: tuple[Begins, ...]
    low: float | None
    high: float | None
    first: float | None
    every: float | None
    out_by: float | None
    words: str
    over: float | None
    clears: bool
    status: str
    display: str
    first_out: str
    because: tuple[str, ...]
    sources: tuple[str, ...]
    assumptions: tuple[str, ...]
    firings: Mapping[str, Mapping[str, Any]]
    unforetold: Mapping[str, str]
    likely: float | None = None
    looks: tuple[float, ...] = ()

    @property
    def end(self) -> float | None:
        """The last second worth drawing; None where no time is worked out."""
        told = [one for one in (self.out_by, self.high) if one is not None]
        return max(told) if told and self.stages else None

    @property
    def seen(self) -> tuple[Stage, ...]:
        """The stages that have a button: powder is no news, and cleared concerns only glass that clears."""
        return tuple(stage for stage in STAGES if stage != "powder" and (stage != "cleared" or self.clears))


def expected(studio: Studio, foretold: Sequence[Foretold], numbers: Mapping[int, str]) -> Expected:
    """Take together what is foretold of the pieces of a load.

    Parameters
    ----------
    studio : Studio
        The studio; its jars say which glass clears.
    foretold : sequence of Foretold
        One for each piece.
    numbers : mapping of int to str
        Row of a piece to its number.
    """
    firings = {numbers[one.piece]: one.figures["firing"] for one in foretold if one.figures is not None}
    pieces = [one.asked.get("piece") for one in foretold if one.asked]
    unforetold = {numbers[one.piece]: one.why_not for one in foretold if one.figures is None}
    return gather(firings, unforetold, _clears(studio, [piece for piece in pieces if piece], unforetold))


def expected_of_rows(studio: Studio, rows: Iterable[Any], numbers: Mapping[int, str]) -> Expected:
    """Take together the frozen predictions of a load that is in the kiln.

    Parameters
    ----------
    studio : Studio
        The studio.
    rows : iterable of Row
        Of :func:`enamelwright.workshop.predictions.predictions_of`.
    numbers : mapping of int to str
        Row of each piece of the load to its number.
    """
    known = list(rows)
    firings = {numbers[row.piece]: row.figures["firing"] for row in known if row.piece in numbers}
    unforetold = {number: "nothing was foretold of it" for number in numbers.values() if number not in firings}
    pieces = [(row.asked or {}).get("piece") for row in known]
    return gather(firings, unforetold, _clears(studio, [piece for piece in pieces if piece], unforetold))


def gather(firings: Mapping[str, Mapping[str, Any]], unforetold: Mapping[str, str], clears: bool) -> Expected:
    """Take firings as they were frozen together.

    Parameters
    ----------
    firings : mapping of str to mapping
        Number of a piece to its firing.
    unforetold : mapping of str to str
        Number of a piece to why there is none.
    clears : bool
        Whether glass in this load may have to clear.
    """
    windows = {number: one["window"] for number, one in firings.items() if one.get("window")}
    lead: Mapping[str, Any] = next(iter(windows.values()), {})
    targets = [str(one.get("target") or "") for one in firings.values()]
    target = max((one for one in targets if one in STAGES), key=lambda one: STAGES.index(one), default="")
    timed = {number: window for number, window in windows.items() if window.get("seconds")}
    looks = {number: window["looks"] for number, window in windows.items() if window.get("looks")}
    first_out = ""
    if len({look["out_by"] for look in looks.values()}) > 1:
        first_out = min(looks, key=lambda number: float(looks[number]["out_by"]))
    overs = [window["over"]["value"] for window in windows.values() if window.get("over")]
    return Expected(
        target=target,
        start=str(lead.get("start", "load")),
        settings=_settings(windows),
        stages=_stages(windows),
        low=min((window["seconds"]["low"] for window in timed.values()), default=None),
        high=max((window["seconds"]["high"] for window in timed.values()), default=None),
        first=_least(looks, "first", [window.get("first_look") for window in windows.values()]),
        every=_least(looks, "every", [window.get("look_every") for window in windows.values()]),
        out_by=_least(looks, "out_by", [window["seconds"]["high"] for window in timed.values()]),
        words=_look_words(looks, first_out),
        over=min(overs, default=None),
        clears=clears or target == "cleared",
        status=str(lead.get("status", "")),
        display=str(lead.get("display", "")),
        first_out=first_out,
        because=tuple(lead.get("because", ())),
        sources=tuple(lead.get("sources", ())),
        assumptions=tuple(lead.get("assumptions", ())),
        firings=firings,
        unforetold=unforetold,
        likely=median_low([float(window["seconds"]["value"]) for window in timed.values()]) if timed else None,
        looks=_times(looks, first_out),
    )


def _times(looks: Mapping[str, Mapping[str, Any]], first_out: str) -> tuple[float, ...]:
    """Return when to look: as the piece asks that comes out first, and no later than the first look of any."""
    lead = looks.get(first_out) or next(iter(looks.values()), None)
    if lead is None:
        return ()
    at = [float(one) for one in lead.get("at") or ()]
    if not at and lead.get("every"):  # foretold before looks were told one by one
        count = max(1, ceil((lead["out_by"] - lead["first"]) / lead["every"]))
        at = [lead["first"] + n * lead["every"] for n in range(count)]
    first = min(float(look["first"]) for look in looks.values())
    return (first, *(one for one in at if one > first))


def _least(looks: Mapping[str, Mapping[str, Any]], name: str, otherwise: Iterable[Any]) -> float | None:
    told = [float(look[name]) for look in looks.values()] or [float(one) for one in otherwise if one is not None]
    return min(told, default=None)


def _look_words(looks: Mapping[str, Mapping[str, Any]], first_out: str) -> str:
    if first_out:
        return f"Not alike: {first_out} comes out first. {looks[first_out]['words']}"
    return str(next(iter(looks.values()))["words"]) if looks else ""


def _settings(windows: Mapping[str, Mapping[str, Any]]) -> tuple[Setting, ...]:
    groups: dict[tuple[float, float, float], list[str]] = {}
    for number, window in windows.items():
        point = window.get("set_point")
        if point:
            groups.setdefault((point["value"], point["low"], point["high"]), []).append(number)
    ordered = sorted(groups.items(), key=lambda group: (-len(group[1]), group[0]))
    return tuple(Setting(*degrees, tuple(pieces)) for degrees, pieces in ordered)


def _stages(windows: Mapping[str, Mapping[str, Any]]) -> tuple[Begins, ...]:
    found: list[Begins] = []
    for stage in STAGES:
        bands = [
            band["begins"]
            for window in windows.values()
            for band in window.get("stages", ())
            if band["stage"] == stage and band.get("begins")
        ]
        if bands and stage != "powder":
            values = sorted(float(band["value"]) for band in bands)
            found.append(
                Begins(
                    stage, min(float(band["low"]) for band in bands), values[len(values) // 2],
                    max(float(band["high"]) for band in bands),
                )
            )  # fmt: skip
    return tuple(found)


def _clears(studio: Studio, pieces: Iterable[Mapping[str, Any]], unforetold: Mapping[str, str]) -> bool:
    """Tell whether glass of these pieces may have to clear; of a piece without a plan nobody knows."""
    if unforetold:
        return True
    from enamelwright.workshop.bench import bench

    wanted = {str(coat.get("jar", "")) for piece in pieces for coat in piece.get("coats", ())}
    kinds = {jar.get("id"): jar.get("kind") for piece in pieces for jar in piece.get("jars", ())}
    kinds |= {jar.id: jar.kind for jar in bench(studio).jars if jar.id in wanted}
    return any(kinds.get(jar) in CLEARS for jar in wanted)
